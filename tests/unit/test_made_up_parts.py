"""A release unit, a warning and a figure that nobody has: registered once, they are everywhere.

All made up. What is added here is what DEVELOPERS.md says to add: a class of parts, its table and
maker, the name of its kind, its law in symbols; one warning; one figure. Every command then takes
them, or the recipe is not complete.
"""

from __future__ import annotations

import math
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
import pytest
import sympy
from clutches import BASE_TEXT
from command_line import Done, run

import liftgeo
from liftgeo import cautions
from liftgeo.cautions.rule import NOTE, Caution
from liftgeo.figures.registry import FIGURES
from liftgeo.formulas import SUBJECTS
from liftgeo.formulas.laws import _by_efficiency
from liftgeo.formulas.registry import LAWS, Input, Step, UnitLaw, register
from liftgeo.formulas.symbols import QUANTITIES, Quantity, syms
from liftgeo.kinds import KINDS
from liftgeo.mechanism import fields as f
from liftgeo.mechanism import key_facts, needs
from liftgeo.mechanism.release_tables import RELEASE_UNITS, UnitKind, _Release
from liftgeo.mechanism.table import key
from liftgeo.mechanism.tables import TABLES
from liftgeo.parts.release import Shaped

KIND, WARNING, FIGURE = "spiral-cam", "made-up", "made-up"


@dataclass(frozen=True, eq=False, repr=False)
class SpiralCam(Shaped):
    """A cam that lifts faster the further it turns: y = a theta + g theta^2/2."""

    rise_mm_per_rad: float
    growth_mm_per_rad2: float = 0.0
    efficiency: float = 1.0

    @property
    def last_rotation_rad(self):
        return np.inf

    @property
    def dead_centre(self):
        return False

    def at(self, rotation_rad, way=1):
        slope = self.rise_mm_per_rad + self.growth_mm_per_rad2 * rotation_rad
        travel = (self.rise_mm_per_rad + slope) / 2 * rotation_rad
        return self._found(rotation_rad, travel, slope, self.growth_mm_per_rad2, way)

    def at_travel(self, travel_mm, way=1):
        a, g = self.rise_mm_per_rad, self.growth_mm_per_rad2
        slope = np.sqrt(np.maximum(a**2 + 2 * g * travel_mm, 0.0))
        return self._found(2 * travel_mm / (a + slope), travel_mm, slope, g, way)


class SpiralCamTable(_Release):
    """A cam that lifts faster the further it turns."""

    kind: Literal["spiral-cam"] = "spiral-cam"
    rise: f.Length = key("rise over a radian, at rest", "dial gauge", needed=True)
    growth: f.Play = key("more of it for each radian", "dial gauge", default=0.0)
    efficiency: f.Efficiency = key("efficiency of the cam", default=1.0)


def spiral_cam(of):
    """Return the unit of its keys."""
    return SpiralCam(of["rise"], of.number("growth"), of.number("efficiency", 1.0))


def law(unit):
    """Return its law in symbols."""
    a, g, turn, y = syms("a_s g_s θ_u y")
    inputs = (Input("a_s", "rise_mm_per_rad", "rise"), Input("g_s", "growth_mm_per_rad2", "growth"),
        Input("η_u", "efficiency", "efficiency"))  # fmt: skip
    back = (Step("θ_u", 2 * y / (a + sympy.sqrt(a**2 + 2 * g * y))),)
    return UnitLaw(inputs, a * turn + g * turn**2 / 2, a + g * turn, back, _by_efficiency(unit))


CAUTION = Caution(
    WARNING,
    NOTE,
    "made up for this test",
    lambda outcome: outcome.full.unit_rotation_rad > 0.01,
    lambda case: (
        f"The cam turns {math.degrees(case(case.outcome.full.unit_rotation_rad)):.1f} deg."
    ),
)


def plot_made_up(result, mechanism, ax, units, bands=None):
    """Draw something of a result."""
    ax.plot(result.stroke.hand_travel_mm, result.stroke.rod_travel_mm, label=mechanism.title)
    ax.set_xlabel(f"hand travel, {units}")
    return ax


