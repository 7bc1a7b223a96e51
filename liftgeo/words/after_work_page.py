"""The page after the work: what the readings did, and what the sums said they would."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.quantities import DIMENSIONS, converted, unit_of
from liftgeo.words.certainty import reading_words
from liftgeo.words.commands import command
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, noted, page, wrapped
from liftgeo.words.numbers import fixed
from liftgeo.words.verdict import titled

if TYPE_CHECKING:
    from liftgeo.studies.after_work import AfterWork, Moved


def answer(found: AfterWork, units: str) -> str:
    """Return whether the change did what the sums said, in one sentence."""
    count = len(found.rows)
    wrong = [row for row in found.rows if not row.agrees]
    if not wrong:
        each = "the reading" if count == 1 else f"all {count} readings"
        return f"YES, it did what the sums said: {each} changed as they say, within the ±."
    what = " and ".join(reading_words(row.reading, units) for row in wrong[:2])
    more = f" and {len(wrong) - 2} more" if len(wrong) > 2 else ""
    return (
        f"NOT AS THE SUMS SAID: {what}{more} changed by more or less than the ± allow. Was it all "
        "of the change, and only that? Something else was moved too, or a number of the change is "
        "not what was made."
    )


def row_cells(row: Moved, units: str) -> list[str]:
    """Return one reading as cells: before, after, changed by, said."""
    dimension = next(d for d in DIMENSIONS.values() if d.unit == row.unit)
    digits = dimension.digits if units == "metric" else dimension.inch_digits
    wide = digits + 1 if dimension.name == "force" and units == "metric" else digits

    def text(value: float, places: int = digits, sign: bool = False) -> str:
        number = fixed(converted(value, dimension.name, units), places)
        return f"+{number}" if sign and value > 0 and not number.startswith("-") else number

    return [
        f"  {reading_words(row.reading, units)}, {unit_of(dimension.name, units)}",
        text(row.before),
        text(row.after),
        f"{text(row.measured, wide, True)} ± {text(row.measured_plus_minus, wide)}",
        f"{text(row.said, wide, True)} ± {text(row.said_plus_minus, wide)}",
    ]


def after_work_page(found: AfterWork, units: str, name: str, asked: str) -> list[str]:
    """Return the whole page.

    Parameters
    ----------
    found : AfterWork
    units : {"metric", "inch"}
    name : str
        The file as a command takes it, with the change that was made.
    asked : str
        The files of readings, as they were typed: "--before b.csv --after a.csv".
    """
    rows = [["After the work", "before", "after", "changed by", "sums said"]]
    rows += [row_cells(row, units) for row in found.rows]
    notes = ["", *("" if row.agrees else "  <- no" for row in found.rows)]
    lone = ""
    if found.unmatched:
        each = ", ".join(reading_words(name, units) for name in found.unmatched)
        lone = f"Read only before or only after, and left aside: {each}."
    return page(
        [title] if (title := titled(found.title, found.change)) else [],
        headline(answer(found, units)),
        noted(columns(rows), notes),
        wrapped(
            "The sums take the readings before the work in; what the file does not know is the "
            "same before and after, and so is mostly left out of the difference."
        ),
        wrapped(lone),
        wrapped(
            f"Next: {command('report', name, more=f'{asked} -o page.html')} writes it up. Then "
            "write the change into the file for good, and what was read after the work under "
            "[bench]."
        )
        + last_lines(full=True),
    )
