"""The page of a sizing: the answer, its inputs, what binds or stands in the way, the front."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import numpy as np

from liftgeo.mechanism import key_facts
from liftgeo.mechanism.amounts import number_before
from liftgeo.mechanism.fields import plain_digits
from liftgeo.mechanism.laying import kind_of
from liftgeo.quantities import DIMENSIONS, converted, shown, unit_of
from liftgeo.studies.compare import DELTAS
from liftgeo.studies.sensitivity import numbers_in
from liftgeo.studies.size import reached
from liftgeo.studies.wants import FREES, MEASURES, SAME_ANGLE, number_of
from liftgeo.words.certainty import in_twenty
from liftgeo.words.commands import command, number_to_lay, write_up
from liftgeo.words.compare_page import PHYSICS
from liftgeo.words.follow_lines import follow_lines
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, listed, noted, one_line, page, wrapped
from liftgeo.words.names import AS_IT_STANDS, STOP_WORDS, TOLD_APART, TOLD_APART_BY, UNTITLED
from liftgeo.words.numbers import Shown, digits_of_column, fixed, in_100
from liftgeo.words.verdict import hand_force_target_n, warning_lines

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.studies.obstacles import Obstacle
    from liftgeo.studies.size import Sizing
    from liftgeo.studies.wants import Range

_FRONT_ROWS = 7
_AIMS = {1: "least", -1: "most"}


def _name(measure: str) -> str:
    return measure.replace("_", " ")


def _value(measure: str, value: float, units: str) -> str:

    if measure == FREES:
        return f"{100 * value:.1f} in 100"
    kind = MEASURES[measure].dimension
    return shown(value, kind, units, 3 if kind == "length" and units == "metric" else None)


def front_targets(found: Sizing) -> tuple[float, float] | None:
    """Return the clearance and peak effort to draw as lines: wanted, or the file's targets."""
    limits = {k.want.measure: k.want.limit for k in found.wants}
    clearance = limits.get("clearance", float(np.min(found.base.parts().faces.target_mm)))
    return clearance, limits.get("peak_hand_force", hand_force_target_n(found.base))


def figure_title(found: Sizing) -> str:
    """Return the head of the figure of the front."""
    return f"{one_line(found.base.title) or UNTITLED}: what can be had by {', '.join(found.values)}"


def input_names(found: Sizing) -> dict[str, str]:
    """Return the varied inputs in a few words, by key: "Arm: shaft to cable end (arm.radius)"."""
    names: dict[str, str] = {}
    for key in found.values:
        home = "arm.radius" if key == SAME_ANGLE else key
        table = home.split(".")[0]
        what, _ = key_facts.describe(home, kind_of(found.base.keys, table))
        brief = re.split("[:;,(]", what)[0].strip().removeprefix(f"{table} ")
        same = ", cable at the same angle" if key == SAME_ANGLE else ""
        names[key] = f"{table.capitalize()}: {brief}{same} ({home})"
    return names


_IN_INCHES = re.compile(r"\d\s*(?:in\b|inch|thou\b|[\"″])")


def save_note(found: Sizing, units: str) -> str:
    """Return the note of a saved answer; in inch units where the file has its numbers in inches."""
    written = (value for value in found.base.given.values() if isinstance(value, str))
    own = "inch" if any(map(_IN_INCHES.search, written)) else units
    wants = ", ".join(k.want.text(own) for k in found.wants)
    aim = f"{_AIMS[found.goal.sign]} {_name(found.goal.measure)}"
    text = f"sized for {aim}" + (f" with {wants}" if wants else "")
    return text if found.met else f"{text}: not reached, nearest miss"


def answer_line(found: Sizing, units: str) -> str:
    """Return the answer in one sentence."""
    goal = found.goal
    if found.met:
        value = reached(goal.measure, found.result, found.separation_signed_mm, found.sure)
        aim = f"{_AIMS[goal.sign]} {_name(goal.measure)} is {_value(goal.measure, value, units)}"
        kept = " and ".join(k.want.text(units) for k in found.wants)
        text = f"FOUND: with {kept}, the {aim}." if kept else f"FOUND: the {aim}."
    else:
        missed = [k for k in found.wants if k.margin < 0]
        told = " and ".join(
            f"{_name(k.want.measure)} {_value(k.want.measure, k.value, units)}, wanted "
            f"{'at least' if k.want.sign > 0 else 'at most'} "
            f"{_value(k.want.measure, k.want.limit, units)}"
            for k in missed
        )
        text = f"NOT POSSIBLE within these ranges. Nearest miss: {told}."
    if found.dangers:
        text += f" STOP: {listed(found.dangers)}; do not make this, see below."
    return text


