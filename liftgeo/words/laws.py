"""The laws behind a mechanism's numbers in one line each, with where they come from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from liftgeo.mechanism.laying import kind_of

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism

DERIVED = "derived in docs/theory.md"
_MEASURED = (
    "measured; monotone cubic between the readings",
    "F. N. Fritsch, J. Butland, A method for constructing local monotone piecewise cubic "
    "interpolants, SIAM J. Sci. Stat. Comput. 5 (1984) (from memory)",
)
_TRIANGLE = (
    "ℓ² = r² + d² − 2 r d cos γ; moment arm p = r d sin γ / ℓ",
    f"law of cosines; {DERIVED}",
)
_DRUM = ("cable pull s = r · angle", DERIVED)
_SHIGLEY = "R. G. Budynas, J. K. Nisbett, Shigley's Mechanical Engineering Design"

_BY_KIND: Mapping[str, Mapping[str, tuple[str, str]]] = {
    "lever": {"pin": _TRIANGLE, "drum": _DRUM, "profile": _MEASURED},
    "arm": {"pin": _TRIANGLE, "drum": _DRUM, "profile": _MEASURED},
    "release": {
        "ball-ramp": ("rod travel y = r θ tan ᾱ; torque R r tan(ᾱ ± ρ)", DERIVED),
        "quick-thread": (
            "y = lead · θ/2π; torque of a power screw with its flank angle and collar",
            f"{_SHIGLEY}, 9th ed., pp. 415-418 (from memory)",
        ),
        "rack": ("y = r θ; torque R r/η", DERIVED),
        "crank": (
            "slider and crank: y = X(ψ) − X(ψ₀), X = r sin ψ − √(L² − (r cos ψ − offset)²)",
            'R. L. Norton, Design of Machinery, "Slider-crank" (from memory)',
        ),
        "eccentric": (
            "y = e (sin ψ − sin ψ₀); torque R (e cos ψ ± μ |R + e sin ψ|)",
            f"statics of the contact point; {DERIVED}",
        ),
        "profile": _MEASURED,
    },
    "spring": {
        "coned-disc": (
            "F = 4E/(1 − ν²) · t s/(K₁ D²) · [(h₀ − s)(h₀ − s/2) + t²]",
            "J. O. Almen, A. Laszlo, Trans. ASME 58 (1936); DIN EN 16984 (both from memory)",
        ),
        "coils": ("F = count · rate · deflection", "Hooke's law"),
        "table": _MEASURED,
    },
}
"""Table and kind: the law, and its source."""

_NAMES = {"lever": "Lever", "arm": "Arm", "release": "Release unit", "spring": "Spring"}
_CABLE = (
    "tension T e^(μβ) + D at the hand; stretch T (e^(μβ) − 1)/(μβ k)",
    "Euler and Eytelwein; F. P. Beer, E. R. Johnston, Vector Mechanics for Engineers: Statics, "
    '"Belt friction" (from memory); the mean derived',
)
_FACES: tuple[tuple[str, str, str], ...] = (
    ("Torque held", "M = μ N z (D + d)/4 (uniform wear)", f"{_SHIGLEY}, eq. (16-24) (from memory)"),
    (
        "Needed to run clear",
        "n · plate run-out + (n − 1) · plain plate run-out + half of what basket, pressure plate "
        "and tilt add up to",
        DERIVED,
    ),
)


def laws(mechanism: Mechanism) -> Iterator[tuple[str, str, str]]:
    """Yield part, law and source for the parts a mechanism has, from the hand to the plates."""
    for table in ("lever", "cable", "arm", "release", "rod", "spring"):
        if table == "cable":
            yield "Cable", *_CABLE
        elif table == "rod":
            yield "Rod", "y = i x + R/k + float", DERIVED
        elif table in mechanism.tables:
            kind = kind_of(mechanism.keys, table)
            yield (
                _NAMES[table],
                *_BY_KIND[table].get(kind, (f"the law of its kind, {kind}", DERIVED)),
            )
    if "faces" in mechanism.tables:
        yield from _FACES


def named_kinds() -> dict[str, frozenset[str]]:
    """Return the kinds of each table that have a law of their own here."""
    return {table: frozenset(kinds) for table, kinds in _BY_KIND.items()}
