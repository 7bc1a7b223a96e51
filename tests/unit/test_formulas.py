"""The working: its numbers are the analysis's, and a pocket calculator follows each line."""

from __future__ import annotations

import csv
import dataclasses
import io
import math
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import sympy
from every_kind import DOCUMENTS, NAMES, mechanism_of
from matplotlib.mathtext import MathTextParser

import liftgeo
from liftgeo import formulas
from liftgeo.errors import RequestError
from liftgeo.formulas import registry
from liftgeo.formulas.derivation import shown_equal
from liftgeo.formulas.numbers import as_given, six_figures
from liftgeo.formulas.printers import Text
from liftgeo.formulas.registry import Input, Step, UnitLaw, register
from liftgeo.formulas.result import Formula, Identity
from liftgeo.formulas.sheet import PAST_DEAD_CENTRE, evaluated
from liftgeo.formulas.symbols import QUANTITIES, quantity, sym, syms
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES
from liftgeo.outcome.analysis import analysed
from liftgeo.parts.release import Linear
from liftgeo.safety import WORK_SAFELY

TESTS = Path(__file__).resolve().parents[1]


@cache
def working_of(name: str) -> Formula:
    return formulas.formula(mechanism_of(name))


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


@pytest.mark.parametrize("name", ["base-clutch", "quarry-hauler", "arm holds itself"])
def test_letting_back_ends_at_the_hand_force_of_letting_back(name: str) -> None:
    lines = [x for x in working_of(name).lines if x.name == "F_h'"]
    assert len(lines) == 1
    assert lines[0].value == pytest.approx(result(name, "full_lever.return_hand_force_n"), rel=1e-9)


def test_the_peak_is_the_peak() -> None:
    section = next(s for s in working_of("base-clutch").sections if "peak" in s.title)
    values = {line.name: line.value for line in section.lines}
    peak = results_of("base-clutch")["peak"]
    assert values["F_h"] == pytest.approx(peak["hand_force_n"], rel=1e-12)
    assert values["h"] == pytest.approx(peak["hand_travel_mm"], rel=1e-12)


# --- a pocket calculator follows each line, from the printed text alone ---

_NUMBER = re.compile(r"(?<!\*\*)\b\d+\.?\d*")
_UNITS = re.compile(
    r"(?<=\d) (?:N·mm/rad|N/mm³|N·mm|N/mm|mm/rad|mm²|mm|MPa|rad|deg|N"
    r"|lbf·in/rad|lbf/in³|lbf·in|lbf/in|in/rad|in²|in|psi|lbf)(?!\w)"
)
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


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", NAMES)
def test_a_pocket_calculator_gets_each_printed_answer(name: str, units: str) -> None:
    followed = 0
    for line in working_of(name).in_units(units).lines:
        if line.kind != "worked":
            continue
        sides = line.sides()
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


# The inch is 25.4 mm and the pound 0.45359237 kg exactly (international yard and pound agreement
# of 1959), standard gravity 9.80665 m/s² exactly (third CGPM, 1901).
_LBF_N, _INCH_MM = 0.45359237 * 9.80665, 25.4
_BACK = {
    "in": _INCH_MM,
    "in²": _INCH_MM**2,
    "in/rad": _INCH_MM,
    "lbf": _LBF_N,
    "lbf/in": _LBF_N / _INCH_MM,
    "lbf/in³": _LBF_N / _INCH_MM**3,
    "lbf·in": _LBF_N * _INCH_MM,
    "lbf·in/rad": _LBF_N * _INCH_MM,
    "psi": _LBF_N / _INCH_MM**2,
}


@pytest.mark.parametrize("name", NAMES)
def test_inch_units_are_the_same_quantities(name: str) -> None:
    for line, read in zip(
        working_of(name).lines, working_of(name).in_units("inch").lines, strict=True
    ):
        factor = _BACK.get(read.unit, 1.0)
        assert read.shown_value * factor == pytest.approx(line.shown_value, rel=1e-12)
        assert (read.unit in _BACK) == (line.unit not in ("deg", "")), read.unit


