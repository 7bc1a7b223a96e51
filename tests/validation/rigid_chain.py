"""Exact partial derivatives of the rigid chain over every key of a geometry file.

A second way to the sensitivities: the laws of the working (liftgeo/formulas/laws.py), put into each
other and differentiated by SymPy; no line is shared with the arrays.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import sympy
from sympy import cos, pi, sin, sqrt

from liftgeo.formulas.derivation import chained
from liftgeo.formulas.inputs import Case
from liftgeo.formulas.registry import Step, followed, substituted
from liftgeo.formulas.symbols import sym
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import NMM_PER_NM, sides
from liftgeo.outcome.analysis import analysed
from liftgeo.parts.triangle import Drum, Triangle

_DEGREE = pi / 180


@dataclass(frozen=True)
class RigidDerivative:
    """What one unit more of a key does to the rigid chain, in the key's bare unit.

    Attributes
    ----------
    lift_mm_per_unit : float
        Change of the plate lift at full hand travel [mm per unit].
    effort_n_per_unit : float
        Change of the hand force there, the rod force held [N per unit].
    """

    lift_mm_per_unit: float
    effort_n_per_unit: float


@dataclass(frozen=True)
class RigidChain:
    """The chain without elastic parts, in the working's symbols; φ and all dimensions are free.

    Attributes
    ----------
    pull, rotation, lift : expression
        s, θ and x over the lever angle.
    lever_arm, arm_arm, torque_arm : expression
        p_L, p_A and m over the lever angle, m with friction.
    loading_pull : expression
        Pull at the arm at which the float is gone and the rod loads.
    """

    pull: Any
    rotation: Any
    lift: Any
    lever_arm: Any
    arm_arm: Any
    torque_arm: Any
    loading_pull: Any


def rigid_chain(case: Case) -> RigidChain:
    """Return the rigid chain of a mechanism: x(φ) = [y(θ(s(φ) - s_0)) - f]/i and its arms."""
    laws, known = (case.lever, case.arm, case.unit), chained(case)
    # The friction on a flank stays a number of its own: a flat flank, too, has a derivative.
    at_rest = [step for law in laws for step in law.first if step.name != "μ_n"]

    def worked(expression: Any) -> Any:
        return substituted(expression, followed(tuple(at_rest), {})).doit()

    turned = {"θ_u": known["θ_u"], "ψ": known["ψ"], "j": known["j"]}
    loads = followed((Step("y", sym("f")), *case.unit.back), {})
    pulled = followed(case.arm.forward, {"θ": loads["θ_u"]})["s_A"]
    return RigidChain(
        worked(known["s"]),
        worked(known["θ"]),
        worked((known["y"] - sym("f")) / sym("i")),
        worked(known["p_L"]),
        worked(known["p_A"]),
        worked(substituted(case.unit.torque_arm(1), turned)),
        worked(pulled),
    )


class _Keys:
    """The file's keys as SymPy symbols; a key that is not given becomes its default."""

    def __init__(self, mechanism: Mechanism) -> None:
        self.given = mechanism.keys
        self.numbers: dict[Any, float] = {}

    def has(self, dotted: str) -> bool:
        return self.given.get(dotted) is not None

    def __call__(self, dotted: str, default: float = 0.0, scale: Any = 1) -> Any:
        if not self.has(dotted):
            return sympy.Float(default) * scale
        symbol = sympy.Symbol(dotted, real=True)
        self.numbers[symbol] = float(self.given[dotted])
        return symbol * scale


def _triangle(keys: _Keys, case: Case, table: str) -> dict[Any, Any]:
    """Return r, d, l0, a (and for the lever r_h) of a triangle over the file's keys."""
    found = (case.lever if table == "lever" else case.arm).triangle
    assert found is not None
    r, d, rest_symbol, delta, a = found.syms("r d ℓ_0 δ a")
    offset = keys(f"{table}.axial_offset")
    hand: Any = None
    turned: Any = None
    if keys.has(f"{table}.points.pivot"):
        # The points themselves are not single numbers: what they give stays fixed.
        plain = sides({k: v for k, v in keys.given.items() if "pivot_shift" not in k}, table)
        pin, stop = sympy.Float(float(plain.pin)), sympy.Float(float(plain.stop))
        flat = sympy.Float(float(np.sqrt(plain.rest**2 - plain.offset**2)))
        rest = sqrt(flat**2 + offset**2) if found.offset else flat
        if table == "lever":
            hand, turned = sympy.Float(float(plain.hand)), _hand_angle(keys)
    else:
        pin = keys("lever.nipple_radius" if table == "lever" else "arm.radius")
        stop = keys(f"{table}.stop_distance")
        if keys.has(f"{table}.rest_length"):
            rest = keys(f"{table}.rest_length")
        else:
            angle = keys(f"{table}.cable_angle", scale=_DEGREE)
            rest = found.rest_length().doit().subs({r: pin, d: stop, delta: angle, a: offset})
        if table == "lever":
            hand = keys("lever.hand_radius")
            if keys.has("lever.hand_angle"):
                turned = keys("lever.hand_angle", scale=_DEGREE)
    names = {r: pin, d: stop, rest_symbol: rest}
    if found.offset:
        names[a] = offset
    if table == "lever":
        names[sym("r_h")] = hand
        if turned is not None:
            names.update(_moved_pivot(keys, names, turned, found.angle(rest_symbol).doit()))
    return names


