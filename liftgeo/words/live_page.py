"""What the what-if page says in words of its own: what to do next is done on the page itself."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from liftgeo.mechanism.laying import ALTERNATIVES, covers
from liftgeo.mechanism.needs import needs
from liftgeo.words.certainty import bench_line, named, taken_text
from liftgeo.words.measuring_sheet import HEADINGS
from liftgeo.words.partial_page import partial_blocks

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.outcome.results import Result

BENCH = "At the bench"
"""What the fields for readings stand under."""


def for_page(text: str) -> str:
    """Return a text without what is to be typed into a terminal, which the page is there to spare.

    Parameters
    ----------
    text : str
        Sentences of ours; one with a command or an option in it is left out.
    """
    said = [part for part in re.split(r"(?<=[.;!?])\s+", text) if not _typed_elsewhere(part)]
    kept = " ".join(said).rstrip(";").strip()
    return f"{kept}." if kept and kept[-1] not in ".!?:" else kept


def _typed_elsewhere(part: str) -> bool:
    return "`liftgeo" in part or re.search(r"(?<!\S)--[a-z]", part) is not None


def partial_lines(result: Result, mechanism: Mechanism, units: str) -> list[str]:
    """Return what can be told of a machine that is not whole yet, and which fields come next.

    Paragraphs without a break in them, and tables with their lines.
    """
    blocks = [block for block in partial_blocks(result, mechanism, units) if block]
    tables = [any("   " in line.strip() for line in block) for block in blocks]
    told = [
        ("\n" if table else " ").join(map(str, block))
        for table, block in zip(tables, blocks, strict=True)
    ]
    return [*told, _next_fields(mechanism)]


def _next_fields(mechanism: Mechanism) -> str:
    lacking = [fault.key for fault in mechanism.lacking]
    after = ("release", "spring", "faces")
    table = next((t for t in after if t not in mechanism.tables), after[-1])
    own = [key for key in lacking if key.split(".")[0] in (table, "stack")]
    if not own:
        own = [n.key for n in needs() if n.key.startswith(f"{table}.") and not n.kind]
    what = ", ".join(dict.fromkeys(named(key) for key in own)) or "what is asked"
    return f"Next: fill in {what} on the left, under {HEADINGS[table]}."


def taken_here(mechanism: Mechanism, units: str) -> dict[str, str]:
    """Return what every number that is not given is taken as, by key."""
    return {
        item.key: f"taken as {taken_text(mechanism, item, units).removeprefix(named(item.key))[1:]}"
        for item in mechanism.taken
    }


def gone_text(mechanism: Mechanism, stock: Mechanism) -> dict[str, str]:
    """Return which keys of a file a trial has put out of force, each with what stands for it."""
    found = {}
    for key in stock.given:
        if key in mechanism.given or key.endswith(".kind"):
            continue
        instead = _instead_of(key, mechanism)
        found[key] = f"not in force: {instead} says it" if instead else "not in force"
    return found


def _instead_of(key: str, mechanism: Mechanism) -> str:
    for options in ALTERNATIVES:
        if any(covers(option, key) for option in options):
            others = [option for option in options if not covers(option, key)]
            for given in mechanism.given:
                if any(covers(option, given) for option in others):
                    return given
    return ""


def where_readings_go() -> str:
    """Return what to do with a reading, for `next_measure_line`."""
    return f'write it on the left, under "{BENCH}"'


def bench_said(known: Known, units: str) -> str:
    """Return how well the readings agree with the file; empty without readings."""
    return for_page(bench_line(known, units))
