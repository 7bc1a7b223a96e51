"""Drawings: what the artists hold is what the shapes say, to scale; nothing overlaps."""

from __future__ import annotations

import io
import math
import sys
from itertools import combinations

import numpy as np
import pytest
from clutches import KINDS, changeable, mechanism
from every_kind import NAMES, mechanism_of
from matplotlib.animation import FFMpegWriter
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.text import Text
from PIL import Image
from shapely.geometry import Polygon as Area

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.figures import moving, render
from liftgeo.figures.dimension_lines import plot_arc_dimension, plot_dimension
from liftgeo.figures.drawing_paper import (
    MM_PER_IN,
    Box,
    Pad,
    lay_out,
    room_mm,
    scale_for,
    scale_text,
)
from liftgeo.figures.drawing_sheet import drawing_sheet
from liftgeo.figures.drawings import (
    plot_clamping_spring,
    plot_finger,
    plot_link,
    plot_plate_pack,
    plot_release_unit,
)
from liftgeo.figures.labels import Notes
from liftgeo.figures.shape_lines import STOCK, curve, weights
from liftgeo.figures.style import drawing
from liftgeo.mechanism import from_document
from liftgeo.mechanism.samples import sample_document
from liftgeo.quantities import Measured
from liftgeo.words import drawing as words

PLOTS = {
    "lever": lambda d, **k: plot_link(d, "lever", **k),
    "arm": lambda d, **k: plot_link(d, "arm", **k),
    "release": plot_release_unit,
    "spring": plot_clamping_spring,
    "fingers": plot_finger,
    "plates": plot_plate_pack,
}
ENDS = {
    "lever": {"nipple_radius": "26.0 ± 0.2 mm", "stop_distance": 42.0, "rest_length": 44.0,
        "hand_radius": 75.0, "hand_travel": 39.0},
    "arm": {"radius": 38.0, "stop_distance": 95.0, "rest_length": 90.0},
}  # fmt: skip
ODD = {
    "long title": {"title": "A very long title of a machine that nobody ever measured, " * 6},
    "tiny arm, long lever": {
        "arm": {"kind": "pin", "radius": 9.0, "stop_distance": 120.0, "rest_length": 118.0},
        "lever": {"hand_radius": 320.0, "hand_travel": 160.0, "blade_length": 360.0},
    },
    "pedal": {"lever": {"worked_by": "foot", "hand_radius": 250.0, "hand_travel": 120.0}},
    "fingers": {"rod": {"finger_ratio": 3.0}},
    "points": {
        "lever": {
            "kind": "pin",
            "points": {"pivot": [10, 20], "pin": [14, 47], "stop": [57, 26], "hand": [-54, 66]},
            "hand_travel": 40.0,
        }
    },
    **{f"{t} {k}": {t: keys} | ({"stack": None} if t == "spring" else {})
        for t, kinds in KINDS.items() for k, keys in kinds.items()},
}  # fmt: skip
"""Of every kind one, and those whose sizes are far apart."""


def sheet_of(file, stock=None, units="metric", at=None):
    """Return the sheet of a mechanism."""
    before = None if stock is None else liftgeo.drawn(stock, at)
    return drawing_sheet(liftgeo.drawn(file, at), liftgeo.stroke(file), units=units, stock=before)


def lines_of(ax, name):
    """Return the lines of a shape, one a position."""
    return [line for line in ax.lines if line.get_gid() == name]


# --- what is drawn ---


@pytest.mark.parametrize("odd", ODD)
def test_every_shape_of_every_view_is_drawn_where_it_stands(odd: str) -> None:
    found = liftgeo.drawn(mechanism(**ODD[odd]))
    for name in found.views(found.full):
        if name == "plates":
            continue  # drawn side by side, below
        ax = PLOTS[name](found)
        for shape in found.views(found.full)[name].shapes:
            drawn = lines_of(ax, shape.name)
            assert drawn, shape.name
            stays = shape.role == "fixed" or shape.name == "casing"
            assert len(drawn) == (1 if stays else len(found.positions))
            wanted = curve(shape)
            if not stays:
                np.testing.assert_allclose(drawn[-1].get_xydata(), wanted, atol=1e-12)
                assert drawn[-1].is_dashed() == shape.assumed


