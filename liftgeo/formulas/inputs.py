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
from liftgeo.mechanism.convert import STEEL_MODULUS_MPA, number, sides
from liftgeo.mechanism.tables import DEFAULT_KIND
from liftgeo.outcome.analysis import Outcome
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
        sheet.given(name, getattr(part, attribute), f"{table}.{key}")


def _triangle(sheet: Sheet, case: Case, table: str, link: Triangle, found: TriangleLaws) -> None:
    keys = case.keys
    moved = any(has(number(keys, f"{table}.pivot_shift_{axis}")) for axis in "xy")
    points = f"{table}.points.pivot" in keys
    where = "after the pivot is moved" if moved else f"distance of {table}.points"
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
    if points:
        sheet.found(length, link.rest_length_mm, f"distance of {table}.points")
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
    for step in law.first:
        sheet.work(*step)


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
        sheet.given("h_g", lever.hand_travel_mm, "lever.hand_travel")
    else:
        sheet.given("φ_g", np.radians(keys["lever.travel"]), "lever.travel")
        sheet.work("h_g", sym("r_h") * sym("φ_g"))
    if has(lever.compliance_mm_per_n):
        sheet.given("k_L", keys["lever.stiffness"], "lever.stiffness")
    if lever.efficiency != 1.0:
        sheet.given("η_L", lever.efficiency, "lever.efficiency")


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
    if has(cable.friction):
        sheet.given("μ_c", cable.friction, "cable.friction")
    if has(cable.drag_n):
        sheet.given("D_c", cable.drag_n, "cable.drag")
    at_hand = next(
        (k for k in ("free_play_at_hand", "take_up_at_hand") if f"cable.{k}" in keys), ""
    )
    if at_hand:
        sheet.found("s_0", cable.slack_mm, f"from cable.{at_hand}: pull of the lever there")
    else:
        terms = []
        for name, key in (("s_p", "free_play"), ("s_s", "seating")):
            if has(number(keys, f"cable.{key}")):
                terms.append(sheet.given(name, keys[f"cable.{key}"], f"cable.{key}"))
        clearance = number(keys, "cable.liner_clearance")
        if has(clearance) and has(cable.bend_rad):
            sheet.given("s_c", clearance, "cable.liner_clearance")
            terms.append(sym("s_c") * sym("β"))
        if terms:
            sheet.work("s_0", total(terms))
    _cable_stiffness(sheet, case)


def _cable_stiffness(sheet: Sheet, case: Case) -> None:
    keys = case.keys
    if not has(case.parts.cable.compliance_mm_per_n):
        return
    if "cable.stiffness" in keys:
        sheet.given("k_c", keys["cable.stiffness"], "cable.stiffness")
        return
    terms = []
    for name, key in (("k_o", "housing.stiffness"), ("k_b", "bracket_stiffness")):
        if keys.get(f"cable.{key}") is not None:
            terms.append(1 / sheet.given(name, keys[f"cable.{key}"], f"cable.{key}"))
    if keys.get("cable.wire.length") is not None:
        wire = _wire(keys)
        sheet.given("L_w", keys["cable.wire.length"], "cable.wire.length")
        sheet.found("A_w", wire[0], wire[2])
        sheet.found("E_w", wire[1], wire[3])
        terms.append(sym("L_w") / (sym("E_w") * sym("A_w")))
    sheet.work("k_c", _in_series(terms))


def _wire(keys: Mapping[str, Any]) -> tuple[Any, Any, str, str]:
    """Return metal area and modulus of the wire, and where each comes from."""
    kind = f"{keys.get('cable.wire.construction')} {keys.get('cable.wire.material')}"
    area, modulus = keys.get("cable.wire.area"), keys.get("cable.wire.modulus")
    area_note, modulus_note = "cable.wire.area", "cable.wire.modulus"
    if area is None:
        built = str(keys["cable.wire.construction"])
        area = wire_area_mm2(built, keys["cable.wire.diameter"])
        area_note = f"metal area of {built} at cable.wire.diameter"
    if modulus is None:
        words = keys["cable.wire.construction"], keys["cable.wire.material"]
        modulus = wire_modulus_mpa(str(words[0]), str(words[1]))
        modulus_note = f"published stretch of {kind} wire"
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
    if arm.efficiency != 1.0:
        sheet.given("η_A", arm.efficiency, "arm.efficiency")


@as_written
def release_inputs(sheet: Sheet, case: Case) -> None:
    """Put down what the release unit's law needs."""
    law = case.unit
    needed = [step.expression for step in (*law.first, *law.back)]
    needed += [law.travel, law.slope, law.torque_arm(1), law.torque_arm(-1)]
    names = {str(s) for expression in needed for s in expression.free_symbols}
    put_down(sheet, case.parts.release, "release", (i for i in law.inputs if i.name in names))
    for step in law.first:
        sheet.work(*step)


@as_written
def rod_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the rod: floats added up, compliances added up at the rod."""
    rod, keys = case.parts.rod, case.keys
    if rod.finger_ratio != 1.0:
        sheet.given("i", rod.finger_ratio, "rod.finger_ratio")
    floats = (
        ("f_e", "rod.end_float"),
        ("f_a", "rod.adjuster_clearance"),
        ("f_s", "rod.shaft_float"),
        ("f_b", "bearing.axial_play"),
    )
    terms = [sheet.given(n, keys[k], k) for n, k in floats if has(number(keys, k))]
    if terms:
        sheet.work("f", total(terms))
    if not has(rod.compliance_mm_per_n):
        return
    terms = []
    if "rod.stiffness" in keys:
        terms.append(1 / sheet.given("k_1", keys["rod.stiffness"], "rod.stiffness"))
    if "rod.length" in keys and "rod.diameter" in keys:
        sheet.given("L_r", keys["rod.length"], "rod.length")
        sheet.given("d_r", keys["rod.diameter"], "rod.diameter")
        sheet.given("E_r", STEEL_MODULUS_MPA, "steel")
        sheet.work("k_2", sym("E_r") * sympy.pi * sym("d_r") ** 2 / (4 * sym("L_r")))
        terms.append(1 / sym("k_2"))
    for name, key in (
        ("k_f", "rod.finger_stiffness"),
        ("k_m", "rod.mount_stiffness"),
        ("k_a", "bearing.axial_stiffness"),
    ):
        if keys.get(key) is not None:
            terms.append(1 / sheet.given(name, keys[key], key))
    if keys.get("rod.plate_stiffness") is not None:
        sheet.given("k_p", keys["rod.plate_stiffness"], "rod.plate_stiffness")
        levered = sym("i") ** 2 / sym("k_p") if rod.finger_ratio != 1.0 else 1 / sym("k_p")
        terms.append(levered)
    sheet.work("k_R", _in_series(terms))
