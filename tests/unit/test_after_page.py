"""The figure after the work: each reading at its place with its ±, over the curve of its side."""

from __future__ import annotations

import numpy as np
import pytest
from clutches import changeable
from matplotlib.container import ErrorbarContainer
from matplotlib.figure import Figure

import liftgeo
from liftgeo.figures.after_page import Sides, after_page, plot_agreement, plot_before_after
from liftgeo.mechanism.bench import LETTING_BACK, Reading
from liftgeo.studies.after_work import after_work

BASE = changeable()
MADE = BASE.changed("less-play")
RESULTS = liftgeo.stroke(BASE), liftgeo.stroke(MADE)
BEFORE = [
    Reading("hand_force", 40.0, 3.0, at=15.0),
    Reading("hand_force", 60.0, 2.0, at=30.0, direction=LETTING_BACK),
    Reading("separation", 0.27, 0.05),
]
AFTER = [
    Reading("hand_force", 70.0, 4.0, at=15.0),
    Reading("hand_force", 61.0, 2.0, at=30.0, direction=LETTING_BACK),
    Reading("separation", 0.90, 0.05),
]
SIDES = Sides(RESULTS, (BEFORE, AFTER))


@pytest.mark.parametrize(("units", "mm", "n"), [("metric", 1.0, 1.0), ("inch", 25.4, 4.4482216)])
def test_readings_stand_at_their_place_with_their_plus_minus(
    units: str, mm: float, n: float
) -> None:
    ax = plot_before_after(SIDES, "hand_force", units=units)
    bars = {c.get_label(): c for c in ax.containers if isinstance(c, ErrorbarContainer)}
    for label, travel, force, wide in (
        ("read before", 15.0, 40.0, 3.0),
        ("read after", 15.0, 70.0, 4.0),
        ("read before, letting back", 30.0, 60.0, 2.0),
        ("read after, letting back", 30.0, 61.0, 2.0),
    ):
        marks, _, (stems,) = bars[label].lines
        assert marks is not None
        assert marks.get_xdata()[0] * mm == pytest.approx(travel, rel=1e-6)
        assert marks.get_ydata()[0] * n == pytest.approx(force, rel=1e-6)
        (low, high) = stems.get_segments()[0][:, 1]
        assert (high - low) * n == pytest.approx(2 * wide, rel=1e-6)


def test_the_curves_are_those_of_the_sums_on_either_side() -> None:
    ax = plot_before_after(SIDES, "separation")
    lines = {line.get_label(): line for line in ax.get_lines()}
    for label, result in zip(
        ("sums as the file stands", "sums with the change"), RESULTS, strict=True
    ):
        assert result.stroke is not None
        np.testing.assert_array_equal(lines[label].get_ydata(), result.stroke.separation_mm)
        np.testing.assert_array_equal(lines[label].get_xdata(), result.stroke.hand_travel_mm)


def test_what_is_not_as_the_sums_said_is_marked_otherwise() -> None:
    found = after_work(BASE, "less-play", BEFORE, AFTER)
    ax = plot_agreement(found)
    wrong = [row.away for row in found.rows if not row.agrees]
    assert wrong
    assert all(abs(away) > 1 for away in wrong)
    assert all(abs(row.away) <= 1 for row in found.rows if row.agrees)
    crosses = next(line for line in ax.get_lines() if line.get_marker() == "X")
    assert list(crosses.get_xdata()) == pytest.approx(wrong)


def test_the_page_carries_warnings_and_a_panel_for_each_quantity() -> None:
    found = after_work(BASE, "less-play", BEFORE, AFTER)
    figure = after_page(found, SIDES, ["Before. CAUTION: drags."])
    assert isinstance(figure, Figure)
    assert len(figure.axes) == 3
    said = " ".join(text.get_text() for text in figure.texts)
    assert "Before. CAUTION: drags." in said
    assert "before and after" in said
