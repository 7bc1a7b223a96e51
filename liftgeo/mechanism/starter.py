"""The starter file: every number to measure as a blank, with what it is and how it is measured."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any, Literal, get_args, get_origin

from liftgeo.mechanism.key_facts import inner_table, names, number_in, readings_in
from liftgeo.mechanism.needs import NEEDS
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES, Table
from liftgeo.quantities import DIMENSIONS
from liftgeo.safety import WORK_SAFELY

WIDTH = 96

# Keys a file can do without, but an honest answer cannot.
ASKED = {
    "lever": (),
    "cable": ("free_play", "bend", "friction", "stiffness"),
    "arm": ("return_torque",),
    "release": ("friction_angle", "friction", "max_rotation"),
    "rod": ("end_float", "stiffness"),
    "spring": (),
    "stack": ("rim_depth", "friction_plate", "pressure_plate"),
    "faces": (
        "running",
        "cushion_travel",
        "basket_runout",
        "pressure_plate_runout",
        "plate_runout",
        "lift_tilt",
    ),
    "engine": ("torque", "primary_ratio"),
}
OPTIONAL_TABLES = ("bearing", "warm", "targets")
FITTED = {"coils": "installed_length", "table": "installed_deflection"}
NOT_AT_FIRST = {
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
# Fill in every blank: the number stands between the quotes, as in "26.5". Bare numbers are mm, N,
# deg, N·m, N/mm, N·m/deg, MPa, rev/min. Another unit may follow, and what the measurement may be
# out by: "1 3/32 in", "55 lbf", "26.5 ± 0.2 mm". The ± is kept and read back; it does not enter
# the answer yet. A line that begins with # is not read: put one before what your machine does not
# have, take it away from what it has.
#
{safely}
#
# `liftgeo check {file}` names what is still blank;
# `liftgeo stroke {file}` gives the answer.

title = {quoted}
"""
TAIL = """
# A change is a partial table laid over the file under a name, to be tried before metal is cut:
#
# [changes.longer-arm]
# note = "arm drilled 6 mm further out"
# arm.radius = 44
# arm.cable_angle = 100
"""
OPTIONAL = "# Where it applies, take the # away:"
OFF = "# A whole table, where it applies:"


def starter(title: str, file: str, kinds: Mapping[str, str]) -> str:
    """Return the text of a starter file.

    Parameters
    ----------
    title : str
        What the machine is called.
    file : str
        Name of the file as a command takes it, for the commands in its head.
    kinds : mapping
        Kind of "release", "lever" and "spring"; the arm is of the default kind.
    """
    blocks = [
        HEAD.format(
            title=title,
            file=file,
            quoted=json.dumps(title, ensure_ascii=False),
            safely="\n".join(_comment(WORK_SAFELY)),
        )
    ]
    for table in ASKED:
        kind = kinds.get(table, DEFAULT_KIND.get(table, ""))
        block = "\n".join(_table_lines(table, kind))
        blocks.append(_off(block) if table == "stack" and kinds["spring"] in FITTED else block)
    for table in OPTIONAL_TABLES:
        kind = next(iter(TABLES[table]))
        blocks.append(_off("\n".join(_table_lines(table, kind))))
    return "\n\n".join(block.strip("\n") for block in blocks) + "\n" + TAIL


def _off(block: str) -> str:
    """Return a table as comments, to be switched on where it applies."""
    lines = [line for line in block.splitlines() if line and line != OPTIONAL]
    switched = [line if line.startswith("#") else f"# {line}" for line in lines]
    return "\n".join([OFF, *switched])


def blanks(table: str, kind: str) -> list[str]:
    """Return the names of the keys of a table that a starter file leaves blank."""
    asked = {
        need.key.split(".")[1]
        for need in NEEDS
        if need.key.split(".")[0] == table and need.kind in ("", kind)
    }
    asked |= set(ASKED.get(table, ())) | (
        {FITTED[kind]} if kind in FITTED and table == "spring" else set()
    )
    return [name for name in names(TABLES[table][kind]) if name in asked]


def _table_lines(table: str, kind: str) -> Iterator[str]:
    model = TABLES[table][kind]
    yield f"[{table}]"
    yield from _comment(model.__doc__ or "")
    if kind:
        known = ", ".join(f'"{k}"' for k in TABLES[table])
        yield f"# Kinds: {known}."
        yield f'kind = "{kind}"'
    asked = blanks(table, kind)
    for name in asked:
        yield ""
        yield from _comment(said(model, name))
        yield f'{name} = ""'
    yield ""
    yield OPTIONAL
    for name in names(model):
        if name not in asked and name not in NOT_AT_FIRST:
            yield from _optional(model, name)


def _optional(model: type[Table], name: str, prefix: str = "") -> Iterator[str]:
    """Yield a key as a comment, with what is taken where it is left out."""
    inner = inner_table(model.model_fields[name])
    if inner is not None:
        for sub in inner.model_fields:
            yield from _optional(inner, sub, f"{name}.")
        return
    default = model.model_fields[name].default
    value = '""' if default is None else json.dumps(default)
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


def words_in(info: Any) -> tuple[str, ...]:
    """Return the words a key chooses from; none where it is a number."""
    options = [info.annotation, *getattr(info.annotation, "__args__", ())]
    found = next((o for o in options if get_origin(o) is Literal), None)
    return tuple(str(word) for word in get_args(found)) if found is not None else ()


def unit_in(info: Any) -> str:
    """Return the bare unit of a field; "" for pure numbers, words and tables."""
    number = number_in(info) or readings_in(info)
    return "" if number is None else DIMENSIONS[number.dimension].unit


def said(model: type[Table], name: str) -> str:
    """Return what is said of a key: what it is, its unit, how it is measured, what to expect."""
    info = model.model_fields[name]
    extra: Any = info.json_schema_extra or {}
    what, *left_out = (info.description or "").split("; ")
    unit = unit_in(info)
    text = "; ".join([what + (f", {unit}" if unit else ""), *left_out])
    sentences = [text, extra.get("measure", "")]
    if "instead" in extra:
        sentences.append(f"instead of {extra['instead']}")
    if "typical" in extra:
        sentences.append(f"typical: {extra['typical']}")
    words = words_in(info)
    if words and '"' not in extra.get("measure", ""):
        sentences.append("one of " + ", ".join(f'"{word}"' for word in words))
    if readings_in(info) is not None:
        sentences.append("as in [10, 20]" if "[x, y]" in what else "a list, as in [0, 5, 10]")
    return " ".join(f"{s[:1].upper()}{s[1:]}." for s in sentences if s)
