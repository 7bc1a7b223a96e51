"""The laws of the chain as SymPy expressions, one for each class of part, each said once.

The working puts numbers into a law, the derivation differentiates it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import sympy
from sympy import Abs, acos, asin, cos, exp, log, pi, sin, sqrt, tan

from liftgeo.formulas.registry import Input, LinkLaw, SpringLaw, Step, UnitLaw, as_written, register
from liftgeo.formulas.symbols import sym, syms
from liftgeo.parts import release as units
from liftgeo.parts.curve import Curve
from liftgeo.parts.spring import Coils, ConedDisc, MeasuredSpring
from liftgeo.parts.triangle import Drum, MeasuredLink, Triangle

# --- measured curves ---


class Table(sympy.Function):  # type: ignore[misc]  # SymPy has no types
    """A measured curve as a SymPy function of one number. `words` say where it is read."""

    words: str


def table(name: str, words: str, value: Any, slope: Any = None) -> Any:
    """Return a SymPy function read from a measured curve.

    Parameters
    ----------
    value : callable
        The curve, of floats.
    slope : callable of (function, argument), optional
        Its derivative as an expression.
    """

    def fdiff(self: Any, place: int = 1) -> Any:
        return slope(self, self.args[0])

    body = {"_imp_": staticmethod(lambda x: float(value(x))), "words": words, "fdiff": fdiff}
    return type(name, (Table,), body)


def _curve(name: str, words: str, curve: Curve) -> tuple[Any, Any, Any]:
    """Return a curve's value, slope and inverse, whose derivatives know each other."""
    curvature = table(f"{name}_curvature", words, lambda x: curve.at(x).curvature)
    slope = table(f"{name}_slope", words, curve.slope, lambda f, x: curvature(x))
    value = table(f"{name}_value", words, curve.value, lambda f, x: slope(x))
    inverse = table(f"{name}_inverse", words, curve.inverse, lambda f, x: 1 / slope(f))
    return value, slope, inverse


# --- lever and arm ---


@dataclass(frozen=True)
class TriangleLaws:
    """Laws of one triangle. `side` is "L" for the lever, "A" for the arm."""

    side: str
    offset: bool

    def name(self, base: str) -> str:
        """Return a symbol's name on this side: "γ_L0" for "γ_0"."""
        stem, _, tail = base.partition("_")
        return f"{stem}_{self.side}{tail}"

    def syms(self, bases: str) -> tuple[Any, ...]:
        """Return symbols of this side."""
        return tuple(sym(self.name(base)) for base in bases.split())

    def _squares(self) -> Any:
        r, d, a = self.syms("r d a")
        return r**2 + d**2 + a**2 if self.offset else r**2 + d**2

    @as_written
    def rest_length(self) -> Any:
        """Pin to stop from the cable's angle at the pin."""
        r, d, a, delta = self.syms("r d a δ")
        far = d**2 + a**2 if self.offset else d**2
        return r * cos(delta) + sqrt(far - r**2 * sin(delta) ** 2)

    @as_written
    def angle(self, length: Any) -> Any:
        """Angle at the pivot for a distance from pin to stop."""
        r, d = self.syms("r d")
        return acos((self._squares() - length**2) / (2 * r * d))

    @as_written
    def length(self, angle: Any) -> Any:
        """Distance from pin to stop for an angle at the pivot."""
        r, d = self.syms("r d")
        return sqrt(self._squares() - 2 * r * d * cos(angle))

    @as_written
    def moment_arm(self, angle: Any, length: Any) -> Any:
        """Moment arm of the cable."""
        r, d = self.syms("r d")
        return r * d * sin(angle) / length


_ROTATION = {"L": "φ", "A": "θ"}
_PULL = {"L": ("s", "s"), "A": ("s_A", "s_1")}
"""The pull as a law gives it, and as it takes it."""


@register(Triangle)
def _triangle(link: Triangle, side: str) -> LinkLaw:
    laws = TriangleLaws(side, bool(float(link.axial_offset_mm) != 0.0))
    turn, (given, taken) = sym(_ROTATION[side]), _PULL[side]
    gamma, length, rest, first = laws.syms("γ ℓ ℓ_0 γ_0")
    lever = side == "L"
    return LinkLaw(
        (),
        (
            Step(gamma.name, first + turn if lever else first - turn),
            Step(length.name, laws.length(gamma)),
            Step(given, length - rest if lever else rest - length),
        ),
        (
            Step(length.name, rest + sym(taken) if lever else rest - sym(taken)),
            Step(gamma.name, laws.angle(length), "loop closure" if lever else ""),
            Step(turn.name, gamma - first if lever else first - gamma),
        ),
        laws.moment_arm(gamma, length),
        (Step(first.name, laws.angle(rest), "loop closure at rest"),),
        laws,
    )


