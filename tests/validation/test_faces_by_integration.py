"""Torque of a clutch, ring by ring, and the gap that wobbling plates need.

Source: worked out here. Torque: pressure times friction times radius, summed over the facing, with
an even pressure or one that falls as 1/radius (so that every ring wears alike), the pressure
scaled to the clamp force. Gap: plates are planes tilted by their indicator readings; all turns of
the friction plate against the basket, and of the pressure plate on it, are tried on a grid.
"""

import itertools
import math

import numpy as np
import pytest
from cases import each_holds, worked_out
from scipy.integrate import quad

from liftgeo.parts import faces

EVEN = "Even pressure, summed ring by ring (SciPy)"
WEAR = "Pressure that wears every ring alike, summed ring by ring (SciPy)"
TILTED = "Tilted plates, all turns tried on a grid of 1.5°"
COUNTED = "Springs and gaps counted one by one"
CLAMP, FRICTION, OUTSIDE, INSIDE, COUNT = 3400.0, 0.3, 118.0, 84.0, 2


def summed_torque(pressure) -> float:
    """Return the torque of a facing whose pressure varies so over its radius, at CLAMP."""
    ends = INSIDE / 2, OUTSIDE / 2
    force = quad(lambda r: pressure(r) * 2 * math.pi * r, *ends)[0]
    torque = quad(lambda r: FRICTION * pressure(r) * r * 2 * math.pi * r, *ends)[0]
    return COUNT * CLAMP / force * torque


def area() -> float:
    return quad(lambda r: 2 * math.pi * r, INSIDE / 2, OUTSIDE / 2)[0]


BASKET, PRESSURE_PLATE, PLATE = 0.05, 0.20, 0.24  # full indicator readings


def room_needed() -> float:
    """Return the gap at which no turn of the plates touches: the worst of all, on a grid."""
    around = np.linspace(0, 2 * math.pi, 240, endpoint=False)
    rim = np.array([np.cos(around), np.sin(around)])
    worst = 0.0
    for plate_turn, cover_turn in itertools.product(around[::4], around[::4]):
        plate = PLATE / 2 * np.array([math.cos(plate_turn), math.sin(plate_turn)]) @ rim
        cover = PRESSURE_PLATE / 2 * np.array([math.cos(cover_turn), math.sin(cover_turn)]) @ rim
        basket = BASKET / 2 * rim[0]
        # The plate slides on its splines: it takes what room there is between the two.
        worst = max(worst, float((basket - plate).max() + (plate - cover).max()))
    return worst


def pack(needed_mm: float = 0.4, target_mm: float = 0.1, gross_mm: float = 0.0) -> faces.Faces:
    return faces.Faces(
        3, 6, OUTSIDE, INSIDE, FRICTION, 0.25, 3000.0, needed_mm, target_mm, gross_mm
    )


def needed(plates: int = 1, plain: int = 0) -> float:
    return faces.needed_separation_mm(plates, plain, PLATE, 0.08, BASKET, PRESSURE_PLATE)


CASES = (
    worked_out(EVEN, "3400 N, 118/84 mm, µ 0.3, two faces", "torque", "N·mm",
               summed_torque(lambda r: 1.0),
               lambda: faces.uniform_pressure_torque_nmm(CLAMP, FRICTION, OUTSIDE, INSIDE, COUNT)),
    worked_out(WEAR, "3400 N, 118/84 mm, µ 0.3, two faces", "torque", "N·mm",
               summed_torque(lambda r: 1 / r),
               lambda: faces.uniform_wear_torque_nmm(CLAMP, FRICTION, OUTSIDE, INSIDE, COUNT)),
    worked_out(WEAR, "3400 N, 118/84 mm, µ 0.3, six faces", "torque", "N·mm",
               3 * summed_torque(lambda r: 1 / r), lambda: pack().torque_nmm(CLAMP)),
    worked_out(EVEN, "3400 N, 118/84 mm", "pressure", "MPa", CLAMP / area(),
               lambda: pack().mean_pressure_mpa(CLAMP)),
    worked_out(TILTED, "one plate 0.24, basket 0.05, pressure plate 0.20", "gap needed", "mm",
               room_needed(), needed, close=1e-9,
               note="The worst turn lies on the grid."),
    worked_out(COUNTED, "three plates 0.24, two plain plates 0.08", "gap needed", "mm",
               3 * 0.24 + 2 * 0.08 + (0.05 + 0.20) / 2, lambda: needed(3, 2)),
    worked_out(COUNTED, "three plates, 1.0 mm parted, 0.4 needed", "clearance per face", "mm",
               0.6 / 6, lambda: pack().clearance_per_face_mm(1.0)),
    worked_out(COUNTED, "three plates, 0.1 net on each of six faces over 0.4", "gap wanted", "mm",
               1.0, lambda: pack().target_separation_mm),
    worked_out(COUNTED, "three plates, 0.3 gross on each of six faces", "gap wanted", "mm", 1.8,
               lambda: pack(gross_mm=0.3).target_separation_mm),
    worked_out(COUNTED, "cushion of 0.25 mm at 3 kN", "compliance", "mm/kN", 0.25 / 3,
               lambda: pack().cushion_compliance * 1000),
)  # fmt: skip


test_faces = each_holds(CASES)


@pytest.mark.parametrize("inside", [0.3, 0.6, 0.9])
def test_run_in_faces_always_hold_less_than_new_ones(inside):
    """Property stated in a machine-design text read on a web page (th4.ilovetranslation.com)."""
    sizes = (1000.0, 0.3, 100.0, 100.0 * inside, 2)
    new = faces.uniform_pressure_torque_nmm(*sizes)
    assert faces.uniform_wear_torque_nmm(*sizes) < new
