"""`liftgeo trace`: points off a photograph, into a file, and everything that can be typed wrong."""

from __future__ import annotations

import csv
import io
import math
import re
import tomllib
from pathlib import Path

import pytest
from clutches import BASE_TEXT
from command_line import GEOMETRIES, run, too_wide
from PIL import Image

import liftgeo
from liftgeo.studies.marks import PART_POINTS

SPRAYER = GEOMETRIES / "vineyard-sprayer.toml"

RULE = ("scale_1,100,900", "scale_2,1100,900")
CARD = ("corner_1,100,100", "corner_2,956,100", "corner_3,956,639.8", "corner_4,100,639.8")
PART = ("pivot,600,400", "pin,600,130", "stop,1030,400")
HAND = ("hand,90,410",)


@pytest.fixture
def here(tmp_path: Path) -> Path:
    """Return a folder with an invented photograph, its marks, and a geometry file."""
    Image.new("RGB", (1200, 1000), "grey").save(tmp_path / "a.jpg")
    table(tmp_path, *RULE, *PART, *HAND)
    table(tmp_path, *CARD, *PART, name="card.csv")
    (tmp_path / "clutch.toml").write_text(BASE_TEXT, encoding="utf-8")
    return tmp_path


def table(folder: Path, *rows: str, name: str = "marks.csv") -> Path:
    path = folder / name
    path.write_text("\n".join(["name,x,y", *rows]) + "\n", encoding="utf-8")
    return path


LEVER = ("trace", "a.jpg", "--part", "lever", "--length", "100mm", "--marks", "marks.csv")
ARM = ("trace", "a.jpg", "--part", "arm", "--rectangle", "85.6,53.98", "--marks", "card.csv")


def test_the_page_answers_first_and_says_what_is_not_in_it(here: Path) -> None:
    done = run(*LEVER, folder=here)
    assert (done.code, done.err) == (0, "")
    first = " ".join(done.out.split("\n\n")[0].split())
    assert first.startswith(
        "The lever by the photograph: pivot to nipple 27.00 ± 0.15 mm, pivot to cable stop 43.00 ± "
        "0.15 mm, nipple to stop 50.77 ± 0.16 mm, pivot to hand 51.01 ± 0.16 mm."
    )
    said = " ".join(done.out.split())
    assert "x to the right, y upwards, as in the picture" in said
    assert "every point is marked once" in said
    assert "10 mm nearer, seen from 1500 mm: 0.67 %, 0.34 mm on the longest length" in said
    assert "looks 5 deg askew shows lengths along the tilt too short" in said
    assert "(--rectangle) take both out" in said
    assert 'points.stop = ["43.00 ± 0.12 mm", "0.00 ± 0.12 mm"]' in done.out
    assert "Work safely" in said
    assert too_wide(done.out) == []


def test_four_corners_take_the_tilt_out_of_the_page(here: Path) -> None:
    done = run(*ARM, folder=here)
    assert done.code == 0
    assert "Tilt: taken out by the four corners." in done.out
    assert "edges, to the" in done.out
    assert "a rectangle that lies nearer" in done.out


def test_json_is_what_was_agreed(here: Path) -> None:
    done = run(*LEVER, "--json", folder=here)
    assert done.err == ""
    data = done.data
    assert data["points"] == {
        "pivot": [0.0, 0.0],
        "pin": [0.0, pytest.approx(27.0)],
        "stop": [pytest.approx(43.0), 0.0],
        "hand": [pytest.approx(-51.0), pytest.approx(-1.0)],
    }
    assert data["scale_mm_per_px"] == pytest.approx(0.1)
    assert data["plus_minus_mm"] == pytest.approx(max(data["point_plus_minus_mm"].values()))
    assert data["photograph"] == {
        "name": "a.jpg", "width_px": 1200, "height_px": 1000, "orientation": 1
    }  # fmt: skip
    assert data["not_in_plus_minus"]["depth"]["share"] == pytest.approx(1 / 150)
    assert data["not_in_plus_minus"]["tilt"]["tilt_deg"] == 5.0
    assert data["cautions"]


def test_csv_reads_back(here: Path) -> None:
    done = run(*ARM, "--csv", "-", folder=here)
    rows = list(csv.DictReader(io.StringIO(done.out)))
    assert [row["name"] for row in rows] == ["pivot", "pin", "stop"]
    assert float(rows[2]["x_mm"]) == pytest.approx(43.0, rel=1e-3)
    assert float(rows[2]["plus_minus_mm"]) > 0.1