@register(Drum)
def _drum(link: Drum, side: str) -> LinkLaw:
    turn, radius, (given, taken) = sym(_ROTATION[side]), sym(f"b_{side}"), _PULL[side]
    return LinkLaw(
        (Input(radius.name, "radius_mm", "drum_radius"),),
        (Step(given, radius * turn),),
        (Step(turn.name, sym(taken) / radius),),
        radius,
    )


@register(MeasuredLink)
def _measured_link(link: MeasuredLink, side: str) -> LinkLaw:
    turn, (given, taken) = sym(_ROTATION[side]), _PULL[side]
    whose = "lever" if side == "L" else "arm"
    words = f"read from the table of the {whose}'s pull over angle"
    value, slope, inverse = _curve(whose, words, link.curve)
    return LinkLaw(
        (), (Step(given, value(turn)),), (Step(turn.name, inverse(sym(taken))),), slope(turn)
    )


# --- cable ---


@as_written
def mean_tension(way: int) -> Any:
    """Mean tension over the bends, of the tension at the arm."""
    tension, mu, beta = syms("T μ_c β")
    grown = exp(mu * beta) - 1 if way > 0 else 1 - exp(-(mu * beta))
    return tension * grown / (mu * beta)


@as_written
def hand_tension(way: int, rubs: bool, drags: bool) -> Any:
    """Tension at the lever, of the tension at the arm."""
    tension, mu, beta, drag = syms("T μ_c β D_c")
    if rubs:
        tension = tension * (exp(mu * beta) if way > 0 else exp(-(mu * beta)))
    if not drags:
        return tension
    return tension + drag if way > 0 else tension - drag


# --- release unit ---


def either(way: int, pulling: Any, back: Any) -> Any:
    """Return what holds for a way: pulling (+1) or letting back (-1)."""
    return pulling if way > 0 else back


_EFFICIENCY = Input("η_u", "efficiency", "efficiency")


def _by_efficiency(unit: Any) -> Callable[[int], Any]:
    j, eta = syms("j η_u")
    if unit.efficiency == 1.0:
        return lambda way: j
    both = (j / eta, j * (2 - 1 / eta))
    return lambda way: either(way, *both)


@register(units.BallRamp)
def _ball_ramp(unit: units.BallRamp) -> UnitLaw:
    """Balls between ramps: along the bisector when they roll, along one ramp when held."""
    radius, one, two, slope, rho, turn, y = syms("r_b α_1 α_2 α ρ θ_u y")
    unequal = unit.rolling and unit.ramp_angle_rad != unit.far_ramp_angle_rad
    per_turn = radius * tan(slope)
    arms = (per_turn, per_turn)
    if unit.friction_angle_rad:
        arms = (radius * tan(slope + rho), radius * tan(slope - rho))
    return UnitLaw(
        (
            Input("r_b", "pitch_radius_mm", "pitch_radius"),
            Input("α_1", "ramp_angle_rad", "ramp_angle"),
            Input("α_2", "far_ramp_angle_rad", "far_ramp_angle"),
            Input("ρ", "friction_angle_rad", "friction_angle"),
        ),
        radius * turn * tan(slope),
        per_turn,
        (Step("θ_u", y / per_turn),),
        lambda way: either(way, *arms),
        (Step("α", (one + two) / 2 if unequal else one),),
        (("ρ", 0),),
    )


