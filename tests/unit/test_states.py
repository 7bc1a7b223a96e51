"""The same mechanism worn or hot: its measured curves still bend wherever they were measured to."""

from __future__ import annotations

import numpy as np
import pytest
from clutches import mechanism

from liftgeo.chain import position
from liftgeo.chain.states import pushed_back, worn
from liftgeo.chain.stop import is_smooth, stroke_end

# Invented: a spring read every millimetre whose load falls away between two readings only, behind a
# soft cable, so that the plates jump there; and an arm and a unit read off a protractor.
FALLING = {
    "kind": "table",
    "deflection": [0, 1, 1.9, 2.0, 2.4, 2.5, 3.2, 4, 5],
    "load": [0, 2000, 3300, 3330, 3300, 2300, 2290, 2600, 3200],
    "installed_deflection": 2.2,
}
MEASURED = {
    "lever": {"hand_travel": 75.0},
    "cable": {"stiffness": 60.0, "free_play": 0.6},
    "arm": {"kind": "profile", "angle": [0, 10, 20, 40], "pull": [0.0, 6.7, 13.4, 26.8]},
    "release": {"kind": "profile", "angle": [0, 10, 20, 40], "travel": [0.0, 0.8, 1.6, 3.2]},
    "stack": None,
    "spring": FALLING,
}  # fmt: skip


def scanned(parts, at_end: float) -> bool:
    """Return whether the hand would have to come back somewhere, by 40,001 places."""
    travel = position(parts, np.linspace(0.0, at_end, 40001)).hand_travel_mm
    return bool(np.any(np.diff(travel) < -1e-9))


STATES = {
    "new": lambda parts: parts,
    "a little worn": lambda parts: worn(parts, 0.1),
    "worn": lambda parts: worn(parts, 0.25),
    "worn and set again": lambda parts: worn(parts, 0.25, readjusted=True),
    "hot": lambda parts: pushed_back(parts, 0.25),
}


@pytest.mark.parametrize("state", STATES)
def test_a_jump_between_two_readings_is_found_in_every_state(state: str) -> None:
    parts = STATES[state](mechanism(**MEASURED).parts())
    assert not is_smooth(parts)
    with np.errstate(all="ignore"):
        end = stroke_end(parts, ())
        assert scanned(parts, float(end.at))
        assert bool(end.jumps)
        level = float(position(parts, end.jumps_from[0]).hand_travel_mm)
        at = np.linspace(0.0, float(end.at), 40001)
        travel = position(parts, at).hand_travel_mm
    # Where it starts is the highest place before the hand would come back.
    before = at < float(end.jumps_to[0])
    highest = travel[before].max()
    assert highest - 1e-9 <= level <= highest + 1e-3


@pytest.mark.parametrize("table", ["arm", "release"])
@pytest.mark.parametrize("state", STATES)
def test_one_measured_curve_is_enough_to_be_searched_closely(state: str, table: str) -> None:
    only = {name: MEASURED[name] for name in ("lever", "cable", table)}
    parts = STATES[state](mechanism(**only).parts())
    assert not is_smooth(parts)


def test_worn_past_its_slack_the_law_bends_at_the_measured_rest() -> None:
    parts = mechanism().parts()
    assert is_smooth(worn(parts, 0.05))
    assert not is_smooth(worn(parts, 0.3))
