"""The lift budget and the effort floor, line by line with the loads at full lever."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from liftgeo.chain.budget import ITEMS
from liftgeo.formulas.full_lever import return_springs
from liftgeo.formulas.inputs import Case, total
from liftgeo.formulas.plates import at_rest
from liftgeo.formulas.registry import as_written, followed, substituted
from liftgeo.formulas.sheet import Sheet, evaluated
from liftgeo.formulas.symbols import sym

_BELOW_REST = "at rest: below rest the law goes on straight"


class Budget:
    """The budget being worked out, on a sheet of its own that knows full lever."""

    def __init__(self, sheet: Sheet, case: Case) -> None:
        self.sheet, self.case = sheet, case
        self.less: Any = sym("s")

    def left(self, item: int, lift: Any) -> None:
        """Work out the lift left after an item, and say what the item took."""
        lost = None
        if item:
            known = self.sheet.numbers
            lost = known[f"x_{item - 1}"] - evaluated(lift, known)
        self.sheet.work(f"x_{item}", lift, result=f"budget.{ITEMS[item]}.left_mm", lost_mm=lost)

    def after(self, item: int, name: str, work: Callable[[], Any]) -> None:
        """Work out the lift after an item from the rod travel; a number not there takes nothing."""
        known = self.sheet.numbers
        if name and name not in known:
            self.left(item, sym(f"x_{item - 1}"))
            return
        travel = work()
        self.left(item, travel / sym("i") if "i" in known else travel)

    def bent(self) -> Any:
        """Work out the rod travel with the blade bent."""
        flex = sym("F_h") / sym("k_L")
        self.sheet.work("φ", (sym("h_g") - flex) / sym("r_h"), "the blade bends")
        self.pull()
        return self.travel()

    def shorter(self, name: str) -> Any:
        """Work out the rod travel with so much of the pull lost."""
        self.less = self.less - sym(name)
        return self.travel()

    def wound_up(self) -> Any:
        """Work out the rod travel with the shaft wound up."""
        self.sheet.work("ω", sym("M") / sym("k_s"))
        return self.rod(sym("θ") - sym("ω"))

    def pull(self) -> None:
        """Work out the pull of the lever at φ."""
        self.sheet.steps(self.case.lever.forward)

    def travel(self) -> Any:
        """Work out the rod travel at the pull that is left."""
        law = self.case.arm
        self.sheet.work("s_1", self.less)
        if self.sheet.numbers["s_1"] < 0:
            first = substituted(law.moment_arm, followed(law.forward[:-1], {"θ": 0}))
            self.sheet.found("p_A", evaluated(first, self.sheet.numbers), _BELOW_REST)
            self.sheet.work("θ", sym("s_1") / sym("p_A"))
        else:
            self.sheet.steps(law.back)
        return self.rod(sym("θ"))

    def rod(self, rotation: Any) -> Any:
        """Work out the rod travel at a rotation of the release unit."""
        law, known = self.case.unit, self.sheet.numbers
        self.sheet.work("θ_u", rotation)
        if known["θ_u"] < 0:
            first = substituted(law.slope, {"ψ": sym("ψ_0"), "θ_u": 0})
            self.sheet.found("j", evaluated(first, known), _BELOW_REST)
            return self.sheet.work("y", sym("j") * sym("θ_u"))
        return self.sheet.work("y", law.travel)


@as_written
def losses(sheet: Sheet, case: Case) -> None:
    """Work out what is left of the lift after each item of the budget."""
    it = Budget(sheet, case)
    sheet.work("φ", sym("h_g") / sym("r_h"), "the lever at the grip, nothing lost")
    it.pull()
    it.after(0, "", it.travel)
    it.after(1, "s_0", lambda: it.shorter("s_0"))
    it.after(2, "k_L", it.bent)
    it.after(3, "u", lambda: it.shorter("u"))
    it.after(4, "k_s", it.wound_up)
    y, f, v = sym("y"), sym("f"), sym("v")
    it.after(5, "f", lambda: y - f)
    if "k_R" in sheet.numbers:
        sheet.work("v", sym("R") / sym("k_R"))
    it.after(6, "k_R", lambda: (y - f if "f" in sheet.numbers else y) - v)
    _after_the_stop(it)


def _after_the_stop(it: Budget) -> None:
    sheet = it.sheet
    if "s_t" in sheet.numbers or "f_t" in sheet.numbers:
        note, lift = "slack and float left count below zero", it.case.outcome.full.signed_lift_mm
        sheet.found("x_7", lift, note, f"budget.{ITEMS[7]}.left_mm")
    else:
        it.left(7, sym("x"))
    it.left(8, sym("x_7") - sym("c_0") if "c_0" in sheet.numbers else sym("x_7"))
    it.left(9, sym("x_8") - sym("S_n"))
    sheet.work("g", sym("x_9") / (2 * sym("n")), "", "full_lever.clearance_per_face_mm")


@as_written
def effort_floor(sheet: Sheet, case: Case) -> None:
    """Work out the least mean hand force of any geometry that lifts as far."""
    sheet.work("W_s0", at_rest(case.spring.energy))
    sheet.work("W_s1", case.spring.energy)
    energy = sheet.work("W_s", sym("W_s1") - sym("W_s0"))
    if "c_0" in sheet.numbers:
        square = sym("N_0") ** 2
        if "N" in sheet.numbers:
            square = square - sym("N") ** 2
        sheet.work("W_c", sym("w_c") * square / (2 * sym("N_c")))
        energy = energy - sym("W_c")
    if springs := return_springs(sheet.numbers):
        sheet.work("W_r", total(_energy_of(torque) for torque in springs))
        energy = energy + sym("W_r")
    sheet.work("F_0", energy / sym("h_g"), "", "effort.floor_n")


@as_written
def _energy_of(torque: Any) -> Any:
    """Return the energy of a return torque: steady, or rising with the rotation."""
    theta = sym("θ")
    return sym("k_M") * theta**2 / 2 if theta in torque.free_symbols else torque * theta
