"""What was read on the bench: the table [bench], and what a reading is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic_core import PydanticCustomError

from liftgeo.errors import Fault, GeometryError, nearest
from liftgeo.mechanism import fields as f
from liftgeo.mechanism.key_facts import number_in
from liftgeo.mechanism.table import Table, key
from liftgeo.plain_text import LONGEST_IN_FAULT, cut, latin, printable
from liftgeo.quantities import DIMENSIONS, Measured

PULLING, LETTING_BACK = "pulling", "letting back"
AS_FITTED, CABLE_OFF, ARM_HELD = "", "cable off", "arm held"
CONDITIONS = (AS_FITTED, CABLE_OFF, ARM_HELD)
"""As fitted; the arm turned by hand, its cable off; the lever pulled, the arm held fast."""


@dataclass(frozen=True)
class Quantity:
    """What can be read on the bench.

    Attributes
    ----------
    dimension : str
        Key in `liftgeo.quantities.DIMENSIONS`.
    what : str
        What it is, in a few words.
    how : str
        With which tool, as it reads after "measure with".
    half_width : float
        What such a reading may be out by, 19 times in 20 (common practice, no source), where one is
        only thought of; in the bare unit.
    """

    dimension: str
    what: str
    how: str
    half_width: float


QUANTITIES: Mapping[str, Quantity] = {
    "separation": Quantity(
        "length",
        "what the faces part, whole pack",
        "feeler at three places round the rim, their mean; several plates pushed together first",
        0.05,
    ),
    "plate_lift": Quantity(
        "length",
        "lift of the pressure plate",
        "dial gauge at three places, pulled less at rest, their mean",
        0.02,
    ),
    "hand_force": Quantity("force", "force at the hand", "spring balance at the hand's place", 3.0),
    "take_up": Quantity(
        "length", "hand travel until the rod loads", "rule at the hand, pulled lightly", 0.5
    ),
    "clamp_force": Quantity(
        "force", "clamp force at rest", "press and scales, at fitted height", 40.0
    ),
    "rod_travel": Quantity("length", "travel of the rod", "dial gauge on the rod's end", 0.02),
    "cable_pull": Quantity(
        "length", "pull of the wire at the lever", "calliper on the wire, pulled less at rest", 0.1
    ),
    "arm_rotation": Quantity("angle", "rotation of the arm", "protractor or angle finder", 0.5),
    "hand_travel": Quantity("length", "travel of the hand", "rule at the hand's place", 0.5),
    "rod_force": Quantity("force", "force in the rod", "load cell between rod and plate", 10.0),
    "cable_tension": Quantity("force", "pull of the cable at the arm", "balance let into it", 5.0),
}
"""In the order in which pages list them."""

PLACES: Mapping[str, str] = {
    "hand_travel": "length",
    "lever_angle": "angle",
    "arm_rotation": "angle",
    "hand_force": "force",
}
"""Where on the stroke a reading is taken, with dimensions."""

AT_REST = frozenset({"take_up", "clamp_force"})
"""What has no place on the stroke."""

DEFAULT_HALF_WIDTH = {"length": 0.02, "force": 1.0, "angle": 0.5}
"""What a reading without a ± is taken to be out by: 0.02 mm, 1 N, 0.5 deg."""


@dataclass(frozen=True)
class Reading:
    """One reading from the bench, in bare units.

    Attributes
    ----------
    quantity : str
        Of `QUANTITIES`.
    value, half_width : float
        What was read, and what it may be out by, 19 times in 20.
    at : float or None
        Where on the stroke; None: at full lever (or at rest, for what is read there).
    place : str
        What `at` counts, of `PLACES`.
    direction : {"pulling", "letting back"}
    condition : {"", "cable off", "arm held"}
    scale : float
        What the tool may be out by for all its readings alike, as a share, 19 times in 20.
    at_half_width : float
        What the place may be out by.
    line : int
        Of the readings file; 0 for [bench].
    """

    quantity: str
    value: float
    half_width: float
    at: float | None = None
    place: str = "hand_travel"
    direction: str = PULLING
    condition: str = AS_FITTED
    scale: float = 0.0
    at_half_width: float = 0.0
    line: int = 0

    @property
    def dimension(self) -> str:
        """Dimension of the value."""
        return QUANTITIES[self.quantity].dimension

    @property
    def unit(self) -> str:
        """Bare unit of the value."""
        return DIMENSIONS[self.dimension].unit

    @property
    def same_as(self) -> tuple[object, ...]:
        """What two readings of the same thing have in common."""
        at = None if self.at is None else round(self.at, 6)
        return self.quantity, at, self.place, self.direction, self.condition

    @property
    def name(self) -> str:
        """Return what it is called: "separation", "hand_force at 20 mm (line 4)"."""
        text = self.quantity
        if self.direction == LETTING_BACK:
            text += " letting back"
        if self.condition:
            text += f", {self.condition}"
        if self.at is not None:
            unit = DIMENSIONS[PLACES[self.place]].unit
            text += f" at {self.at:g} {unit}"
        return f"{text} (line {self.line})" if self.line else text


class BenchTable(Table):
    """What was read on the bench, from the clutch as it stands."""

    separation: f.Play = key(
        "how far the faces part at full lever, whole pack",
        "feeler at three places round the rim with the lever wedged at the grip, their mean; "
        "several plates pushed together, the one gap",
    )
    plate_lift: f.Play = key(
        "how far the pressure plate lifts at full lever",
        "dial gauge at three places round the plate, pulled less at rest, their mean",
    )
    hand_force: f.Drag = key(
        "force at the hand while pulling", "spring balance where the hand pulls, pulled slowly"
    )
    hand_force_at: f.Play = key(
        "hand travel at which hand_force was read; left out: full lever",
        "rule at the hand's place, from rest",
    )
    return_force: f.Drag = key(
        "force at the hand at full lever once it lets back",
        "spring balance, just as the lever begins to go back",
    )
    take_up: f.Play = key(
        "hand travel until the rod loads", "rule at the hand's place, the lever pulled lightly"
    )
    clamp_force: f.Load = key(
        "clamp force at rest", "the spring weighed at its fitted height: press and scales"
    )
    readings: str | None = key(
        "name of a file of readings beside this one", "see docs/measuring.md"
    )


_QUANTITY_OF = {
    "separation": ("separation", PULLING),
    "plate_lift": ("plate_lift", PULLING),
    "hand_force": ("hand_force", PULLING),
    "return_force": ("hand_force", LETTING_BACK),
    "take_up": ("take_up", PULLING),
    "clamp_force": ("clamp_force", PULLING),
}


def half_width_of(value: float, dimension: str) -> float:
    """Return what a value may be out by: its ±, or what a reading without one is taken to be."""
    given = value.half_width if isinstance(value, Measured) else 0.0
    return given or DEFAULT_HALF_WIDTH[dimension]


@dataclass(frozen=True)
class Bench:
    """The table [bench] as read: its numbers by key, and the name of a readings file.

    Attributes
    ----------
    numbers : dict of str to float
        In bare units, each with its ± where it has one.
    file : str
        Name of the readings file; "" for none.
    """

    numbers: dict[str, float]
    file: str = ""

    def readings(self, laid: bool) -> tuple[Reading, ...]:
        """Return the readings; without the take-up where it is laid as the cable's play."""
        found = []
        for name, value in self.numbers.items():
            if name == "hand_force_at" or (name == "take_up" and laid):
                continue
            quantity, direction = _QUANTITY_OF[name]
            dimension = QUANTITIES[quantity].dimension
            reading = Reading(
                quantity, float(value), half_width_of(value, dimension), direction=direction
            )
            place = self.numbers.get("hand_force_at") if name == "hand_force" else None
            if place is not None:
                wide = place.half_width if isinstance(place, Measured) else 0.0
                reading = replace(reading, at=float(place), at_half_width=wide)
            found.append(reading)
        return tuple(found)


