"""What readings from the bench say: beside the file, of each number, and what to read next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.mechanism.bench import (
    ARM_HELD,
    AT_REST,
    CABLE_OFF,
    LETTING_BACK,
    PLACES,
    QUANTITIES,
    BenchTable,
)
from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.quantities import DIMENSIONS, converted, shown, unit_of
from liftgeo.words.certainty import in_twenty, named, next_measure_line, reading_words
from liftgeo.words.commands import command, file_alone, unbroken
from liftgeo.words.in_units import in_units
from liftgeo.words.lines import columns, wrapped
from liftgeo.words.numbers import fixed

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.studies.bench_readings import NextReading
    from liftgeo.studies.diagnose import Diagnosis, Fitted, Rest
    from liftgeo.studies.suspects import Alone
    from liftgeo.studies.symptoms import Symptom

_MOST_KEYS, _MOST_ROWS, _MOST_PAIRS, _MOST_NEXT = 6, 24, 3, 3
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


def reading_lines(found: Diagnosis, units: str, most: int | None = None) -> list[str]:
    """Return each reading, or so many, beside what the file says and what the fit says."""
    rests = found.readings.residuals
    if not rests:
        return []
    against = found.readings.contradicts
    count = min(most or _MOST_ROWS, _MOST_ROWS)
    lines = columns(reading_rows(found, units, count))
    if len(rests) > count:
        lines.append(f"  and {len(rests) - count} that are nearer; --csv has them all.")
    text = (
        "Off by: from what the file and the other readings leave possible, in standard deviations; "
        "beyond 3 it contradicts them"
    )
    return [*lines, *wrapped(f"{text}, marked *." if against else f"{text}.")]


def reading_rows(found: Diagnosis, units: str, most: int = _MOST_ROWS) -> list[list[str]]:
    """Return heads, and each reading as cells; of very many those that are off the most."""
    rests = found.readings.residuals
    fitted = bool(found.readings.fitted)
    heads = ["Readings", "read", "±", "file says", *(["fitted"] if fitted else []), "off by"]
    order = sorted(rests, key=lambda r: -abs(r.standardised)) if len(rests) > most else rests
    against = found.readings.contradicts
    return [
        heads,
        *(_row(rest, units, fitted, rest.reading in against) for rest in order[:most]),
    ]


def _row(rest: Rest, units: str, fitted: bool, against: bool) -> list[str]:
    name = "  " + reading_words(rest.reading, units).split(" (line")[0].replace(
        "letting back", "back"
    )
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


DRIVEN = (
    "Driven as far as they go to meet the readings, the numbers that the file leaves open still do "
    "not explain them. Where they come to rest, no findings"
)


def fit_lines(found: Diagnosis, units: str, most: int | None = None) -> list[str]:
    """Return what the readings make of each number that they tell, in plain words."""
    count = min(most or _MOST_KEYS, _MOST_KEYS)
    readings = found.readings
    told = {k: v for k, v in readings.fitted.items() if k not in readings.undetermined}
    if not readings.fitted:
        return []
    if not told:
        return wrapped(
            "No single number is told by these readings: each may still be nearly anything it "
            "could be before."
        )
    lines = wrapped(
        DRIVEN if readings.contradicts else "What the readings say of the numbers in the file"
    )
    for text in fit_texts(found, units)[:count]:
        lines += wrapped("  " + text, indent="    ")
    if len(told) > count:
        lines.append(f"  and {len(told) - count} more; --json has them all.")
    return lines


def fit_texts(found: Diagnosis, units: str) -> list[str]:
    """Return what the readings make of the numbers that they tell best, a text each."""
    readings = found.readings
    told = {k: v for k, v in readings.fitted.items() if k not in readings.undetermined}
    order = sorted(told, key=lambda k: told[k].stderr / (told[k].prior_stderr or 1.0))
    means = not readings.contradicts
    return [
        fit_text(found.mechanism, key, told[key], units, means=means) for key in order[:_MOST_KEYS]
    ]


def fit_text(
    mechanism: Mechanism, key: str, item: Fitted, units: str, *, means: bool = True
) -> str:
    """Return what the readings make of a number, and perhaps what it means on the machine."""
    before = _of_key(mechanism, key, item.file_value, units).split(" ")[0]
    if item.file_value is None:
        before = "not given"
    after = _of_key(mechanism, key, item.value, units)
    low, high = (_of_key(mechanism, key, x, units).split(" ")[0] for x in (item.low, item.high))
    text = f"{named(key)} ({key}): {before} -> {after}, between {low} and {high}"
    given = item.file_value
    if not means:
        return text
    if given is None or item.low <= given <= item.high:
        return f"{text}; the file's value is possible too" if given is not None else text
    higher, lower = MEANS.get(
        key.split("[")[0], ("more than the file says", "less than the file says")
    )
    return f"{text}: {higher if item.value > given else lower}"


def agreement_text(found: Diagnosis, units: str) -> str:
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
        names = " and ".join(reading_words(name, units) for name in readings.contradicts)
        text += f" Contradicting: {names}."
        aside = readings.set_aside
        if 0 < len(aside) < len(readings.contradicts):
            each = " and ".join(reading_words(name, units) for name in aside)
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
    return [text for text in (agreement_text(found, units), *explained) if text]


def verdict_lines(found: Diagnosis, units: str, rerun: str) -> list[str]:
    """Return the same as lines of a printed page; `rerun` is the command that printed it."""
    readings = found.readings
    lines = wrapped(agreement_text(found, units))
    if readings.alone:
        lines += wrapped("By itself each of these would explain it:")
        for item in readings.alone:
            lines += wrapped("  " + alone_text(found.mechanism, item, units), indent="    ")
        fit = f"{rerun[:-1]} --fit {readings.alone[0].key}`"
        lines += wrapped(f"Best measure it again; {fit} lets the readings move it.")
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
    if _at_full(step, full_mm):
        return f" at full lever{back}"
    return f" at {shown(step.at, 'length', units, 0 if units == 'metric' else 2)} of travel{back}"


def worth_reading(found: Diagnosis) -> tuple[NextReading, ...]:
    """Return the readings that are worth taking, the best first."""
    known, steps = found.known, found.readings.next
    if known is None or found.readings.contradicts or found.settled:
        return steps
    now = max(known.frees, 1 - known.frees)
    return tuple(step for step in steps if step.certainty > now + _GAIN)


def next_lines(found: Diagnosis, units: str) -> list[str]:
    """Return the next readings, the best first."""
    contradicted, known = bool(found.readings.contradicts), found.known
    settled = found.settled and not contradicted
    steps, full_mm = worth_reading(found)[:_MOST_NEXT], found.result.full_lever.hand_travel_mm
    if not steps:
        return wrapped(next_measure_line(known)) if known is not None else []
    lines = [
        "Read next, what tells the suspects apart first"
        if contradicted
        else "Whether it frees is settled; what tells the losses apart best, to read next"
        if settled
        else "Read next, the best first"
    ]
    for step in steps:
        text = f"  {reading_text(step, full_mm, units)}"
        if not contradicted and not settled:
            text += f": then sure {in_twenty(step.certainty)} times in 20 whether it frees"
        if step.tells:
            text += f"; tells {', '.join(named(key) for key in step.tells)}"
        lines += wrapped(text, indent="    ")
    return lines


def reading_text(step: NextReading, full_mm: float, units: str) -> str:
    """Return what is read, where and with what."""
    return f"{_TITLES[step.reading]}{place_text(step, full_mm, units)} ({step.how})"


_EMPTY_TABLE = "readings.csv"
_LETTING_BACK = {"return_force": "hand_force"}
"""Keys of [bench] for what is read letting back, with what they are a reading of."""


def in_bench(step: NextReading, full_mm: float) -> str:
    """Return the key of [bench] for a reading; "" where only a table of readings takes it."""
    if step.condition or not (step.reading in AT_REST or _at_full(step, full_mm)):
        return ""
    if step.direction == LETTING_BACK:
        return "return_force" if step.reading == "hand_force" else ""
    return step.reading if step.reading in BenchTable.model_fields else ""


def _at_full(step: NextReading, full_mm: float) -> bool:
    return step.at is not None and abs(step.at - full_mm) < _AT_FULL_MM


def _to_fill_in(name: str, units: str) -> tuple[str, str]:
    """Return the ± to write behind a reading, and its unit."""
    quantity = QUANTITIES[name]
    wide = converted(quantity.half_width, quantity.dimension, units)
    return f"… ± {wide:.1g}", unit_of(quantity.dimension, units)


def row_to_type(step: NextReading, full_mm: float, units: str) -> tuple[str, str]:
    """Return a reading as a table of readings has it: the names of the columns, and its row."""
    cells: list[tuple[str, str]] = []
    if step.at is not None and step.reading not in AT_REST and not _at_full(step, full_mm):
        at = converted(step.at, PLACES[step.place], units)
        cells.append((f"{step.place}_{unit_of(PLACES[step.place], units).lower()}", f"{at:.3g}"))
    blank, unit = _to_fill_in(step.reading, units)
    cells.append((f"{step.reading}_{unit.lower()}", blank))
    cells += [("direction", step.direction)] if step.direction == LETTING_BACK else []
    cells += [("condition", step.condition)] if step.condition else []
    return ",".join(head for head, _ in cells), ",".join(cell for _, cell in cells)


def read_next_lines(
    step: NextReading, found: Diagnosis, units: str, name: str, again: str
) -> list[str]:
    """Return what to read next, how it is typed, and what to run then.

    Parameters
    ----------
    step : NextReading
    found : Diagnosis
    units : {"metric", "inch"}
    name, again : str
        The file as a command takes it, and what else followed it.
    """
    full_mm, against = found.result.full_lever.hand_travel_mm, found.readings.contradicts
    text = f"{'If it stays,' if against else 'Next:'} read {reading_text(step, full_mm, units)}"
    if not against:
        text += f": then sure {in_twenty(step.certainty)} times in 20 whether it frees"
    if key := in_bench(step, full_mm):
        line = f'{key} = "{" ".join(_to_fill_in(step.reading, units))}"'
        rerun = command("diagnose", name, more=again)
        return wrapped(
            f"{text}. Type it in {file_alone(name)} under [bench]: {unbroken(line)}, then {rerun}."
        )
    row = [f"  {line}" for line in row_to_type(step, full_mm, units)]
    if "--readings" in again:
        rerun = command("diagnose", name, more=again)
        return [*wrapped(f"{text}. In the table of readings:"), *row, *wrapped(f"Then {rerun}.")]
    inch = " --units inch" if units == "inch" else ""
    empty = command("sheet", "--readings", more=f"{_EMPTY_TABLE}{inch}")
    rerun = command("diagnose", name, more=f"--readings {_EMPTY_TABLE} {again}".strip())
    lead = wrapped(f"{text}. In a table, of which {empty} writes an empty one:")
    return [*lead, *row, *wrapped(f"Then {rerun}.")]


def deciding_text(symptom: Symptom, units: str, rerun: str) -> str:
    """Return how the measurement that decides on a symptom is typed, and what to run then."""
    table, _, key = symptom.key.partition(".")
    blank = "… ± …"
    if key in QUANTITIES or key in _LETTING_BACK:
        blank = " ".join(_to_fill_in(_LETTING_BACK.get(key, key), units))
    lines = [f'{key} = "{blank}"']
    lines += [f'hand_force_at = "… {unit_of("length", units)}"'] if key == "hand_force" else []
    return (
        f"Next: take the measurement that decides, type it under [{table}]: "
        f"{' and '.join(unbroken(line) for line in lines)}, then {rerun}."
    )


def measure_next_text(known: Known, units: str, rerun: str) -> str:
    """Return what to measure next, where it is typed, and what to run then."""
    first, text = known.next[0], in_units(next_measure_line(known), units)
    if first.key is None:
        return f"{text} Then {rerun}."
    table, _, key = first.key.partition(".")
    line = f'{key} = "… ± …"'
    return f"{text} Type it under [{table}]: {unbroken(line)}, then {rerun}."
