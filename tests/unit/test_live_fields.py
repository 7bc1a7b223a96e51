"""The fields of the what-if page: sliders in the unit somebody wrote, and lists as they are typed.

An inch is 25.4 mm and a pound-force 4.4482216152605 N exactly (from memory: the international
yard and pound of 1959); the other factors follow from them.
"""

from __future__ import annotations

import pytest
from clutches import BASE_TEXT

import liftgeo
from liftgeo.errors import GeometryError
from liftgeo.geometry_file import filled, loads
from liftgeo.live.entries import groups_of
from liftgeo.live.lists import list_text, list_typed
from liftgeo.live.sliders import slider_of, unit_written
from liftgeo.mechanism.fields import Number
from liftgeo.quantities import read

LENGTH = Number("length", above=0.0)
INCH_MM = 25.4


@pytest.mark.parametrize(
    ("text", "at", "after"),
    [
        ("38", 38.0, ""),
        ("1 7/8 in", 1.875, " in"),
        ("1⅞ in", 1.875, " in"),
        ("1 7/8 in ± 1/16 in", 1.875, " in ± 1/16 in"),
        ("26 ± 0.2 mm", 26.0, " ± 0.2 mm"),
        ("26.5 ± 5 %", 26.5, " ± 5 %"),
        ("2 ± 0.1 in", 2.0, " ± 0.1 in"),
        ("2 to 4 cm", 3.0, " cm ± 1.0 cm"),
        ("1 ft 7 1/2 in", 19.5, " in"),
        ("3.2 cm ± 1 mm uniform", 3.2, " cm ± 1 mm uniform"),
    ],
)
def test_a_slider_goes_on_in_the_unit_that_was_written(text: str, at: float, after: str) -> None:
    slider = slider_of(LENGTH, text, text)
    assert slider is not None
    assert slider.at == pytest.approx(at)
    assert slider.after == after
    assert slider.low < slider.at < slider.high
    again = read(f"{slider.at}{slider.after}", "length")
    first = read(text, "length")
    assert float(again) == pytest.approx(float(first), rel=1e-9)
    assert getattr(again, "half_width", 0.0) == pytest.approx(getattr(first, "half_width", 0.0))


@pytest.mark.parametrize(
    ("text", "dimension", "unit"),
    [
        ("60000 lbf/in", "rate", "lbf/in"),
        ("12e-6 1/K", "expansion", "1/K"),
        ("5000 1/min", "speed", "1/min"),
        ("95 %", "ratio", "%"),
        ('1 7/8"', "length", '"'),
        ("3 lbf·in", "torque", "lbf·in"),
        ("0.97", "ratio", ""),
    ],
)
def test_the_unit_behind_a_number_is_found(text: str, dimension: str, unit: str) -> None:
    found = unit_written(text, dimension)
    assert read(f"1 {found}", dimension) == pytest.approx(read(f"1 {unit}", dimension))
    assert bool(found) == bool(unit)


def test_in_inches_a_bare_number_has_a_slider_in_inches() -> None:
    slider = slider_of(LENGTH, "38.1 ± 2.54", "38.1", "inch")
    assert slider is not None
    assert slider.at == pytest.approx(38.1 / INCH_MM)
    assert slider.after == " in ± 0.1 in"
    assert slider.reads == "1.5000 ± 0.1000 in"
    bare = slider_of(LENGTH, "38.1", "38.1", "inch")
    assert bare is not None
    assert bare.after == " in"


def test_a_typed_number_outside_its_reach_widens_the_slider() -> None:
    slider = slider_of(LENGTH, "10 in", "1 7/8 in")
    assert slider is not None
    assert slider.at == 10.0
    assert slider.low <= 0.95
    assert slider.high >= 10.0


def test_a_slider_keeps_to_what_its_number_may_be() -> None:
    share = slider_of(Number("ratio", above=0.0, at_most=1.0), "0.97", "0.97")
    assert share is not None
    assert share.high == 1.0
    plates = slider_of(Number("ratio", at_least=1.0, whole=True), "3", "3")
    assert plates is not None
    assert (plates.step, plates.low) == (1.0, 1.0)
    angle = slider_of(Number("angle", above=0.0, below=90.0), "70", "70")
    assert angle is not None
    assert 0.0 < angle.low < angle.high < 90.0