@register(units.QuickThread)
def _quick_thread(unit: units.QuickThread) -> UnitLaw:
    """A coarse thread with friction on its flank and under its collar."""
    lead, mean, rubbing, under, ring, turn, y = syms("P d_m μ_n μ_k d_k θ_u y")
    mu, epsilon = syms("μ_t ε")
    thread = [lead / (2 * pi)] * 2
    if unit.friction:
        thread = [
            mean / 2 * (lead + rubbing * pi * mean) / (pi * mean - rubbing * lead),
            mean / 2 * (lead - rubbing * pi * mean) / (pi * mean + rubbing * lead),
        ]
    if unit.collar_diameter_mm and unit.collar_friction:
        thread = [t + sign * under * ring / 2 for t, sign in zip(thread, (1, -1), strict=True)]
    flank = mu / cos(epsilon) if unit.flank_angle_rad else mu
    return UnitLaw(
        (
            Input("P", "lead_mm", "lead"),
            Input("d_m", "mean_diameter_mm", "mean_diameter"),
            Input("ε", "flank_angle_rad", "flank_angle"),
            Input("μ_t", "friction", "friction"),
            Input("d_k", "collar_diameter_mm", "collar_diameter"),
            Input("μ_k", "collar_friction", "collar_friction"),
        ),
        lead * turn / (2 * pi),
        lead / (2 * pi),
        (Step("θ_u", 2 * pi * y / lead),),
        lambda way: either(way, *thread),
        (Step("μ_n", flank),) if unit.friction else (),
        (("μ_n", 0), ("μ_k", 0)),
    )


@register(units.Rack)
def _rack(unit: units.Rack) -> UnitLaw:
    """A pinion and a toothed rod."""
    radius, turn, y = syms("r_p θ_u y")
    return UnitLaw(
        (Input("r_p", "pinion_radius_mm", "pinion_radius"), _EFFICIENCY),
        radius * turn,
        radius,
        (Step("θ_u", y / radius),),
        _by_efficiency(unit),
    )


def _on_a_circle(radius: Any) -> tuple[Any, Any, tuple[Step, ...]]:
    """Return travel, slope and way back of a pin that carries a flat or a slot across the rod."""
    rest, now, turn, y = syms("ψ_0 ψ θ_u y")
    travel = radius * (sin(rest + turn) - sin(rest))
    back = (Step("ψ", asin(sin(rest) + y / radius)), Step("θ_u", now - rest))
    return travel, radius * cos(now), back


_REST_ANGLE = Input("ψ_0", "rest_angle_rad", "rest_angle")


@register(units.CrankWithSlot)
def _slotted_crank(unit: units.CrankWithSlot) -> UnitLaw:
    """A crank pin in a slot across the rod."""
    inputs = (Input("r_k", "crank_radius_mm", "crank_radius"), _REST_ANGLE, _EFFICIENCY)
    return UnitLaw(inputs, *_on_a_circle(sym("r_k")), _by_efficiency(unit))


@register(units.CrankWithLink)
def _linked_crank(unit: units.CrankWithLink) -> UnitLaw:
    """A crank and a link: the slider-crank, its rod end at X along the rod line."""
    radius, link, rest, now, turn, y = syms("r_k L_k ψ_0 ψ θ_u y")
    start, place, away, aside = syms("X_0 X w e_k")
    offset = bool(unit.offset_mm)

    def beside(angle: Any) -> Any:
        return radius * cos(angle) - aside if offset else radius * cos(angle)

    def slider(angle: Any) -> Any:
        return radius * sin(angle) - sqrt(link**2 - beside(angle) ** 2)

    lean = beside(now) * radius * sin(now) / sqrt(link**2 - beside(now) ** 2)
    # The link is longer than crank and offset together, so the rod end stays at X < 0.
    far: Any = -place
    corner = asin((link**2 - radius**2 - away**2) / (2 * radius * away))
    if offset:
        far = sqrt(place**2 + aside**2)
        corner = acos((radius**2 + away**2 - link**2) / (2 * radius * away)) - acos(aside / away)
    return UnitLaw(
        (
            Input("r_k", "crank_radius_mm", "crank_radius"),
            Input("L_k", "link_length_mm", "link_length"),
            _REST_ANGLE,
            Input("e_k", "offset_mm", "offset"),
            _EFFICIENCY,
        ),
        slider(rest + turn) - start,
        radius * cos(now) - lean,
        (Step("X", start + y), Step("w", far), Step("ψ", corner), Step("θ_u", now - rest)),
        _by_efficiency(unit),
        (Step("X_0", slider(rest)),),
    )


