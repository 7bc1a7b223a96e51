"""The sentences of a write-up: the summary, the odds, captions, and what was assumed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.quantities import shown
from liftgeo.words.certainty import headline_word, named, rests_on_usual_friction
from liftgeo.words.foot import as_worked
from liftgeo.words.names import CROSSING_WORDS, ITEM_WORDS
from liftgeo.words.numbers import force_text, lift_text, travel_text
from liftgeo.words.verdict import hand_force_target_n

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.outcome.results import Result
    from liftgeo.studies.diagnose import Diagnosis
    from liftgeo.studies.wear import WearStudy

UNTITLED_REPORT = "A clutch and how it is released"
_STANDARD_GRAVITY = 9.80665
_NOTHING_MM = 0.005


def summary(
    result: Result, mechanism: Mechanism, known: Known | None, units: str
) -> tuple[str, str, str]:
    """Return three sentences that a magazine could print: does it part, how heavy, does it hold."""
    texts = (
        _parting(result, mechanism, known, units),
        _effort(result, mechanism, units),
        _grip(result, mechanism, known, units),
    )
    parting, effort, grip = (as_worked(text, mechanism) for text in texts)
    return parting, effort, grip


def _parting(result: Result, mechanism: Mechanism, known: Known | None, units: str) -> str:
    full = result.full_lever
    needed_mm, apart_mm = full.needed_mm, full.separation_mm
    clear_mm, read = full.clearance_per_face_mm, ""
    if known is not None and known.bench is not None:
        needed_mm, apart_mm = known.bench.needed_mm.p50, known.bench.separation_mm.p50
        clear_mm, read = known.clearance_per_face_mm.p50, ", by the readings on the bench,"
    needed = lift_text(needed_mm, units)
    if apart_mm <= 0:
        return (
            f"With the lever pulled all the way the clutch plates{read} do not part at all, where "
            f"they need {needed} altogether to turn freely of each other."
        )
    apart = lift_text(apart_mm, units)
    start = (
        f"With the lever pulled all the way the clutch plates{read} part by {apart} altogether; "
    )
    word = "" if known is None else headline_word(result, mechanism, known)
    if word == "TOO CLOSE TO CALL":
        return (
            f"{start}to turn freely of each other they need about {needed}, and which way it goes "
            "cannot be told from what was measured."
        )
    likely = "most likely " if word.startswith("LIKELY") else ""
    if clear_mm < 0:
        return (
            f"{start}to turn freely of each other they need {needed}, so the clutch {likely}drags."
        )
    return (
        f"{start}to turn freely of each other they need {needed}, so the clutch {likely}runs clear."
    )


def _effort(result: Result, mechanism: Mechanism, units: str) -> str:
    force = result.peak.hand_force_n
    text = f"Pulling the lever takes at most {force_text(force, units)}"
    text += "" if units == "inch" else f", the weight of {force / _STANDARD_GRAVITY:.0f} kg"
    target = hand_force_target_n(mechanism)
    beside = "no more than" if force <= target else "more than"
    return f"{text}, {beside} the {force_text(target, units)} wanted."


def _grip(result: Result, mechanism: Mechanism, known: Known | None, units: str) -> str:
    capacity = result.capacity
    torque_nm, margin, weighed = capacity.torque_nm, capacity.slip_margin, ""
    if known is not None and known.bench is not None and known.bench.slip_margin is not None:
        margin, weighed = known.bench.slip_margin.p50, ", its springs as weighed on the bench,"
        torque_nm *= margin / capacity.slip_margin
    losses = [b for b in result.budget[1:] if b.lost_mm > _NOTHING_MM]
    lost = ""
    if losses:
        most = max(losses, key=lambda line: line.lost_mm)
        lost = (
            f"; of the lift most is lost to {ITEM_WORDS[most.item]} "
            f"({lift_text(most.lost_mm, units)})"
        )
    torque = shown(torque_nm, "torque", units, 0)
    if math.isnan(margin):
        return f"Closed, the clutch holds {torque}{lost}."
    slips = ", so it slips" if margin < 1 else ""
    usual = ", taken a usual friction," if rests_on_usual_friction(mechanism) else ""
    return (
        f"Closed, the clutch{weighed or usual} holds {torque}, {margin:.2f} times what the "
        f"engine asks of it{slips}{lost}."
    )


def odds_sentence(known: Known) -> str:
    """Return how the odds fall, in counts of 100."""
    odds = known.odds
    named = (
        (odds.clear, "run clear with the clearance wanted"),
        (odds.marginal, "run clear with less"),
        (odds.drags, "drag"),
        (odds.no_release, "do not part at all"),
        (odds.slips, "slip under the engine"),
    )
    told = [f"{100 * share:.0f} {what}" for share, what in named if share >= 0.005]
    return (
        f"Of 100 clutches that measure like this one: {', '.join(told)}. "
        f"({known.samples} were worked out, each with every ± and range drawn anew; inputs count "
        "as independent.)"
    )


def caption(name: str, result: Result, mechanism: Mechanism, units: str, *, banded: bool) -> str:
    """Return the caption of a figure of one analysis; `banded` where bands stand behind it."""
    full, peak = result.full_lever, result.peak
    texts = {
        "effort": (
            f"Hand force against hand travel, pulling and letting back. Heaviest "
            f"{force_text(peak.hand_force_n, units)} at {travel_text(peak.hand_travel_mm, units)}; "
            f"{force_text(full.hand_force_n, units)} at full lever."
        ),
        "lift": (
            f"How far the pressure plate lifts and the faces part. At full lever they part "
            f"{lift_text(full.separation_mm, units)}; {lift_text(full.needed_mm, units)} is what "
            "run-outs and tilt take."
        ),
        "advantage": (
            "How many times the hand's force arrives at the rod: by geometry alone, and with every "
            "loss."
        ),
        "budget": (
            "Where the lift goes: each bar is what is left of it at the plate after one more loss, "
            f"{lift_text(result.budget[-1].left_mm, units)} at the end."
        ),
        "spring": (
            f"Load of the clamping spring. It holds the faces with "
            f"{force_text(result.capacity.clamp_force_n, units)} at rest."
        ),
    }
    said = texts.get(name, name.replace("_", " "))
    bands = (
        " The shaded band holds 90 of 100 clutches that measure like this one."
        if name in ("effort", "lift", "budget") and banded
        else ""
    )
    return as_worked(said + bands, mechanism)


ASSUMPTIONS = (
    "The hand moves slowly: masses and damping play no part.",
    "The cable runs straight between its stops and pins, and rubs by the same friction all along.",
    "Run-outs count at their worst turn, all together; the verdict rests on that.",
    "The faces are flat and carry evenly; the torque is that of facings worn in (uniform wear).",
    "A running engine shakes friction out: hand forces then lie between pulling and letting back.",
    "Inputs count as independent of each other.",
)
"""What every answer assumes; docs/theory.md says each at length."""


def trade_caption(struck: list[str]) -> str:
    """Return the caption of the map of changes; `struck` names those that must not be taken."""
    text = (
        "Every change by the clearance it leaves on each face and the heaviest pull it asks. "
        "Better is to the right and below; hatched is where both wants are met."
    )
    return text + (f" Struck through: {'; '.join(struck)}." if struck else "")


def bench_caption(found: Diagnosis) -> str:
    """Return the caption of the readings' figure."""
    count = len(found.readings.residuals)
    each = "reading" if count == 1 else "readings"
    return (
        f"{count} {each} from the bench with their ±, over what the file says and what agrees best "
        "with all; below, how far each is off."
    )


def wear_caption(study: WearStudy) -> str:
    """Return the caption of the curves of wear."""
    met = [f"{c.severity.upper()}: {CROSSING_WORDS[c.name]}" for c in study.crossings]
    told = "What wear of the facings does to grip, effort, play and clearance."
    return told + (f" Met on the way: {'; '.join(dict.fromkeys(met))}." if met else "")


def scene_caption(dashed: Sequence[str]) -> str:
    """Return what is seen of the mechanism, and what nobody gave."""
    text = "The mechanism to scale, each view in its own; every place is worked out as the rest is."
    if dashed:
        text += f" Dashed, for nobody gave it: {', '.join(named(key) for key in dashed)}."
    return text