def test_each_position_has_a_weight_of_its_own() -> None:
    found = liftgeo.drawn(mechanism())
    cable = [line.get_linewidth() for line in lines_of(plot_link(found, "lever"), "cable")]
    assert len(cable) == 3
    assert cable[0] < cable[1] < cable[2]
    assert weights(1)[0] == weights(2)[-1] == weights(5)[-1]


def test_a_lever_to_measure_is_heaviest_at_rest_where_its_sizes_stand() -> None:
    found = liftgeo.drawn(mechanism())
    bench = plot_link(found, "lever", texts={"lever.nipple_radius": "A"})
    cable = [line.get_linewidth() for line in lines_of(bench, "cable")]
    plain = [line.get_linewidth() for line in lines_of(plot_link(found, "lever"), "cable")]
    assert cable == plain[::-1]
    assert cable[0] == max(cable) > cable[-1]


def test_the_plates_stand_closed_at_rest_and_apart_beside_it() -> None:
    found = liftgeo.drawn(mechanism_of("quarry-hauler"))
    ax = plot_plate_pack(found)
    rest, full = (line.get_xydata() for line in lines_of(ax, "pressure plate"))
    basket = [line.get_xydata()[:, 0].max() for line in lines_of(ax, "basket face")]
    opened = (full[:, 0].min() - basket[1]) - (rest[:, 0].min() - basket[0])
    assert opened == pytest.approx(found.magnified * found.full.separation_mm, abs=1e-9)


def test_the_moment_arm_is_square_to_the_cable_and_as_long_as_the_stroke_says() -> None:
    found = liftgeo.drawn(mechanism())
    for table in ("lever", "arm"):
        for place, line in zip(
            (found.positions[0], found.positions[-1]),
            lines_of(plot_link(found, table), "moment arm"),
            strict=True,
        ):
            foot = np.diff(line.get_xydata(), axis=0)[0]
            cable = np.diff(found.views(place)[table].named("cable").points, axis=0)[0]
            assert foot @ cable == pytest.approx(0.0, abs=1e-9)
            wanted = getattr(place, f"{table}_moment_arm_mm")
            assert np.hypot(*foot) == pytest.approx(wanted, abs=1e-9)


def test_a_change_lies_over_the_grey_of_what_was_there() -> None:
    file = changeable()
    changed = file.changed("longer-arm")
    ours, theirs = liftgeo.drawn(changed), liftgeo.drawn(file)
    ax = plot_link(ours, "arm", stock=theirs)
    grey = [line for line in lines_of(ax, "radius") if line.get_color() == STOCK]
    ink = [line for line in lines_of(ax, "radius") if line.get_color() != STOCK]
    assert np.hypot(*np.diff(grey[0].get_xydata(), axis=0)[0]) == pytest.approx(38.0)
    assert np.hypot(*np.diff(ink[0].get_xydata(), axis=0)[0]) == pytest.approx(44.0)
    assert "38.0 → 44.0" in [text.get_text() for text in ax.texts]


def test_what_the_hand_moved_is_dimensioned_where_it_is_now() -> None:
    """3, 4, 5 becomes 9, 40, 41: no dimension line keeps a number that its ends left."""
    keys = {"radius": 30.0, "stop_distance": 40.0, "rest_length": 50.0, "cable_angle": None}
    file = mechanism(arm=keys)
    ax = plot_link(liftgeo.drawn(file.changed({"arm.hole": 9.0})), "arm", stock=liftgeo.drawn(file))
    said = [text.get_text().replace("\n", " ") for text in ax.texts]
    assert {"30.0 → 9.0", "40.0", "50.0 → (41.0)"} <= set(said)


