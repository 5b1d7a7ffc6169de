"""stdout and stderr whose reader may be absent or go away: what nobody reads is dropped, and no error
comes of it."""

from __future__ import annotations

import io
import os
import select
import sys
from typing import Any, TextIO


class Outlet(io.FileIO):
    """A file descriptor to write to; once its reader has gone, all that is written goes nowhere.

    Parameters
    ----------
    fd : int
        1 for stdout, 2 for stderr.
    unread : bool
        No reader to begin with: the shell closed the descriptor (`>&-`).
    """

    def __init__(self, fd: int, unread: bool = False):
        super().__init__(fd, "wb", closefd=False)
        self.unread = unread

    def write(self, data: Any) -> int:
        """Write bytes; all of them count as written where nobody reads."""
        if not self.unread:
            try:
                return super().write(data)
            except BrokenPipeError:
                self.unread = True
        return memoryview(data).nbytes

    def has_reader(self) -> bool:
        """Whether somebody may still read, as far as the system can tell without writing."""
        if self.unread or not hasattr(select, "poll"):
            return not self.unread
        asked = select.poll()
        asked.register(self.fileno(), 0)
        return not any(event & select.POLLERR for _, event in asked.poll(0))


def take_streams() -> None:
    """Put outlets under sys.stdout and sys.stderr; a letter that the terminal has no sign for is written
    as its code."""
    sys.stdout = _outlet(sys.stdout, 1)
    sys.stderr = _outlet(sys.stderr, 2)


def _outlet(stream: TextIO | None, fd: int) -> TextIO:
    """The stream over an outlet; a closed descriptor is opened to nowhere, or the next file written would
    get its number."""
    if stream is None:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        if nowhere != fd:
            os.dup2(nowhere, fd)
            os.close(nowhere)
        return io.TextIOWrapper(io.BufferedWriter(Outlet(fd, unread=True)), encoding="utf-8")
    try:
        ours = stream.fileno() == fd
    except (OSError, ValueError):
        ours = False
    if not ours:
        return stream  # a test or a notebook reads it
    stream.flush()
    return io.TextIOWrapper(
        io.BufferedWriter(Outlet(fd)),
        encoding=stream.encoding,
        errors="backslashreplace",
        line_buffering=fd == 2,
    )


def outlet_of(stream: TextIO) -> Outlet | None:
    """The outlet under a stream; None where the stream is somebody else's, as in a test or a notebook."""
    raw = getattr(getattr(stream, "buffer", None), "raw", None)
    return raw if isinstance(raw, Outlet) else None


def drop(stream: TextIO) -> None:
    """Let what is still to be written to a stream go nowhere."""
    outlet = outlet_of(stream)
    if outlet is not None:
        outlet.unread = True


def has_reader(stream: TextIO) -> bool:
    """Whether somebody may read a stream."""
    outlet = outlet_of(stream)
    return outlet is None or outlet.has_reader()
