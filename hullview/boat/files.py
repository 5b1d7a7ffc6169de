"""Files on the disk: written whole or not at all, read only from inside a boat's folder and only up to a
size."""

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
import stat
from collections.abc import Mapping
from pathlib import Path

from hullview.errors import HullviewError, UsageError

REASONS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "you may not write there",
    errno.EPERM: "you may not write there",
    errno.ENOENT: "its folder does not exist",
    errno.ENOTDIR: "its folder is not a folder",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EFBIG: "the file would be too large",
}


def why(error: OSError) -> str:
    """The reason of an `OSError` in plain words."""
    return REASONS.get(error.errno or 0, error.strerror or str(error))


def write_whole(path: str | os.PathLike[str], data: bytes | str) -> Path:
    """Write a file so that the old one or the new one is there at every moment, never half of it.

    The data go to a new file in the same folder and to the disk itself before that file takes the name.
    Text is written as UTF-8 with line ends as they are. Only an ordinary file is replaced.
    """
    target = Path(path)
    raw = data.encode("utf-8") if isinstance(data, str) else data
    _refuse_special(target)
    part = target.parent / f".hullview-{secrets.token_hex(8)}.part"
    try:
        _write_new(part, raw, _mode_of(target))
        os.replace(part, target)
    except OSError as error:
        raise UsageError(f"{target}: cannot be written: {why(error)}.") from error
    finally:
        # Once it has taken the name this finds nothing; after any mishap it leaves no litter.
        with contextlib.suppress(OSError):
            part.unlink()
    _sync_folder(target.parent)
    return target


OURS = ".hullview-folder"
"""Lies in every folder that we wrote as a whole, and lists its files: such a folder may be replaced."""


def folder_is_free(path: str | os.PathLike[str]) -> None:
    """Refuse a folder that we may not write as a whole: one that holds what we did not put there, or whose
    own folder is missing.

    Raises
    ------
    UsageError
    """
    target = Path(path)
    if "\0" in str(target):
        raise UsageError(f"{str(target)!r}: cannot be written: the name holds a null character.")
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise UsageError(f"{target}: cannot be written: it is not a folder.")
    if not target.exists():
        if not target.absolute().parent.is_dir():
            raise UsageError(f"{target}: cannot be written: there is no such folder as {target.parent}.")
        return
    there = {p.relative_to(target).as_posix() for p in target.rglob("*") if not p.is_dir()}
    try:
        ours = set((target / OURS).read_text(encoding="utf-8").splitlines()) | {OURS}
    except (OSError, UnicodeDecodeError):
        ours = set()
    strange = sorted(there - ours)
    if strange:
        raise UsageError(
            f"{target}: holds {strange[0]}, which hullview did not write there. Give another folder, or move"
            " it away."
        )


def write_folder(path: str | os.PathLike[str], files: Mapping[str, bytes]) -> Path:
    """Write a folder of files so that the old one or the new one is there, never a mixture.

    Parameters
    ----------
    path : path
        The folder; it may be missing, empty, or one that was written so before.
    files : mapping
        Bytes by name, with / between folder and file.

    Notes
    -----
    All files go to a new folder beside it and to the disk; then that folder takes the name, and the old one
    is removed.
    """
    folder_is_free(path)
    target = Path(path).absolute()
    part, old = (target.parent / f".hullview-{secrets.token_hex(8)}.{end}" for end in ("part", "old"))
    try:
        part.mkdir()
        for name, raw in {**files, OURS: "\n".join(sorted(files)).encode()}.items():
            (part / name).parent.mkdir(parents=True, exist_ok=True)
            _write_new(part / name, raw, None)
        if target.exists():
            os.replace(target, old)
            try:
                os.replace(part, target)
            except OSError:
                os.replace(old, target)
                raise
        else:
            os.replace(part, target)
    except OSError as error:
        raise UsageError(f"{path}: cannot be written: {why(error)}.") from error
    finally:
        for left in (part, old):
            shutil.rmtree(left, ignore_errors=True)
    _sync_folder(target.parent)
    return target


def _refuse_special(target: Path) -> None:
    try:
        mode = target.stat().st_mode
    except (OSError, ValueError) as error:
        if isinstance(error, ValueError):
            raise UsageError(
                f"{str(target)!r}: cannot be written: the name holds a null character."
            ) from error
        return
    if not stat.S_ISREG(mode):
        what = "a folder" if stat.S_ISDIR(mode) else "not an ordinary file"
        raise UsageError(f"{target}: cannot be written: it is {what}.")


def _mode_of(target: Path) -> int | None:
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except OSError:
        return None


def _write_new(part: Path, raw: bytes, mode: int | None) -> None:
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as out:
        out.write(raw)
        out.flush()
        os.fsync(out.fileno())
    if mode is not None:
        os.chmod(part, mode)


def _sync_folder(folder: Path) -> None:
    """Ask for the new name itself to be kept; not every system can, and the data are safe already."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


class Unreadable(HullviewError):
    """A file of a boat's folder cannot be read: `given` is what was asked for, `allowed` and `mend` as in
    a Mistake."""

    def __init__(self, given: str, allowed: str, mend: str = ""):
        self.given, self.allowed, self.mend = given, allowed, mend
        super().__init__(f"{given}: {allowed}." + (f" {mend}" if mend else ""))


def inside(folder: Path, name: str) -> Path:
    """The real path of a file named in a boat's folder, refused if it leads out of that folder, also by a
    link."""
    if not name or "\0" in name or "\\" in name:
        raise Unreadable(
            name, "must be the name of a file in the boat's folder", "Use / between folder and file."
        )
    if name.endswith(("/", "/.")):
        raise Unreadable(
            name, "is the name of a folder; it must be that of a file", "Leave out the / at its end."
        )
    if os.path.isabs(name) or ".." in Path(name).parts:
        raise Unreadable(
            name, "may not leave the boat's folder", "Copy the file into the folder and give its name."
        )
    nowhere = Unreadable(
        name, "leads nowhere: a link that points to itself", "Copy the file into the folder."
    )
    try:
        root, real = folder.resolve(), (folder / name).resolve()
    except (OSError, RuntimeError) as error:  # a link that leads to itself, before Python 3.13
        raise nowhere from error
    if real.is_symlink():  # and since
        raise nowhere
    if not real.is_relative_to(root):
        raise Unreadable(
            name, "is a link that leaves the boat's folder", "Copy the file itself into the folder."
        )
    return real


def read_limited(path: Path, limit: int) -> bytes:
    """The bytes of an ordinary file of at most `limit` bytes."""
    name = path.name
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            # A pipe or a device would be waited on for ever.
            raise Unreadable(name, "is not an ordinary file")
        with open(path, "rb") as source:
            raw = source.read(limit + 1)
    except FileNotFoundError as error:
        raise Unreadable(name, "does not exist", "Check the name and the folder.") from error
    except OSError as error:
        raise Unreadable(name, f"cannot be read: {error.strerror or error}") from error
    if len(raw) > limit:
        raise Unreadable(name, f"is larger than {limit / 1e6:g} MB, which no such file needs to be")
    return raw
