"""The chain as one fused loop, compiled by Numba: a yardstick for how fast many variants can go.

It is written for the clutches of scenarios.py alone (pin levers, ball ramps, coned disc or coils)
and shares no line with the package: the equations are those of docs/theory.md, "Chain", in the same
five segments of the stroke coordinate q. Nothing is kept but three answers, no reason is given for
a variant that cannot be computed, and where the plates jump there is no answer at all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

DISC, COILS = 0.0, 1.0
_KINDS = {"coned-disc": DISC, "coils": COILS}

# What the kernel reads, in the file's bare units, and what stands for a key that is not given.
INPUTS: dict[str, float] = {
    "lever.nipple_radius": math.nan,
    "lever.stop_distance": math.nan,
    "lever.rest_length": math.nan,
    "lever.hand_radius": math.nan,
    "lever.hand_travel": math.nan,
    "lever.stiffness": math.inf,
    "lever.efficiency": 1.0,
    "cable.free_play": 0.0,
    "cable.seating": 0.0,
    "cable.bend": 0.0,
    "cable.friction": 0.0,
    "cable.drag": 0.0,
    "cable.stiffness": math.inf,
    "arm.radius": math.nan,
    "arm.stop_distance": math.nan,
    "arm.rest_length": math.nan,
    "arm.return_torque": 0.0,
    "arm.return_rate": 0.0,
    "arm.shaft_stiffness": math.inf,
    "arm.max_rotation": math.inf,
    "arm.efficiency": 1.0,
    "release.pitch_radius": math.nan,
    "release.ramp_angle": math.nan,
    "release.far_ramp_angle": math.nan,
    "release.friction_angle": 0.0,
    "release.max_rotation": math.inf,
    "rod.end_float": 0.0,
    "rod.stiffness": math.inf,
    "rod.finger_ratio": 1.0,
    "spring.kind": DISC,
    "spring.outside_diameter": math.nan,
    "spring.inside_diameter": math.nan,
    "spring.thickness": math.nan,
    "spring.cone_height": math.nan,
    "spring.youngs_modulus": 206000.0,
    "spring.poisson": 0.3,
    "spring.count": math.nan,
    "spring.rate": math.nan,
    "spring.free_length": math.nan,
    "spring.installed_length": math.nan,
    "spring.solid_length": 0.0,
    "spring.friction": 0.0,
    "stack.rim_depth": math.nan,
    "stack.friction_plate": math.nan,
    "stack.pressure_plate": math.nan,
    "faces.friction_plates": math.nan,
    "faces.cushion_travel": 0.0,
    "faces.cushion_load": math.nan,
    "faces.plate_runout": 0.0,
    "faces.plain_plate_runout": 0.0,
    "faces.basket_runout": 0.0,
    "faces.pressure_plate_runout": 0.0,
    "faces.lift_tilt": 0.0,
}
_PLACE = {key: place for place, key in enumerate(INPUTS)}

POSITIONS_A_SEGMENT = 20
POSITIONS = 5 * POSITIONS_A_SEGMENT + 1

_GIVEN = np.dtype([(key.replace(".", "_"), np.float64) for key in INPUTS])

# One variant in mm, N, rad and N mm.
_QUANTITIES = (
    "lever_sides",
    "lever_squares",
    "lever_rest_angle",
    "lever_rest_length",
    "lever_end_pull",
    "lever_compliance",
    "lever_loss",
    "hand_radius",
    "hand_travel",
    "slack",
    "gain",
    "drag",
    "stretch",
    "arm_sides",
    "arm_squares",
    "arm_rest_angle",
    "arm_rest_length",
    "arm_loss",
    "arm_end",
    "return_torque",
    "return_rate",
    "shaft_compliance",
    "travel_per_rad",
    "torque_arm",
    "unit_end",
    "rest_slope",
    "end_float",
    "rod_compliance",
    "finger_ratio",
    "coils",
    "coil_rate",
    "cone_height",
    "thickness",
    "disc_scale",
    "spring_friction",
    "spring_end",
    "installed",
    "clamp",
    "cushion",
)
_CHAIN = np.dtype([(name, np.float64) for name in _QUANTITIES])

_compiled = numba.njit(cache=True, fastmath=False, error_model="numpy")


@_compiled
def _angle_at_pivot(r: float, d: float, length: float) -> float:
    cosine = (r * r + d * d - length * length) / (2 * r * d)
    return math.acos(min(max(cosine, -1.0), 1.0))


@_compiled
def _disc_scale(outside: float, inside: float, thickness: float, e: float, nu: float) -> float:
    """Return 4 E t/((1 - nu**2) K1 De**2), Almen and Laszlo."""
    ratio = outside / inside
    k1 = ((ratio - 1) / ratio) ** 2 / ((ratio + 1) / (ratio - 1) - 2 / math.log(ratio)) / math.pi
    return 4 * e / (1 - nu * nu) * thickness / (k1 * outside * outside)


@_compiled
def _spring_load(c: Any, deflection: float) -> float:
    if c.coils == COILS:
        return c.coil_rate * deflection
    s, h, t = deflection, c.cone_height, c.thickness
    return c.disc_scale * s * ((h - s) * (h - s / 2) + t * t)


@_compiled
def _at(c: Any, q: float) -> tuple[float, float, float, float]:
    """Return the least room to a limit, hand force [N], hand travel and signed lift [mm] at q."""
    slack_share, stretching = min(max(q, 0.0), 1.0), min(max(q - 1, 0.0), 1.0)
    float_share, easing = min(max(q - 2, 0.0), 1.0), min(max(q - 3, 0.0), 1.0)
    held = (1 - easing) * c.clamp * (1 + c.spring_friction)
    lift = c.cushion * (c.clamp - min(held, c.clamp)) + max(q - 4, 0.0)
    deflection = c.installed + lift
    rod = (_spring_load(c, deflection) * (1 + c.spring_friction) - held) / c.finger_ratio
    travel = c.finger_ratio * lift + c.rod_compliance * rod + float_share * c.end_float
    unit = travel / c.travel_per_rad
    torque = rod * c.torque_arm
    turn = unit + c.shaft_compliance * torque

    angle = c.arm_rest_angle - turn
    cosine = math.cos(angle)
    sine = math.copysign(math.sqrt(1 - cosine * cosine), angle)
    arm_length = math.sqrt(c.arm_squares - 2 * c.arm_sides * cosine)
    arm_mm = max(c.arm_sides * sine / arm_length, 1e-9)
    resisting = torque + c.return_torque + c.return_rate * turn
    tension = max(stretching * resisting * c.arm_loss / arm_mm, 0.0)
    pull = slack_share * c.slack + (c.arm_rest_length - arm_length) + tension * c.stretch

    length = c.lever_rest_length + pull
    cosine = (c.lever_squares - length * length) / (2 * c.lever_sides)
    cosine = min(max(cosine, -1.0), 1.0)
    lever_turn = math.acos(cosine) - c.lever_rest_angle
    lever_mm = c.lever_sides * math.sqrt(1 - cosine * cosine) / length
    hand_tension = max(tension * c.gain + c.drag, 0.0) if q > 0 else 0.0
    force = hand_tension * lever_mm * c.lever_loss / c.hand_radius
    hand = c.hand_radius * lever_turn + c.lever_compliance * force

    room = min(c.hand_travel - hand, c.unit_end - unit)
    room = min(room, min(c.arm_end, c.arm_rest_angle) - turn)
    room = min(room, min(c.spring_end - deflection, c.lever_end_pull - pull))
    short = (1 - slack_share) * c.slack * c.rest_slope + (1 - float_share) * c.end_float
    return room, force, hand, lift - short / c.finger_ratio


@_compiled
def _end(c: Any) -> float:
    """Return q at full lever: the joints bracket it, Chandrupatla's search finds it."""
    low, high = 4.0, 4 + max(c.spring_end - c.installed - c.cushion * c.clamp, 0.0)
    for joint in (1.0, 2.0, 3.0, 4.0):
        if _at(c, joint)[0] <= 0:
            low, high = joint - 1, joint
            break
    a, b = high, low
    fa, fb = _at(c, a)[0], _at(c, b)[0]
    if fa >= 0:
        return high
    t = 0.5
    for _ in range(80):
        x = a + t * (b - a)
        fx = _at(c, x)[0]
        if (fx > 0) == (fa > 0):
            far, f_far = a, fa
        else:
            far, f_far, b, fb = b, fb, a, fa
        a, fa = x, fx
        best = a if abs(fa) < abs(fb) else b
        width = abs(b - a)
        least = 4 * 2.3e-16 * abs(best) / width if width > 0 else 1.0
        if least >= 0.5 or fx == 0:
            return best
        xi, phi = (a - b) / (far - b), (fa - fb) / (f_far - fb)
        t = 0.5
        if phi * phi < xi and (1 - phi) ** 2 < 1 - xi:
            step = fa / (fb - fa) * f_far / (fb - f_far)
            step += (far - a) / (b - a) * fa / (f_far - fa) * fb / (f_far - fb)
            t = min(max(step, least), 1 - least)
    return best


