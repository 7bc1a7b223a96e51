"""What the page shows of a trial: from the same calls as the command line, as plain data."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from liftgeo.errors import Fault, GeometryError
from liftgeo.live.entries import Group
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.analysis import result_of, stroke
from liftgeo.outcome.bands import bands_of
from liftgeo.outcome.known import known
from liftgeo.outcome.outcome import analysed
from liftgeo.outcome.results import Result
from liftgeo.quantities import converted, unit_of
from liftgeo.studies.drawn import drawn_at
from liftgeo.web.scene import PLACES, scene, scene_of
from liftgeo.words.certainty import (
    headline_word,
    next_measure_line,
    running_taken,
    sure_line,
    taken_line,
)
from liftgeo.words.foot import as_worked
from liftgeo.words.in_units import in_units
from liftgeo.words.live_page import (
    bench_said,
    for_page,
    gone_text,
    partial_lines,
    taken_here,
    where_readings_go,
)
from liftgeo.words.names import ITEM_WORDS
from liftgeo.words.numbers import Shown, force_text, lift_text
from liftgeo.words.verdict import hand_force_target_n, key_numbers, verdict_line, warning_texts

_ROWS = 101


def first_look(
    mechanism: Mechanism, units: str, place: float, stock: Mechanism | None = None
) -> dict[str, Any]:
    """Return the nominal answer, and the mechanism where the lever stands.

    Parameters
    ----------
    mechanism : Mechanism
    units : {"metric", "inch"}
    place : float
        Share of the travel at which the lever stands, 0 to 1.
    stock : Mechanism, optional
        What the file says, to tell which of its keys are no longer in force.

    Notes
    -----
    How sure it is, its bands and all other places of the lever come with `second_look`.
    """
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)
        result = result_of(mechanism, outcome, _ROWS)
        stand = scene_of(drawn_at(mechanism, outcome, min(max(place, 0.0), 1.0)), units)
    found: dict[str, Any] = {
        "level": mechanism.level,
        "scene": stand,
        "taken": taken_here(mechanism, units),
        "gone": {} if stock is None else gone_text(mechanism, stock),
    }
    warned = [
        {"severity": text.split(":")[0].lower(), "text": text}
        for text in warning_texts(result, mechanism, units)
    ]
    found["warnings"] = warned
    if mechanism.level != "full":
        return found | {"lines": partial_lines(result, mechanism, units)}
    faces = mechanism.parts().faces
    target_n = hand_force_target_n(mechanism)
    taken = running_taken(mechanism)
    rows = key_numbers(result, units, float(faces.target_mm), target_n, taken)
    return found | {
        "answer": as_worked(verdict_line(result, units), mechanism),
        "verdict": result.verdict,
        "short": as_worked(_short(result, units), mechanism),
        "bars": _bars(result, units, float(faces.target_mm)),
        "numbers": [[as_worked(name.strip(), mechanism), value] for name, value in rows],
        "curves": _curves(result, units, target_n),
        "point": [
            converted(result.full_lever.clearance_per_face_mm, "length", units),
            converted(result.peak.hand_force_n, "force", units),
        ],
        "wanted": [
            converted(float(faces.target_mm), "length", units),
            converted(target_n, "force", units),
        ],
        "units": {"length": unit_of("length", units), "force": unit_of("force", units)},
    }


def second_look(mechanism: Mechanism, units: str) -> dict[str, Any]:
    """Return how sure a trial is, its bands, what to measure next, and every place of the lever."""
    moved = scene(mechanism, units, PLACES)
    found: dict[str, Any] = {"moving": moved.moving(), "boxes": moved.boxes()}
    if mechanism.level != "full":
        return found
    result = stroke(mechanism, _ROWS)
    sure = known(mechanism)
    if sure is None:
        headline = as_worked(verdict_line(result, units), mechanism)
        return found | {"headline": headline, "word": headline.split(":")[0], "sure": []}
    word = headline_word(result, mechanism, sure)
    texts = [
        sure_line(result, sure, units),
        taken_line(mechanism, sure, units),
        bench_said(sure, units),
        in_units(next_measure_line(sure, where_readings_go()), units),
    ]
    bands = bands_of(mechanism, result)
    return found | {
        "headline": as_worked(verdict_line(result, units, word), mechanism),
        "word": word,
        "sure": [as_worked(text, mechanism) for text in texts if text],
        "frees": sure.frees,
        "bands": None
        if bands is None
        else {
            "x": _plain(converted(bands.hand_travel_mm, "length", units)),
            "effort": [
                _plain(converted(edge, "force", units))
                for edge in (bands.hand_force_n.low, bands.hand_force_n.high)
            ],
            "apart": [
                _plain(converted(edge, "length", units))
                for edge in (bands.separation_mm.low, bands.separation_mm.high)
            ],
        },
    }


def faults_of(error: GeometryError, groups: list[Group]) -> list[dict[str, str]]:
    """Return what is wrong, each with the key of the field that it belongs to."""
    known_keys = {entry.key for group in groups for entry in group.entries}
    return [_fault(fault, known_keys) for fault in error.faults]


def _fault(fault: Fault, known_keys: set[str]) -> dict[str, str]:
    key = fault.key if fault.key in known_keys else fault.key.rsplit(" ", 1)[-1]
    return {
        "key": key,
        "value": fault.value,
        "problem": fault.problem,
        "remedy": for_page(fault.remedy),
    }


def _short(result: Result, units: str) -> str:
    """Return the two numbers that a change is judged by, on one short line."""
    full = result.full_lever
    clearance = full.clearance_per_face_mm
    apart = lift_text(abs(clearance), units)
    word = "clear" if clearance >= 0 else "short of running clear"
    pull = force_text(result.peak.hand_force_n, units)
    return f"{apart} {word} on each face, {pull} at the hand"


def _bars(result: Result, units: str, target_mm: float) -> list[dict[str, Any]]:
    """Return the lift budget: what each line loses and leaves, and how long its bar is."""
    show = Shown(units)
    longest = max(1e-9, *(line.left_mm for line in result.budget))
    rows = [
        {
            "name": ITEM_WORDS[line.item],
            "lost": "" if line.item == "geometry" else show.bare(line.lost_mm),
            "left": show.bare(line.left_mm),
            "share": max(0.0, min(1.0, line.left_mm / longest)),
        }
        for line in result.budget
        if line.item == "geometry" or abs(line.lost_mm) >= 0.0005
    ]
    clearance = result.full_lever.clearance_per_face_mm
    last = {
        "name": "clearance per face",
        "lost": f"wanted {show.bare(target_mm)}",
        "left": show.bare(clearance),
        "share": 0.0,
    }
    return [*rows, last]


def _curves(result: Result, units: str, target_n: float) -> dict[str, Any]:
    """Return the curves of effort and of separation through the stroke."""
    table = result.stroke
    assert table is not None
    travel = _plain(converted(table.hand_travel_mm, "length", units))
    return {
        "effort": {
            "x": travel,
            "pull": _plain(converted(table.hand_force_n, "force", units)),
            "back_x": _plain(converted(table.return_hand_travel_mm, "length", units)),
            "back": _plain(converted(table.return_hand_force_n, "force", units)),
            "wanted": converted(target_n, "force", units),
        },
        "apart": {
            "x": travel,
            "y": _plain(converted(table.separation_mm, "length", units)),
            "wanted": converted(result.full_lever.needed_mm, "length", units),
        },
    }


def _plain(values: Any) -> list[float | None]:
    """Return numbers as a page takes them: short, and null where there is none."""
    return [float(f"{x:.5g}") if math.isfinite(x) else None for x in values.tolist()]
