"""Puts a mechanism's numbers on the sheet: lever, cable, arm, release unit and rod."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import sympy

from liftgeo.chain import Parts
from liftgeo.formulas.laws import TriangleLaws
from liftgeo.formulas.registry import Input, LinkLaw, SpringLaw, UnitLaw, as_written, law_of
from liftgeo.formulas.sheet import Sheet
from liftgeo.formulas.symbols import sym
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import STEEL_MODULUS_MPA, sides
from liftgeo.mechanism.following import FOLLOWS
from liftgeo.mechanism.link_points import MOVED
from liftgeo.mechanism.settling import MOVES
from liftgeo.mechanism.tables import DEFAULT_KIND
from liftgeo.outcome.outcome import Outcome
from liftgeo.parts.cable import wire_area_mm2, wire_modulus_mpa
from liftgeo.parts.triangle import Triangle


@dataclass(frozen=True)
class Case:
    """One mechanism on its way to a working: its keys, its parts, and the law of each.

    Attributes
    ----------
    keys : mapping
        The file's flat keys.
    outcome : Outcome
        What the analysis finds.
    lever, arm, unit, spring : LinkLaw, LinkLaw, UnitLaw, SpringLaw
        The laws of the parts.
    """

    keys: Mapping[str, Any]
    outcome: Outcome
    lever: LinkLaw
    arm: LinkLaw
    unit: UnitLaw
    spring: SpringLaw

    @classmethod
    def of(cls, mechanism: Mechanism, outcome: Outcome) -> Case:
        """Return the case of a mechanism and its analysis."""
        keys, parts = mechanism.keys, outcome.parts

        def law(part: Any, table: str, *side: str) -> Any:
            kind = keys.get(f"{table}.kind", DEFAULT_KIND.get(table))
            return law_of(part, f'{table}.kind = "{kind}"', *side)

        return cls(
            keys,
            outcome,
            law(parts.lever.link, "lever", "L"),
            law(parts.arm.link, "arm", "A"),
            law(parts.release, "release"),
            law(parts.spring, "spring"),
        )

    @property
    def parts(self) -> Parts:
        """The parts."""
        return self.outcome.parts

    @property
    def rubs(self) -> bool:
        """Whether the cable rubs in its bends."""
        return has(self.parts.cable.wrap)

    @property
    def measured_unit(self) -> bool:
        """Whether the release unit is a table."""
        return not self.unit.travel.free_symbols - {sym("θ_u")}


def has(value: Any) -> bool:
    """Return whether a number is there at all: a loss of zero is left out of the working."""
    return bool(float(value) != 0.0)


def total(terms: Iterable[Any]) -> Any:
    """Return a sum in the order given."""
    first, *rest = terms
    for term in rest:
        first = first + term
    return first


def put_down(sheet: Sheet, part: Any, table: str, inputs: Iterable[Input]) -> None:
    """Put down the numbers of a part."""
    for name, attribute, key in inputs:
        dotted = f"{table}.{key}"
        source, words = FOLLOWS.get(dotted, ("", ""))
        if source and source in sheet.keys:
            sheet.found(name, getattr(part, attribute), words)
        else:
            sheet.given(name, getattr(part, attribute), dotted)


def _triangle(sheet: Sheet, case: Case, table: str, link: Triangle, found: TriangleLaws) -> None:
    keys = case.keys
    moved = any(has(keys.get(name, 0.0)) for name in MOVED[table])
    ends = any(has(keys.get(name, 0.0)) for name in MOVES[table])
    points = f"{table}.points.pivot" in keys
    where = f"after the move of the {table}" if moved else f"distance of {table}.points"
    radius = "nipple_radius" if table == "lever" else "radius"
    for base, value, name in (
        ("r_", link.pin_radius_mm, radius),
        ("d_", link.stop_distance_mm, "stop_distance"),
    ):
        if moved or points:
            sheet.found(found.name(base), value, where)
        else:
            sheet.given(found.name(base), value, f"{table}.{name}")
    if found.offset:
        sheet.given(found.name("a_"), link.axial_offset_mm, f"{table}.axial_offset")
    length = found.name("ℓ_0")
    if points and not ends:
        sheet.found(length, link.rest_length_mm, f"distance of {table}.points")
    elif ends:
        sheet.found(length, link.rest_length_mm, f"after the move of the {table}")
    elif f"{table}.rest_length" in keys:
        sheet.given(length, link.rest_length_mm, f"{table}.rest_length")
    elif moved:
        sheet.found(length, link.rest_length_mm, f"from {table}.cable_angle before the move")
    else:
        angle = np.radians(keys[f"{table}.cable_angle"])
        sheet.given(found.name("δ_"), angle, f"{table}.cable_angle")
        sheet.work(length, found.rest_length())


def _link(sheet: Sheet, case: Case, table: str) -> None:
    law, part = (case.lever, case.parts.lever) if table == "lever" else (case.arm, case.parts.arm)
    if law.triangle is not None:
        assert isinstance(part.link, Triangle)
        _triangle(sheet, case, table, part.link, law.triangle)
    put_down(sheet, part.link, table, law.inputs)
    sheet.steps(law.first)


@as_written
def lever_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the lever."""
    lever, keys = case.parts.lever, case.keys
    _link(sheet, case, "lever")
    if "lever.hand_radius" in keys and lever.hand_radius_mm == sides_or_own(keys):
        sheet.given("r_h", lever.hand_radius_mm, "lever.hand_radius")
    else:
        sheet.found("r_h", lever.hand_radius_mm, "pivot to hand, from points or after the move")
    if "lever.hand_travel" in keys:
        sheet.key("h_g", "lever.hand_travel")
    elif "lever.travel" not in keys:
        where = "where the blade of lever.outline meets the grip"
        sheet.found("φ_g", case.outcome.keys.grip_angle_rad, where)
        sheet.work("h_g", sym("r_h") * sym("φ_g"))
    else:
        sheet.given("φ_g", np.radians(keys["lever.travel"]), "lever.travel")
        sheet.work("h_g", sym("r_h") * sym("φ_g"))
    sheet.those(("k_L", "lever.stiffness"))
    sheet.those(("η_L", "lever.efficiency"), but=1.0)


