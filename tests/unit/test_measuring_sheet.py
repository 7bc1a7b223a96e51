"""The measuring sheet: what it names the file takes, and what it draws is what it names."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from clutches import changeable
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.figures.measuring_pages import PAPERS, measuring_sheet
from liftgeo.kinds import KINDS
from liftgeo.mechanism import from_document
from liftgeo.mechanism.bench import QUANTITIES
from liftgeo.mechanism.readings_text import readings_of
from liftgeo.mechanism.samples import SAMPLES, sample_document
from liftgeo.mechanism.tables import TABLES
from liftgeo.words.measuring_sheet import Asked, asked_of, readings_template

KINDED = ("lever", "arm", "release", "spring")
EVERY = [{table: kind} for table in KINDED for kind in KINDS[table]]
OTHERS = {"engine.torque": 40.0, "engine.primary_ratio": 2.0, "faces.plain_plate_runout": 0.1}
BENCH = {"separation": 0.4, "plate_lift": 0.5, "hand_force": 90.0, "hand_force_at": 20.0}
BENCH |= {"return_force": 60.0, "take_up": 9.0, "clamp_force": 1900.0}


def ids(kinds: Mapping[str, str]) -> str:
    return "-".join(next(iter(kinds.items())))


def texts(figure: Figure) -> list[str]:
    own = [text.get_text() for text in figure.texts]
    return own + [text.get_text() for ax in figure.axes for text in ax.texts]


def rows(asked: Asked) -> list[Any]:
    return [row for block in (*asked.blocks, asked.bench) for row in block.rows]


def test_every_kind_of_every_table_has_a_sample_that_answers_in_full() -> None:
    for table in SAMPLES:
        assert set(SAMPLES[table]) == set(KINDS[table]) == set(TABLES[table])
        for kind in SAMPLES[table]:
            assert from_document(sample_document({table: kind}), "sample").level == "full", kind


@pytest.mark.parametrize("kinds", EVERY, ids=ids)
def test_a_file_filled_with_just_the_blanks_gives_a_full_answer(kinds: dict[str, str]) -> None:
    asked = asked_of(None, kinds)
    sample = asked.sample
    document: dict[str, dict[str, Any]] = {
        b.table: {"kind": b.kind} if b.kind else {} for b in asked.blocks
    }
    for block in asked.blocks:
        for row in block.rows:
            value = OTHERS.get(row.key, sample.keys.get(row.key))
            assert value is not None, row.key
            if isinstance(value, tuple | np.ndarray):
                value = [float(v) for v in value]
            document[block.table][row.name] = value
    document["bench"] = {row.name: BENCH[row.name] for row in asked.bench.rows}
    found = from_document(document, "filled")
    assert found.level == "full"
    assert not found.lacking
    assert {row.key for row in rows(asked) if not row.key.startswith("bench.")} <= set(found.given)
    assert liftgeo.stroke(found).to_dict()["verdict"]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kinds", [{}, {"release": "crank", "lever": "drum", "spring": "coils"}])
def test_every_letter_stands_once_at_a_row_and_once_on_a_drawing(
    kinds: dict[str, str], paper: str
) -> None:
    pages = measuring_sheet(kinds=kinds, paper=paper)
    letters = [t.get_text() for p in pages for t in p.texts if is_letter(t)]
    drawn = [t.get_text() for p in pages for ax in p.axes for t in ax.texts]
    shown = [word.strip(",") for text in drawn for word in text.split()]
    assert len(letters) > 15
    assert len(set(letters)) == len(letters)
    for letter in letters:
        assert shown.count(letter) == 1, letter


def is_letter(text: Text) -> bool:
    """Return whether a text is the letter before a row: of a size of its own."""
    return text.get_fontsize() == 9.5


@pytest.mark.parametrize("paper", PAPERS)
def test_text_is_large_enough_on_the_page_and_apart(paper: str) -> None:
    for page in measuring_sheet(changeable(), paper=paper):
        renderer = FigureCanvasAgg(page).get_renderer()
        wide, tall = page.bbox.size
        boxes = []
        for text in page.texts:
            assert text.get_fontsize() >= 8.0
            box = text.get_window_extent(renderer)
            assert min(box.x0, box.y0) >= 0
            assert box.x1 <= wide
            assert box.y1 <= tall
            boxes.append((text.get_text(), box))
        for (one, a), (other, b) in itertools.combinations(boxes, 2):
            inside = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
            assert min(inside) < 2.0, (one, other)


def test_every_page_says_which_it_is_and_how_to_work_safely() -> None:
    pages = measuring_sheet()
    for number, page in enumerate(pages, 1):
        said = texts(page)
        assert f"page {number} of {len(pages)}" in said
        assert any(text.startswith("Work safely:") for text in said)
    joined = " ".join(texts(pages[0]))
    assert "Measure these first" in joined
    assert "not to the scale of your machine" in joined


def test_what_decides_most_comes_first_and_is_bold() -> None:
    mechanism = liftgeo.loads(PARTLY)
    found = liftgeo.known(mechanism)
    assert found is not None
    asked = asked_of(mechanism, {})
    most = [share.key for share in found.shares if share.share >= 0.03][:4]
    assert [row.key for row, _ in asked.first] == most
    assert {row.key for row in rows(asked) if row.first} == set(most)


PARTLY = """
[lever]
kind = "pin"
nipple_radius = "26.5 ± 0.2 mm"
stop_distance = 43
rest_length = 46
hand_radius = 78
hand_travel = 42
[cable]
free_play = "1 to 3 mm"
[arm]
kind = "drum"
drum_radius = 34
[release]
kind = "rack"
pinion_radius = 5
[rod]
action = "pull"
[spring]
kind = "coils"
count = 6
rate = 32
free_length = 46
[stack]
rim_depth = 40
friction_plate = 8
pressure_plate = 6
[faces]
friction_plates = 1
outside_diameter = 130
inside_diameter = 90
running = "dry"
[bench]
separation = "0.35 ± 0.05 mm"
"""


def test_values_of_the_file_are_filled_in_as_they_were_measured() -> None:
    by_key = {row.key: row for row in rows(asked_of(liftgeo.loads(PARTLY), {}))}
    assert by_key["lever.nipple_radius"].value == "26.5 ± 0.2 mm"
    assert by_key["cable.free_play"].value == "1.0 to 3.0 mm"
    assert by_key["bench.separation"].value == "0.35 ± 0.05 mm"
    assert by_key["rod.action"].value == "pull"
    assert by_key["cable.stiffness"].value == ""
    assert by_key["stack.rim_depth"].value == "40.0 mm"
    assert "spring.installed_length" not in by_key  # the stack stands for it


def test_inches_are_shown_in_inches() -> None:
    by_key = {row.key: row for row in rows(asked_of(liftgeo.loads(PARTLY), {}, "inch"))}
    assert by_key["arm.drum_radius"].value == "1.3386 in"  # 34 / 25.4
    assert by_key["bench.hand_force"].unit == "lbf"


def test_a_partial_file_asks_for_the_rest() -> None:
    text = PARTLY[: PARTLY.index("[release]")]
    asked = asked_of(liftgeo.loads(text), {"release": "eccentric"})
    by_key = {row.key: row for row in rows(asked)}
    assert by_key["release.eccentricity"].value == ""
    assert by_key["faces.outside_diameter"].value == ""
    assert "your own file may say otherwise" in asked.first_of
    assert len(measuring_sheet(liftgeo.loads(text), kinds={"release": "eccentric"})) > 2


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_table_of_readings_is_read_once_it_is_filled_in(units: str) -> None:
    lines = readings_template(liftgeo.loads(PARTLY), units).splitlines()
    filled = [lines[0]] + [line.replace(",,,,,", ",20,1,,,") for line in lines[1:]]
    found = readings_of("\n".join(filled), "readings.csv")
    assert len(found) == len(lines) - 1
    assert {reading.quantity for reading in found} == {"hand_force"} < set(QUANTITIES)
    assert {reading.direction for reading in found} == {"pulling", "letting back"}


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"paper": "a5"}, "a4 or letter"),
        ({"units": "feet"}, "metric or inch"),
        ({"kinds": {"release": "cranck"}}, "Did you mean crank?"),
        ({"kinds": {"rod": "pull"}}, "rod has no kinds"),
    ],
)
def test_what_cannot_be_made_is_said(asked: dict[str, Any], says: str) -> None:
    with pytest.raises(RequestError, match=says.replace("?", r"\?")):
        measuring_sheet(**asked)


def test_a_kind_against_the_file_is_refused() -> None:
    with pytest.raises(RequestError, match=r"release\.kind = rack"):
        measuring_sheet(liftgeo.loads(PARTLY), kinds={"release": "crank"})


def test_the_sheet_says_which_lines_of_a_lever_are_at_rest() -> None:
    said = " ".join(text.get_text() for page in measuring_sheet() for text in page.texts)
    assert " ".join(said.split()).count("Heavy lines: at rest, as it is measured; thin") == 1
