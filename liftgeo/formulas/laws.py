"""The laws of the chain as SymPy expressions, written in the order a person would write them.

Each law stands here once: the working puts numbers into it, the derivation differentiates it, and
the rigid derivatives chain it. Every function builds under `sympy.evaluate(False)`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, TypeVar

import sympy
from sympy import acos, asin, cos, exp, pi, sin, sqrt, tan

from liftgeo.formulas.symbols import sym, syms

F = TypeVar("F", bound=Callable[..., Any])


def as_written(function: F) -> F:
    """Keep SymPy from rearranging what a function builds."""

    @wraps(function)
    def kept(*args: Any, **keywords: Any) -> Any:
        with sympy.evaluate(False):
            return function(*args, **keywords)

    return kept  # type: ignore[return-value]  # wraps() keeps the signature, its stub does not


# --- triangle of lever or arm ---


@dataclass(frozen=True)
class TriangleLaws:
    """Laws of one triangle. `side` is "L" for the lever, "A" for the arm."""

    side: str
    offset: bool

    def name(self, base: str) -> str:
        """Return a symbol's name on this side: "γ_L0" for "γ_0"."""
        stem, _, tail = base.partition("_")
        return f"{stem}_{self.side}{tail}"

    def sym(self, base: str) -> Any:
        """Return a symbol of this side."""
        return sym(self.name(base))

    @property
    def sense(self) -> int:
        """+1: turning lengthens the cable's side (lever); -1: shortens it (arm)."""
        return 1 if self.side == "L" else -1

    def _squares(self) -> Any:
        total = self.sym("r") ** 2 + self.sym("d") ** 2
        return total + self.sym("a") ** 2 if self.offset else total

    @as_written
    def rest_length(self) -> Any:
        """Pin to stop from the cable's angle at the pin."""
        r, d, delta = self.sym("r"), self.sym("d"), self.sym("δ")
        far = d**2 + self.sym("a") ** 2 if self.offset else d**2
        return r * cos(delta) + sqrt(far - r**2 * sin(delta) ** 2)

    @as_written
    def angle(self, length: Any) -> Any:
        """Angle at the pivot for a distance from pin to stop."""
        return acos((self._squares() - length**2) / (2 * self.sym("r") * self.sym("d")))

    @as_written
    def length(self, angle: Any) -> Any:
        """Distance from pin to stop for an angle at the pivot."""
        return sqrt(self._squares() - 2 * self.sym("r") * self.sym("d") * cos(angle))

    @as_written
    def moment_arm(self, angle: Any, length: Any) -> Any:
        """Moment arm of the cable."""
        return self.sym("r") * self.sym("d") * sin(angle) / length


# --- cable ---


@as_written
def mean_tension(way: int) -> Any:
    """Mean tension over the bends, of the tension at the arm."""
    tension, mu, beta = sym("T" if way > 0 else "T'"), sym("μ_c"), sym("β")
    if way > 0:
        return tension * (exp(mu * beta) - 1) / (mu * beta)
    return tension * (1 - exp(-(mu * beta))) / (mu * beta)


@as_written
def hand_tension(way: int, rubs: bool, drags: bool) -> Any:
    """Tension at the lever, of the tension at the arm."""
    tension, mu, beta = sym("T" if way > 0 else "T'"), sym("μ_c"), sym("β")
    if rubs:
        tension = tension * (exp(mu * beta) if way > 0 else exp(-(mu * beta)))
    if not drags:
        return tension
    return tension + sym("D_c") if way > 0 else tension - sym("D_c")


# --- release unit ---


@dataclass(frozen=True)
class UnitLaws:
    """One kind of release unit.

    Attributes
    ----------
    first : list of (name, expression)
        Worked out once, before the travel.
    travel, slope : expression
        Rod travel over θ_u, and its slope.
    back : list of (name, expression)
        From rod travel to rotation, ending with θ_u.
    torque_arm : callable of way
        Torque over rod force.
    """

    first: tuple[tuple[str, Any], ...]
    travel: Any
    slope: Any
    back: tuple[tuple[str, Any], ...]
    torque_arm: Callable[[int], Any]


@as_written
def ball_ramp(rolling: bool, rubs: bool, equal: bool) -> UnitLaws:
    """Balls between ramps: along the bisector when they roll, along one ramp when held."""
    radius, one, two, slope, rho, turn, y = syms("r_b α_1 α_2 α ρ θ_u y")
    mean = (one + two) / 2 if rolling and not equal else one
    per_turn = radius * tan(slope)

    @as_written
    def arm(way: int) -> Any:
        if not rubs:
            return radius * tan(slope)
        return radius * tan(slope + rho) if way > 0 else radius * tan(slope - rho)

    return UnitLaws(
        (("α", mean),), radius * turn * tan(slope), per_turn, (("θ_u", y / per_turn),), arm
    )


@as_written
def quick_thread(rubs: bool, flank: bool, collar: bool) -> UnitLaws:
    """A coarse thread with friction on its flank and under its collar."""
    lead, mean, rubbing, under, ring, turn, y = syms("P d_m μ_n μ_k d_k θ_u y")
    mu, epsilon = syms("μ_t ε")
    per_turn = lead / (2 * pi)

    @as_written
    def arm(way: int) -> Any:
        sign = 1 if way > 0 else -1
        thread = lead / (2 * pi)
        if rubs and way > 0:
            thread = mean / 2 * (lead + rubbing * pi * mean) / (pi * mean - rubbing * lead)
        elif rubs:
            thread = mean / 2 * (lead - rubbing * pi * mean) / (pi * mean + rubbing * lead)
        return thread + sign * under * ring / 2 if collar else thread

    return UnitLaws(
        (("μ_n", mu / cos(epsilon) if flank else mu),) if rubs else (),
        lead * turn / (2 * pi),
        per_turn,
        (("θ_u", 2 * pi * y / lead),),
        arm,
    )