@_compiled
def _hump(c: Any, start: float, step: float, force: Any, middle: int) -> float:
    """Return the top of a smooth hump from three samples of the segment that begins at `start`."""
    left, mid, right = force[middle - 1], force[middle], force[middle + 1]
    top = max(left, mid, right)
    last = start + POSITIONS_A_SEGMENT * step
    centre = start + (middle % POSITIONS_A_SEGMENT) * step
    for _ in range(3):
        bend = left - 2 * mid + right
        if not bend < 0:
            return top
        shift = min(max(0.5 * (left - right) / bend, -1.0), 1.0)
        centre += step * shift
        step /= 16
        centre = min(max(centre, start + step), last - step)
        left, mid, right = (
            _at(c, centre - step)[1],
            _at(c, centre)[1],
            _at(c, centre + step)[1],
        )
        top = max(top, left, mid, right)
    return top


@_compiled
def _size(end: float, segment: int) -> float:
    """Return how much of a segment the stroke covers; the last has no end of its own."""
    left = max(end - segment, 0.0)
    return left if segment == 4 else min(left, 1.0)


@_compiled
def _peak(c: Any, end: float, force: Any) -> float:
    """Return the greatest hand force over 101 positions; NaN where the hand must turn back."""
    force[0] = 0.0
    last_hand, best = 0.0, 0
    for k in range(1, POSITIONS):
        segment = (k - 1) // POSITIONS_A_SEGMENT
        share = (k - segment * POSITIONS_A_SEGMENT) / POSITIONS_A_SEGMENT
        _, force[k], hand, _ = _at(c, min(segment + share * _size(end, segment), end))
        if hand < last_hand - 1e-9:
            return math.nan
        last_hand = hand
        if force[k] > force[best]:
            best = k
    top = force[best]
    # A smooth hump lies between two samples of one segment: look on both sides of a joint.
    for middle in (best - 1, best, best + 1):
        if 1 <= middle < POSITIONS - 1 and middle % POSITIONS_A_SEGMENT != 0:
            segment = middle // POSITIONS_A_SEGMENT
            step = _size(end, segment) / POSITIONS_A_SEGMENT
            if step > 0:
                top = max(top, _hump(c, float(segment), step, force, middle))
    return top


