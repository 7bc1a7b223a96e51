"""The figures of what is not known: zones, shares, and bands where the results say they are.

The mechanisms are invented for these tests; no machine was measured.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import clutches
import matplotlib
import numpy as np
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.text import Text
from test_figures import check_texts, grey

import liftgeo
from liftgeo import figures
from liftgeo.figures.page import page
from liftgeo.figures.spread_page import spread_page
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.bands import Bands, bands_of
from liftgeo.outcome.results import Result
from liftgeo.studies.spread import Spread, spread
from liftgeo.words.verdict import warning_texts

UNSURE: dict[str, Any] = {
    "left_out": "usual",
    "cable": {"free_play": None, "stiffness": None},
    "rod": {"end_float": None},
}
MM_PER_INCH = 25.4


@cache
def case() -> tuple[Mechanism, Result, Bands]:
    mechanism = clutches.mechanism(**UNSURE)
    result = liftgeo.stroke(mechanism)
    found = bands_of(mechanism, result)
    assert found is not None
    return mechanism, result, found


@cache
def spread_of(full: bool = True) -> Spread:
    return spread(clutches.mechanism(**UNSURE), samples=4000, full=full)


# --- bands ---


def band_points(ax: Any) -> Any:
    (band,) = [artist for artist in ax.collections if artist.get_gid() == "band"]
    return band.get_paths()[0].vertices


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_band_of_effort_stands_where_the_bands_say(units: str):
    _, result, bands = case()
    points = band_points(figures.plot_effort(result, bands=bands, units=units))
    force = bands.hand_force_n
    per_n = 1.0 if units == "metric" else 1 / 4.4482216152605
    assert points[:, 1].max() == pytest.approx(np.nanmax(force.high) * per_n)
    middle = len(bands.hand_travel_mm) // 2
    per_mm = 1.0 if units == "metric" else 1 / MM_PER_INCH
    here = np.isclose(points[:, 0], bands.hand_travel_mm[middle] * per_mm)
    heights = sorted(points[here, 1])
    ends = [force.low[middle] * per_n, force.high[middle] * per_n]
    assert [heights[0], heights[-1]] == pytest.approx(ends)


def test_the_band_of_separation_and_the_end_of_the_budget_stand_where_the_bands_say():
    _, result, bands = case()
    points = band_points(figures.plot_lift(result, bands=bands))
    assert points[:, 1].max() == pytest.approx(np.nanmax(bands.separation_mm.high))
    ax = figures.plot_budget(result, bands=bands)
    (bar,) = [patch for patch in ax.patches if patch.get_gid() == "band"]
    low, high = bands.budget_left_mm["run-out-and-tilt"]
    assert (bar.get_x(), bar.get_x() + bar.get_width()) == pytest.approx((low, high))


def test_bands_are_lighter_than_the_curves_and_lie_behind_them():
    _, result, bands = case()
    ax = figures.plot_effort(result, bands=bands)
    (band,) = [artist for artist in ax.collections if artist.get_gid() == "band"]
    assert grey(band.get_facecolor()[0]) > 0.7
    assert all(band.get_zorder() < line.get_zorder() for line in ax.lines)
    for line in ax.lines:
        if line.get_label() in ("pulling", "letting back"):
            dark = grey(matplotlib.colors.to_rgba(line.get_color()))
            assert dark < grey(band.get_facecolor()[0]) - 0.25


@pytest.mark.parametrize("units", ["metric", "inch"])
def test_the_page_with_bands_has_room_for_all_its_text(units: str):
    mechanism, result, bands = case()
    drawn = page(result, mechanism, units, bands)
    check_texts(drawn)
    assert len([a for a in drawn.findobj(PolyCollection) if a.get_gid() == "band"]) == 2


@pytest.mark.parametrize("which", ["effort", "lift", "budget"])
def test_a_single_figure_with_bands_says_what_the_band_is(which: str):
    mechanism, result, bands = case()
    drawn = figures.single(which, result, mechanism, "metric", bands)
    check_texts(drawn)
    said = " ".join(text.get_text() for text in drawn.findobj(Text))
    assert ("(−0." in said) if which == "budget" else ("band: 90" in said)


# --- the spread's page ---


@pytest.mark.parametrize("units", ["metric", "inch"])
@pytest.mark.parametrize("full", [True, False])
def test_the_page_of_a_spread_has_room_for_all_its_text(units: str, full: bool):
    drawn = spread_page(spread_of(full), units)
    check_texts(drawn)
    assert ("outline" in drawn.axes[1].get_title(loc="left")) == full


def test_zones_begin_and_end_at_nothing_and_at_the_target():
    ax = spread_page(spread_of()).axes[0]
    zones = {patch.get_gid(): patch for patch in ax.patches if patch.get_gid()}
    target = float(clutches.mechanism(**UNSURE).parts().faces.target_mm)
    drags, marginal, clear = (zones[f"zone-{name}"] for name in ("drags", "marginal", "clear"))
    assert drags.get_x() + drags.get_width() == pytest.approx(0.0)
    assert (marginal.get_x(), marginal.get_width()) == pytest.approx((0.0, target))
    assert clear.get_x() == pytest.approx(target)
    assert len({zone.get_hatch() for zone in (drags, marginal, clear)}) == 3


def test_zones_say_how_many_lie_in_them():
    found = spread_of()
    assert found.known is not None
    assert found.zones is not None
    assert found.zones[0] == pytest.approx(1 - found.known.frees)
    assert sum(found.zones) == pytest.approx(1.0)
    said = [text.get_text() for text in spread_page(found).axes[0].texts]
    assert f"drags\n{100 * found.zones[0]:.0f} in 100" in said


def test_bars_are_as_long_as_the_shares_and_outlines_as_the_totals():
    found = spread_of()
    assert found.known is not None
    assert found.total is not None
    bars = spread_page(found).axes[1].patches
    alone = [bar.get_width() for bar in bars if bar.get_gid() == "first"]
    with_others = [bar for bar in bars if bar.get_gid() == "total"]
    shares = [share for share in found.known.shares if share.share >= 0.005]
    assert alone == pytest.approx([100 * share.share for share in shares])
    totals = [100 * found.total[share.key] for share in shares]
    assert [bar.get_width() for bar in with_others] == pytest.approx(totals)
    assert all(bar.get_facecolor()[3] == 0.0 for bar in with_others)


def test_a_clutch_that_slips_is_counted_in_no_zone():
    held = clutches.mechanism(**UNSURE, engine={"torque": 100.0}, faces={"friction": "0.30 ± 0.03"})
    found = spread(held, samples=1000)
    slips = found.known.odds.slips
    assert 0.05 < slips < 0.95
    assert sum(found.zones) + slips == pytest.approx(1.0)
    assert found.zones[0] < 1 - found.known.frees
    title = spread_page(found).axes[0].get_title(loc="left")
    assert f"SLIPS, wherever it lies: {100 * slips:.0f} in 100; of the others:" in title
    assert "SLIPS" not in spread_page(spread_of()).axes[0].get_title(loc="left")


def test_stop_and_caution_stand_under_the_spread():
    slipping = clutches.mechanism(**UNSURE, engine={"torque": 150.0})
    found = spread(slipping, samples=1000)
    texts = warning_texts(found.result, slipping)
    assert any(text.startswith("STOP") for text in texts)
    said = " ".join(" ".join(t.get_text() for t in spread_page(found).texts).split())
    assert all(text in said for text in texts)
    check_texts(spread_page(found))


def test_a_file_of_exact_numbers_has_no_empty_field_of_bars():
    ax = figures.plot_shares([])
    assert not ax.axison
    assert "No number has a ±" in ax.texts[0].get_text()
    assert not ax.patches