@as_written
def _by_efficiency(slope: Any, lossy: bool) -> Callable[[int], Any]:
    eta = sym("η_u")

    @as_written
    def arm(way: int) -> Any:
        if not lossy:
            return slope
        return slope / eta if way > 0 else slope * (2 - 1 / eta)

    return arm


@as_written
def rack(lossy: bool) -> UnitLaws:
    """A pinion and a toothed rod."""
    radius, turn, y = syms("r_p θ_u y")
    return UnitLaws(
        (), radius * turn, radius, (("θ_u", y / radius),), _by_efficiency(sym("j"), lossy)
    )


@as_written
def slotted_crank(lossy: bool) -> UnitLaws:
    """A crank pin in a slot across the rod."""
    radius, rest, now, turn, y = syms("r_k ψ_0 ψ θ_u y")
    return UnitLaws(
        (),
        radius * (sin(rest + turn) - sin(rest)),
        radius * cos(now),
        (("ψ", asin(sin(rest) + y / radius)), ("θ_u", now - rest)),
        _by_efficiency(sym("j"), lossy),
    )


@as_written
def linked_crank(lossy: bool, offset: bool) -> UnitLaws:
    """A crank and a link: the slider-crank, its rod end at X along the rod line."""
    radius, link, rest, now, turn, y = syms("r_k L_k ψ_0 ψ θ_u y")
    start, place, away, aside = syms("X_0 X w e_k")

    def beside(angle: Any) -> Any:
        return radius * cos(angle) - aside if offset else radius * cos(angle)

    def slider(angle: Any) -> Any:
        return radius * sin(angle) - sqrt(link**2 - beside(angle) ** 2)

    lean = beside(now) * radius * sin(now) / sqrt(link**2 - beside(now) ** 2)
    if offset:
        # The link is longer than crank and offset together, so the rod end stays at X < 0.
        far = sqrt(place**2 + aside**2)
        corner = acos((radius**2 + away**2 - link**2) / (2 * radius * away)) - acos(aside / away)
    else:
        far = -place
        corner = asin((link**2 - radius**2 - away**2) / (2 * radius * away))
    return UnitLaws(
        (("X_0", slider(rest)),),
        slider(rest + turn) - start,
        radius * cos(now) - lean,
        (
            ("X", start + y),
            ("w", far),
            ("ψ", corner),
            ("θ_u", now - rest),
        ),
        _by_efficiency(sym("j"), lossy),
    )


@as_written
def eccentric(lossy: bool, rubs: bool) -> UnitLaws:
    """A round eccentric under a flat follower."""
    throw, rest, now, turn, y = syms("e ψ_0 ψ θ_u y")
    cam, mu, slope, eta = syms("R_c μ_e j η_u")

    @as_written
    def arm(way: int) -> Any:
        rolled = slope
        if lossy:
            rolled = slope / eta if way > 0 else slope * (2 - 1 / eta)
        if not rubs:
            return rolled
        rubbing = mu * (cam + throw * sin(now))
        return rolled + rubbing if way > 0 else rolled - rubbing

    return UnitLaws(
        (),
        throw * (sin(rest + turn) - sin(rest)),
        throw * cos(now),
        (("ψ", asin(sin(rest) + y / throw)), ("θ_u", now - rest)),
        arm,
    )


# --- spring ---


@as_written
def disc_constant() -> Any:
    """K_1 of a coned disc."""
    ratio = sym("Δ")
    return ((ratio - 1) / ratio) ** 2 / ((ratio + 1) / (ratio - 1) - 2 / sympy.log(ratio)) / pi


@as_written
def disc_scale() -> Any:
    """What steel and diameters of a disc are worth."""
    modulus, poisson, thick, outside, constant = syms("E ν t D_e K_1")
    return 4 * modulus * thick / ((1 - poisson**2) * constant * outside**2)


def _product(*factors: Any) -> Any:
    """Return a product without the factors that are None."""
    kept = [f for f in factors if f is not None]
    total = kept[0]
    for factor in kept[1:]:
        total = total * factor
    return total


@as_written
def disc_load(edge: str, stacked: bool, levered: bool) -> Any:
    """Load of discs at the edge deflection of one; `stacked` in parallel, `levered` by K."""
    scale, cone, thick, parallel, ratio = syms("C_F h_0 t n_p K")
    s = sym(edge)
    count, leverage = parallel if stacked else None, ratio if levered else None
    return _product(count, leverage, scale, s, (cone - s) * (cone - s / 2) + thick**2)


@as_written
def disc_energy(edge: str, parallel: bool, series: bool) -> Any:
    """Energy of discs at the edge deflection of one."""
    scale, cone, thick, nested, row = syms("C_F h_0 t n_p n_s")
    s = sym(edge)
    inner = (cone**2 + thick**2) / 2 - cone * s / 2 + s**2 / 8
    return _product(nested if parallel else None, row if series else None, scale, s**2, inner)