def test_a_number_that_only_follows_a_change_shows_what_it_was() -> None:
    """Square at the cable end, 30 and 40, from square at the shaft."""
    keys = {"radius": 30.0, "stop_distance": 50.0, "rest_length": 60.0, "cable_angle": None}
    file = mechanism(arm=keys)
    ax = plot_link(
        liftgeo.drawn(file.changed({"arm.cable_angle": 90.0})), "arm", stock=liftgeo.drawn(file)
    )
    said = [text.get_text().replace("\n", " ") for text in ax.texts]
    assert "60.0 → (40.0)" in said


@pytest.mark.parametrize("by_points", [False, True])
def test_a_moved_pivot_moves_and_its_stop_and_hand_stay(by_points: bool) -> None:
    lever = ODD["points"]["lever"] if by_points else {}
    file = mechanism(lever=lever)
    changed = file.changed({"lever.pivot_shift_x": 2.0, "lever.pivot_shift_y": -3.0})
    ax = plot_link(liftgeo.drawn(changed), "lever", stock=liftgeo.drawn(file))
    for name, apart in (("pivot", math.hypot(2.0, 3.0)), ("casing end", 0.0)):
        grey, ink = (line.get_xydata().mean(axis=0) for line in lines_of(ax, name))
        if name == "pivot":  # the circle's last point is its first: its middle is a little off
            grey, ink = (line.get_xydata()[:-1].mean(axis=0) for line in lines_of(ax, name))
        assert np.hypot(*(ink - grey)) == pytest.approx(apart, abs=1e-9)
    if not by_points:
        said = [text.get_text() for text in ax.texts]
        radius = float(changed.inward.sides("lever").pin)
        assert f"26.0 → ({radius:.1f})" in said


def test_dimensions_are_as_measured_and_what_follows_stands_in_brackets() -> None:
    file = from_document(ENDS, "two ends")
    said = [text.get_text() for text in plot_link(liftgeo.drawn(file), "lever").texts]
    assert {"26.0 ± 0.2", "42.0", "44.0", "75.0", "39.0"} <= set(said)
    inch = [text.get_text() for text in plot_link(liftgeo.drawn(file), "lever", units="inch").texts]
    assert "1.0236 ± 0.0079" in inch
    angled = mechanism(arm={"rest_length": None, "cable_angle": 95.0})
    said = [text.get_text() for text in plot_link(liftgeo.drawn(angled), "arm").texts]
    follows = float(angled.inward.sides("arm").rest)
    assert f"({follows:.1f})" in said


@pytest.mark.parametrize(
    ("value", "dimension", "units", "said"),
    [
        (27.0, "length", "metric", "27.0"),
        (26.25, "length", "metric", "26.25"),
        (Measured(26.0, 0.2), "length", "metric", "26.0 ± 0.2"),
        (25.4, "length", "inch", "1.000"),
        (14.0, "angle", "metric", "14"),
        (14.5, "angle", "metric", "14.5"),
        (25000.0, "rate", "metric", "25000"),
    ],
)
def test_a_number_is_written_as_somebody_measured_it(value, dimension, units, said) -> None:
    assert words.as_measured(value, dimension, units) == said


# --- dimension lines ---


def _paper():
    figure = Figure(figsize=(100 / MM_PER_IN, 100 / MM_PER_IN))
    ax = figure.add_axes((0, 0, 1, 1))
    ax.set(xlim=(0, 100), ylim=(0, 100))
    return ax