@_compiled
def _linkage(given: Any, c: Any) -> None:
    r, d, length = given.lever_nipple_radius, given.lever_stop_distance, given.lever_rest_length
    c.lever_sides, c.lever_squares, c.lever_rest_length = r * d, r * r + d * d, length
    c.lever_rest_angle = _angle_at_pivot(r, d, length)
    c.lever_end_pull = r + d - length
    c.lever_compliance, c.lever_loss = 1 / given.lever_stiffness, 1 / given.lever_efficiency
    c.hand_radius, c.hand_travel = given.lever_hand_radius, given.lever_hand_travel

    wrap = given.cable_friction * math.radians(given.cable_bend)
    c.slack, c.drag = given.cable_free_play + given.cable_seating, given.cable_drag
    c.gain = math.exp(wrap)
    mean = math.expm1(wrap) / wrap if abs(wrap) > 1e-12 else 1 + wrap / 2
    c.stretch = mean / given.cable_stiffness

    r, d, length = given.arm_radius, given.arm_stop_distance, given.arm_rest_length
    c.arm_sides, c.arm_squares, c.arm_rest_length = r * d, r * r + d * d, length
    c.arm_rest_angle = _angle_at_pivot(r, d, length)
    c.arm_loss, c.arm_end = 1 / given.arm_efficiency, math.radians(given.arm_max_rotation)
    c.return_torque = 1000 * given.arm_return_torque
    c.return_rate = 1000 * math.degrees(given.arm_return_rate)
    c.shaft_compliance = 1 / (1000 * math.degrees(given.arm_shaft_stiffness))

    pitch = given.release_pitch_radius
    slope = math.radians(given.release_ramp_angle + given.release_far_ramp_angle) / 2
    c.travel_per_rad = pitch * math.tan(slope)
    c.torque_arm = pitch * math.tan(slope + math.radians(given.release_friction_angle))
    c.unit_end = math.radians(given.release_max_rotation)
    c.rest_slope = c.travel_per_rad * length / (c.arm_sides * math.sin(c.arm_rest_angle))
    c.end_float, c.finger_ratio = given.rod_end_float, given.rod_finger_ratio
    c.rod_compliance = 1 / given.rod_stiffness