_METRIC = re.compile(r"\d\s*(?:\\,)?(?:\\mathrm\{)?(?:mm|N|MPa)\b")


@pytest.mark.parametrize("name", NAMES)
def test_no_number_of_the_inch_page_is_left_metric(name: str) -> None:
    read = working_of(name).in_units("inch")
    for page in (read.text(), read.markdown(), read.latex()):
        assert not _METRIC.search(page)
    assert _METRIC.search(working_of(name).text())
    assert _METRIC.search(working_of(name).latex())


def test_data_stay_metric_where_the_page_is_read_in_inches(tmp_path: Path) -> None:
    ask = [sys.executable, "-m", "liftgeo", "formula", "--for", "clearance"]
    both = [
        subprocess.run([*ask, *more, "--json"], capture_output=True, text=True, check=True).stdout
        for more in ((), ("--units", "inch"))
    ]
    assert both[0] == both[1]
    assert '"unit": "mm"' in both[0]


def test_the_calculator_notices_a_wrong_digit() -> None:
    line = next(x for x in working_of("base-clutch").lines if x.name == "F_h")
    typed = _typed(line.sides()[-2])
    got = _calculated(typed)
    assert abs(got * 1.001 - line.value) > _allowed(typed, got) + 1e-3


def test_text_carries_every_line_it_promises() -> None:
    text = working_of("base-clutch").text()
    for line in working_of("base-clutch").lines:
        for side in line.sides():
            assert side in text
    force = results_of("base-clutch")["full_lever"]["hand_force_n"]
    assert f"= {six_figures(force)} N" in text


# --- symbols: two ways to the same thing ---


def _identities(working: Formula) -> list[Identity]:
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
    parts = mechanism_of("base-clutch").parts()
    full = results_of("base-clutch")["full_lever"]
    step = 1e-5
    angle, arm = np.radians(full["lever_angle_deg"]), np.radians(full["arm_rotation_deg"])
    lever, link, unit = parts.lever.link, parts.arm.link, parts.release
    pulled = lever.at(angle + step).pull_mm - lever.at(angle - step).pull_mm
    turned = link.at_pull(link.at(arm).pull_mm + pulled).rotation_rad - arm
    risen = unit.at(arm + turned).travel_mm - unit.at(arm).travel_mm
    line = next(x for x in working_of("base-clutch").lines if x.name == "A_i")
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
    found = {x.result for x in formulas.formula(mechanism_of("base-clutch"), subject).lines}
    assert has in found
    assert lacks not in found


@pytest.mark.parametrize("subject", formulas.SUBJECTS)
@pytest.mark.parametrize("name", ["base-clutch", "moor-plough", "ferry-winch"])
def test_every_number_of_a_part_is_put_down_in_it(subject: str, name: str) -> None:
    known: set[str] = set()
    for line in formulas.formula(mechanism_of(name), subject).lines:
        assert set(line.numbers) <= known, line.name
        known.add(line.name)


def test_an_unknown_subject_names_the_nearest() -> None:
    with pytest.raises(RequestError, match="Did you mean clearance"):
        formulas.formula(mechanism_of("base-clutch"), "clearence")


def test_a_change_is_worked_out_as_changed() -> None:
    longer = mechanism_of_file().changed("longer-arm")
    line = next(x for x in formulas.formula(longer).lines if x.result == "full_lever.hand_force_n")
    assert line.value == pytest.approx(liftgeo.stroke(longer).full_lever.hand_force_n, rel=1e-12)
    assert "with longer-arm" in formulas.formula(longer).text()


def mechanism_of_file() -> Mechanism:
    return liftgeo.load(TESTS / "base_clutch.toml")


# --- LaTeX and Markdown ---


@pytest.mark.parametrize("name", ["moor-plough", "timber-skidder"])
def test_every_formula_is_latex_that_can_be_set(name: str) -> None:
    parser = MathTextParser("path")
    seen = set()
    for section in working_of(name).sections:
        for item in section.items:
            seen |= set(item.sides(latex=True))
    for side in seen:
        assert parser.parse(f"${side}$").width > 0


