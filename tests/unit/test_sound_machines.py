"""Six sound machines of six kinds raise no stop and no caution: no warning cries wolf.

All invented (tests/sound_machines.toml). Verdict and every warning are held.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

import liftgeo
from liftgeo.mechanism import from_document
from liftgeo.words.stroke_page import stroke_page

FILE = Path(__file__).resolve().parents[1] / "sound_machines.toml"
MACHINES = {
    name: from_document(document)
    for name, document in tomllib.loads(FILE.read_text(encoding="utf-8")).items()
}

# Notes that each raises; all are clear, and none has a stop or a caution.
NOTES = {
    "moped-wet-three": ["cold-oil"],
    "trials-wet-six": ["cold-oil"],
    "big-twin-dry-seven": [],
    "walking-tractor-fingers": ["bearing-one-way"],
    "car-diaphragm-fork": ["bearing-one-way"],
    "mower": [],
}


def warned(mechanism: liftgeo.Mechanism) -> list[tuple[str, str]]:
    return [(w.key, w.severity) for w in liftgeo.stroke(mechanism).warnings]


@pytest.mark.parametrize("name", NOTES)
def test_a_sound_machine_is_clear_and_raises_its_notes_alone(name):
    assert liftgeo.stroke(MACHINES[name]).verdict == "clear"
    assert warned(MACHINES[name]) == [(key, "note") for key in NOTES[name]]


def test_every_machine_is_held():
    assert set(NOTES) == set(MACHINES)


# What each would falsely be told of, or be rightly told of, one key away.
ONE_KEY_AWAY = {
    "a rod soft at the fingers, taken as without fingers": (
        "walking-tractor-fingers", {"rod.finger_ratio": 1.0}, "odd-rod-stiffness"),
    "a bearing with play, taken as one in constant contact": (
        "car-diaphragm-fork", {"bearing.constant_contact": False}, "wear-to-riding"),
    "a pedal taken as a hand lever": (
        "car-diaphragm-fork", {"lever.worked_by": "hand"}, "odd-hand-travel"),
    "a dry facing's friction in oil": ("trials-wet-six", {"faces.friction": 0.30},
                                       "odd-wet-friction"),
    "teeth upside down": ("moped-wet-three", {"engine.primary_ratio": 0.38}, "odd-primary-ratio"),
    "a wire half as thick": ("trials-wet-six", {"cable.wire.diameter": 0.75}, "cable-strength"),
    "a tractor on the road's margin": ("walking-tractor-fingers", {"engine.torque": 60},
                                       "slip-margin"),
}  # fmt: skip


@pytest.mark.parametrize("case", ONE_KEY_AWAY.values(), ids=ONE_KEY_AWAY)
def test_one_key_away_it_is_told(case):
    name, laid, key = case
    assert key not in [k for k, _ in warned(MACHINES[name])]
    assert key in [k for k, _ in warned(MACHINES[name].changed(laid))]


def test_many_loose_dry_plates_want_less_each_than_a_riveted_one():
    packs = MACHINES["big-twin-dry-seven"], MACHINES["mower"], MACHINES["trials-wet-six"]
    assert [float(m.parts().faces.target_mm) for m in packs] == [0.05, 0.10, 0.03]


def test_a_pedal_and_a_hand_are_wanted_different_forces():
    page = " ".join(
        line
        for name in ("car-diaphragm-fork", "mower")
        for line in stroke_page(liftgeo.stroke(MACHINES[name]), MACHINES[name], "metric", "x")
    )
    assert "; 130 N wanted;" in page
    assert "; 90 N wanted;" in page