def read_bench(content: Any) -> tuple[Bench, list[Fault]]:
    """Return what the table [bench] says, and its faults."""
    if content is None:
        return Bench({}), []
    if not isinstance(content, Mapping):
        text = printable(cut(str(content), LONGEST_IN_FAULT))
        return Bench({}), [
            Fault("bench", text, "This must be a table.", "Write [bench] and its keys.")
        ]
    numbers: dict[str, float] = {}
    file, faults = "", []
    for name, value in content.items():
        dotted = f"bench.{name}"
        shown = printable(cut(str(value), LONGEST_IN_FAULT))
        if name not in BenchTable.model_fields:
            near = nearest(latin(str(name)), BenchTable.model_fields)
            known = ", ".join(BenchTable.model_fields)
            remedy = f"Did you mean {near}?" if near else f"Known here: {known}."
            faults.append(Fault(dotted, "", "Not a known key.", remedy))
        elif isinstance(value, str) and not value.strip():
            continue  # a blank counts as left out
        elif name == "readings":
            if isinstance(value, str):
                file = value
            else:
                faults.append(Fault(dotted, shown, "Not text.", 'Write readings = "name.csv".'))
        else:
            number = number_in(BenchTable.model_fields[name])
            assert number is not None
            try:
                numbers[name] = number.check(value)
            except PydanticCustomError as error:
                said = error.context or {}
                problem, remedy = str(said.get("problem", error)), str(said.get("remedy", ""))
                faults.append(Fault(dotted, shown, problem, remedy))
            else:
                faults += _exact(dotted, shown, numbers[name])
    if "hand_force_at" in numbers and "hand_force" not in numbers and not faults:
        what = "It says where hand_force was read, and hand_force is not given."
        faults.append(Fault("bench.hand_force_at", "", what, "Give hand_force, or leave it out."))
    return Bench(numbers, file), faults


