"""`liftgeo check`: every quantity of a file read back, what follows from it, and its warnings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import typer

from liftgeo.cli.options import AsJson, Changes, FileOrExample, name_of, open_mechanism
from liftgeo.cli.output import WORK_SAFELY, bold, columns, print_json, wrapped

if TYPE_CHECKING:
    from liftgeo.cautions import Warning
    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.derived import Derived

_LARGE = 1000.0


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "check",
        short_help="Read a file back, with all that follows from it and its warnings.",
        help="Read a file back: every quantity in metric and inch with its ±, what follows from "
        "it, and all warnings. A file that cannot be analysed, or a blank, is named.\n\n"
        "Example: liftgeo check my-clutch.toml",
    )(check)


def check(file: FileOrExample = None, change: Changes = None, as_json: AsJson = False) -> int:
    """Read the file back."""
    mechanism = open_mechanism(file, change)
    check_changes(mechanism)
    from liftgeo.mechanism.derived import derived
    from liftgeo.outcome.analysis import stroke

    warnings = stroke(mechanism).warnings
    if as_json:
        print_json(_as_data(mechanism, derived(mechanism), warnings))
        return 0
    name = name_of(file)
    typer.echo("\n".join(_page(mechanism, derived(mechanism), warnings, name)))
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


def given(mechanism: Mechanism) -> list[tuple[str, str, Any]]:
    """Return each key the file gives: dotted key, dimension ("" for words), value as read."""
    from liftgeo.mechanism.key_facts import dimension_of, number_of, readings_of
    from liftgeo.mechanism.laying import kind_of

    found = []
    for dotted in mechanism.given:
        kind = kind_of(mechanism.given, dotted.split(".")[0])
        value, each = mechanism.keys[dotted], readings_of(dotted, kind)
        if each is not None:
            found.append((dotted, each.dimension, value))
        elif number_of(dotted, kind) is not None:
            found.append((dotted, dimension_of(dotted, kind), value))
        else:
            found.append((dotted, "", value))
    return found


def _as_data(
    mechanism: Mechanism, follows: list[Derived], warnings: tuple[Warning, ...]
) -> dict[str, Any]:
    from liftgeo.outcome.results import plain
    from liftgeo.quantities import Measured, unit_of

    quantities = []
    for dotted, dimension, value in given(mechanism):
        entry: dict[str, Any] = {
            "key": dotted,
            "value": list(value) if isinstance(value, tuple) else value,
        }
        if dimension:
            entry["unit"] = unit_of(dimension)
        if isinstance(value, Measured):
            entry |= {"value": float(value), "half_width": value.half_width}
            entry["uniform"] = value.uniform
        quantities.append(entry)
    return {
        "title": mechanism.title,
        "change": mechanism.change,
        "quantities": quantities,
        "derived": [
            {"table": d.table, "name": d.name, "value": d.value, "unit": unit_of(d.dimension)}
            for d in follows
        ],
        "warnings": plain(warnings),
        "changes": {name: c.note for name, c in mechanism.changes.items()},
    }


def _page(
    mechanism: Mechanism, follows: list[Derived], warnings: tuple[Warning, ...], name: str
) -> list[str]:
    """Return the whole page."""
    from liftgeo.cautions import looks_wrong

    title = mechanism.title + (f", with {mechanism.change}" if mechanism.change else "")
    count = len(mechanism.changes)
    tried = {0: "", 1: " Its change can be analysed too."}.get(
        count, f" Its {count} changes can be analysed too."
    )
    head = f"Nothing to put right.{tried} Read each line against your notes."
    if any(looks_wrong(warning.key) for warning in warnings):
        head = f"It can be analysed, but something looks wrong: see the cautions below.{tried}"
    lines = [*([title] if title else []), *map(bold, wrapped(head)), ""]
    rows = _rows(mechanism, follows)
    laid = columns([row for _, row in rows], gap=2)
    table = ""
    for (home, _), text in zip(rows, laid, strict=True):
        if home != table:
            lines += ([""] if table else []) + [_heading(mechanism, home)]
            table = home
        lines.append(text)
    lines.append("")
    for warning in warnings:
        lines += wrapped(f"{warning.severity.upper():<8}{warning.message}", indent=" " * 8)
    lines += ["" if warnings else "No warnings.", *([] if warnings else [""])]
    lines += wrapped(f"Next: `liftgeo stroke {name}` gives the answer.") + wrapped(WORK_SAFELY)
    return lines


def _heading(mechanism: Mechanism, table: str) -> str:
    kind = mechanism.keys.get(f"{table}.kind", "")
    return f"[{table}]" + (f"  {kind}" if kind else "")


def _rows(mechanism: Mechanism, follows: list[Derived]) -> list[tuple[str, list[str]]]:
    """Return table, and key, metric and inch, of each quantity; derived ones after the given."""
    rows: list[tuple[str, list[str]]] = []
    quantities = given(mechanism)
    for table in mechanism.tables:
        for dotted, dimension, value in quantities:
            home, key = dotted.split(".", 1)
            if home == table and key != "kind":
                rows += [(table, [f"  {k}", *cells]) for k, cells in _named(key, value, dimension)]
        for line in follows:
            if line.table == table:
                cells = _cells(line.value, line.dimension)
                rows.append((table, [f"  = {line.name}", *cells]))
    return rows


def _named(key: str, value: Any, dimension: str) -> Iterator[tuple[str, list[str]]]:
    """Yield a key with its cells; a list of readings takes a row each."""
    if not isinstance(value, tuple):
        yield key, _cells(value, dimension)
        return
    for k, each in enumerate(value):
        yield (
            f"{key}, reading {k + 1}" if len(value) > 2 else f"{key} {'xy'[k]}",
            _cells(each, dimension),
        )


def _cells(value: Any, dimension: str) -> list[str]:
    """Return metric and inch of a quantity."""
    if not dimension:
        return [str(value).lower() if isinstance(value, bool) else str(value), ""]
    from liftgeo.quantities import shown

    return [shown(value, dimension, "metric", _digits(value, dimension)), _inch(value, dimension)]


def _digits(value: float, dimension: str) -> int | None:
    """Return the decimals worth showing in metric: as typed, but never a false fineness."""
    from liftgeo.mechanism.fields import plain_digits
    from liftgeo.quantities import DIMENSIONS, Measured

    if abs(value) >= _LARGE or (dimension == "ratio" and float(value).is_integer()):
        return 0
    if isinstance(value, Measured):
        return None
    typed = plain_digits(float(value))
    usual = 2 if dimension == "area" else DIMENSIONS[dimension].digits
    return max(usual, typed) if typed <= usual + 1 else usual


def _inch(value: float, dimension: str) -> str:
    """Return a quantity in inch units; empty where they are the same."""
    from liftgeo.quantities import DIMENSIONS, converted, shown

    if DIMENSIONS[dimension].inch_factor == 1.0:
        return ""
    large = abs(converted(float(value), dimension, "inch")) >= _LARGE
    return shown(value, dimension, "inch", 0 if large else None)
