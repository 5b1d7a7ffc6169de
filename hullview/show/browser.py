"""A browser that prints: Chromium without a window, if the machine has one."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

from hullview.errors import UsageError

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
QUIET = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
    "--no-default-browser-check",
)
"""No window, and not a word to the net."""
WAIT = 120
"""Seconds for one page."""


def found() -> str | None:
    """Path of a browser that can print, or None."""
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def printed(page: str, paper: str = "A4", browser: str | None = None) -> bytes:
    """A page as the browser prints it on "A4" or "letter", a PDF; its scripts run first."""
    program = browser or found()
    if program is None:
        raise UsageError(
            "--pdf needs Chromium (or Chrome) to print with; on Debian: apt-get install chromium. Or print"
            " the HTML page from any browser."
        )
    with tempfile.TemporaryDirectory(prefix="hullview-") as folder:
        source, target = Path(folder, "page.html"), Path(folder, "page.pdf")
        source.write_text(page.replace("@page { ", "@page { size: " + paper + "; ", 1), encoding="utf-8")
        command = [
            program,
            *QUIET,
            f"--user-data-dir={folder}/profile",
            "--no-pdf-header-footer",
            f"--print-to-pdf={target}",
            source.as_uri(),
        ]
        try:
            done = subprocess.run(command, capture_output=True, text=True, timeout=WAIT, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise UsageError(f"{program} did not print the page: {error}") from error
        if not target.is_file():
            last = (done.stderr.strip().splitlines() or [f"status {done.returncode}"])[-1]
            raise UsageError(f"{program} did not print the page: {last}")
        return target.read_bytes()
