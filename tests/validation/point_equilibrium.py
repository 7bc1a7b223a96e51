"""The whole chain a second time, by root finding on points: a check on the package's own sums.

Source: derived here from geometry and statics alone; no published numbers. The package writes
the chain explicitly from the plates back to the hand. Here the order plays no part: pins are
points held on circles by equations, the cable is a distance between two points, moment arms are
cross products and ball, thread, cam and link forces are vectors. All unknowns are found together
for a given hand travel. What touches, hangs slack or moves is found by complementarity: of every
pair (gap, force) one is zero and neither is negative.

Use
---
``full_lever(file)``             the lever against the grip, with the return at the same lift
``at_hand_travel(file, h_mm)``   any position in between, pulling from rest
``at_plate_lift(file, x_mm)``    pulling, at a lift of the plate above 0
``letting_back(file, x_mm)``     letting back, at a lift of the plate above 0
``event(file, name)``            "slack-taken-up" or "faces-part", exact
``peak(file)``                   largest hand force on the way, and where
``scenarios()``                  invented mechanisms, name to file

``file`` is the dict that `tomllib` makes of a geometry file, bare numbers in the file's units.
Inside: mm, N, rad, N·mm. Left out, and refused when asked for: text values, free play measured
at the hand, a wire described by its construction, changes. Every stop but the grip is refused.
"""

from __future__ import annotations

import itertools
import json
import math
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from point_links import BeyondThisCheckError, CableCurve, Table, Vector, loss_factor
from point_mechanism import Mechanism, read
from scipy.optimize import minimize_scalar, root

PULLING, LETTING_BACK = +1, -1


# ---------------------------------------------------------------- one position


@dataclass(frozen=True)
class Touching:
    """Which of each complementary pair is free to be positive; the other is zero."""

    lever_turns: bool  # else the blade only bends against the cable's drag
    cable_taut: bool  # else it hangs slack, without tension
    arm_turns: bool  # else its return spring holds it at rest
    rod_loaded: bool  # else end float is left
    plate_lifts: bool  # else the spring holds it at rest
    faces_touch: bool  # else they are parted, without clamp force


#: No part moves, and nothing is loaded, before what drives it is.
STATES = [
    Touching(*bits)
    for bits in itertools.product([False, True], repeat=6)
    if bits[0] >= bits[1] >= bits[2] >= bits[3] >= bits[4] and (bits[5] or bits[4])
]
REST = Touching(False, False, False, False, False, True)
LIFTED = {touch: Touching(True, True, True, True, True, touch) for touch in (True, False)}

# Places in the vector of unknowns. Three points, then scalars.
_PIN, _ARM, _UNIT = slice(0, 2), slice(2, 4), slice(4, 6)
_Y, _X, _T, _R, _N, _M, _F, _H = range(6, 14)
TOLERANCE = 1e-12


@dataclass(frozen=True)
class Equilibrium:
    """One position of the whole chain: all unknowns, and what was assumed to touch."""

    mechanism: Mechanism
    way: int
    touching: Touching
    z: np.ndarray  # in mm, N, N·mm
    residual: float  # largest, each equation over its own scale

    def point(self, place: slice) -> Vector:
        return (float(self.z[place][0]), float(self.z[place][1]))


def _scales(m: Mechanism) -> np.ndarray:
    load = m.installed_load_n / m.finger_ratio
    unit_radius = math.hypot(*m.unit.rest)
    points = [m.lever.radius_mm] * 2 + [m.arm.radius_mm] * 2 + [unit_radius] * 2
    return np.array([*points, 1.0, 1.0, 300.0, load, load * m.finger_ratio, load * 5, 100.0, 10.0])


Drive = Callable[[np.ndarray], float]