@register(units.Eccentric)
def _eccentric(unit: units.Eccentric) -> UnitLaw:
    """A round eccentric under a flat follower."""
    throw, now, cam, mu = syms("e ψ R_c μ_e")
    rolled = _by_efficiency(unit)
    arms = (rolled(1), rolled(-1))
    if unit.friction:
        radius = cam + throw * sin(now)
        rubbing = mu * (radius if unit.cam_radius_mm >= unit.eccentricity_mm else Abs(radius))
        arms = (arms[0] + rubbing, arms[1] - rubbing)
    return UnitLaw(
        (
            Input("e", "eccentricity_mm", "eccentricity"),
            _REST_ANGLE,
            Input("R_c", "cam_radius_mm", "cam_radius"),
            Input("μ_e", "friction", "friction"),
            _EFFICIENCY,
        ),
        *_on_a_circle(throw),
        lambda way: either(way, *arms),
        smooth=(("η_u", 1), ("μ_e", 0)),
    )


@register(units.MeasuredUnit)
def _measured_unit(unit: units.MeasuredUnit) -> UnitLaw:
    """A measured travel over angle."""
    words = "read from the table of travel over angle"
    value, slope, inverse = _curve("release", words, unit.curve)
    turn, y = syms("θ_u y")
    back = (Step("θ_u", inverse(y)),)
    return UnitLaw((_EFFICIENCY,), value(turn), slope(turn), back, _by_efficiency(unit))


# --- spring ---


def _product(*factors: Any) -> Any:
    """Return a product without the factors that are None."""
    kept = [f for f in factors if f is not None]
    total = kept[0]
    for factor in kept[1:]:
        total = total * factor
    return total


@register(ConedDisc)
def _coned_disc(disc: ConedDisc) -> SpringLaw:
    """Coned discs: nested (in parallel), stacked (in series), held off their edges (K)."""
    outside, thick, cone, modulus, poisson, constant = syms("D_e t h_0 E ν K_1")
    scale, s, delta, ratio, k, inside = syms("C_F s_d δ Δ K D_i")
    nested = sym("n_p") if disc.in_parallel != 1.0 else None
    row = sym("n_s") if disc.in_series != 1.0 else None
    levered = k if disc.lever_ratio != 1.0 else None
    inputs = [
        Input("D_e", "outside_diameter_mm", "outside_diameter"),
        Input("D_i", "inside_diameter_mm", "inside_diameter"),
        Input("t", "thickness_mm", "thickness"),
        Input("h_0", "cone_height_mm", "cone_height"),
        Input("E", "youngs_modulus_mpa", "youngs_modulus"),
        Input("ν", "poisson", "poisson"),
    ]
    inputs += [Input("n_p", "in_parallel", "in_parallel")] if nested is not None else []
    inputs += [Input("n_s", "in_series", "in_series")] if row is not None else []
    one = _product(levered, delta)
    inner = (cone**2 + thick**2) / 2 - cone * s / 2 + s**2 / 8
    high = (cone if levered is None else cone / k) + _product(nested, thick)
    log_part = (ratio + 1) / (ratio - 1) - 2 / log(ratio)
    return SpringLaw(
        tuple(inputs),
        _product(nested, levered, scale, s, (cone - s) * (cone - s / 2) + thick**2),
        _product(nested, row, scale, s**2, inner),
        (Step("s_d", one if row is None else one / row),),
        (
            Step("Δ", outside / inside),
            Step("K_1", ((ratio - 1) / ratio) ** 2 / log_part / pi),
            Step("C_F", 4 * modulus * thick / ((1 - poisson**2) * constant * outside**2)),
        ),
        Step("H_f", _product(row, high)),
    )


@register(Coils)
def _coils(coils: Coils) -> SpringLaw:
    """Equal coil springs side by side."""
    count, each, deflection = syms("n_c c δ")
    return SpringLaw(
        (
            Input("n_c", "count", "count"),
            Input("c", "each_n_per_mm", "rate"),
            Input("H_f", "free_length_mm", "free_length"),
        ),
        count * each * deflection,
        count * each * deflection**2 / 2,
    )


@register(MeasuredSpring)
def _measured_spring(spring: MeasuredSpring) -> SpringLaw:
    """A measured load over deflection."""
    load = table("spring_load", "read from the table of load over deflection", spring.curve.value)
    energy = table("spring_energy", "area under the table", spring.curve.area)
    inputs = (Input("H_f", "free_height_mm", "free_height"),)
    return SpringLaw(inputs, load(sym("δ")), energy(sym("δ")))
