"""The answer in words: title, verdict, key numbers, warnings; for every way of showing a result."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from liftgeo.mechanism import convert
from liftgeo.plain_text import unbroken
from liftgeo.quantities import shown
from liftgeo.words.foot import as_worked
from liftgeo.words.in_units import in_units
from liftgeo.words.lines import listed, one_line, wrapped
from liftgeo.words.names import STOP_WORDS, UNTITLED_FIGURE
from liftgeo.words.numbers import force_text, lift_text, said, travel_text

if TYPE_CHECKING:
    from liftgeo.cautions import Warning
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Agreement, Known
    from liftgeo.outcome.results import Result


def titled(title: str, change: str | None) -> str:
    """Return a title with the names of the changes; empty where there is neither."""
    return one_line(title) + (f", with {one_line(change)}" if change else "")


def full_title(result: Result) -> str:
    """Return the title of a figure: on one line, with the names of the changes."""
    return titled(one_line(result.title) or UNTITLED_FIGURE, result.change)


def hand_force_target_n(mechanism: Mechanism) -> float:
    """Return the hand force wanted [N]."""
    return float(convert.hand_force_target_n(mechanism.keys))


def verdict_line(result: Result, units: str, word: str = "", known: Known | None = None) -> str:
    """Return the answer in one sentence or two; `word` begins it in place of the plain verdict.

    With readings from the bench the numbers are those that take them in.
    """
    full, capacity = result.full_lever, result.capacity
    apart, needed = lift_text(full.separation_mm, units), lift_text(full.needed_mm, units)
    each = lift_text(abs(full.clearance_per_face_mm), units)
    need = f"they need {needed} to run clear"
    distance = _distance(result, apart, each, need)
    if known is not None and known.bench is not None:
        distance = _with_the_bench(known, known.bench, units)
    torque_nm, margin, as_weighed = capacity.torque_nm, capacity.slip_margin, ""
    if known is not None and known.bench is not None and known.bench.slip_margin is not None:
        margin, as_weighed = known.bench.slip_margin.p50, "as weighed on the bench, "
        torque_nm *= margin / capacity.slip_margin
    grip = f"{as_weighed}the clutch holds {shown(torque_nm, 'torque', units, 0)}, "
    grip += f"{margin:.2f} times what the engine asks."
    if word.endswith("SLIPS"):
        return f"{word}: {grip} {distance[0].upper()}{distance[1:]}"
    if word:
        return f"{word}: {distance}"
    if full.separation_mm <= 0:
        text = f"DOES NOT RELEASE: at full lever the faces do not part; {need}."
    elif full.clearance_per_face_mm < 0:
        text = f"DRAGS: at full lever the faces part {apart}; {need}. Short by {each} on each face."
    else:
        word = {"marginal": "MARGINAL", "clear": "RUNS CLEAR"}.get(result.verdict, "It runs clear")
        text = f"{word}: at full lever the faces part {apart}; {need}. "
        text += f"Clear by {each} on each face."
    if result.verdict == "slips":
        text = f"SLIPS: {grip} {text}"
    return text


def _distance(result: Result, apart: str, each: str, need: str) -> str:
    """Return how far the faces part at the numbers as given, against what they need."""
    full = result.full_lever
    if full.separation_mm <= 0:
        return f"at full lever the faces do not part; {need}."
    word = "Short" if full.clearance_per_face_mm < 0 else "Clear"
    return f"at full lever the faces part {apart}; {need}. {word} by {each} on each face."


def _with_the_bench(known: Known, bench: Agreement, units: str) -> str:
    """Return how far the faces part, the readings from the bench taken in."""
    apart, clear = bench.separation_mm.p50, known.clearance_per_face_mm.p50
    need = f"they need {lift_text(bench.needed_mm.p50, units)} to run clear"
    if apart <= 0:
        return f"with the readings from the bench, the faces do not part at full lever; {need}."
    word = "Short" if clear < 0 else "Clear"
    return (
        f"with the readings from the bench, the faces part {lift_text(apart, units)} at full "
        f"lever; {need}. {word} by {lift_text(abs(clear), units)} on each face."
    )


def answer_line(result: Result, units: str, word: str = "", known: Known | None = None) -> str:
    """Return the verdict with every "stop" warning named."""
    stops = listed(w.key for w in result.warnings if w.severity == "stop")
    return verdict_line(result, units, word, known) + (
        f" STOP: {stops}; see below." if stops else ""
    )


def key_numbers(
    result: Result, units: str, target_mm: float, target_n: float, taken: str = ""
) -> list[list[str]]:
    """Return names and values of what matters most, in rows of two.

    `taken` is "wet" or "dry" where the file does not say which.
    """
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
        [
            "torque it holds" + (f", taken as {taken}" if taken else ""),
            said(capacity.torque_nm, "torque", units, 0),
        ],
    ]
    if not math.isnan(capacity.slip_margin):
        rows.append(["slip margin", f"{capacity.slip_margin:.2f}"])
    if not math.isnan(full.spring_to_stop_mm):
        rows.append(["spring to its end", lift_text(full.spring_to_stop_mm, units)])
    return rows


def message(warning: Warning, mechanism: Mechanism, units: str) -> str:
    """Return what a warning says, in the units of a page and the words of hand or foot."""
    return in_units(as_worked(unbroken(warning.message), mechanism), units)


def warning_texts(result: Result, mechanism: Mechanism, units: str = "metric") -> list[str]:
    """Return what the warnings say, notes left out."""
    return [
        f"{warning.severity.upper()}: {message(warning, mechanism, units)}"
        for warning in result.warnings
        if warning.severity != "note"
    ]


def warning_names(result: Result) -> str:
    """Return what the warnings are called, notes left out, the gravest first."""
    found = []
    for severity in ("stop", "caution"):
        names = listed(w.key for w in result.warnings if w.severity == severity)
        found += [f"{severity.upper()}: {names}."] if names else []
    return " ".join(found)


def unusable(result: Result) -> str:
    """Return why a variant must not be taken for good; nothing where it may.

    "slips", "does not release", or "drags" where it drags so much that the machine may move.
    """
    if result.verdict == "slips":
        return "slips"
    if result.full_lever.separation_mm <= 0:
        return "does not release"
    hard = any((w.key, w.severity) == ("drags", "stop") for w in result.warnings)
    return "drags" if hard else ""


def warning_lines(
    warnings: Iterable[Warning], mechanism: Mechanism, units: str, *, notes: bool | None = None
) -> list[str]:
    """Return warnings as lines of a page, in the order given: the gravest first.

    `notes` False leaves the notes out, True leaves all else out.
    """
    lines: list[str] = []
    for warning in warnings:
        if notes is None or notes is (warning.severity == "note"):
            text = message(warning, mechanism, units)
            lines += wrapped(f"{warning.severity.upper():<8}{text}", indent=" " * 8)
    return lines