def _equations(m: Mechanism, way: int, t: Touching, drive: Drive, z: np.ndarray) -> list[float]:
    """Fourteen residuals, each over its own scale; zero in equilibrium."""
    pin, arm, unit = ((float(z[p][0]), float(z[p][1])) for p in (_PIN, _ARM, _UNIT))
    y, x, tension, rod, clamp, torque, hand, h = (float(v) for v in z[6:])
    scale = _scales(m)
    arm_angle, ratio = m.arm.angle_rad(arm), m.finger_ratio
    at_lever = m.tension_at_lever_n(tension, way)
    returning = m.return_torque_nmm + m.return_rate_nmm_per_rad * arm_angle
    unit_torque = m.unit.torque_nmm(unit, y, rod, way)
    moment = tension * m.arm.moment_arm_mm(arm)
    balance = moment - loss_factor(m.arm_efficiency, way) * (torque + returning)
    if way < 0 and not t.cable_taut:  # the unit holds itself: nothing comes back to the cable
        unit_torque = -returning
    lever_moment = at_lever * m.lever.moment_arm_mm(pin)
    lever_load = max(0.0, lever_moment * loss_factor(m.lever_efficiency, way))
    taut = m.lever.pull_mm(pin) - m.arm.pull_mm(arm) - m.stretch_mm(tension, way) - m.slack_mm
    spring = m.spring.load_n(m.installed_mm + x) * (1 + way * m.spring.friction)
    flex = m.rod_mm_per_n + ratio**2 * m.plate_mm_per_n
    lifting = ratio * rod - (spring - clamp if way > 0 else max(0.0, spring - clamp))
    return [
        math.hypot(*pin) / m.lever.radius_mm - 1,
        math.hypot(*arm) / m.arm.radius_mm - 1,
        math.hypot(*unit) / math.hypot(*m.unit.rest) - 1,
        taut if t.cable_taut or way < 0 else tension / scale[_T],
        arm_angle - m.unit.angle_rad(unit) - torque * m.shaft_rad_per_nmm,
        m.unit.travel_gap_mm(unit, y),
        y - ratio * x - rod * flex - m.float_mm if t.rod_loaded else rod / scale[_R],
        _face_gap(m, t, x, clamp, ratio * rod),
        lifting / scale[_N] if t.plate_lifts else x,
        (torque - unit_torque) / scale[_M],
        _arm_balance(t, way, balance, arm_angle, tension, scale),
        (hand * m.hand_radius_mm - lever_load) / (scale[_F] * m.hand_radius_mm)
        if t.lever_turns
        else m.lever.angle_rad(pin),
        (h - m.hand_radius_mm * m.lever.angle_rad(pin) - hand * m.blade_mm_per_n) / scale[_H],
        drive(z),
    ]


def _arm_balance(
    t: Touching, way: int, balance: float, angle: float, tension: float, scale: np.ndarray
) -> float:
    if way < 0 and not t.cable_taut:
        return tension / scale[_T]
    return balance / scale[_M] if t.arm_turns else angle


def _face_gap(m: Mechanism, t: Touching, x: float, clamp: float, lifting_n: float) -> float:
    """Clamp force against the cushion, or none; rigid faces at rest share the spring's load."""
    load = m.installed_load_n
    if not t.faces_touch:
        return clamp / load
    if m.cushion_travel_mm == 0:
        return (clamp - max(0.0, load - lifting_n)) / load
    return (clamp - m.cushion_load_n * (m.cushion_rest_mm - x) / m.cushion_travel_mm) / load


def _solve(
    m: Mechanism, way: int, t: Touching, drive: Drive, guess: np.ndarray
) -> Equilibrium | None:
    """All unknowns together by a general root finder, then Newton steps down to rounding."""
    scale = _scales(m)

    def residual(unknowns: np.ndarray) -> np.ndarray:
        return np.array(_equations(m, way, t, drive, unknowns * scale))

    try:
        u = root(residual, guess / scale, method="hybr", options={"xtol": 1e-13}).x
        best, size = u, np.abs(residual(u)).max()
        for _ in range(6):
            if not size < 1e-3:
                return None
            step = np.linalg.solve(_jacobian(residual, best), residual(best))
            u = best - step
            new = np.abs(residual(u)).max()
            if not new < size:
                break
            best, size = u, new
    except (ValueError, ArithmeticError, np.linalg.LinAlgError):
        return None  # outside a square root, or nothing to push against: no such position
    if not size < TOLERANCE:
        return None
    return Equilibrium(m, way, t, best * scale, float(size))


