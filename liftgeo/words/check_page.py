"""The page that reads a file back: what is given, taken and follows, and what to do next."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

from liftgeo.cautions import looks_wrong
from liftgeo.mechanism.fields import NONE_WORDS, plain_digits
from liftgeo.mechanism.key_facts import (
    describe,
    dimension_of,
    number_of,
    readings_of,
    shape_of,
)
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.outlines import points_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.mechanism.to_add import to_add
from liftgeo.outcome.uncertain import SURE
from liftgeo.plain_text import cut
from liftgeo.quantities import DIMENSIONS, Measured, Ranged, converted, shown
from liftgeo.words.certainty import in_twenty
from liftgeo.words.follow_lines import follow_lines
from liftgeo.words.foot import as_worked, lines_as_worked
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, one_line, page, wrapped
from liftgeo.words.verdict import titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.cautions import Warning
    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.derived import Derived
    from liftgeo.mechanism.usual import Taken
    from liftgeo.outcome.known import Known

_LARGE, _COARSE = 1000.0, 100.0
_LONGEST_TYPED = 26
_UNUSED = "not used yet"
_GIVES = {
    "ratio": "the ratio of lever, cable and arm",
    "lift": "the lift by geometry",
    "effort": "lift and effort",
}
"""What a file gives that reaches so far."""


def given(mechanism: Mechanism) -> list[tuple[str, str, Any]]:
    """Return each key the file gives: dotted key, dimension ("" for words), value as read."""
    found: list[tuple[str, str, Any]] = []
    for dotted, raw in mechanism.given.items():
        table = dotted.split(".")[0]
        kind, used = kind_of(mechanism.given, table), table in mechanism.tables
        each, number = readings_of(dotted, kind), number_of(dotted, kind)
        value = mechanism.keys[dotted] if used else raw  # a table that is not whole is not used
        if each is not None:
            read = value if used else tuple(each.check(item) for item in raw)
            found.append((dotted, each.dimension, read))
        elif shape_of(dotted, kind) is not None:
            found.append((dotted, "length", value))
        elif number is not None:
            found.append((dotted, number.dimension, value if used else number.check(raw)))
        else:
            found.append((dotted, "", value))
    return found


def check_page(
    mechanism: Mechanism,
    follows: Sequence[Derived],
    warnings: Sequence[Warning],
    sure: Known | None,
    name: str,
) -> list[str]:
    """Return the whole page.

    Parameters
    ----------
    mechanism : Mechanism
    follows : sequence of Derived
        What follows from each table.
    warnings : sequence of Warning
    sure : Known or None
        How sure its answer is; None where it is partial, or nothing is uncertain.
    name : str
        The file, as a next command would name it.
    """
    title = titled(mechanism.title, mechanism.change)
    count = len(mechanism.changes)
    tried = {0: "", 1: " Its change can be analysed too."}.get(
        count, f" Its {count} changes can be analysed too."
    )
    head = f"Nothing to put right.{tried} Read each line against your notes."
    if mechanism.level != "full":
        head = (
            f"Nothing to put right, but not all is there yet: it gives {_GIVES[mechanism.level]}."
        )
    if any(looks_wrong(warning.key) for warning in warnings):
        head = f"It can be analysed, but something looks wrong: see the cautions below.{tried}"
    reach = "" if mechanism.level == "full" else ", as far as the file reaches"
    following = f"Next: `liftgeo stroke {name}` gives the answer{reach}."
    told = lines_as_worked(follow_lines(mechanism, "metric"), mechanism)
    return page(
        [*([title] if title else []), *headline(head), *told, *_taken_lines(mechanism)],
        *_tables(mechanism, follows),
        warning_lines(warnings, mechanism, "metric") or ["No warnings."],
        [*_next_lines(mechanism, sure), *wrapped(following), *last_lines(full=True)],
    )


def input_rows(
    mechanism: Mechanism, follows: Sequence[Derived]
) -> Iterator[tuple[str, str, str, str]]:
    """Yield key, metric, inch and meaning of each quantity, as it was given, taken or follows."""
    for table, (name, *cells) in _rows(mechanism, follows):
        key = name.strip()
        if key.startswith("= "):
            yield f"[{table}] {key}", *_pair(cells), "follows from the others"
            continue
        home = key.split(",")[0].split(" ")[0]
        what, _ = describe(f"{table}.{home}", kind_of(mechanism.keys, table))
        yield f"{table}.{key}", *_pair(cells), what


def _pair(cells: Sequence[str]) -> tuple[str, str]:
    metric, inch = cells
    return metric, inch


def _taken_lines(mechanism: Mechanism) -> list[str]:
    """Return what a line marked usual means, and where its range comes from."""
    count = len(mechanism.taken)
    if not count:
        return []
    keys = "1 key is" if count == 1 else f"{count} keys are"
    sources = "; ".join(dict.fromkeys(item.source for item in mechanism.taken))
    return wrapped(
        f"{keys} not given. Each line marked usual is what is taken for a {mechanism.condition} "
        f"machine, anywhere in its range ({sources}); measure it where it matters."
    )


def _next_lines(mechanism: Mechanism, sure: Known | None) -> list[str]:
    """Return what to add for a fuller answer, or what to measure for a surer one."""
    missing = to_add(mechanism)
    lines: list[str] = []
    if missing:
        tables = [
            f"[{table}] {', '.join(fault.key.split('.', 1)[1] for fault in own)}"
            for table, own in groupby(missing, key=lambda fault: fault.key.split(".")[0])
        ]
        lines += wrapped(f"To add next: {'; then '.join(tables)}.")
        for fault in missing:
            what = fault.problem.partition(": ")[2].rstrip(".")
            how = fault.remedy.removeprefix("How to measure it: ")
            lines += wrapped(f"  {fault.key}: {what}; {how}", indent="    ")
    if sure is None:
        return lines
    now = max(sure.frees, 1 - sure.frees)
    said = f"The answer is sure {in_twenty(now)} times in 20 as it stands."
    if now >= SURE:
        return [*lines, *wrapped(f"{said} No reading is wanting.")]
    if not sure.next:
        return [*lines, *wrapped(f"{said} No single reading would make it surer.")]
    lines += wrapped(f"{said} To measure next, the best first:")
    for before, step in zip(["", *["and "] * len(sure.next)], sure.next, strict=False):
        what = step.key or f"bench.{step.reading}"
        how = f"  {before}{what} ({step.how}): then the answer is sure "
        lines += wrapped(f"{how}{in_twenty(step.certainty)} times in 20", indent="    ")
    return lines


def _tables(mechanism: Mechanism, follows: Sequence[Derived]) -> Iterator[list[str]]:
    """Yield each table of the file as lines, all in the same columns."""
    rows = _rows(mechanism, follows)
    laid = iter(columns([row for _, row in rows], gap=2))
    for table, own in groupby(rows, key=lambda row: row[0]):
        yield [_heading(mechanism, table), *(next(laid) for _ in own)]


def _heading(mechanism: Mechanism, table: str) -> str:
    kind = kind_of({**mechanism.given, **mechanism.keys}, table)
    whole = table in mechanism.tables or not any(k.split(".")[0] == table for k in mechanism.given)
    return f"[{table}]" + (f"  {kind}" if kind else "") + ("" if whole else "  not whole yet")


def _rows(mechanism: Mechanism, follows: Sequence[Derived]) -> list[tuple[str, list[str]]]:
    """Return table, and key, metric and inch, of each quantity; derived ones after the given.

    What was typed in another way than it is shown stands in place of the inches.
    """
    rows: list[tuple[str, list[str]]] = []
    quantities = given(mechanism)
    keys = [*mechanism.given, *(item.key for item in mechanism.taken)]
    there = {*mechanism.tables, *(key.split(".")[0] for key in keys)}
    for table in [name for name in TABLES if name in there]:
        for dotted, dimension, value in quantities:
            home, key = dotted.split(".", 1)
            if home == table and key != "kind":
                named = [(f"  {k}", cells) for k, cells in _named(key, value, dimension)]
                if value == 0 and str(mechanism.given[dotted]).strip().lower() in NONE_WORDS:
                    named = [(f"  {key}", ["none", ""])]
                typed = _typed(mechanism.given[dotted], dimension, len(named))
                rows += [
                    (
                        table,
                        [k, cells[0], (note or cells[1]) if table in mechanism.tables else _UNUSED],
                    )
                    for (k, cells), note in zip(named, typed, strict=True)
                ]
        for item in mechanism.taken:
            home, key = item.key.split(".", 1)
            if home == table:
                rows.append((table, [f"  {key}", *_taken_cells(item, mechanism)]))
        for line in follows:
            if line.table == table:
                digits = 0 if abs(line.value) >= _LARGE else DIMENSIONS[line.dimension].digits
                digits = 2 if line.dimension == "area" else digits
                metric = shown(line.value, line.dimension, "metric", digits)
                cells = [metric, _inch(line.value, line.dimension)]
                rows.append((table, [f"  = {as_worked(line.name, mechanism)}", *cells]))
    return rows


def _named(key: str, value: Any, dimension: str) -> Iterator[tuple[str, list[str]]]:
    """Yield a key with its cells; a list of readings takes a row each."""
    if not isinstance(value, tuple):
        yield key, _cells(value, dimension)
        return
    if value and isinstance(value[0], tuple | list):
        for name, point in points_of(value):
            cells = [_cells(each, dimension) for each in point]
            yield (
                f"{key}, {name}",
                [_together(each) for each in zip(*cells, strict=True)],
            )
        return
    for k, each in enumerate(value):
        yield (
            f"{key}, reading {k + 1}" if len(value) > 2 else f"{key} {'xy'[k]}",
            _cells(each, dimension),
        )


def _together(cells: Sequence[str]) -> str:
    """Return numbers of one unit side by side, the unit once behind them."""
    there = [cell.partition(" ") for cell in cells if cell]
    unit = there[-1][2] if there else ""
    return f"{', '.join(number for number, _, _ in there)} {unit}".strip()


def _typed(raw: Any, dimension: str, count: int) -> list[str]:
    """Return for each number how it was typed, where that is another way than it is shown."""
    each = list(raw) if isinstance(raw, list | tuple) else [raw]
    return [_typed_note(text, dimension) for text in each] if len(each) == count else [""] * count


def _typed_note(raw: Any, dimension: str) -> str:
    if not isinstance(raw, str) or not dimension or raw.strip().lower() in NONE_WORDS:
        return ""
    unit = re.escape(DIMENSIONS[dimension].unit)
    plain = rf"[-+\d.eE]+\s*({unit})?(\s*(±|\+/-|\+-|to)\s*[\d.eE]+\s*({unit})?)?(\s*uniform)?"
    return "" if re.fullmatch(plain, raw.strip()) else cut(one_line(raw), _LONGEST_TYPED)


def _cells(value: Any, dimension: str) -> list[str]:
    """Return metric and inch of a quantity."""
    if value == math.inf:
        return ["rigid", ""]
    if not dimension:
        return [str(value).lower() if isinstance(value, bool) else str(value), ""]
    return [shown(value, dimension, "metric", _digits(value, dimension)), _inch(value, dimension)]


def _taken_cells(item: Taken, mechanism: Mechanism) -> list[str]:
    """Return the value taken, and its range with the mark that it was not measured."""
    dimension = dimension_of(item.key, kind_of(mechanism.keys, item.key.split(".")[0]))
    digits = 0 if item.value >= _COARSE else DIMENSIONS[dimension].digits
    reach = shown(Ranged(item.low, item.high), dimension, "metric", digits)
    return [shown(item.value, dimension, "metric", digits), f"usual, {reach}"]


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
