"""One position of the chain, worked from the plates back to the hand, pulling or letting back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import sympy

from liftgeo.chain import ARM_MOVES, FACES_PART, SLACK_TAKEN_UP, Position
from liftgeo.formulas import laws
from liftgeo.formulas.inputs import Case, link_laws
from liftgeo.formulas.laws import as_written
from liftgeo.formulas.plates import TABLE_NOTE, spring_load
from liftgeo.formulas.sheet import Identity, Line, Sheet
from liftgeo.formulas.symbols import sym
from liftgeo.parts.triangle import Drum

Items = list[Line | Identity]

_PRIMED = frozenset(
    [
        *("R", "y", "X", "w", "ψ", "θ_u", "j", "m", "M", "θ", "M_r", "γ_A", "ℓ_A", "p_A", "s_A"),
        *("T", "T_m", "u", "s", "T_h", "ℓ_L", "γ_L", "φ", "p_L", "F_h", "h"),
    ]
)


@dataclass(frozen=True)
class Walk:
    """A walk from plates to hand at one position.

    Attributes
    ----------
    way : {+1, -1}
        Pulling, or letting back. Letting back, the symbols that change carry a prime.
    full : bool
        Full lever: the lines carry the names of their results.
    """

    sheet: Sheet
    case: Case
    position: Position
    way: int
    full: bool

    @property
    def prime(self) -> str:
        """The mark of letting back."""
        return "" if self.way > 0 else "'"

    def sym(self, name: str) -> Any:
        """Return a symbol of this walk."""
        return sym(name + self.prime if name in _PRIMED else name)

    @property
    def search_note(self) -> str:
        """Where the number comes from that a search has found."""
        return "found so that the last line ends at the stop" if self.full else "where it peaks"

    def _own(self, expression: Any) -> Any:
        if self.way > 0:
            return expression
        with sympy.evaluate(False):
            return expression.xreplace({sym(n): sym(f"{n}'") for n in _PRIMED})

    def work(
        self, name: str, expression: Any, note: str = "", result: str = "", scale: float = 1.0
    ) -> None:
        """Work out a line with this walk's symbols."""
        own = name + self.prime if name in _PRIMED else name
        self.sheet.work(own, self._own(expression), note, self._result(result), scale)

    def read(self, name: str, value: Any, table: str, result: str = "") -> None:
        """Put down a number read from a measured table."""
        own = name + self.prime if name in _PRIMED else name
        self.sheet.read(own, value, f"{TABLE_NOTE} of {table}", self._result(result))

    def value(self, name: str) -> float:
        """Return a number of this walk."""
        return self.sheet.numbers[str(self.sym(name))]

    def _result(self, name: str) -> str:
        if not name or not self.full:
            return ""
        if self.way > 0:
            return f"full_lever.{name}"
        return f"full_lever.return_{name}" if name == "hand_force_n" else ""


def walk(sheet: Sheet, case: Case, p: Position, way: int, *, full: bool) -> tuple[Items, Items]:
    """Work one position from the plates back to the hand.

    Returns
    -------
    tuple of two lists
        Lines of plates and spring, and lines from the rod back to the hand.
    """
    step = Walk(sheet, case, p, way, full)
    if way > 0:
        _plates(step)
    plates, sheet.items = sheet.items, []
    _rod_force(step)
    _rod_and_unit(step)
    _arm(step)
    _cable(step)
    _lever(step)
    rest, sheet.items = sheet.items, []
    return plates, rest


@as_written
def _plates(step: Walk) -> None:
    sheet, case, at = step.sheet, step.case, float(step.position.at)
    if at >= FACES_PART:
        sheet.found("S", at - FACES_PART, step.search_note)
        lift = sym("c_0") + sym("S") if "c_0" in sheet.numbers else sym("S")
        step.work("x", lift, "", "plate_lift_mm")
    elif "c_0" in sheet.numbers:
        clamp = step.position.clamp_force_n
        sheet.found("N", clamp, step.search_note, step._result("clamp_force_n"))
        still = sym("w_c") * (sym("N_0") - sym("N")) / sym("N_c")
        step.work("x", still, "", "plate_lift_mm")
    else:
        sheet.found("x", 0.0, "the faces still touch", step._result("plate_lift_mm"))
        sheet.found("N", step.position.clamp_force_n, "found", step._result("clamp_force_n"))
    step.work("δ", sym("δ_0") + sym("x"))
    spring_load(sheet, case, at_rest=False)