@pytest.mark.parametrize("angle", [0.0, 40.0, 90.0, 130.0, 180.0, 250.0, -20.0])
def test_a_dimension_line_is_as_long_as_the_distance_and_stands_off_it(angle: float) -> None:
    ax, way = _paper(), np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    start = np.array([50.0, 50.0]) - 20 * way
    end = start + 40 * way
    plot_dimension(start, end, "40.0", ax=ax, offset_mm=8.0)
    spans = [line.get_xydata() for line in ax.lines if line.get_alpha() is None]
    lengths = [float(np.hypot(*(span[1] - span[0]))) for span in spans]
    whole = spans[lengths.index(max(lengths))]
    assert max(lengths) == pytest.approx(40.0)
    aside = np.array([-way[1], way[0]])
    assert (whole[0] - start) @ aside == pytest.approx(8.0)
    tips = [patch.get_xy()[0] for patch in ax.patches if isinstance(patch, Polygon)]
    np.testing.assert_allclose(sorted(map(tuple, tips)), sorted(map(tuple, whole)), atol=1e-9)
    (text,) = ax.texts
    assert -90.0 <= text.get_rotation() - 360 * (text.get_rotation() > 180) <= 90.1
    # Above the line as it is read.
    turned = math.radians(text.get_rotation())
    up = np.array([-math.sin(turned), math.cos(turned)])
    assert (np.array(text.get_position()) - whole.mean(axis=0)) @ up > 0


def test_where_there_is_no_room_the_arrows_point_inwards_from_outside() -> None:
    ax = _paper()
    plot_dimension((50.0, 50.0), (54.0, 50.0), "4.0", ax=ax, offset_mm=-8.0)
    heads = [patch.get_xy() for patch in ax.patches if isinstance(patch, Polygon)]
    assert [head[0][0] for head in heads] == pytest.approx([50.0, 54.0])
    assert heads[0][1][0] < 50.0 < 54.0 < heads[1][1][0]
    assert ax.texts[0].get_position()[0] > 54.0
    assert ax.texts[0].get_position()[1] > 50.0 - 8.0


def test_a_number_outside_its_arrows_goes_to_the_side_that_has_room() -> None:
    ax = _paper()
    plot_dimension((90.0, 50.0), (94.0, 50.0), "4.0 ± 0.1", ax=ax)
    assert ax.texts[0].get_position()[0] < 90.0


def test_a_dimension_on_an_arc_follows_it() -> None:
    ax = _paper()
    plot_arc_dimension((50.0, 50.0), 30.0, (0.2, 1.2), "30.0", ax=ax)
    arc = ax.lines[0].get_xydata() - 50.0
    np.testing.assert_allclose(np.hypot(*arc.T), 30.0)
    assert np.arctan2(*arc[0][::-1]) == pytest.approx(0.2)
    assert np.arctan2(*arc[-1][::-1]) == pytest.approx(1.2)


# --- scale ---


@pytest.mark.parametrize(
    ("scale", "said"), [(1.0, "1 : 1"), (0.5, "1 : 2"), (5.0, "5 : 1"), (1 / 1.5, "1 : 1.5")]
)
def test_a_scale_is_said_as_drawings_say_it(scale: float, said: str) -> None:
    assert scale_text(scale) == said


def test_the_largest_scale_that_fits_is_taken() -> None:
    pad = Pad(5.0, 5.0, 5.0, 5.0)
    box = Box(0.0, 0.0, 90.0, 40.0)
    assert scale_for(box, (100.0, 50.0), pad) == 1.0
    assert scale_for(box, (99.0, 50.0), pad) == pytest.approx(1 / 1.5)
    assert scale_for(Box(0, 0, 4.0, 4.0), (100.0, 100.0), pad) == 20.0
    assert scale_for(Box(0, 0, 1e6, 4.0), (100.0, 100.0), pad) == pytest.approx(90 / 1e6)


def test_a_millimetre_is_as_long_on_paper_as_the_scale_says() -> None:
    ax = _paper()
    lay_out(ax, Box(0.0, 0.0, 30.0, 20.0), 2.0, Pad(4.0, 4.0, 4.0, 4.0))
    wide, tall = room_mm(ax)
    assert np.diff(ax.get_xlim())[0] * 2.0 == pytest.approx(wide)
    assert np.diff(ax.get_ylim())[0] * 2.0 == pytest.approx(tall)


