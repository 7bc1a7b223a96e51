"""How sure an answer is, in words: the headline's word, odds, what was taken, what to measure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.cautions.rule import SEVERITIES
from liftgeo.cautions.warning import Warning
from liftgeo.mechanism.convert import is_wet
from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.usual import Taken
from liftgeo.quantities import DIMENSIONS, converted, shown
from liftgeo.words.in_units import in_units
from liftgeo.words.lines import wrapped
from liftgeo.words.numbers import Shown, fixed

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known, Said
    from liftgeo.outcome.results import Result

SURE, UNSURE_LOW, UNSURE_HIGH = 0.95, 0.2, 0.8
MOST_TAKEN = 3
_COARSE = 100.0


def rests_on_usual_friction(mechanism: Mechanism) -> bool:
    """Return whether the grip rests on a facing friction that was not given."""
    return any(item.key == "faces.friction" for item in mechanism.taken)


def running_taken(mechanism: Mechanism) -> str:
    """Return "wet" or "dry" where the file does not say which, as it is then taken; else ""."""
    if "faces.running" in mechanism.keys:
        return ""
    return "wet" if bool(np.any(is_wet(mechanism.keys))) else "dry"


def headline_word(result: Result, mechanism: Mechanism, known: Known) -> str:
    """Return the word the answer begins with, as sure as it is and no surer.

    Slipping comes first where friction was given; otherwise the word follows how many of the
    clutches run clear.
    """
    if known.holds is not None and not rests_on_usual_friction(mechanism):
        if known.holds <= 1 - SURE:
            return "SLIPS"
        if known.holds < UNSURE_LOW:
            return "LIKELY SLIPS"
    frees = known.frees
    if frees >= SURE:
        faces = mechanism.parts().faces
        wanted = float(faces.clearance_per_face_mm(faces.target_separation_mm))
        return "RUNS CLEAR" if known.clearance_per_face_mm.p50 >= wanted else "MARGINAL"
    if frees <= 1 - SURE:
        return "DOES NOT RELEASE" if known.odds.no_release >= SURE else "DRAGS"
    if UNSURE_LOW <= frees <= UNSURE_HIGH:
        return "TOO CLOSE TO CALL"
    return "LIKELY RUNS CLEAR" if frees > UNSURE_HIGH else "LIKELY DRAGS"


def in_twenty(share: float) -> str:
    """Return a share as a count of 20, never surer than 19 in 20."""
    count = round(20 * share)
    if count >= 20:
        return "at least 19"
    return f"about {min(count, 19)}" if count > 0 else "at most 1"


def _spread(known: Known, units: str) -> str:
    """Return the range of clearance in words, both ends with as many decimals, and apart."""
    ends = known.clearance_per_face_mm.p05, known.clearance_per_face_mm.p95
    show, (low, high) = Shown(units), ends
    unit = show.unit("length")
    if low < 0 <= high:
        first, last = show.column((-low, high))
        return f"between {first} {unit} short and {last} {unit} clear on each face"
    word = "short" if high < 0 else "clear"
    first, last = show.ends(*sorted((abs(low), abs(high))))  # the lesser first
    between = f"between {first} and {last}" if first != last else last
    return f"{between} {unit} {word} on each face"


def sure_line(result: Result, known: Known, units: str) -> str:
    """Return how sure the answer is: odds in twenty, and the range of clearance."""
    would = known.frees >= 0.5
    share = known.frees if would else 1 - known.frees
    what = "would run clear" if would else "would drag"
    text = (
        f"How sure: of 20 clutches measured like this, {in_twenty(share)} {what} "
        f"({_spread(known, units)})."
    )
    slips = 1 - known.holds if known.holds is not None else 0.0
    if slips > 0.05:
        text += f" {in_twenty(slips).capitalize()} of 20 would slip."
    if known.failed > 0.05 * known.samples:
        share = 100 * known.failed / known.samples
        text += (
            f" CAUTION: {share:.0f} in 100 of the ranges taken together cannot be built; look "
            "over the widest of them."
        )
    return text


_NAMED = {
    "cable.bend": "bends of the cable",
    "cable.housing.stiffness": "stiffness of the casing",
    "arm.return_torque": "return torque of the arm",
    "release.friction_angle": "rolling friction of the balls",
    "release.friction": "friction of the release unit",
    "release.efficiency": "efficiency of the release unit",
    "rod.stiffness": "stiffness of rod and mounts",
    "rod.mount_stiffness": "stiffness of the rod's mounts",
    "faces.friction": "facing friction",
    "faces.plate_runout": "friction plate run-out",
}
_PLAIN_TABLES = ("faces", "release", "stack", "spring")


def named(dotted: str) -> str:
    """Return what a key is, in a few words: "cable stiffness", "end float of the rod"."""
    home = dotted.split("[")[0]
    if home in _NAMED:
        return _NAMED[home]
    table, *rest = home.split(".")
    words = " ".join(rest).replace("_", " ").replace("runout", "run-out")
    return words if table in _PLAIN_TABLES else f"{table} {words}"


def taken_text(mechanism: Mechanism, item: Taken, units: str) -> str:
    """Return a number that was taken, with its range."""
    dimension = dimension_of(item.key, kind_of(mechanism.keys, item.key.split(".")[0]))
    value, low, high = no_finer((item.value, item.low, item.high), dimension, units)
    return f"{named(item.key)} {value} ({low.split(' ')[0]} to {high.split(' ')[0]})"


def no_finer(values: Sequence[float], dimension: str, units: str) -> list[str]:
    """Return usual values with their unit, all with the same decimals.

    Where one comes to 100 or more, none has decimals, and three figures are the most: more is not
    known.
    """
    numbers = [converted(value, dimension, units) for value in values]
    if not any(math.isfinite(x) and abs(x) >= _COARSE for x in numbers):
        return [shown(value, dimension, units) for value in values]
    texts = []
    for value, number in zip(values, numbers, strict=True):
        told = value
        if math.isfinite(number) and abs(number) >= _COARSE:
            step = 10.0 ** (math.floor(math.log10(abs(number))) - 2)
            told = round(number / step) * step * (value / number)
        texts.append(shown(told, dimension, units, 0))
    return texts


def taken_line(
    mechanism: Mechanism, known: Known | None, units: str, among: Sequence[str] | None = None
) -> str:
    """Return what was not given and is taken as usual, what matters most first; may be empty.

    `among` names the only keys that have a say in a partial answer.
    """
    order = [share.key for share in known.shares] if known is not None else []
    rank = {key: k for k, key in enumerate(order)}
    told = [item for item in mechanism.taken if among is None or item.key in among]
    taken = sorted(told, key=lambda item: rank.get(item.key, len(rank)))
    if not taken:
        return ""
    first = ", ".join(taken_text(mechanism, item, units) for item in taken[:MOST_TAKEN])
    more = len(taken) - MOST_TAKEN
    rest = f", and {more} more" if more > 0 else ""
    return f"Not given, taken as usual for a {mechanism.condition} machine: {first}{rest}."


READ_WORDS = {
    "separation": "put a feeler in at full lever",
    "plate_lift": "put a dial gauge on the pressure plate at full lever",
    "hand_force": "hang a spring balance on the lever at full lever",
    "return_force": "read a spring balance as the lever begins to go back",
}
"""Readings at full lever, as one is told to take them."""


def reading_words(name: str, units: str) -> str:
    """Return what a reading is, in words: "separation", "hand force at 20 mm (line 4)"."""
    words = name.replace("_", " ")
    return words if units == "metric" else in_units(words, units)


FILE_ALONE = "What follows is by the file alone, the readings from the bench left aside."
"""Stands over bars, curves and key numbers where readings move the answer above them."""


def with_the_bench(result: Result, known: Known | None, units: str) -> Result:
    """Return a result with a caution more where readings from the bench contradict the file.

    For whatever does not print `bench_line` beside it: JSON, figures, the write-up.
    """
    if known is None or known.bench is None or not known.bench.contradicts:
        return result
    text = bench_line(known, units).removeprefix("CAUTION: ").replace("said above", "said here")
    text = f"{text[0].upper()}{text[1:]}"
    warnings = (*result.warnings, Warning("bench-contradicts-file", "caution", text))
    graver = sorted(warnings, key=lambda warning: SEVERITIES.index(warning.severity))
    return replace(result, warnings=tuple(graver))


def bench_line(known: Known, units: str) -> str:
    """Return how well the readings from the bench agree with the file; empty without readings."""
    bench = known.bench
    if bench is None:
        return ""
    many = "1 reading" if bench.readings == 1 else f"{bench.readings} readings"
    wrong = [said for said in bench.said if said.reading in bench.contradicts]
    if wrong:
        each = [_said_text(said, units) for said in wrong[:2]]
        more = f", and {len(wrong) - 2} more" if len(wrong) > 2 else ""
        text = (
            f"CAUTION: from the bench, {' and '.join(each)}{more}: more apart than all that is "
            "uncertain here allows. A number of the file is wrong, or the reading is"
        )
        rests = bench.taken_alone or bench.slip_margin is not None
        text += ". What is said above rests on the reading. " if rests else ". "
        return text + "`liftgeo diagnose` looks for the number."
    if bench.readings == 1:
        return f"From the bench, taken in above: {_said_text(bench.said[0], units)}: they agree."
    return (
        f"From the bench, taken in above: {many}, which agree with the file (chi-square "
        f"{fixed(bench.reduced_chi_square, 1)} for each; about 1 is usual)."
    )


def _said_text(said: Said, units: str) -> str:
    """Return a reading beside what the file alone says of it."""
    dimension = next(d for d in DIMENSIONS.values() if d.unit == said.unit).name
    digits = DIMENSIONS[dimension].digits if units == "metric" else None
    value = shown(said.value, dimension, units, digits)
    low, high = (shown(x, dimension, units, digits) for x in (said.low, said.high))
    between = f"about {low}" if low == high else f"{low.split(' ')[0]} to {high}"
    return f"{reading_words(said.reading, units)} was read as {value} where the file says {between}"


def next_measure_line(known: Known, where: str = "type it under [bench] as {}") -> str:
    """Return what to measure next and what that would settle; empty where nothing is to gain.

    `where` says what to do with a reading, by the name of its key.
    """
    if not known.next:
        return ""
    first = known.next[0]
    would = f"that would settle it {in_twenty(first.certainty)} times in 20"
    if first.key is not None:
        text = f"Next: measure {named(first.key)} ({first.key}; {first.how}): {would}"
    else:
        name = str(first.reading)
        text = f"Next: {READ_WORDS[name]} and {where.format(name)} ({first.how}): {would}"
    if len(known.next) > 1 and known.next[-1].certainty > first.certainty:
        others = " and ".join(step.key or f"bench.{step.reading}" for step in known.next[1:])
        text += f"; with {others} too, {in_twenty(known.next[-1].certainty)}"
    return text + "."


def certainty_lines(
    result: Result, mechanism: Mechanism, known: Known | None, units: str
) -> Sequence[str]:
    """Return the lines that say how sure an answer is, for a printed page."""
    if known is None:
        return []
    texts = [
        sure_line(result, known, units),
        bench_line(known, units),
        taken_line(mechanism, known, units),
        in_units(next_measure_line(known), units),
    ]
    return [line for text in texts if text for line in wrapped(text)]
