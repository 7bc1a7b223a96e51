"""Sizes of each release unit, on its view at rest.

After ISO 129-1 (from memory): a radius is dimensioned from its centre, an angle between its sides.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from liftgeo.figures.drawing_paper import Box
from liftgeo.figures.sizes import Angle, Length, Size, Sized, SizesOf, Spot
from liftgeo.mechanism import Mechanism
from liftgeo.outline.shapes import View, circle, line, towards
from liftgeo.parts.release import BallRamp, QuickThread

_STEP_MM, _ASIDE_MM = 7.0, 8.0
_BALLS = 3
"""Balls that are drawn where the file does not count them."""


def _ball_ramp(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    unit = mechanism.inward.release
    assert isinstance(unit, BallRamp)
    ball = view.named("ball")
    (centre,) = ball.points
    across = np.array([ball.radius_mm, 0.0])
    first, last = view.named("near plate" if unit.rolling else "far plate").points[:2]
    radius = 0.95 * float(np.hypot(*(last - first)))
    up = float(np.arctan2(*(first - last)[::-1]))
    found: list[Size] = [
        Angle("release.ramp_angle", last, radius, (float(np.pi), up)),
        Length(
            "release.ball_diameter",
            centre - across,
            centre + across,
            5.0,
            beyond_mm=box.top - float(centre[1]),
        ),
    ]
    if unit.rolling and "release.far_ramp_angle" in mechanism.given:
        high, low = view.named("far plate").points[:2]
        down = float(np.arctan2(*(low - high)[::-1]))
        found.append(Angle("release.far_ramp_angle", high, radius, (0.0, down)))
    if not bench:
        return (), found
    # What lies round the axis: the circle of ball centres, seen along the shaft.
    pitch = float(unit.pitch_radius_mm)
    count = round(float(mechanism.keys.get("release.ball_count") or _BALLS))
    middle = np.array([box.right + 1.5 * pitch + 2 * ball.radius_mm, (box.top + box.bottom) / 2])
    turns = np.pi / 2 - 2 * np.pi * np.arange(count) / count
    seats = [middle + pitch * towards(float(turn)) for turn in turns]
    extra = [circle("ball circle", "symbol", middle, pitch, assumed=True)]
    extra += [circle(f"ball {k}", "moving", seat, ball.radius_mm) for k, seat in enumerate(seats)]
    extra.append(circle("axis", "fixed", middle, 0.08 * pitch))
    found.append(Length("release.pitch_radius", middle, seats[min(1, count - 1)], 4.0))
    found += _turn(mechanism, middle, 1.2 * pitch + ball.radius_mm, float(np.pi / 2))
    if "release.groove_radius" in mechanism.keys:
        touch = centre - ball.radius_mm * towards(float(np.pi / 2 + up))
        found.append(Spot("release.groove_radius", touch))
    return tuple(extra), found


def _turn(mechanism: Mechanism, shaft: np.ndarray, radius: float, start: float) -> list[Size]:
    """Return the rotation that the unit allows, about its shaft."""
    most = mechanism.keys.get("release.max_rotation")
    if most is None:
        return []
    sides = start, start + float(np.radians(float(most)))
    return [Angle("release.max_rotation", shaft, radius, sides)]


def _quick_thread(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    """Return one turn of the thread laid out flat: once round, and the lead it rises."""
    unit = mechanism.inward.release
    assert isinstance(unit, QuickThread)
    mean, lead = float(unit.mean_diameter_mm), float(unit.lead_mm)
    slope = float(np.arctan2(lead, np.pi * mean))
    if not bench:
        corner = view.named("nut").points[0]
        return (), [Angle("", corner, 1.05 * float(box.right - corner[0]), (0.0, slope))]
    ends = (0.0, 0.0), (np.pi * mean, 0.0), (np.pi * mean, lead)
    extra = [line("one turn", "moving", *ends, closed=True)]
    found: list[Size] = [
        Length("release.mean_diameter", ends[0], ends[1], -_STEP_MM, "π × {}"),
        Length("release.lead", ends[1], ends[2], -_STEP_MM),
    ]
    keys = mechanism.keys
    if "release.rise" in mechanism.given:
        share = float(keys["release.rise"]) / lead
        part = np.array([(1 - share) * np.pi * mean, 0.0]), np.array([np.pi * mean, 0.0])
        up = part[0] + [share * np.pi * mean, share * lead]
        extra.append(line("part of a turn", "symbol", part[0], up, part[1], assumed=True))
        found.append(Spot("release.rise_over", (part[0] + part[1]) / 2))
        found.append(Length("release.rise", part[1], up, 5.0))
    if "release.flank_angle" in mechanism.given:
        lean, deep = float(np.radians(float(keys["release.flank_angle"]))), 0.5 * mean
        foot = np.array([1.45 * np.pi * mean, 0.0])
        flat, in_by = np.array([0.6 * deep, 0.0]), np.array([deep * np.tan(lean), deep])
        top = foot + in_by
        corners = foot, top, top + flat, foot + flat + [2 * in_by[0], 0.0]
        extra.append(line("one thread, cut", "moving", *corners))
        sides = float(np.pi / 2), float(np.pi / 2) - lean
        found.append(Angle("release.flank_angle", foot, 1.15 * deep, sides))
    if "release.collar_diameter" in mechanism.given:
        across = float(keys["release.collar_diameter"])
        y = -0.6 * mean - across / 2
        middle = np.array([0.5 * np.pi * mean, y])
        extra.append(circle("collar", "moving", middle, across / 2))
        reach = np.array([across / 2, 0.0])
        size = Length(
            "release.collar_diameter", middle - reach, middle + reach, -4.0, beyond_mm=across / 2
        )
        found.append(size)
    return tuple(extra), found


def _rack(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    pinion = view.named("pinion")
    (centre,) = pinion.points
    edge = centre - [pinion.radius_mm, 0.0]
    low = float(centre[1]) - box.bottom
    found: list[Size] = [Length("release.pinion_radius", edge, centre, -3.0, beyond_mm=low)]
    if bench:
        found += _turn(mechanism, centre, 1.2 * pinion.radius_mm, 0.0)
    return (), found


def _crank(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    shaft, pin, rod = (view.points[name] for name in ("shaft", "crank pin", "rod"))
    start = float(np.arctan2(*(pin - shaft)[::-1]))
    crank = float(np.hypot(*(pin - shaft)))
    found: list[Size] = [
        Length("release.crank_radius", shaft, pin, _STEP_MM)
        if bench
        else Length("release.crank_radius", pin, shaft, -_ASIDE_MM),  # its number to the left
        Angle("release.rest_angle", shaft, 1.7 * crank, (0.0, start)),
    ]
    if "release.link_length" in mechanism.keys:
        aside = _STEP_MM if bench else -_STEP_MM
        found.append(Length("release.link_length", pin, rod, aside))
    if bench and "release.link_length" in mechanism.keys:
        over = np.array([rod[0], shaft[1]])
        low = float(shaft[1]) - box.bottom
        found.append(Length("release.offset", shaft, over, -2.0, beyond_mm=low))
    if bench:
        found += _turn(mechanism, shaft, 1.3 * crank, start)
    return (), found


def _eccentric(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    shaft, centre = view.points["shaft"], view.points["round centre"]
    cam = float(view.named("round").radius_mm)
    start = float(np.arctan2(*(centre - shaft)[::-1]))
    edge = centre - [cam, 0.0]
    low = float(centre[1]) - box.bottom
    found: list[Size] = [
        Length("release.eccentricity", centre, shaft, -5.0 if bench else 5.0),
        Length("release.cam_radius", edge, centre, -7.0 if bench else -11.0, beyond_mm=low),
        Angle("release.rest_angle", shaft, 1.8 * cam, (0.0, start)),
    ]
    if bench:
        found += _turn(mechanism, shaft, 1.3 * cam, start)
    return (), found


def _profile(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    """Return angle and travel of the last reading that the law is drawn to."""
    rings = [shape for shape in view.shapes if shape.name.startswith("reading ")]
    if len(rings) < 2:
        return (), []
    (last,), (zero,) = rings[-1].points, rings[0].points
    foot = np.array([last[0], zero[1]])
    left, low = float(last[0]) - box.left, float(zero[1]) - box.bottom
    angles = np.asarray(mechanism.keys["release.angle"], float)
    turned = float(angles[len(rings) - 1])
    return (), [
        Length("release.angle", foot, zero, -5.0, beyond_mm=low, number_deg=turned),
        Length("release.travel", foot, last, 5.0, beyond_mm=left),
    ]


def _no_sizes(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    return (), []


UNIT_SIZES: Mapping[str, SizesOf] = {
    "ball-ramp": _ball_ramp,
    "quick-thread": _quick_thread,
    "rack": _rack,
    "crank": _crank,
    "eccentric": _eccentric,
    "profile": _profile,
}
"""Sizes of each kind; a kind that is not here is drawn by its law, without them."""


def unit_sizes(mechanism: Mechanism, view: View, box: Box, bench: bool) -> Sized:
    """Return the sizes of a release unit, by its kind."""
    kind = str(mechanism.keys["release.kind"])
    return UNIT_SIZES.get(kind, _no_sizes)(mechanism, view, box, bench)