@pytest.mark.parametrize("odd", ["tiny arm, long lever", "fingers", "spring coils"])
def test_the_scale_bars_and_titles_of_a_sheet_hold_on_its_paper(odd: str) -> None:
    sheet = sheet_of(mechanism(**ODD[odd]))
    titles = [text.get_text() for text in sheet.texts if " : " in text.get_text()]
    assert len(titles) == len(sheet.axes)
    bars = 0
    for ax in sheet.axes:
        per_mm = room_mm(ax)[0] / np.diff(ax.get_xlim())[0]
        tall = room_mm(ax)[1] / np.diff(ax.get_ylim())[0]
        assert per_mm == pytest.approx(tall, rel=1e-9)
        for line in lines_of(ax, "scale bar"):
            bars += 1
            reach = np.ptp(line.get_xdata())
            said = next(t.get_text() for t in ax.texts if t.get_text() == f"{reach:g} mm")
            assert said
        assert any(title.endswith(scale_text(per_mm)) for title in titles)
    assert bars >= 4


# --- nothing overlaps ---


def _areas(figure):
    """Return each text that is shown and the area it takes, turned as it is [pixels]."""
    canvas = FigureCanvasAgg(figure)
    with drawing():
        canvas.draw()
    renderer = canvas.get_renderer()
    texts = list(figure.texts)
    for ax in figure.axes:
        texts += ax.texts
        for notes in ax.artists:
            if isinstance(notes, Notes):
                texts += [note.text for note in notes.notes]
    for text in texts:
        if not text.get_text().strip() or not text.get_visible():
            continue
        turn = text.get_rotation()
        if turn == 0.0:
            box = Text.get_window_extent(text, renderer)
            yield text, Area.from_bounds(*box.extents)
            continue
        text.set_rotation(0.0)
        box = Text.get_window_extent(text, renderer)
        text.set_rotation(turn)
        centre = text.get_transform().transform(text.get_position())
        angle = math.radians(turn)
        spin = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
        yield text, Area((box.corners()[[0, 1, 3, 2]] - centre) @ spin + centre)


def check_apart(figure) -> None:
    """Hold every text of a drawing to 8 pt at least, inside the page, and off every other."""
    found = list(_areas(figure))
    assert len(found) > 10
    assert [t.get_text() for t, _ in found if t.get_fontsize() < 8.0] == []
    page = Area.from_bounds(*figure.bbox.extents).buffer(0.5)
    assert [t.get_text() for t, area in found if not page.contains(area)] == []
    crossed = [
        (a.get_text(), b.get_text())
        for (a, one), (b, two) in combinations(found, 2)
        if one.buffer(-1.0).intersects(two.buffer(-1.0))
    ]
    assert crossed == []


@pytest.mark.parametrize("odd", ["long title", "tiny arm, long lever", "fingers"])
def test_nothing_overlaps_on_a_sheet(odd: str) -> None:
    check_apart(sheet_of(mechanism(**ODD[odd])))


@pytest.mark.slow
@pytest.mark.parametrize("odd", ODD)
def test_nothing_overlaps_on_the_sheet_of_any_kind(odd: str) -> None:
    check_apart(sheet_of(mechanism(**ODD[odd])))


@pytest.mark.slow
@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("name", NAMES)
def test_nothing_overlaps_on_the_sheet_of_any_clutch(name: str, units: str) -> None:
    check_apart(sheet_of(mechanism_of(name), units=units))


@pytest.mark.slow
@pytest.mark.parametrize("change", ["longer-arm", "moved-pivot", "steeper-ramp"])
def test_nothing_overlaps_where_a_change_lies_over_the_file(change: str) -> None:
    file = changeable()
    check_apart(sheet_of(file.changed(change), file))


@pytest.mark.parametrize("at", [["50%"], ["5mm", "10mm", "20mm", "30mm", "38mm"]])
def test_nothing_overlaps_wherever_it_is_drawn(at) -> None:
    check_apart(sheet_of(mechanism(), at=at))


