"""What a program may ask of `liftgeo`: everything that a command answers, as frozen results."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import re

import pytest
from clutches import changeable, priced

import liftgeo
from liftgeo.outcome.html_table import html_table

MARKS = {"scale_1": (100, 900), "scale_2": (1100, 900), "pivot": [(600, 400), (601, 400)]}
MARKS |= {"pin": (600, 130), "stop": (1030, 400)}

ASKED = {
    "stroke": lambda m: liftgeo.stroke(m),
    "position": lambda m: liftgeo.position(m, hand_travel_mm=20.0),
    "compare": lambda m: liftgeo.compare(m),
    "drawn": lambda m: liftgeo.drawn(m),
    "size": lambda m: liftgeo.size(m, ["arm.radius=34..42"], ["clearance>=0.02"]),
    "plan": lambda m: liftgeo.plan(priced(), ["clearance>=0.02"]),
    "remedies": lambda m: liftgeo.remedies(m),
    "wear": lambda m: liftgeo.wear(m),
    "sensitivity": lambda m: liftgeo.sensitivity(m),
    "diagnose": lambda m: liftgeo.diagnose(m),
    "formula": lambda m: liftgeo.formula(m, "capacity"),
    "trace": lambda m: liftgeo.trace(MARKS, "arm", length="100 ± 0.2 mm"),
}


@pytest.fixture(scope="module", params=ASKED)
def answer(request):
    return ASKED[request.param](changeable())


def test_an_answer_is_frozen(answer) -> None:
    assert dataclasses.is_dataclass(answer)
    name = dataclasses.fields(answer)[0].name
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(answer, name, None)


def test_an_answer_is_plain_data_and_a_table(answer) -> None:
    data = answer.to_dict()
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    rows = list(csv.reader(io.StringIO(answer.to_csv())))
    assert len(rows) > 1
    assert {len(row) for row in rows} == {len(rows[0])}


def test_an_answer_shows_itself_in_a_notebook(answer) -> None:
    shown = answer._repr_html_()
    assert shown.startswith("<table><caption>")
    assert shown.count("<tr>") > 2
    assert "nan" not in shown
    shown = re.sub(r"<[^>]*/>", "", shown)  # what closes itself
    opened, closed = (re.findall(rf"<{slash}(\w+)", shown) for slash in ("", "/"))
    assert sorted(opened) == sorted(closed)


def test_every_public_name_is_there() -> None:
    for name in liftgeo.__all__:
        assert getattr(liftgeo, name) is not None
    assert set(ASKED) <= set(liftgeo.__all__)


def test_a_notebook_table_escapes_what_it_is_given() -> None:
    shown = html_table("a<b", [("<i>", 1.23456, None), ("across & along",)], ("x", "y>", "z"))
    assert "<caption>a&lt;b</caption>" in shown
    assert "&lt;i&gt;" in shown
    assert "<td>1.235</td><td></td>" in shown
    assert '<th colspan="3">across &amp; along</th>' in shown
    assert "<th>y&gt;</th>" in shown