def _hand_angle(keys: _Keys) -> Any:
    from liftgeo.mechanism.settling import hand_angle_rad

    pivot, pin, stop, hand = (
        np.array(keys.given[f"lever.points.{n}"], float) for n in ("pivot", "pin", "stop", "hand")
    )
    return sympy.Float(hand_angle_rad(pivot, pin, stop, hand))


def _moved_pivot(
    keys: _Keys, names: Mapping[Any, Any], turned: Any, rest_angle: Any
) -> dict[Any, Any]:
    """Return r, d and r_h once the pivot has moved and pin, stop and hand have stayed."""
    x, y = keys("lever.pivot_shift_x"), keys("lever.pivot_shift_y")
    at = rest_angle.subs(names)
    pin, stop, hand = (names[sym(n)] for n in ("r_L", "d_L", "r_h"))
    return {
        sym("r_L"): sqrt((pin * cos(at) - x) ** 2 + (pin * sin(at) - y) ** 2),
        sym("d_L"): sqrt((stop - x) ** 2 + y**2),
        sym("r_h"): sqrt((hand * cos(at + turned) - x) ** 2 + (hand * sin(at + turned) - y) ** 2),
    }


def _links(keys: _Keys, case: Case) -> dict[Any, Any]:
    names: dict[Any, Any] = {}
    parts = case.parts
    for table, side, link in (("lever", "L", parts.lever.link), ("arm", "A", parts.arm.link)):
        if isinstance(link, Triangle):
            names.update(_triangle(keys, case, table))
        elif isinstance(link, Drum):
            names[sym(f"b_{side}")] = keys(f"{table}.drum_radius")
        if table == "lever" and sym("r_h") not in names:
            names[sym("r_h")] = keys("lever.hand_radius")
    if keys.has("lever.hand_travel"):
        names[sym("h_g")] = keys("lever.hand_travel")
    else:
        names[sym("h_g")] = keys("lever.travel", scale=_DEGREE) * names[sym("r_h")]
    return names


def _rest(keys: _Keys, case: Case) -> dict[Any, Any]:
    """Return cable, release unit and rod over the file's keys."""
    bend = keys("cable.bend", scale=_DEGREE)
    settled = keys("cable.seating") + keys("cable.liner_clearance") * bend
    floats = ("rod.end_float", "rod.adjuster_clearance", "rod.shaft_float", "bearing.axial_play")
    rate = keys("arm.return_rate", scale=NMM_PER_NM / _DEGREE)
    names = {
        sym("s_0"): keys("cable.free_play") + settled,
        sym("β"): bend,
        sym("μ_c"): keys("cable.friction"),
        sym("D_c"): keys("cable.drag"),
        sym("f"): sum(keys(name) for name in floats),
        sym("i"): keys("rod.finger_ratio", 1.0),
        sym("M_0"): keys("arm.return_torque", scale=NMM_PER_NM),
        sym("k_M"): rate,
        sym("η_L"): keys("lever.efficiency", 1.0),
        sym("η_A"): keys("arm.efficiency", 1.0),
    }
    for name, _, key in case.unit.inputs:
        angle = key.endswith("angle")
        dotted = f"release.{key}"
        if key == "far_ramp_angle" and not keys.has(dotted):
            dotted = "release.ramp_angle"
        default = 1.0 if key == "efficiency" else 0.0
        names[sym(name)] = keys(dotted, default, _DEGREE if angle else 1)
    rubbing = names.get(sym("μ_t"))
    if rubbing is not None:
        names[sym("μ_n")] = rubbing / cos(names[sym("ε")])
    return names