def _jacobian(residual: Callable[[np.ndarray], np.ndarray], u: np.ndarray) -> np.ndarray:
    step = 1e-6
    columns = []
    for k in range(u.size):
        shift = np.zeros_like(u)
        shift[k] = step
        columns.append((residual(u + shift) - residual(u - shift)) / (2 * step))
    return np.array(columns).T


def _admissible(e: Equilibrium) -> bool:
    """Pulling: no gap and no force of any pair is negative, and no dead centre is passed."""
    m, t, z, small = e.mechanism, e.touching, e.z, 1e-9
    pin, arm = e.point(_PIN), e.point(_ARM)
    turned = m.arm.angle_rad(arm)
    at_lever = m.tension_at_lever_n(z[_T], 1) * m.lever.moment_arm_mm(pin)
    stretch = m.stretch_mm(z[_T], 1)
    taut = m.lever.pull_mm(pin) - m.arm.pull_mm(arm) - stretch - m.slack_mm
    arm_moment = z[_T] * m.arm.moment_arm_mm(arm) * m.arm_efficiency
    returning = m.return_torque_nmm + m.return_rate_nmm_per_rad * turned
    spring = m.spring.load_n(m.installed_mm + z[_X]) * (1 + m.spring.friction)
    held = spring - z[_N] - m.finger_ratio * z[_R]
    if m.cushion_travel_mm == 0:
        held = spring - m.finger_ratio * z[_R]
        if t.faces_touch and t.plate_lifts:
            return False
    signs = [
        m.lever.moment_arm_mm(pin),
        m.arm.moment_arm_mm(arm),
        m.lever.angle_rad(pin) if t.lever_turns else at_lever / m.hand_radius_mm - z[_F],
        z[_T] / 300 if t.cable_taut else -taut,
        turned if t.arm_turns else (returning - arm_moment) / 1e3,
        z[_R] / m.installed_load_n if t.rod_loaded else m.float_mm + m.finger_ratio * z[_X] - z[_Y],
        z[_X] if t.plate_lifts else held / m.installed_load_n,
        z[_N] / m.installed_load_n if t.faces_touch else z[_X] - m.cushion_rest_mm,
    ]
    return min(signs) > -small


def _at_rest(m: Mechanism) -> Equilibrium:
    z = np.array(
        [*m.lever.rest, *m.arm.rest, *m.unit.rest, 0, 0, 0, 0, m.installed_load_n, 0, 0, 0]
    )
    return Equilibrium(m, PULLING, REST, z.astype(float), 0.0)


def _drive(place: int, value: float, scale: np.ndarray) -> Drive:
    return lambda z: (float(z[place]) - value) / float(scale[place])


def _jump_mm(old: Equilibrium, new: Equilibrium) -> float:
    """How far geometry moved between two positions [mm, points over their radius times 10]."""
    change = np.abs(new.z - old.z) / _scales(old.mechanism)
    return float(max(change[:6].max() * 10, change[_Y], change[_X]))


def _next(last: Equilibrium, place: int, value: float) -> Equilibrium | None:
    """The admissible position nearest to the last one, whatever touches there."""
    drive = _drive(place, value, _scales(last.mechanism))
    first = [last.touching, *(s for s in STATES if s != last.touching)]
    found = []
    for state in first:
        position = _solve(last.mechanism, PULLING, state, drive, last.z)
        if position is not None and _admissible(position):
            if state == last.touching and _jump_mm(last, position) < 0.5:
                return position
            found.append(position)
    return min(found, key=lambda p: _jump_mm(last, p), default=None)


def pull_to(m: Mechanism, hand_travel_mm: float) -> Equilibrium:
    """Follow the branch that begins at rest up to a hand travel, in short steps."""
    return _walk(m, hand_travel_mm)[-1]


def _walk(m: Mechanism, hand_travel_mm: float, step_mm: float = 1.5) -> list[Equilibrium]:
    path = [_at_rest(m)]
    step = step_mm
    while (here := float(path[-1].z[_H])) < hand_travel_mm - 1e-12:
        target = min(here + step, hand_travel_mm)
        position = _next(path[-1], _H, target)
        if position is None or (_jump_mm(path[-1], position) > 1.0 and step > 1e-3):
            step /= 2
            if step < 1e-6:
                raise BeyondThisCheckError(f"no position found past {here} mm at the hand")
            continue
        path.append(position)
        step = min(step_mm, step * 2)
    return path


