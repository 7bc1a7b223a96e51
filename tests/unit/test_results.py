"""Results in Python: they print, show in a notebook, and give their table and CSV."""

from __future__ import annotations

import csv
import dataclasses
import io
import math
from pathlib import Path

import numpy as np
import pytest
from clutches import mechanism

import liftgeo
from liftgeo.outcome.csv_text import csv_text


@pytest.fixture(scope="module")
def result() -> liftgeo.Result:
    return liftgeo.stroke(mechanism())


def test_a_result_prints_its_verdict_with_units(result: liftgeo.Result) -> None:
    lines = str(result).splitlines()
    assert lines[0] == result.title
    assert "  verdict             drags" in lines
    assert "  clearance per face  -0.027 mm" in lines


def test_a_notebook_shows_the_same_as_a_table(result: liftgeo.Result) -> None:
    shown = result._repr_html_()
    assert shown.startswith("<table>")
    assert shown.count("<tr>") == len(str(result).splitlines()) - 1
    named = dataclasses.replace(result, title="<b>&", change="longer-arm")
    assert "<caption>&lt;b&gt;&amp; with longer-arm</caption>" in named._repr_html_()


def test_the_table_holds_every_column_and_every_event(result: liftgeo.Result) -> None:
    table = result.table()
    assert result.stroke is not None
    assert table.dtype.names == tuple(f.name for f in dataclasses.fields(result.stroke))
    for name in table.dtype.names:
        np.testing.assert_array_equal(table[name], getattr(result.stroke, name))
    for event in result.events:
        if event.reached:
            assert np.abs(table["hand_travel_mm"] - event.hand_travel_mm).min() < 1e-9
    assert result.peak.hand_force_n == pytest.approx(table["hand_force_n"].max(), rel=1e-9)


def test_csv_is_text_and_a_file_that_is_never_written_over(
    result: liftgeo.Result, tmp_path: Path
) -> None:
    path = tmp_path / "stroke.csv"
    text = result.to_csv(path)
    assert path.read_text(encoding="utf-8") == text == result.to_csv()
    assert len(text.splitlines()) == len(result.table()) + 1
    with pytest.raises(liftgeo.FileError, match="--force"):
        result.to_csv(path)
    assert result.to_csv(path, force=True) == text


def test_a_table_reads_back_exactly_and_leaves_what_is_not_known_empty() -> None:
    rows = [["a, b", 0.1 + 0.2, None], ["", np.float64(-0.0), math.nan], [3, math.inf, "x"]]
    text = csv_text(["name", "first", "second"], rows)
    assert text.splitlines()[0] == "name,first,second"
    found = list(csv.reader(io.StringIO(text)))[1:]
    assert found == [["a, b", "0.30000000000000004", ""], ["", "-0.0", ""], ["3", "", "x"]]


def test_a_result_without_its_stroke_says_so(result: liftgeo.Result) -> None:
    short = dataclasses.replace(result, stroke=None)
    assert "stroke" not in short.to_dict()
    with pytest.raises(ValueError, match="without its stroke"):
        short.table()
