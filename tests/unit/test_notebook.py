"""Answers in a notebook, run by a real kernel: tables, charts and drawings, none of them empty."""

from __future__ import annotations

import re
import xml.dom.minidom

import nbformat
import pytest
from clutches import BASE_FILE, mechanism
from nbclient import NotebookClient

from liftgeo.outcome.html_chart import Curve, html_chart
from liftgeo.outline.svg import svg_of
from liftgeo.studies.drawn import drawn

CELLS = {
    "load": "import liftgeo\nmechanism = liftgeo.load({file!r})",
    "stroke": "liftgeo.stroke(mechanism)",
    "compare": "liftgeo.compare(mechanism)",
    "wear": "liftgeo.wear(mechanism)",
    "drawn": "liftgeo.drawn(mechanism)",
    "position": "liftgeo.position(mechanism, hand_travel_mm=20.0)",
    "formula": "liftgeo.formula(mechanism, 'capacity')",
}
CHARTS = {"stroke": 2, "wear": 2, "drawn": 5}


@pytest.fixture(scope="module")
def shown() -> dict[str, str]:
    book = nbformat.v4.new_notebook()
    book.cells = [
        nbformat.v4.new_code_cell(text.format(file=str(BASE_FILE))) for text in CELLS.values()
    ]
    NotebookClient(book, timeout=120, kernel_name="python3").execute()
    found = {}
    for name, cell in zip(CELLS, book.cells, strict=True):
        for output in cell.outputs:
            assert output.output_type == "execute_result", output
            found[name] = output.data["text/html"]
    return found


def test_every_answer_shows_itself_as_a_table(shown: dict[str, str]) -> None:
    assert shown.keys() == CELLS.keys() - {"load"}
    for name, html in shown.items():
        assert html.startswith("<table><caption>"), name
        assert html.count("<tr>") > 2, name


def test_charts_and_drawings_stand_below(shown: dict[str, str]) -> None:
    for name, html in shown.items():
        pictures = re.findall(r"<svg.*?</svg>", html, re.DOTALL)
        assert len(pictures) == CHARTS.get(name, 0), name
        for picture in pictures:
            xml.dom.minidom.parseString(picture)
            assert "nan" not in picture


def test_a_chart_shows_its_numbers_where_they_are() -> None:
    chart = html_chart("a < b", "x", "y", [Curve("one & two", [0.0, 10.0], [0.0, 5.0])])
    assert "a &lt; b" in chart
    assert "one &amp; two" in chart
    (points,) = re.findall(r'<polyline points="([^"]*)"', chart)
    (x0, y0), (x1, y1) = (map(float, p.split(",")) for p in points.split())
    assert x1 > x0
    assert y1 < y0  # up is less in SVG


def test_what_is_not_known_is_left_out_of_a_chart() -> None:
    nan = float("nan")
    assert html_chart("t", "x", "y", [Curve("c", [0.0, nan], [nan, 1.0])]) == ""
    chart = html_chart("t", "x", "y", [Curve("c", [0.0, 1.0, 2.0], [1.0, nan, 1.0])])
    (points,) = re.findall(r'<polyline points="([^"]*)"', chart)
    assert len(points.split()) == 2


def test_a_drawing_is_as_wide_as_what_it_shows() -> None:
    found = drawn(mechanism())
    views = [found.views(position) for position in found.positions]
    svg = svg_of("<lever>", [view["lever"] for view in views])
    assert "&lt;lever&gt;" in svg
    left, _, wide, _ = map(float, re.search(r'viewBox="([^"]*)"', svg)[1].split())
    hand = views[0]["lever"].points["hand"]
    assert left < hand[0] < left + wide