@pytest.mark.parametrize("text", ["abc", "rigid", "-3", "12 N", "1e400", "1 7/8 in in"])
def test_what_is_no_length_has_no_slider(text: str) -> None:
    assert slider_of(LENGTH, text, "38") is None


def test_every_slider_of_a_machine_in_inches_stands_where_its_number_is() -> None:
    from liftgeo.geometry_file import example_path

    file = liftgeo.load(example_path("reaper-finger-cover"))
    filled_in = [e for group in groups_of(file) for e in group.entries if e.slider and e.text]
    assert len(filled_in) > 30
    for entry in filled_in:
        slider = entry.slider
        assert slider is not None
        bare = read(f"{slider.at}{slider.after}", _dimension(entry.unit))
        assert float(bare) == pytest.approx(file.keys[entry.key], rel=1e-6), entry.key
        assert slider.low <= slider.at <= slider.high


def _dimension(unit: str) -> str:
    from liftgeo.quantities import DIMENSIONS

    return next(name for name, each in DIMENSIONS.items() if each.unit == unit)


@pytest.mark.parametrize(
    ("value", "text", "form"),
    [
        ([0, 5, 10.5], "0, 5, 10.5", "list"),
        (["0 lbf", "105 lbf"], "0 lbf, 105 lbf", "list"),
        ([[0, 0], [-40, 22]], "0, 0; -40, 22", "points"),
        ([["0 kgf", "2 1/8 in"], ["68 kgf", "1 3/4 in"]], None, "points"),
        ([[[0, 0], [1, 0], [1, 1]], [[5, 5], [6, 5], [6, 6]]], None, "points"),
    ],
)
def test_a_list_is_read_as_it_is_shown_and_as_a_file_writes_it(value, text, form) -> None:
    shown = list_text(value)
    if text is not None:
        assert shown == text
    assert list_typed(shown, form) == value
    assert list_typed(str(value).replace("'", '"'), form) == value


def test_outlines_stand_on_lines_of_their_own() -> None:
    shown = list_text([[[0, 0], [1, 0], [1, 1]], [[5, 5], [6, 5], [6, 6]]])
    assert shown == "0, 0; 1, 0; 1, 1\n5, 5; 6, 5; 6, 6"
    assert list_typed(shown.replace("\n", " | "), "points") == list_typed(shown, "points")


def test_every_list_of_the_outlined_example_is_read_back() -> None:
    from liftgeo.geometry_file import example_path
    from liftgeo.live import Desk

    desk = Desk(example_path("vineyard-sprayer"))
    mark, file = desk.read()
    fields = [e for group in groups_of(file) for e in group.entries if e.form == "points"]
    given = [entry for entry in fields if entry.text]
    assert {entry.key for entry in given} >= {
        "lever.outline.points",
        "grip.place",
        "casing.outlines",
    }
    for entry in given:
        tried = desk.tried(mark, {entry.key: entry.text})
        assert tried.keys == file.keys
    with pytest.raises(GeometryError, match="point"):
        desk.tried(mark, {"lever.outline.points": "0, 0; 60"})


@pytest.mark.parametrize("name", ["peat-tramway-tractor", "saw-bench", "vineyard-sprayer"])
def test_a_change_laid_on_the_page_is_the_change(name: str) -> None:
    from liftgeo.geometry_file import example_path
    from liftgeo.live import Desk

    desk = Desk(example_path(name))
    mark, file = desk.read()
    assert file.changes
    for change in file.changes:
        over = desk.lay(mark, {}, change)
        assert dict(desk.tried(mark, over).keys) == dict(file.changed(change).keys), change


def test_a_whole_number_is_written_as_one() -> None:
    text = filled(BASE_TEXT, {"faces.friction_plates": "1", "arm.radius": "36.5"})
    assert "friction_plates = 1 " in text.replace("\n", " ")
    assert "1.0" not in text.split("friction_plates")[1].split("\n")[0]
    assert loads(text).keys["arm.radius"] == 36.5
