"""Warnings about shapes: blade and grip, arm and casing, cables at their stops."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, STOP, Case, Caution
from liftgeo.cautions.stroke_rules import COMMON, FOLLOWS
from liftgeo.mechanism.grip import contact_rad, shaped
from liftgeo.mechanism.key_facts import number
from liftgeo.mechanism.laying import TRAVELS
from liftgeo.outline.gaps import ARM_TO_CASING, CABLE_TO_CASING, Through
from liftgeo.parts.values import Values

CHAFES_DEG = 10.0
"""Angle to the axis of its stop's hole beyond which a wire saws at the hole's edge."""
TRAVEL_READING_MM = 1.0
"""What a travel read with a tape may be out by."""

_BETWEEN = {ARM_TO_CASING: "arm and casing", CABLE_TO_CASING: "the arm's cable and casing"}


def _travel_beyond_grip(outcome: Findings) -> Values:
    keys = outcome.keys
    if not shaped(keys) or not any(key in keys for key in TRAVELS):
        return np.asarray(False)
    lever = outcome.parts.lever
    return ~(lever.hand_travel_mm <= lever.hand_radius_mm * contact_rad(keys) + TRAVEL_READING_MM)


def _travel_words(case: Case) -> str:
    lever, keys = case.outcome.parts.lever, case.outcome.keys
    given = next(key for key in TRAVELS if key in keys)
    drawn = case(lever.hand_radius_mm * contact_rad(keys))
    if np.isnan(drawn):
        return (
            f"{given} is given, and the blade of lever.outline never meets the grip: the shapes, "
            "or their frame, are wrong. The sums go by the travel that is given."
        )
    return (
        f"{given} lets the hand go {case(lever.hand_travel_mm):.1f} mm, but the blade of "
        f"lever.outline is at the bare grip after {drawn:.1f} mm: one of them is wrong. The sums "
        "go by the travel that is given; what lies beyond the grip is not there."
    )


def _of(outcome: Findings, begins: str) -> Sequence[Through]:
    return [gap for gap in outcome.gaps if gap.what.startswith(begins)]


def _meets(begins: str) -> Callable[[Findings], Values]:
    def holds(outcome: Findings) -> Values:
        found: Values = np.asarray(False)
        for gap in _of(outcome, begins):
            found = found | ~np.isnan(gap.meets_at_hand_travel_mm)
        return found

    return holds


def _first(case: Case, begins: str) -> Through:
    """Return the gap that closes first, of one case."""
    met = [gap for gap in _of(case.outcome, begins) if not np.isnan(_met_mm(case, gap))]
    return min(met, key=lambda gap: _met_mm(case, gap))


def _met_mm(case: Case, gap: Through) -> float:
    return case(gap.meets_at_hand_travel_mm)


def _outline(gap: Through) -> str:
    """Return which outline of the casing a gap is to."""
    which = gap.what.rpartition(" ")[2]
    return f"outline {which} of the casing" if which.isdigit() else "the casing"


def _arm_words(case: Case) -> str:
    gap = _first(case, ARM_TO_CASING)
    travel = case.outcome.full.hand_travel_mm
    return (
        f"The arm meets {_outline(gap)} after {_met_mm(case, gap):.1f} of {case(travel):.1f} mm of "
        f"hand travel, turned {np.degrees(case(gap.meets_at_arm_rad)):.1f} deg: what is worked out "
        "beyond is not reached, and the pull goes into the casing. With that angle as "
        "arm.max_rotation the sums end there."
    )


def _cable_words(case: Case) -> str:
    gap = _first(case, CABLE_TO_CASING)
    return (
        f"The arm's cable lies on {_outline(gap)} from {_met_mm(case, gap):.1f} mm of hand travel "
        "on: it chafes there, and its pull on the arm is no longer the one worked out."
    )


def _near(outcome: Findings, gap: Through) -> Values:
    small = np.asarray(gap.utmost) < number(outcome.keys, "casing.least_gap")
    return small & np.isnan(gap.meets_at_hand_travel_mm)


def _little_gap(outcome: Findings) -> Values:
    found: Values = np.asarray(False)
    for begins in _BETWEEN:
        for gap in _of(outcome, begins):
            found = found | _near(outcome, gap)
    return found


def _gap_words(case: Case) -> str:
    least = case(number(case.outcome.keys, "casing.least_gap"))
    said = [
        f"{case(gap.utmost):.1f} mm between {between} at {case(gap.at_hand_travel_mm):.1f} mm of "
        "hand travel"
        for begins, between in _BETWEEN.items()
        for gap in _of(case.outcome, begins)
        if case(_near(case.outcome, gap))
    ]
    return (
        f"Only {', and '.join(said)}: {least:.1f} mm is wanted. Under load metal gives, and it may "
        "touch."
    )


def _chafes(outcome: Findings) -> Values:
    found: Values = np.asarray(False)
    for stop in outcome.stops:
        found = found | (np.degrees(stop.utmost) > CHAFES_DEG)
    return found


def _chafe_words(case: Case) -> str:
    said = [
        f"the {stop.what} by {np.degrees(case(stop.utmost)):.0f} deg at "
        f"{case(stop.at_hand_travel_mm):.1f} mm of hand travel"
        for stop in case.outcome.stops
        if np.degrees(case(stop.utmost)) > CHAFES_DEG
    ]
    assumed = [
        table
        for table in ("lever", "arm")
        if any(table in text for text in said)
        and not case(number(case.outcome.keys, f"{table}.stop_direction"))
    ]
    taken = " Its hole is taken to point along the cable at rest." if assumed else ""
    return (
        f"Out of line with the hole it leaves is {', and '.join(said)}; beyond "
        f"{CHAFES_DEG:.0f} deg a wire chafes at the edge and frays.{taken}"
    )


# An arm that meets its casing is a stop: every number beyond is too good, and a clutch that looks
# clear may drag.
OUTLINE_CAUTIONS: tuple[Caution, ...] = (
    Caution("arm-meets-casing", STOP, FOLLOWS, _meets(ARM_TO_CASING), _arm_words),
    Caution("cable-on-casing", CAUTION, FOLLOWS, _meets(CABLE_TO_CASING), _cable_words),
    Caution("little-gap", CAUTION, COMMON, _little_gap, _gap_words),
    Caution("travel-beyond-grip", CAUTION, FOLLOWS, _travel_beyond_grip, _travel_words),
    Caution("cable-leaves-stop", CAUTION, COMMON, _chafes, _chafe_words),
)
