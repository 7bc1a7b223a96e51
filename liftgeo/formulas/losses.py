"""The lift budget and the effort floor, line by line with the loads at full lever."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from liftgeo.chain.budget import ITEMS
from liftgeo.formulas import laws
from liftgeo.formulas.inputs import Case, link_laws
from liftgeo.formulas.laws import as_written
from liftgeo.formulas.plates import TABLE_NOTE
from liftgeo.formulas.script import six_figures
from liftgeo.formulas.sheet import Sheet, evaluated
from liftgeo.formulas.symbols import sym
from liftgeo.outcome.outcome import Outcome
from liftgeo.parts.spring import Coils, ConedDisc
from liftgeo.parts.triangle import Drum

_LEFT = "budget.{}.left_mm"


@dataclass(frozen=True)
class Budget:
    """The budget being worked out, on a sheet of its own that knows full lever."""

    sheet: Sheet
    case: Case

    def has(self, name: str) -> bool:
        """Return whether the mechanism has a number at all."""
        return name in self.sheet.numbers

    def left(self, item: int, travel: Any) -> None:
        """Put down what is left of the lift after an item."""
        lift = travel / sym("i") if self.has("i") else travel
        self.down(item, lift)

    def down(self, item: int, lift: Any) -> None:
        """Work out the lift left after an item, and say what the item took."""
        note = ""
        if item:
            lost = self.sheet.numbers[f"x_{item - 1}"] - evaluated(lift, self.sheet.numbers)
            note = f"{six_figures(lost)} mm lost"
        self.sheet.work(f"x_{item}", lift, note, _LEFT.format(ITEMS[item]))

    def nothing(self, item: int) -> None:
        """Put down that an item takes nothing."""
        self.down(item, sym(f"x_{item - 1}"))


@as_written
def losses(sheet: Sheet, case: Case, outcome: Outcome) -> None:
    """Work out what is left of the lift after each item of the budget."""
    it = Budget(sheet, case)
    sheet.work("φ", sym("h_g") / sym("r_h"), "the lever at the grip, nothing lost")
    lever = _pull_of_lever(sheet, case)
    less = lever
    _turn_arm(it, less)
    it.left(0, _travel(it, sym("θ")))
    for item, name in ((1, "s_0"), (2, "k_L"), (3, "u")):
        if not it.has(name):
            it.nothing(item)
            continue
        if item == 2:
            flex = sym("F_h") / sym("k_L")
            sheet.work("φ", (sym("h_g") - flex) / sym("r_h"), "the blade bends")
            _pull_of_lever(sheet, case)
        else:
            less = less - sym(name)
        _turn_arm(it, less)
        it.left(item, _travel(it, sym("θ")))
    travel = sym("y")
    if it.has("k_s"):
        sheet.work("ω", sym("M") / sym("k_s"))
        it.left(4, _travel(it, sym("θ") - sym("ω")))
    else:
        it.nothing(4)
    for item, name in ((5, "f"), (6, "k_R")):
        if not it.has(name):
            it.nothing(item)
            continue
        if item == 6:
            sheet.work("v", sym("R") / sym("k_R"))
        travel = travel - sym("f" if item == 5 else "v")
        it.left(item, travel)
    _after_the_stop(it, outcome)


def _after_the_stop(it: Budget, outcome: Outcome) -> None:
    sheet = it.sheet
    if it.has("s_t") or it.has("f_t"):
        note = "slack and float left count below zero"
        sheet.found("x_7", outcome.full.signed_lift_mm, note, _LEFT.format("stop"))
    else:
        it.down(7, sym("x"))
    cushion = sym("x_7") - sym("c_0") if it.has("c_0") else sym("x_7")
    it.down(8, cushion)
    it.down(9, sym("x_8") - sym("S_n"))
    faces = 2 * sym("n")
    sheet.work("g", sym("x_9") / faces, "", "full_lever.clearance_per_face_mm")


def _pull_of_lever(sheet: Sheet, case: Case) -> Any:
    """Work out, or read, the pull of the lever at φ."""
    link = case.parts.lever.link
    triangle = link_laws(link, "L")
    if triangle is not None:
        sheet.work("γ_L", sym("γ_L0") + sym("φ"))
        sheet.work("ℓ_L", triangle.length(sym("γ_L")))
        sheet.work("s", sym("ℓ_L") - sym("ℓ_L0"))
    elif isinstance(link, Drum):
        sheet.work("s", sym("b_L") * sym("φ"))
    else:
        value = link.pull_mm(sheet.numbers["φ"])
        sheet.read("s", value, f"{TABLE_NOTE} of the lever's pull over angle")
    return sym("s")


def _turn_arm(it: Budget, pull: Any) -> None:
    """Work out the arm's rotation at a pull; below rest the law goes on as a straight line."""
    sheet, arm = it.sheet, it.case.parts.arm.link
    sheet.work("s_1", pull)
    triangle, value = link_laws(arm, "A"), sheet.numbers["s_1"]
    if value < 0:
        sheet.found("p_A", arm.moment_arm_mm(0.0), "at rest: below rest the law goes on straight")
        sheet.work("θ", sym("s_1") / sym("p_A"))
    elif triangle is not None:
        sheet.work("ℓ_A", sym("ℓ_A0") - sym("s_1"))
        sheet.work("γ_A", triangle.angle(sym("ℓ_A")))
        sheet.work("θ", sym("γ_A0") - sym("γ_A"))
    elif isinstance(arm, Drum):
        sheet.work("θ", sym("s_1") / sym("b_A"))
    else:
        sheet.read("θ", arm.rotation_rad(value), f"{TABLE_NOTE} of the arm's pull over angle")


