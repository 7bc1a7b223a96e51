"""Puts the whole working together, or the part of it that answers one question."""

from __future__ import annotations

import numpy as np

from liftgeo.errors import RequestError, nearest
from liftgeo.formulas import derivation, losses, plates
from liftgeo.formulas.full_lever import walk
from liftgeo.formulas.inputs import (
    Case,
    arm_inputs,
    cable_inputs,
    lever_inputs,
    link_laws,
    release_inputs,
    rod_inputs,
)
from liftgeo.formulas.sheet import Section, Sheet, Working
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.outcome import Outcome, analysed
from liftgeo.parts.cable import BACK, PULLING

SUBJECTS = ("clearance", "effort", "advantage", "spring", "capacity")

_TAGS: dict[str, tuple[str, ...]] = {
    "lever": ("clearance", "effort", "advantage"),
    "cable": ("clearance", "effort", "advantage"),
    "unit": ("clearance", "effort", "advantage"),
    "lift": ("clearance",),
    "measured": ("clearance", "effort", "advantage"),
    "spring": SUBJECTS,
    "faces": ("clearance", "effort", "advantage", "spring"),
    "plates": ("clearance", "effort", "advantage", "spring"),
    "hand": ("clearance", "effort", "advantage"),
    "losses": ("clearance",),
    "back": ("effort",),
    "peak": ("effort",),
    "floor": ("effort",),
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


def worked(mechanism: Mechanism, subject: str | None = None) -> Working:
    """Return the working of a mechanism.

    Parameters
    ----------
    mechanism : Mechanism
    subject : {"clearance", "effort", "advantage", "spring", "capacity"}, optional
        The question it is to answer; without it everything.

    Raises
    ------
    RequestError
        A subject that is not known.
    """
    if subject is not None and subject not in SUBJECTS:
        near = nearest(subject, SUBJECTS)
        hint = f" Did you mean {near}?" if near else ""
        raise RequestError(f"{subject} is not known.{hint} Choose {', '.join(SUBJECTS)}.")
    with np.errstate(all="ignore"):
        sections = _sections(mechanism)
    chosen = tuple(s for tag, s in sections if subject is None or subject in _TAGS[tag])
    return Working(mechanism.title, mechanism.change, chosen)


def _sections(mechanism: Mechanism) -> list[tuple[str, Section]]:
    """Return every section with its tag, in the order of reading."""
    outcome = analysed(mechanism)
    case, sheet = Case(mechanism, outcome.parts), Sheet()
    measured = _measured(sheet, case)
    plates_part = _plates(sheet, case)
    full = _full_lever(sheet, case, outcome)

    known = dict(sheet.numbers)
    found: list[tuple[str, Section]] = list(_symbols(case, known))
    found += [*measured, *plates_part, *full]
    found.append(("losses", _losses(sheet.copy(), case, outcome)))
    found.append(("advantage", derivation.advantage_section(sheet.copy(), case)))
    found.append(("back", _back(sheet.copy(), case, outcome)))
    found.append(("floor", _floor(sheet.copy(), case, outcome)))
    found.append(("peak", _peak(sheet.copy(), case, outcome)))
    found.append(("capacity", _capacity(sheet.copy(), case)))
    return found


def _symbols(case: Case, known: dict[str, float]) -> list[tuple[str, Section]]:
    parts, found = case.parts, []
    for link, side in ((parts.lever.link, "L"), (parts.arm.link, "A")):
        triangle = link_laws(link, side)
        if triangle is not None:
            found.append(("lever", derivation.triangle_section(triangle, known)))
    if case.rubs:
        found.append(("cable", derivation.cable_section(known)))
    unit = derivation.unit_section(case, known)
    if unit is not None:
        found.append(("unit", unit))
    found.append(("lift", derivation.lift_section(case)))
    return found


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
    plates.spring_load(sheet, case, at_rest=True)
    words = "The clamp force at rest is the spring's load at its installed deflection."
    spring = sheet.section("Spring at rest", words)
    plates.cushion(sheet, case)
    plates.needed(sheet, case)
    words = "Cushion at rest, and the separation at which nothing touches in the worst position."
    return [("spring", spring), ("faces", sheet.section("Faces", words))]


def _full_lever(sheet: Sheet, case: Case, outcome: Outcome) -> list[tuple[str, Section]]:
    stop = outcome.stop_names[int(outcome.end.limit)]
    plates_items, rest = walk(sheet, case, outcome.full, PULLING, full=True)
    words = (
        f"The stroke ends because {_STOPS[stop]}. How far the plates stand apart there was found "
        "by search; from it every line follows without one."
    )
    title = "Full lever: plates and spring"
    back = "From the rod back to the hand; the last line gives the hand travel again."
    return [
        ("plates", Section(title, words, tuple(plates_items))),
        ("hand", Section("Full lever: rod to hand", back, tuple(rest))),
    ]


def _losses(sheet: Sheet, case: Case, outcome: Outcome) -> Section:
    losses.losses(sheet, case, outcome)
    words = (
        "From the lever forwards, one loss after another switched on, with the stretch, flex and "
        "wind-up of full lever. x_0, x_1 ... are what is left at the plate; φ, s, θ, y here stand "
        "for the position with the losses so far. Laws go on past any stop."
    )
    return sheet.section("Where the lift goes", words)


def _back(sheet: Sheet, case: Case, outcome: Outcome) -> Section:
    _, rest = walk(sheet, case, outcome.back, BACK, full=True)
    words = (
        "The plate has not moved yet, all friction has turned round. A prime marks what is "
        "different from pulling."
    )
    return Section("Letting back from full lever", words, tuple(rest))


def _peak(sheet: Sheet, case: Case, outcome: Outcome) -> Section:
    for name in ("S", "N", "H", "f_t", "s_t", "b_T"):
        sheet.numbers.pop(name, None)
    items = walk(sheet, case, outcome.peak, PULLING, full=False)
    words = "The same lines where the hand force is greatest."
    return Section("At the peak of effort", words, (*items[0], *items[1]))


def _floor(sheet: Sheet, case: Case, outcome: Outcome) -> Section:
    losses.effort_floor(sheet, case, outcome)
    words = (
        "Spring and return spring must be paid for, whatever the geometry; the cushion gives a "
        "little back. Spread evenly over the hand travel this is the floor."
    )
    return sheet.section("Effort floor", words)


def _capacity(sheet: Sheet, case: Case) -> Section:
    plates.capacity(sheet, case)
    words = "What the clutch holds at rest, with run-in facings."
    return sheet.section("Torque capacity", words)
