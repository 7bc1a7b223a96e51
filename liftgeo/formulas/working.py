"""Puts the whole working together, or the part of it that answers one question."""

from __future__ import annotations

import numpy as np

from liftgeo.errors import RequestError, nearest
from liftgeo.formulas import SUBJECTS, derivation, losses, plates
from liftgeo.formulas.full_lever import walk
from liftgeo.formulas.inputs import (
    Case,
    arm_inputs,
    cable_inputs,
    lever_inputs,
    release_inputs,
    rod_inputs,
)
from liftgeo.formulas.result import Formula, Section
from liftgeo.formulas.sheet import PAST_DEAD_CENTRE, Sheet
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.outcome import analysed
from liftgeo.parts.cable import BACK, PULLING

_TAGS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("lever", "cable", "unit"), ("clearance", "effort", "advantage")),
    **dict.fromkeys(("measured", "hand"), ("clearance", "effort", "advantage")),
    **dict.fromkeys(("faces", "plates"), ("clearance", "effort", "advantage", "spring")),
    **dict.fromkeys(("lift", "losses"), ("clearance",)),
    **dict.fromkeys(("back", "peak", "floor"), ("effort",)),
    "spring": SUBJECTS,
    "advantage": ("advantage",),
    "capacity": ("capacity",),
}
"""Which sections answer which question."""

_STOPS = {
    "grip": "the lever meets the grip",
    "track-end": "the release unit is at the end of its track",
    "arm-stop": "the arm is at its stop",
    "spring-flat": "the spring is flat",
    "spring-solid": "the spring is solid",
    "table-end": "a measured table ends",
    "dead-centre": "a link is at dead centre",
}


def worked(mechanism: Mechanism, subject: str | None = None) -> Formula:
    """Return the working of a mechanism; see `liftgeo.formulas.formula`."""
    if subject is not None and subject not in SUBJECTS:
        near = nearest(subject, SUBJECTS)
        hint = f" Did you mean {near}?" if near else ""
        raise RequestError(f"{subject} is not known.{hint} Choose {', '.join(SUBJECTS)}.")
    with np.errstate(all="ignore"):
        sections = _sections(Case.of(mechanism, analysed(mechanism)))
    chosen = tuple(s for tag, s in sections if subject is None or subject in _TAGS[tag])
    return Formula(mechanism.title, mechanism.change, chosen)


def _sections(case: Case) -> list[tuple[str, Section]]:
    """Return every section with its tag, in the order of reading."""
    sheet = Sheet(case.keys, case.outcome.keys.taken)
    found = [*_measured(sheet, case), *_plates(sheet, case), *_full_lever(sheet, case)]
    found = [*_symbols(case, sheet.numbers), *found]
    for tag, title, words, put_down in _AFTER_FULL_LEVER:
        own = sheet.copy()
        put_down(own, case)
        if tag == "losses" and any(PAST_DEAD_CENTRE in x.note for x in own.lines):
            words += _HELD
        found.append((tag, own.section(title, words)))
    return found


def _symbols(case: Case, known: dict[str, float]) -> list[tuple[str, Section]]:
    found = [
        ("lever", derivation.triangle_section(law.triangle, known))
        for law in (case.lever, case.arm)
        if law.triangle is not None
    ]
    if case.rubs:
        found.append(("cable", derivation.cable_section(known)))
    unit = derivation.unit_section(case, known)
    if unit is not None:
        found.append(("unit", unit))
    return [*found, ("lift", derivation.lift_section(case))]


def _measured(sheet: Sheet, case: Case) -> list[tuple[str, Section]]:
    found = []
    for title, puts in (
        ("Lever, as measured", lever_inputs),
        ("Cable, as measured", cable_inputs),
        ("Arm, as measured", arm_inputs),
        ("Release unit, as measured", release_inputs),
        ("Rod, as measured", rod_inputs),
    ):
        puts(sheet, case)
        if sheet.items:
            found.append(("measured", sheet.section(title)))
    return found


def _plates(sheet: Sheet, case: Case) -> list[tuple[str, Section]]:
    plates.spring_inputs(sheet, case)
    plates.clamp_force(sheet, case)
    words = "The clamp force at rest is the spring's load at its installed deflection."
    spring = sheet.section("Spring at rest", words)
    plates.cushion(sheet, case)
    plates.needed(sheet, case)
    words = "Cushion at rest, and the separation at which nothing touches in the worst position."
    return [("spring", spring), ("faces", sheet.section("Faces", words))]


def _full_lever(sheet: Sheet, case: Case) -> list[tuple[str, Section]]:
    outcome = case.outcome
    stop = outcome.stop_names[int(outcome.end.limit)]
    rest = walk(sheet, case, outcome.full, PULLING, full=True)
    words = (
        f"The stroke ends because {_STOPS[stop]}. How far the plates stand apart there was found "
        "by search; from it every line follows without one."
    )
    back = "From the rod back to the hand; the last line gives the hand travel again."
    return [
        ("plates", sheet.section("Full lever: plates and spring", words, rest)),
        ("hand", sheet.section("Full lever: rod to hand", back)),
    ]


def _back(sheet: Sheet, case: Case) -> None:
    walk(sheet, case, case.outcome.back, BACK, full=True)


def _peak(sheet: Sheet, case: Case) -> None:
    for name in ("S", "N", "H", "f_t", "s_t", "b_T"):
        sheet.numbers.pop(name, None)
    walk(sheet, case, case.outcome.peak, PULLING, full=False)


_AFTER_FULL_LEVER = (
    (
        "losses",
        "Where the lift goes",
        "From the lever forwards, one loss after another switched on, with the stretch, flex and "
        "wind-up of full lever. x_0, x_1 ... are what is left at the plate; φ, s, θ, y here stand "
        "for the position with the losses so far. Laws go on past any stop.",
        losses.losses,
    ),
    (
        "advantage",
        "Mechanical advantage, two ways",
        "Two ways to one number: how far the hand moves for each millimetre of the rod, and how "
        "much the force grows. Between ideal and real lie friction, return spring and drag.",
        derivation.advantage,
    ),
    (
        "back",
        "Letting back from full lever",
        "The plate has not moved yet, all friction has turned round. A prime marks what is "
        "different from pulling.",
        _back,
    ),
    (
        "floor",
        "Effort floor",
        "Spring and return spring must be paid for, whatever the geometry; the cushion gives a "
        "little back. Spread evenly over the hand travel this is the floor.",
        losses.effort_floor,
    ),
    (
        "peak",
        "At the peak of effort",
        "The same lines where the hand force is greatest.",
        _peak,
    ),
    (
        "capacity",
        "Torque capacity",
        "What the clutch holds at rest, with run-in facings.",
        plates.capacity,
    ),
)
"""What is worked out from full lever, each on a sheet of its own: tag, title, words, how."""

_HELD = (
    " With losses left out the pull is more than the arm can take up: it would pass its dead "
    "centre, and is held there."
)
