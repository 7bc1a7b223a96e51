"""Puts a mechanism's numbers on the sheet: lever, cable, arm, release unit and rod."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import sympy

from liftgeo.chain import Parts
from liftgeo.formulas import laws
from liftgeo.formulas.laws import TriangleLaws, UnitLaws, as_written
from liftgeo.formulas.sheet import Sheet
from liftgeo.formulas.symbols import sym
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import STEEL_MODULUS_MPA, number, sides
from liftgeo.parts import release as units
from liftgeo.parts.triangle import Drum, Link, Triangle


@dataclass(frozen=True)
class Case:
    """One mechanism on its way to a working: its parts, its keys, and what it has at all."""

    mechanism: Mechanism
    parts: Parts

    @property
    def keys(self) -> Mapping[str, Any]:
        """The file's flat keys."""
        return self.mechanism.keys

    def has(self, value: Any) -> bool:
        """Return whether a number is there at all: a loss of zero is left out of the working."""
        return bool(float(value) != 0.0)

    @property
    def rubs(self) -> bool:
        """Whether the cable rubs in its bends."""
        return self.has(self.parts.cable.wrap)

    @property
    def unit(self) -> UnitLaws | None:
        """The laws of the release unit; None for a measured one."""
        return unit_laws(self.parts.release)


def link_laws(link: Link, side: str) -> TriangleLaws | None:
    """Return the laws of a lever's or arm's triangle; None for a drum or a measured profile."""
    if not isinstance(link, Triangle):
        return None
    return TriangleLaws(side, bool(float(link.axial_offset_mm) != 0.0))


def unit_laws(unit: units.ReleaseUnit) -> UnitLaws | None:
    """Return the laws of a release unit; None for a measured one."""
    lossy = bool(getattr(unit, "efficiency", 1.0) != 1.0)
    if isinstance(unit, units.BallRamp):
        equal = bool(unit.ramp_angle_rad == unit.far_ramp_angle_rad)
        return laws.ball_ramp(unit.rolling, bool(unit.friction_angle_rad), equal)
    if isinstance(unit, units.QuickThread):
        collar = bool(unit.collar_diameter_mm) and bool(unit.collar_friction)
        return laws.quick_thread(bool(unit.friction), bool(unit.flank_angle_rad), collar)
    if isinstance(unit, units.Rack):
        return laws.rack(lossy)
    if isinstance(unit, units.CrankWithSlot):
        return laws.slotted_crank(lossy)
    if isinstance(unit, units.CrankWithLink):
        return laws.linked_crank(lossy, bool(unit.offset_mm))
    if isinstance(unit, units.Eccentric):
        return laws.eccentric(lossy, bool(unit.friction))
    return None


UNIT_NUMBERS: dict[type, tuple[tuple[str, str, str], ...]] = {
    units.BallRamp: (
        ("r_b", "pitch_radius_mm", "pitch_radius"),
        ("α_1", "ramp_angle_rad", "ramp_angle"),
        ("α_2", "far_ramp_angle_rad", "far_ramp_angle"),
        ("ρ", "friction_angle_rad", "friction_angle"),
    ),
    units.QuickThread: (
        ("P", "lead_mm", "lead"),
        ("d_m", "mean_diameter_mm", "mean_diameter"),
        ("ε", "flank_angle_rad", "flank_angle"),
        ("μ_t", "friction", "friction"),
        ("d_k", "collar_diameter_mm", "collar_diameter"),
        ("μ_k", "collar_friction", "collar_friction"),
    ),
    units.Rack: (("r_p", "pinion_radius_mm", "pinion_radius"), ("η_u", "efficiency", "efficiency")),
    units.CrankWithSlot: (
        ("r_k", "crank_radius_mm", "crank_radius"),
        ("ψ_0", "rest_angle_rad", "rest_angle"),
        ("η_u", "efficiency", "efficiency"),
    ),
    units.CrankWithLink: (
        ("r_k", "crank_radius_mm", "crank_radius"),
        ("L_k", "link_length_mm", "link_length"),
        ("ψ_0", "rest_angle_rad", "rest_angle"),
        ("e_k", "offset_mm", "offset"),
        ("η_u", "efficiency", "efficiency"),
    ),
    units.Eccentric: (
        ("e", "eccentricity_mm", "eccentricity"),
        ("ψ_0", "rest_angle_rad", "rest_angle"),
        ("R_c", "cam_radius_mm", "cam_radius"),
        ("μ_e", "friction", "friction"),
        ("η_u", "efficiency", "efficiency"),
    ),
    units.MeasuredUnit: (("η_u", "efficiency", "efficiency"),),
}
"""For each kind of release unit: symbol, attribute of the part, key of the file."""