@cache
def _whole_path(text: str, step_mm: float) -> tuple[Equilibrium, ...]:
    m = read(json.loads(text))
    return tuple(_walk(m, m.hand_travel_mm, step_mm))


def _path(file: Table, step_mm: float = 1.5) -> tuple[Equilibrium, ...]:
    """The way of a file from rest to the grip, followed once for all that is asked about it."""
    return _whole_path(json.dumps(file), step_mm)


# ---------------------------------------------------------------- results


def _report(e: Equilibrium) -> dict[str, float]:
    m, z = e.mechanism, e.z
    pin, arm, unit = e.point(_PIN), e.point(_ARM), e.point(_UNIT)
    separation = z[_X] - m.cushion_rest_mm
    bodies = ((m.lever, pin, math.inf), (m.arm, arm, m.arm_limit_rad))
    over = [
        body.angle_rad(at) > min(limit, body.last_rad if isinstance(body, CableCurve) else limit)
        for body, at, limit in bodies
    ]
    if any(over) or m.unit.angle_rad(unit) > m.unit_limit_rad:
        raise BeyondThisCheckError(
            "the lever, the arm or the release unit stops before this position"
        )
    to_stop = m.spring.last_deflection_mm - m.installed_mm - z[_X]
    if to_stop < 0:
        raise BeyondThisCheckError("the spring stops before this position")
    return {
        "hand_travel_mm": float(z[_H]),
        "lever_angle_deg": math.degrees(m.lever.angle_rad(pin)),
        "cable_pull_mm": m.lever.pull_mm(pin),
        "arm_rotation_deg": math.degrees(m.arm.angle_rad(arm)),
        "unit_rotation_deg": math.degrees(m.unit.angle_rad(unit)),
        "rod_travel_mm": float(z[_Y]),
        "plate_lift_mm": float(z[_X]),
        "separation_mm": float(max(0.0, separation)),
        "needed_mm": m.needed_mm,
        "clearance_per_face_mm": float(separation - m.needed_mm) / (2 * m.friction_plates),
        "hand_force_n": float(z[_F]),
        "cable_tension_n": float(z[_T]),
        "rod_force_n": float(z[_R]),
        "clamp_force_n": float(z[_N]) if e.touching.faces_touch else 0.0,
        "unit_torque_nmm": float(z[_M]),
        "cable_to_arm_angle_deg": m.arm.cable_angle_deg(arm),
        "spring_to_stop_mm": float(to_stop) if math.isfinite(to_stop) else math.nan,
        "residual": e.residual,
    }


def at_hand_travel(file: Table, hand_travel_mm: float) -> dict[str, float]:
    """Position and forces at a hand travel [mm], pulling from rest, in the results' names."""
    return _report(pull_to(read(file), hand_travel_mm))


def full_lever(file: Table) -> dict[str, float]:
    """Full lever against the grip, with the return values at the same lift."""
    pulled = _path(file)[-1]
    result = _report(pulled)
    if result["plate_lift_mm"] > 0:
        back = _report(_let_back(pulled, result["plate_lift_mm"]))
        result["return_hand_force_n"] = back["hand_force_n"]
        result["return_hand_travel_mm"] = back["hand_travel_mm"]
        result["residual"] = max(result["residual"], back["residual"])
    return result


def at_plate_lift(file: Table, plate_lift_mm: float) -> dict[str, float]:
    """Pulling, at a given lift of the plate [mm] above 0 and up to that of full lever."""
    return _report(_pulled_to_lift(_path(file), plate_lift_mm))


def letting_back(file: Table, plate_lift_mm: float) -> dict[str, float]:
    """Letting back, at a given lift of the plate [mm] above 0 and up to that of full lever."""
    pulled = _pulled_to_lift(_path(file), plate_lift_mm)
    return _report(_let_back(pulled, plate_lift_mm))


