"""How much it costs to say how sure an answer is, beside one stroke alone, in one run.

Processor time, so that a busy machine changes both sides alike. The ratio is printed; what is
asserted is a limit so wide that it holds on any machine.
"""

from __future__ import annotations

import time
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from clutches import laid
from scenarios import whole_stroke

import liftgeo
from liftgeo.mechanism import from_document

BASE = Path(__file__).resolve().parents[1] / "base_clutch.toml"

# A dozen numbers left out, as a beginner's file would.
LEFT_OUT: dict[str, Any] = {
    "cable": {"stiffness": None, "friction": None, "bend": None},
    "rod": {"stiffness": None, "end_float": None},
    "faces": {"cushion_travel": None, "basket_runout": None, "pressure_plate_runout": None,
              "plate_runout": None, "lift_tilt": None, "friction": None},
    "arm": {"return_torque": None},
    "release": {"friction_angle": None},
}  # fmt: skip

pytestmark = pytest.mark.benchmark


def quickest(action: Callable[[], object], times: int) -> float:
    """Return the shortest processor time of several [s]."""
    action()
    best = float("inf")
    for _ in range(times):
        began = time.process_time()
        action()
        best = min(best, time.process_time() - began)
    return best


def test_saying_how_sure_costs_a_few_dozen_strokes(
    record_property: Callable[[str, object], None], capsys: pytest.CaptureFixture[str]
) -> None:
    whole = tomllib.loads(BASE.read_text(encoding="utf-8")) | {"left_out": "usual"}
    mechanism = from_document(laid(whole, LEFT_OUT))
    assert len(mechanism.taken) >= 12
    single = quickest(lambda: whole_stroke(mechanism), 15)
    found = quickest(lambda: liftgeo.known(mechanism), 10)
    record_property("known_ms", 1000 * found)
    record_property("known_over_stroke", found / single)
    with capsys.disabled():
        print(f"\nhow sure, 2000 samples: {found / single:.1f} strokes, {1000 * found:.0f} ms")
    assert found < 60 * single