@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_gives_the_same_points(here: Path, orientation: int) -> None:
    from photographs import written

    written(here / "a.jpg", (1200, 1000), orientation, "JPEG")
    data = run(*LEVER, "--json", folder=here).data
    assert data["points"]["stop"] == [pytest.approx(43.0), 0.0]
    assert (data["photograph"]["width_px"], data["photograph"]["height_px"]) == (1200, 1000)


def test_points_go_into_a_file_and_are_used_there(here: Path) -> None:
    done = run(*LEVER, "--into", "clutch.toml", folder=here)
    assert done.code == 0
    assert done.err == "Written: lever.points in clutch.toml\n"
    said = " ".join(done.out.split())
    assert "Replaced there: lever.nipple_radius = " in said
    assert "It stays in the file as a comment." in said
    text = (here / "clutch.toml").read_text(encoding="utf-8")
    assert "# read off the photograph a.jpg: mm, y upwards\n" in text
    points = tomllib.loads(text)["lever"]["points"]
    assert points["pin"] == ["0.00 ± 0.11 mm", "27.00 ± 0.11 mm"]
    answer = run("stroke", "clutch.toml", "--json", folder=here).data
    assert "lever.points.pin[1]" in {item["key"] for item in answer["known"]["shares"]}


def test_a_distance_that_disagrees_is_told(here: Path) -> None:
    text = BASE_TEXT
    old = tomllib.loads(text)["lever"]["nipple_radius"]
    (here / "clutch.toml").write_text(
        text.replace(f"nipple_radius = {old}", 'nipple_radius = "27.1 ± 0.1 mm"'), encoding="utf-8"
    )
    said = " ".join(run(*LEVER, "--into", "clutch.toml", folder=here).out.split())
    assert "more apart than their ±" in said
    assert "lever.nipple_radius: 27.10" not in said
    assert "lever.stop_distance: " in said


def test_json_says_what_was_replaced(here: Path) -> None:
    data = run(*ARM, "--into", "clutch.toml", "--json", folder=here).data
    assert data["into"] == "clutch.toml"
    assert data["replaced"]["arm.radius"] == tomllib.loads(BASE_TEXT)["arm"]["radius"]


def test_a_newcomer_gets_from_nothing_to_an_answer(here: Path) -> None:
    assert run("new", "mine", folder=here).code == 0
    assert run(*LEVER, "--into", "mine.toml", folder=here).code == 0
    assert run(*ARM, "--into", "mine.toml", folder=here).code == 0
    path = here / "mine.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('hand_travel   = ""', "hand_travel = 42"), encoding="utf-8")
    done = run("stroke", "mine.toml", folder=here)
    assert done.code == 0
    assert "PARTIAL" in done.out


def test_points_that_stand_there_are_replaced_only_with_force(here: Path) -> None:
    assert run(*LEVER, "--into", "clutch.toml", folder=here).code == 0
    before = (here / "clutch.toml").read_bytes()
    done = run(*LEVER, "--into", "clutch.toml", folder=here)
    assert done.code == 2
    assert "already. Add --force" in done.err
    assert (here / "clutch.toml").read_bytes() == before
    assert run(*LEVER, "--into", "clutch.toml", "--force", folder=here).code == 0


def test_marks_may_be_written_again_by_name(here: Path) -> None:
    done = run(*LEVER, "--save-marks", "again.csv", folder=here)
    assert "Written: again.csv" in done.err
    again = list(csv.DictReader((here / "again.csv").read_text().splitlines()))
    assert [row["name"] for row in again][:3] == ["scale_1", "scale_2", "pivot"]


