"""What a law of a part is, and which class of parts has which.

To give a new part its formula, write a function from the part to a `LinkLaw` (lever, arm; from the
part and its side), a `UnitLaw` or a `SpringLaw`, and register it:

    @register(parts.release.Rack)
    def _rack(unit): ...

A symbol that is new goes into `symbols.QUANTITIES`. Everything is built under
`sympy.evaluate(False)`, so that it reads in the order in which a person would write it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import wraps
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

import sympy

from liftgeo.errors import RequestError
from liftgeo.formulas.symbols import sym

if TYPE_CHECKING:
    from liftgeo.formulas.laws import TriangleLaws

F = TypeVar("F", bound=Callable[..., Any])


def as_written(function: F) -> F:
    """Keep SymPy from rearranging what a function builds."""

    @wraps(function)
    def kept(*args: Any, **keywords: Any) -> Any:
        with sympy.evaluate(False):
            return function(*args, **keywords)

    return kept  # type: ignore[return-value]  # wraps() keeps the signature, its stub does not


# --- what a law is ---


class Step(NamedTuple):
    """One line of a law: a symbol's name, what it is worked out from, a word beside it."""

    name: str
    expression: Any
    note: str = ""


class Input(NamedTuple):
    """One number of a part: symbol, attribute of the part's class, key in the file's table."""

    name: str
    attribute: str
    key: str


@dataclass(frozen=True)
class LinkLaw:
    """Lever or arm.

    Attributes
    ----------
    inputs : tuple of Input
        Its numbers.
    forward : tuple of Step
        From rotation (φ or θ) to pull (s or s_A); the last is the pull.
    back : tuple of Step
        From pull (s or s_1) to rotation; the last is the rotation.
    moment_arm : expression
        In the symbols of either.
    first : tuple of Step
        Worked out once, at rest.
    triangle : TriangleLaws or None
        A triangle's own laws.
    """

    inputs: tuple[Input, ...]
    forward: tuple[Step, ...]
    back: tuple[Step, ...]
    moment_arm: Any
    first: tuple[Step, ...] = ()
    triangle: TriangleLaws | None = None


@dataclass(frozen=True)
class UnitLaw:
    """A release unit.

    Attributes
    ----------
    inputs : tuple of Input
        Its numbers; those that no expression needs are left out of the working.
    travel, slope : expression
        Rod travel over θ_u, and its slope.
    back : tuple of Step
        From rod travel to rotation, ending with θ_u.
    torque_arm : callable of way
        Torque over rod force, in terms of the slope j where that serves.
    first : tuple of Step
        Worked out once, before the travel.
    smooth : tuple of (str, int)
        Its friction by symbol, and the number that stands for none.
    """

    inputs: tuple[Input, ...]
    travel: Any
    slope: Any
    back: tuple[Step, ...]
    torque_arm: Callable[[int], Any]
    first: tuple[Step, ...] = ()
    smooth: tuple[tuple[str, int], ...] = (("η_u", 1),)


@dataclass(frozen=True)
class SpringLaw:
    """A clamping spring, in terms of its deflection δ and, for discs, the edge deflection s_d.

    Attributes
    ----------
    inputs : tuple of Input
        Its numbers.
    load, energy : expression
        Load and stored energy.
    edge : tuple of Step
        From δ to what `load` is written in.
    first : tuple of Step
        Worked out once.
    free_height : Step or None
        Height of the free spring, where it is worked out and no input.
    """

    inputs: tuple[Input, ...]
    load: Any
    energy: Any
    edge: tuple[Step, ...] = ()
    first: tuple[Step, ...] = ()
    free_height: Step | None = None


# --- the registry ---

Law = LinkLaw | UnitLaw | SpringLaw
LAWS: dict[type, Callable[..., Law]] = {}


def register(part: type) -> Callable[[F], F]:
    """Register what builds the law of a class of parts: from a part, and for links its side."""

    def put(build: F) -> F:
        LAWS[part] = as_written(build)
        return build

    return put


def law_of(part: Any, kind: str, *side: str) -> Any:
    """Return the law of a part.

    Parameters
    ----------
    part : object
        Lever link, arm link, release unit or spring.
    kind : str
        What the file calls it, for the message.
    *side : {"L", "A"}
        Of a link: lever or arm.

    Raises
    ------
    RequestError
        No law is registered for its class.
    """
    build = LAWS.get(type(part))
    if build is None:
        raise RequestError(
            f"{kind}: the working has no formula for this kind yet ({type(part).__name__}). "
            "`liftgeo stroke` gives its numbers."
        )
    return build(part, *side)


def substituted(expression: Any, known: Mapping[str, Any]) -> Any:
    """Return an expression with others put in for its symbols, by name; as written."""
    with sympy.evaluate(False):
        return expression.xreplace({sym(n): e for n, e in known.items()})


def followed(steps: tuple[Step, ...], known: dict[str, Any]) -> dict[str, Any]:
    """Return what is known once the steps of a law are put into each other."""
    for name, expression, _ in steps:
        known = {**known, name: substituted(expression, known)}
    return known