def _triangle(sheet: Sheet, case: Case, table: str, found: TriangleLaws) -> None:
    keys = case.keys
    link = case.parts.lever.link if table == "lever" else case.parts.arm.link
    assert isinstance(link, Triangle)
    moved = any(case.has(number(keys, f"{table}.pivot_shift_{axis}")) for axis in "xy")
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
    sheet.work(found.name("γ_0"), found.angle(sym(length)), "loop closure at rest")


def _link(sheet: Sheet, case: Case, table: str) -> None:
    link = case.parts.lever.link if table == "lever" else case.parts.arm.link
    side = "L" if table == "lever" else "A"
    triangle = link_laws(link, side)
    if triangle is not None:
        _triangle(sheet, case, table, triangle)
    elif isinstance(link, Drum):
        sheet.given(f"b_{side}", link.radius_mm, f"{table}.drum_radius")


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
    if case.has(lever.compliance_mm_per_n):
        sheet.given("k_L", keys["lever.stiffness"], "lever.stiffness")
    if lever.efficiency != 1.0:
        sheet.given("η_L", lever.efficiency, "lever.efficiency")


def sides_or_own(keys: Mapping[str, Any]) -> Any:
    """Return the lever's hand radius as the file gives it, NaN where a move has changed it."""
    if keys.get("lever.kind", "pin") != "pin":
        return keys["lever.hand_radius"]
    found = sides(keys, "lever").hand
    return found if found == keys["lever.hand_radius"] else np.nan


def _sum(terms: list[Any]) -> Any:
    total = terms[0]
    for term in terms[1:]:
        total = total + term
    return total


def _in_series(compliances: list[Any]) -> Any:
    """Return the stiffness of several compliances in series."""
    if len(compliances) > 1:
        return 1 / _sum(compliances)
    with sympy.evaluate(True):
        return 1 / compliances[0].doit()


@as_written
def cable_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the cable: slack, friction, stiffness."""
    cable, keys = case.parts.cable, case.keys
    if case.has(cable.bend_rad):
        sheet.given("β", cable.bend_rad, "cable.bend")
    if case.has(cable.friction):
        sheet.given("μ_c", cable.friction, "cable.friction")
    if case.has(cable.drag_n):
        sheet.given("D_c", cable.drag_n, "cable.drag")
    at_hand = next(
        (k for k in ("free_play_at_hand", "take_up_at_hand") if f"cable.{k}" in keys), ""
    )
    if at_hand:
        sheet.found("s_0", cable.slack_mm, f"from cable.{at_hand}: pull of the lever there")
    else:
        terms = []
        for name, key in (("s_p", "free_play"), ("s_s", "seating")):
            if case.has(number(keys, f"cable.{key}")):
                terms.append(sheet.given(name, keys[f"cable.{key}"], f"cable.{key}"))
        clearance = number(keys, "cable.liner_clearance")
        if case.has(clearance) and case.has(cable.bend_rad):
            sheet.given("s_c", clearance, "cable.liner_clearance")
            terms.append(sym("s_c") * sym("β"))
        if terms:
            sheet.work("s_0", _sum(terms))
    _cable_stiffness(sheet, case)


def _cable_stiffness(sheet: Sheet, case: Case) -> None:
    keys = case.keys
    if not case.has(case.parts.cable.compliance_mm_per_n):
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
    from liftgeo.parts.cable import wire_area_mm2, wire_modulus_mpa

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
    if case.has(arm.return_torque_nmm):
        sheet.given("M_0", arm.return_torque_nmm, "arm.return_torque")
    if case.has(arm.return_rate_nmm_per_rad):
        sheet.found("k_M", arm.return_rate_nmm_per_rad, "arm.return_rate")
    if case.has(arm.shaft_compliance_rad_per_nmm):
        sheet.found("k_s", 1 / arm.shaft_compliance_rad_per_nmm, "arm.shaft_stiffness")
    if arm.efficiency != 1.0:
        sheet.given("η_A", arm.efficiency, "arm.efficiency")


@as_written
def release_inputs(sheet: Sheet, case: Case) -> None:
    """Put down the release unit."""
    unit, found = case.parts.release, case.unit
    needed: set[str] = set()
    if found is not None:
        pieces = [e for _, e in (*found.first, *found.back)]
        pieces += [found.travel, found.slope, found.torque_arm(1), found.torque_arm(-1)]
        needed = {str(s) for e in pieces for s in e.free_symbols}
    for name, attribute, key in UNIT_NUMBERS[type(unit)]:
        value = getattr(unit, attribute)
        if name in needed or (found is None and value != 1.0):
            sheet.given(name, value, f"release.{key}")
    if found is not None:
        for name, expression in found.first:
            sheet.work(name, expression)


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
    terms = [sheet.given(n, keys[k], k) for n, k in floats if case.has(number(keys, k))]
    if terms:
        sheet.work("f", _sum(terms))
    if not case.has(rod.compliance_mm_per_n):
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