@_compiled
def _clamping(given: Any, c: Any) -> None:
    c.coils, c.spring_friction = given.spring_kind, given.spring_friction
    if given.spring_kind == COILS:
        c.coil_rate = given.spring_count * given.spring_rate
        c.installed = given.spring_free_length - given.spring_installed_length
        c.spring_end = given.spring_free_length - given.spring_solid_length
    else:
        c.cone_height, c.thickness = given.spring_cone_height, given.spring_thickness
        c.disc_scale = _disc_scale(
            given.spring_outside_diameter,
            given.spring_inside_diameter,
            given.spring_thickness,
            given.spring_youngs_modulus,
            given.spring_poisson,
        )
        gap = given.stack_rim_depth - given.faces_friction_plates * given.stack_friction_plate
        gap -= given.stack_pressure_plate
        c.installed = c.cone_height + c.thickness - gap
        c.spring_end = c.cone_height
    c.clamp = _spring_load(c, c.installed)
    c.cushion = given.faces_cushion_travel / given.faces_cushion_load


@_compiled
def _variant(given: Any) -> tuple[float, float, float]:
    """Return clearance per face [mm], peak hand force and hand force at full lever [N]."""
    chain, force = np.empty(1, _CHAIN), np.empty(POSITIONS)
    c = chain[0]
    _linkage(given, c)
    _clamping(given, c)
    end = _end(c)
    _, full, _, lift = _at(c, end)
    plates = given.faces_friction_plates
    needed = plates * given.faces_plate_runout + (plates - 1) * given.faces_plain_plate_runout
    needed += abs(given.faces_basket_runout) / 2
    needed += abs(given.faces_pressure_plate_runout + given.faces_lift_tilt) / 2
    peak = max(_peak(c, end, force), full)
    return (lift - c.cushion * c.clamp - needed) / (2 * plates), peak, full


@numba.njit(parallel=True, cache=True, fastmath=False, error_model="numpy")
def _all(base: Array, columns: Any, values: Array, found: Array) -> None:
    for i in numba.prange(found.shape[1]):
        row = base.copy()
        for k in range(columns.size):
            row[columns[k]] = values[k, i]
        found[0, i], found[1, i], found[2, i] = _variant(row.view(_GIVEN)[0])


def kernel(
    keys: Mapping[str, Any], over: Mapping[str, Any], *, threads: int | None = None
) -> tuple[Array, Array, Array]:
    """Return clearance per face [mm], peak hand force and hand force at full lever [N].

    Parameters
    ----------
    keys : mapping
        Flat keys of the clutch in the file's bare units.
    over : mapping
        Some of INPUTS to arrays of one shape (N,).
    threads : int or None
        None is all cores.
    """
    given = {**INPUTS, **{key: keys[key] for key in INPUTS if keys.get(key) is not None}}
    given["spring.kind"] = _KINDS[keys["spring.kind"]]
    base = np.array([float(value) for value in given.values()])
    columns = np.array([_PLACE[key] for key in over])
    values = np.stack([np.asarray(column, float) for column in over.values()])
    found = np.empty((3, values.shape[1]))
    most = numba.config.NUMBA_NUM_THREADS
    numba.set_num_threads(min(threads or most, most))
    _all(base, columns, values, found)
    return found[0], found[1], found[2]
