"""The page of a partial answer: what the file tells so far, and which table to add next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from liftgeo.mechanism.derived import derived
from liftgeo.mechanism.needs import needs
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES
from liftgeo.words.certainty import taken_line
from liftgeo.words.commands import command, file_alone
from liftgeo.words.follow_lines import follow_lines
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.names import ITEM_WORDS, STOP_WORDS
from liftgeo.words.numbers import Shown
from liftgeo.words.verdict import titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.results import Result

_REACHES = {
    "ratio": "so far the file tells what lever and arm do",
    "lift": "so far the file tells the lift by geometry alone, without any load",
    "effort": "so far the file tells lift and effort, not how far the faces part",
}

_NO_LOAD = ("cable.free_play", "rod.end_float")
_HAVE_A_SAY = {"ratio": _NO_LOAD[:1], "lift": _NO_LOAD, "effort": None}
"""Of what was left out, what a partial answer rests on; without a load only plays count."""


def answer_line(result: Result, mechanism: Mechanism, show: Shown) -> str:
    """Return in a few sentences what can be told."""
    full = result.full_lever
    text = (
        f"PARTIAL: {_REACHES[mechanism.level]}. At full lever the cable is pulled "
        f"{show.length(full.cable_pull_mm, coarse=True)} and the arm turns "
        f"{full.arm_rotation_deg:z.1f} deg"
    )
    if not np.isnan(full.rod_travel_mm):
        text += (
            f"; the rod moves {show.length(full.rod_travel_mm)} and the plate lifts "
            f"{show.length(full.plate_lift_mm)}"
        )
    text += "."
    if mechanism.level == "effort":
        text += (
            f" The hand pulls {show.force(result.peak.hand_force_n)} at most; the spring clamps "
            f"with {show.force(result.capacity.clamp_force_n)}."
        )
    return text


def next_line(mechanism: Mechanism, name: str) -> str:
    """Return which table to add next, with the keys it needs."""
    lacking = [fault.key for fault in mechanism.lacking]
    after = ("release", "spring", "faces")
    table = next((t for t in after if t not in mechanism.tables), "")
    measured = f"{command('sheet', file_alone(name))} prints a sheet that says how it is measured"
    own = [key for key in lacking if key.split(".")[0] in (table, "stack")]
    if own:
        wanted = ", ".join(own)
        return f"Next: add {wanted}; {command('check', name)} says how each is measured."
    kinds = [kind for kind in TABLES[table] if kind]
    kind = DEFAULT_KIND.get(table, "")
    needed = [n.key.split(".")[1] for n in needs() if n.key.startswith(f"{table}.") and not n.kind]
    what = f"kind (one of {', '.join(kinds)})" if kinds and not kind else ", ".join(needed)
    return f"Next: add [{table}] with its {what}; {measured}."


def budget_lines(result: Result, show: Shown) -> list[str]:
    """Return the lines of the lift budget that can be told."""
    told = [
        line
        for line in result.budget
        if np.isfinite(line.left_mm) and (line.item == "geometry" or abs(line.lost_mm) >= 5e-4)
    ]
    if not told:
        return []
    rows = [["Where the lift goes", "lost", "left"]]
    for line in told:
        lost = "" if line.item == "geometry" else show.bare(line.lost_mm)
        rows.append([f"  {ITEM_WORDS[line.item]}", lost, show.bare(line.left_mm)])
    lines = columns(rows, gap=4)
    return [lines[0] + f", {show.unit('length')} at the plate", *lines[1:]]


def ratio_lines(mechanism: Mechanism, show: Shown) -> list[str]:
    """Return what the lever makes of the hand's travel."""
    found = {line.name: line.value for line in derived(mechanism) if line.table == "lever"}
    names = ("hand over cable travel, at rest", "hand over cable travel, at the grip")
    rest, grip = (found.get(name, np.nan) for name in names)
    if not np.isfinite(rest):
        return []
    return [f"Lever: {rest:.1f} times the cable's travel at rest, {grip:.1f} times at the grip."]


def partial_blocks(result: Result, mechanism: Mechanism, units: str) -> list[list[str]]:
    """Return what can be told, block by block."""
    show = Shown(units)
    full = result.full_lever
    where = (
        f"Full lever: {show.length(full.hand_travel_mm, coarse=True)} at the hand, stopped by "
        f"{STOP_WORDS[result.stopped_by]}; lever {full.lever_angle_deg:z.1f} deg."
    )
    blocks = (
        [*headline(answer_line(result, mechanism, show)), *follow_lines(mechanism, units)],
        [*ratio_lines(mechanism, show), *wrapped(where)],
        budget_lines(result, show),
        wrapped(taken_line(mechanism, None, units, _HAVE_A_SAY[mechanism.level])),
    )
    return [lines_as_worked(block, mechanism) for block in blocks]


def partial_page(result: Result, mechanism: Mechanism, units: str, name: str) -> list[str]:
    """Return the whole page; `name` is the file as a next command would name it."""
    title = titled(result.title, result.change)
    return page(
        [title] if title else [],
        *partial_blocks(result, mechanism, units),
        warning_lines(result.warnings, mechanism, units),
        [*wrapped(next_line(mechanism, name)), *last_lines(full=True)],
    )