def sides_or_own(keys: Mapping[str, Any]) -> Any:
    """Return the lever's hand radius as the file gives it, NaN where a move has changed it."""
    if keys.get("lever.kind", "pin") != "pin":
        return keys["lever.hand_radius"]
    found = sides(keys, "lever").hand
    return found if found == keys["lever.hand_radius"] else np.nan


def _in_series(compliances: list[Any]) -> Any:
    """Return the stiffness of several compliances in series."""
    if len(compliances) > 1:
        return 1 / total(compliances)
    with sympy.evaluate(True):
        return 1 / compliances[0].doit()


@as_written
def cable_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the cable: slack, friction, stiffness."""
    cable, keys = case.parts.cable, case.keys
    if has(cable.bend_rad):
        sheet.given("β", cable.bend_rad, "cable.bend")
    sheet.those(("μ_c", "cable.friction"), ("D_c", "cable.drag"))
    at_hand = next(
        (k for k in ("free_play_at_hand", "take_up_at_hand") if f"cable.{k}" in keys), ""
    )
    if at_hand:
        sheet.found("s_0", cable.slack_mm, f"from cable.{at_hand}: pull of the lever there")
    else:
        terms = sheet.those(("s_p", "cable.free_play"), ("s_s", "cable.seating"))
        if has(cable.bend_rad):
            clearance = sheet.those(("s_c", "cable.liner_clearance"))
            terms += [one * sym("β") for one in clearance]
        if terms:
            sheet.work("s_0", total(terms))
    _cable_stiffness(sheet, case)


def _cable_stiffness(sheet: Sheet, case: Case) -> None:
    keys = case.keys
    if not has(case.parts.cable.compliance_mm_per_n):
        return
    if sheet.those(("k_c", "cable.stiffness")):
        return
    stiff = sheet.those(("k_o", "cable.housing.stiffness"), ("k_b", "cable.bracket_stiffness"))
    terms = [1 / one for one in stiff]
    for length in sheet.those(("L_w", "cable.wire.length")):
        area, modulus, area_note, modulus_note = _wire(keys)
        sheet.found("A_w", area, area_note)
        sheet.found("E_w", modulus, modulus_note)
        terms.append(length / (sym("E_w") * sym("A_w")))
    sheet.work("k_c", _in_series(terms))


def _wire(keys: Mapping[str, Any]) -> tuple[Any, Any, str, str]:
    """Return metal area and modulus of the wire, and where each comes from."""
    built, metal = (str(keys.get(f"cable.wire.{k}")) for k in ("construction", "material"))
    area, modulus = keys.get("cable.wire.area"), keys.get("cable.wire.modulus")
    area_note, modulus_note = "cable.wire.area", "cable.wire.modulus"
    if area is None:
        area = wire_area_mm2(built, keys["cable.wire.diameter"])
        area_note = f"metal area of {built} at cable.wire.diameter"
    if modulus is None:
        modulus = wire_modulus_mpa(built, metal)
        modulus_note = f"published stretch of {built} {metal} wire"
    return area, modulus, area_note, modulus_note


@as_written
def arm_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the arm."""
    arm = case.parts.arm
    _link(sheet, case, "arm")
    if has(arm.return_torque_nmm):
        sheet.given("M_0", arm.return_torque_nmm, "arm.return_torque")
    if has(arm.return_rate_nmm_per_rad):
        sheet.found("k_M", arm.return_rate_nmm_per_rad, "arm.return_rate")
    if has(arm.shaft_compliance_rad_per_nmm):
        sheet.found("k_s", 1 / arm.shaft_compliance_rad_per_nmm, "arm.shaft_stiffness")
    sheet.those(("η_A", "arm.efficiency"), but=1.0)