@pytest.fixture(autouse=True)
def _registered(monkeypatch: pytest.MonkeyPatch):
    """One registration each; what was read of the tables before is read again."""
    monkeypatch.setitem(RELEASE_UNITS, KIND, UnitKind(SpiralCamTable, spiral_cam))
    monkeypatch.setitem(KINDS, "release", (*KINDS["release"], KIND))
    monkeypatch.setattr(cautions, "CAUTIONS", (*cautions.CAUTIONS, CAUTION))
    monkeypatch.setitem(FIGURES, FIGURE, plot_made_up)
    for plain, meaning in (("a_s", "spiral cam: rise at rest"), ("g_s", "spiral cam: growth")):
        monkeypatch.setitem(QUANTITIES, plain, Quantity(plain, plain, "mm", meaning))
    monkeypatch.setitem(LAWS, SpiralCam, None)
    register(SpiralCam)(law)
    read_once = (key_facts.defaults, needs._all)
    for read in read_once:
        read.cache_clear()
    yield
    for read in read_once:
        read.cache_clear()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return a file with the made-up unit in place of the base clutch's own."""
    start, end = BASE_TEXT.index("[release]"), BASE_TEXT.index("[rod]")
    unit = f'[release]\nkind = "{KIND}"\nrise = 3.4\ngrowth = 1.6\nefficiency = 0.92\n\n'
    text = BASE_TEXT[:start] + unit + BASE_TEXT[end:]
    text = text.replace("release.ramp_angle = 17.0", "release.rise = 3.8")
    path = tmp_path / "made-up.toml"
    path.write_text(text, encoding="utf-8")
    return path


def done(*words: str | Path, folder: Path) -> Done:
    """Return what a command says, which must have nothing to complain of."""
    found = run(*words, folder=folder)
    assert found.code == 0, found.err
    return found


def test_stroke_analyses_it_and_warns(file: Path, tmp_path: Path) -> None:
    data = done("stroke", file, "--json", folder=tmp_path).data
    assert [w["message"][:13] for w in data["warnings"] if w["key"] == WARNING] == ["The cam turns"]
    full = data["full_lever"]
    turn = math.radians(full["arm_rotation_deg"])
    assert full["rod_travel_mm"] == pytest.approx(3.4 * turn + 0.8 * turn**2, rel=1e-9)
    assert "The cam turns" in done("stroke", file, "--full", folder=tmp_path).out


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_every_figure_is_drawn_of_it(file: Path, tmp_path: Path, ending: str) -> None:
    done("stroke", file, "--figure", f"page.{ending}", folder=tmp_path)
    assert (tmp_path / f"page.{ending}").stat().st_size > 1000


def test_it_is_drawn_by_its_law(file: Path, tmp_path: Path) -> None:
    words = ("--figure", "sheet.svg", "--change", "steeper-ramp", "--animate", "moving.gif")
    done("draw", file, *words, folder=tmp_path)
    assert (tmp_path / "sheet.svg").stat().st_size > 1000
    assert (tmp_path / "moving.gif").stat().st_size > 1000
    found = liftgeo.drawn(liftgeo.load(file))
    cam, full = found.views(found.full)["release"], found.full.stand
    assert cam.points["rod"][1] == pytest.approx(full.rod_travel_mm, abs=1e-12)
    assert cam.named("cam").assumed


@pytest.mark.parametrize("name", [*FIGURES, FIGURE])
def test_each_figure_can_be_had_alone(file: Path, tmp_path: Path, name: str) -> None:
    done("stroke", file, "--figure", "one.svg", "--figure-only", name, folder=tmp_path)
    drawn = (tmp_path / "one.svg").read_text(encoding="utf-8")
    assert ("hand travel, metric" in drawn) == (name == FIGURE)


def test_a_figure_that_nobody_has_is_refused_with_the_made_up_one_named(
    file: Path, tmp_path: Path
) -> None:
    found = run("stroke", file, "--figure", "a.svg", "--figure-only", "nothing", folder=tmp_path)
    assert found.code == 2
    assert FIGURE in found.err


def test_compare_sets_its_changes_side_by_side(file: Path, tmp_path: Path) -> None:
    data = done("compare", file, "--json", "--sensitivity", folder=tmp_path).data
    steeper = next(v for v in data["variants"] if v["names"] == ["steeper-ramp"])
    assert steeper["delta"]["clearance_per_face_mm"] > 0.01
    assert {"release.rise", "release.growth"} <= {row["key"] for row in data["sensitivity"]}
    done("compare", file, "--figure", "trade.svg", "--csv", "trade.csv", folder=tmp_path)


def test_size_varies_it(file: Path, tmp_path: Path) -> None:
    words = ("--vary", "release.rise=3..6", "--want", "clearance>=0.02", "--figure", "size.svg")
    data = done("size", file, "--json", *words, folder=tmp_path).data
    assert data["met"]
    assert 3.4 < data["values"]["release.rise"] < 6.0
    warned = [w["key"] for w in data["result"]["warnings"]]
    assert WARNING in warned


