"""A new boat's folder to fill in: a small invented boat, every key explained."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path

from hullview.boat.files import why, write_whole
from hullview.errors import UsageError

TEMPLATE = Path(__file__).parent.parent / "data" / "new-boat"
NAMES = ("offsets.csv", "boat.toml")


def new_boat_text() -> dict[str, str]:
    """The files of a new boat by name.

    >>> sorted(new_boat_text())
    ['boat.toml', 'offsets.csv']
    """
    return {name: (TEMPLATE / name).read_text(encoding="utf-8") for name in NAMES}


def write_new(folder: str | os.PathLike[str]) -> Path:
    """Write a new boat's folder whole or not at all; a folder that holds anything is refused."""
    target = Path(folder)
    try:
        there, empty = os.path.lexists(target), target.is_dir() and not any(target.iterdir())
    except (OSError, ValueError) as error:
        reason = why(error) if isinstance(error, OSError) else "the name holds a null character"
        raise UsageError(f"{str(target)!r}: cannot be made: {reason}.") from error
    if there and not empty:
        what = "holds files already" if target.is_dir() else "is there already and is no folder"
        raise UsageError(f"{target}: {what}. Give the name of a folder that is new or empty.")
    if there:
        _fill(target)
    else:
        _make(target)
    return target


def _fill(target: Path) -> None:
    """Into an empty folder, which may be the one that somebody stands in, so it is not replaced."""
    written: list[Path] = []
    try:
        for name, text in new_boat_text().items():
            written.append(write_whole(target / name, text))
    except UsageError:
        for path in written:
            with contextlib.suppress(OSError):
                path.unlink()
        raise


def _make(target: Path) -> None:
    """Beside its place first, then by one change of name."""
    part = target.parent / f".hullview-{secrets.token_hex(8)}.part"
    try:
        os.mkdir(part)
        _fill(part)
        os.rename(part, target)
    except OSError as error:
        raise UsageError(f"{target}: cannot be made: {why(error)}.") from error
    finally:
        for path in (*(part / name for name in NAMES), part):
            with contextlib.suppress(OSError):
                path.rmdir() if path == part else path.unlink()
