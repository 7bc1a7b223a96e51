"""The working: its numbers are the analysis's, and a pocket calculator follows each line."""

from __future__ import annotations

import copy
import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import sympy
from matplotlib.mathtext import MathTextParser

import liftgeo
from liftgeo import formulas
from liftgeo.chain import Parts
from liftgeo.errors import RequestError
from liftgeo.formulas import Identity, Line, Working
from liftgeo.formulas.derivation import shown_equal
from liftgeo.formulas.script import Latex, Script, as_given, six_figures
from liftgeo.formulas.sheet import evaluated
from liftgeo.formulas.symbols import QUANTITIES, quantity, sym
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.parts.release import back_factor

TESTS = Path(__file__).resolve().parents[1]


def _table(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


# --- mechanisms: invented, every kind of part, every loss, every way a stroke can end ---

_TRACTOR = _table(TESTS.parent / "geometries" / "hill-tractor.toml")


def _tractor(**over: dict[str, Any]) -> dict[str, Any]:
    """Return the hill tractor with keys laid over its tables; None takes a key out."""
    found = copy.deepcopy({k: v for k, v in _TRACTOR.items() if k != "changes"})
    for table, keys in over.items():
        found.setdefault(table, {}).update(keys)
        found[table] = {k: v for k, v in found[table].items() if v is not None}
    return found


_WIRE = {"construction": "1x19", "material": "stainless", "diameter": 2.5, "length": 900.0}
_DOCUMENTS: dict[str, dict[str, Any]] = {
    **_table(TESTS / "validation" / "point_equilibrium_scenarios.toml"),
    **{p.stem: _table(p) for p in sorted((TESTS.parent / "geometries").glob("*.toml"))},
    "ends in the slack": _tractor(lever={"hand_travel": 3.0}),
    "ends as the cable stretches": _tractor(lever={"hand_travel": 7.0}),
    "ends in the float": _tractor(lever={"hand_travel": 10.0}),
    "ends on the cushion": _tractor(lever={"hand_travel": 24.0}),
    "no cushion, not released": _tractor(
        faces={"cushion_travel": 0.0}, lever={"hand_travel": 20.0}
    ),
    "rubbing spring": _tractor(spring={"friction": 0.05}),
    "rubbing spring, not released": _tractor(
        spring={"friction": 0.05}, lever={"hand_travel": 20.0}
    ),
    "wire and casing": _tractor(
        cable={"stiffness": None, "wire": _WIRE, "housing": {"stiffness": 900.0}}
    ),
    "take-up at the hand": _tractor(cable={"free_play": None, "take_up_at_hand": 12.0}),
    "free play at the hand": _tractor(cable={"free_play": None, "free_play_at_hand": 7.0}),
    "holds itself": _tractor(release={"friction_angle": 15.0}),
    "end of the track": _tractor(
        release={"max_rotation": 8.0}, lever={"stiffness": 50.0, "efficiency": 0.9}
    ),
    "run-outs with angles": _tractor(
        faces={"pressure_plate_runout_angle": 10.0, "lift_tilt_angle": 100.0}
    ),
    "moved pivot": _tractor(
        lever={"hand_angle": -100.0, "pivot_shift_x": 1.0, "pivot_shift_y": -0.5}
    ),
    "arm holds itself": _tractor(arm={"efficiency": 0.45}),
    "lever holds itself": _tractor(lever={"efficiency": 0.45}),
}
NAMES = list(_DOCUMENTS)


@cache
def mechanism_of(name: str) -> Mechanism:
    return from_document(_DOCUMENTS[name], name)


@cache
def working_of(name: str) -> Working:
    return formulas.worked(mechanism_of(name))


@cache
def results_of(name: str) -> dict[str, Any]:
    return liftgeo.stroke(mechanism_of(name)).to_dict()


def result(name: str, dotted: str) -> float:
    """Return what `liftgeo stroke` says under the dotted name that a line carries."""
    table, key, *rest = dotted.split(".")
    found = results_of(name)[table]
    if table == "budget":
        return next(line for line in found if line["item"] == key)[rest[0]]
    return found[key][-1] if table == "stroke" else found[key]


# --- every number is the analysis's ---


@pytest.mark.parametrize("name", NAMES)
def test_every_printed_number_is_the_one_of_the_analysis(name: str) -> None:
    found = [line for line in working_of(name).lines if line.result]
    for line in found:
        expected = result(name, line.result) / line.scale
        shown = math.degrees(expected) if line.quantity.unit == "rad" else expected
        printed = float(line.value_text)
        half_digit = 0.5 * 10 ** -min(max(5 - _exponent(shown), 0), 8)
        assert abs(printed - shown) <= half_digit * 1.000001, (line.name, printed, shown)
    carried = {line.result for line in found}
    for key in ("rod_travel_mm", "hand_force_n", "hand_travel_mm", "clearance_per_face_mm"):
        assert f"full_lever.{key}" in carried
    assert len(carried) > 20


def _exponent(value: float) -> int:
    return math.floor(math.log10(abs(value))) if abs(value) >= 5e-9 else 0


@pytest.mark.parametrize("name", NAMES)
def test_the_budget_is_worked_out_whole(name: str) -> None:
    items = [line["item"] for line in results_of(name)["budget"]]
    worked = [x.result for x in working_of(name).lines if x.result.startswith("budget")]
    assert worked == [f"budget.{item}.left_mm" for item in items]


@pytest.mark.parametrize("name", ["hill-tractor", "quarry-hauler", "arm holds itself"])
def test_letting_back_ends_at_the_hand_force_of_letting_back(name: str) -> None:
    lines = [x for x in working_of(name).lines if x.name == "F_h'"]
    assert len(lines) == 1
    assert lines[0].value == pytest.approx(result(name, "full_lever.return_hand_force_n"), rel=1e-9)


def test_the_peak_is_the_peak() -> None:
    section = next(s for s in working_of("hill-tractor").sections if "peak" in s.title)
    values = {line.name: line.value for line in section.lines}
    peak = results_of("hill-tractor")["peak"]
    assert values["F_h"] == pytest.approx(peak["hand_force_n"], rel=1e-12)
    assert values["h"] == pytest.approx(peak["hand_travel_mm"], rel=1e-12)


# --- a pocket calculator follows each line, from the printed text alone ---

_NUMBER = re.compile(r"(?<!\*\*)\b\d+\.?\d*")
_UNITS = re.compile(r"(?<=\d) (?:N·mm/rad|N/mm⁴|N·mm|N/mm|mm/rad|mm²|mm|MPa|rad|deg|N)(?!\w)")
_CALCULATOR = {
    "sin": lambda a: math.sin(math.radians(a)),
    "cos": lambda a: math.cos(math.radians(a)),
    "tan": lambda a: math.tan(math.radians(a)),
    "arccos": lambda x: math.degrees(math.acos(max(-1.0, min(x, 1.0)))),
    "arcsin": lambda x: math.degrees(math.asin(max(-1.0, min(x, 1.0)))),
    "sqrt": math.sqrt,
    "exp": math.exp,
    "ln": math.log,
    "π": math.pi,
}


def _typed(text: str) -> str:
    """Return printed arithmetic as a calculator takes it: units gone, signs of its own."""
    bare = _UNITS.sub("", text)
    for old, new in (("²", "**2"), ("³", "**3"), ("·", "*")):
        bare = bare.replace(old, new)
    return bare


def _calculated(typed: str) -> float:
    return float(eval(typed, {"__builtins__": {}}, _CALCULATOR))


def _printed_digit(text: str) -> float:
    """Return the sixth figure of a printed number."""
    value = float(text)
    return 10.0 ** (_exponent(value) - 5) if value else 1e-8


def _allowed(typed: str, base: float) -> float:
    """Return how far rounding the printed numbers to six figures may carry the answer."""
    total = 0.0
    for found in _NUMBER.finditer(typed):
        moved = float(found.group()) + 0.5 * _printed_digit(found.group())
        other = typed[: found.start()] + repr(moved) + typed[found.end() :]
        total += abs(_calculated(other) - base)
    return total


@pytest.mark.parametrize("name", NAMES)
def test_a_pocket_calculator_gets_each_printed_answer(name: str) -> None:
    followed = 0
    for line in working_of(name).lines:
        if line.kind != "worked":
            continue
        sides = line.parts(Script)
        if len(sides) < 4:
            assert sides[1] in QUANTITIES or sides[1].rstrip("'") in QUANTITIES
            continue
        typed, answer = _typed(sides[-2]), sides[-1].split(" = ")[0]
        printed = float(answer.split(" ")[0])
        got = _calculated(typed)
        rounding = 0.5 * _printed_digit(answer.split(" ")[0]) + 1e-8
        if abs(got - printed) > rounding:
            assert abs(got - printed) <= _allowed(typed, got) + rounding, " = ".join(sides)
        followed += 1
    assert followed > 40


def test_the_calculator_notices_a_wrong_digit() -> None:
    line = next(x for x in working_of("hill-tractor").lines if x.name == "F_h")
    typed = _typed(line.parts(Script)[-2])
    got = _calculated(typed)
    assert abs(got * 1.001 - line.value) > _allowed(typed, got) + 1e-3


def test_text_carries_every_line_it_promises() -> None:
    text = formulas.as_text(working_of("hill-tractor"))
    for line in working_of("hill-tractor").lines:
        for side in line.parts(Script):
            assert side in text
    force = results_of("hill-tractor")["full_lever"]["hand_force_n"]
    assert f"= {six_figures(force)} N" in text


# --- symbols: two ways to the same thing ---


def _identities(working: Working) -> list[Identity]:
    return [i for s in working.sections for i in s.items if isinstance(i, Identity)]


@pytest.mark.parametrize("name", NAMES)
def test_every_identity_is_shown_and_none_differs(name: str) -> None:
    found = _identities(working_of(name))
    assert not [i for i in found if "DIFFER" in i.shown]
    ways = [i for i in found if "virtual work" in i.words or "differentiation" in i.words]
    assert len(ways) >= 2
    assert all("simplifies to 0" in i.shown or "agree to" in i.shown for i in ways)


def test_a_wrong_identity_is_found_out() -> None:
    right, wrong = sym("r_L") ** 2, sym("r_L") ** 2 * sympy.Rational(1001, 1000)
    label = ("r_L²", "r_L^2")
    assert "simplifies to 0" in shown_equal("same", label, right, right, {"r_L": 3.0}).shown
    assert "DIFFER" in shown_equal("not the same", label, right, wrong, {"r_L": 3.0}).shown


def test_the_advantage_is_the_ratio_of_small_travels() -> None:
    """A third way, without formulas: move the lever a little and look at the rod."""
    parts = mechanism_of("hill-tractor").parts()
    full = results_of("hill-tractor")["full_lever"]
    step = 1e-5
    angle, arm = np.radians(full["lever_angle_deg"]), np.radians(full["arm_rotation_deg"])
    pulled = parts.lever.link.pull_mm(angle + step) - parts.lever.link.pull_mm(angle - step)
    turned = parts.arm.link.rotation_rad(parts.arm.link.pull_mm(arm) + pulled) - arm
    risen = parts.release.travel_mm(arm + turned) - parts.release.travel_mm(arm)
    line = next(x for x in working_of("hill-tractor").lines if x.name == "A_i")
    assert line.value == pytest.approx(75.0 * 2 * step / risen, rel=1e-4)


# --- the part that answers one question ---


@pytest.mark.parametrize(
    ("subject", "has", "lacks"),
    [
        ("clearance", "full_lever.clearance_per_face_mm", "capacity.torque_nm"),
        ("effort", "effort.floor_n", "full_lever.clearance_per_face_mm"),
        ("advantage", "stroke.ideal_advantage", "effort.floor_n"),
        ("spring", "capacity.clamp_force_n", "stroke.advantage"),
        ("capacity", "capacity.torque_nm", "full_lever.hand_force_n"),
    ],
)
def test_a_subject_takes_its_own_part(subject: str, has: str, lacks: str) -> None:
    found = {x.result for x in formulas.worked(mechanism_of("hill-tractor"), subject).lines}
    assert has in found
    assert lacks not in found


@pytest.mark.parametrize("subject", formulas.SUBJECTS)
@pytest.mark.parametrize("name", ["hill-tractor", "moor-plough", "ferry-winch"])
def test_every_number_of_a_part_is_put_down_in_it(subject: str, name: str) -> None:
    known: set[str] = set()
    for line in formulas.worked(mechanism_of(name), subject).lines:
        assert set(line.numbers) <= known, line.name
        known.add(line.name)


def test_an_unknown_subject_names_the_nearest() -> None:
    with pytest.raises(RequestError, match="Did you mean clearance"):
        formulas.worked(mechanism_of("hill-tractor"), "clearence")


def test_a_change_is_worked_out_as_changed() -> None:
    longer = mechanism_of_file().changed("longer-arm")
    line = next(x for x in formulas.worked(longer).lines if x.result == "full_lever.hand_force_n")
    assert line.value == pytest.approx(liftgeo.stroke(longer).full_lever.hand_force_n, rel=1e-12)
    assert "with longer-arm" in formulas.as_text(formulas.worked(longer))


def mechanism_of_file() -> Mechanism:
    return liftgeo.load(TESTS.parent / "geometries" / "hill-tractor.toml")


# --- LaTeX and Markdown ---


@pytest.mark.parametrize("name", ["moor-plough", "timber-skidder"])
def test_every_formula_is_latex_that_can_be_set(name: str) -> None:
    parser = MathTextParser("path")
    seen = set()
    for section in working_of(name).sections:
        for item in section.items:
            sides = item.parts(Latex) if isinstance(item, Line) else [item.left[1], item.right[1]]
            seen |= set(sides)
    for side in seen:
        assert parser.parse(f"${side}$").width > 0


def test_latex_is_a_whole_document_in_plain_letters() -> None:
    text = formulas.as_latex(working_of("hill-tractor"))
    assert text.startswith(r"\documentclass")
    assert text.endswith(r"\end{document}")
    assert text.count(r"\begin{") == text.count(r"\end{")
    assert text.count("{") - text.count(r"\{") == text.count("}") - text.count(r"\}")
    assert text.isascii()


def test_markdown_has_its_dollars_in_pairs_and_its_tables_whole() -> None:
    text = formulas.as_markdown(working_of("hill-tractor"))
    blocks = text.split("$$")
    assert len(blocks) % 2 == 1
    outside = "".join(blocks[::2])
    assert outside.count("$") % 2 == 0
    assert r"\," not in outside
    rows = [line for line in outside.splitlines() if line.startswith("|")]
    assert rows
    assert {row.count("|") for row in rows} == {5}


# --- the writer ---


def test_numbers_are_written_to_six_figures_and_never_in_powers_of_ten() -> None:
    texts = [six_figures(v) for v in (123.4567891, 0.00123456789, 1e-12, -2.0, 3437746.77, 0.1)]
    assert texts == ["123.457", "0.00123457", "0", "-2", "3437747", "0.1"]
    assert as_given(206000.0) == "206000"
    assert as_given(1e-5) == "0.00001"


def test_signs_and_brackets_are_kept() -> None:
    x, y = sym("x"), sym("y")
    with sympy.evaluate(False):
        difference = x - (y - x)
        quotient = (x - y) / (x * y)
    assert Script().written(difference) == "x - (y - x)"
    assert Script().written(quotient) == "(x - y)/(x·y)"
    numbers = {"x": 2.0, "y": -3.0}
    texts = {"x": "2", "y": "-3"}
    written = Script(numbers, texts).written(difference)
    assert written == "2 mm - ((-3 mm) - 2 mm)"
    assert _calculated(_typed(written)) == evaluated(difference, numbers) == 7.0


def test_a_primed_symbol_is_the_same_quantity_letting_back() -> None:
    assert quantity("T'").unit == quantity("T").unit
    assert quantity("T'").meaning.endswith("letting back")


# --- exact derivatives of the rigid chain ---


def _rigid(parts: Parts, rod_force_n: float, friction: bool) -> tuple[float, float]:
    """Return lift and effort of a rigid chain by the parts' own methods, without SymPy."""
    lever, arm, unit, cable = parts.lever, parts.arm, parts.release, parts.cable
    angle = lever.hand_travel_mm / lever.hand_radius_mm
    pull = lever.link.pull_mm(angle) - cable.slack_mm
    turned = arm.link.rotation_rad(pull)
    lift = (unit.travel_mm(turned) - parts.rod.float_mm) / parts.rod.finger_ratio
    slope = unit.slope_mm_per_rad(turned)
    torque = rod_force_n * (unit.torque_arm_mm(turned, 1) if friction else slope)
    torque = torque + arm.return_torque_nmm + arm.return_rate_nmm_per_rad * turned
    tension = torque / arm.link.moment_arm_mm(turned)
    if friction:
        tension = tension * back_factor(arm.efficiency, 1) * cable.gain(1) + cable.drag_n
        tension = tension * back_factor(lever.efficiency, 1)
    force = tension * lever.link.moment_arm_mm(angle) / lever.hand_radius_mm
    return float(lift), float(force)


def _stiffened(name: str) -> Mechanism:
    """Return a mechanism without elastic parts, so that play at the hand is all slack."""
    document = copy.deepcopy(_DOCUMENTS[name])
    for table, keys in (
        ("lever", ("stiffness",)),
        ("cable", ("stiffness", "wire", "housing", "bracket_stiffness")),
        ("arm", ("shaft_stiffness",)),
        ("bearing", ("axial_stiffness",)),
    ):
        for key in keys:
            document.get(table, {}).pop(key, None)
    for key in list(document["rod"]):
        if "stiffness" in key or key in ("length", "diameter"):
            del document["rod"][key]
    return from_document(document, name)


# One for each kind of lever, arm, release unit and way of giving the play; a few without friction.
RIGID = [
    ("hill-tractor", True),
    ("hill-tractor", False),
    ("vineyard-crawler", True),
    ("quarry-hauler", True),
    ("timber-skidder", True),
    ("timber-skidder", False),
    ("market-carrier", True),
    ("beet-harvester", True),
    ("orchard-sprayer", True),
    ("road-roller", True),
    ("stone-crusher", True),
    ("ferry-winch", True),
    ("moor-plough", True),
    ("moor-plough", False),
    ("take-up at the hand", True),
    ("free play at the hand", True),
    ("moved pivot", True),
]


@pytest.mark.parametrize(("name", "friction"), RIGID)
def test_rigid_derivatives_are_the_slopes_of_the_rigid_chain(name: str, friction: bool) -> None:
    mechanism = _stiffened(name)
    force = 2000.0
    found = formulas.rigid_derivatives(mechanism, force, friction=friction)
    assert len(found) > 8
    compared = 0
    for key, slope in found.items():
        value = float(mechanism.keys.get(key, 0.0))
        step = 1e-5 * max(abs(value), 0.1)
        if not _bounded(mechanism, key, value - step):
            continue
        low, high = (
            np.array(_rigid(mechanism.parts({key: value + way * step}), force, friction))
            for way in (-1, 1)
        )
        expected = (high - low) / (2 * step)
        scale = np.abs(np.array(_rigid(mechanism.parts(), force, friction))) / max(abs(value), 1.0)
        ours = np.array([slope.lift_mm_per_unit, slope.effort_n_per_unit])
        assert ours == pytest.approx(expected, rel=2e-6, abs=float(2e-6 * scale.max())), key
        compared += 1
    assert compared > 6


def _bounded(mechanism: Mechanism, key: str, value: float) -> bool:
    return bool(mechanism.number(key).within(np.asarray(value)))


def test_rigid_derivatives_take_the_rod_force_of_full_lever() -> None:
    mechanism = mechanism_of("hill-tractor")
    rod = results_of("hill-tractor")["full_lever"]["rod_force_n"]
    assert formulas.rigid_derivatives(mechanism) == formulas.rigid_derivatives(mechanism, rod)


def test_rigid_derivatives_cover_what_lift_and_effort_hang_on() -> None:
    found = formulas.rigid_derivatives(mechanism_of("hill-tractor"))
    for key in ("lever.nipple_radius", "arm.radius", "release.ramp_angle", "cable.free_play"):
        assert found[key].lift_mm_per_unit != 0.0
    assert found["rod.end_float"].lift_mm_per_unit == -1.0
    assert not [k for k in found if k.startswith(("spring", "stack", "faces", "engine"))]