@as_written
def _rod_force(step: Walk) -> None:
    case, at = step.case, float(step.position.at)
    rubs = case.has(case.parts.spring_friction)
    force = sym("F")
    if rubs:
        force = force * (1 + sym("ζ")) if step.way > 0 else force * (1 - sym("ζ"))
    if at < FACES_PART:
        force = force - _held(step, rubs)
    if case.parts.rod.finger_ratio != 1.0:
        force = force / sym("i")
    if step.way > 0:
        step.work("R", force, "", "rod_force_n")
    elif float(step.position.rod_force_n) > 0:
        step.work("R", force)
    else:
        step.sheet.found("R'", 0.0, "spring friction holds the plate")


def _held(step: Walk, rubs: bool) -> Any:
    """Return what the faces still carry, while they touch."""
    p, parts = step.position, step.case.parts
    if step.way < 0 or not rubs:
        return sym("N")
    carried = float(p.spring_load_n) - float(p.rod_force_n) * float(parts.rod.finger_ratio)
    step.sheet.found("H", carried, "as far as spring friction has turned")
    return sym("H")


@as_written
def _rod_and_unit(step: Walk) -> None:
    sheet, case, p = step.sheet, step.case, step.position
    parts, at = case.parts, float(p.at)
    travel = sym("i") * sym("x") if parts.rod.finger_ratio != 1.0 else sym("x")
    if "f" in sheet.numbers:
        share = min(max(at - ARM_MOVES, 0.0), 1.0)
        if share < 1.0 and step.way > 0:
            sheet.found("f_t", share * sheet.numbers["f"], "found")
        travel = travel + (sym("f") if share >= 1.0 else sym("f_t"))
    if "k_R" in sheet.numbers:
        travel = travel + step.sym("R") / sym("k_R")
    step.work("y", travel, "", "rod_travel_mm")
    found = case.unit
    if found is None:
        step.read("θ_u", p.unit_rotation_rad, "travel over angle")
        slope = parts.release.slope_mm_per_rad(p.unit_rotation_rad)
        step.read("j", slope, "travel over angle")
        lossy = parts.release.torque_arm_mm(0.1, 1) != parts.release.slope_mm_per_rad(0.1)
        arm = laws._by_efficiency(sym("j"), bool(lossy))(step.way)
    else:
        for name, expression in found.back:
            step.work(name, expression)
        step.work("j", found.slope)
        arm = found.torque_arm(step.way)
    step.work("m", arm)
    torque = step.sym("R") * step.sym("m")
    holding = -(parts.arm.return_torque_nmm + parts.arm.return_rate_nmm_per_rad * step.value("θ_u"))
    if step.way < 0 and step.value("R") * step.value("m") < holding:
        step.sheet.found("M'", holding, "the unit holds itself against the return spring")
    else:
        step.work("M", torque)