def test_a_sheet_says_what_it_must() -> None:
    result = liftgeo.stroke(mechanism_of("quarry-hauler"))
    said = " ".join(text.get_text() for text in sheet_of(mechanism_of("quarry-hauler")).texts)
    assert "(invented)" in said
    assert "lever.hand_angle" in said
    assert "Work safely" in said
    assert "half way" in said
    for warning in result.warnings:
        if warning.severity != "note":
            assert warning.key.replace("-", " ") in said


@pytest.mark.parametrize("ending", [".svg", ".pdf", ".png"])
def test_a_sheet_is_the_same_bytes_each_time(ending: str) -> None:
    one, two = (render(sheet_of(mechanism()), ending) for _ in range(2))
    assert one == two
    assert len(one) > 5000


# --- moving ---


def test_a_moving_picture_has_a_frame_for_each_place() -> None:
    counted = []
    content = moving.moving_picture(mechanism(), ".gif", 7, advance=counted.append)
    picture = Image.open(io.BytesIO(content))
    assert picture.n_frames == 7
    assert sum(counted) == 7
    assert picture.info["loop"] == 0


def test_what_moves_stands_in_each_frame_where_the_stroke_puts_it() -> None:
    file = mechanism()
    found, result = liftgeo.drawn(file, ["0%", "50%", "100%"]), liftgeo.stroke(file)
    stage = moving.Stage(found, result, "metric")
    lever = stage.figure.axes[0]
    marks = [line for ax in stage.figure.axes for line in lines_of(ax, "running mark")]
    assert len(marks) == 2
    pictures = []
    for k, place in enumerate(found.positions):
        pictures.append(stage.picture(k))
        (cable,) = lines_of(lever, "cable")
        wanted = [place.points["lever_pin"], place.points["lever_stop"]]
        np.testing.assert_allclose(cable.get_xydata(), wanted, atol=1e-12)
        assert marks[0].get_xdata()[0] == pytest.approx(place.hand_travel_mm)
        assert marks[0].get_ydata()[0] == pytest.approx(place.hand_force_n, rel=0.02)
        assert marks[1].get_ydata()[0] == pytest.approx(place.separation_mm, abs=0.01)
    assert (pictures[0] != pictures[1]).any()
    assert (pictures[1] != pictures[2]).any()


def test_two_ends_alone_move_too() -> None:
    content = moving.moving_picture(from_document(ENDS, "two ends"), ".gif", 3)
    assert Image.open(io.BytesIO(content)).n_frames == 3


def test_an_mp4_without_ffmpeg_is_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(FFMpegWriter, "isAvailable", lambda: False)
    with pytest.raises(RequestError, match=r"ffmpeg.*\.gif"):
        moving.moving_picture(mechanism(), ".mp4", 3)
    with pytest.raises(RequestError, match=r"\.avi"):
        moving.moving_picture(mechanism(), ".avi", 3)


def test_an_mp4_is_what_ffmpeg_makes_of_the_pictures(tmp_path, monkeypatch) -> None:
    """A stand-in for ffmpeg that counts what it is given and takes the words it is called with."""
    program = tmp_path / "ffmpeg"
    program.write_text(
        f"#!{sys.executable}\nimport sys\n"
        "data = sys.stdin.buffer.read()\n"
        "wide, tall = map(int, sys.argv[sys.argv.index('-s') + 1].split('x'))\n"
        "sys.stdout.write(f'{len(data) / (wide * tall * 3):g} pictures')\n"
    )
    program.chmod(0o755)
    monkeypatch.setattr(FFMpegWriter, "isAvailable", lambda: True)
    monkeypatch.setattr(FFMpegWriter, "bin_path", lambda: str(program))
    held = round(moving.HOLD_S / moving.FRAME_S)
    made = moving.moving_picture(mechanism(), ".mp4", 3)
    assert made == f"{3 + held} pictures".encode()
    program.write_text(f"#!{sys.executable}\nimport sys\nsys.exit('no such encoder')\n")
    with pytest.raises(RequestError, match="no such encoder"):
        moving.moving_picture(mechanism(), ".mp4", 3)


