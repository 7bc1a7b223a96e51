"""The window for marking points: every click, key and wheel, sent to a canvas without a screen."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.backend_bases import KeyEvent, MouseButton, MouseEvent, NavigationToolbar2
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from liftgeo.errors import RequestError
from liftgeo.figures import marking
from liftgeo.figures.marking import Marking, mark_in_window
from liftgeo.figures.photograph import Photograph, read_photograph
from liftgeo.studies.marks import PART_POINTS, SCALE_ENDS

NAMES = (*SCALE_ENDS, *PART_POINTS["arm"])
PLACES = ((100.0, 900.0), (1100.0, 900.0), (600.0, 400.0), (600.0, 130.0), (1030.0, 400.0))


def window(check=None) -> Marking:
    figure = Figure(figsize=(8, 6), dpi=50)
    FigureCanvasAgg(figure).draw_idle = lambda: None  # nobody looks, and drawing takes time
    picture = np.full((100, 120, 3), 200, np.uint8)  # shown ten times smaller than it is
    return Marking(figure, picture, (1200, 1000), NAMES, "arm", check)


def click(on: Marking, place, button=MouseButton.LEFT) -> None:
    canvas = on.figure.canvas
    x, y = on.axes.transData.transform(place)
    canvas.callbacks.process(
        "button_press_event", MouseEvent("button_press_event", canvas, x, y, button)
    )


def press(on: Marking, key: str, place=(600.0, 500.0)) -> None:
    canvas = on.figure.canvas
    x, y = on.axes.transData.transform(place)
    canvas.callbacks.process("key_press_event", KeyEvent("key_press_event", canvas, key, x, y))


def scroll(on: Marking, place, step: int) -> None:
    canvas = on.figure.canvas
    x, y = on.axes.transData.transform(place)
    event = MouseEvent("scroll_event", canvas, x, y, step=step)
    canvas.callbacks.process("scroll_event", event)


def all_marked(check=None) -> Marking:
    on = window(check)
    for place in PLACES:
        click(on, place)
    return on


def words(on: Marking) -> str:
    return "\n".join(text.get_text() for text in on.figure.texts)


def test_points_are_asked_in_turn_and_marked_where_they_are_clicked() -> None:
    on = window()
    asked = ("one end of the known length", "its other end", "the middle of the arm's shaft",
             "the middle of the cable's end", "leaves its stop on the casing")  # fmt: skip
    for name, what, place in zip(NAMES, asked, PLACES, strict=True):
        assert what in words(on)
        assert f"({name}, " in words(on)
        click(on, place)
    assert "All marked. Enter finishes" in words(on)
    found = on.marks()
    for name, place in zip(NAMES, PLACES, strict=True):
        assert found.mean(name) == pytest.approx(place, abs=1e-6)


def test_enter_finishes_only_what_is_whole() -> None:
    on = window()
    click(on, PLACES[0])
    press(on, "enter")
    assert not on.finished
    assert "Still to mark: scale_2, pivot, pin, stop." in words(on)
    for place in PLACES[1:]:
        click(on, place)
    press(on, "enter")
    assert on.finished


def test_a_second_round_is_averaged() -> None:
    on = all_marked()
    click(on, (104.0, 902.0))
    assert "Round 2: Enter finishes whenever you like." in words(on)
    press(on, "enter")
    assert on.finished
    assert on.marks().count("scale_1") == 2
    assert on.marks().mean("scale_1") == pytest.approx((102.0, 901.0), abs=1e-6)
    assert on.marks().count("pin") == 1


@pytest.mark.parametrize("way", ["u", "backspace", "ctrl+z", "right click"])
def test_the_last_mark_is_taken_back(way: str) -> None:
    on = window()
    click(on, PLACES[0])
    click(on, (3.0, 3.0))
    crosses = len(on.axes.lines)
    if way == "right click":
        click(on, (500.0, 500.0), MouseButton.RIGHT)
    else:
        press(on, way)
    assert on.clicks == [pytest.approx(PLACES[0], abs=1e-6)]
    assert len(on.axes.lines) == crosses - 1
    assert "its other end" in words(on)


def test_taking_back_where_nothing_is_marked_does_nothing() -> None:
    on = window()
    press(on, "u")
    assert on.clicks == []


def test_a_click_beside_the_picture_marks_nothing() -> None:
    on = window()
    canvas = on.figure.canvas
    event = MouseEvent("button_press_event", canvas, 2, 2, MouseButton.LEFT)
    canvas.callbacks.process("button_press_event", event)
    click(on, (-300.0, 500.0))
    click(on, (500.0, 500.0), MouseButton.MIDDLE)
    assert on.clicks == []


def test_a_click_while_a_tool_moves_the_picture_marks_nothing() -> None:
    on = window()

    tools = NavigationToolbar2(on.figure.canvas)
    tools.zoom()
    click(on, PLACES[0])
    assert on.clicks == []
    tools.zoom()
    click(on, PLACES[0])
    assert len(on.clicks) == 1


@pytest.mark.parametrize("way", ["wheel", "key"])
def test_going_near_keeps_the_point_under_the_pointer(way: str) -> None:
    on = window()
    place, before = (600.0, 130.0), on.axes.transData.transform((600.0, 130.0))
    wide = np.ptp(on.axes.get_xlim())
    for _ in range(6):
        scroll(on, place, 1) if way == "wheel" else press(on, "+", place)
    assert np.ptp(on.axes.get_xlim()) < 0.2 * wide
    assert on.axes.transData.transform(place) == pytest.approx(before, abs=1e-6)
    click(on, place)
    assert on.clicks[0] == pytest.approx(place, abs=1e-6)
    for _ in range(40):
        scroll(on, place, -1) if way == "wheel" else press(on, "-", place)
    assert np.ptp(on.axes.get_xlim()) == pytest.approx(wide)


def test_going_near_ends_at_some_pixels() -> None:
    on = window()
    for _ in range(60):
        scroll(on, PLACES[2], 1)
    assert 8 < np.ptp(on.axes.get_xlim()) < 20
    press(on, "a")
    assert np.ptp(on.axes.get_xlim()) == pytest.approx(1200)


def test_two_points_at_one_pixel_are_told_and_not_taken() -> None:
    on = window()
    for place in (*PLACES[:3], PLACES[2], PLACES[4]):
        click(on, place)
    press(on, "enter")
    assert not on.finished
    assert "pivot and pin are marked at one pixel" in words(on)


def test_what_the_reading_refuses_is_told_and_the_window_stays() -> None:
    def refuses(marks) -> None:
        raise RequestError("The corners cross.")

    on = all_marked(refuses)
    press(on, "enter")
    assert not on.finished
    assert "The corners cross." in words(on)


def test_a_long_complaint_stays_within_the_window() -> None:
    told = "The four corners do not make the picture of a rectangle, " * 3

    def refuses(marks: object) -> None:
        raise RequestError(told)

    on = all_marked(refuses)
    press(on, "enter")
    assert not on.finished
    assert told.strip() in words(on).replace("\n", " ")
    renderer = on.figure.canvas.get_renderer()
    for text in on.figure.texts:
        box = text.get_window_extent(renderer)
        assert box.x1 <= on.figure.bbox.width
        assert box.y0 >= 0


def test_the_window_can_be_drawn() -> None:
    on = all_marked()
    on.figure.canvas.draw()
    box = on.figure.texts[0].get_window_extent()
    assert box.width < on.figure.bbox.width
    for one, other in ((0, 1), (1, 2)):
        lower = on.figure.texts[other].get_window_extent()
        assert lower.y1 <= on.figure.texts[one].get_window_extent().y0


def test_marks_and_their_names_stand_on_the_picture() -> None:
    on = all_marked()
    click(on, (102.0, 902.0))
    assert len(on.axes.lines) == 6
    assert [text.get_text() for text in on.axes.texts] == list(NAMES)
    assert [line.get_xydata()[0] for line in on.axes.lines[:5]] == [
        pytest.approx(place, abs=1e-6) for place in PLACES
    ]


# --- the window itself, and where there is none ---


@pytest.fixture
def photo(tmp_path) -> Photograph:
    from photographs import written

    return read_photograph(written(tmp_path / "a.jpg", (1200, 1000), 1, "JPEG"))


def test_without_a_screen_the_table_of_marks_is_named(photo: Photograph) -> None:
    import matplotlib.pyplot as plt

    before = plt.get_fignums()
    with pytest.raises(RequestError, match="no screen to open a window on"):
        mark_in_window(photo, NAMES, "arm")
    assert plt.get_fignums() == before


def shown_with(monkeypatch: pytest.MonkeyPatch, does) -> None:
    """Let windows pass for shown, with somebody at them who does something."""
    import matplotlib.pyplot as plt

    opened: list[Marking] = []

    class Watched(Marking):
        def __init__(self, *words) -> None:
            super().__init__(*words)
            opened.append(self)

    monkeypatch.setattr(marking, "Marking", Watched)
    monkeypatch.setattr(FigureCanvasAgg, "required_interactive_framework", "somebody")
    monkeypatch.setattr(plt, "show", lambda: does(opened[-1]))


def test_what_is_clicked_in_the_window_comes_back(
    monkeypatch: pytest.MonkeyPatch, photo: Photograph
) -> None:
    def does(on: Marking) -> None:
        for place in PLACES:
            click(on, place)
        press(on, "enter")

    shown_with(monkeypatch, does)
    found = mark_in_window(photo, NAMES, "arm")
    assert found.mean("stop") == pytest.approx(PLACES[4], abs=1e-6)


def test_a_window_closed_too_soon_says_what_is_missing(
    monkeypatch: pytest.MonkeyPatch, photo: Photograph
) -> None:
    shown_with(monkeypatch, lambda on: click(on, PLACES[0]))
    with pytest.raises(RequestError, match="Still to mark: scale_2, pivot, pin, stop"):
        mark_in_window(photo, NAMES, "arm")


def test_a_screen_that_cannot_be_reached_is_no_screen(
    monkeypatch: pytest.MonkeyPatch, photo: Photograph
) -> None:
    import matplotlib.pyplot as plt

    def fails(*_, **__):
        raise RuntimeError("no display name")

    monkeypatch.setattr(plt, "figure", fails)
    with pytest.raises(RequestError, match="no screen"):
        mark_in_window(photo, NAMES, "arm")
