"""Remedies in lines of a page: what the hand does, what it gives, what it asks, what to mind."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from liftgeo.mechanism.key_facts import dimension_of, number_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.remedy_goals import GOALS
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import DIMENSIONS, converted, unit_of
from liftgeo.words.lines import columns, wrapped
from liftgeo.words.numbers import Shown, fixed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from liftgeo.mechanism import Mechanism
    from liftgeo.studies.remedies import Remedies, Remedy, State, Withheld

MOST_SHOWN, MOST_ON_A_SCREEN = 8, 3
WIDTH = 80
_COARSE = 1000.0
"""From here on a number in inch units has no decimals."""
USUAL_NOW = " (now as usual: measure first)"
WHY_WORDS = {
    "little-wear-left": "too little wear would be left before the clutch rides",
    "wear-to-riding": "too little wear would be left before the clutch rides",
    "takes-grip": "it takes grip that is wanted",
    "moved-already": "one of those moves the same thing",
    "no-nearer": "beside those it brings nothing",
    "not-needed": "those suffice without it",
    "cannot-be-built": "the machine does not allow it",
}
SHORT_WORDS = {
    "clearance_per_face_mm": ("clearance per face", "length"),
    "peak_hand_force_n": ("hand force", "force"),
    "slip_margin": ("slip margin", "ratio"),
}


def goal_dimension(key: str) -> str:
    """Return the dimension of a number that remedies move, whatever the kind of its table."""
    table = key.split(".")[0]
    found = (number_of(key, kind) for kind in TABLES[table])
    return next((number.dimension for number in found if number is not None), "ratio")


def value_texts(mechanism: Mechanism, key: str, values: Sequence[float], units: str) -> list[str]:
    """Return values of a key without unit, all with the digits that a workshop can make."""
    dimension = dimension_of(key, kind_of(mechanism.keys, key.split(".")[0]))
    numbers = [converted(value, dimension, units) for value in values]
    if units == "inch" and unit_of(dimension, units) != DIMENSIONS[dimension].unit:
        digits = DIMENSIONS[dimension].inch_digits
        digits = 0 if max(map(abs, numbers)) >= _COARSE else digits
    else:
        digits = max(0, -math.floor(math.log10(GOALS[key].step) + 1e-9)) if key in GOALS else 1
    return ["none" if math.isnan(number) else fixed(number, digits) for number in numbers]


def move_text(mechanism: Mechanism, remedy: Remedy, units: str, *, usual: str = USUAL_NOW) -> str:
    """Return from what to what a remedy brings its keys: "cable.free_play from 2.0 to 1.4 mm".

    `usual` stands behind a key that was never measured.
    """
    told = []
    for key, before, to in zip(remedy.keys, remedy.before, remedy.to, strict=True):
        dimension = dimension_of(key, kind_of(mechanism.keys, key.split(".")[0]))
        unit = unit_of(dimension, units)
        now, then = value_texts(mechanism, key, (before, to), units)
        text = f"{key} from {now} to {then} {unit}".rstrip()
        told.append(text + (usual if key in remedy.as_usual else ""))
    return ", ".join(told)


def _signed(value: float, digits: int) -> str:
    text = fixed(value, digits)
    if math.isnan(value) or not text.strip("-0."):
        return "same" if not math.isnan(value) else "-"
    return text if text.startswith("-") else f"+{text}"


def _effect(remedy: Remedy, show: Shown) -> list[str]:
    clear = converted(remedy.clearance_gain_mm, "length", show.units)
    forces = (remedy.hand_force_change_n, remedy.bearing_change_n)
    peak, load = (converted(force, "force", show.units) for force in forces)
    digits = 3 if show.units == "metric" else 4
    return [
        _signed(clear, digits),
        _signed(peak, 0),
        _signed(remedy.slip_margin_change, 2),
        _signed(load, 0),
    ]


def deciding_lines(found: Remedies) -> list[str]:
    """Return what a symptom means, and the single measurement that decides."""
    symptom = found.deciding
    if symptom is None:
        return []
    lines = wrapped(f"{found.symptom}: {symptom.felt}. Mostly {symptom.behind}.")
    key = symptom.key
    where = f"[bench] {key.removeprefix('bench.')}" if key.startswith("bench.") else key
    return [*lines, *wrapped(f"Decides: {symptom.measure} Goes in as {where}.", indent="  ")]


def remedy_lines(found: Remedies, show: Shown, *, most: int = MOST_SHOWN) -> list[str]:
    """Return the remedies one by one: a row of what each gives, what the hand does below it."""
    told = found.offered[:most]
    if not told:
        return ["No remedy here gives what can be measured."]
    heads = [
        ["Remedies, one by one", "asks", "clear", "peak", "slip", "bearing"],
        ["", "", show.unit("length"), show.unit("force"), "margin", show.unit("force")],
    ]
    rows = [[f"  {r.name}", r.effort, *_effect(r, show)] for r in told]
    lines = columns([*heads, *rows], left=2)
    shown = lines[:2]
    for line, remedy in zip(lines[2:], told, strict=True):
        shown.append(line)
        text = f"      {remedy.hand}: {move_text(found.mechanism, remedy, show.units)}"
        shown += wrapped(text, indent="      ")
        if remedy.caution:
            shown += wrapped(f"      Mind: {remedy.caution}.", indent="      ")
    rest = len(found.offered) - len(told)
    return [*shown, *([f"  and {rest} more: --json holds all."] if rest else [])]


def one_screen_lines(found: Remedies, show: Shown, *, most: int = MOST_ON_A_SCREEN) -> list[str]:
    """Return the first remedies in a row each, and below it what to mind."""
    told = found.offered[:most]
    if not told:
        return ["No remedy here gives what can be measured."]
    heads = [
        ["Remedies, one by one", "asks", "clear", "peak"],
        ["", "", show.unit("length"), show.unit("force")],
    ]
    rows = [[f"  {r.name}", r.effort, *_effect(r, show)[:2]] for r in told]
    lines = columns([*heads, *rows], left=2)
    shown = lines[:2]
    for line, remedy in zip(lines[2:], told, strict=True):
        moves = move_text(found.mechanism, remedy, show.units, usual=" (*)")
        if len(line) + len(moves) + 2 <= WIDTH:
            shown.append(f"{line}  {moves}")
        else:
            shown += [line, *wrapped(f"      {moves}", indent="      ")]
        if remedy.caution:
            shown += wrapped(f"      Mind: {remedy.caution}.", indent="      ")
    rest = len(found.offered) - len(told)
    notes = [f"  and {rest} more"] if rest else []
    usual = any(remedy.as_usual for remedy in told)
    notes += ["(*) now taken as usual: measure it first"] if usual else []
    return [*shown, *([f"  {'; '.join(notes).strip()}."] if notes else [])]


def together_text(found: Remedies, show: Shown) -> str:
    """Return in a sentence what remedies made together come to."""
    if not found.base.short:
        return "The file's targets are reached as it stands."
    if not found.together:
        return f"None of these brings it nearer to its targets: {_short_text(found.base, show)}."
    names = [step.remedy.name for step in found.together]
    every = names[0] if len(names) == 1 else f"Together {', '.join(names[:-1])} and {names[-1]}"
    last = found.together[-1].state
    clear = show.column([last.clearance_per_face_mm])[0]
    comes = f"{clear} {show.unit('length')} clear per face, {show.force(last.peak_hand_force_n)}"
    if not math.isnan(last.slip_margin):
        comes += f", slip margin {fixed(last.slip_margin, 2)}"
    over = passed_over_text(found)
    if not last.short:
        one = "reaches" if len(names) == 1 else "reach"
        return f"{every} {one} the file's targets: {comes}.{over}"
    one = "comes" if len(names) == 1 else "come"
    return f"{every} {one} to {comes}. Still short: {_short_text(last, show)}.{over}"


def passed_over_text(found: Remedies) -> str:
    """Return which free remedies are not among those made together and why; "" where all are."""
    told = "; ".join(_withheld_text(item) for item in found.passed_over)
    return f" Free too, but not beside those: {told}." if told else ""


def _reached(state: State, show: Shown, clear: str) -> list[str]:
    return [
        clear,
        show.bare_force(state.peak_hand_force_n),
        fixed(state.slip_margin, 2),
    ]


def _short_text(state: State, show: Shown) -> str:
    told = []
    for short in state.short:
        words, dimension = SHORT_WORDS[short.what]
        digits = 2 if dimension == "ratio" else 0
        unit = show.unit(dimension) if dimension != "ratio" else ""
        both = [short.value, short.wanted]
        if dimension == "length":
            value, wanted = show.ends(*both)
        else:
            value, wanted = (fixed(converted(x, dimension, show.units), digits) for x in both)
        told.append(f"{words} {value} {unit}".rstrip() + f" (wanted {wanted})")
    return ", ".join(told)


def together_lines(found: Remedies, show: Shown) -> list[str]:
    """Return remedies one after the other until the targets are reached."""
    if not found.base.short:
        return ["The file's targets are reached as it stands."]
    if not found.together:
        return wrapped(
            f"None of these brings it nearer to its targets: {_short_text(found.base, show)}."
        )
    heads = [
        ["Together, free ones first", "asks", "clear", "peak", "slip"],
        ["", "", show.unit("length"), show.unit("force"), "margin"],
    ]
    states = [found.base, *(step.state for step in found.together)]
    first, *clear = show.column(state.clearance_per_face_mm for state in states)
    rows = [["  as it stands", "", *_reached(found.base, show, first)]]
    rows += [
        [f"  {step.remedy.name}", step.remedy.effort, *_reached(step.state, show, room)]
        for step, room in zip(found.together, clear, strict=True)
    ]
    last = found.together[-1].state
    end = "That reaches the file's targets."
    if last.short:
        end = f"Still short: {_short_text(last, show)}."
    text = f"Each with all those above it. {end}{passed_over_text(found)}"
    alone = {each.name: each.to for each in found.offered}
    other = [
        f"{step.remedy.name}, {move_text(found.mechanism, step.remedy, show.units)}"
        for step in found.together
        if alone.get(step.remedy.name) != step.remedy.to
    ]
    if other:
        text += f" Other values than alone: {'; '.join(other)}."
    return [*columns([*heads, *rows], left=2), *wrapped(text)]


def _withheld_text(item: Withheld) -> str:
    return f"{item.name} ({WHY_WORDS.get(item.why, item.why.replace('-', ' '))})"


def withheld_lines(found: Remedies) -> list[str]:
    """Return what is not offered, and why."""
    if not found.withheld:
        return []
    told = "; ".join(_withheld_text(item) for item in found.withheld)
    return wrapped(f"Not offered: {told}.", indent="  ")
