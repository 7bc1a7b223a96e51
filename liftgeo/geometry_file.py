"""Reading geometry files, and writing changes into them."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from liftgeo.as_written import FRACTION_CHARACTERS, digits_beside_point, quoted, without_commas
from liftgeo.errors import Fault, FileError, GeometryError, RequestError, nearest
from liftgeo.files import (
    A_READINGS_FILE,
    AnyPath,
    as_text,
    check_writable,
    holding,
    read_bytes,
    read_text,
    shown,
    write_held,
    write_whole,
)
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.change_keys import TERMS
from liftgeo.mechanism.key_facts import defaults
from liftgeo.mechanism.laying import flatten
from liftgeo.mechanism.tables import TABLES
from liftgeo.plain_text import LONGEST_IN_FAULT, cut, latin, one_line, printable, strange_letter

if TYPE_CHECKING:
    from liftgeo.mechanism.bench import Reading

__all__ = [
    "check_change_name",
    "check_writable",
    "example_path",
    "filled",
    "load",
    "load_readings",
    "loads",
    "parsed",
    "read_text",
    "save_change",
    "with_named_readings",
    "write_whole",
]

_MOST_LINES = 20
_LARGEST_TO_READ_AGAIN = 50_000
_MOST_KEYS, _MOST_VALUES, _MOST_LEVELS = 2_000, 10_000, 12
_TOO_DEEP = "Not a geometry file: nested far too deeply."
_BESIDE = "Move the readings beside it, and give their name alone, as in readings.csv."
_CHECK = "Check the brackets and dots, and that this is the right file."
_DECIMAL_COMMA = re.compile(r"[-+]?\d+,\d+")
_PLAIN_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)")
_CURLY = str.maketrans("“”„«»‘’", '"""""\'\'')
_BARE_WORD = re.compile(r"[A-Za-z][\w-]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+(\.[A-Za-z0-9_-]+)*")
_DEEP_KEY = re.compile(
    r"""(?:^|[{,\[])\s*(?:(?:[^\s."'=\[\]{},]+|"[^"\n]*"|'[^'\n]*')[ \t]*\.[ \t]*){30}""",
    re.MULTILINE,
)
_HEADER = re.compile(r"^[ \t]*\[", re.MULTILINE)
_LONG_NUMBER = re.compile(r"[=\[,{]\s*[-+]?[0-9][0-9_]{400,}")


def parsed(text: str, source: str) -> dict[str, Any]:
    """Return the tables of a TOML text.

    Raises
    ------
    GeometryError
        With every line that cannot be read: each is set aside, and the rest read again.
    """
    if _DEEP_KEY.search(text):  # the reader of TOML takes minutes over these
        raise GeometryError([Fault("(whole file)", "", _TOO_DEEP, _CHECK)], source)
    if (count := len(_HEADER.findall(text))) > _MOST_KEYS:
        problem = f"{count} tables; a geometry file holds some dozen."
        raise GeometryError([Fault("(whole file)", "", problem, _CHECK)], source)
    lines = text.split("\n")
    most = _MOST_LINES if len(text) <= _LARGEST_TO_READ_AGAIN else 1
    faults: list[Fault] = []
    while len(faults) < most:
        try:
            document = tomllib.loads("\n".join(lines))
        except tomllib.TOMLDecodeError as error:
            found = re.search(r"\(at line (\d+)", str(error))
            number = int(found[1]) if found else len(lines)
            line = lines[number - 1] if number <= len(lines) else ""
            faults.append(_line_fault(line, number, str(error)))
        except ValueError:  # a whole number of thousands of digits; a date that cannot be
            number, fault = _value_fault(lines)
            line = lines[number - 1]
            faults.append(fault)
        else:
            if not faults:
                return _within_bounds(document, source)
            break
        if not line.strip():
            break
        lines[number - 1] = ""
    raise GeometryError(faults, source)


def _value_fault(lines: list[str]) -> tuple[int, Fault]:
    """Return the line, by its number, of a value that is TOML but cannot be held, and its fault."""
    for number, line in enumerate(lines, 1):
        if _LONG_NUMBER.search(line):
            key = line.partition("=")[0].strip()
            problem = f"A number of {sum(c.isdigit() for c in line)} digits is not read."
            return number, Fault(f"line {number}: {key}", "", problem, "Write it as measured.")
    problem = "A value in this file cannot be read."
    remedy = "Look for a very long number, or a date that cannot be."
    return len(lines), Fault("(whole file)", "", problem, remedy)


def _within_bounds(document: dict[str, Any], source: str) -> dict[str, Any]:
    """Return a document that is no larger and no deeper than a geometry file can be."""
    keys = count = 0
    level: list[Any] = [document]
    problem = ""
    for _ in range(_MOST_LEVELS):
        inner = [v for d in level for v in (d.values() if isinstance(d, dict) else d)]
        count += len(inner)
        keys += sum(len(d) for d in level if isinstance(d, dict))
        level = [v for v in inner if isinstance(v, dict | list)]
        if keys > _MOST_KEYS or count > _MOST_VALUES:
            problem = f"{count} values and more; a geometry file holds some hundred."
        if problem or not level:
            break
    else:
        problem = _TOO_DEEP
    if not problem:
        return document
    raise GeometryError([Fault("(whole file)", "", problem, _CHECK)], source)