def _pulled_to_lift(path: Sequence[Equilibrium], lift_mm: float) -> Equilibrium:
    """Pulling at a given lift: from the first position on the path that reaches it."""
    m = path[0].mechanism
    after = next((p for p in path if p.z[_X] >= lift_mm - 1e-12), None)
    if after is None or lift_mm <= 0:
        raise BeyondThisCheckError(f"no lift of {lift_mm} mm on the way to the grip")
    touch = m.cushion_travel_mm > 0 and lift_mm < m.cushion_rest_mm
    position = _solve(m, PULLING, LIFTED[touch], _drive(_X, lift_mm, _scales(m)), after.z)
    if position is None or not _admissible(position):
        raise BeyondThisCheckError(f"no position found at a lift of {lift_mm} mm")
    return position


def _let_back(pulled: Equilibrium, lift_mm: float) -> Equilibrium:
    m, drive = pulled.mechanism, _drive(_X, lift_mm, _scales(pulled.mechanism))
    touch = pulled.touching.faces_touch
    position = _solve(m, LETTING_BACK, LIFTED[touch], drive, pulled.z)
    if position is not None and position.z[_T] >= 0:
        return position
    slack = Touching(True, False, True, True, True, touch)
    guess = pulled.z.copy()
    guess[_T] = guess[_F] = 0.0
    position = _solve(m, LETTING_BACK, slack, drive, guess)
    if position is None:
        raise BeyondThisCheckError(f"no position found letting back at a lift of {lift_mm} mm")
    return position


def event(file: Table, name: str) -> dict[str, float]:
    """The position where the slack is taken up, or where the faces part: solved for exactly."""
    path = _path(file)
    m = path[0].mechanism
    if name == "faces-part":
        if m.cushion_travel_mm > 0:
            return _report(_pulled_to_lift(path, m.cushion_rest_mm))
        parted = next(p for p in path if p.touching.plate_lifts)
        position = _solve(m, PULLING, LIFTED[False], _drive(_X, 0.0, _scales(m)), parted.z)
    elif name == "slack-taken-up":
        first = next(p for p in path if p.touching.cable_taut)
        state = Touching(True, False, False, False, False, True)
        drive: Drive = lambda z: m.lever.pull_mm((float(z[0]), float(z[1]))) - m.slack_mm  # noqa: E731 - one line
        position = _solve(m, PULLING, state, drive, first.z)
    else:
        raise BeyondThisCheckError(f"no event {name!r} here")
    if position is None:
        raise BeyondThisCheckError(f"{name} not found")
    return _report(position)


def peak(file: Table) -> dict[str, float]:
    """The position of the largest hand force on the way to the grip."""
    m = read(file)
    path = _path(file, step_mm=m.hand_travel_mm / 120)
    candidates = [_report(p) for p in path]
    if path[-1].touching.plate_lifts and not path[-1].touching.faces_touch:
        candidates.append(event(file, "faces-part"))
    k = int(np.argmax([p.z[_F] for p in path]))
    before, after = path[max(k - 1, 0)], path[min(k + 1, len(path) - 1)]

    def inside(h: float) -> dict[str, float] | None:
        position = _next(before, _H, h)
        return None if position is None else _report(position)

    found = minimize_scalar(
        lambda h: -(inside(h) or {"hand_force_n": 0.0})["hand_force_n"],
        bounds=(float(before.z[_H]), float(after.z[_H])),
        method="bounded",
        options={"xatol": 1e-8},
    )
    top = inside(float(found.x))
    return max([*candidates, *([top] if top else [])], key=lambda c: c["hand_force_n"])


def scenarios() -> dict[str, dict[str, Any]]:
    """Invented mechanisms, name to file, that together use every part of the chain."""
    here = Path(__file__).parent
    base = tomllib.loads((here.parent / "base_clutch.toml").read_text(encoding="utf-8"))
    del base["changes"]
    others = (here / "point_equilibrium_scenarios.toml").read_text(encoding="utf-8")
    found = {"base-clutch": base, **tomllib.loads(others)}
    return {name: {**document, "left_out": "nothing"} for name, document in found.items()}