def _number(found: Sizing, key: str, value: float, units: str) -> str:

    dimension = number_of(found.base, key).dimension
    digits = 4 if dimension == "length" and units == "inch" else 2
    limits = next(r for r in found.ranges if r.key == key)
    digits = max(digits, 3) if abs(limits.low) < 1 else digits
    if limits.counted and units == "metric":
        digits = max(plain_digits(x) for x in (limits.step, *limits.sizes) if x)
    return shown(value, dimension, units, digits)


def _now(found: Sizing, limits: Range) -> float | None:

    key = "arm.radius" if limits.key == SAME_ANGLE else limits.key
    value = found.base.keys.get(key, numbers_in(found.base).get(key))
    return number_before(found.base, key) if value is None else float(value)


def input_lines(found: Sizing, units: str) -> list[str]:
    """Return what each input is now and what was found."""
    rows = [["Input", "now", "found", "searched"]]
    notes = [""]
    for limits in found.ranges:
        key, now = limits.key, _now(found, limits)
        ends = _number(found, key, limits.low, units), _number(found, key, limits.high, units)
        rows.append(
            [
                f"  {key}",
                "not given" if now is None else _number(found, key, now, units),
                _number(found, key, found.values[key], units),
                f"{ends[0].split()[0]} to {ends[1]}",
            ]
        )
        end = "lowest" if key in found.at_low else "highest" if key in found.at_high else ""
        notes.append(f"  {end}" if end else "")
    return noted(columns(rows), notes)


def want_lines(found: Sizing, units: str) -> list[str]:
    """Return each want with what was reached, its margin, and whether it binds."""
    if not found.wants:
        return []
    rows = [["Wanted", "reached", "margin"]]
    notes = [""]
    for kept in found.wants:
        measure = kept.want.measure
        rows.append(
            [
                f"  {kept.want.text(units)}",
                _value(measure, kept.value, units),
                _value(measure, kept.margin, units),
            ]
        )
        notes.append("  missed" if kept.margin < 0 else "  just kept" if kept.binds else "")
    lines = noted(columns(rows), notes)
    asked = {kept.want.measure for kept in found.wants} & set(TOLD_APART_BY)
    return lines + (wrapped(TOLD_APART) if asked else [])


def effect_lines(found: Sizing, show: Shown) -> list[str]:
    """Return what the answer does, beside the file as it stands."""
    rows = [["What it does", AS_IT_STANDS, "found"]]
    shown_numbers = (
        ("clearance_per_face_mm", "clearance per face", "length", None),
        ("separation_mm", "faces part", "length", None),
        ("travel_left_mm", "travel left when clear", "length", show.coarse),
        ("peak_hand_force_n", "peak at the hand", "force", 0),
        ("hand_force_n", "full lever", "force", 0),
        ("return_hand_force_n", "letting back", "force", 0),
        ("clamp_force_n", "clamp load", "force", 0),
        ("slip_margin", "slip margin", "ratio", 2),
        ("axial_load_n", "bearing load", "force", 0),
    )
    for name, words, dimension, digits in shown_numbers:
        values = [DELTAS[name](r) for r in (found.base_result, found.result)]
        if all(math.isnan(v) for v in values):
            continue
        unit = show.unit(dimension) if dimension != "ratio" else ""
        numbers = [converted(v, dimension, show.units) for v in values]
        decimals = digits_of_column(numbers, show.fine) if digits is None else digits
        texts = [fixed(number, decimals) for number in numbers]
        rows.append([f"  {words}", *(t if t == "-" else f"{t} {unit}".rstrip() for t in texts)])
    if found.base_sure.frees is not None or found.sure.frees is not None:
        counts = (in_100(sure.frees) for sure in (found.base_sure, found.sure))
        rows.append(["  frees in 100", *counts])
    rows.append(["  verdict", found.base_result.verdict, found.result.verdict])
    return columns(rows)


_IN_THE_WAY = {
    "travel": "the hand's travel is used up: the lever meets the grip.",
    "track": "the track is used up: {stop} comes before the grip.",
    "spring end": "the spring's end: {stop} comes before the grip.",
    "dead centre": "{stop} comes before the grip.",
    "effort floor": "the least effort there is: for the lift wanted, spring and cushion take so "
    "much work that the mean over the hand's travel is {floor}; no lever, arm or ramp brings the "
    "peak below that.",
    "effort": "effort: {floor} on average is the least for the lift wanted; friction, stretch, "
    "play and an uneven pull make the rest.",
    "slip": "slip: the clutch does not hold that much; see spring, facing and clamp load.",
    "clamp force": "the spring does not press like that within these ranges.",
    "bearing load": "the spring's load on the release bearing; another ratio at the fingers, or "
    "another spring, would change it.",
    "range": "the ranges end before it.",
}


