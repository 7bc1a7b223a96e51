"""Keys saved into a geometry file: what says the same thing gives way, everything else stays."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

from liftgeo.errors import Fault, FileError, GeometryError, RequestError
from liftgeo.files import (
    AnyPath,
    as_text,
    check_writable,
    holding,
    read_bytes,
    shown,
    write_held,
)
from liftgeo.geometry_file import loads, parsed
from liftgeo.mechanism.laying import ALTERNATIVES, covers, flatten, kind_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.plain_text import one_line

Value: TypeAlias = float | str | Sequence[float | str]


@dataclass(frozen=True)
class Saved:
    """What saving keys into a file did.

    Attributes
    ----------
    keys : tuple of str
        Dotted keys that were written.
    replaced : dict
        Dotted keys that gave way, with the value each had; blanks are not among them.
    """

    keys: tuple[str, ...]
    replaced: dict[str, Any]


def check_keys(path: AnyPath, keys: Sequence[str], *, force: bool = False) -> None:
    """Raise an error if a file cannot take keys, before anything is worked out.

    Parameters
    ----------
    path : path
        The geometry file.
    keys : sequence of str
        Dotted keys.
    force : bool
        Whether values that stand under these very keys may be replaced.

    Raises
    ------
    RequestError, FileError, GeometryError
    """
    check_writable(path, force=True)
    text = as_text(read_bytes(path), shown(path))
    _check(path, _flat(text, path), keys, force=force)


def save_keys(
    path: AnyPath,
    keys: Mapping[str, Value],
    *,
    said: str = "",
    in_place_of: str = "",
    force: bool = False,
) -> Saved:
    """Write keys into a geometry file; its comments and everything else stay as they are.

    What says the same thing is taken out, as when a change is laid over the file: given points, the
    distances go. A value that goes stays behind as a comment.

    Parameters
    ----------
    path : path
        The geometry file; a link is followed. Blanks of a starter file may stand in it.
    keys : mapping
        Dotted keys of one table to numbers, texts or lists of them.
    said : str
        What a comment above the new keys says.
    in_place_of : str
        How a comment begins that was said of the values that go, and goes with them.
    force : bool
        Replace values that stand under these very keys.

    Raises
    ------
    RequestError
        A value stands there already, or the table is of a kind without such keys.
    FileError
        The file cannot be read or written, or is laid out so that it cannot be added to safely; it
        is then as it was.
    GeometryError
        The file is no TOML, or would have faults that it did not have.
    """
    with holding(path):
        check_writable(path, force=True)
        data = read_bytes(path)
        text = as_text(data, shown(path))
        before = _flat(text, path)
        _check(path, before, list(keys), force=force)
        gone = _giving_way(before, keys)
        after = {k: v for k, v in before.items() if k not in gone} | {
            k: list(v) if isinstance(v, tuple) else v for k, v in keys.items()
        }
        replaced = {k: before[k] for k in gone if not _blank(before[k])}
        written = _edited(text.replace("\r\n", "\n"), keys, gone, replaced, said, in_place_of)
        if _read_back(written) != after:
            lines = "\n".join(f"{_below(k)} = {_toml(v)}" for k, v in keys.items())
            raise FileError(
                f"{shown(path)} is laid out so that it cannot be added to safely; nothing was "
                f"changed. Put this into its table [{_table(keys)}] by hand, in place of "
                f"{', '.join(map(_below, gone)) or 'nothing'}:\n\n{lines}"
            )
        _check_no_new_fault(path, text, written)
        if "\r\n" in text:
            written = written.replace("\n", "\r\n")
        mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
        write_held(path, mark + written.encode(), force=True, instead_of=data)
    return Saved(tuple(keys), replaced)


def _flat(text: str, path: AnyPath) -> dict[str, Any]:
    return flatten(parsed(text.replace("\r\n", "\n"), one_line(Path(path).name)))


def _blank(value: object) -> bool:
    """Return whether nothing stands where a value belongs: "", [] or ["", ""]."""
    return value == "" or (isinstance(value, list) and all(each == "" for each in value))


def _table(keys: Mapping[str, Value] | Sequence[str]) -> str:
    return next(iter(keys)).partition(".")[0]


def _below(dotted: str) -> str:
    return dotted.partition(".")[2]


def _check(path: AnyPath, flat: Mapping[str, Any], keys: Sequence[str], *, force: bool) -> None:
    """Raise RequestError where a table is of another kind, or has these keys already."""
    table = _table(keys)
    kind = kind_of({k: v for k, v in flat.items() if v != ""}, table)
    model = TABLES[table].get(kind)
    if model is not None and not all(_below(k).split(".")[0] in model.model_fields for k in keys):
        raise RequestError(
            f'{shown(path)} has {table}.kind = "{kind}", which has no '
            f"{_below(keys[0]).split('.')[0]}. Nothing was changed."
        )
    given = [k for k in flat if k in keys and not _blank(flat[k])]
    if given and not force:
        raise RequestError(
            f"{shown(path)} has {', '.join(given)} already. Add --force to replace them."
        )


def _giving_way(flat: Mapping[str, Any], keys: Mapping[str, Value]) -> list[str]:
    """Return the keys of a file that new ones take the place of."""
    gone = {k for k in flat if k in keys}
    for options in ALTERNATIVES:
        given = [option for option in options if any(covers(option, k) for k in keys)]
        for option in options:
            if given and option not in given:
                gone |= {k for k in flat if covers(option, k)}
    return [k for k in flat if k in gone]


def _edited(
    text: str,
    keys: Mapping[str, Value],
    gone: Sequence[str],
    replaced: Mapping[str, Any],
    said: str,
    in_place_of: str,
) -> str:
    """Return the text of a file with keys put in and others taken out; "" where it cannot be."""
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    name = _table(keys)
    try:
        document = tomlkit.parse(text)
        table: Any = document.setdefault(name, tomlkit.table())
        for dotted in gone:
            _take_out(table, dotted.split(".")[1:])
        if in_place_of:
            _take_out_comments(table, in_place_of)
        kept = [f"replaced: {_below(k)} = {_toml(v)}" for k, v in replaced.items() if k not in keys]
        for comment in [*kept, *([said] if said else [])]:
            table.add(tomlkit.comment(comment))
        for dotted, value in keys.items():
            table.add(tomlkit.key(_below(dotted).split(".")), tomlkit.item(_plain(value)))
        last = list(keys)[-1]
        new = f"{_below(last)} = {_toml(keys[last])}"
        return _blank_line_below(tomlkit.dumps(document), new)
    except (TOMLKitError, ValueError, TypeError, AttributeError, KeyError):
        return ""


def _read_back(text: str) -> dict[str, Any]:
    """Return the flat keys of a text that was edited; none where it came out as no TOML."""
    try:
        return flatten(parsed(text, ""))
    except GeometryError:
        return {}


def _take_out(table: Any, names: Sequence[str]) -> None:
    """Take a key out of a table, and the tables that hold nothing then."""
    name, *rest = names
    if rest:
        _take_out(table[name], rest)
        if len(table[name]):
            return
    del table[name]


def _take_out_comments(table: Any, beginning: str) -> None:
    """Take out of a table what was said above keys that are now written anew."""
    from tomlkit.items import Comment, Null

    body = table.value.body
    for k, (_, item) in enumerate(body):
        if isinstance(item, Comment) and item.as_string().strip("# \n").startswith(beginning):
            body[k] = (None, Null())


def _plain(value: Value) -> float | str | list[float | str]:
    return value if isinstance(value, float | str) else list(value)


def _blank_line_below(text: str, last: str) -> str:
    """Return a text whose new lines stand above the blank line that parts two tables, not below."""
    lines = text.split("\n")
    end = lines.index(last) + 1 if last in lines else len(lines)
    if not "".join(lines[end : end + 1]).startswith("["):
        return text
    start = end
    while start and lines[start - 1].strip():
        start -= 1
    blank = start
    while blank and not lines[blank - 1].strip():
        blank -= 1
    return "\n".join([*lines[:blank], *lines[start:end], *lines[blank:start], *lines[end:]])


def _toml(value: Any) -> str:
    """Return a value as a geometry file writes it, on one line."""
    import tomlkit

    return one_line(tomlkit.item(value).as_string())


def _check_no_new_fault(path: AnyPath, before: str, after: str) -> None:
    """Raise GeometryError with the faults that a text has and did not have before."""
    old = {(fault.key, fault.problem) for fault in _faults(before)}
    new = [fault for fault in _faults(after) if (fault.key, fault.problem) not in old]
    if new:
        raise GeometryError(new, one_line(Path(path).name))


def _faults(text: str) -> tuple[Fault, ...]:
    """Return what is wrong with a text, but for what is not there yet."""
    try:
        loads(text)
    except GeometryError as error:
        return tuple(fault for fault in error.faults if not fault.absent)
    return ()
