"""The page of a diagnosis: what eats the lift, what the readings say, what to read next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.mechanism.bench import ARM_HELD, AT_REST, CABLE_OFF, LETTING_BACK
from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.outcome.known import SURE
from liftgeo.quantities import DIMENSIONS, converted, shown, unit_of
from liftgeo.safety import WORK_SAFELY
from liftgeo.words.certainty import (
    bench_line,
    headline_word,
    in_twenty,
    named,
    next_measure_line,
    reading_words,
    sure_line,
    taken_line,
)
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.numbers import Shown, fixed
from liftgeo.words.remedy_lines import (
    deciding_lines,
    remedy_lines,
    together_lines,
    withheld_lines,
)
from liftgeo.words.stroke_page import budget_lines, reason_line
from liftgeo.words.verdict import answer_line, titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.studies.bench_readings import NextReading
    from liftgeo.studies.diagnose import Diagnosis, Fitted, Rest
    from liftgeo.studies.suspects import Alone

_MOST_KEYS, _MOST_ROWS, _MOST_PAIRS, _MOST_NEXT, _MOST_REMEDIES = 6, 24, 3, 3, 6
_GAIN, _AT_FULL_MM = 0.005, 0.5

MEANS = {
    "cable.stiffness": (
        "it stretches less than the file says",
        "it gives more than the file says: wire stretch, a soft casing, or a casing end not seated",
    ),
    "cable.housing.stiffness": (
        "the casing gives less than the file says",
        "the casing gives more than the file says: soft lining, or an end not seated",
    ),
    "cable.free_play": (
        "more slack than the file says: adjuster backed off, or an end that seats under load",
        "less slack than the file says",
    ),
    "cable.take_up_at_hand": (
        "more slack than the file says: adjuster backed off, or an end that seats under load",
        "less slack than the file says",
    ),
    "cable.friction": (
        "the cable rubs more: dry, dirty, or a frayed strand",
        "the cable runs freer than the file says",
    ),
    "cable.bend": ("the cable goes round more bends", "the cable runs straighter"),
    "release.friction_angle": (
        "the balls or their tracks run rough: dirt, pitting, or a ball that slides",
        "the balls roll freer than the file says",
    ),
    "release.friction": (
        "the release unit rubs more: dry, dirty or worn",
        "the release unit runs freer than the file says",
    ),
    "release.efficiency": (
        "the release unit runs freer than the file says",
        "the release unit rubs more: dry, dirty or worn",
    ),
    "rod.end_float": (
        "more end float: adjuster, worn seat or loose bearing",
        "less end float than the file says",
    ),
    "rod.stiffness": (
        "rod and mounts are stiffer than the file says",
        "rod, mount or cover gives more than the file says: look for a bent seat or a loose screw",
    ),
    "rod.mount_stiffness": (
        "the mounts are stiffer than the file says",
        "a mount or the cover gives more than the file says: a bent seat, or a loose screw",
    ),
    "faces.cushion_travel": (
        "the plates spring open further than the file says",
        "the plates spring open less than the file says",
    ),
    "arm.return_torque": (
        "the arm's return spring is stronger, or its shaft binds",
        "the arm's return spring is weaker than the file says",
    ),
}
"""What it means that a number is higher, or lower, than the file has it."""

_TITLES = {
    "separation": "what the faces part",
    "plate_lift": "lift of the pressure plate",
    "hand_force": "force at the hand",
    "take_up": "hand travel until the rod loads",
    "clamp_force": "clamp force",
    "rod_travel": "travel of the rod",
    "cable_pull": "pull of the wire at the lever",
    "arm_rotation": "rotation of the arm",
    "hand_travel": "travel of the hand",
    "rod_force": "force in the rod",
    "cable_tension": "pull of the cable at the arm",
}


def _text(value: float, unit: str, units: str, digits: int | None = None) -> str:
    """Return a value of a bare unit in the units shown."""
    dimension = next(d for d in DIMENSIONS.values() if d.unit == unit).name
    return shown(value, dimension, units, digits)


def _of_key(mechanism: Mechanism, key: str, value: float | None, units: str) -> str:
    """Return a value of a key with its unit; "not given" for none."""
    if value is None:
        return "not given"
    return shown(value, dimension_of(key, kind_of(mechanism.keys, key.split(".")[0])), units)


def reading_lines(found: Diagnosis, units: str) -> list[str]:
    """Return each reading beside what the file says and what the fit says."""
    rests = found.readings.residuals
    if not rests:
        return []
    against = found.readings.contradicts
    lines = columns(reading_rows(found, units))
    if len(rests) > _MOST_ROWS:
        lines.append(f"... and {len(rests) - _MOST_ROWS} that are nearer; --csv has them all.")
    text = (
        "Off by: from what the file and the other readings leave possible, in standard deviations; "
        "beyond 3 it contradicts them"
    )
    return [*lines, *wrapped(f"{text}, marked *." if against else f"{text}.")]


def reading_rows(found: Diagnosis, units: str) -> list[list[str]]:
    """Return heads, and each reading as cells; of very many those that are off the most."""
    rests = found.readings.residuals
    fitted = bool(found.readings.fitted)
    heads = ["Readings", "read", "±", "file says", *(["fitted"] if fitted else []), "off by"]
    order = sorted(rests, key=lambda r: -abs(r.standardised)) if len(rests) > _MOST_ROWS else rests
    against = found.readings.contradicts
    return [
        heads,
        *(_row(rest, units, fitted, rest.reading in against) for rest in order[:_MOST_ROWS]),
    ]


def _row(rest: Rest, units: str, fitted: bool, against: bool) -> list[str]:
    name = "  " + reading_words(rest.reading).split(" (line")[0].replace("letting back", "back")
    dimension = next(d for d in DIMENSIONS.values() if d.unit == rest.unit)
    unit = unit_of(dimension.name, units)
    digits = dimension.digits if units == "metric" else dimension.inch_digits
    numbers = [rest.value, rest.plus_minus, rest.before, *([rest.after] if fitted else [])]
    cells = [fixed(converted(x, dimension.name, units), digits) for x in numbers]
    if dimension.name == "force" and units == "metric":
        cells[1] = fixed(rest.plus_minus, 1)
    return [
        name,
        f"{cells[0]} {unit}",
        *cells[1:],
        fixed(rest.standardised, 1) + ("*" if against else " "),
    ]


def fit_lines(found: Diagnosis, units: str) -> list[str]:
    """Return what the readings make of each number that they tell, in plain words."""
    readings = found.readings
    told = {k: v for k, v in readings.fitted.items() if k not in readings.undetermined}
    if not readings.fitted:
        return []
    if not told:
        return wrapped(
            "No single number is told by these readings: each may still be nearly anything it "
            "could be before."
        )
    lines = ["What the readings say of the numbers in the file"]
    for text in fit_texts(found, units):
        lines += wrapped("  " + text, indent="    ")
    if len(told) > _MOST_KEYS:
        lines.append(f"  ... and {len(told) - _MOST_KEYS} more; --json has them all.")
    return lines


def fit_texts(found: Diagnosis, units: str) -> list[str]:
    """Return what the readings make of the numbers that they tell best, a text each."""
    readings = found.readings
    told = {k: v for k, v in readings.fitted.items() if k not in readings.undetermined}
    order = sorted(told, key=lambda k: told[k].stderr / (told[k].prior_stderr or 1.0))
    return [fit_text(found.mechanism, key, told[key], units) for key in order[:_MOST_KEYS]]


def fit_text(mechanism: Mechanism, key: str, item: Fitted, units: str) -> str:
    """Return what the readings make of a number: "cable stiffness: 210 -> 150 ± 40 N/mm: ..."."""
    before = _of_key(mechanism, key, item.file_value, units).split(" ")[0]
    if item.file_value is None:
        before = "not given"
    after = _of_key(mechanism, key, item.value, units)
    low, high = (_of_key(mechanism, key, x, units).split(" ")[0] for x in (item.low, item.high))
    text = f"{named(key)} ({key}): {before} -> {after}, between {low} and {high}"
    given = item.file_value
    if given is None or item.low <= given <= item.high:
        return f"{text}; the file's value is possible too" if given is not None else text
    higher, lower = MEANS.get(
        key.split("[")[0], ("more than the file says", "less than the file says")
    )
    return f"{text}: {higher if item.value > given else lower}"


def agreement_text(found: Diagnosis) -> str:
    """Return how well readings and file agree, and what contradicts; empty without readings."""
    readings = found.readings
    chi = readings.reduced_chi_square
    if chi is None:
        return ""
    fits = "agree" if not readings.contradicts else "do not agree"
    text = (
        f"Readings and file {fits}: chi-square {fixed(chi, 1)} for each reading (about 1 is usual)."
    )
    if readings.contradicts:
        names = " and ".join(reading_words(name) for name in readings.contradicts)
        text += f" Contradicting: {names}."
        aside = readings.set_aside
        if 0 < len(aside) < len(readings.contradicts):
            each = " and ".join(reading_words(name) for name in aside)
            text += f" Without {each} the rest agree."
        text += (
            " Read again first; if it stays, an exact number of the file "
            "is wrong, or something gives that the file does not know of."
        )
    return text


def verdict_texts(found: Diagnosis, units: str) -> list[str]:
    """Return how well it all agrees, and each number that would explain what does not."""
    alone = [alone_text(found.mechanism, item, units) for item in found.readings.alone]
    explained = [f"By itself this would explain it: {text}" for text in alone]
    return [text for text in (agreement_text(found), *explained) if text]


def verdict_lines(found: Diagnosis, units: str) -> list[str]:
    """Return the same as lines of a printed page."""
    readings = found.readings
    lines = wrapped(agreement_text(found))
    if readings.alone:
        lines += wrapped("By itself each of these would explain it:")
        for item in readings.alone:
            lines += wrapped("  " + alone_text(found.mechanism, item, units), indent="    ")
        lines += wrapped(
            f"`--fit {readings.alone[0].key}` lets the readings move it; better, measure it again."
        )
    return lines


def alone_text(mechanism: Mechanism, item: Alone, units: str) -> str:
    """Return what an exact number would have to be, and what that would mean."""
    before = _of_key(mechanism, item.key, item.file_value, units).split(" ")[0]
    after = _of_key(mechanism, item.key, item.value, units)
    higher, lower = MEANS.get(item.key, ("more than the file says", "less than the file says"))
    means = higher if item.value > item.file_value else lower
    far = "" if item.usual else ", which would be unusual"
    return f"{named(item.key)} ({item.key}) {before} -> {after}{far}: {means}"


def apart_lines(found: Diagnosis) -> list[str]:
    """Return what the readings cannot tell apart."""
    readings = found.readings
    if not readings.fitted:
        return []
    texts = []
    if readings.pairs:
        each = [
            f"{named(pair.keys[0])} and {named(pair.keys[1])} ({fixed(pair.correlation, 2)})"
            for pair in readings.pairs[:_MOST_PAIRS]
        ]
        texts.append(f"Not told apart (correlation): {'; '.join(each)}.")
    if readings.undetermined:
        names = [named(key) for key in readings.undetermined]
        more = f", and {len(names) - _MOST_KEYS} more" if len(names) > _MOST_KEYS else ""
        texts.append(f"Not told by these readings: {', '.join(names[:_MOST_KEYS])}{more}.")
    return [line for text in texts for line in wrapped(text)]


def place_text(step: NextReading, full_mm: float, units: str) -> str:
    """Return where a reading is taken: "at full lever", "with the arm held, under 90 N"."""
    if step.reading in AT_REST or step.at is None:
        return ""
    if step.condition == CABLE_OFF:
        return f", cable off, the arm turned by hand to {step.at:g} deg"
    if step.condition == ARM_HELD:
        return f", the arm held fast, under {shown(step.at, 'force', units, 0)} at the hand"
    back = ", letting back" if step.direction == LETTING_BACK else ""
    if abs(step.at - full_mm) < _AT_FULL_MM:
        return f" at full lever{back}"
    return f" at {shown(step.at, 'length', units, 0 if units == 'metric' else 2)} of travel{back}"


def next_lines(found: Diagnosis, units: str) -> list[str]:
    """Return the next readings, the best first."""
    contradicted, known = bool(found.readings.contradicts), found.known
    steps, settled = found.readings.next, False
    if known is not None and not contradicted:
        now = max(known.frees, 1 - known.frees)
        settled = now >= SURE
        steps = tuple(s for s in steps if s.certainty > now + _GAIN or settled)
        if not steps:
            return wrapped(next_measure_line(known))
    steps, full_mm = steps[:_MOST_NEXT], found.result.full_lever.hand_travel_mm
    if not steps:
        return []
    lines = [
        "Read next, what tells the suspects apart first"
        if contradicted
        else "Whether it frees is settled; what tells the losses apart best, to read next"
        if settled
        else "Read next, the best first"
    ]
    for step in steps:
        text = f"  {_TITLES[step.reading]}{place_text(step, full_mm, units)} ({step.how})"
        if not contradicted and not settled:
            text += f": then sure {in_twenty(step.certainty)} times in 20 whether it frees"
        if step.tells:
            text += f"; tells {', '.join(named(key) for key in step.tells)}"
        lines += wrapped(text, indent="    ")
    return lines


def foot_line(found: Diagnosis, name: str) -> str:
    """Return what to do with the page."""
    if found.readings.residuals:
        return (
            "Next: type new readings under [bench], or into the readings file, and run this again; "
            "fitted values are never written into the file."
        )
    return (
        f"Next: take a reading, type it under [bench] or into a CSV, and run `liftgeo diagnose "
        f"{name} --readings readings.csv`; docs/measuring.md says how each is read."
    )


def _remedy_blocks(found: Diagnosis, show: Shown) -> list[list[str]]:
    """Return what a symptom means, and what can be done; at fitted values where there are any."""
    cures = found.remedies
    if cures is None:
        return []
    fitted = wrapped("Worked out at the fitted values:") if found.after is not None else []
    return [
        deciding_lines(cures),
        [*fitted, *remedy_lines(cures, show, most=_MOST_REMEDIES)],
        together_lines(cures, show),
        withheld_lines(cures),
    ]


def diagnose_page(found: Diagnosis, units: str, name: str) -> list[str]:
    """Return the whole page; `name` is the file as a next command would name it."""
    show, result, mechanism, known = Shown(units), found.result, found.mechanism, found.known
    faces = mechanism.parts().faces
    word = headline_word(result, mechanism, known) if known is not None else ""
    sure = []
    if known is not None:
        for text in (
            sure_line(result, known, units),
            bench_line(known, units).replace("`liftgeo diagnose` looks for the number.", ""),
            taken_line(mechanism, known, units),
        ):
            sure += wrapped(text.strip())
    against = found.readings.contradicts
    shown_result = result if found.after is None or against else found.after
    fitted = shown_result is not result
    as_fitted = ["At the numbers that agree best with the readings:"] if fitted else []
    blocks = (
        [
            *headline(answer_line(result, units, word, known)),
            *sure,
            *wrapped(reason_line(shown_result, show)),
        ],
        warning_lines(result.warnings, mechanism, units, notes=False),
        [*as_fitted, *budget_lines(shown_result, show, float(faces.target_mm))],
        reading_lines(found, units),
        verdict_lines(found, units),
        fit_lines(found, units),
        apart_lines(found),
        next_lines(found, units),
        *_remedy_blocks(found, show),
    )
    return page(
        [title] if (title := titled(result.title, result.change)) else [],
        *(lines_as_worked(block, mechanism) for block in blocks),
        warning_lines(result.warnings, mechanism, units, notes=True),
        wrapped(foot_line(found, name)) + wrapped(WORK_SAFELY),
    )
