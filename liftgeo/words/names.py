"""What figures say in words: names of items and events, the verdict, the key numbers.

Loads no matplotlib, so whatever prints words may share them.
"""

from __future__ import annotations

import math

from liftgeo.outcome.results import Result
from liftgeo.quantities import shown

ITEM_WORDS = {
    "geometry": "geometry alone",
    "free-play": "free play",
    "lever-flex": "lever flex",
    "cable-stretch": "cable stretch",
    "shaft-wind-up": "shaft wind-up",
    "end-float": "end float",
    "rod-flex": "rod flex",
    "stop": "stopped early",
    "cushion": "cushion",
    "run-out-and-tilt": "run-out and tilt",
}
EVENT_WORDS = {
    "slack-taken-up": "slack taken up",
    "faces-part": "faces part",
    "running-clear": "running clear",
    "target-clear": "clear by target",
}
STOP_WORDS = {
    "grip": "the grip",
    "track-end": "the end of the release unit's track",
    "arm-stop": "the arm's stop",
    "spring-flat": "the spring going flat",
    "spring-solid": "the spring going solid",
    "table-end": "the end of a measured table",
    "dead-centre": "a link at dead centre",
}
END_WORDS = {"spring-flat": "flat", "spring-solid": "solid", "table-end": "last reading"}
WORK_SAFELY = (
    "Work safely: unload the spring evenly before the cover comes off; treat dust from old "
    "facings as asbestos; check for slip under load on a stand; follow local codes."
)


def one_line(text: str) -> str:
    """Return a text of a file on one line, without characters that cannot be printed."""
    plain = " ".join(text.split())
    return "".join(c if c.isprintable() else "?" for c in plain)


def said(value: float, dimension: str, units: str, digits: int | None = None) -> str:
    """Return a value with its unit and a true minus sign."""
    text = shown(value, dimension, units, digits)
    return "−" + text[1:] if text.startswith("-") else text


def travel_text(value_mm: float, units: str) -> str:
    """Return a hand travel: "29.6 mm", "1.17 in"."""
    return said(value_mm, "length", units, 2 if units == "inch" else 1)


def lift_text(value_mm: float, units: str) -> str:
    """Return a lift or a clearance: "0.27 mm", "0.0106 in"."""
    return said(value_mm, "length", units)


def force_text(value_n: float, units: str) -> str:
    """Return a force: "137 N", "30.8 lbf"."""
    return said(value_n, "force", units)


def full_title(result: Result) -> str:
    """Return the title with the names of the changes."""
    name = one_line(result.title) or "Clutch release"
    return f"{name}, with {one_line(result.change)}" if result.change else name


def verdict_line(result: Result, units: str) -> str:
    """Return the answer in one sentence or two."""
    full, capacity = result.full_lever, result.capacity
    apart, needed = lift_text(full.separation_mm, units), lift_text(full.needed_mm, units)
    each = lift_text(abs(full.clearance_per_face_mm), units)
    need = f"they need {needed} to run clear"
    if full.separation_mm <= 0:
        text = f"DOES NOT RELEASE: at full lever the faces do not part; {need}."
    elif full.clearance_per_face_mm < 0:
        text = f"DRAGS: at full lever the faces part {apart}; {need}. Short by {each} on each face."
    else:
        word = {"marginal": "MARGINAL", "clear": "RUNS CLEAR"}.get(result.verdict, "It runs clear")
        text = f"{word}: at full lever the faces part {apart}; {need}. "
        text += f"Clear by {each} on each face."
    if result.verdict == "slips":
        holds = shown(capacity.torque_nm, "torque", units, 0)
        text = (
            f"SLIPS: the clutch holds {holds}, {capacity.slip_margin:.2f} times what the engine "
            f"asks. {text}"
        )
    return text


def key_numbers(result: Result, units: str, target_mm: float, target_n: float) -> list[list[str]]:
    """Return names and values of what matters most, in rows of two."""
    full, capacity, peak = result.full_lever, result.capacity, result.peak
    rows = [
        ["full lever", travel_text(full.hand_travel_mm, units)],
        ["stopped by", STOP_WORDS[result.stopped_by]],
        ["faces part by", lift_text(full.separation_mm, units)],
        ["needed to run clear", lift_text(full.needed_mm, units)],
        ["clearance per face", lift_text(full.clearance_per_face_mm, units)],
        ["  target", lift_text(target_mm, units)],
        ["peak hand force", force_text(peak.hand_force_n, units)],
        ["  target", force_text(target_n, units)],
        ["hand at full lever", force_text(full.hand_force_n, units)],
        ["  letting back", force_text(full.return_hand_force_n, units)],
        ["cable at the arm", force_text(full.cable_tension_n, units)],
        ["rod and bearing", force_text(full.rod_force_n, units)],
        ["clamp force at rest", force_text(capacity.clamp_force_n, units)],
        ["torque it holds", said(capacity.torque_nm, "torque", units, 0)],
    ]
    if not math.isnan(capacity.slip_margin):
        rows.append(["slip margin", f"{capacity.slip_margin:.2f}"])
    if not math.isnan(full.spring_to_stop_mm):
        rows.append(["spring to its end", lift_text(full.spring_to_stop_mm, units)])
    return rows


def warning_texts(result: Result) -> list[str]:
    """Return what the warnings say, notes left out."""
    return [
        f"{warning.severity.upper()}: {one_line(warning.message)}"
        for warning in result.warnings
        if warning.severity != "note"
    ]
