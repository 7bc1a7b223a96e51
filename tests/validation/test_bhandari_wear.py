"""Wear until a clutch with coil springs slips.

Source: V. B. Bhandari, Design of Machine Elements, example 11.6, read in the result files of a
textbook companion (FOSSEE Scilab companion 764; that this is the book is from memory): nine coils
with 800 N each at 5 mm, friction 0.35, 250 × 175 mm, two faces, 250 N·m. Permissible wear of the
facings together 2.665733 mm, printed to six decimals; torque by uniform wear.
"""

from __future__ import annotations

import pytest
from cases import in_order, printed

import liftgeo
from liftgeo.studies.wear import wear

BOOK = "V. B. Bhandari, Design of Machine Elements, Ex. 11.6, through a companion's results"

CLUTCH = """
[lever]
kind = "drum"
drum_radius = 20
hand_radius = 75
hand_travel = 40
[cable]
free_play = 1
[arm]
kind = "drum"
drum_radius = 40
[release]
kind = "rack"
pinion_radius = 2
[rod]
action = "pull"
[spring]
kind = "coils"
count = 9
rate = 160
free_length = 60
installed_length = 55
[faces]
friction_plates = 1
outside_diameter = 250
inside_diameter = 175
friction = 0.35
facing_thickness = 2.4
[engine]
torque = 250
"""


def wear_to_slip_mm() -> float:
    """Return the wear of both facings together at which the clutch slips, play set again."""
    study = wear(liftgeo.loads(CLUTCH), readjusted=True)
    met = [c for c in study.crossings if c.name == "slips"]
    if not met:
        raise ValueError("the clutch never slips")
    return met[0].wear_mm * study.friction_faces


CASES = (
    printed(BOOK, "wear study", "wear of the facings until it slips", "mm", "2.665733",
            wear_to_slip_mm),
)  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=in_order(CASES))
def test_example(case):
    assert case.holds(), case.report()