@as_written
def _arm(step: Walk) -> None:
    sheet, case, p = step.sheet, step.case, step.position
    arm, at = case.parts.arm, float(p.at)
    turned = step.sym("θ_u")
    if "k_s" in sheet.numbers:
        turned = turned + step.sym("M") / sym("k_s")
    step.work("θ", turned, "", "arm_rotation_deg", 180 / np.pi)
    triangle = link_laws(arm.link, "A")
    if triangle is not None:
        step.work("γ_A", sym("γ_A0") - step.sym("θ"))
        step.work("ℓ_A", triangle.length(step.sym("γ_A")))
        step.work("p_A", triangle.moment_arm(step.sym("γ_A"), step.sym("ℓ_A")))
        step.work("s_A", sym("ℓ_A0") - step.sym("ℓ_A"))
    elif isinstance(arm.link, Drum):
        step.work("p_A", sym("b_A"))
        step.work("s_A", sym("b_A") * step.sym("θ"))
    else:
        step.read("p_A", p.arm_moment_arm_mm, "the arm's pull over angle")
        step.read("s_A", arm.link.pull_mm(p.arm_rotation_rad), "the arm's pull over angle")
    torque = step.sym("M")
    springs = []
    if "M_0" in sheet.numbers:
        springs.append(sym("M_0"))
    if "k_M" in sheet.numbers:
        springs.append(sym("k_M") * step.sym("θ"))
    if springs:
        step.work("M_r", springs[0] + springs[1] if len(springs) > 1 else springs[0])
        torque = torque + step.sym("M_r")
    share = min(max(at - SLACK_TAKEN_UP, 0.0), 1.0)
    if share < 1.0:
        if step.way > 0:
            sheet.found("b_T", share, "found")
        torque = sym("b_T") * torque
    if "η_A" not in sheet.numbers:
        tension = torque / step.sym("p_A")
    elif step.way > 0:
        tension = torque / (step.sym("p_A") * sym("η_A"))
    else:
        tension = torque * (2 - 1 / sym("η_A")) / step.sym("p_A")
    if step.way < 0 and float(p.tension_n) <= 0.0:
        step.sheet.found("T'", 0.0, "friction holds; the cable carries nothing")
    else:
        step.work("T", tension, "", "cable_tension_n")


@as_written
def _cable(step: Walk) -> None:
    sheet, case, p = step.sheet, step.case, step.position
    at, stretched = float(p.at), step.sym("T")
    pull = step.sym("s_A")
    if case.has(case.parts.cable.compliance_mm_per_n):
        if case.rubs:
            step.work("T_m", laws.mean_tension(step.way), "mean over the bends")
            stretched = step.sym("T_m")
        step.work("u", stretched / sym("k_c"))
        pull = pull + step.sym("u")
    if "s_0" in sheet.numbers:
        share = min(max(at, 0.0), 1.0)
        if share < 1.0 and step.way > 0:
            sheet.found("s_t", share * sheet.numbers["s_0"], "found")
        pull = pull + (sym("s_0") if share >= 1.0 else sym("s_t"))
    step.work("s", pull, "", "cable_pull_mm")
    if at > 0 and (step.way > 0 or float(p.hand_tension_n) > 0.0):
        drags = case.has(case.parts.cable.drag_n)
        step.work("T_h", laws.hand_tension(step.way, case.rubs, drags))
    elif at > 0:
        step.sheet.found("T_h'", 0.0, "friction holds; the hand carries nothing")
    else:
        sheet.found(str(step.sym("T_h")), 0.0, "the lever has not moved")


@as_written
def _lever(step: Walk) -> None:
    sheet, case, p = step.sheet, step.case, step.position
    lever = case.parts.lever
    triangle = link_laws(lever.link, "L")
    named = ("", "lever_angle_deg", 180 / np.pi)
    if triangle is not None:
        step.work("ℓ_L", sym("ℓ_L0") + step.sym("s"))
        step.work("γ_L", triangle.angle(step.sym("ℓ_L")), "loop closure")
        step.work("φ", step.sym("γ_L") - sym("γ_L0"), *named)
        step.work("p_L", triangle.moment_arm(step.sym("γ_L"), step.sym("ℓ_L")))
    elif isinstance(lever.link, Drum):
        step.work("φ", step.sym("s") / sym("b_L"), *named)
        step.work("p_L", sym("b_L"))
    else:
        table = "the lever's pull over angle"
        step.read("φ", p.lever_angle_rad, table)
        step.read("p_L", p.lever_moment_arm_mm, table)
    turning = step.sym("T_h") * step.sym("p_L")
    if "η_L" not in sheet.numbers:
        force = turning / sym("r_h")
    elif step.way > 0:
        force = turning / (sym("r_h") * sym("η_L"))
    elif 2 - 1 / float(lever.efficiency) > 0:
        force = turning * (2 - 1 / sym("η_L")) / sym("r_h")
    else:
        force = 0 * turning
    step.work("F_h", force, "", "hand_force_n")
    travel = sym("r_h") * step.sym("φ")
    if "k_L" in sheet.numbers:
        travel = travel + step.sym("F_h") / sym("k_L")
    step.work("h", travel, "", "hand_travel_mm")
