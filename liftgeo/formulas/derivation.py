"""The chain in symbols: loop closure, lift over lever angle, advantage by two ways, all shown.

SymPy simplifies the difference of both sides; where tables or long roots stand in the way, both
sides are worked out with this file's numbers to forty figures.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import sympy

from liftgeo.formulas import laws
from liftgeo.formulas.inputs import Case
from liftgeo.formulas.laws import Table, TriangleLaws
from liftgeo.formulas.printers import Latex, Text
from liftgeo.formulas.registry import as_written, followed, substituted
from liftgeo.formulas.result import Identity, Section
from liftgeo.formulas.sheet import Sheet, evaluated
from liftgeo.formulas.symbols import quantity, sym, syms
from liftgeo.parts.release import BallRamp

_FIGURES = 40
_SIMPLIFIES = "SymPy: the difference simplifies to 0"


def _both(expression: Any) -> tuple[str, str]:
    return Text().written(expression), Latex().written(expression)


def shown_equal(
    words: str,
    label: tuple[str, str],
    left: Any,
    right: Any,
    numbers: dict[str, float],
    written: Any = None,
) -> Identity:
    """Return an identity, with how far SymPy can show it.

    Parameters
    ----------
    label : tuple of str
        The left side as it is written, plain and LaTeX.
    left, right : expression
        Both sides, worked out.
    numbers : dict
        This file's numbers, for a difference that does not simplify.
    written : expression, optional
        The right side as it is to be written, where that is shorter.
    """
    sides = _both(right if written is None else written)
    with sympy.evaluate(True):
        left, right = left.doit(), right.doit()
        difference = _simplified(left - right)
        if difference == 0:
            return Identity(words, label, sides, _SIMPLIFIES)
        exact = {s: sympy.Rational(numbers[str(s)]) for s in difference.free_symbols}
        shown = _agreement(*(side.subs(exact).evalf(_FIGURES) for side in (left, right)))
    return Identity(words, label, sides, shown)


@cache
def _simplified(difference: Any) -> Any:
    """Return a difference as simple as SymPy can make it; the same ones come back again."""
    return sympy.simplify(difference)


def _agreement(left: Any, right: Any) -> str:
    apart = abs(left - right)
    if apart <= abs(right) * sympy.Float(10) ** (5 - _FIGURES):
        return f"SymPy: with this file's numbers both sides agree to {_FIGURES - 5} figures"
    return f"SymPy: the sides DIFFER by {sympy.N(apart, 3)}"


def _d(above: str, below: str) -> tuple[str, str]:
    """Return a derivative as it is written."""
    one, two = quantity(above), quantity(below)
    return f"d{one.plain}/d{two.plain}", rf"\frac{{d{one.latex}}}{{d{two.latex}}}"


def _named(name: str, more: tuple[str, str] = ("", "")) -> tuple[str, str]:
    """Return a symbol, and what follows it, as they are written."""
    return quantity(name).plain + more[0], quantity(name).latex + more[1]


def _over(name: str, variable: str) -> tuple[str, str]:
    """Return a function of a variable as it is written."""
    over = quantity(variable)
    return _named(name, (f"({over.plain})", f"({over.latex})"))


def triangle_section(found: TriangleLaws, numbers: dict[str, float]) -> Section:
    """Derive loop closure and moment arm of a lever's or arm's triangle."""
    r, d, a, gamma, length = found.syms("r d a γ ℓ")
    with sympy.evaluate(False):
        vectors = (d - r * sympy.cos(gamma)) ** 2 + (r * sympy.sin(gamma)) ** 2
        if found.offset:
            vectors = vectors + a**2
    closed, arm = found.length(gamma), found.moment_arm(gamma, length)
    square = _named(length.name, ("²", "^2"))
    # Pivot at the origin, stop at (d, 0): the cable's line passes the pivot at |pin x stop|/length.
    pin, stop = (r * sympy.cos(gamma), r * sympy.sin(gamma)), (d, sympy.Integer(0))
    cross = (pin[1] * stop[0] - pin[0] * stop[1]) / length
    name = "Lever" if found.side == "L" else "Arm"
    turns = "lengthens" if found.side == "L" else "shortens"
    items = (
        Identity(
            "loop closure, pivot to pin to stop and back: pivot at the origin, stop on the axis",
            square,
            _both(vectors),
            "from the two points",
        ),
        shown_equal("the same as the law of cosines", square, vectors, closed.base, numbers),
        shown_equal(
            "moment arm by differentiation",
            _d(length.name, gamma.name),
            closed.doit().diff(gamma),
            found.moment_arm(gamma, closed),
            numbers,
            arm,
        ),
        shown_equal(
            "moment arm as the pull's lever arm about the pivot: cross product over length",
            _named(found.name("p")),
            cross,
            arm,
            numbers,
        ),
    )
    return Section(f"{name} in symbols", f"Turning {turns} the cable's side ℓ.", items)


def cable_section(numbers: dict[str, float]) -> Section:
    """Derive the tension along the bends and its mean."""
    beta, mu, pull = syms("β μ_c T")
    with sympy.evaluate(False):
        along = pull * sympy.exp(mu * beta)
        grows = mu * along
    place, friction, bend = sympy.symbols("b m B", positive=True)
    mean = sympy.integrate(sympy.exp(friction * place), (place, 0, bend)) / bend
    mean = pull * mean.subs({friction: mu, bend: beta})
    rises = along.doit().diff(beta)
    return Section(
        "Cable in symbols",
        "Euler and Eytelwein: each bit of bend adds its share of friction.",
        (
            shown_equal("tension rises with the bend", _d("T_h", "β"), rises, grows, numbers),
            shown_equal(
                "mean over the bends, by integration",
                _named("T_m"),
                mean,
                laws.mean_tension(1),
                numbers,
            ),
        ),
    )


def unit_section(case: Case, numbers: dict[str, float]) -> Section | None:
    """Derive the slope of the release unit, and its torque arm without friction."""
    law, unit = case.unit, case.parts.release
    if case.measured_unit:
        return None
    slope = law.travel.doit().diff(sym("θ_u"))
    stated = law.slope.doit().subs(sym("ψ"), sym("ψ_0") + sym("θ_u"))
    lossless = law.torque_arm(1).doit().subs(sym("j"), law.slope.doit())
    lossless = lossless.subs({sym(name): none for name, none in law.smooth})
    rolling = isinstance(unit, BallRamp) and unit.rolling
    items = (
        *([_bisector()] if rolling else []),
        Identity("rod travel", _named("y"), _both(law.travel), "geometry of the unit"),
        shown_equal("by differentiation", _d("y", "θ_u"), slope, stated, numbers, law.slope),
        shown_equal(
            "torque arm without friction, by virtual work: M dθ_u = R dy",
            _named("m", (" = j", " = j")),
            lossless,
            law.slope,
            numbers,
        ),
    )
    return Section("Release unit in symbols", "", items)


@cache
def _bisector() -> Identity:
    """Show that a ball rolling between two ramps parts the plates along the mean of their slopes.

    The contacts lie at the ball's centre -+ radius times the ramps' normals. Rolling, they move
    as the plates do; the ball is rigid, so the plates' relative motion (along, apart) is square
    to the line between the contacts, along the sum of the normals.
    """
    one, two = sympy.symbols("a1 a2", positive=True)
    along, apart = sympy.symbols("u w", positive=True)
    normals = [sympy.Matrix([-sympy.sin(a), sympy.cos(a)]) for a in (one, two)]
    motion = sympy.Matrix([along, apart])
    parted = sympy.solve(motion.dot(normals[0] + normals[1]), apart)[0] / along
    left = sympy.simplify((parted - sympy.tan((one + two) / 2)).rewrite(sympy.exp))
    shown = _SIMPLIFIES if left == 0 else f"SymPy: DIFFERS by {left}"
    first, second = syms("α_1 α_2")
    with sympy.evaluate(False):
        mean = sympy.tan((first + second) / 2)
    ratio = (sympy.sin(first) + sympy.sin(second)) / (sympy.cos(first) + sympy.cos(second))
    return Identity(
        "a ball that rolls between two ramps parts the plates square to the line between its two "
        "contacts: apart over along",
        _both(ratio),
        _both(mean),
        shown,
    )


@as_written
def lift_section(case: Case) -> Section:
    """Write lift as a function of the lever angle."""
    items = []
    pulled, turned, travel = sym("s"), sym("θ"), sym("y")
    if case.lever.triangle is not None:
        pulled = followed(case.lever.forward, {})["s"]
        items.append(Identity("pull of the lever", _over("s", "φ"), _both(pulled), "loop closure"))
    if case.arm.triangle is not None:
        turned = followed(case.arm.back, {"s_1": sym("s") - sym("s_0")})["θ"]
        words = "rotation of the arm, slack taken off"
        items.append(Identity(words, _over("θ", "s"), _both(turned), "loop closure"))
        turned = followed(case.arm.back, {"s_1": pulled - sym("s_0")})["θ"]
    # A measured table stands in no formula: there the lift is written in outline.
    if not case.measured_unit:
        travel = substituted(case.unit.travel, {"θ_u": turned})
    lift = _both((travel - sym("f")) / sym("i"))
    items.append(Identity("lift of the plate", _over("x", "φ"), lift, "the links in a row"))
    words = (
        "Rigid parts: lift follows from the lever angle by geometry alone. What stretch, flex and "
        "wind-up take is put in below, with the loads at full lever."
    )
    return Section("Lift as a function of the lever angle", words, tuple(items))


def chained(case: Case) -> dict[str, Any]:
    """Return the chain without elastic parts, each quantity as an expression of φ.

    Notes
    -----
    s(φ), θ(s - s_0), y(θ) and p_L, p_A, j, each from its own law; for SymPy to differentiate.
    """
    known = followed(case.lever.forward, {})
    known["p_L"] = substituted(case.lever.moment_arm, known)
    known = followed(case.arm.back, {**known, "s_1": known["s"] - sym("s_0")})
    known["p_A"] = substituted(case.arm.moment_arm, known)
    known["θ_u"] = known["θ"]
    known["ψ"] = sym("ψ_0") + known["θ_u"]
    for name, expression in (("y", case.unit.travel), ("j", case.unit.slope)):
        known[name] = substituted(expression, known)
    return {name: expression.doit() for name, expression in known.items()}


def _both_ways(case: Case, numbers: dict[str, float]) -> list[Identity]:
    """Derive dh/dy by differentiation and R/F_h by virtual work, and show them equal."""
    chain = chained(case)
    p_l, p_a, j, r_h = syms("p_L p_A j r_h")
    # Any slack will do for an identity; with slack and stretch it is the full lever's position.
    known = {**numbers, "s_0": numbers.get("s_0", 0.0) + numbers.get("u", 0.0)}
    differentiated = r_h / chain["y"].diff(sym("φ"))

    force, tension, torque, rod = sympy.symbols("F T M R", positive=True)
    statics = sympy.solve(
        [force * r_h - tension * p_l, tension * p_a - torque, torque - rod * j],
        [tension, torque, rod],
        dict=True,
    )[0]
    ratio = (statics[rod] / force).subs({sym(n): chain[n] for n in ("p_L", "p_A", "j")})
    with sympy.evaluate(False):
        written = _both(r_h * p_a / (p_l * j))
    agreed = _agreement_of(differentiated, ratio, known)
    return [
        Identity(
            "by differentiation: y(φ) of the whole chain, loop closures put in, differentiated in "
            "one go; the hand moves r_h dφ",
            ("dh/dy = r_h/(dy/dφ)", r"\frac{dh}{dy} = \frac{r_h}{dy/d\varphi}"),
            written,
            agreed,
        ),
        Identity(
            "by virtual work, F_h dh = R dy without friction: F_h·r_h = T·p_L, T·p_A = M and "
            "M = R·j, solved for the rod force",
            ("R/F_h", r"\frac{R}{F_h}"),
            written,
            agreed + ": the two ways are one",
        ),
    ]


def _agreement_of(left: Any, right: Any, known: dict[str, float]) -> str:
    """Say how far two expressions agree with a mechanism's numbers."""
    if not (left + right).atoms(Table):
        exact = {s: sympy.Rational(known[str(s)]) for s in (left + right).free_symbols}
        return _agreement(*(side.subs(exact).evalf(_FIGURES) for side in (left, right)))
    one, two = (evaluated(side, known) for side in (left, right))
    if abs(one - two) <= 1e-11 * abs(two):
        return "with this file's numbers and tables both sides agree to 11 figures"
    return f"the sides DIFFER by {one - two:.3g}"


def advantage(sheet: Sheet, case: Case) -> None:
    """Work out the mechanical advantage by differentiation and by virtual work."""
    sheet.items += _both_ways(case, dict(sheet.numbers))
    with sympy.evaluate(False):
        ideal = sym("r_h") * sym("p_A") / (sym("p_L") * sym("j"))
        real = sym("R") / sym("F_h")
    sheet.work("A_i", ideal, "", "stroke.ideal_advantage")
    if sheet.numbers["F_h"] > 0:
        sheet.work("A_r", real, "", "stroke.advantage")
