"""The starter file: the numbers to measure as blanks, and how each is measured."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any, Literal, get_args, get_origin

from liftgeo.mechanism.key_facts import inner_table, names, number_in, readings_in, shape_in
from liftgeo.mechanism.left_out import left_out
from liftgeo.mechanism.needs import needs
from liftgeo.mechanism.tables import DEFAULT_KIND, REQUIRED_TABLES, TABLES, Table
from liftgeo.mechanism.usual import usual_text
from liftgeo.quantities import DIMENSIONS
from liftgeo.safety import WORK_SAFELY_AT_LENGTH

WIDTH, SHORT_WIDTH = 96, 100

STACKED = ("coned-disc",)
"""Springs whose stack a long starter file asks for; for others it stands as comments."""
NOT_AT_FIRST = {
    "hole",
    "turned",
    "turned_by",
    "stop_shift_x",
    "stop_shift_y",
    "pivot_shift_x",
    "pivot_shift_y",
    "basket_face_skim",
    "rim_skim",
    "pressure_plate_skim",
    "pressure_plate_runout_angle",
    "lift_tilt_angle",
}

HEAD = """\
# {title}
#
# Fill in the blanks between the quotes, as in "26.5"; readings go between brackets. Bare numbers
# are mm, N, deg, N·m, N/mm, N·m/deg, MPa, rev/min. Another unit may follow, and what the reading
# may be out by 19 times in 20: "1 3/32 in", "55 lbf", "26.5 ± 0.2 mm"; or a range: "0.05 to 0.4
# mm". "none" says that there is no play or friction, "rigid" that nothing gives. A blank counts as
# left out: what every machine has is then taken as usual, anywhere in its usual range. A line that
# begins with # is not read.
#
{safely}
#
# `liftgeo stroke {file}` gives the answer, as far as the file reaches;
# `liftgeo check {file}` says what was taken as usual, and what to measure next.
{more}
title = {quoted}
condition = "used"  # "rebuilt", "used" or "worn": where in its range a usual value lies
"""
MORE = """\
# A key that is not here may be added: `liftgeo new NAME --all` writes them all.
"""
TAIL = """
# A change is a partial table laid over the file under a name, to be tried before metal is cut:
#
# [changes.longer-arm]
# note = "arm drilled 6 mm further out"
# cost = 20    # in your own money, 0 where it is free: `liftgeo plan` finds the cheapest set
# arm.radius = 44
# arm.cable_angle = 100
"""
OPTIONAL = "# Where it applies, take the # away:"
OFF = "# A whole table, where it applies:"


def starter(title: str, file: str, kinds: Mapping[str, str], *, everything: bool = False) -> str:
    """Return the text of a starter file.

    Parameters
    ----------
    title : str
        What the machine is called.
    file : str
        Name of the file as a command takes it, for the commands in its head.
    kinds : mapping
        Kind of "release", "lever", "arm" and "spring".
    everything : bool
        Every key, in place of those an answer cannot do without.
    """
    quoted = json.dumps(title, ensure_ascii=False)
    head = HEAD.format(
        title=title,
        file=file,
        quoted=quoted,
        more="" if everything else MORE,
        safely="\n".join(_comment(WORK_SAFELY_AT_LENGTH)),
    )
    blocks = _long(kinds) if everything else _short(kinds)
    text = "\n\n".join(block.strip("\n") for block in (head, *blocks)) + "\n"
    return text + TAIL if everything else text


def _kind(table: str, kinds: Mapping[str, str]) -> str:
    return kinds.get(table, DEFAULT_KIND.get(table, next(iter(TABLES[table]))))


def blanks(table: str, kinds: Mapping[str, str], *, everything: bool = False) -> list[str]:
    """Return the names of the keys of a table that a starter file leaves blank."""
    kind = _kind(table, kinds)
    model = TABLES[table][kind]
    needed = {
        need.key.split(".")[1]
        for need in needs()
        if need.key.split(".")[0] == table and need.kind in ("", kind)
    }
    forms = ("short", "long") if everything else ("short",)
    asked = {name for name in names(model) if _extra(model, name).get("start") in forms}
    if table in REQUIRED_TABLES or asked:
        asked |= needed
    if everything:
        flat = {f"{name}.kind": kind for name, kind in kinds.items()}
        usual = left_out({**flat, "faces.friction_plates": 2}, TABLES, ("dry", "loose"), "used")
        asked |= {item.key.split(".")[1] for item in usual if item.key.split(".")[0] == table}
    return [name for name in names(model) if name in asked]


def _extra(model: type[Table], name: str) -> dict[str, Any]:
    extra: Any = model.model_fields[name].json_schema_extra
    return extra or {}


def _blank(info: Any) -> str:
    """Return how a key stands in a file with nothing in it: readings go between brackets."""
    return "[]" if readings_in(info) is not None or shape_in(info) is not None else '""'


# --- the short form ---


def _short(kinds: Mapping[str, str]) -> Iterator[str]:
    """Yield the tables that an answer needs, a line a key; others it may have, as comments."""
    for table in TABLES:
        kind = _kind(table, kinds)
        asked = blanks(table, kinds)
        if not asked:
            continue
        lines = [f"[{table}]", *([f'kind = "{kind}"'] if kind else [])]
        width = max(map(len, asked))
        for name in asked:
            lines += _short_key(TABLES[table][kind], name, width)
        if table not in REQUIRED_TABLES:
            lines = [f"# {line}" for line in lines]
        yield "\n".join(lines)


def _short_key(model: type[Table], name: str, width: int) -> list[str]:
    """Return a blank with what it is and how it is measured behind it."""
    info = model.model_fields[name]
    what, *left_out = (info.description or "").split("; ")
    unit, words = unit_in(info), words_in(info)
    text = what + (f", {unit}" if unit else "")
    if words:
        text = " or ".join(f'"{word}"' for word in words)
    elif "measure" in _extra(model, name):
        text += f": {_extra(model, name)['measure']}"
    text = "; ".join([text, *left_out])
    if readings_in(info) is not None:
        text += "; as in [0, 5, 10]"
    start = f"{name.ljust(width)} = {_blank(info)}  # "
    rest = " " * (len(start) - 2) + "# "
    return textwrap.wrap(
        start + text,
        SHORT_WIDTH,
        subsequent_indent=rest,
        break_on_hyphens=False,
        replace_whitespace=False,
    )


# --- the long form ---


def _long(kinds: Mapping[str, str]) -> Iterator[str]:
    """Yield every table, its keys with all that is said of them."""
    on = {*REQUIRED_TABLES, "stack", "engine"}
    off = set() if kinds.get("spring") in STACKED else {"stack"}
    for table in TABLES:
        block = "\n".join(_table_lines(table, kinds))
        yield block if table in on - off else _off(block)


def _off(block: str) -> str:
    """Return a table as comments, to be switched on where it applies."""
    lines = [line for line in block.splitlines() if line and line != OPTIONAL]
    switched = [line if line.startswith("#") else f"# {line}" for line in lines]
    return "\n".join([OFF, *switched])


def _table_lines(table: str, kinds: Mapping[str, str]) -> Iterator[str]:
    kind = _kind(table, kinds)
    model = TABLES[table][kind]
    yield f"[{table}]"
    yield from _comment(model.__doc__ or "")
    if kind:
        known = ", ".join(f'"{k}"' for k in TABLES[table])
        yield f"# Kinds: {known}."
        yield f'kind = "{kind}"'
    asked = blanks(table, kinds, everything=True)
    for name in asked:
        yield ""
        yield from _comment(said(model, name))
        yield f"{name} = {_blank(model.model_fields[name])}"
    rest = [name for name in names(model) if name not in asked and name not in NOT_AT_FIRST]
    if rest:
        yield ""
        yield OPTIONAL
    for name in rest:
        yield from _optional(model, name)


def _optional(model: type[Table], name: str, prefix: str = "") -> Iterator[str]:
    """Yield a key as a comment, with what is taken where it is left out."""
    inner = inner_table(model.model_fields[name])
    if inner is not None:
        for sub in inner.model_fields:
            yield from _optional(inner, sub, f"{name}.")
        return
    default = model.model_fields[name].default
    value = _blank(model.model_fields[name]) if default is None else json.dumps(default)
    key = f"# {prefix}{name} = {value}"
    yield from textwrap.wrap(
        f"{key}  # {said(model, name)}",
        WIDTH,
        subsequent_indent="#     ",
        break_on_hyphens=False,
        replace_whitespace=False,
    )


def _comment(text: str) -> list[str]:
    return [f"# {line}" for line in textwrap.wrap(text, WIDTH - 2, break_on_hyphens=False)]


# --- what is said of a key ---


def words_in(info: Any) -> tuple[str, ...]:
    """Return the words a key chooses from; none where it is a number."""
    options = [info.annotation, *getattr(info.annotation, "__args__", ())]
    found = next((o for o in options if get_origin(o) is Literal), None)
    return tuple(str(word) for word in get_args(found)) if found is not None else ()


def unit_in(info: Any) -> str:
    """Return the bare unit of a field; "" for pure numbers, words and tables."""
    number = number_in(info) or readings_in(info) or shape_in(info)
    return "" if number is None else DIMENSIONS[number.dimension].unit


def said(model: type[Table], name: str) -> str:
    """Return what is said of a key: what it is, its unit, how it is measured, what to expect."""
    info = model.model_fields[name]
    extra = _extra(model, name)
    what, *left_out = (info.description or "").split("; ")
    unit = unit_in(info)
    text = "; ".join([what + (f", {unit}" if unit else ""), *left_out])
    sentences = [text, extra.get("measure", "")]
    if "instead" in extra:
        sentences.append(f"instead of {extra['instead']}")
    if "typical" in extra:
        sentences.append(f"typical: {extra['typical']}")
    if "usual" in extra:
        sentences.append(f"left blank: {usual_text(extra['usual'])} is taken")
    words = words_in(info)
    if words and '"' not in extra.get("measure", ""):
        sentences.append("one of " + ", ".join(f'"{word}"' for word in words))
    if shape_in(info) is not None and "[x, y]" in what:
        sentences.append(
            "as in [[[40, 0], [60, 0], [60, 25]]]"
            if "outlines" in what
            else "as in [[0, 0], [60, 15], [120, 20]]"
        )
    if readings_in(info) is not None:
        sentences.append("as in [10, 20]" if "[x, y]" in what else "a list, as in [0, 5, 10]")
    return " ".join(f"{s[:1].upper()}{s[1:]}." for s in sentences if s)