def _line_fault(line: str, number: int, reason: str) -> Fault:
    """Return what is wrong with a line of a file that is not TOML, as a person would say it."""
    key, equals, value = (part.strip() for part in line.partition("="))
    value = value.partition("#")[0].strip()
    said = printable(line.strip()[:LONGEST_IN_FAULT])
    place = f"line {number}: {said}" if said.strip("?") else f"line {number}"
    problem = f"Not a TOML file: {cut(printable(reason), 200)}."
    remedy = "Each line reads key = number, each table begins with [name]; text stands in quotes."
    straight = value.translate(_CURLY)
    if "overwrite" in reason or "twice" in reason:
        problem, remedy = f"{key or 'This'} is given twice.", "Keep one of them."
    elif (spelled := _key_remedy(line, key, equals, value)) is not None:
        problem, remedy = spelled
    elif (plainer := _without_equals(line)) is not None:
        remedy = plainer
    elif equals and straight != value and straight[:1] == '"':
        problem, remedy = "Quotes are straight ones.", f"Write {key} = {straight}"
    elif equals and value[-1:] in (";", ",") and _PLAIN_NUMBER.fullmatch(value[:-1]):
        problem, remedy = "No mark stands at the end of a line.", f"Write {key} = {value[:-1]}"
    elif equals and _DECIMAL_COMMA.fullmatch(value):
        problem = "A number takes a point, not a comma."
        remedy = f"Write {key} = {value.replace(',', '.')}"
    elif equals and (inches := _inch_mark_in_quotes(value)):
        problem, remedy = "An inch mark ends the text too soon.", f"Write {key} = {inches}"
    elif equals and value[:1] in ("'", '"') and value.count(value[0]) % 2:
        problem, remedy = (
            "A quote is missing.",
            f"Write {key} = {value[0]}{without_commas(value.strip(value[0]))}{value[0]}",
        )
    elif equals and (digits := digits_beside_point(value)):
        problem, remedy = "A point has digits on both sides.", f"Write {key} = {digits}"
    elif equals and not value:
        problem, remedy = "No value is given.", f"Write {key} = number, or take the line out."
    elif equals and (value[:1].isdigit() or value[:1] in "+-.") and not value.startswith("["):
        problem = "A number with a unit, a fraction or ± stands in quotes."
        remedy = f"Write {key} = " + quoted(without_commas(value))
    elif equals and _BARE_WORD.fullmatch(value):
        problem, remedy = "A word stands in quotes.", f'Write {key} = "{value}"'
    return Fault(place, "", problem, cut(printable(remedy), 200))


def _inch_mark_in_quotes(value: str) -> str:
    """Return how a text reads whose quotes clash with the mark for inch or foot within; else ""."""
    mark, inside = value[:1], value[1:-1]
    if mark not in ("'", '"') or value[-1:] != mark or value.count(mark) < 3:
        return ""
    lengths = re.fullmatch(rf"[-+±\d\s./{FRACTION_CHARACTERS}'\"]+", inside)
    return quoted(inside) if lengths and re.search(r"\d", inside) else ""


def _without_equals(line: str) -> str | None:
    """Return the line to write for a known key, or table, whose = or bracket is left out."""
    text = line.partition("#")[0].strip()
    found = re.fullmatch(r"([A-Za-z_]{1,40})(?:\s*:\s*|\s+)([-+.\d\"'][^=]*)", text)
    if found and any(key.endswith(f".{found[1]}") for key in defaults()):
        value = found[2] if _PLAIN_NUMBER.fullmatch(found[2]) else quoted(found[2].strip("\"'"))
        return f"Write {found[1]} = {value}"
    table = text.strip("[] ")
    return f"Write [{table}]" if "=" not in text and table in TABLES else None


def _key_remedy(line: str, key: str, equals: str, value: str) -> tuple[str, str] | None:
    """Return what is wrong with the key or table of a line, and the line to write."""
    head = re.fullmatch(r"\[([^\[\]\"']*)\]", line.partition("#")[0].strip())
    name = head[1].strip() if head else key
    if not (head or equals) or len(name) > 80 or not name or _BARE_KEY.fullmatch(name):
        return None
    if name[0] in "\"'[#":
        return None
    names = [
        *TABLES,
        "changes",
        "title",
        "note",
        *TERMS,
        *{n for k in defaults() for n in k.split(".")},
    ]
    meant = latin(name)
    right = ".".join(nearest(part, names) or part for part in meant.split("."))
    if not _BARE_KEY.fullmatch(right):
        return None
    strange = strange_letter(name)
    problem = (
        f"{strange}, not a letter of a key." if strange else "A key holds no space and no mark."
    )
    if head:
        return problem, f"Write [{right}]"
    return problem, f"Write {right} = {value or 'number'}"


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
        return from_document(parsed(text.replace("\r\n", "\n"), source), source, left_out)
    except RecursionError:
        raise GeometryError([Fault("(whole file)", "", _TOO_DEEP, _CHECK)], source) from None


