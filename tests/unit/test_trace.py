"""Points of a part from marks on a photograph: scale, frame, ±, and marks that cannot be."""

from __future__ import annotations

import json

import numpy as np
import pytest
from photographs import CARD_MM, LEVER_MM, RULE_MM, seen

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.mechanism import from_document
from liftgeo.quantities import read
from liftgeo.studies.marks import as_marks, marks_of
from liftgeo.studies.trace import known_size, trace

SQUARE_ON = seen({**RULE_MM, **LEVER_MM})
TILTED = seen({**CARD_MM, **LEVER_MM}, tilt_deg=9.0)


def test_two_ends_of_a_known_length_give_the_scale_exactly() -> None:
    found = trace({**SQUARE_ON}, "lever", length=100.0)
    assert found.scale_mm_per_px == pytest.approx(1500.0 / 9000.0, rel=1e-12)
    for name, place in LEVER_MM.items():
        assert found.points_mm[name] == pytest.approx(place, abs=1e-9)
    assert found.distances_mm["rest_length"] == pytest.approx(np.hypot(55.0, 27.0), rel=1e-12)
    ends = found.mapping.to_mm([SQUARE_ON["scale_1"], SQUARE_ON["scale_2"]])
    assert np.hypot(*(ends[1] - ends[0])) == pytest.approx(100.0, rel=1e-12)


def test_the_map_goes_both_ways() -> None:
    found = trace(TILTED, "lever", rectangle=(85.6, 53.98))
    pixels = found.mapping.to_px(list(found.points_mm.values()))
    assert pixels == pytest.approx(np.array([TILTED[name] for name in found.points_mm]), abs=1e-8)


@pytest.mark.parametrize("spin_deg", [17.0, 90.0, 180.0, -63.0])
@pytest.mark.parametrize("known", ["length", "rectangle"])
def test_a_turned_picture_gives_the_same_distances(spin_deg: float, known: str) -> None:
    size = {"length": 100.0} if known == "length" else {"rectangle": (85.6, 53.98)}
    marks = seen({**RULE_MM, **CARD_MM, **LEVER_MM}, spin_deg=spin_deg)
    found = trace(marks, "lever", **size)
    for key, ends in (("nipple_radius", "pin"), ("stop_distance", "stop"), ("hand_radius", "hand")):
        assert found.distances_mm[key] == pytest.approx(np.hypot(*LEVER_MM[ends]), rel=1e-9)
    one = trace(seen({**RULE_MM, **CARD_MM, **LEVER_MM}), "lever", **size)
    widths = [found.distances_mm[key].half_width for key in found.distances_mm]
    assert widths == pytest.approx([v.half_width for v in one.distances_mm.values()], rel=1e-6)


def test_points_of_a_turned_picture_make_the_same_stroke() -> None:
    rest = {"arm": {"radius": 36.0, "stop_distance": 92.0, "rest_length": 88.0}}
    pulls = []
    for spin in (0.0, 71.0):
        found = trace(seen({**RULE_MM, **LEVER_MM}, spin_deg=spin), "lever", length=100.0)
        points = {name: list(place) for name, place in found.points_mm.items()}
        lever = {"points": points, "hand_travel": 42.0}
        mechanism = from_document({"lever": lever, **rest}, "", "nothing")
        pulls.append(liftgeo.stroke(mechanism).full_lever.cable_pull_mm)
    assert pulls[0] == pytest.approx(pulls[1], rel=1e-9)


def test_a_plus_minus_by_hand() -> None:
    """Marks set once: a pixel each. Nipple at r of the pivot, rule of D pixels and L ± 0.5 mm.

    r in pixels is out by the root of two pixels, the scale by that over D and by 0.5/L: derived.
    """
    marks = {"scale_1": (0, 900), "scale_2": (1000, 900), "pivot": (500, 500), "pin": (500, 230),
             "stop": (930, 500)}  # fmt: skip
    found = trace(marks, "arm", length="100 ± 0.5 mm")
    scale, root = 0.1, np.sqrt(2.0)
    share = np.hypot(root / 1000.0, 0.5 / 100.0)
    radius = found.distances_mm["radius"]
    assert radius == pytest.approx(27.0)
    assert radius.half_width == pytest.approx(np.hypot(root * scale, 27.0 * share), rel=1e-6)
    assert found.plus_minus_mm["pivot"] == pytest.approx(scale, rel=1e-6)
    assert found.plus_minus_mm["stop"] == pytest.approx(np.hypot(scale, 43.0 * share), rel=1e-6)
    assert found.largest_plus_minus_mm == found.plus_minus_mm["stop"]