def test_latex_is_a_whole_document_in_plain_letters() -> None:
    text = working_of("base-clutch").latex()
    assert text.startswith(r"\documentclass")
    assert text.endswith(r"\end{document}")
    assert text.count(r"\begin{") == text.count(r"\end{")
    assert text.count("{") - text.count(r"\{") == text.count("}") - text.count(r"\}")
    assert text.isascii()


def test_markdown_has_its_dollars_in_pairs_and_its_tables_whole() -> None:
    text = working_of("base-clutch").markdown()
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
    assert Text().written(difference) == "x - (y - x)"
    assert Text().written(quotient) == "(x - y)/(x·y)"
    numbers = {"x": 2.0, "y": -3.0}
    texts = {"x": "2", "y": "-3"}
    written = Text(numbers, texts).written(difference)
    assert written == "2 mm - (-3 mm - 2 mm)"
    assert _calculated(_typed(written)) == evaluated(difference, numbers) == 7.0


def test_a_primed_symbol_is_the_same_quantity_letting_back() -> None:
    assert quantity("T'").unit == quantity("T").unit
    assert quantity("T'").meaning.endswith("letting back")


# --- forms ---


def test_every_form_to_read_carries_the_caution() -> None:
    working = working_of("base-clutch")
    plain = " ".join(WORK_SAFELY.split())
    for word in ("weigh them", "Unload springs", "dust", "fingers", "Local codes", "licensed"):
        assert word.lower() in plain.lower()
    forms = working.text(), working.markdown(), working.latex(), working._repr_html_()
    for form in (*forms, working._repr_latex_(), working.to_dict()["caution"]):
        assert plain in " ".join(form.split())


def test_csv_has_a_row_for_every_line() -> None:
    working = working_of("base-clutch")
    head, *rows = csv.reader(io.StringIO(working.to_csv()))
    assert head == ["symbol", "meaning", "value", "unit"]
    assert len(rows) == len(list(working.lines))
    force = next(row for row in rows if row[0] == "F_h")
    expected = result("base-clutch", "full_lever.hand_force_n")
    assert float(force[2]) == pytest.approx(expected, rel=1e-12)
    assert force[3] == "N"
    assert ["γ_L0", "deg"] in [[row[0], row[3]] for row in rows]


def test_a_notebook_shows_equations_and_a_table() -> None:
    working = formulas.formula(mechanism_of("base-clutch"), "capacity")
    latex, table = working._repr_latex_(), working._repr_html_()
    assert latex.startswith("$")
    assert latex.endswith("$")
    assert latex.count(r"\\") == sum(len(s.items) for s in working.sections)
    assert table.count("<tr>") == len(list(working.lines)) + len(working.sections)
    assert ">M_c</th><td>" in table


def test_printing_a_result_gives_its_text() -> None:
    assert str(working_of("base-clutch")) == working_of("base-clutch").text()


def test_a_result_is_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        working_of("base-clutch").title = "another"  # type: ignore[misc]


def test_importing_the_room_leaves_sympy_alone() -> None:
    program = "import liftgeo.formulas, sys; sys.exit('sympy' in sys.modules)"
    here = str(TESTS.parent)
    assert subprocess.run([sys.executable, "-c", program], cwd=here).returncode == 0


# --- a law for every kind ---

_PARTS = {
    "lever": lambda parts: parts.lever.link,
    "arm": lambda parts: parts.arm.link,
    "release": lambda parts: parts.release,
    "spring": lambda parts: parts.spring,
}


@cache
def _kinds() -> dict[tuple[str, str], list[str]]:
    """Return the mechanisms at hand by table and kind."""
    found: dict[tuple[str, str], list[str]] = {}
    for name in NAMES:
        for table in _PARTS:
            kind = mechanism_of(name).keys.get(f"{table}.kind", DEFAULT_KIND.get(table))
            found.setdefault((table, str(kind)), []).append(name)
    return found