SHAPED = {
    "arm": {"outline": {"points": [[0, 0], [0, 45]], "width": 12.0}},
    "casing": {"outlines": [[[60, 30], [70, 30], [70, 40]]]},
}


def test_what_the_arm_sweeps_lies_below_all_lines_where_a_casing_is_outlined() -> None:
    found = liftgeo.drawn(mechanism(**SHAPED))
    ax = plot_link(found, "arm")
    (band,) = [patch for patch in ax.patches if patch.get_gid() == "swept by the arm"]
    assert band.get_zorder() < min(line.get_zorder() for line in ax.lines)
    swept = Area(band.get_path().vertices).buffer(0.01)
    for place in found.positions:
        arm = found.views(place)["arm"].named("arm outline")
        assert swept.covers(Area(arm.points))
    plain = plot_link(liftgeo.drawn(mechanism()), "arm")
    assert not [patch for patch in plain.patches if patch.get_gid() == "swept by the arm"]


def test_a_hand_travel_that_follows_stands_in_brackets() -> None:
    given = mechanism(lever={"hand_travel": "39.0 ± 0.5 mm"})
    assert words.hand_travel_text(given, 39.0, "metric") == "39.0 ± 0.5"
    assert words.hand_travel_text(given, 25.04, "metric") == "(25.0)"
    by_angle = mechanism(lever={"hand_travel": None, "travel": 30.0})
    full = liftgeo.drawn(by_angle).full.hand_travel_mm
    assert words.hand_travel_text(by_angle, full, "metric") == f"({full:.1f})"
    assert words.hand_travel_text(by_angle, full, "inch") == f"({full / 25.4:.2f})"
    ax = plot_link(liftgeo.drawn(by_angle), "lever")
    assert f"({full:.1f})" in [text.get_text() for text in ax.texts]


def test_an_angle_that_never_changes_is_said_once() -> None:
    found = liftgeo.drawn(mechanism_of("arm on a drum"))
    assert words.arm_angle_line(90.0, 90.0, 90.0) == "Cable to arm 90° throughout"
    assert "cable angle" not in [row[0] for row in words.end_rows(found, "arm", "metric")]
    assert "cable angle" in [row[0] for row in words.end_rows(found, "lever", "metric")]


def test_no_text_of_a_sheet_is_smaller_than_six_points_on_a5() -> None:
    file = mechanism(rod={"finger_ratio": 3.0})
    sheet = drawing_sheet(liftgeo.drawn(file), liftgeo.stroke(file), units="inch")
    sizes = [text.get_fontsize() for text in sheet.findobj(Text) if text.get_text().strip()]
    assert sizes
    assert min(sizes) * math.sqrt(0.5) >= 6.0  # A5 is A4 by the square root of a half: ISO 216


# --- sizes of release unit and spring ---

SIZED_KINDS = [("release", k) for k in KINDS["release"]] + [("spring", k) for k in KINDS["spring"]]
UNITS_OF = {"in_series": "", "count": "", "ball_count": "", "rate": "N/mm", "ramp_angle": "deg"}
UNITS_OF |= {"rest_angle": "deg"}


def measured_with_a_width(table: str, kind: str):
    """Return a mechanism of invented sizes, each of unit and spring given with a ±."""
    document = sample_document({table: kind})
    for part in ("release", "spring"):
        for key, value in document[part].items():
            unit = UNITS_OF.get(key, "mm")
            if isinstance(value, int | float) and unit:
                document[part][key] = f"{value} ± {0.01 * abs(value) + 0.01:.2f} {unit}"
    return from_document(document, "invented")


@pytest.mark.slow
@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize(("table", "kind"), SIZED_KINDS, ids=str)
def test_sizes_of_unit_and_spring_stand_apart_each_in_its_cell(
    table: str, kind: str, units: str
) -> None:
    sheet = sheet_of(measured_with_a_width(table, kind), units=units)
    check_apart(sheet)
    for text, area in _areas(sheet):
        if text.axes is not None:
            cell = Area.from_bounds(*text.axes.bbox.extents).buffer(4.0)
            assert cell.contains(area), text.get_text()


