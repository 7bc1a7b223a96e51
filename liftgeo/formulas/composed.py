"""The rigid chain composed into one expression of the lever angle.

Measured tables enter as functions that SymPy can differentiate and NumPy can evaluate.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import sympy

from liftgeo.chain import Parts
from liftgeo.formulas.inputs import link_laws, unit_laws
from liftgeo.formulas.symbols import sym
from liftgeo.parts.curve import Curve
from liftgeo.parts.release import MeasuredUnit
from liftgeo.parts.triangle import Drum, Link, MeasuredLink


@dataclass(frozen=True)
class TableFunctions:
    """A measured curve for SymPy: `value` and `inverse`, with derivatives that know each other.

    Attributes
    ----------
    numeric : dict
        What `sympy.lambdify` is to call for each name.
    """

    value: Any
    inverse: Any
    numeric: dict[str, Callable[[Any], Any]]


def table_functions(name: str, curve: Curve) -> TableFunctions:
    """Return SymPy functions of a measured curve."""
    curvature = sympy.Function(f"{name}_curvature")

    def of_slope(self: Any, place: int = 1) -> Any:
        return curvature(self.args[0])

    slope = type(f"{name}_slope", (sympy.Function,), {"fdiff": of_slope})

    def of_value(self: Any, place: int = 1) -> Any:
        return slope(self.args[0])

    value = type(f"{name}_value", (sympy.Function,), {"fdiff": of_value})

    def of_inverse(self: Any, place: int = 1) -> Any:
        return 1 / slope(self)

    inverse = type(f"{name}_inverse", (sympy.Function,), {"fdiff": of_inverse})
    numeric = {
        f"{name}_value": curve.value,
        f"{name}_slope": curve.slope,
        f"{name}_curvature": curve.curvature,
        f"{name}_inverse": curve.inverse,
    }
    return TableFunctions(value, inverse, numeric)


@dataclass(frozen=True)
class RigidChain:
    """The chain without elastic parts, in the working's symbols; `φ` and all dimensions are free.

    Attributes
    ----------
    pull, rotation, travel, lift : expression
        s(φ), θ, y and x, each over the lever angle.
    lever_arm, arm_arm, slope : expression
        p_L, p_A and j over the lever angle, each from its own law.
    torque_arm : expression
        m over the lever angle, friction included.
    numeric : dict
        What `sympy.lambdify` is to call for measured tables.
    loading_pull : expression
        Pull at the arm at which the float is gone and the rod loads.
    """

    pull: Any
    rotation: Any
    travel: Any
    lift: Any
    lever_arm: Any
    arm_arm: Any
    slope: Any
    torque_arm: Any
    numeric: dict[str, Callable[[Any], Any]]
    loading_pull: Any


def _lever(link: Link, phi: Any) -> tuple[Any, Any, dict[str, Any]]:
    """Return pull and moment arm over the lever angle."""
    triangle = link_laws(link, "L")
    if triangle is not None:
        rest = triangle.angle(sym("ℓ_L0"))
        length = triangle.length(rest + phi)
        return length - sym("ℓ_L0"), triangle.moment_arm(rest + phi, length), {}
    if isinstance(link, Drum):
        return sym("b_L") * phi, sym("b_L"), {}
    assert isinstance(link, MeasuredLink)
    table = table_functions("lever", link.curve)
    return table.value(phi), table.value(phi).fdiff(), table.numeric


def _arm(link: Link, pull: Any) -> tuple[Any, Any, dict[str, Any]]:
    """Return rotation and moment arm over the pull at the arm."""
    triangle = link_laws(link, "A")
    if triangle is not None:
        rest, length = triangle.angle(sym("ℓ_A0")), sym("ℓ_A0") - pull
        now = triangle.angle(length)
        return rest - now, triangle.moment_arm(now, length), {}
    if isinstance(link, Drum):
        return pull / sym("b_A"), sym("b_A"), {}
    assert isinstance(link, MeasuredLink)
    table = table_functions("arm", link.curve)
    rotation = table.inverse(pull)
    return rotation, table.value(rotation).fdiff(), table.numeric


def _unit(parts: Parts, rotation: Any) -> tuple[Any, Any, Any, dict[str, Any]]:
    """Return travel, slope and torque arm over the unit's rotation."""
    found = unit_laws(parts.release)
    if found is None:
        assert isinstance(parts.release, MeasuredUnit)
        table = table_functions("release", parts.release.curve)
        travel = table.value(rotation)
        lossy = parts.release.efficiency != 1.0
        arm = travel.fdiff() / sym("η_u") if lossy else travel.fdiff()
        return travel, travel.fdiff(), arm, table.numeric
    first = {sym(name): expression for name, expression in found.first}
    turned = {sym("ψ"): sym("ψ_0") + rotation, sym("θ_u"): rotation}
    arm = found.torque_arm(1).subs(sym("j"), found.slope)
    return (*(e.subs(turned).subs(first) for e in (found.travel, found.slope, arm)), {})


def _loading_pull(parts: Parts) -> Any:
    """Return the pull at the arm at which the float is gone."""
    found, link = unit_laws(parts.release), parts.arm.link
    if found is None:
        assert isinstance(parts.release, MeasuredUnit)
        rotation = table_functions("release", parts.release.curve).inverse(sym("f"))
    else:
        known = {sym(name): expression for name, expression in found.first}
        known[sym("y")] = sym("f")
        for name, expression in found.back:
            known[sym(name)] = expression.subs(known)
        rotation = known[sym("θ_u")].subs(known)
    triangle = link_laws(link, "A")
    if triangle is not None:
        turned = triangle.angle(sym("ℓ_A0")) - rotation
        return sym("ℓ_A0") - triangle.length(turned)
    if isinstance(link, Drum):
        return sym("b_A") * rotation
    assert isinstance(link, MeasuredLink)
    return table_functions("arm", link.curve).value(rotation)


def rigid_chain(parts: Parts) -> RigidChain:
    """Return the rigid chain of a mechanism.

    Notes
    -----
    x(φ) = [y(θ(s(φ) - s_0)) - f]/i. Slack, float and finger ratio always stand in it.
    """
    phi = sym("φ")
    pull, lever_arm, lever_tables = _lever(parts.lever.link, phi)
    rotation, arm_arm, arm_tables = _arm(parts.arm.link, pull - sym("s_0"))
    travel, slope, torque_arm, unit_tables = _unit(parts, rotation)
    lift = (travel - sym("f")) / sym("i")
    numeric = {**lever_tables, **arm_tables, **unit_tables}
    return RigidChain(
        pull,
        rotation,
        travel,
        lift,
        lever_arm,
        arm_arm,
        slope,
        torque_arm,
        numeric,
        _loading_pull(parts),
    )
