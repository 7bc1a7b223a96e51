"""One position of the chain, worked from the plates back to the hand, pulling or letting back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from liftgeo.chain import ARM_MOVES, FACES_PART, SLACK_TAKEN_UP, Position
from liftgeo.formulas import laws
from liftgeo.formulas.inputs import Case, has, total
from liftgeo.formulas.laws import either
from liftgeo.formulas.plates import spring_load
from liftgeo.formulas.registry import Step, as_written, substituted
from liftgeo.formulas.sheet import Sheet
from liftgeo.formulas.symbols import sym

_PRIMED = frozenset(
    [
        *("R", "y", "X", "w", "ψ", "θ_u", "j", "m", "M", "θ", "M_r", "γ_A", "ℓ_A", "p_A", "s_A"),
        *("T", "T_m", "u", "s", "T_h", "ℓ_L", "γ_L", "φ", "p_L", "F_h", "h"),
    ]
)
_LETTING_BACK = {name: sym(f"{name}'") for name in _PRIMED}


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

    def own(self, name: str) -> str:
        """Return a symbol's name in this walk."""
        return f"{name}'" if self.way < 0 and name in _PRIMED else name

    def value(self, name: str) -> float:
        """Return a number of this walk."""
        return self.sheet.numbers[self.own(name)]

    @property
    def search_note(self) -> str:
        """Where the number comes from that a search has found."""
        return "found so that the last line ends at the stop" if self.full else "where it peaks"

    def work(
        self, name: str, expression: Any, note: str = "", result: str = "", scale: float = 1.0
    ) -> None:
        """Work out a line, its expression in the symbols of pulling, with this walk's symbols."""
        if self.way < 0:
            expression = substituted(expression, _LETTING_BACK)
        self.sheet.work(self.own(name), expression, note, self._result(result), scale)

    def steps(self, steps: Iterable[Step]) -> None:
        """Work out the steps of a law."""
        for step in steps:
            self.work(*step)

    def found(self, name: str, value: Any, note: str, result: str = "") -> None:
        """Put down a number that was found elsewhere."""
        self.sheet.found(self.own(name), value, note, self._result(result))

    def taken_up(self, joint: float, whole: str, so_far: str) -> Any:
        """Return what is taken up at a joint of the chain: all of it, or as much as so far."""
        share = min(max(float(self.position.at) - joint, 0.0), 1.0)
        if share < 1.0 and self.way > 0:
            self.found(so_far, share * self.sheet.numbers.get(whole, 1.0), "found")
        return sym(whole if share >= 1.0 else so_far)

    def _result(self, name: str) -> str:
        if not name or not self.full:
            return ""
        if self.way > 0:
            return f"full_lever.{name}"
        return f"full_lever.return_{name}" if name == "hand_force_n" else ""


def walk(sheet: Sheet, case: Case, p: Position, way: int, *, full: bool) -> int:
    """Work one position from the plates back to the hand; return how many lines the plates take."""
    step = Walk(sheet, case, p, way, full)
    if way > 0:
        _plates(step)
    plates = len(sheet.items)
    for part in (_rod_force, _rod_and_unit, _arm, _cable, _lever):
        part(step)
    return plates


@as_written
def _plates(step: Walk) -> None:
    sheet, case, at = step.sheet, step.case, float(step.position.at)
    if at >= FACES_PART:
        step.found("S", at - FACES_PART, step.search_note)
        lift = sym("c_0") + sym("S") if "c_0" in sheet.numbers else sym("S")
        step.work("x", lift, "", "plate_lift_mm")
    elif "c_0" in sheet.numbers:
        clamp = step.position.clamp_force_n
        step.found("N", clamp, step.search_note, "clamp_force_n")
        still = sym("w_c") * (sym("N_0") - sym("N")) / sym("N_c")
        step.work("x", still, "", "plate_lift_mm")
    else:
        step.found("x", 0.0, "the faces still touch", "plate_lift_mm")
        step.found("N", step.position.clamp_force_n, "found", "clamp_force_n")
    step.work("δ", sym("δ_0") + sym("x"))
    spring_load(sheet, case)


@as_written
def _rod_force(step: Walk) -> None:
    case, at = step.case, float(step.position.at)
    rubs = has(case.parts.spring_friction)
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
        step.found("R", 0.0, "spring friction holds the plate")