def test_repeated_marks_average_and_tell_how_well_they_were_set() -> None:
    """Two marks a point, 2 pixels apart in x: deviation 2/sqrt(2) in x, 0 in y, pooled 1.

    Student's t of 10 degrees of freedom, 2.228 in every table (from memory), over the root of two
    marks; beside it the rectangle of one pixel, 1/sqrt(12).
    """
    marks = {name: [(x - 1, y), (x + 1, y)] for name, (x, y) in SQUARE_ON.items() if name != "hand"}
    found = as_marks(marks)
    assert found.mean("pin") == pytest.approx(SQUARE_ON["pin"])
    assert found.spread() == (pytest.approx(1.0), 10)
    half = np.hypot(2.228 / np.sqrt(2.0), 2.0 / np.sqrt(12.0))
    assert 2.0 * found.standard_uncertainty_px("pin") == pytest.approx(half, abs=3e-4)
    traced = trace(found, "arm", length=100.0)
    assert traced.plus_minus_mm["pivot"] == pytest.approx(half / 6.0, rel=1e-3)


def test_more_marks_narrow_the_plus_minus() -> None:
    random = np.random.default_rng(5)

    def widest(count: int) -> float:
        noisy = {n: np.array(p) + random.normal(0, 2.0, (count, 2)) for n, p in SQUARE_ON.items()}
        return trace(noisy, "lever", length=100.0).largest_plus_minus_mm

    assert widest(30) < 0.5 * widest(3)


def test_the_file_reads_what_is_written_for_it() -> None:
    found = trace(SQUARE_ON, "lever", length=100.0)
    for name, place in found.points_mm.items():
        texts = found.keys()[f"lever.points.{name}"]
        values = [read(text, "length") for text in texts]
        assert values == pytest.approx(place, abs=0.005)
        assert values[0].half_width == pytest.approx(found.plus_minus_mm[name], abs=0.005)


def test_no_text_has_a_minus_before_nothing() -> None:
    marks = {**SQUARE_ON, "pin": (SQUARE_ON["pivot"][0] - 1e-9, SQUARE_ON["pin"][1])}
    assert trace(marks, "lever", length=100.0).keys()["lever.points.pin"][0].startswith("0.00 ±")


def test_the_json_names_what_was_agreed() -> None:
    data = trace(SQUARE_ON, "lever", length=100.0).to_dict()
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert list(data)[:4] == ["part", "points", "plus_minus_mm", "scale_mm_per_px"]
    assert list(data["points"]) == ["pivot", "pin", "stop", "hand"]


def test_an_arm_has_no_hand() -> None:
    assert "hand" not in trace(SQUARE_ON, "arm", length=100.0).points_mm


# --- marks that cannot be ---

GOOD = {name: tuple(map(float, place)) for name, place in SQUARE_ON.items()}


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"scale_2": None}, "Not marked: scale_2. --length needs scale_1, scale_2"),
        ({"pin": None, "stop": None}, "Not marked: pin, stop. --part lever needs"),
        ({"pivot": (-40.0, 10.0)}, "pivot at -40, 10 lies outside the picture"),
        ({"hand": (4000.0, 3000.5)}, "which is 4000 by 3000 pixels when it is upright"),
        ({"pin": GOOD["pivot"]}, "pivot and pin are marked at one pixel"),
        ({"pivott": (1.0, 2.0)}, "'pivott' is not the name of a mark. Did you mean pivot?"),
        ({"pin": (float("nan"), 2.0)}, "pin is no finite number"),
        ({"pin": (1.0, 2.0, 3.0)}, "pin takes [x, y]"),
        ({"pin": []}, "pin takes [x, y]"),
        ({"pin": "here"}, "pin takes [x, y]"),
    ],
)
def test_marks_that_cannot_be_are_refused(change: dict[str, object], says: str) -> None:
    marks = {name: place for name, place in {**GOOD, **change}.items() if place is not None}
    with pytest.raises(RequestError) as caught:
        trace(marks, "lever", length=100.0, size_px=(4000, 3000))
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("corners", "says"),
    [
        ([(100, 100), (900, 100), (100, 600), (900, 600)], "The corners cross"),
        ([(100, 100), (500, 101), (900, 100), (500, 600)], "corner_2 lies in one line"),
        ([(100, 100), (400, 100), (700, 100), (900, 100)], "lies in one line"),
        ([(100, 100), (900, 100), (300, 200), (100, 600)], "The corners cross"),  # a dart
    ],
)
def test_corners_that_are_no_rectangle_are_refused(corners, says: str) -> None:
    marks = {f"corner_{k + 1}": place for k, place in enumerate(corners)}
    marks |= {"pivot": (450, 350), "pin": (460, 300), "stop": (640, 350)}
    with pytest.raises(RequestError) as caught:
        trace(marks, "arm", rectangle=(85.6, 53.98))
    assert says in str(caught.value)


