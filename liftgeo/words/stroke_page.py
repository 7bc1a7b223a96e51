"""The page of one analysis: verdict, budget, full lever, effort, grip, and what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.quantities import shown
from liftgeo.words.certainty import (
    FILE_ALONE,
    certainty_lines,
    headline_word,
    rests_on_usual_friction,
    running_taken,
)
from liftgeo.words.clutch_end import clutch_end_lines
from liftgeo.words.commands import command, without_changes, write_up
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, noted, one_line, page, wrapped
from liftgeo.words.names import EVENT_WORDS, ITEM_WORDS, STOP_WORDS, VERDICT_WORDS
from liftgeo.words.numbers import Shown, fixed
from liftgeo.words.offer_lines import offer_lines
from liftgeo.words.verdict import answer_line, hand_force_target_n, titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.outcome.results import Result
    from liftgeo.parts.faces import Faces
    from liftgeo.studies.offers import Offer

_BAR = 32
_SMALL_MM = 0.005


def _what_follows(mechanism: Mechanism, units: str) -> list[str]:
    """Return what the changes laid over the file hold, and what follows, as lines."""
    if mechanism.origin is None:
        return []
    from liftgeo.words.follow_lines import follow_lines

    return follow_lines(mechanism, units)


def reason_line(result: Result, show: Shown) -> str:
    """Return where most of the lift is lost, in one sentence."""
    lines = [b for b in result.budget[1:] if b.lost_mm > _SMALL_MM]
    most = sorted(lines, key=lambda b: -b.lost_mm)[:4]
    if not most:
        return "Nothing measurable is lost on the way."
    each = [f"{ITEM_WORDS[b.item]} ({show.length(b.lost_mm)})" for b in most]
    listed = each[0] if len(each) == 1 else f"{', '.join(each[:-1])} and {each[-1]}"
    return f"Most is lost to {listed}."


def gap_line(result: Result, faces: Faces, show: Shown) -> str:
    """Return what a wet clutch still wants where the clearance alone would do; else nothing."""
    gap = result.full_lever.separation_mm / (2 * float(faces.plates))
    gross = float(faces.gross_target_mm)
    if result.verdict != "marginal" or gap >= gross:
        return ""
    return (
        f"In oil each face also wants a gap of {show.length(gross)} in all, run-out and tilt "
        f"included; it has {show.length(gap)}."
    )


def budget_lines(result: Result, show: Shown, target_mm: float) -> list[str]:
    """Return the lift budget with a bar for what is left."""
    longest = max(1e-9, *(line.left_mm for line in result.budget))
    rows = [["Where the lift goes", "lost", "left"]]
    bars = [f", {show.unit('length')} at the plate"]
    told = [b for b in result.budget if b.item == "geometry" or abs(b.lost_mm) >= 0.0005]
    losses = show.column(line.lost_mm for line in told)
    for line, lost, left in zip(told, losses, show.column(b.left_mm for b in told), strict=True):
        rows.append([f"  {ITEM_WORDS[line.item]}", "" if line.item == "geometry" else lost, left])
        bars.append("  " + "#" * round(_BAR * max(line.left_mm, 0.0) / longest))
    clearance = show.column([result.full_lever.clearance_per_face_mm])[0]
    rows.append(["  clearance per face", "", clearance])
    bars.append(f"  wanted {show.bare(target_mm)}")
    return noted(columns(rows, gap=4), bars)


def full_lever_lines(result: Result, show: Shown) -> list[str]:
    """Return the figures at full lever."""
    full = result.full_lever
    to_end = full.spring_to_stop_mm
    end = [] if np.isnan(to_end) else [f"  spring to its end {show.length(to_end)}"]
    return [
        f"Full lever: {show.length(full.hand_travel_mm, coarse=True)} at the hand, stopped by "
        f"{STOP_WORDS[result.stopped_by]}",
        f"  lever {full.lever_angle_deg:z.1f} deg   "
        f"cable {show.length(full.cable_pull_mm, coarse=True)}   "
        f"arm {full.arm_rotation_deg:z.1f} deg",
        f"  rod {show.length(full.rod_travel_mm)}   plate {show.length(full.plate_lift_mm)}",
        f"  hand {show.force(full.hand_force_n)}, "
        f"letting back {show.force(full.return_hand_force_n)}   "
        f"cable {show.force(full.cable_tension_n)}   rod {show.force(full.rod_force_n)}",
        *end,
    ]


def event_lines(result: Result, show: Shown) -> list[str]:
    """Return the events with the hand travel left after each."""
    rows = [["On the way", "hand travel", "left"]]
    for event in result.events:
        name = f"  {EVENT_WORDS[event.name]}"
        if event.reached:
            travel, left = (
                show.length(x, coarse=True) for x in (event.hand_travel_mm, event.left_mm)
            )
            rows.append([name, travel, left])
        else:
            rows.append([name, "not reached", ""])
    return columns(rows, gap=4)


_INDENT = " " * 8


def lever_lines(result: Result, show: Shown) -> list[str]:
    """Return the lever's way in a line: its travel, and where what happens."""
    at = {event.name: event for event in result.events}
    slack, part, clear = (at[k] for k in ("slack-taken-up", "faces-part", "running-clear"))

    def bare(travel_mm: float) -> str:
        return show.bare(travel_mm, coarse=True)

    parts = [
        f"{show.length(result.full_lever.hand_travel_mm, coarse=True)} at the hand to "
        f"{STOP_WORDS[result.stopped_by]}"
    ]
    if slack.reached:
        parts.append(f"cable slack until {bare(slack.hand_travel_mm)}")
    parts.append(f"rod loaded from {bare(result.hand.take_up_mm)}")
    parts.append(f"faces part at {bare(part.hand_travel_mm)}" if part.reached else "never part")
    if part.reached:
        parts.append(f"clear at {bare(clear.hand_travel_mm)}" if clear.reached else "never clear")
    # One short: a pedal's "floor" is longer than a grip.
    return wrapped(f"Lever   {'; '.join(parts)}", width=79, indent=_INDENT)


