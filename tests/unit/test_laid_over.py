"""A drawing laid over a photograph: it lies on the marks where the numbers are right."""

from __future__ import annotations

import copy

import numpy as np
import pytest
from photographs import CARD_MM, LEVER_MM, RULE_MM, seen

from liftgeo.errors import RequestError
from liftgeo.figures.over_photograph import over_page, plot_over
from liftgeo.mechanism import from_document
from liftgeo.studies.drawn import drawn
from liftgeo.studies.laid_over import laid_over
from liftgeo.studies.marks import as_marks

SIZE_PX = (4000, 3000)
PICTURE = np.full((300, 400, 3), 190, np.uint8)
ARM = {"radius": 36.0, "stop_distance": 92.0, "rest_length": 88.0}
POINTS = {name: list(place) for name, place in LEVER_MM.items()}


def gap(a: str, b: str) -> float:
    return float(np.hypot(*np.subtract(LEVER_MM[a], LEVER_MM[b])))


def hand_angle() -> float:
    """Return the angle at the pivot from nipple to hand, away from the stop, by hand [deg]."""
    pin, hand = (np.arctan2(*LEVER_MM[name][::-1]) for name in ("pin", "hand"))
    return float(np.degrees((hand - pin) % (2 * np.pi)))


SIDES = {
    "nipple_radius": gap("pivot", "pin"),
    "stop_distance": gap("pivot", "stop"),
    "rest_length": gap("pin", "stop"),
    "hand_radius": gap("pivot", "hand"),
    "hand_angle": hand_angle(),
}


def mechanism(**lever):
    keys = {"hand_travel": 20.0, **copy.deepcopy(lever)}
    return from_document({"title": "Invented", "lever": keys, "arm": ARM}, "", "nothing")


def photographed(mirrored: bool = False, **camera):
    places = {**RULE_MM, **CARD_MM, **LEVER_MM}
    if mirrored:
        places = {name: (-x, y) for name, (x, y) in places.items()}
    return as_marks(seen(places, **camera), SIZE_PX)


KNOWN = {"length": {"length": 100.0}, "rectangle": {"rectangle": (85.6, 53.98)}, "fit": {}}


@pytest.mark.parametrize("known", KNOWN)
@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("lever", [{"points": POINTS}, SIDES], ids=["points", "distances"])
def test_true_numbers_lie_on_their_marks(known: str, mirrored: bool, lever) -> None:
    marks = photographed(mirrored, spin_deg=33.0)
    found = laid_over(drawn(mechanism(**lever)), marks, **KNOWN[known])
    assert (found.part, found.by) == ("lever", known)
    assert list(found.offsets_mm) == ["pivot", "pin", "stop", "hand"]
    assert found.worst[1] == pytest.approx(0.0, abs=1e-9)
    for name in LEVER_MM:
        place = found.drawn.outline.as_drawn().lever.at(0.0)[name]
        assert found.mapping.to_px(place) == pytest.approx(marks.mean(name), abs=1e-6)


def test_a_tilted_camera_is_undone_by_the_corners_alone() -> None:
    marks = photographed(tilt_deg=20.0)
    found = drawn(mechanism(points=POINTS))
    assert laid_over(found, marks, rectangle=(85.6, 53.98)).worst[1] < 1e-9
    assert laid_over(found, marks, length=100.0).worst[1] > 1.0


def test_a_wrong_number_is_seen_by_about_its_error() -> None:
    wrong = {**SIDES, "hand_radius": SIDES["hand_radius"] + 4.0}
    found = laid_over(drawn(mechanism(**wrong)), photographed(), length=100.0)
    name, off = found.worst
    assert name == "hand"
    assert off == pytest.approx(4.0, abs=0.05)  # the turn that fits best moves it a little