def test_a_mark_past_the_horizon_is_refused() -> None:
    corners = [(400, 1000), (1600, 1000), (1100, 700), (900, 700)]
    marks = {f"corner_{k + 1}": place for k, place in enumerate(corners)}
    marks |= {"pivot": (1000, 900), "pin": (1010, 800), "stop": (1000, 300)}
    with pytest.raises(RequestError, match="past the horizon"):
        trace(marks, "arm", rectangle=(100.0, 100.0))


@pytest.mark.parametrize(
    ("length", "rectangle", "says"),
    [
        (None, None, "Give the known size"),
        ("100mm", "85.6,53.98", "not both"),
        ("100 N", None, "--length 100 N: '100 N' is a force"),
        ("-3", None, "a length above 0"),
        ("0", None, "a length above 0"),
        ("1 ± 2 mm", None, "its ± is as wide"),
        ("many", None, "--length many: 'many' has no number"),
        (None, "85.6", "takes width and height"),
        (None, "85,6,53,98", "decimals follow a point"),
        (None, "85.6,", "has no number"),
        (None, "85.6,0", "a length above 0"),
    ],
)
def test_a_known_size_that_cannot_be_is_refused(length, rectangle, says: str) -> None:
    with pytest.raises(RequestError) as caught:
        known_size(length, rectangle)
    assert says in str(caught.value)


@pytest.mark.parametrize("text", ["2,1 in", "2 in,1 in", "50.8,25.4", "50.8 mm; 1 in", "50.8×25.4"])
def test_a_rectangle_is_read_in_either_unit(text: str) -> None:
    assert known_size(None, text) == pytest.approx((50.8, 25.4))


# --- tables of marks ---

PLAIN = "name,x,y\npivot,10.5,20\npin,30,41\npin,32,41\n"


@pytest.mark.parametrize(
    "text",
    [
        PLAIN,
        "\ufeff" + PLAIN,
        PLAIN.replace("\n", "\r\n"),
        "name;x;y\npivot;10,5;20\npin;30;41\npin;32,0;41\n",
        "name\tx\ty\npivot\t10,5\t20\npin\t30\t41\npin\t32\t41\n",
        'Name , X, Y\n# set by hand\n"pivot","10,5",20\n\n Pin ,30,41\n,,\nPIN,3.2e1,41',
        "y,who,name,x\n20,me,pivot,10.5\n41,me,pin,30\n41,me,pin,32\n",
    ],
)
def test_a_table_is_understood_as_it_comes(text: str) -> None:
    found = marks_of(text)
    assert found.mean("pivot") == pytest.approx((10.5, 20.0))
    assert found.mean("pin") == pytest.approx((31.0, 41.0))
    assert found.count("pin") == 2


@pytest.mark.parametrize("name", ["scale 1", "Scale-1", "SCALE_1"])
def test_a_name_may_be_spelled_as_people_do(name: str) -> None:
    assert "scale_1" in marks_of(f"name,x,y\n{name},1,2\n")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "marks.csv is empty"),
        ("\n\n", "marks.csv is empty"),
        ("name,x,y\n", "holds no marks"),
        ("pivot,1,2\n", "line 1: the first line names the columns name, x, y"),
        ("name,x,y\npivot,1,2\npin,two,3\n", "line 3: pin has 'two' where a number of pixels"),
        ("name,x,y\npivot,1,\n", "line 2: pivot has nothing where"),
        ("name,x,y\npivot,1 mm,2\n", "line 2: pivot has '1 mm'"),
        ("name,x,y\npivot,nan,2\n", "line 2: pivot has 'nan'"),
        ("name,x,y\npivot,10,5,20,3\n", "line 2: 5 cells under 3 columns"),
        ("name,x,y\npivot,1,2\npni,1,2\n", "line 3: 'pni' is not the name of a mark. Did you"),
        ("name,x,y\npivot,1,2\nknob,1,2\n", "Names are scale_1, scale_2"),
        ('name,x,y\n"pivot,1,2\n', "no table"),
        ("name,x,y\n" + "pivot,1,2\n" * 2001, "more than 2000 lines"),
        ("name,x,y\npivot,1,2\npin,1,2\n", "marks.csv: pivot and pin are marked at one pixel"),
    ],
)
def test_a_table_that_cannot_be_read_names_the_line(text: str, says: str) -> None:
    with pytest.raises(RequestError) as caught:
        marks_of(text, "marks.csv")
    assert says in str(caught.value)


def test_marks_are_written_as_they_are_read() -> None:
    found = marks_of(PLAIN)
    again = marks_of(found.to_csv())
    assert {n: p.tolist() for n, p in again.places.items()} == {
        n: p.tolist() for n, p in found.places.items()
    }