def _travel(it: Budget, rotation: Any) -> Any:
    """Work out the rod travel at a rotation of the release unit."""
    sheet, unit, laws_of_unit = it.sheet, it.case.parts.release, it.case.unit
    sheet.work("θ_u", rotation)
    turned = sheet.numbers["θ_u"]
    if turned < 0:
        slope = unit.slope_mm_per_rad(0.0)
        sheet.found("j", slope, "at rest: below rest the law goes on straight")
        sheet.work("y", sym("j") * sym("θ_u"))
    elif laws_of_unit is None:
        sheet.read("y", unit.travel_mm(turned), f"{TABLE_NOTE} of travel over angle")
    else:
        sheet.work("y", laws_of_unit.travel)
    return sym("y")


@as_written
def effort_floor(sheet: Sheet, case: Case, outcome: Outcome) -> None:
    """Work out the least mean hand force of any geometry that lifts as far."""
    parts = case.parts
    spring = parts.spring
    for name, edge, deflection, value in (
        ("W_s0", "s_d0", "δ_0", parts.installed_deflection_mm),
        ("W_s1", "s_d", "δ", outcome.full.deflection_mm),
    ):
        if isinstance(spring, ConedDisc):
            parallel, series = spring.in_parallel != 1.0, spring.in_series != 1.0
            sheet.work(name, laws.disc_energy(edge, parallel, series))
        elif isinstance(spring, Coils):
            sheet.work(name, sym("n_c") * sym("c") * sym(deflection) ** 2 / 2)
        else:
            sheet.read(name, spring.energy_nmm(value), "area under the table")
    total = sheet.work("W_s", sym("W_s1") - sym("W_s0"))
    if "c_0" in sheet.numbers:
        square = sym("N_0") ** 2
        if "N" in sheet.numbers:
            square = square - sym("N") ** 2
        sheet.work("W_c", sym("w_c") * square / (2 * sym("N_c")))
        total = total - sym("W_c")
    springs = []
    if "M_0" in sheet.numbers:
        springs.append(sym("M_0") * sym("θ"))
    if "k_M" in sheet.numbers:
        springs.append(sym("k_M") * sym("θ") ** 2 / 2)
    if springs:
        sheet.work("W_r", springs[0] + springs[1] if len(springs) > 1 else springs[0])
        total = total + sym("W_r")
    sheet.work("F_0", total / sym("h_g"), "", "effort.floor_n")
