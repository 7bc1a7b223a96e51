"""Changes offered where a file has none: worked out on the machine, and fit to be pasted."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from clutches import BASE_FILE, TEXT_WITHOUT_CHANGES, mechanism, sound_mechanism

import liftgeo
from liftgeo.studies.offers import MOST_OFFERS, WAYS, offers
from liftgeo.words.commands import in_inch_units
from liftgeo.words.offer_lines import toml_lines

EXAMPLES = sorted((BASE_FILE.parents[1] / "geometries").glob("*.toml"))


def bare(path: Path) -> str:
    """Return the text of an example without its changes."""
    return path.read_text(encoding="utf-8").split("[changes.")[0]


@pytest.mark.parametrize("text", [TEXT_WITHOUT_CHANGES, *map(bare, EXAMPLES)])
def test_what_is_offered_can_be_pasted_and_does_what_it_says(text: str) -> None:
    base = liftgeo.loads(text)
    found = offers(base)
    assert 1 <= len(found) <= MOST_OFFERS
    block = "\n".join(line for offer in found for line in toml_lines(offer, "metric"))
    pasted = liftgeo.loads(f"{text}\n{block}\n")
    assert list(pasted.changes) == [offer.name for offer in found]
    before = liftgeo.stroke(base)
    for offer in found:
        after = liftgeo.stroke(pasted.changed(offer.name))
        gain = after.full_lever.clearance_per_face_mm - before.full_lever.clearance_per_face_mm
        heavier = after.peak.hand_force_n - before.peak.hand_force_n
        assert offer.clearance_gain_mm == pytest.approx(gain, abs=1e-11)
        assert offer.hand_force_change_n == pytest.approx(heavier, abs=1e-8)
        grip = after.capacity.slip_margin - before.capacity.slip_margin
        assert offer.slip_margin_change == pytest.approx(grip, abs=1e-11)
        stops = {w.key for w in after.warnings if w.severity == "stop"}
        assert stops <= {w.key for w in before.warnings if w.severity == "stop"}


@pytest.mark.parametrize("text", [TEXT_WITHOUT_CHANGES, *map(bare, EXAMPLES)])
def test_every_value_can_be_made(text: str) -> None:
    """Lengths to a tenth, angles to half a degree, others to two figures behind the point."""
    base = liftgeo.loads(text)
    for offer in offers(base):
        for key, value in offer.keys.items():
            step = {"length": 0.1, "angle": 0.5}.get(base.number(key).dimension, 0.01)
            assert value / step == pytest.approx(round(value / step), abs=1e-9), key


def test_a_machine_that_misses_nothing_is_offered_nothing() -> None:
    assert offers(sound_mechanism(targets={"hand_force": 400, "clearance": 0.01})) == ()


def test_a_partial_file_is_offered_nothing() -> None:
    assert offers(mechanism(spring=None, stack=None)) == ()


def test_a_heavy_clutch_is_offered_what_eases_it() -> None:
    heavy = mechanism(targets={"clearance": 0.0, "hand_force": 60}, faces={"lift_tilt": 0.0})
    names = [offer.name for offer in offers(heavy)]
    assert names
    assert all(offer.hand_force_change_n < 0 for offer in offers(heavy))
    assert "shorter-arm" not in names


def test_a_clutch_that_slips_is_offered_grip() -> None:
    slips = mechanism(engine={"torque": 200.0})
    assert liftgeo.stroke(slips).verdict == "slips"
    assert "new-facing" in [offer.name for offer in offers(slips)]


def test_softer_springs_are_offered_only_where_the_grip_is_known() -> None:
    text = bare(next(path for path in EXAMPLES if path.stem == "quarry-hauler"))
    known = text.replace("[faces]", "[faces]\nfriction = 0.35")
    assert "softer-springs" not in [offer.name for offer in offers(liftgeo.loads(text))]
    keys = [offer.keys for offer in offers(liftgeo.loads(known))]
    assert all(not math.isnan(value) for each in keys for value in each.values())


def test_every_way_has_a_name_of_its_own_and_a_note_that_toml_can_hold() -> None:
    assert len({way.name for way in WAYS}) == len(WAYS)
    for way in WAYS:
        assert '"' not in way.note
        assert "\\" not in way.note


@pytest.mark.parametrize("text", [TEXT_WITHOUT_CHANGES, *map(bare, EXAMPLES)])
def test_in_inches_lengths_are_those_of_an_inch_rule_and_are_pasted_as_such(text: str) -> None:
    base = liftgeo.loads(text)
    found = offers(base, "inch")
    block = "\n".join(line for offer in found for line in toml_lines(offer, "inch"))
    pasted = liftgeo.loads(f"{text}\n{block}\n")
    for offer in found:
        changed = pasted.changed(offer.name)
        for key, value in offer.keys.items():
            assert float(changed.keys[key]) == pytest.approx(value, rel=2e-3), key
            if base.number(key).dimension == "length":
                assert float(changed.keys[key]) == pytest.approx(value, rel=1e-9), key
                parts = value / 25.4 * (32 if value > 6.5 else 1000)
                assert parts == pytest.approx(round(parts)), key


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (25.4, "length", "1 in"),
        (43.65625, "length", "1 23/32 in"),
        (12.7, "length", "1/2 in"),
        (0.9906, "length", "0.039 in"),
        (30.0, "length", "1.181 in"),
    ],
)
def test_an_inch_is_written_as_on_a_rule(value: float, dimension: str, text: str) -> None:
    assert in_inch_units(value, dimension) == text
