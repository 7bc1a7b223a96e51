"""Jumps and over-centre of measured springs, found again by brute force on a plain mechanism.

Source: derived, no published numbers. Lever, arm and pinion are wheels, so that the whole chain is
one line: the hand travel that holds a plate lift. It is written here with SciPy's monotone cubic
for the spring, tabulated at half a million lifts, and the lever then marches on in small steps: the
plate goes to the first lift, at or beyond the one it has, at which the hand travel is enough.
Where that lift leaps, the plates jump. All springs are invented.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

import liftgeo
from liftgeo.chain import position
from liftgeo.mechanism import from_document
from liftgeo.outcome.outcome import analysed

HAND, LEVER, ARM, PINION = 90.0, 24.0, 40.0, 4.0  # radii [mm]
CABLE, ROD = 60.0, 9000.0  # stiffnesses [N/mm]
RETURN_NMM, SLACK, FLOAT, TRAVEL = 200.0, 1.0, 0.1, 125.0
LIFTS = 500_001

# name: deflections [mm], loads [N], fitted at [mm]; jumps of the plates; goes over centre
SPRINGS = {
    "one that only rises": ([0, 1, 2, 3, 4, 5], [0, 900, 1700, 2400, 3000, 3500], 2.0, 0, False),
    "one steep fall": ([0, 1, 2, 2.6, 3.2, 4, 5], [0, 1500, 2600, 2700, 900, 1300, 2400], 2.0, 1,
        False),
    "two steep falls": ([0, 1, 2, 2.3, 2.6, 3.0, 3.4, 3.8, 4.4, 5],
        [0, 1700, 2800, 2850, 1900, 2300, 2500, 1300, 1800, 2600], 2.0, 2, False),
    "three steep falls": ([0, 1, 2, 2.2, 2.4, 2.7, 2.9, 3.2, 3.4, 3.7, 5],
        [0, 1800, 2900, 2950, 2200, 2450, 1700, 2050, 1300, 1700, 3000], 2.0, 3, False),
    "one that goes over centre and comes back": ([0, 1, 2, 2.5, 3.5, 4.2, 5],
        [0, 1400, 2200, 2150, -400, 300, 1500], 2.0, 1, True),
    "one that goes over centre slowly": ([0, 1, 2, 3, 4, 5], [0, 400, 500, 150, -60, 80], 2.0, 0,
        True),
    "one that jumps, then goes over centre and stays": ([0, 1, 2, 2.2, 2.5, 3.4, 5],
        [0, 1600, 2400, 2400, 1400, 1500, -300], 2.0, 1, True),
    "one that jumps onto the end of its table": ([0, 1, 2, 2.6, 3.0], [0, 1500, 2600, 2700, 600],
        2.0, 1, False),
}  # fmt: skip
NAMES = list(SPRINGS)


def document(name):
    deflection, load, fitted, _, _ = SPRINGS[name]
    return {
        "title": "March (invented)",
        "left_out": "nothing",
        "lever": {"kind": "drum", "drum_radius": LEVER, "hand_radius": HAND, "hand_travel": TRAVEL},
        "cable": {"free_play": SLACK, "stiffness": CABLE, "bend": 0, "friction": 0.0},
        "arm": {"kind": "drum", "drum_radius": ARM, "return_torque": RETURN_NMM / 1000},
        "release": {"kind": "rack", "pinion_radius": PINION},
        "rod": {"action": "pull", "end_float": FLOAT, "stiffness": ROD},
        "spring": {
            "kind": "table",
            "deflection": deflection,
            "load": load,
            "installed_deflection": fitted,
        },
        "faces": {
            "friction_plates": 1,
            "outside_diameter": 140.0,
            "inside_diameter": 100.0,
            "friction": 0.3,
            "cushion_travel": 0.0,
        },
    }


@dataclass(frozen=True)
class March:
    """What the march met: each leap as (hand travel, lift before, lift after), and limp travel."""

    leaps: list[tuple[float, float, float]]
    limp: tuple[float, float] | None
    lift_mm: float
    work_nmm: float
    peak_n: float


def marched(name) -> March:
    deflection, load, fitted, _, _ = SPRINGS[name]
    spring = PchipInterpolator(deflection, load)
    lift = np.linspace(0.0, deflection[-1] - fitted, LIFTS)
    rod = spring(fitted + lift)
    travel = FLOAT + rod / ROD + lift
    torque = rod * PINION
    tension = np.maximum((torque + RETURN_NMM) / ARM, 0.0)
    pull = SLACK + ARM * travel / PINION + tension / CABLE
    hand, force = HAND * pull / LEVER, tension * LEVER / HAND
    stopped = np.flatnonzero(hand >= TRAVEL)  # by the grip, if by anything before the last lift
    last = stopped[0] if len(stopped) else LIFTS - 1
    hand = hand[: last + 1]
    here = np.flatnonzero(hand >= np.maximum.accumulate(hand))  # lifts at which the lever holds
    steps = np.diff(here)
    leaps = [(hand[here[k]], lift[here[k]], lift[here[k + 1]]) for k in np.flatnonzero(steps > 1)]
    if here[-1] < last:  # the table ends before the level is reached again
        leaps.append((hand[here[-1]], lift[here[-1]], lift[last]))
        here = np.append(here, last)
    below = here[rod[here] < 0]
    # Where nothing is left to pull the hand's force is none; a gap ends the first such stretch.
    gap = np.flatnonzero(np.diff(below) > 1)
    end = below[gap[0]] if len(gap) else (below[-1] if len(below) else 0)
    limp = (hand[below[0]], hand[end]) if len(below) else None
    apart = np.diff(here) == 1
    each = 0.5 * (force[here][1:] + force[here][:-1]) * np.diff(hand[here])
    return March(leaps, limp, lift[here[-1]], float(each[apart].sum()), float(force[here].max()))


@pytest.fixture(scope="module", params=NAMES)
def both(request):
    drawn = from_document(document(request.param))
    return request.param, analysed(drawn), liftgeo.stroke(drawn), marched(request.param)


def plate_jumps(outcome):
    """Return each jump as (hand travel, lift before, lift after)."""
    found = []
    for start, landed in zip(outcome.end.jumps_from, outcome.end.jumps_to, strict=True):
        if landed > start:
            before, after = position(outcome.parts, start), position(outcome.parts, landed)
            found.append((float(before.hand_travel_mm), before.lift_mm, after.lift_mm))
    return found


def test_every_jump_is_met_in_order(both):
    name, outcome, _, march = both
    assert len(march.leaps) == SPRINGS[name][3]
    ours = plate_jumps(outcome)
    assert len(ours) == len(march.leaps)
    for got, expected in zip(ours, march.leaps, strict=True):
        # A step of the march is 6 µm of lift; the top of a fold is flat, so its lift is found to
        # the root of what its travel is found to.
        assert got[0] == pytest.approx(expected[0], abs=1e-4)
        assert got[1] == pytest.approx(expected[1], abs=1e-3)
        assert got[2] == pytest.approx(expected[2], abs=1e-3)


def test_over_centre_is_met_where_the_march_meets_it(both):
    name, outcome, result, march = both
    assert (march.limp is not None) == SPRINGS[name][4]
    warned = [w.message for w in result.warnings if w.key == "over-centre"]
    assert bool(warned) == (march.limp is not None) == bool(outcome.end.over_centre)
    if march.limp is None:
        return
    first, last = march.limp
    ends = (outcome.end.over_from, outcome.end.over_to)
    got = [float(position(outcome.parts, at).hand_travel_mm) for at in ends]
    assert got == pytest.approx([first, last], abs=2e-3)
    assert f"from {got[0]:.1f} mm" in warned[0]


def test_full_lever_work_and_peak_are_the_march_s(both):
    _, outcome, result, march = both
    assert result.full_lever.plate_lift_mm == pytest.approx(march.lift_mm, abs=2e-5)
    assert result.peak.hand_force_n == pytest.approx(march.peak_n, rel=1e-5)
    # The march begins where the plate begins to lift; what comes before is added in closed form.
    before = position(outcome.parts, 4.0 - 1e-12)
    early = float(outcome.parts.clamp_force_n) ** 2 / ROD / 2
    early += RETURN_NMM * float(before.arm_rotation_rad)
    early += float(before.tension_n) ** 2 / CABLE / 2
    assert result.effort.work_j * 1000 == pytest.approx(march.work_nmm + early, rel=1e-6, abs=0.05)


def test_each_jump_is_named_with_its_place(both):
    _, outcome, result, _ = both
    ours = plate_jumps(outcome)
    said = [w.message for w in result.warnings if w.key == "snap"]
    assert bool(said) == bool(ours)
    for travel, before, after in ours:
        assert f"by {after - before:.2f} mm at {travel:.1f} mm" in said[0]


def test_rows_hold_both_ends_of_every_jump_and_nothing_between(both):
    _, outcome, result, _ = both
    table = result.stroke
    assert np.all(np.diff(table.hand_travel_mm) >= -1e-9)
    for travel, before, after in plate_jumps(outcome):
        row = int(np.argmin(np.abs(table.plate_lift_mm - before)))
        assert table.plate_lift_mm[row] == pytest.approx(before, abs=1e-9)
        assert table.plate_lift_mm[row + 1] == pytest.approx(after, abs=1e-9)
        assert table.hand_travel_mm[row + 1] == pytest.approx(travel, abs=1e-9)
    for event in result.events:
        if event.reached:
            for travel, _, _ in plate_jumps(outcome):
                assert event.hand_travel_mm <= result.full_lever.hand_travel_mm + 1e-9
                assert travel <= result.full_lever.hand_travel_mm + 1e-9


def test_many_at_once_jump_like_each_alone():
    """Two plates of readings in one batch: jumps of both, padded where one has fewer."""
    base = from_document(document("two steep falls"))
    deflection, load, _, _, _ = SPRINGS["two steep falls"]
    loads = np.array([load, np.linspace(0, 4000, len(load)), 0.8 * np.array(load)])
    many = liftgeo.batch(base, {"spring.load": loads})
    together = analysed(base, {"spring.load": loads})
    with np.errstate(all="ignore"):
        counts = (together.end.jumps_to > together.end.jumps_from).sum(axis=0)
    for k, own in enumerate(loads):
        alone = base.changed({"spring.load": list(own)})
        single = analysed(alone)
        assert len(plate_jumps(single)) == counts[k]
        result = liftgeo.stroke(alone)
        assert many.work_j[k] == pytest.approx(result.effort.work_j, rel=1e-9)
        assert many.peak_hand_force_n[k] == pytest.approx(result.peak.hand_force_n, rel=1e-9)
    assert len(deflection) == loads.shape[1]
    assert list(counts[:2]) == [2, 0]
