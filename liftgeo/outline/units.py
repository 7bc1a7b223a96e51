"""Release units as shapes: what of the unit stands where at a rotation of its shaft.

The rod travels upward in every view. A unit that works along the circle of its balls, or of its
thread, is shown developed: what lies round the circle is laid out along x. A kind without a view
of its own is drawn by its law, as a developed cam (`by_law`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TypeAlias

import numpy as np

from liftgeo.mechanism.inward import Inward
from liftgeo.outline.shapes import Points, Shape, View, box, circle, line, towards, xy
from liftgeo.parts.release import (
    BallRamp,
    CrankWithLink,
    CrankWithSlot,
    Eccentric,
    MeasuredUnit,
    QuickThread,
    Rack,
)
from liftgeo.parts.release_form import ReleaseUnit

UnitView: TypeAlias = Callable[[Inward, float, float, float], View]
"""Keys, rotation [rad] and rod travel [mm] of the place, and the rotation at full lever [rad]."""

BALL_OF_PITCH = 0.25
"""Ball radius over pitch radius, where no ball diameter is given; common practice, no source."""
CAM_OF_ECCENTRICITY = 2.5
"""Radius of an eccentric over its eccentricity, where none is given."""
LAW_RADIUS_OF_TRAVEL = 4.0
"""Radius at which a law is laid out, over its travel to full lever for each radian."""
_SAMPLES = 61


def ball_ramp(keys: Inward, rotation_rad: float, travel_mm: float, full_rad: float) -> View:
    """Return one ball between its ramps, developed at the circle of ball centres.

    Notes
    -----
    The near plate turns, by s = r theta along x; the far plate lifts by y. A ball rolling without
    slip has its centre at ((s + y tan d)/2, (y + s tan d)/2), d half the difference of the slopes:
    both contacts and the ball's turning, solved for its centre. A held ball goes with its plate.
    Source: derived in docs/theory.md, "Ball and ramp".
    """
    unit = keys.release
    assert isinstance(unit, BallRamp)
    pitch, near, far = (
        float(value)
        for value in (unit.pitch_radius_mm, unit.ramp_angle_rad, unit.far_ramp_angle_rad)
    )
    given = keys.get("release.ball_diameter")
    radius = BALL_OF_PITCH * pitch if given is None else float(given) / 2
    shift = pitch * rotation_rad
    centre = ball_centre(unit, rotation_rad, travel_mm)
    share = 0.75 if unit.rolling else 1.15  # of the circle that a contact runs along a ramp
    reach = share * pitch * max(full_rad, abs(rotation_rad)) + 1.2 * radius
    if unit.rolling:
        plates = (
            _ramp("near plate", near, -1, radius, (shift, 0.0), reach),
            _ramp("far plate", far, 1, radius, (0.0, travel_mm), reach),
        )
    else:
        plates = (
            _pocket(radius, (shift, 0.0), reach),
            _ramp("far plate", near, 1, radius, (0.0, travel_mm), reach),
        )
    ball = circle("ball", "moving", centre, radius, assumed=given is None)
    # A mark that was uppermost at rest shows how far the ball has rolled.
    roll = -shift / (2 * radius * np.cos((near - far) / 2) * np.cos((near + far) / 2))
    turn = float(roll) if unit.rolling else 0.0
    mark = line("ball mark", "moving", centre, centre + radius * towards(np.pi / 2 + turn))
    assumed = ("release.ball_diameter",) if given is None else ()
    return View("release", (*plates, ball, mark), {"ball": centre}, assumed, "developed")


def ball_centre(unit: BallRamp, rotation_rad: float, travel_mm: float) -> Points:
    """Return the way of a ball's centre from rest [mm], along the circle and along the axis."""
    shift = float(unit.pitch_radius_mm) * rotation_rad
    if not unit.rolling:
        return np.array([shift, 0.0])
    lean = np.tan(float(unit.ramp_angle_rad - unit.far_ramp_angle_rad) / 2)
    return np.array([shift + travel_mm * lean, travel_mm + shift * lean]) / 2