def effort_lines(result: Result, mechanism: Mechanism, show: Shown) -> list[str]:
    """Return peak, what is wanted, holding and letting back in a line."""
    full, peak = result.full_lever, result.peak
    target = hand_force_target_n(mechanism)
    text = (
        f"Effort  {show.pull(peak.hand_force_n)} at most, at "
        f"{show.length(peak.hand_travel_mm, coarse=True)}; {show.force(target)} wanted; "
        f"{show.force(full.hand_force_n)} at full lever, letting back "
        f"{show.force(full.return_hand_force_n)}"
    )
    return wrapped(text, indent=_INDENT)


def least_effort_line(result: Result, show: Shown) -> str:
    """Return the mean effort below which no linkage can come, and the work of a pull."""
    effort = result.effort
    return (
        "Least effort: no lever, arm or ramp that lifts as far could average less than "
        f"{show.force(effort.floor_n)} over this travel. Work {show.work(effort.work_j)}."
    )


def capacity_lines(
    result: Result, mechanism: Mechanism, show: Shown, known: Known | None = None
) -> list[str]:
    """Return torque, slip margin and clamp force, and what a weighed spring makes of it."""
    capacity = result.capacity
    text = f"Grip    holds {shown(capacity.torque_nm, 'torque', show.units, 0)}"
    if np.isnan(capacity.slip_margin):
        text += "; give engine.torque to know whether it slips"
    else:
        text += f", {capacity.slip_margin:.2f} times what the engine asks"
    text += f"; clamp force {show.pull(capacity.clamp_force_n)}"
    if rests_on_usual_friction(mechanism):
        text += "; facing friction not given, so no verdict on slip"
    if (taken := running_taken(mechanism)) != "":
        text += f"; dry or in oil is not given, taken as {taken}"
    lines = wrapped(text, indent=_INDENT)
    bench = known.bench if known is not None else None
    if bench is not None and bench.slip_margin is not None:
        margin = bench.slip_margin.p50
        slips = ": it slips" if margin < 1 else ""
        lines.append(
            f"{_INDENT}as weighed on the bench: {margin:.2f} times what the engine asks{slips}"
        )
    return lines


