"""Reading geometry files, and writing files whole or not at all."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from liftgeo.errors import Fault, FileError, GeometryError, RequestError
from liftgeo.mechanism import Mechanism, from_document

LARGEST_BYTES = 1_000_000


def read_text(path: str | os.PathLike[str]) -> str:
    """Return the text of a geometry file.

    Raises
    ------
    FileError
        Missing, a directory, too large, not readable, or not UTF-8; the text says which.
    """
    place = Path(path)
    try:
        if place.is_dir():
            raise FileError(f"{path} is a folder. Name the geometry file inside it.")
        if not place.exists():
            whole = place.with_name(f"{place.name}.toml") if place.name else place
            hint = f"Did you mean {whole}?" if whole.is_file() else "Check the name and the folder."
            raise FileError(f"{path} is not there. {hint}")
        size = place.stat().st_size
        if size > LARGEST_BYTES:
            raise FileError(
                f"{path} is {size / 1e6:.0f} MB; a geometry file is a page of text, 1 MB at most. "
                "Check that this is the right file."
            )
        return place.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError(
            f"{path} is not plain UTF-8 text (byte {error.start + 1}). "
            "Save it from a text editor with encoding UTF-8."
        ) from None
    except (OSError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(f"{path} cannot be read: {reason}.") from None


_MOST_LINES = 20
_DECIMAL_COMMA = re.compile(r"[-+]?\d+,\d+")
_BARE_WORD = re.compile(r"[A-Za-z][\w-]*")


def parsed(text: str, source: str) -> dict[str, Any]:
    """Return the tables of a TOML text.

    Raises
    ------
    GeometryError
        With every line that cannot be read: each is set aside, and the rest read again.
    """
    lines = text.split("\n")
    faults: list[Fault] = []
    while len(faults) < _MOST_LINES:
        try:
            document = tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as error:
            found = re.search(r"\(at line (\d+)", str(error))
            number = int(found[1]) if found else len(lines)
            line = lines[number - 1] if number <= len(lines) else ""
            faults.append(_line_fault(line, number, str(error)))
            if not line.strip():
                break
            lines[number - 1] = ""
        else:
            if not faults:
                return document
            break
    raise GeometryError(faults, source)


def _line_fault(line: str, number: int, reason: str) -> Fault:
    """Return what is wrong with a line of a file that is not TOML, as a person would say it."""
    key, equals, value = (part.strip() for part in line.partition("="))
    value = value.partition("#")[0].strip()
    said = line.strip() if line.strip().isprintable() else ""
    place = f"line {number}: {said[:60]}" if said else f"line {number}"
    problem = f"Not a TOML file: {reason}."
    remedy = "Each line reads key = number, each table begins with [name]; text stands in quotes."
    if "overwrite" in reason or "twice" in reason:
        problem, remedy = f"{key or 'This'} is given twice.", "Keep one of them."
    elif equals and _DECIMAL_COMMA.fullmatch(value):
        problem = "A number takes a point, not a comma."
        remedy = f"Write {key} = {value.replace(',', '.')}"
    elif equals and value[:1] in ("'", '"') and value.count(value[0]) % 2:
        problem, remedy = (
            "A quote is missing.",
            f"Write {key} = {value[0]}{value.strip(value[0])}{value[0]}",
        )
    elif equals and not value:
        problem, remedy = "No value is given.", f"Write {key} = number, or take the line out."
    elif equals and (value[:1].isdigit() or value[:1] in "+-.") and not value.startswith("["):
        problem = "A number with a unit, a fraction or ± stands in quotes."
        remedy = f"Write {key} = " + _quoted(value)
    elif equals and _BARE_WORD.fullmatch(value):
        problem, remedy = "A word stands in quotes.", f'Write {key} = "{value}"'
    return Fault(place, "", problem, remedy)


def _quoted(value: str) -> str:
    return f"'{value}'" if '"' in value else f'"{value}"'


def loads(text: str, source: str = "", *, left_out: str | None = None) -> Mechanism:
    """Return the mechanism described by the text of a geometry file.

    Parameters
    ----------
    text, source : str
        The text, and the name shown in faults.
    left_out : {"usual", "nothing"}, optional
        How what is left out is taken, in place of what the file says.

    Raises
    ------
    GeometryError
        The text is not TOML, or what it says cannot be analysed; carries every fault.
    """
    if not text.strip():
        remedy = "`liftgeo new NAME` writes a starter file."
        raise GeometryError([Fault("(whole file)", "", "The file is empty.", remedy)], source)
    try:
        document = parsed(text.replace("\r\n", "\n"), source)
    except RecursionError:
        problem, remedy = "Not a geometry file: nested far too deeply.", "Check the brackets."
        raise GeometryError([Fault("(whole file)", "", problem, remedy)], source) from None
    return from_document(document, source, left_out)


def load(path: str | os.PathLike[str], *, left_out: str | None = None) -> Mechanism:
    """Return the mechanism described by a geometry file, validated and frozen.

    Parameters
    ----------
    path : path
    left_out : {"usual", "nothing"}, optional
        How what is left out is taken, in place of what the file says.

    Raises
    ------
    FileError, GeometryError
    """
    return loads(read_text(path), Path(path).name, left_out=left_out)


def check_writable(path: str | os.PathLike[str], *, force: bool = False) -> None:
    """Raise FileError if a file cannot be written: it exists, or its folder does not."""
    place = Path(path)
    if place.is_dir():
        raise FileError(f"{path} is a folder. Name a file.")
    if place.exists() and not force:
        raise FileError(f"{path} exists already. Choose another name, or add --force.")
    if not place.absolute().parent.is_dir():
        raise FileError(f"The folder of {path} is not there. Make it first.")


def write_whole(path: str | os.PathLike[str], content: str | bytes, *, force: bool = False) -> None:
    """Write a file whole or not at all, never over an existing one without `force`.

    Raises
    ------
    FileError
        It exists already, or cannot be written; nothing is left half-written.
    """
    import tempfile

    check_writable(path, force=force)
    place = Path(path)
    data = content.encode() if isinstance(content, str) else content
    try:
        handle, name = tempfile.mkstemp(dir=place.absolute().parent, prefix=f".{place.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(data)
            os.chmod(name, 0o644)
            os.replace(name, place)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise FileError(f"{path} cannot be written: {error.strerror}.") from None


def check_change_name(path: str | os.PathLike[str], name: str, *, force: bool = False) -> None:
    """Raise RequestError if a file cannot take a change of this name.

    Parameters
    ----------
    path : path
        The geometry file.
    name : str
        Letters, digits, - and _; the command line joins names with +.
    force : bool
        Whether a change of that name may be replaced.
    """
    if not re.fullmatch(r"[A-Za-z0-9_-]+", name):
        raise RequestError(
            f"{name!r} cannot name a change. Use letters, digits, - and _, as in longer-arm."
        )
    if not force and name in load(path).changes:
        raise RequestError(
            f"{path} has a change called {name} already. Choose another name, or add --force."
        )


def save_change(
    path: str | os.PathLike[str],
    name: str,
    keys: Mapping[str, float],
    note: str = "",
    *,
    force: bool = False,
) -> None:
    """Write [changes.NAME] into a geometry file; everything else in it stays as it is.

    Parameters
    ----------
    path : path
        The geometry file; a link is followed.
    name, note : str
        Name and note of the change.
    keys : mapping
        Dotted keys to numbers in the file's bare units.
    force : bool
        Replace a change of that name.

    Raises
    ------
    RequestError
        The name cannot be, or is taken.
    FileError
        The file cannot be read or written; it is then as it was.
    GeometryError
        With the change the file would no longer read.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    check_change_name(path, name, force=force)
    text = read_text(path)
    place = Path(path).resolve()
    before = tomllib.loads(text.replace("\r\n", "\n"))
    try:
        document = tomlkit.parse(text.rstrip() + "\n\n")
        changes = document.setdefault("changes", tomlkit.table(is_super_table=True))
        table = changes.setdefault(name, tomlkit.table())
        for old in list(table):
            del table[old]
        table.update({"note": note} if note else {})
        for dotted, value in keys.items():
            table.add(tomlkit.key(dotted.split(".")), float(value))
        written = tomlkit.dumps(document).rstrip() + "\n"
        after = tomllib.loads(written.replace("\r\n", "\n"))
    except (TOMLKitError, ValueError, TypeError, AttributeError):
        written, after = "", {}
    if _without(after, name) != _without(before, name):
        lines = "\n".join(f"{dotted} = {value!r}" for dotted, value in keys.items())
        raise FileError(
            f"{path} is laid out so that it cannot be added to safely; nothing was changed. Add "
            f"by hand:\n\n[changes.{name}]\n{lines}"
        )
    loads(written, place.name)
    if "\r\n" in text:
        written = written.replace("\r\n", "\n").replace("\n", "\r\n")
    mark = b"\xef\xbb\xbf" if place.read_bytes().startswith(b"\xef\xbb\xbf") else b""
    write_whole(place, mark + written.encode(), force=True)


def _without(document: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return a document without one of its changes."""
    others = {k: v for k, v in document.get("changes", {}).items() if k != name}
    return {**{k: v for k, v in document.items() if k != "changes"}, "changes": others}


def example_path(name: str) -> Path:
    """Return where an example file lies: in the package, or beside it in a checkout.

    Raises
    ------
    FileError
        No example has that name.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / "geometries", here.parent / "geometries"):
        place = folder / f"{name}.toml"
        if place.is_file():
            return place
    raise FileError(f"There is no example called {name}.")