def _ramp(
    name: str, slope_rad: float, side: int, ball_mm: float, moved: tuple[float, float], reach: float
) -> Shape:
    """Return a plate with its ramp, touching the ball at rest: below it (-1) or above it (+1).

    Both ramps fall towards +x. What of the ramp a ball meets lies at -x of the near plate and at
    +x of the far one.
    """
    along = np.array([np.cos(slope_rad), -np.sin(slope_rad)])
    touch = side * ball_mm * np.array([np.sin(slope_rad), np.cos(slope_rad)])
    ends = (touch + t * along for t in (-reach, 1.2 * ball_mm))
    if side > 0:
        ends = (touch + t * along for t in (-1.2 * ball_mm, reach))
    first, last = ends
    back = side * (np.abs([first[1], last[1]]).max() + 0.8 * ball_mm)
    outline = np.array([first, last, (last[0], back), (first[0], back)])
    return Shape(name, "moving", outline + np.array(moved), closed=True)


def _pocket(ball_mm: float, moved: tuple[float, float], reach: float) -> Shape:
    """Return the near plate with a round pocket that holds the ball."""
    angles = np.linspace(np.pi + 0.35, 2 * np.pi - 0.35, 15)
    seat = 1.04 * ball_mm * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    top, low = seat[0][1], -1.8 * ball_mm
    left, right = -1.6 * ball_mm, min(reach, 1.6 * ball_mm)
    edge = np.array([(right, top), (right, low), (left, low), (left, top)])
    return Shape(
        "near plate", "moving", np.concatenate([seat, edge]) + np.array(moved), closed=True
    )


def quick_thread(keys: Inward, rotation_rad: float, travel_mm: float, full_rad: float) -> View:
    """Return one flank of the thread, developed at its mean diameter: screw upon nut."""
    unit = keys.release
    assert isinstance(unit, QuickThread)
    mean = float(unit.mean_diameter_mm)
    slope = float(unit.lead_mm) / (np.pi * mean)
    shift = mean / 2 * rotation_rad
    far = mean / 2 * max(full_rad, abs(rotation_rad))
    long = max(0.35 * mean, 0.6 * far)
    deep = 0.25 * mean
    nut = line(
        "nut",
        "fixed",
        (-0.15 * long, -0.15 * long * slope),
        (long + far, (long + far) * slope),
        (long + far, -deep),
        (-0.15 * long, -deep),
        closed=True,
    )
    top = long * slope + deep
    screw = np.array([(0.0, 0.0), (long, long * slope), (long, top), (0.0, top)])
    moved = screw + np.array([shift, travel_mm])
    rod = line(
        "rod",
        "moving",
        (shift + long / 2, top + travel_mm),
        (shift + long / 2, top + travel_mm + deep),
    )
    shapes = (nut, Shape("screw", "moving", moved, closed=True), rod)
    return View("release", shapes, {"screw": moved[0]}, (), "developed")


def rack(keys: Inward, rotation_rad: float, travel_mm: float, _: float) -> View:
    """Return pinion and rack at their pitch lines, with marks where they roll on each other."""
    unit = keys.release
    assert isinstance(unit, Rack)
    r = float(unit.pinion_radius_mm)
    shapes = [circle("pinion", "moving", (0.0, 0.0), r), _shaft(r)]
    count, deep = 12, 0.12 * r
    for k in range(count):
        way = towards(2 * np.pi * k / count + rotation_rad)
        shapes.append(line(f"pinion mark {k}", "moving", (r - deep) * way, r * way))
    tall = 1.6 * r
    shapes.append(box("rod", "moving", (r, travel_mm - tall), (1.45 * r, travel_mm + tall)))
    pitch = 2 * np.pi * r / count
    for k in range(-2, 3):
        y = travel_mm + k * pitch
        shapes.append(line(f"rack mark {k}", "moving", (r, y), (r + deep, y)))
    mark = r * towards(rotation_rad)
    shapes.append(line("pinion arm", "moving", (0.0, 0.0), mark))
    return View("release", tuple(shapes), {"shaft": np.zeros(2), "rod": np.array([r, travel_mm])})