def load(path: AnyPath, *, left_out: str | None = None) -> Mechanism:
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
    found = loads(read_text(path), one_line(Path(path).name), left_out=left_out)
    return with_named_readings(found, path)


def with_named_readings(found: Mechanism, path: AnyPath) -> Mechanism:
    """Return a mechanism with the readings that its file at a path names; raises as `load`."""
    named = found.readings_file
    if not named:
        return found
    if not lies_beside(named):
        what = "Readings lie in the folder of this file, or below it."
        fault = Fault("bench.readings", one_line(named), what, _BESIDE)
        raise GeometryError([fault], found.source)
    beside = Path(path).parent / named
    return found.with_readings(load_readings(beside), one_line(beside.name))


def lies_beside(name: str) -> bool:
    """Return whether a name leads to a file in the same folder or below it, and nowhere else."""
    parts = name.replace("\\", "/").split("/")
    return bool(name) and ":" not in name and not name.startswith("/") and ".." not in parts


def load_readings(path: AnyPath) -> tuple[Reading, ...]:
    """Return readings from the bench, from a CSV whose first line names its columns.

    Raises
    ------
    FileError, GeometryError
        With every fault and its line.
    """
    from liftgeo.mechanism.readings_text import readings_of

    return readings_of(read_text(path, *A_READINGS_FILE), one_line(Path(path).name))


def check_change_name(path: AnyPath, name: str, *, force: bool = False) -> None:
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
        what = "Use letters, digits, - and _, as in longer-arm."
        raise RequestError(f"{name!r} cannot name a change. {what}")
    if not force and name in load(path).changes:
        said = f"{shown(path)} has a change called {name} already. Choose another name, or add "
        raise RequestError(f"{said}--force.")


def save_change(
    path: AnyPath,
    name: str,
    keys: Mapping[str, Any],
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
        Dotted keys to numbers in the file's bare units, or to what a file would say: text with a
        unit, words, lists.
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
    with holding(path):
        check_change_name(path, name, force=force)
        check_writable(path, force=True)
        data = read_bytes(path)
        written = _with_change(path, as_text(data, shown(path)), name, keys, note)
        mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        write_held(path, mark + written.encode(), force=True, instead_of=data)


def _with_change(path: AnyPath, text: str, name: str, keys: Mapping[str, Any], note: str) -> str:
    """Return the text of a geometry file with [changes.NAME] in it, and all else as it was."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    before = tomllib.loads(text.replace("\r\n", "\n"))
    try:
        document = tomlkit.parse(text.rstrip() + "\n\n")
        changes = document.setdefault("changes", tomlkit.table(is_super_table=True))
        table = changes.setdefault(name, tomlkit.table())
        for old in list(table):
            if old not in TERMS:  # what it costs stays with the name
                del table[old]
        table.update({"note": note} if note else {})
        for dotted, value in keys.items():
            table.add(tomlkit.key(dotted.split(".")), _as_toml(value))
        written = tomlkit.dumps(document).rstrip() + "\n"
        after = tomllib.loads(written.replace("\r\n", "\n"))
    except (TOMLKitError, ValueError, TypeError, AttributeError):
        written, after = "", {}
    if _without(after, name) != _without(before, name):
        lines = "\n".join(f"{dotted} = {value!r}" for dotted, value in keys.items())
        raise FileError(
            f"{shown(path)} is laid out so that it cannot be added to safely; nothing was changed. "
            f"Add by hand:\n\n[changes.{name}]\n{lines}"
        )
    loads(written, Path(path).name)
    if "\r\n" in text:
        written = written.replace("\r\n", "\n").replace("\n", "\r\n")
    return written


def filled(text: str, values: Mapping[str, Any]) -> str:
    """Return the text of a geometry file with values filled in; comments stay, keys are added.

    Parameters
    ----------
    text : str
    values : mapping
        Dotted keys to what a file would say; "" blanks what stands there, and adds nothing.
    """
    import tomlkit

    document = tomlkit.parse(text)
    there = flatten(document.unwrap())
    for dotted, value in values.items():
        if value == "" and not there.get(dotted):
            continue
        *tables, last = dotted.split(".")
        place: Any = document
        for table in tables:
            if table not in place:
                place[table] = tomlkit.table()
            place = place[table]
        place[last] = _as_toml(value)
    return tomlkit.dumps(document)


def _as_toml(value: Any) -> Any:
    """Return a value of a change as it is written: a text that is a plain number as that number."""
    if isinstance(value, str):
        number = int if re.fullmatch(r"[-+]?[0-9]{1,15}", value) else float
        return number(value) if _PLAIN_NUMBER.fullmatch(value) else value
    if isinstance(value, list | tuple):
        return [_as_toml(each) for each in value]
    return value if isinstance(value, bool | int) else float(value)


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
