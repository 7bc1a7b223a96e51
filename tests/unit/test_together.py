"""Several mechanisms analysed together: which share a call, and that each keeps its own answer."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from clutches import changeable

import liftgeo
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.together import alike, outcomes, stacked

CHANGES: tuple[dict[str, Any], ...] = (
    {},
    {"arm.radius": 40.0},
    {"cable.friction": 0.05, "arm.radius": 39.0},
    {"release": {"kind": "quick-thread", "lead": 20.0, "mean_diameter": 22.0}},
    {"lever.pivot_shift_x": 1.0},
    {"release": {"kind": "quick-thread", "lead": 22.0, "mean_diameter": 22.0}},
    {"faces.plate_runout": "0.2 ± 0.05"},
)


@pytest.fixture(scope="module")
def mechanisms() -> list[Mechanism]:
    base = changeable()
    return [base.changed(change) if change else base for change in CHANGES]


def test_only_what_has_the_same_keys_and_kinds_shares_a_call(mechanisms: list[Mechanism]) -> None:
    assert [0, 1, 2] in [group[:3] for group in alike(mechanisms)]
    assert [3, 5] in list(alike(mechanisms))
    assert sorted(k for group in alike(mechanisms) for k in group) == list(range(len(CHANGES)))


def test_each_has_the_answer_it_has_alone(mechanisms: list[Mechanism]) -> None:
    """Of every kind at once, in their order; a group of one has no array."""
    for each, (outcome, at) in zip(mechanisms, outcomes(mechanisms), strict=True):
        alone = liftgeo.stroke(each)
        peak = outcome.picked(outcome.end.peak_n, at)
        clearance = outcome.picked(outcome.clearance_per_face_mm, at)
        assert peak == pytest.approx(alone.peak.hand_force_n, rel=1e-12)
        wanted = alone.full_lever.clearance_per_face_mm
        assert clearance == pytest.approx(wanted, rel=1e-11, abs=1e-13)


def test_numbers_that_all_share_stay_numbers(mechanisms: list[Mechanism]) -> None:
    keys = stacked(mechanisms[:3])
    assert keys["arm.radius"].tolist() == [float(m.keys["arm.radius"]) for m in mechanisms[:3]]
    assert np.ndim(keys["lever.hand_radius"]) == 0


def test_what_ends_in_no_number_is_named() -> None:
    """A number that no file can hold: 0 N/mm, in a group of three."""
    base = changeable()
    blades = [base.changed({"lever.stiffness": rate}) for rate in (100.0, 90.0, 80.0)]
    blades[1] = replace(blades[1], keys=blades[1].keys | {"lever.stiffness": np.float64(0.0)})
    with pytest.raises(liftgeo.GeometryError, match="no number") as caught:
        outcomes([base, *blades])
    assert "lever.stiffness = 90.0" in str(caught.value)
