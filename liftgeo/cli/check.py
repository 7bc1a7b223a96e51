"""`liftgeo check`: every quantity of a file read back, what follows from it, and its warnings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    FigurePath,
    FileOrExample,
    Force,
    LeftOut,
    Units,
    again,
    given,
    how_sure,
    open_mechanism,
    text_of,
)
from liftgeo.cli.output import Outputs, emit

if TYPE_CHECKING:
    from liftgeo.cautions import Warning
    from liftgeo.errors import GeometryError
    from liftgeo.figures import Figure
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
        "A file that cannot be analysed is told what to put right; --figure draws its numbers at "
        "their places, with the faults.\n\n"
        "Example: liftgeo check my-clutch.toml --figure check.pdf",
    )(check)


def check(
    file: FileOrExample = None,
    change: Changes = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    figure: FigurePath = None,
    units: Units = "metric",
    force: Force = False,
) -> int:
    """Read the file back."""
    wanted = Outputs(as_json, None, figure, units, force, given(file))
    from liftgeo.errors import GeometryError

    text = text_of(file)
    try:
        mechanism = open_mechanism(file, change, left_out, text)
        check_changes(mechanism)
    except GeometryError as error:
        if figure is not None:
            draw_faults(wanted, text, error, change or [])
        raise
    from liftgeo.mechanism.derived import derived
    from liftgeo.outcome.analysis import stroke
    from liftgeo.words.check_page import check_page

    follows, warnings = derived(mechanism), stroke(mechanism).warnings
    sure, name = how_sure(mechanism), again(file, change, left_out=left_out)

    def drawing() -> Figure:
        from liftgeo.figures.drawing_sheet import drawing_sheet
        from liftgeo.studies.drawn import drawn

        return drawing_sheet(drawn(mechanism), stroke(mechanism), units=units)

    emit(
        wanted,
        page=lambda: check_page(mechanism, follows, warnings, sure, name),
        data=lambda: _as_data(mechanism, follows, warnings, sure),
        drawing=drawing,
    )
    return 0


def draw_faults(wanted: Outputs, text: str, error: GeometryError, changes: list[str]) -> None:
    """Write the sheet of a file that cannot be analysed, where the file can be read at all."""
    from liftgeo.cli.output import say
    from liftgeo.errors import GeometryError
    from liftgeo.figures.faults_sheet import faults_sheet
    from liftgeo.figures.output import render
    from liftgeo.files import shown, write_whole
    from liftgeo.geometry_file import parsed
    from liftgeo.outline.attempt import attempts

    if wanted.figure is None:
        return
    try:
        document = parsed(text.replace("\r\n", "\n"), error.source)
    except (GeometryError, RecursionError):
        say("The file cannot be read, so there is nothing to draw yet.")
        return
    sheet = faults_sheet(
        str(document.get("title", "")),
        attempts(document, changes),
        error.faults,
        units=wanted.units,
    )
    write_whole(wanted.figure, render(sheet, wanted.figure.suffix), force=wanted.force)
    say(f"Written: {shown(wanted.figure)}")


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
    from liftgeo.mechanism.consequence import consequence
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
    brings = {} if mechanism.origin is None else {"consequence": consequence(mechanism).to_dict()}
    return brings | {
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
        "next": [] if sure is None else sure.to_dict()["next"],
        "warnings": plain(warnings),
        "changes": {name: c.note for name, c in mechanism.changes.items()},
    }