@pytest.mark.parametrize(
    ("table", "kind"), [(table, kind) for table in _PARTS for kind in TABLES[table]]
)
def test_every_kind_of_the_tables_has_a_law(table: str, kind: str) -> None:
    for name in _kinds()[table, kind]:
        part = _PARTS[table](mechanism_of(name).parts())
        assert type(part) in registry.LAWS
        assert working_of(name).text()


@dataclasses.dataclass(frozen=True, eq=False, repr=False)
class Wedge(Linear):
    """A made-up release unit: a wedge that a pinion drives under the rod."""

    pinion_radius_mm: float
    wedge_angle_rad: float

    def __post_init__(self) -> None:
        rise = float(self.pinion_radius_mm * np.tan(self.wedge_angle_rad))
        self._set(rise, rise, rise)


def _with_a_wedge(monkeypatch: pytest.MonkeyPatch) -> Mechanism:
    mechanism = from_document(DOCUMENTS["base-clutch"])
    wedge = Wedge(24.0, math.radians(10.0))
    parts = dataclasses.replace(mechanism.parts(), release=wedge)
    monkeypatch.setitem(vars(mechanism.inward), "parts", parts)
    return mechanism


def test_a_unit_without_a_law_is_named_in_the_message(monkeypatch: pytest.MonkeyPatch) -> None:
    mechanism = _with_a_wedge(monkeypatch)
    with pytest.raises(RequestError, match=r"release\.kind = .*no formula.*Wedge"):
        formulas.formula(mechanism)


def test_a_unit_registered_at_run_time_gets_its_formula(monkeypatch: pytest.MonkeyPatch) -> None:
    mechanism = _with_a_wedge(monkeypatch)
    monkeypatch.setattr(registry, "LAWS", dict(registry.LAWS))

    @register(Wedge)
    def law(unit: Wedge) -> UnitLaw:
        radius, slope, turn, y = syms("r_p α_1 θ_u y")
        rise = radius * sympy.tan(slope)
        return UnitLaw(
            (
                Input("r_p", "pinion_radius_mm", "pinion_radius"),
                Input("α_1", "wedge_angle_rad", "wedge_angle"),
            ),
            radius * turn * sympy.tan(slope),
            rise,
            (Step("θ_u", y / rise),),
            lambda way: rise,
        )

    working = formulas.formula(mechanism)
    assert "y = r_p·θ_u·tan(α_1)" in working.text()
    line = next(x for x in working.lines if x.result == "full_lever.hand_travel_mm")
    travel = analysed(mechanism).full.hand_travel_mm
    assert line.value == pytest.approx(float(travel), rel=1e-9)


# --- past the end of a law ---


def _past_dead_centre() -> dict[str, Any]:
    """Return a clutch whose arm would pass dead centre, were it not for its losses."""
    tractor = DOCUMENTS["base-clutch"]
    arm = {"radius": 38.0, "stop_distance": 90.0, "cable_angle": 130.0}
    return {**tractor, "arm": arm, "cable": {**tractor["cable"], "free_play": 12.0}}


def test_where_the_arm_would_pass_dead_centre_the_working_says_so() -> None:
    mechanism = from_document(_past_dead_centre())
    working = formulas.formula(mechanism)
    held = [line for line in working.lines if PAST_DEAD_CENTRE in line.note]
    assert held
    assert {line.name for line in held} == {"γ_A"}
    assert {line.value for line in held} == {0.0}
    assert "it would pass its dead centre, and is held there" in " ".join(working.text().split())
    left = [row["left_mm"] for row in liftgeo.stroke(mechanism).to_dict()["budget"]]
    ours = [line.value for line in working.lines if line.result.startswith("budget.")]
    assert ours == pytest.approx(left, rel=1e-9, abs=1e-9)


def test_where_nothing_passes_dead_centre_nothing_is_said_of_it() -> None:
    assert "dead centre" not in working_of("base-clutch").text()
