"""Where the work of the hand goes: power balance, work of a stroke, effort floor."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import Position, position
from liftgeo.chain.stop import StrokeEnd, path_pieces
from liftgeo.parts.cable import PULLING
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values, rows_of

# Gauss-Legendre nodes and weights, 12 points, the positive half; held to NumPy's in tests. Written
# out because importing numpy.polynomial costs start-up time.
_HALF = np.array(
    [
        (0.1252334085114689, 0.2491470458134027),
        (0.3678314989981802, 0.2334925365383546),
        (0.5873179542866175, 0.20316742672306573),
        (0.7699026741943047, 0.16007832854334642),
        (0.9041172563704748, 0.10693932599531907),
        (0.9815606342467192, 0.04717533638651141),
    ]
)
_NODES = np.concatenate([-_HALF[::-1, 0], _HALF[:, 0]])
_WEIGHTS = np.concatenate([_HALF[::-1, 1], _HALF[:, 1]])
_LIMP_PIECES = 48


@dataclass(frozen=True, eq=False, repr=False)
class PowerBalance:
    """Rates of work over the stroke coordinate, each by its own formula [N mm per unit of q]."""

    hand: Values
    spring: Values
    cushion: Values
    return_spring: Values
    cable_elastic: Values
    rod_elastic: Values
    shaft_elastic: Values
    blade_elastic: Values
    spring_friction: Values
    unit_friction: Values
    arm_pin_friction: Values
    cable_friction: Values
    cable_drag: Values
    lever_pin_friction: Values

    @property
    def residual(self) -> Values:
        """Hand power less everything it goes into."""
        spent = sum(getattr(self, f.name) for f in fields(self) if f.name not in ("hand",))
        return self.hand - spent


def power_balance(parts: Parts, p: Position) -> PowerBalance:
    """Return where the power of a pulling position goes.

    Parameters
    ----------
    parts, p : Parts, Position
        The position must carry its rates.

    Notes
    -----
    Cable: friction is the integral of mu T exp(mu b) over the bends times the local movement of
    the wire, which grows with the stretch between the arm and b.
    Source: derived in docs/theory.md, "Power balance".
    """
    r = p.rates
    if r is None:
        raise ValueError("power_balance needs a position with rates")
    cable, wrap = parts.cable, parts.cable.wrap
    straight = np.abs(wrap) < 1e-9
    safe = np.where(straight, 1.0, wrap)
    gain, twice = np.expm1(safe), np.expm1(2 * safe)
    stored = np.where(straight, 1.0, twice / (2 * safe))
    rubbed = np.where(straight, 0.0, (twice / 2 - gain) / safe)
    stretching = p.tension_n * r.tension * cable.compliance_mm_per_n
    nominal = parts.spring.load_n(p.deflection_mm)
    friction = parts.spring_friction
    sliding = np.expm1(wrap) * p.tension_n * r.arm_pull
    return PowerBalance(
        hand=p.hand_force_n * r.hand_travel,
        spring=nominal * r.lift,
        cushion=-p.clamp_force_n * r.lift,
        return_spring=p.return_torque_nmm * r.arm_rotation,
        cable_elastic=stored * stretching,
        rod_elastic=p.rod_force_n * r.rod_force * parts.rod.compliance_mm_per_n,
        shaft_elastic=p.unit_torque_nmm * r.unit_torque * parts.arm.shaft_compliance_rad_per_nmm,
        blade_elastic=p.hand_force_n * r.hand_force * parts.lever.compliance_mm_per_n,
        spring_friction=friction * nominal * r.lift,
        unit_friction=(p.unit_torque_nmm - p.rod_force_n * p.unit.slope_mm_per_rad)
        * r.unit_rotation,
        arm_pin_friction=p.tension_n * r.arm_pull * (1 - parts.arm.efficiency),
        cable_friction=sliding + rubbed * stretching,
        cable_drag=cable.drag_n * r.cable_pull,
        lever_pin_friction=p.hand_tension_n * r.cable_pull * (1 / parts.lever.efficiency - 1),
    )


def _stored_nmm(compliance: Values, load: Values) -> Values:
    """Return the energy of an elastic part; 0 where it is rigid, even at a dead centre."""
    return np.where(np.asarray(compliance) > 0, compliance * load**2 / 2, 0.0)


def _rubbing_nmm(parts: Parts, end: StrokeEnd) -> Values:
    """Return what the unit takes beyond its losses at rest [N mm], by Gauss-Legendre pieces.

    Zero but for a unit whose losses change as it turns.
    """
    if not parts.release.loss_varies:
        return 0.0
    shape = np.shape(end.at)
    pieces = path_pieces(parts, end)
    low, high = (rows_of([piece[side] for piece in pieces], shape) for side in (0, 1))
    for travel in parts.release.loss_bends_mm:
        low, high = _cut(parts, low, high, travel)
    half = (high - low) / 2
    column = (len(_NODES),) + (1,) * low.ndim
    p = position(parts, low + half + half * _NODES.reshape(column), rates=True)
    assert p.rates is not None
    more = p.unit.torque_arm_mm - _loss_at_rest(parts) * p.unit.slope_mm_per_rad
    power = np.where(half > 0, p.rod_force_n * more * p.rates.unit_rotation, 0.0)
    work: Values = np.sum(half * power * _WEIGHTS.reshape(column), axis=(0, 1))
    return work


def _cut(parts: Parts, low: Values, high: Values, travel_mm: Values) -> tuple[Values, Values]:
    """Return pieces of shape (pieces, ...) cut in two where they pass a rod travel [mm]."""

    def short(at: Values) -> Values:
        return position(parts, at).rod_travel_mm - travel_mm

    passed = (short(low) < 0) & (short(high) > 0)
    at = np.where(passed, bracketed_root(short, low, high), high)
    return np.concatenate([low, at]), np.concatenate([at, high])


def _limp_nmm(parts: Parts, end: StrokeEnd) -> Values:
    """Return what the spring gives an arm whose cable is slack [N mm], where it goes over centre.

    A cable cannot push, so this never comes back to the hand; the closed form counts it as if it
    did. By Gauss-Legendre in small pieces; zero where the rod force nowhere falls below zero.
    """
    shape = np.shape(end.at)
    first = np.where(end.over_centre, end.over_from, np.inf)
    pieces = [
        (np.minimum(np.maximum(low, first), high), np.broadcast_to(high, shape))
        for low, high in path_pieces(parts, end)
    ]
    low, high = (np.stack(side) for side in zip(*pieces, strict=True))
    half = (high - low) / (2 * _LIMP_PIECES)
    within = (1 + 2 * np.arange(_LIMP_PIECES)[:, None] + _NODES).reshape((-1,) + (1,) * low.ndim)
    p = position(parts, low + half * within, rates=True)
    assert p.rates is not None
    resisting = np.minimum(p.unit_torque_nmm + p.return_torque_nmm, 0.0)
    given = np.where(half > 0, -resisting * p.rates.arm_rotation, 0.0)
    weights = np.tile(_WEIGHTS, _LIMP_PIECES).reshape((-1,) + (1,) * low.ndim)
    work: Values = np.sum(half * given * weights, axis=(0, 1))
    passed = parts.cable.gain(PULLING) / (parts.arm.efficiency * parts.lever.efficiency)
    return work * passed


def _loss_at_rest(parts: Parts) -> Values:
    """Return torque over frictionless torque of the release unit at rest."""
    rest = parts.release.at(0.0)
    return rest.torque_arm_mm / rest.slope_mm_per_rad


def _work_to_nmm(parts: Parts, p: Position, rubbing: Values) -> Values:
    """Return the work of the hand from rest to a pulling position [N mm], in closed form.

    Every loss is a fixed share of what passes, so the work follows from where it ends.
    """
    arm, cable, lever = parts.arm, parts.cable, parts.lever
    spring = parts.spring.energy_nmm(p.deflection_mm)
    spring = spring - parts.spring.energy_nmm(parts.installed_deflection_mm)
    soft = parts.faces.cushion_compliance / 2
    at_rod = (1 + parts.spring_friction) * spring
    at_rod = at_rod - soft * (parts.clamp_force_n**2 - p.clamp_force_n**2)
    at_rod = at_rod + _stored_nmm(parts.rod.compliance_mm_per_n, p.rod_force_n)
    turned = p.arm_rotation_rad
    at_arm = _loss_at_rest(parts) * at_rod + rubbing
    at_arm = at_arm + _stored_nmm(arm.shaft_compliance_rad_per_nmm, p.unit_torque_nmm)
    at_arm = at_arm + turned * (arm.return_torque_nmm + arm.return_rate_nmm_per_rad * turned / 2)
    at_cable = at_arm / arm.efficiency + _stored_nmm(cable.stretch_per_newton(PULLING), p.tension_n)
    at_lever = cable.gain(PULLING) * at_cable + cable.drag_n * p.cable_pull_mm
    blade = _stored_nmm(lever.compliance_mm_per_n, p.hand_force_n)
    return at_lever / lever.efficiency + blade


def stroke_work_nmm(parts: Parts, end: StrokeEnd, full: Position) -> Values:
    """Return the work of the hand from rest to full lever [N mm], without that of the jumps.

    Parameters
    ----------
    parts, end, full : Parts, StrokeEnd, Position
        The mechanism, where its stroke ends, and the position there.

    Notes
    -----
    Source: the terms of `power_balance`, integrated; derived in docs/theory.md, "Power balance".
    """
    work = _work_to_nmm(parts, full, _rubbing_nmm(parts, end))
    if np.any(end.over_centre):
        work = work + _limp_nmm(parts, end)
    if np.any(end.jumps):
        # The plates jump with the hand still; work and what rubs before and after it count.
        for start, landed in zip(end.jumps_from, end.jumps_to, strict=True):
            work = work + _work_to_nmm(parts, position(parts, start), 0.0)
            work = work - _work_to_nmm(parts, position(parts, landed), 0.0)
    return work


def effort_floor_n(parts: Parts, full: Position) -> Values:
    """Return the least mean hand force of any geometry that reaches the same lift [N].

    Notes
    -----
    (rise of spring energy - energy given back by the cushion + return-spring energy)/hand travel.
    Source: work conservation; derived in docs/theory.md, "Effort floor".
    """
    spring = parts.spring.energy_nmm(full.deflection_mm)
    spring = spring - parts.spring.energy_nmm(parts.installed_deflection_mm)
    soft = parts.faces.cushion_compliance / 2
    cushion = soft * (parts.clamp_force_n**2 - full.clamp_force_n**2)
    arm = parts.arm
    turned = full.arm_rotation_rad
    back = turned * (arm.return_torque_nmm + arm.return_rate_nmm_per_rad * turned / 2)
    return (spring - cushion + back) / parts.lever.hand_travel_mm