def _slack(keys: _Keys, chain: RigidChain, names: Mapping[Any, Any]) -> Any:
    """Return the slack that free play or take-up at the hand means in a rigid chain."""
    radius = names[sym("r_h")]
    if keys.has("cable.free_play_at_hand"):
        return chain.pull.subs(sym("φ"), keys("cable.free_play_at_hand") / radius)
    if keys.has("cable.take_up_at_hand"):
        taken_up = chain.pull.subs(sym("φ"), keys("cable.take_up_at_hand") / radius)
        return taken_up - chain.loading_pull
    return None


def rigid_derivatives(
    mechanism: Mechanism, rod_force_n: float | None = None, *, friction: bool = True
) -> dict[str, RigidDerivative]:
    """Return the partial derivatives of lift and effort of the rigid chain over every key.

    Parameters
    ----------
    mechanism : Mechanism
    rod_force_n : float, optional
        Rod force at which the effort counts, held while a key changes [N]; that of the full
        lever of the whole, elastic mechanism where it is not given.
    friction : bool
        False: without friction, drag and efficiencies (the return spring stays).

    Returns
    -------
    dict
        Dotted key to `RigidDerivative`, for every single number of the file that the rigid lift
        or effort depends on; per bare unit of the key (mm, deg, N, N m ...).

    Notes
    -----
    Rigid: every compliance is zero. Lift at full hand travel by geometry alone,
    x = [y(theta(s(phi) - s_0)) - f]/i with phi = h_g/r_h; no stop but the grip. Free play or
    take-up given at the hand means the slack of a rigid chain.
    Effort F_h = {[R m + M_0 + k_M theta]/(p_A eta_A) exp(mu beta) + D} p_L/(r_h eta_L) there.
    Derivatives by SymPy; docs/theory.md, "Rigid derivatives".
    """
    case = Case.of(mechanism, analysed(mechanism))
    if rod_force_n is None:
        rod_force_n = float(case.outcome.full.rod_force_n)
    chain, keys = rigid_chain(case), _Keys(mechanism)
    names = {**_links(keys, case), **_rest(keys, case)}
    slack = _slack(keys, chain, names)
    if slack is not None:
        names[sym("s_0")] = slack.subs(names)
    if not friction:
        lossless = dict.fromkeys(("μ_c", "D_c", "ρ", "μ_t", "μ_n", "μ_k", "μ_e"), 0)
        lossless |= dict.fromkeys(("η_L", "η_A", "η_u"), 1)
        names |= {sym(name): sympy.Integer(value) for name, value in lossless.items()}
    at_grip = {sym("φ"): sym("h_g") / sym("r_h")}
    lift = chain.lift.doit().subs(at_grip)
    effort = _effort(chain, rod_force_n).doit().subs(at_grip)
    return _derivatives(lift, effort, names, keys)


def _effort(chain: RigidChain, rod_force_n: float) -> Any:
    """Return the hand force of the rigid chain under a rod force."""
    back = sym("M_0") + sym("k_M") * chain.rotation
    tension = (rod_force_n * chain.torque_arm + back) / (chain.arm_arm * sym("η_A"))
    at_lever = tension * sympy.exp(sym("μ_c") * sym("β")) + sym("D_c")
    return at_lever * chain.lever_arm / (sym("r_h") * sym("η_L"))


def _numbers(symbols: list[Any], expressions: list[Any], values: list[float]) -> Any:
    """Return expressions as an array, with values put in for their symbols."""
    function = sympy.lambdify(symbols, expressions, "numpy", cse=True, dummify=True)
    with np.errstate(all="ignore"):
        return np.array([float(v) for v in function(*values)])


def _derivatives(
    lift: Any, effort: Any, names: Mapping[Any, Any], keys: _Keys
) -> dict[str, RigidDerivative]:
    """Return the gradient over every key: over the dimensions, times theirs over the keys."""
    dimensions = sorted(lift.free_symbols | effort.free_symbols, key=str)
    meant = [sympy.sympify(names[d]) for d in dimensions]
    wanted = sorted(set().union(*(m.free_symbols for m in meant)) & set(keys.numbers), key=str)
    values = [keys.numbers[k] for k in wanted]
    at = _numbers(wanted, meant, values)
    over = [m.diff(k) for m in meant for k in wanted]
    jacobian = _numbers(wanted, over, values).reshape(len(meant), len(wanted))
    slopes = [e.diff(d) for e in (lift, effort) for d in dimensions]
    gradient = _numbers(dimensions, slopes, list(at)).reshape(2, -1)
    found = gradient @ jacobian
    return {
        str(k): RigidDerivative(float(x), float(f)) for k, x, f in zip(wanted, *found, strict=True)
    }