def _held(step: Walk, rubs: bool) -> Any:
    """Return what the faces still carry, while they touch."""
    p, parts = step.position, step.case.parts
    if step.way < 0 or not rubs:
        return sym("N")
    carried = float(p.spring_load_n) - float(p.rod_force_n) * float(parts.rod.finger_ratio)
    step.found("H", carried, "as far as spring friction has turned")
    return sym("H")


@as_written
def _rod_and_unit(step: Walk) -> None:
    known, parts, law = step.sheet.numbers, step.case.parts, step.case.unit
    travel = sym("i") * sym("x") if parts.rod.finger_ratio != 1.0 else sym("x")
    if "f" in known:
        travel = travel + step.taken_up(ARM_MOVES, "f", "f_t")
    if "k_R" in known:
        travel = travel + sym("R") / sym("k_R")
    step.work("y", travel, "", "rod_travel_mm")
    step.steps(law.back)
    step.work("j", law.slope)
    step.work("m", law.torque_arm(step.way))
    holding = -(parts.arm.return_torque_nmm + parts.arm.return_rate_nmm_per_rad * step.value("θ_u"))
    if step.way < 0 and step.value("R") * step.value("m") < holding:
        step.found("M", holding, "the unit holds itself against the return spring")
    else:
        step.work("M", sym("R") * sym("m"))


@as_written
def _arm(step: Walk) -> None:
    known, law = step.sheet.numbers, step.case.arm
    turned = sym("θ_u")
    if "k_s" in known:
        turned = turned + sym("M") / sym("k_s")
    step.work("θ", turned, "", "arm_rotation_deg", 180 / np.pi)
    *steps, pull = law.forward
    step.steps(steps)
    step.work("p_A", law.moment_arm)
    step.work(*pull)
    torque = sym("M")
    springs = return_springs(known)
    if springs:
        step.work("M_r", total(springs))
        torque = torque + sym("M_r")
    if float(step.position.at) - SLACK_TAKEN_UP < 1.0:
        torque = step.taken_up(SLACK_TAKEN_UP, "b_T", "b_T") * torque
    tension = torque / sym("p_A")
    if "η_A" in known:
        pulling = torque / (sym("p_A") * sym("η_A"))
        tension = either(step.way, pulling, torque * (2 - 1 / sym("η_A")) / sym("p_A"))
    if step.way < 0 and float(step.position.tension_n) <= 0.0:
        step.found("T", 0.0, "friction holds; the cable carries nothing")
    else:
        step.work("T", tension, "", "cable_tension_n")


def return_springs(known: Mapping[str, float]) -> list[Any]:
    """Return the torques of the arm's return spring: at rest, and its rise."""
    torques = {"M_0": sym("M_0"), "k_M": sym("k_M") * sym("θ")}
    return [torque for name, torque in torques.items() if name in known]


@as_written
def _cable(step: Walk) -> None:
    cable, p, pull = step.case.parts.cable, step.position, sym("s_A")
    if has(cable.compliance_mm_per_n):
        stretched = sym("T")
        if step.case.rubs:
            step.work("T_m", laws.mean_tension(step.way), "mean over the bends")
            stretched = sym("T_m")
        step.work("u", stretched / sym("k_c"))
        pull = pull + sym("u")
    if "s_0" in step.sheet.numbers:
        pull = pull + step.taken_up(0, "s_0", "s_t")
    step.work("s", pull, "", "cable_pull_mm")
    if float(p.at) <= 0:
        step.found("T_h", 0.0, "the lever has not moved")
    elif step.way > 0 or float(p.hand_tension_n) > 0.0:
        step.work("T_h", laws.hand_tension(step.way, step.case.rubs, has(cable.drag_n)))
    else:
        step.found("T_h", 0.0, "friction holds; the hand carries nothing")


@as_written
def _lever(step: Walk) -> None:
    known, lever, law = step.sheet.numbers, step.case.parts.lever, step.case.lever
    *steps, turn = law.back
    step.steps(steps)
    step.work(*turn, "lever_angle_deg", 180 / np.pi)
    step.work("p_L", law.moment_arm)
    turning = sym("T_h") * sym("p_L")
    force = turning / sym("r_h")
    if "η_L" in known:
        held = 2 - 1 / float(lever.efficiency) <= 0
        back = 0 * turning if held else turning * (2 - 1 / sym("η_L")) / sym("r_h")
        force = either(step.way, turning / (sym("r_h") * sym("η_L")), back)
    step.work("F_h", force, "", "hand_force_n")
    travel = sym("r_h") * sym("φ")
    if "k_L" in known:
        travel = travel + sym("F_h") / sym("k_L")
    step.work("h", travel, "", "hand_travel_mm")
