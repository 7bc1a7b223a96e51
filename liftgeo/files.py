"""Files, safely: read within bounds, written whole or not at all, and never over an input.

Everything this package reads from a disk or puts on one goes through here.
"""

from __future__ import annotations

import contextlib
import math
import os
import secrets
import stat
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TypeAlias

from liftgeo.errors import FileError, RequestError
from liftgeo.plain_text import cut, printable

AnyPath: TypeAlias = str | os.PathLike[str]

LARGEST_BYTES = 1_000_000
PATIENCE_S = 30.0
"""How long one writer waits for another in the same folder."""

STDOUT_NAMES = {"-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"}
STDIN_NAMES = {"-", "/dev/stdin", "/dev/fd/0", "/proc/self/fd/0"}

_UNFINISHED, _ENDING = ".liftgeo-", ".part"
_FORGOTTEN_S = 600.0
_PAGE = "a geometry file is a page of text"
A_READINGS_FILE = ("readings file", "a table of readings is a page of text")
"""What should be there, and what that is, as errors say it."""
_NOT_REGULAR = {
    stat.S_IFIFO: "a pipe",
    stat.S_IFCHR: "a device",
    stat.S_IFBLK: "a device",
    stat.S_IFSOCK: "a socket",
}


def shown(path: AnyPath) -> str:
    """Return the name of a file as a message shows it: on one line, all of it printable."""
    return cut(printable(os.fspath(path)).replace("\n", "?"))


def is_stdout(path: AnyPath | None) -> bool:
    """Return whether a name stands for standard output: "-" or "/dev/stdout"."""
    return path is not None and os.fspath(path) in STDOUT_NAMES


def is_stdin(path: AnyPath | None) -> bool:
    """Return whether a name stands for standard input: "-" or "/dev/stdin"."""
    return path is not None and os.fspath(path) in STDIN_NAMES


@contextlib.contextmanager
def _said(path: AnyPath, what: str) -> Iterator[None]:
    """Turn what the system says of a file into a FileError that names the file."""
    try:
        yield
    except FileError:
        raise
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(f"{shown(path)} cannot be {what}: {reason}.") from None


def _irregular(mode: int) -> str:
    """Return what a thing on the disk is that is neither a file nor a folder; "" for those."""
    return _NOT_REGULAR.get(stat.S_IFMT(mode), "")


# --- reading --------------------------------------------------------------------------------------


def read_bytes(
    path: AnyPath, most: int = LARGEST_BYTES, what: str = "geometry file", kind: str = _PAGE
) -> bytes:
    """Return what a regular file holds, if that is no more than such a file can be.

    Parameters
    ----------
    path : path
    most : int
        Bytes that are still read.
    what, kind : str
        What should be there, and what that is, as errors say it.

    Raises
    ------
    FileError
        Missing, a folder, a pipe or device, too large, or not readable; the text says which.
    """
    place = Path(path)
    with _said(path, "read"):
        try:
            found = os.stat(place)
        except (FileNotFoundError, NotADirectoryError):
            whole = place.with_name(f"{place.name}.toml") if place.name else place
            hint = (
                f"Did you mean {shown(whole)}?"
                if whole.is_file()
                else "Check the name and the folder."
            )
            raise FileError(f"{shown(path)} is not there. {hint}") from None
        mode, size = found.st_mode, found.st_size
        if stat.S_ISDIR(mode):
            raise FileError(f"{shown(path)} is a folder. Name the {what} inside it.")
        if not stat.S_ISREG(mode):
            raise FileError(
                f"{shown(path)} is {_irregular(mode) or 'no file'}, not a file. "
                "To read what another program prints, pipe it in and write - for FILE."
            )
        if size <= most:
            with open(place, "rb") as file:
                data = file.read(most + 1)
            size = max(size, len(data))
        if size > most:
            raise FileError(
                f"{shown(path)} is {_megabytes(size)}; {kind}, {_megabytes(most)} at most. "
                "Check that this is the right file."
            )
        return data


def _megabytes(size: int) -> str:
    return f"{math.ceil(size / 1e5) / 10:g} MB"