def crank(keys: Inward, rotation_rad: float, travel_mm: float, full_rad: float) -> View:
    """Return crank, link and rod; or the crank's pin in the slot of the rod."""
    unit = keys.release
    if isinstance(unit, CrankWithSlot):
        return _crank_with_slot(unit, rotation_rad, travel_mm, full_rad)
    assert isinstance(unit, CrankWithLink)
    r, aside = float(unit.crank_radius_mm), float(unit.offset_mm)
    link = float(unit.link_length_mm)
    start = float(unit.rest_angle_rad)
    pin = r * towards(start + rotation_rad)
    first = r * towards(start)
    at_rest = first[1] - np.sqrt(link**2 - (first[0] - aside) ** 2)
    slider = np.array([aside, at_rest + travel_mm])
    wide = 0.16 * r
    rod_to = at_rest - 0.8 * r
    shapes = (
        circle("crank circle", "symbol", (0.0, 0.0), r, assumed=True),
        line("crank", "moving", (0.0, 0.0), pin),
        line("link", "moving", pin, slider),
        line("rod", "moving", slider, (aside, rod_to + travel_mm)),
        circle("crank pin", "moving", pin, wide),
        circle("rod pin", "moving", slider, wide),
        line("guide left", "fixed", (aside - 2 * wide, rod_to), (aside - 2 * wide, at_rest)),
        line("guide right", "fixed", (aside + 2 * wide, rod_to), (aside + 2 * wide, at_rest)),
        _shaft(r),
    )
    return View("release", shapes, {"shaft": np.zeros(2), "crank pin": pin, "rod": slider})


def _crank_with_slot(
    unit: CrankWithSlot, rotation_rad: float, travel_mm: float, full_rad: float
) -> View:
    """Return the crank with its pin in a slot across the rod."""
    r, start = float(unit.crank_radius_mm), float(unit.rest_angle_rad)
    pin = r * towards(start + rotation_rad)
    first = r * towards(start)
    height = first[1] + travel_mm
    reach = r * np.cos([start, start + max(full_rad, rotation_rad), start + rotation_rad])
    wide = 0.16 * r
    low, high = min(reach.min(), 0.0) - 2 * wide, max(reach.max(), 0.0) + 2 * wide
    shapes = (
        circle("crank circle", "symbol", (0.0, 0.0), r, assumed=True),
        box("slot", "moving", (low, height - wide), (high, height + wide), assumed=True),
        line("rod", "moving", (0.0, height - wide), (0.0, height - 1.8 * r), assumed=True),
        line("crank", "moving", (0.0, 0.0), pin),
        circle("crank pin", "moving", pin, wide),
        _shaft(r),
    )
    rod = np.array([0.0, height])
    return View("release", shapes, {"shaft": np.zeros(2), "crank pin": pin, "rod": rod})


def eccentric(keys: Inward, rotation_rad: float, travel_mm: float, _: float) -> View:
    """Return the round on its shaft, and the flat follower lying on it."""
    unit = keys.release
    assert isinstance(unit, Eccentric)
    e, start = float(unit.eccentricity_mm), float(unit.rest_angle_rad)
    given = keys.get("release.cam_radius")
    radius = CAM_OF_ECCENTRICITY * e if given is None else float(given)
    centre = e * towards(start + rotation_rad)
    flat = e * np.sin(start) + radius + travel_mm
    wide = 1.1 * radius
    unknown = given is None
    shapes = (
        circle("round", "moving", centre, radius, assumed=unknown),
        line("throw", "moving", (0.0, 0.0), centre),
        line("follower", "moving", (-wide, flat), (wide, flat)),
        line("rod", "moving", (0.0, flat), (0.0, flat + 0.7 * radius)),
        circle("round centre", "moving", centre, 0.06 * radius, assumed=unknown),
        _shaft(0.9 * radius),
    )
    assumed = ("release.cam_radius",) if unknown else ()
    points = {"shaft": np.zeros(2), "round centre": centre, "rod": np.array([0.0, flat])}
    return View("release", shapes, points, assumed)