def test_sizes_are_compared_only_where_one_is_known() -> None:
    twice = {name: [2 * x, 2 * y] for name, (x, y) in LEVER_MM.items()}
    found = drawn(mechanism(points=twice))
    assert laid_over(found, photographed()).worst[1] < 1e-9
    off = laid_over(found, photographed(), length=100.0).offsets_mm["stop"]
    assert off == pytest.approx(gap("pivot", "stop"))


def test_the_frame_of_the_file_may_stand_anywhere() -> None:
    moved = {name: [x + 300.0, y - 80.0] for name, (x, y) in LEVER_MM.items()}
    found = laid_over(drawn(mechanism(points=moved)), photographed(), length=100.0)
    assert found.worst[1] < 1e-9


@pytest.mark.parametrize(
    ("kept", "part", "known", "says"),
    [
        (("pin", "stop"), None, {}, "Not marked: pivot"),
        (("pivot", "hand"), None, {}, "mark two of them or more"),
        (("pivot",), "lever", {"length": 100.0}, "mark one of them or more"),
        (("pivot", "pin", "stop"), "rod", {}, "The part rod is not known"),
        (("pivot", "pin", "stop"), None, {"length": 100.0}, "Not marked: scale_1"),
        (("pivot", "pin", "stop"), None, {"rectangle": "1,1"}, "Not marked: corner_1"),
        (("pivot", "pin", "stop"), None, {"rectangle": "1,1", "length": 3}, "not both"),
    ],
)
def test_too_few_marks_are_told(kept, part, known, says: str) -> None:
    marks = as_marks({name: seen(LEVER_MM)[name] for name in kept})
    with pytest.raises(RequestError) as caught:
        laid_over(drawn(mechanism(points=POINTS)), marks, part, **known)
    assert says in str(caught.value)


def test_a_drum_has_no_pin_to_lay_over() -> None:
    drum = mechanism(kind="drum", drum_radius=20.0, hand_radius=78.0)
    with pytest.raises(RequestError, match="Too few marks"):
        laid_over(drawn(drum), photographed(), "lever")


# --- the picture ---


def test_lines_of_the_picture_run_through_the_marks() -> None:
    marks = photographed(tilt_deg=12.0)
    found = laid_over(drawn(mechanism(points=POINTS)), marks, rectangle=(85.6, 53.98))
    ax = plot_over(found, PICTURE, SIZE_PX)
    lines = {line.get_gid(): line.get_xydata() for line in reversed(ax.lines)}
    ends = lines["radius"][[0, -1]]
    assert ends == pytest.approx(np.array([marks.mean("pivot"), marks.mean("pin")]), abs=1e-6)
    assert lines["cable"][-1] == pytest.approx(marks.mean("stop"), abs=1e-6)
    crosses = [line.get_xydata()[0] for line in ax.lines if line.get_gid() == "mark"]
    assert crosses == [pytest.approx(marks.mean(n), abs=1e-6) for n in LEVER_MM]
    assert ax.images[0].get_extent() == [-0.5, 3999.5, 2999.5, -0.5]


def test_rest_is_the_heavy_one_and_everything_marked_is_in_the_window() -> None:
    found = laid_over(drawn(mechanism(points=POINTS)), photographed(), length=100.0)
    ax = plot_over(found, PICTURE, SIZE_PX)
    rest, full = [line for line in ax.lines if line.get_gid() == "radius"]
    assert rest.get_linewidth() > full.get_linewidth()
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    for name in LEVER_MM:
        x, y = found.marks.mean(name)
        assert left < x < right
        assert top < y < bottom


def test_the_page_carries_title_and_warnings() -> None:
    found = laid_over(drawn(mechanism(points=POINTS)), photographed(), length=100.0)
    figure = over_page(found, PICTURE, SIZE_PX, ["STOP: something"])
    text = "\n".join(each.get_text() for each in figure.texts)
    assert "Invented: drawn over its photograph the lever" in text.replace("\n", " ")
    assert "STOP: something" in text
    assert "Work safely" in text