NOT_EXACT = "A ± must be above 0: no reading is exact."


def is_exact(value: float) -> bool:
    """Return whether a value says of itself that it is out by nothing: "0.2 ± 0"."""
    return isinstance(value, Measured) and value.half_width == 0


def _exact(dotted: str, shown: str, value: float) -> list[Fault]:
    """Return the fault of a reading whose ± is 0."""
    if not is_exact(value):
        return []
    name = dotted.partition(".")[2]
    dimension = "length" if name == "hand_force_at" else QUANTITIES[_QUANTITY_OF[name][0]].dimension
    wide = 0.5 if name == "hand_force_at" else QUANTITIES[_QUANTITY_OF[name][0]].half_width
    like = f'{name} = "{float(value):g} ± {wide:g} {DIMENSIONS[dimension].unit}"'
    remedy = f"Write what it may be out by, 19 times in 20, as in {like}; or leave the ± out."
    return [Fault(dotted, shown, NOT_EXACT, remedy)]


def measure_of(name: str) -> str:
    """Return how a key of [bench] is read, as it reads after "measure with"."""
    extra = BenchTable.model_fields[name].json_schema_extra
    return str(extra.get("measure", "")) if isinstance(extra, dict) else ""


_PLAYS = ("cable.free_play", "cable.free_play_at_hand", "cable.take_up_at_hand")


def play_of(bench: Bench, given: Mapping[str, Any], left_out: str) -> dict[str, Any]:
    """Return the take-up of the bench as the key of the cable's play, where that is left out.

    With what is left out taken as nothing it stays a reading.
    """
    take_up = bench.numbers.get("take_up")
    blank = all(str(given.get(name, "")).strip() == "" for name in _PLAYS)
    if take_up is None or left_out == "nothing" or not blank:
        return {}
    if not isinstance(take_up, Measured):
        take_up = Measured(take_up, DEFAULT_HALF_WIDTH["length"])
    return {"cable.take_up_at_hand": take_up}


def check_alike(readings: Iterable[Reading], source: str) -> None:
    """Raise GeometryError where the same thing was read twice, with values that cannot both be.

    Raises
    ------
    GeometryError
        With the line of the second.
    """
    seen: dict[tuple[object, ...], Reading] = {}
    faults = []
    for reading in readings:
        first = seen.setdefault(reading.same_as, reading)
        apart = abs(first.value - reading.value)
        if first is not reading and apart > 2 * math.hypot(first.half_width, reading.half_width):
            where = f"line {first.line}" if first.line else "[bench]"
            faults.append(
                Fault(
                    f"line {reading.line}: {reading.quantity}",
                    f"{reading.value:g} {reading.unit}",
                    f"{where} says {first.value:g} {first.unit} at the same place: further apart "
                    "than their ± allow.",
                    "Read it again, take out the wrong one, or widen the ±.",
                )
            )
    if faults:
        raise GeometryError(faults, source)