def test_wear_follows_it(file: Path, tmp_path: Path) -> None:
    data = done("wear", file, "--json", "--figure", "wear.svg", folder=tmp_path).data
    assert data["crossings"]


@pytest.mark.parametrize("subject", [None, *SUBJECTS])
def test_formula_writes_its_working(file: Path, tmp_path: Path, subject: str | None) -> None:
    asked = () if subject is None else ("--for", subject)
    data = done("formula", file, "--json", *asked, folder=tmp_path).data
    lines = [line for section in data["sections"] for line in section["lines"]]
    symbols_shown = {line.get("symbol") for line in lines}
    assert ("a_s" in symbols_shown) == (subject not in ("spring", "capacity"))
    found = done("stroke", file, "--json", folder=tmp_path).data
    for line in lines:
        block, _, name = line.get("result", "").partition(".")
        if name and isinstance(found.get(block), dict) and "[" not in name:
            wanted = found[block][name]
            if wanted is not None and line["unit"] in ("mm", "N", "deg"):
                assert line["value"] == pytest.approx(wanted, rel=1e-9), line["symbol"]


@pytest.mark.parametrize("form", ["--latex", "--markdown"])
def test_its_working_is_written_in_every_form(file: Path, tmp_path: Path, form: str) -> None:
    assert "a_s" in done("formula", file, form, "--for", "advantage", folder=tmp_path).out


def test_check_reads_it_back_and_names_what_is_wrong_with_it(file: Path, tmp_path: Path) -> None:
    said = done("check", file, folder=tmp_path).out
    assert "rise over a radian" in said or "rise" in said
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("rise = 3.4\n", ""), encoding="utf-8")
    found = done("check", file, folder=tmp_path).out
    assert re.search(r"rise\b.*rise over a radian, at rest", " ".join(found.split()))


def test_new_offers_it_with_a_blank_for_each_number_it_needs(tmp_path: Path) -> None:
    done("new", "clutch", "--release", KIND, "--all", folder=tmp_path)
    text = (tmp_path / "clutch.toml").read_text(encoding="utf-8")
    assert tomllib.loads(text)["release"] == {"kind": KIND, "rise": ""}
    assert "# growth = 0.0" in text
    refused = run("new", "other", "--release", "spiral", folder=tmp_path)
    assert f"Did you mean {KIND}?" in refused.err


def test_schema_knows_its_keys(tmp_path: Path) -> None:
    schema = done("schema", folder=tmp_path).data
    kinds = [
        name for name, definition in schema["definitions"].items()
        if definition.get("properties", {}).keys() >= {"kind", "rise"}
        and "rise_over" not in definition["properties"]  # a thread's part of a turn
    ]  # fmt: skip
    assert len(kinds) == 1
    assert KIND in kinds[0]


def test_a_program_may_ask_the_same(file: Path) -> None:
    mechanism = liftgeo.load(file)
    assert isinstance(mechanism.parts().release, SpiralCam)
    many = liftgeo.batch(mechanism, {"release.rise": [3.0, 3.4, 4.0]})
    assert many.ok.all()
    single = liftgeo.stroke(mechanism).full_lever
    assert many.clearance_per_face_mm[1] == pytest.approx(single.clearance_per_face_mm, rel=1e-12)
    there = liftgeo.position(mechanism, hand_travel_mm=single.hand_travel_mm)
    assert there.plate_lift_mm == pytest.approx(single.plate_lift_mm, rel=1e-9)


def test_its_slope_is_the_derivative_of_its_travel() -> None:
    unit, turn = SpiralCam(3.4, 1.6, 0.92), np.linspace(0.0, 1.2, 13)
    at, step = unit.at(turn), 1e-6
    slope = (unit.at(turn + step).travel_mm - unit.at(turn - step).travel_mm) / (2 * step)
    np.testing.assert_allclose(at.slope_mm_per_rad, slope, rtol=1e-8)
    np.testing.assert_allclose(unit.at_travel(at.travel_mm).rotation_rad, turn, atol=1e-14)


def test_every_table_has_the_kinds_that_are_offered() -> None:
    for table, kinds in KINDS.items():
        assert tuple(TABLES[table]) == kinds
        for kind, model in TABLES[table].items():
            assert model.model_fields["kind"].default == kind or table in ("lever", "arm")