def as_text(data: bytes, name: str) -> str:
    """Return bytes as UTF-8 text, without the mark that some editors put first.

    Raises
    ------
    FileError
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(
            f"{name} is not plain UTF-8 text (byte {error.start + 1}). "
            "Save it from a text editor with encoding UTF-8."
        ) from None


def read_text(path: AnyPath, what: str = "geometry file", kind: str = _PAGE) -> str:
    """Return the text of a geometry file, or of something else that is a page of text.

    Parameters
    ----------
    path : path
    what, kind : str
        As of `read_bytes`.

    Raises
    ------
    FileError
        Missing, a folder, a pipe or device, too large, not readable, or not UTF-8.
    """
    return as_text(read_bytes(path, what=what, kind=kind), shown(path))


# --- writing --------------------------------------------------------------------------------------


def check_writable(path: AnyPath, *, force: bool = False) -> None:
    """Raise FileError if a file cannot be written.

    It exists and `force` is not given, is no regular file or is marked read-only; or its folder is
    not there, or cannot be written into.
    """
    name = shown(path)
    with _said(path, "written"):
        place = Path(os.path.realpath(path))
        try:
            mode = os.lstat(place).st_mode
        except (FileNotFoundError, NotADirectoryError):
            mode = 0
        if stat.S_ISDIR(mode):
            raise FileError(f"{name} is a folder. Name a file.")
        if mode and not stat.S_ISREG(mode):
            raise FileError(
                f"{name} is {_irregular(mode) or 'no file'}, not a file. Name a file, or - for "
                "standard output."
            )
        if mode and not force:
            raise FileError(f"{name} exists already. Choose another name, or add --force.")
        if mode and not (mode & 0o222 and os.access(place, os.W_OK)):
            raise FileError(f"{name} is read-only; it was left as it is. Choose another name.")
        if not place.parent.is_dir():
            raise FileError(f"The folder of {name} is not there. Make it first.")
        if not os.access(place.parent, os.W_OK | os.X_OK):
            raise FileError(f"{name} cannot be written: no permission to write into its folder.")


def check_outputs(
    outputs: Iterable[tuple[str, AnyPath]], inputs: Iterable[AnyPath], *, force: bool = False
) -> None:
    """Raise an error for outputs that cannot be written, meet an input, or meet each other.

    Parameters
    ----------
    outputs : iterable of (str, path)
        Each with the option that names it, such as "--csv". Names of standard output are let by.
    inputs : iterable of path
        Files that are read, and so are never written over.
    force : bool
        Whether existing files may be written over.

    Raises
    ------
    RequestError, FileError
    """
    read = {_identity(path): str(path) for path in inputs if not is_stdin(path)}
    taken: dict[tuple[object, ...], str] = {}
    for option, path in outputs:
        place = ("standard output",) if is_stdout(path) else _identity(path)
        if place in read:
            raise RequestError(
                f"{option} {shown(path)} is a file that is read; it is never written over. "
                "Choose another name."
            )
        if place in taken:
            raise RequestError(
                f"{taken[place]} and {option} name the same file. Give each its own."
            )
        taken[place] = option
        if not is_stdout(path):
            check_writable(path, force=force)


def _identity(path: AnyPath) -> tuple[object, ...]:
    """Return what two names of one file have in common."""
    try:
        found = os.stat(path)
        return found.st_dev, found.st_ino
    except (OSError, ValueError):
        return (os.path.normcase(os.path.realpath(os.fspath(path).replace("\0", "?"))),)


def write_whole(path: AnyPath, content: str | bytes, *, force: bool = False) -> None:
    """Write a file whole or not at all, never over an existing one without `force`.

    A link is followed. Over an existing file the permissions stay, and so do its other names (hard
    links). What an interrupted run left in the folder is swept away.

    Raises
    ------
    FileError
        It exists already, is read-only, no regular file, or cannot be written; nothing is left
        half-written.
    """
    with holding(path):
        write_held(path, content, force=force)


def write_held(
    path: AnyPath, content: str | bytes, *, force: bool = False, instead_of: bytes | None = None
) -> None:
    """Write as `write_whole` does, for a caller that is `holding` the folder.

    Parameters
    ----------
    instead_of : bytes, optional
        What the file must still hold: another's work is not written over.

    Raises
    ------
    FileError
    """
    check_writable(path, force=force)
    place = Path(os.path.realpath(path))
    data = content.encode() if isinstance(content, str) else content
    part = place.parent / f"{_UNFINISHED}{os.getpid()}-{secrets.token_hex(4)}{_ENDING}"
    with _said(path, "written"):
        try:
            _put(part, data)
            if instead_of is not None and place.read_bytes() != instead_of:
                raise FileError(
                    f"{shown(path)} was changed by somebody else meanwhile; their work is kept and "
                    "nothing was written. Run the command again."
                )
            _bring(part, place, data, force=force)
        except FileExistsError:
            raise FileError(
                f"{shown(path)} exists already. Choose another name, or add --force."
            ) from None
        finally:
            part.unlink(missing_ok=True)


def _put(part: Path, data: bytes) -> None:
    """Write a new file and see it onto the disk."""
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _bring(part: Path, place: Path, data: bytes, *, force: bool) -> None:
    """Bring a file that is written to the name it is to have."""
    if not os.path.lexists(place):
        try:
            os.link(part, place)  # unlike a renaming, never over a file that has come up meanwhile
            return
        except FileExistsError:
            if not force:
                raise
        except OSError:  # a file system without hard links
            if os.path.lexists(place) and not force:
                raise FileExistsError(place) from None
        os.replace(part, place)
        return
    if not force:
        raise FileExistsError(place)
    before = os.stat(place)
    if before.st_nlink > 1 or not _made_alike(part, before):
        _in_place(place, data)
    else:
        os.replace(part, place)


def _made_alike(part: Path, before: os.stat_result) -> bool:
    """Give a file the permissions and the owner of another; return whether that could be done."""
    made = os.stat(part)
    if (made.st_uid, made.st_gid) != (before.st_uid, before.st_gid):
        try:
            os.chown(part, before.st_uid, before.st_gid)
        except (OSError, AttributeError):
            return False
    os.chmod(part, stat.S_IMODE(before.st_mode))
    return True


def _in_place(place: Path, data: bytes) -> None:
    """Write over a file that has other names or another owner; as it was when that fails."""
    with open(place, "r+b", buffering=0) as file:
        before = file.read()
        try:
            _over(file.fileno(), data)
        except BaseException:
            _over(file.fileno(), before)
            raise


def _over(handle: int, data: bytes) -> None:
    os.lseek(handle, 0, os.SEEK_SET)
    rest = memoryview(data)
    while rest:
        rest = rest[os.write(handle, rest) :]
    os.ftruncate(handle, len(data))
    os.fsync(handle)


# --- one writer at a time -------------------------------------------------------------------------


@contextlib.contextmanager
def holding(path: AnyPath) -> Iterator[None]:
    """Hold the folder of a file against other writers of this package; a kill lets it go.

    Where the system has no such locks, writers are told apart by `instead_of` alone.

    Raises
    ------
    FileError
        Another holds it, and for too long.
    """
    folder = Path(os.path.realpath(str(path).replace("\0", "?"))).parent
    handle = _locked(folder)
    try:
        _sweep(folder, alone=handle is not None)
        yield
    finally:
        if handle is not None:
            os.close(handle)


def _locked(folder: Path) -> int | None:
    """Return a handle that holds a folder, or None where that cannot be had."""
    try:
        import fcntl

        handle = os.open(folder, os.O_RDONLY)
    except (ImportError, OSError):
        return None
    until = time.monotonic() + PATIENCE_S
    try:
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                return handle
            except BlockingIOError:
                if time.monotonic() > until:
                    raise FileError(
                        f"Something else has been writing into {shown(folder)} for "
                        f"{PATIENCE_S:.0f} s. Wait for it, or end it, and run the command again."
                    ) from None
                time.sleep(0.01)
    except FileError:
        os.close(handle)
        raise
    except OSError:  # a file system without locks
        os.close(handle)
        return None
    except BaseException:
        os.close(handle)
        raise


def _sweep(folder: Path, *, alone: bool) -> None:
    """Take away what killed runs left half-written; while others may write, only what is old."""
    with contextlib.suppress(OSError):
        for left in folder.glob(f"{_UNFINISHED}*{_ENDING}"):
            with contextlib.suppress(OSError):
                if alone or time.time() - left.lstat().st_mtime > _FORGOTTEN_S:
                    left.unlink()