def without(words: tuple[str, ...], option: str) -> tuple[str, ...]:
    at = words.index(option)
    return words[:at] + words[at + 2 :]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((*without(LEVER, "--part"), "--part", "rod"), "--part rod is not known. Choose lever or"),
        (without(LEVER, "--length"), "Give the known size"),
        ((*LEVER, "--rectangle", "85.6,53.98"), "not both"),
        ((*without(LEVER, "--length"), "--rectangle", "1,1"), "Not marked: corner_1"),
        ((*without(ARM, "--rectangle"), "--length", "1"), "Not marked: scale_1, scale_2"),
        ((*without(ARM, "--part"), "--part", "lever"), "Not marked: hand"),
        (without(LEVER, "--marks"), "no screen to open a window on"),
        ((*without(LEVER, "--marks"), "--marks", "none.csv"), "none.csv is not there"),
        ((*without(LEVER, "--marks"), "--marks", "a.jpg"), "not plain UTF-8"),
        (("trace", "none.jpg", *LEVER[2:]), "none.jpg is not there"),
        (("trace", "marks.csv", *LEVER[2:]), "marks.csv is no photograph"),
        ((*LEVER, "--into", "none.toml"), "none.toml is not there. `liftgeo new none.toml` writes"),
        ((*LEVER, "--into", "-"), "--into needs a file"),
        ((*LEVER, "--into", "a.jpg"), "not plain UTF-8"),
        ((*LEVER, "--csv", "marks.csv"), "is a file that is read; it is never written over"),
        ((*LEVER, "--csv", "clutch.toml", "--into", "clutch.toml"), "is a file that is read"),
        ((*LEVER, "--save-marks", "marks.csv"), "is a file that is read"),
        ((*LEVER, "--save-marks", "-"), "--save-marks needs the name of a file"),
        ((*LEVER, "--save-marks", "card.csv"), "card.csv exists already"),
        ((*LEVER, "--save-marks", "b.csv", "--csv", "b.csv"), "name the same file"),
        ((*LEVER, "--units", "feet"), "--units feet is not known"),
    ],
)
def test_what_cannot_be_done_exits_2_and_leaves_everything(
    here: Path, words: tuple[str, ...], says: str
) -> None:
    before = {path.name: path.read_bytes() for path in here.iterdir()}
    done = run(*words, folder=here)
    assert (done.code, done.out) == (2, "")
    assert says in " ".join(done.err.split())
    assert {path.name: path.read_bytes() for path in here.iterdir()} == before


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ((*RULE, *PART, "hand,1300,410"), "hand at 1300, 410 lies outside the picture"),
        ((*RULE, *PART, "hand,600,400"), "pivot and hand are marked at one pixel"),
        ((*RULE, *PART, "hnad,90,410"), "line 7: 'hnad' is not the name of a mark. Did you mean"),
        ((*RULE, *PART, "hand,90,ten"), "marks.csv, line 7: hand has 'ten'"),
    ],
)
def test_a_bad_mark_exits_2_and_is_named(here: Path, rows: tuple[str, ...], says: str) -> None:
    table(here, *rows)
    done = run(*LEVER, "--into", "clutch.toml", folder=here)
    assert (done.code, done.out) == (2, "")
    assert says in " ".join(done.err.split())
    assert (here / "clutch.toml").read_text(encoding="utf-8") == BASE_TEXT


def test_clicks_come_from_the_window_and_are_kept(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from liftgeo.figures import marking
    from liftgeo.studies.marks import load_marks

    asked = []

    def clicked(photograph, names, part, check, *_):
        asked.append((photograph.size_px, names, part))
        found = load_marks(here / "marks.csv")
        check(found)
        return found

    monkeypatch.setattr(marking, "mark_in_window", clicked)
    words = without(LEVER, "--marks")
    done = run(*words, folder=here)
    assert done.code == 0
    names = ("scale_1", "scale_2", "pivot", "pin", "stop", "hand")
    assert asked == [((1200, 1000), names, "lever")]
    assert "Your marks, to be kept as marks.csv" in done.out
    assert "\nscale_1,100.0,900.0\n" in done.out
    done = run(*words, "--save-marks", "mine.csv", folder=here)
    assert "Your marks" not in done.out
    assert (here / "mine.csv").read_text().startswith("name,x,y\nscale_1,100.0,900.0\n")


# --- the drawing over the photograph ---

OVER = ("draw", "clutch.toml", "--over", "a.jpg", "--marks", "marks.csv", "--length", "100mm")


def test_what_was_traced_lies_on_its_photograph(here: Path) -> None:
    assert run(*LEVER, "--into", "clutch.toml", folder=here).code == 0
    done = run(*OVER, "--figure", "over.png", folder=here)
    assert done.code == 0
    assert done.err == "Written: over.png\n"
    assert "the lever lies within 0.00 mm of its marks" in " ".join(done.out.split())
    assert "Work safely" in done.out
    assert too_wide(done.out) == []
    with Image.open(here / "over.png") as picture:
        assert picture.width > 1000


def test_the_page_of_a_drawing_says_whose_frame_it_has(here: Path) -> None:
    own = "Points in mm: pivot at 0, 0, x to the cable stop, y to the pin's side."
    assert own in " ".join(run("draw", "clutch.toml", folder=here).out.split())
    assert run(*LEVER, "--into", "clutch.toml", folder=here).code == 0
    said = " ".join(run("draw", "clutch.toml", folder=here).out.split())
    assert "Points in mm: lever as the file's own points lie; else pivot at 0, 0," in said
    assert run(*ARM, "--into", "clutch.toml", folder=here).code == 0
    said = " ".join(run("draw", "clutch.toml", folder=here).out.split())
    assert "Points in mm: lever and arm as the file's own points lie. " in said


def test_json_of_a_drawing_over_a_photograph(here: Path) -> None:
    data = run(*OVER, "--json", folder=here).data
    assert data["over"]["part"] == "lever"
    assert data["over"]["offsets_mm"]["stop"] > 0
    assert len(data["positions"]) >= 2
    assert data["cautions"]
    arm = run(
        "draw", "clutch.toml", "--over", "a.jpg", "--marks", "card.csv", "--json", folder=here
    )
    assert (arm.data["over"]["part"], arm.data["over"]["by"]) == ("arm", "fit")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (OVER[:4], "--over needs the photograph's marks"),
        ((*OVER[:2], *OVER[4:]), "go with --over PHOTO"),
        ((*OVER, "--part", "rod"), "rod is not known"),
        ((*OVER, "--figure", "a.jpg"), "--figure a.jpg"),
        ((*OVER, "--csv", "marks.csv"), "is a file that is read"),
        ((*OVER, "--animate", "b.gif"), "--animate"),
        (("draw", "clutch.toml", "--over", "none.jpg", *OVER[4:]), "none.jpg is not there"),
    ],
)
def test_a_drawing_over_nothing_exits_2(here: Path, words: tuple[str, ...], says: str) -> None:
    before = {path.name: path.read_bytes() for path in here.iterdir()}
    done = run(*words, folder=here)
    assert (done.code, done.out) == (2, "")
    assert says in " ".join(done.err.split())
    assert {path.name: path.read_bytes() for path in here.iterdir()} == before