def obstacle_line(found: Sizing, obstacle: Obstacle, show: Shown) -> str:
    """Return what stands in the way of one want, in a sentence."""
    stop = STOP_WORDS[found.result.stopped_by]
    floor = "" if math.isnan(obstacle.floor_n) else show.force(obstacle.floor_n)
    words = _IN_THE_WAY[obstacle.name].format(stop=stop, floor=floor)
    return f"  {obstacle.want.text(show.units)}: {words}"


def obstacle_lines(found: Sizing, show: Shown) -> list[str]:
    """Return what stands in the way of the missed wants."""
    if not found.obstacles:
        return []
    lines = ["In the way"]
    for obstacle in found.obstacles:
        lines += wrapped(obstacle_line(found, obstacle, show), indent="    ")
    ends = [*(f"{k} at its lowest" for k in found.at_low)]
    ends += [f"{k} at its highest" for k in found.at_high]
    if ends:
        lines += wrapped(f"  Ranges that end too soon: {', '.join(ends)}.", indent="    ")
    return lines


def front_lines(found: Sizing, show: Shown) -> list[str]:
    """Return a few rows of the trade-off front."""
    points = found.front
    if len(points) < 2:
        return []
    chosen = np.unique(np.linspace(0, len(points) - 1, _FRONT_ROWS).round().astype(int))
    keys = list(found.values)[:3]
    heads = [f"clear {show.unit('length')}", f"peak {show.unit('force')}"]
    rows = [["The least effort for each clearance", *heads, *keys]]
    clear = show.column(points[k].clearance_per_face_mm for k in chosen)
    for place, k in enumerate(chosen):
        point = points[k]
        inputs = [_number(found, key, point.values[key], show.units) for key in keys]
        numbers = [clear[place], show.bare_force(point.peak_hand_force_n)]
        rows.append(["", *numbers, *inputs])
    rows = [row[1:] for row in rows]
    return ["The least effort for each clearance", *(f"  {x}" for x in columns(rows, left=0))]


def count_lines(found: Sizing) -> list[str]:
    """Return how many variants were looked at, and why some dropped out."""
    text = f"{found.evaluated:,} variants computed.".replace(",", "\u00a0")
    if found.dropped:
        most = list(found.drop_reasons.items())[:3]
        told = "; ".join(f"{words} ({count})" for words, count in most)
        text += f" {found.dropped} cannot be built and dropped out: {told}."
    return wrapped(text)


def bare_lines(mechanism: Mechanism, asked: Mapping[str, Sequence[str]], units: str) -> list[str]:
    """Return what bare numbers of options were read as, where the page is in inch units.

    Parameters
    ----------
    mechanism : Mechanism
    asked : mapping of str to sequence of str
        Texts of options that give a quantity, by option.
    units : {"metric", "inch"}
    """
    if units != "inch":
        return []
    lines = []
    for option, texts in asked.items():
        for text in texts:
            name, _, numbers = re.sub("[<>]=", "=", text).partition("=")
            measure = MEASURES.get(name.strip().replace(" ", "_"))
            taken = measure or number_of(mechanism, name.strip())
            dimension = taken.dimension
            if DIMENSIONS[dimension].inch_factor == 1.0 or re.search("[a-df-zA-Z\"'″′]", numbers):
                continue
            bare, inch = unit_of(dimension), unit_of(dimension, "inch")
            lines.append(
                f"{option} {text}: bare numbers are {bare}, also with --units inch. "
                f'Write {option} "{text}{inch}" for {inch}.'
            )
    return lines


_WIDER = 0.5
"""Share of a range that is added at an end where the answer lies."""
_TO_SAVE = "sized"


def varied_text(limits: Range, *, low: float | None = None, high: float | None = None) -> str:
    """Return an input and its range as `liftgeo size` takes it, perhaps with other ends."""
    if limits.sizes:
        sizes = ",".join(f"{size:.6g}" for size in limits.sizes)
        return f"--vary {limits.key}={sizes}"
    ends = (limits.low if low is None else low, limits.high if high is None else high)
    return f"--vary {limits.key}={ends[0]:.6g}..{ends[1]:.6g}"