_NOT_JUDGED = {
    "track-end-unknown": "overtravel",
    "cable-strength-unknown": "strength of the cable",
    "action-unknown": "buckling of the rod, and what heat does",
}
"""What the notes say was left unjudged for want of a key, in a few words."""


def not_judged_lines(result: Result) -> list[str]:
    """Return what was not judged for want of a key, in a line; none where all was."""
    raised = {w.key for w in result.warnings}
    told = [words for key, words in _NOT_JUDGED.items() if key in raised]
    return wrapped(f"Not judged: {', '.join(told)}; `--full` says why.") if told else []


def not_whole_lines(mechanism: Mechanism, name: str) -> list[str]:
    """Return what the file begins to tell and does not tell whole; none where all is."""
    lacks = ", ".join(dict.fromkeys(fault.key for fault in mechanism.lacking))
    if not lacks:
        return []
    tables = list(dict.fromkeys(fault.key.split(".")[0] for fault in mechanism.lacking))
    named = " and ".join(f"[{table}]" for table in tables)
    are, it = ("are", "them") if len(tables) > 1 else ("is", "it")
    return wrapped(
        f"{named} {are} not used: not whole without {lacks}; `liftgeo check {name}` says how to "
        f"fill {it} in."
    )


def hot_lines(result: Result, show: Shown) -> list[str]:
    """Return what being hot makes of the verdict, in a line; none where it stays."""
    hot = result.hot
    if hot is None or hot.verdict == result.verdict:
        return []

    def each(clearance_mm: float) -> str:
        word = "short" if clearance_mm < 0 else "clear"
        return f"{show.small(abs(clearance_mm))} {word} on each face"

    return wrapped(
        f"Hot     {VERDICT_WORDS[hot.verdict]}, {each(hot.clearance_per_face_mm)}; cold: "
        f"{VERDICT_WORDS[result.verdict]}, {each(result.full_lever.clearance_per_face_mm)}",
        indent=_INDENT,
    )


def stroke_rows(result: Result, show: Shown, count: int = 9) -> list[str]:
    """Return a short table through the stroke; rows at which something happens are named."""
    table = result.stroke
    if table is None:
        return []
    travel = table.hand_travel_mm
    wanted = np.linspace(0.0, travel[-1], count)
    chosen = {int(np.argmin(np.abs(travel - w))) for w in wanted}
    named: dict[int, str] = {}
    for event in result.events:
        if event.reached and event.name != "target-clear":
            row = int(np.argmin(np.abs(travel - event.hand_travel_mm)))
            named[row] = EVENT_WORDS[event.name]
    peak = int(np.argmin(np.abs(travel - result.peak.hand_travel_mm)))
    named[peak] = f"{named[peak]}, peak" if peak in named else "peak"
    near = {k for k in chosen for n in named if k != n and abs(k - n) <= 2}
    keep = sorted((chosen - near) | set(named) | {0, len(travel) - 1})
    unit, force = show.unit("length"), show.unit("force")
    rows = [
        ["", "hand", "lever", "cable", "lift", "parted", "hand", "back"],
        ["", unit, "deg", unit, unit, unit, force, force],
    ]
    notes = ["", ""]
    for k in keep:
        rows.append(
            [
                "",
                show.bare(travel[k], coarse=True),
                fixed(table.lever_angle_deg[k], 1),
                show.bare(table.cable_pull_mm[k], coarse=True),
                show.bare(table.plate_lift_mm[k]),
                show.bare(table.separation_mm[k]),
                show.bare_force(table.hand_force_n[k]),
                show.bare_force(table.return_hand_force_n[k]),
            ]
        )
        notes.append(f"  {named[k]}" if k in named else "")
    return noted(columns(rows), notes)


