"""Quantities in a text made in metric, turned into the units of a page.

By definition 1 in is 25.4 mm and 1 lbf is 4.4482216152605 N, so 1 psi is 0.006894757 MPa and
1 kgf is 9.80665 N (the international yard and pound agreement of 1959; standard gravity; from
memory).
"""

from __future__ import annotations

import re

import pytest
from clutches import mechanism

import liftgeo
from liftgeo.as_written import digits_to_see
from liftgeo.words.in_units import in_units
from liftgeo.words.numbers import digits_of_column
from liftgeo.words.stroke_page import stroke_page
from liftgeo.words.verdict import warning_texts


@pytest.mark.parametrize(
    ("metric", "inch"),
    [
        ("Only 2.1 mm are left; less than 2 mm is", "Only 0.083 in are left; less than 0.08 in is"),
        ("by -0.02 mm", "by -0.0008 in"),
        ("0.29 mm in all (0.05 mm each)", "0.0114 in in all (0.0020 in each)"),
        ("0.1 to 0.33 MPa", "15 to 48 psi"),
        ("from 3 and 4.5 mm", "from 0.12 and 0.177 in"),
        ("carry 7.80 N·m, 32.0 N/mm", "carry 5.75 lbf·ft, 183 lbf/in"),
        ("16.1 mm² of wire", "0.0250 in² of wire"),
        ("15 deg, 60 K, 1.2 times, lever-rides, arm.radius", ""),
        ("2.0 MN, M8 mms, x2 mm", ""),
    ],
)
def test_quantities_in_a_text_are_turned_and_nothing_else(metric: str, inch: str) -> None:
    assert in_units(metric, "inch") == (inch or metric)


@pytest.mark.parametrize(
    ("metric", "weighed"),
    [
        ("bears 372 N.", "bears 372 N (38 kgf)."),
        ("needs 98 N, not 9 N", "needs 98 N (10.0 kgf), not 9 N (0.9 kgf)"),
        ("5.00 N·m, 32 N/mm, 3 mm", "5.00 N·m, 32 N/mm, 3 mm"),
    ],
)
def test_kgf_stands_beside_n(metric: str, weighed: str) -> None:
    assert in_units(metric, "metric") == weighed


def test_a_number_shows_its_sign_and_rows_are_told_apart() -> None:
    assert [digits_to_see(x, 2) for x in (-0.004, 0.0, 0.2, -1e-9)] == [3, 2, 2, 2]
    assert digits_of_column([0.0, 0.5, -0.0004], 2) == 4
    assert digits_of_column([0.010, 0.016, 0.021, float("nan")], 2) == 2
    assert digits_of_column([0.016, 0.021, float("nan")], 2, apart=True) == 3


_METRIC_UNIT = re.compile(r"\d (mm|N|MPa|N·m|N/mm|J)(?![\w·/])")


def test_no_metric_unit_is_left_on_a_page_in_inch_units() -> None:
    file = mechanism(lever={"worked_by": "foot"}, cable={"free_play": 0.1})
    result = liftgeo.stroke(file)
    assert len(result.warnings) >= 4
    texts = [
        *stroke_page(result, file, "inch", "x.toml", liftgeo.known(file), full=True),
        *warning_texts(result, file, "inch"),
    ]
    found = [line for line in texts if _METRIC_UNIT.search(line)]
    assert found == []
    assert any(" in " in text for text in warning_texts(result, file, "inch"))
