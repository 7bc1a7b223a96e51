"""What comes nearest to what is wanted, what it still falls short of, and how to look at it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.studies.compare import COMBINE, worries_of
from liftgeo.words.commands import command, quoted, write_up
from liftgeo.words.lines import listed, one_line, wrapped
from liftgeo.words.names import AS_IT_STANDS
from liftgeo.words.numbers import Shown, force_text, in_100, lift_text, said

if TYPE_CHECKING:
    from liftgeo.studies.compare import Comparison
    from liftgeo.studies.sets import Nearest, Short


_SHORT = {
    "clearance_per_face_mm": ("clearance per face", "length", 2),
    "peak_hand_force_n": ("effort", "force", 0),
    "slip_margin": ("slip margin", "ratio", 2),
}
"""What can fall short: its name, dimension, and decimals, more where they hide what lacks."""


def reached_words(found: Nearest, show: Shown) -> str:
    """Return what a set of changes reaches: how often it frees, clearance, peak, slip margin."""
    tried = found.tried
    each = [] if found.sure.frees is None else [f"frees {in_100(found.sure.frees)} in 100"]
    each.append(f"{lift_text(tried.clearance_per_face_mm, show.units)} clear per face")
    each.append(f"{force_text(tried.peak_hand_force_n, show.units)} at the hand")
    if not math.isnan(tried.slip_margin):
        each.append(f"holds {tried.slip_margin:.2f} times what the engine asks")
    return ", ".join(each)


def short_words(short: Short, show: Shown) -> str:
    """Return one thing that still falls short, with what is wanted."""
    name, dimension, digits = _SHORT[short.what]
    digits += 2 * (dimension == "length" and show.units == "inch")
    for more in range(4):
        value, wanted = (
            said(number, dimension, show.units, digits + more)
            for number in (short.value, short.wanted)
        )
        if value != wanted:
            break
    return f"{name} {value}, {wanted} wanted"


def nearest_lines(found: Comparison, show: Shown, name: str) -> list[str]:
    """Return the end of a page that can propose no single change: the nearest, and what lacks."""
    near = found.nearest
    if near is None:
        return []
    names = near.tried.names
    what = one_line(f" {COMBINE} ".join(names)) or f"the clutch {AS_IT_STANDS}"
    text = f"Nearest to what is wanted: {what}: {reached_words(near, show)}. "
    short = "; ".join(short_words(each, show) for each in near.tried.short)
    text += f"Still short: {short}. " if short else "Nothing wanted is missed. "
    count = "1 set of" if near.evaluated == 1 else f"{near.evaluated} sets of up to three"
    text += f"Looked at: {count} changes. "
    lines = wrapped(text + _warned(found, near))
    file, laid = to_look_at(found, names, name)
    end = f"Next: {command('stroke', file, laid)}"
    if not near.tried.short:
        end += f" shows it whole, {write_up(file, laid)} writes it up."
    elif names:
        end += f" shows it whole, {command('diagnose', file, laid)} what more could be done."
    else:
        end += f" shows where its lift goes, {command('diagnose', file)} what could be done."
    return lines + wrapped(end)


def to_look_at(found: Comparison, names: Sequence[str], name: str) -> tuple[str, tuple[str, ...]]:
    """Return the file that a command takes for what was compared, and the changes laid over it.

    Parameters
    ----------
    found : Comparison
    names : sequence of str
        Of the changes made, or the name of another file.
    name : str
        The base's file as a command takes it.
    """
    if all(each in found.base.mechanism.changes for each in names):
        return name, tuple(names)
    return quoted(names[0]), ()


def _warned(found: Comparison, near: Nearest) -> str:
    """Return the warnings that the nearest brings, by name."""
    from liftgeo.outcome.analysis import stroke

    if not near.tried.names:
        return ""
    own = stroke(near.tried.mechanism)
    known = {case.names: case.result for case in found.variants}
    new = worries_of(known.get(near.tried.names, own), found.base.result)
    return f"It brings warnings: {listed(new)}; read them first." if new else ""
