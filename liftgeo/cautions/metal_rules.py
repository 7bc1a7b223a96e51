"""The warning about metal taken off: skims, drilled or shortened arms, ground ramps."""

from __future__ import annotations

import math

from liftgeo.cautions.plausible_rules import FileCaution
from liftgeo.cautions.rule import CAUTION
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.amounts import number_before
from liftgeo.mechanism.key_facts import number

SKIMS = ("stack.basket_face_skim", "stack.rim_skim", "stack.pressure_plate_skim")
DRILLED = ("arm.radius", "lever.nipple_radius")
NEW_HOLES = ("arm.hole", "lever.hole")
GROUND = ("release.ramp_angle", "release.far_ramp_angle")

_SOURCE = (
    "no accepted figure for metal that may be taken off: a flywheel maker's page (read); holes: EN "
    "1993-1-8 Table 3.3 (read), made for building steel under steady load; the rest: common "
    "practice, no source"
)


def cut_keys(mechanism: Mechanism) -> list[str]:
    """Return the keys that say that metal was, or would be, taken off."""
    keys, before = mechanism.keys, (mechanism.origin or mechanism).keys
    found = [key for key in SKIMS if float(number(keys, key)) > 0]
    for key in (*DRILLED, *GROUND):
        if key in keys and key in before and keys[key] != before[key]:
            found.append(key)
    return found + [key for key in NEW_HOLES if _is_new(mechanism, key)]


def _is_new(mechanism: Mechanism, hole: str) -> bool:
    """Return whether a hole lies elsewhere than the one that the cable end hangs in now."""
    if hole not in mechanism.keys:
        return False
    now = number_before(mechanism.origin or mechanism, hole)
    return now is None or not math.isclose(now, mechanism.keys[hole], rel_tol=1e-9)


SKIM, GROUND_AWAY, HOLES = "skim", "ground", "drilled"
CUT_WORDS = {
    SKIM: "keep the maker's least thickness: a thinned plate or basket can burst at speed and "
    "heat, and must be balanced again",
    GROUND_AWAY: "grinding may cut through the hardened layer of a ramp",
    HOLES: "from a hole's centre 1.2 times its diameter to every edge is the least from building "
    "steel, not made for parts that tire; a second hole weakens the arm between them",
}
"""What to mind where metal is cut, by how."""


def cut_words(how: str) -> str:
    """Return what to mind where metal is cut: "skim", "ground" or "drilled"."""
    return CUT_WORDS[how]


def _words(mechanism: Mechanism) -> str:
    cut = cut_keys(mechanism)
    if not cut:
        return ""
    of = ((SKIMS, SKIM), (GROUND, GROUND_AWAY), ((*DRILLED, *NEW_HOLES), HOLES))
    said = [CUT_WORDS[how] for keys, how in of if any(key in keys for key in cut)]
    return f"Metal is taken off ({', '.join(cut)}): {'; '.join(said)}."


METAL_CAUTIONS: tuple[FileCaution, ...] = (FileCaution("metal-removed", CAUTION, _SOURCE, _words),)