@pytest.mark.parametrize(
    ("table", "kind", "said"),
    [
        ("release", "ball-ramp", {"15° ± 0.16°", "9.0 ± 0.1"}),
        ("release", "quick-thread", {"(19.1°)"}),  # atan(24 / (22 pi)), by hand
        ("release", "rack", {"5.0 ± 0.06"}),
        ("release", "crank", {"6.0 ± 0.07", "18.0 ± 0.19", "-25° ± 0.26°"}),
        ("release", "eccentric", {"5.0 ± 0.06", "12.0 ± 0.13", "-25° ± 0.26°"}),
        # Two discs of 3 mm, of 9 mm cone each, less the 2 mm pressed: 2 x 12 - 2 mm, by hand.
        ("spring", "coned-disc", {"⌀ 60.0 ± 0.61", "⌀ 30.0 ± 0.31", "3.0 ± 0.04", "(22.0)"}),
        ("spring", "coils", {"36.0 ± 0.37"}),
        ("spring", "table", {"19.0 assumed"}),  # no height given: 3 x 8 - 5 mm, and dashed
    ],
)  # fmt: skip
def test_a_size_of_unit_or_spring_is_told_as_it_was_measured(table, kind, said) -> None:
    plot = PLOTS[table]
    ax = plot(liftgeo.drawn(measured_with_a_width(table, kind)))
    there = {text.get_text().replace("\n", " ") for text in ax.texts}
    assert said <= there


def test_a_measured_law_has_its_last_reading_that_is_drawn() -> None:
    ax = plot_release_unit(liftgeo.drawn(mechanism(**ODD["release profile"])))
    keys = KINDS["release"]["profile"]
    (text,) = (t.get_text() for t in ax.texts if t.get_text().endswith("°"))
    place = list(keys["angle"]).index(float(text.removesuffix("°")))
    assert f"{keys['travel'][place]:.1f}" in {t.get_text() for t in ax.texts}


def test_the_line_of_a_size_that_nobody_measured_is_dashed() -> None:
    for given, dashed in ((9.0, False), (None, True)):  # else a quarter of 17 mm, twice: 8.5
        document = sample_document({})
        document["release"]["ball_diameter"] = given
        unwanted = {None} if given else {None, document["release"]["ball_count"]}
        document["release"] = {k: v for k, v in document["release"].items() if v not in unwanted}
        ax = plot_release_unit(liftgeo.drawn(from_document(document, "invented")))
        (text,) = (t for t in ax.texts if t.get_text().startswith(("8.5", "9.0")))
        assert ("assumed" in text.get_text()) is dashed
        level = text.get_position()[1]
        near = [
            line
            for line in ax.lines
            if line.get_alpha() is None and np.ptp(line.get_ydata()) == 0.0
            and abs(line.get_ydata()[0] - level) < 1.0 and line.get_gid() is None
        ]  # fmt: skip
        assert [line.is_dashed() for line in near] == [dashed]


def test_a_changed_size_of_the_unit_shows_what_it_was() -> None:
    file = changeable()
    ax = plot_release_unit(liftgeo.drawn(file.changed("steeper-ramp")), stock=liftgeo.drawn(file))
    said = [text.get_text().replace("\n", " ") for text in ax.texts]
    before, after = (
        float(m.keys["release.ramp_angle"]) for m in (file, file.changed("steeper-ramp"))
    )
    assert f"{before:g}° → {after:g}°" in said


def test_an_angle_that_stands_for_a_distance_has_its_arc() -> None:
    angled = mechanism(arm={"rest_length": None, "cable_angle": "95.0 ± 1 deg"})
    said = [text.get_text() for text in plot_link(liftgeo.drawn(angled), "arm").texts]
    assert "95° ± 1°" in said