def next_lines(
    result: Result, mechanism: Mechanism, name: str, known: Known | None, *, offered: bool
) -> list[str]:
    """Return what to do next, and what looks at the same machine from elsewhere.

    Parameters
    ----------
    result, mechanism : Result, Mechanism
    name : str
        The file as a command takes it, with what is laid over it.
    known : Known or None
        How sure the answer is.
    offered : bool
        Whether changes to paste stand above, with what to do then.
    """
    drawn = f"{command('draw', name)} shows the linkage."
    if known is not None and known.bench is not None and known.bench.contradicts:
        return wrapped(
            f"Next: {command('diagnose', name)} looks for the number of the file that the bench "
            f"contradicts, and ranks what to put right; {drawn}"
        )
    ranks = f"{command('diagnose', name)} ranks what to put right; "
    if result.verdict == "clear" and not any(w.severity == "stop" for w in result.warnings):
        if result.peak.hand_force_n <= hand_force_target_n(mechanism):
            text = f"Next: prove it on the bench; {write_up(name)} writes it up."
            return [*([] if offered else wrapped(text)), *wrapped(drawn)]
        from liftgeo.words.lead_on_lines import radius_to_search

        lighter = command("diagnose", name, more="--symptom heavy")
        text = f"Next: it is heavier than wanted; {lighter} ranks what makes it lighter"
        if varied := radius_to_search(mechanism):
            searched = command("size", without_changes(name), more=varied)
            text += f"; {searched} looks for a lighter ratio"
        return [*([] if offered else wrapped(f"{text}.")), *wrapped(drawn)]
    if offered:
        return wrapped(f"{ranks}{drawn}")
    if mechanism.changes and result.change is None:
        names = ", ".join(one_line(change) for change in mechanism.changes)
        text = f"Next: {command('compare', name)} tries the changes in the file ({names})."
        return [*wrapped(text), *wrapped(f"{ranks}{drawn}")]
    return wrapped(f"Next: {ranks}less loss comes before more force. {drawn}")


def full_lines(result: Result, faces: Faces, show: Shown) -> tuple[Sequence[str], ...]:
    """Return the blocks that stand behind --full."""
    return (
        wrapped(reason_line(result, show)),
        full_lever_lines(result, show),
        event_lines(result, show),
        wrapped(least_effort_line(result, show)),
        clutch_end_lines(result, show),
        stroke_rows(result, show),
    )


def stroke_page(
    result: Result,
    mechanism: Mechanism,
    units: str,
    name: str,
    known: Known | None = None,
    offers: Sequence[Offer] = (),
    *,
    full: bool = False,
) -> list[str]:
    """Return the page: one screen, or all of it.

    Parameters
    ----------
    result, mechanism : Result, Mechanism
        The answer, and what it was computed from.
    units : {"metric", "inch"}
    name : str
        The file as a next command would name it.
    known : Known, optional
        How sure the answer is.
    offers : sequence of Offer
        Changes to paste, where the file has none.
    full : bool
        Add work, least effort, clutch end, rows of the stroke and notes.
    """
    show, faces = Shown(units), mechanism.parts().faces
    word = headline_word(result, mechanism, known) if known is not None else ""
    blocks = (
        [
            *headline(answer_line(result, units, word, known)),
            *certainty_lines(result, mechanism, known, units),
            *wrapped(gap_line(result, faces, show)),
            *_what_follows(mechanism, units),
        ],
        warning_lines(result.warnings, mechanism, units, notes=False),
        [
            *(wrapped(FILE_ALONE) if known is not None and known.bench is not None else []),
            *budget_lines(result, show, float(faces.target_mm)),
        ],
        [
            *lever_lines(result, show),
            *effort_lines(result, mechanism, show),
            *capacity_lines(result, mechanism, show, known),
            *hot_lines(result, show),
        ],
        [
            *([] if full else not_judged_lines(result)),
            *not_whole_lines(mechanism, name),
        ],
        *(full_lines(result, faces, show) if full else ()),
    )
    return page(
        [title] if (title := titled(result.title, result.change)) else [],
        *(lines_as_worked(block, mechanism) for block in blocks),
        warning_lines(result.warnings, mechanism, units, notes=True) if full else [],
        lines_as_worked(offer_lines(offers, show, name), mechanism),
        [
            *next_lines(result, mechanism, name, known, offered=bool(offers)),
            *last_lines(result.warnings, full=full),
        ],
    )
