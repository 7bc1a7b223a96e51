"""Sizes of lever and arm beyond the distances between their points: angles, tip, grip, outline."""

from __future__ import annotations

import numpy as np

from liftgeo.figures.sizes import Angle, Length, Size, Spot
from liftgeo.outline.shapes import View
from liftgeo.studies.drawn import Drawn

_FREE, _TAKEN_UP = 0.25, 0.4
"""Shares of the hand's way that slack is drawn at: signs, no numbers."""
_BLADE_MM, _PAST_PIN = 15.0, 1.25
_WITHIN, _PAST_NUMBER = 0.45, 0.8
"""Where an angle at the pin stands along its shorter side; off the number of a lever's radius."""
_ALIKE_DEG = 1e-6
_MOST_TURN = np.radians(30.0)


def link_sizes(drawn: Drawn, table: str, view: View, per_mm: float, *, bench: bool) -> list[Size]:
    """Return what is measured on one end beside the distances of its points.

    Parameters
    ----------
    drawn : Drawn
    table : {"lever", "arm"}
    view : View
        Of that end at rest.
    per_mm : float
        Units of the view that make 1 mm on paper.
    bench : bool
        Whether it is drawn to be measured; else only what the file gives has its number there.
    """
    given = drawn.mechanism.given
    found = _angles(drawn, table, view)
    if table == "lever" and "hand" in view.points and "lever.blade_length" in given:
        pivot, hand = view.points["pivot"], view.points["hand"]
        along = (hand - pivot) / float(np.hypot(*(hand - pivot)))
        tip = pivot + along * float(drawn.mechanism.keys["lever.blade_length"])
        turning = getattr(drawn.outline.as_drawn(), table).turning
        found.append(Length("lever.blade_length", pivot, tip, -turning * _BLADE_MM))
    found = [size for size in found if bench or size.key in given]
    return [*found, *_at_bench(drawn, table, view, per_mm)] if bench else found


def _angles(drawn: Drawn, table: str, view: View) -> list[Size]:
    """Return the angles that a file may give in place of a distance, where it gives them."""
    mechanism, points = drawn.mechanism, view.points
    found: list[Size] = []
    if f"{table}.cable_angle" in mechanism.given and {"pin", "stop"} <= set(points):
        pin = points["pin"]
        inward, out = points["pivot"] - pin, points["stop"] - pin
        share = _PAST_NUMBER if table == "lever" else _WITHIN
        reach = share * float(min(np.hypot(*inward), np.hypot(*out)))
        found.append(Angle(f"{table}.cable_angle", pin, reach, _between(inward, out), level=False))
    if "lever.hand_angle" in mechanism.given and {"pin", "hand"} <= set(points):
        pivot = points["pivot"]
        pin, hand = points["pin"] - pivot, points["hand"] - pivot
        if table == "lever":
            # Past the pin, which swings within: between it and the hand nothing moves.
            reach = min(_PAST_PIN * float(np.hypot(*pin)), 0.9 * float(np.hypot(*hand)))
            size = Angle("lever.hand_angle", pivot, reach, _between(pin, hand), level=False)
            given = abs(float(mechanism.keys["lever.hand_angle"]))
            found += [size] if abs(size.size - given) < _ALIKE_DEG else []  # not of a moved pivot
    return found


def _between(first: np.ndarray, last: np.ndarray) -> tuple[float, float]:
    """Return the angles of two ways, the lesser turn between them [rad]."""
    start = float(np.arctan2(first[1], first[0]))
    turn = float(np.arctan2(last[1], last[0])) - start
    return start, start + (turn + np.pi) % (2 * np.pi) - np.pi


def _at_bench(drawn: Drawn, table: str, view: View, per_mm: float) -> list[Size]:
    """Return what only a drawing to measure after shows: turns, slack at the hand, outlines."""
    named = {shape.name: shape for shape in view.shapes}
    found: list[Size] = []
    outline = named.get("blade outline" if table == "lever" else "arm outline")
    if outline is not None:
        found.append(Spot(f"{table}.outline.width", outline.points[0]))
    if "grip" in named:
        grip = named["grip"]
        ends = np.mean(grip.points, axis=0)
        found += [
            Spot("grip.diameter", ends),
            Spot("grip.allowance", grip.points[0] + np.array([grip.radius_mm, 0.0])),
        ]
    turning = getattr(drawn.outline.as_drawn(), table).turning
    pivot = view.points["pivot"]
    if table == "lever" and "hand" in view.points:
        found += _along_the_way(drawn, view, turning, per_mm)
    if "wire mark" in named:
        found.append(Spot(f"{table}.pull", np.mean(named["wire mark"].points, axis=0)))
        way = named["turned"].points if "turned" in named else None
        if way is not None:
            out = way[-1] - pivot
            start = float(np.arctan2(out[1], out[0]))
            sides = start, start + turning * float(_MOST_TURN)
            reach = float(np.hypot(*out))
            found.append(Angle(f"{table}.angle", pivot, reach, sides, level=False))
    if table == "arm":
        tip = view.points.get("pin", view.points.get("top"))
        out = (tip if tip is not None else pivot + np.array([0.0, 20.0])) - pivot
        start = float(np.arctan2(out[1], out[0]))
        most = drawn.mechanism.keys.get("arm.max_rotation")
        turn = float(np.radians(float(most))) if most is not None else 0.0
        reach = 1.12 * float(np.hypot(*out))
        if most is not None:
            found.append(Angle("arm.max_rotation", pivot, reach, (start, start + turning * turn)))
        found.append(Spot("arm.return_torque", pivot + out))
    return found


def _along_the_way(drawn: Drawn, view: View, turning: int, per_mm: float) -> list[Size]:
    """Return the lever's turn, and the parts of the hand's way until the arm or the rod stirs."""
    keys = drawn.mechanism.keys
    pivot = view.points["pivot"]
    out = view.points["hand"] - pivot
    start, reach = float(np.arctan2(out[1], out[0])), float(np.hypot(*out))
    whole = turning * float(drawn.full.stand.lever_angle_rad)
    found: list[Size] = []
    if keys.get("lever.travel") is not None:
        found.append(Angle("lever.travel", pivot, 0.6 * reach, (start, start + whole)))
    for k, (key, share) in enumerate(
        (("cable.free_play_at_hand", _FREE), ("cable.take_up_at_hand", _TAKEN_UP))
    ):
        if keys.get(key) is not None:
            far = reach - (4.0 + 6.0 * k) * per_mm
            found.append(Angle(key, pivot, far, (start, start + share * whole)))
    return found