@as_written
def release_inputs(sheet: Sheet, case: Case) -> None:
    """Put down what the release unit's law needs."""
    law = case.unit
    needed = [step.expression for step in (*law.first, *law.back)]
    needed += [law.travel, law.slope, law.torque_arm(1), law.torque_arm(-1)]
    names = {str(s) for expression in needed for s in expression.free_symbols}
    put_down(sheet, case.parts.release, "release", (i for i in law.inputs if i.name in names))
    sheet.steps(law.first)


@as_written
def rod_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the rod: floats added up, compliances added up at the rod."""
    rod, keys = case.parts.rod, case.keys
    ratio = sheet.those(("i", "rod.finger_ratio"), but=1.0)
    terms = sheet.those(
        ("f_e", "rod.end_float"),
        ("f_a", "rod.adjuster_clearance"),
        ("f_s", "rod.shaft_float"),
        ("f_b", "bearing.axial_play"),
    )
    if terms:
        sheet.work("f", total(terms))
    if not has(rod.compliance_mm_per_n):
        return
    stiff = sheet.those(("k_1", "rod.stiffness"))
    if "rod.length" in keys and "rod.diameter" in keys:
        sheet.those(("L_r", "rod.length"), ("d_r", "rod.diameter"))
        sheet.given("E_r", STEEL_MODULUS_MPA, "steel")
        sheet.work("k_2", sym("E_r") * sympy.pi * sym("d_r") ** 2 / (4 * sym("L_r")))
        stiff.append(sym("k_2"))
    stiff += sheet.those(
        ("k_f", "rod.finger_stiffness"),
        ("k_m", "rod.mount_stiffness"),
        ("k_a", "bearing.axial_stiffness"),
    )
    terms = [1 / one for one in stiff]
    for plate in sheet.those(("k_p", "rod.plate_stiffness")):
        terms.append(sym("i") ** 2 / plate if ratio else 1 / plate)
    sheet.work("k_R", _in_series(terms))