def _wider_text(found: Sizing) -> str:
    """Return the ranges, wider where the answer lies at an end; "" where it lies at none."""
    texts, wider = [], False
    for limits in found.ranges:
        more, low, high = _WIDER * (limits.high - limits.low), None, None
        if limits.key in found.at_low and not limits.sizes and limits.low > 0:
            low = max(limits.low - more, _WIDER * limits.low)
        if limits.key in found.at_high and not limits.sizes:
            high = limits.high + more
        wider = wider or low is not None or high is not None
        texts.append(varied_text(limits, low=low, high=high))
    return " ".join(texts) if wider else ""


def _free_name(found: Sizing) -> str:
    names = (f"{_TO_SAVE}-{k}" if k else _TO_SAVE for k in range(len(found.base.changes) + 1))
    return next(name for name in names if name not in found.base.changes)


def laid_numbers(found: Sizing, units: str) -> list[str]:
    """Return the answer as changes that a command takes: "arm.radius=34.5"."""
    keys = found.base.keys
    return [
        number_to_lay(key, value, kind_of(keys, key.split(".")[0]), units)
        for key, value in found.change.items()
    ]


def next_lines(found: Sizing, units: str, name: str, saved: str | None, asked: str) -> list[str]:
    """Return what to do next; nothing that stands below a caution line is proposed.

    Parameters
    ----------
    found : Sizing
    units : {"metric", "inch"}
    name : str
        The file as a command takes it.
    saved : str or None
        The change the answer was written into.
    asked : str
        The options of the search but --vary, as they are typed.
    """
    changes = laid_numbers(found, units) if saved is None else [saved]
    whole = f"{command('stroke', name, changes)} shows it whole"
    if not found.met:
        text = "Next: ask for less, or put right what is lost first: "
        text += f"{command('diagnose', name)} ranks it."
        if wider := _wider_text(found):
            again = command("size", name, more=f"{wider} {asked}".strip())
            text = text.replace("Next: ", f"Next: {again} searches wider; or ")
        if saved is not None:
            text += f" {whole}."
        return wrapped(text)
    if found.worries:
        text = f"The answer brings new warnings ({listed(found.worries)}), so it is not proposed "
        text += "as it stands; read them before you cut metal. A tighter --want or another range "
        text += "may avoid them."
        return wrapped(f"{text} {whole}.")
    proposed = ""
    if found.beside:
        proposed = f"Proposed with its caution ({listed(found.beside)}): every value asked for "
        proposed += "brings it, so read it first. "
    if saved is not None:
        return wrapped(f"{proposed}Next: {whole}; {write_up(name, changes)} writes it up.")
    text = f"{proposed}Next: {whole}. --vary KEY=30,33,36 or --stock FILE keeps to sizes you have."
    if not name.startswith("-"):  # standard input takes no change
        ranges = " ".join(varied_text(limits) for limits in found.ranges)
        keep = command("size", name, more=f"{ranges} {asked} --save {_free_name(found)}")
        text += f" {' '.join(keep.split())} writes it into the file as a change."
    return wrapped(text)


def sure_lines(found: Sizing) -> list[str]:
    """Return how many of 20 would run clear with what was found, and as it stands."""
    now, then = found.base_sure.frees, found.sure.frees
    if then is None:
        return []
    text = f"How sure: of 20 clutches measured like this, {in_twenty(then)} would run clear with "
    text += "what was found"
    text += "." if now is None else f"; {in_twenty(now)} as it stands."
    return wrapped(text)


def size_page(
    found: Sizing, units: str, name: str, saved: str | None, asked: str = "", *, full: bool = False
) -> list[str]:
    """Return the page: one screen, or all of it.

    Parameters
    ----------
    found : Sizing
    units : {"metric", "inch"}
    name : str
        The file as a command takes it.
    saved : str or None
        The change the answer is written into.
    asked : str
        The options of the search but --vary, as they are typed.
    full : bool
        Add the least effort for each clearance, what was computed, how to read it, and notes.
    """
    show, told = Shown(units), found.result.warnings

    def worked(*lines: str) -> list[str]:
        return lines_as_worked(lines, found.mechanism)

    return page(
        wrapped(one_line(found.base.title) or UNTITLED),
        [*worked(*headline(answer_line(found, units))), *worked(*sure_lines(found))],
        warning_lines(told, found.mechanism, units, notes=False),
        worked(*obstacle_lines(found, show)),
        worked(
            *input_lines(found, units), *follow_lines(found.mechanism, units, "With what was found")
        ),
        worked(*want_lines(found, units)),
        worked(*effect_lines(found, show)),
        *(
            (
                worked(*front_lines(found, show)),
                worked(*wrapped(PHYSICS)),
                count_lines(found),
                warning_lines(told, found.mechanism, units, notes=True),
            )
            if full
            else ()
        ),
        [*next_lines(found, units, name, saved, asked), *last_lines(told, full=full)],
    )
