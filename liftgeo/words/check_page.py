"""The page that reads a file back: each quantity with its unit and ±, and what follows from it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from liftgeo.cautions import looks_wrong
from liftgeo.mechanism.fields import plain_digits
from liftgeo.mechanism.key_facts import dimension_of, number_of, readings_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.quantities import DIMENSIONS, Measured, converted, shown
from liftgeo.safety import WORK_SAFELY
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.verdict import titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.cautions import Warning
    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.derived import Derived

_LARGE = 1000.0


def given(mechanism: Mechanism) -> list[tuple[str, str, Any]]:
    """Return each key the file gives: dotted key, dimension ("" for words), value as read."""
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


def check_page(
    mechanism: Mechanism, follows: Sequence[Derived], warnings: Sequence[Warning], name: str
) -> list[str]:
    """Return the whole page; `name` is the file as a next command would name it."""
    title = titled(mechanism.title, mechanism.change)
    count = len(mechanism.changes)
    tried = {0: "", 1: " Its change can be analysed too."}.get(
        count, f" Its {count} changes can be analysed too."
    )
    head = f"Nothing to put right.{tried} Read each line against your notes."
    if any(looks_wrong(warning.key) for warning in warnings):
        head = f"It can be analysed, but something looks wrong: see the cautions below.{tried}"
    following = f"Next: `liftgeo stroke {name}` gives the answer."
    return page(
        [*([title] if title else []), *headline(head)],
        *_tables(mechanism, follows),
        warning_lines(warnings) or ["No warnings."],
        wrapped(following) + wrapped(WORK_SAFELY),
    )


def _tables(mechanism: Mechanism, follows: Sequence[Derived]) -> Iterator[list[str]]:
    """Yield each table of the file as lines, all in the same columns."""
    rows = _rows(mechanism, follows)
    laid = iter(columns([row for _, row in rows], gap=2))
    for table, own in groupby(rows, key=lambda row: row[0]):
        yield [_heading(mechanism, table), *(next(laid) for _ in own)]


def _heading(mechanism: Mechanism, table: str) -> str:
    kind = mechanism.keys.get(f"{table}.kind", "")
    return f"[{table}]" + (f"  {kind}" if kind else "")


def _rows(mechanism: Mechanism, follows: Sequence[Derived]) -> list[tuple[str, list[str]]]:
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
    return [shown(value, dimension, "metric", _digits(value, dimension)), _inch(value, dimension)]


def _digits(value: float, dimension: str) -> int | None:
    """Return the decimals worth showing in metric: as typed, but never a false fineness."""
    if abs(value) >= _LARGE or (dimension == "ratio" and float(value).is_integer()):
        return 0
    if isinstance(value, Measured):
        return None
    typed = plain_digits(float(value))
    usual = 2 if dimension == "area" else DIMENSIONS[dimension].digits
    return max(usual, typed) if typed <= usual + 1 else usual


def _inch(value: float, dimension: str) -> str:
    """Return a quantity in inch units; empty where they are the same."""
    if DIMENSIONS[dimension].inch_factor == 1.0:
        return ""
    large = abs(converted(float(value), dimension, "inch")) >= _LARGE
    return shown(value, dimension, "inch", 0 if large else None)