def sprayer_seen(folder: Path, part: str, turned_deg: float, *, mirrored: bool) -> Path:
    """Write the sprayer's lever or arm as marks on a photograph held askew, 4 px to the mm."""
    places = liftgeo.drawn(liftgeo.load(SPRAYER), 0.0).positions[0].points
    turn = math.radians(turned_deg)
    rows = []
    for name in PART_POINTS[part]:
        x, y = places[f"{part}_{name}"]
        x = -x if mirrored else x
        px = 700 + 4 * (x * math.cos(turn) - y * math.sin(turn))
        py = 700 - 4 * (x * math.sin(turn) + y * math.cos(turn))
        rows.append(f"{name},{px:.3f},{py:.3f}")
    return table(folder, *rows, "scale_1,100,1200", "scale_2,500,1200")


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("part", ["lever", "arm"])
def test_a_photograph_held_askew_fits_the_shapes_of_a_file(
    tmp_path: Path, part: str, mirrored: bool
) -> None:
    file = tmp_path / "sprayer.toml"
    file.write_text(SPRAYER.read_text(encoding="utf-8"), encoding="utf-8")
    Image.new("RGB", (1400, 1300), "grey").save(tmp_path / "a.jpg")
    sprayer_seen(tmp_path, part, 37.0, mirrored=mirrored)
    words = ("trace", "a.jpg", "--part", part, "--length", "100mm", "--marks", "marks.csv")
    done = run(*words, "--into", file.name, "--force", folder=tmp_path)
    assert done.code == 0, done.err
    assert "has shapes in a frame of its own" in " ".join(done.out.split())
    before, after = (liftgeo.drawn(liftgeo.load(path)) for path in (SPRAYER, file))
    for was, now in zip(before.gaps, after.gaps, strict=True):
        assert now.what == was.what
        assert now.least_mm == pytest.approx(was.least_mm, abs=0.1)
    old, new = (liftgeo.stroke(liftgeo.load(path)) for path in (SPRAYER, file))
    assert {w.key for w in new.warnings} <= {w.key for w in old.warnings} | {"odd-plus-minus"}
    assert new.full_lever.separation_mm == pytest.approx(old.full_lever.separation_mm, abs=0.01)


def test_points_are_not_mixed_with_shapes_they_cannot_be_laid_among(tmp_path: Path) -> None:
    text = SPRAYER.read_text(encoding="utf-8")
    file = tmp_path / "sprayer.toml"
    kept = re.sub(r"(?ms)^\[arm\]$.*?(?=^\[)", "", text)
    assert kept != text
    file.write_text(kept, encoding="utf-8")
    Image.new("RGB", (1400, 1300), "grey").save(tmp_path / "a.jpg")
    sprayer_seen(tmp_path, "arm", 0.0, mirrored=False)
    words = ("trace", "a.jpg", "--part", "arm", "--length", "100mm", "--marks", "marks.csv")
    done = run(*words, "--into", file.name, "--force", folder=tmp_path)
    assert done.code == 2
    assert "has shapes in the frame of the arm" in " ".join(done.err.split())
    assert file.read_text(encoding="utf-8") == kept
