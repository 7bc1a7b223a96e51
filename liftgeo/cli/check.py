"""`liftgeo check`: every quantity of a file read back, what follows from it, and its warnings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    FileOrExample,
    LeftOut,
    name_of,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit

if TYPE_CHECKING:
    from liftgeo.cautions import Warning
    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.derived import Derived
    from liftgeo.outcome.known import Known


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "check",
        short_help="Read a file back, with all that follows from it and its warnings.",
        help="Read a file back: every quantity in metric and inch with its ±, what is taken as "
        "usual where it is left out, what follows, all warnings, and what to add or measure next. "
        "A file that cannot be analysed is told what to put right.\n\n"
        "Example: liftgeo check my-clutch.toml",
    )(check)


def check(
    file: FileOrExample = None,
    change: Changes = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
) -> int:
    """Read the file back."""
    mechanism = open_mechanism(file, change, left_out)
    check_changes(mechanism)
    from liftgeo.mechanism.derived import derived
    from liftgeo.outcome.analysis import stroke
    from liftgeo.outcome.known import known
    from liftgeo.words.check_page import check_page

    follows, warnings = derived(mechanism), stroke(mechanism).warnings
    sure = known(mechanism)
    emit(
        Outputs(as_json),
        page=lambda: check_page(mechanism, follows, warnings, sure, name_of(file)),
        data=lambda: _as_data(mechanism, follows, warnings, sure),
    )
    return 0


def check_changes(mechanism: Mechanism) -> None:
    """Raise every fault of a change that cannot be laid over the file, all at once."""
    from dataclasses import replace

    from liftgeo.errors import GeometryError

    faults = []
    for name in mechanism.changes:
        try:
            mechanism.changed(name)
        except GeometryError as error:
            faults += [replace(f, key=f"changes.{name}.{f.key}") for f in error.faults]
    if faults:
        raise GeometryError(faults, mechanism.source)


def _each(raw: object) -> Sequence[object]:
    """Return the values of a list, or a single one as a list."""
    return raw if isinstance(raw, list | tuple) else [raw]


def _as_data(
    mechanism: Mechanism,
    follows: list[Derived],
    warnings: tuple[Warning, ...],
    sure: Known | None,
) -> dict[str, Any]:
    from liftgeo.mechanism.key_facts import describe, measure_of
    from liftgeo.mechanism.laying import kind_of
    from liftgeo.mechanism.to_add import to_add
    from liftgeo.outcome.results import plain
    from liftgeo.quantities import Measured, unit_of
    from liftgeo.words.check_page import given

    quantities = []
    for dotted, dimension, value in given(mechanism):
        entry: dict[str, Any] = {
            "key": dotted,
            "value": list(value) if isinstance(value, tuple) else value,
        }
        if value == math.inf:
            entry["value"] = "rigid"
        if dimension:
            entry["unit"] = unit_of(dimension)
            if any(isinstance(text, str) for text in _each(mechanism.given[dotted])):
                entry["typed"] = mechanism.given[dotted]
        if isinstance(value, Measured):
            entry |= {"value": float(value), "half_width": value.half_width}
            entry["uniform"] = value.uniform
        quantities.append(entry)
    lacking = []
    for fault in to_add(mechanism):
        kind = kind_of(mechanism.given, fault.key.split(".")[0])
        what, how = describe(fault.key, kind)[0], measure_of(fault.key, kind)
        lacking.append({"key": fault.key, "what": what or "which kind it is", "how": how})
    return {
        "title": mechanism.title,
        "change": mechanism.change,
        "quantities": quantities,
        "derived": [
            {"table": d.table, "name": d.name, "value": d.value, "unit": unit_of(d.dimension)}
            for d in follows
        ],
        "condition": mechanism.condition,
        "left_out": mechanism.left_out,
        "taken": [
            {
                "key": item.key,
                "value": item.value,
                "low": item.low,
                "high": item.high,
                "unit": item.unit,
                "source": item.source,
            }
            for item in mechanism.taken
        ],
        "level": mechanism.level,
        "lacking": lacking,
        "next": [] if sure is None else plain(sure.next),
        "warnings": plain(warnings),
        "changes": {name: c.note for name, c in mechanism.changes.items()},
    }
