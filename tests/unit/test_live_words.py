"""What the what-if page says in words of its own."""

from __future__ import annotations

import pytest
from clutches import BASE_TEXT, mechanism

import liftgeo
from liftgeo.geometry_file import loads
from liftgeo.live.answers import first_look, second_look
from liftgeo.live.desk import begun, kinds_of
from liftgeo.words.live_page import for_page, gone_text

BEGUN = {
    "lever.nipple_radius": "27",
    "lever.stop_distance": "43",
    "lever.rest_length": "46",
    "lever.hand_radius": "78",
    "lever.hand_travel": "42",
    "arm.radius": "36",
    "arm.stop_distance": "92",
    "arm.rest_length": "88",
}


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("Choose another name, or add --force.", ""),
        ("It is there. `liftgeo check` says more.", "It is there."),
        ("Fill in rod.action; `liftgeo check x` says how.", "Fill in rod.action."),
        ("It must be above 0 mm.", "It must be above 0 mm."),
        ("-- is no option", "-- is no option."),
    ],
)
def test_what_is_for_a_terminal_is_left_out(text: str, left: str) -> None:
    assert for_page(text) == left


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"release.pitch_radius": "17", "release.ramp_angle": "15"},
        {"release.pitch_radius": "17", "release.ramp_angle": "15", "spring.count": "6"},
    ],
)
def test_a_machine_half_filled_in_is_led_on_without_a_terminal(more: dict[str, str]) -> None:
    file = begun(kinds_of({"spring": "coils"}), BEGUN | more)
    lines = first_look(file, "metric", 1.0)["lines"]
    told = " ".join(lines)
    assert lines[0].startswith("PARTIAL")
    assert lines[-1].startswith("Next: fill in")
    assert "liftgeo" not in told
    assert "[release]" not in told
    assert "[spring]" not in told


def test_what_gives_way_to_another_key_says_to_which() -> None:
    stock = mechanism()
    tried = stock.changed({"arm.cable_angle": 88.0})
    said = gone_text(tried, stock)
    gone = [key for key in ("arm.rest_length", "arm.cable_angle") if key in stock.given]
    assert gone
    assert said == {
        key: "not in force: arm.cable_angle says it" for key in gone if key != "arm.cable_angle"
    }
    assert gone_text(stock, stock) == {}


def test_a_reading_to_take_is_written_where_the_page_has_its_field() -> None:
    text = BASE_TEXT.replace('left_out = "nothing"', 'left_out = "usual"')
    over = {"cable.stiffness": "100 to 400", "rod.stiffness": None, "cable.free_play": "1 to 3 mm"}
    file = loads(text).changed(over)
    assert liftgeo.known(file).next[0].reading == "plate_lift"
    said = " ".join(second_look(file, "metric")["sure"])
    assert "type it under" not in said
    assert 'under "At the bench"' in said