def profile(keys: Inward, rotation_rad: float, travel_mm: float, full_rad: float) -> View:
    """Return the measured law as a developed cam, with its readings upon it."""
    unit = keys.release
    assert isinstance(unit, MeasuredUnit)
    view = by_law(keys, rotation_rad, travel_mm, full_rad)
    radius = law_radius_mm(unit, full_rad)
    shift = radius * rotation_rad
    turns, rises = np.asarray(unit.curve.x, float), np.asarray(unit.curve.y, float)
    inside = turns <= max(full_rad, rotation_rad) * 1.3 + 1e-9
    ring = 0.035 * radius * max(full_rad, rotation_rad, 1e-3)
    readings = [
        circle(f"reading {k}", "symbol", (shift - radius * turn, rise), ring)
        for k, (turn, rise) in enumerate(zip(turns[inside], rises[inside], strict=True))
    ]
    return View(view.name, (*view.shapes, *readings), view.points, view.assumed, "readings")


def law_radius_mm(unit: ReleaseUnit, full_rad: float) -> float:
    """Return the radius at which a law is laid out, so that its slope can be read [mm]."""
    full = max(full_rad, 1e-3)
    return LAW_RADIUS_OF_TRAVEL * float(unit.at(full).travel_mm) / full


def by_law(keys: Inward, rotation_rad: float, travel_mm: float, full_rad: float) -> View:
    """Return any unit by its law: travel over rotation, as a cam laid out at an assumed radius.

    The cam turns under a follower that stands at x = 0, and lifts it by the rod's travel.
    """
    unit = keys.release
    last = max(full_rad, rotation_rad, 1e-3)
    radius = law_radius_mm(unit, full_rad)
    with np.errstate(all="ignore"):
        turns = np.linspace(0.0, min(1.15 * last, float(unit.last_rotation_rad)), _SAMPLES)
        rises = np.broadcast_to(unit.at(turns).travel_mm, turns.shape)
    shift, top = radius * rotation_rad, float(rises.max())
    deep = max(0.25 * top, 0.1 * radius)
    curve = np.stack([-radius * turns, rises], axis=-1)[::-1]
    lip = 0.15 * radius * last
    edge = np.array([(lip, 0.0), (lip, -deep), (curve[0][0], -deep)])
    cam = Shape(
        "cam",
        "moving",
        np.concatenate([curve, edge]) + np.array([shift, 0.0]),
        closed=True,
        assumed=True,
    )
    tip = np.array([0.0, travel_mm])
    wide = 0.05 * radius * last
    follower = line(
        "follower", "moving", tip, tip + xy(-wide, 2 * wide), tip + xy(wide, 2 * wide), closed=True
    )
    rod = line("rod", "moving", tip + xy(0.0, 2 * wide), tip + xy(0.0, 2 * wide + 1.5 * deep))
    return View("release", (cam, follower, rod), {"rod": tip}, (), "developed")


def _shaft(reach_mm: float) -> Shape:
    """Return the shaft that the unit turns about, of a size nobody gave."""
    return circle("shaft", "fixed", (0.0, 0.0), 0.12 * reach_mm)


UNIT_VIEWS: Mapping[str, UnitView] = {
    "ball-ramp": ball_ramp,
    "quick-thread": quick_thread,
    "rack": rack,
    "crank": crank,
    "eccentric": eccentric,
    "profile": profile,
}
"""The view of each kind; one that is not here is drawn by its law."""


def unit_view(keys: Inward, rotation_rad: float, travel_mm: float, full_rad: float) -> View:
    """Return the release unit at a rotation, as its own kind is drawn, or by its law.

    Parameters
    ----------
    keys : Inward
        Of one mechanism, with a release unit.
    rotation_rad, travel_mm : float
        Of the unit's shaft and of the rod, from rest [rad, mm].
    full_rad : float
        Rotation at full lever, to which ramps and cams are drawn [rad].
    """
    draw = UNIT_VIEWS.get(str(keys["release.kind"]), by_law)
    return draw(keys, rotation_rad, travel_mm, full_rad)
