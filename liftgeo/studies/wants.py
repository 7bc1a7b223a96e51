"""What a sizing is asked: inputs with their ranges and steps, wants, and an aim."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.as_written import amount_in
from liftgeo.errors import GeometryError, QuantityError, RequestError, nearest
from liftgeo.mechanism import Mechanism, needs
from liftgeo.mechanism.amounts import added
from liftgeo.mechanism.fields import plain_digits
from liftgeo.mechanism.laying import kind_of, lay
from liftgeo.outcome.batches import Batch
from liftgeo.outcome.results import Result
from liftgeo.outcome.uncertain import uncertain
from liftgeo.quantities import Measured, read, shown

Array = NDArray[np.float64]

SAME_ANGLE = "arm.radius_same_angle"
"""Another arm radius, the stop bracket bent so that the cable meets the arm as before."""

FREES = "frees"
"""Share of clutches with a net clearance of 0 or more, over every ± and range."""
AT_SHARE = "clearance_at_share"
"""Clearance per face that the wanted share of clutches reaches [mm]: 0 where they just free."""

_SIGNS = {">=": 1, "=>": 1, "≥": 1, "<=": -1, "=<": -1, "≤": -1}


@dataclass(frozen=True)
class Measure:
    """A quantity that can be wanted or aimed at.

    Attributes
    ----------
    dimension : str
        Name in `liftgeo.quantities`.
    usual : float
        A usual size, against which a shortfall of a small number is judged.
    of_batch, of_result : callable or None
        Where it stands in a batch, and in a single result (with its signed separation); None for
        a share of samples.
    needs : str
        Key it cannot be told without.
    """

    dimension: str
    usual: float
    of_batch: Callable[[Batch], Array] | None
    of_result: Callable[[Result, float], float] | None
    needs: str = ""


MEASURES: dict[str, Measure] = {
    "lift": Measure(
        "length", 1.0, lambda b: b.plate_lift_mm, lambda r, _: r.full_lever.plate_lift_mm
    ),
    "clearance": Measure(
        "length",
        0.1,
        lambda b: b.clearance_per_face_mm,
        lambda r, _: r.full_lever.clearance_per_face_mm,
    ),
    "separation": Measure("length", 0.5, lambda b: b.separation_signed_mm, lambda _, s: s),
    "slip_margin": Measure(
        "ratio", 1.0, lambda b: b.slip_margin, lambda r, _: r.capacity.slip_margin, "engine.torque"
    ),
    "peak_hand_force": Measure(
        "force", 100.0, lambda b: b.peak_hand_force_n, lambda r, _: r.peak.hand_force_n
    ),
    "hand_force": Measure(
        "force", 100.0, lambda b: b.hand_force_n, lambda r, _: r.full_lever.hand_force_n
    ),
    "clamp_force": Measure(
        "force", 1000.0, lambda b: b.clamp_force_n, lambda r, _: r.capacity.clamp_force_n
    ),
    "axial_load": Measure(
        "force", 1000.0, lambda b: b.axial_load_n, lambda r, _: r.bearing.axial_load_n
    ),
    FREES: Measure("ratio", 0.1, None, None),
}


def measure_named(text: str) -> str:
    """Return the name of a measure.

    Raises
    ------
    RequestError
        With the nearest known one.
    """
    name = text.strip().lower().replace("-", "_")
    if name in MEASURES:
        return name
    near = nearest(name, MEASURES)
    hint = f" Did you mean {near}?" if near else ""
    raise RequestError(
        f"{text.strip() or 'Nothing'} cannot be wanted.{hint} Known: {', '.join(MEASURES)}."
    )


@dataclass(frozen=True)
class Want:
    """A limit to keep to.

    Attributes
    ----------
    measure : str
        One of `MEASURES`.
    sign : int
        +1 at least, -1 at most.
    limit : float
        In mm or N; of `frees` a share.
    """

    measure: str
    sign: int
    limit: float

    def margin(self, value: Any) -> Any:
        """Return how far a value, or each of an array, is on the good side; below zero: missed."""
        return self.sign * (value - self.limit)

    def margin_in(self, values: Mapping[str, Array]) -> Array:
        """Return how far each variant of a table is on the good side.

        Of `frees` it is the clearance that the wanted share reaches, which is smooth where the
        share itself goes in steps.
        """
        if self.measure == FREES:
            return values[AT_SHARE]
        found: Array = self.margin(values[self.measure])
        return found

    @property
    def scale(self) -> float:
        """Size a shortfall is judged against."""
        if self.measure == FREES:
            return MEASURES["clearance"].usual
        return max(abs(self.limit), MEASURES[self.measure].usual)

    def text(self, units: str = "metric") -> str:
        """Return the want in words: "clearance at least 0.15 mm"."""
        kind = MEASURES[self.measure].dimension
        word = "at least" if self.sign > 0 else "at most"
        if self.measure == FREES:
            return f"{FREES} {word} {100 * self.limit:.4g} in 100"
        name = self.measure.replace("_", " ")
        return f"{name} {word} {shown(self.limit, kind, units, _digits(kind, units))}"


def _digits(dimension: str, units: str) -> int | None:
    return 3 if dimension == "length" and units == "metric" else None


def want_from(text: str) -> Want:
    """Return the want in a text such as "clearance>=0.15" or "hand_force <= 20 lbf".

    Raises
    ------
    RequestError
        Not a want; the text says what is.
    """
    found = re.fullmatch(r"([^<>=≤≥]*)([<>=≤≥]+)(.*)", text.strip(), re.DOTALL)
    if found is None or found[2] not in _SIGNS:
        sign = f" {found[2]} is not one of them." if found else ""
        raise RequestError(
            f"--want {text!r}: write NAME>=NUMBER or NAME<=NUMBER, as in clearance>=0.15 (in "
            f"quotes, so that the shell leaves > alone).{sign}"
        )
    name = measure_named(found[1])
    limit = quantity(found[3], MEASURES[name].dimension, f"--want {text!r}")
    want = Want(name, _SIGNS[found[2]], limit)
    if name == FREES and (want.sign < 0 or not 0 < want.limit < 1):
        raise RequestError(
            f"--want {text!r}: frees is the share of clutches that must run clear, at least: above "
            "0 and below 1, as in frees>=0.9 for nine in ten. All of them no ± allows."
        )
    return want


def check_known(mechanism: Mechanism, name: str, varied: Sequence[str]) -> None:
    """Raise RequestError for a measure whose inputs the file does not give."""
    if name == FREES and not uncertain(mechanism):
        raise RequestError(
            f"frees cannot be told: nothing in {mechanism.source or 'the file'} is uncertain. "
            "Give the measurements their ±, or want clearance>=0."
        )
    key = MEASURES[name].needs
    if key and key not in mechanism.keys and key not in varied:
        table = key.split(".")[0]
        raise RequestError(
            f"{name} cannot be told without {key}, and {mechanism.source or 'the file'} does not "
            f"give it. Add it under [{table}]."
        )


@dataclass(frozen=True)
class Range:
    """An input to vary.

    Attributes
    ----------
    key : str
        Dotted key, or `SAME_ANGLE`.
    low, high : float
        Ends, in the file's bare unit.
    step : float
        Workshop step: only its multiples are tried; 0 for any value.
    sizes : tuple of float
        Only these are tried, in rising order; none for any value, or those of the step.
    """

    key: str
    low: float
    high: float
    step: float = 0.0
    sizes: tuple[float, ...] = ()

    @property
    def counted(self) -> bool:
        """Whether only some values of it are tried."""
        return bool(self.step or self.sizes)

    @property
    def first(self) -> float:
        """Lowest value tried."""
        return math.ceil(self.low / self.step - 1e-9) * self.step if self.step else self.low

    @property
    def last(self) -> float:
        """Highest value tried."""
        return math.floor(self.high / self.step + 1e-9) * self.step if self.step else self.high

    def at(self, share: Array) -> Array:
        """Return values at shares 0..1 of the range, on the workshop's steps."""
        value: Array = self.low + np.clip(share, 0.0, 1.0) * (self.high - self.low)
        value = np.where(share >= 1.0 - 1e-12, self.high, value)
        if self.sizes:
            sizes = np.array(self.sizes)
            nearest_size: Array = sizes[np.abs(value[..., None] - sizes).argmin(axis=-1)]
            return nearest_size
        if not self.step:
            inside: Array = np.clip(value, self.low, self.high)
            return inside
        digits = max(0, 12 - math.floor(math.log10(self.step)))
        on_step = np.clip(np.rint(value / self.step) * self.step, self.first, self.last)
        rounded: Array = np.asarray(np.round(on_step, digits), np.float64)
        return rounded

    def share(self, value: float) -> float:
        """Return where a value lies in the range, 0..1."""
        width = self.high - self.low
        return min(max((value - self.low) / width, 0.0), 1.0) if width > 0 else 0.0


def number_of(mechanism: Mechanism, key: str) -> Any:
    """Return what a key that is to be varied takes.

    Raises
    ------
    RequestError
        Unknown, with the nearest known one.
    """
    if key.startswith("targets."):
        raise RequestError(
            f"{key} is what is wanted of the machine, not a part of it, and cannot be varied. "
            'Write --want instead, as in --want "clearance>=0.15".'
        )
    if key != SAME_ANGLE:
        return mechanism.number(key)
    if kind_of(mechanism.keys, "arm") != "pin":
        raise RequestError(f"{SAME_ANGLE} needs an arm with a cable end on a radius.")
    return mechanism.number("arm.radius")


def quantity(text: str, dimension: str, option: str) -> float:
    """Return the number in a text of an option, in the bare unit of a dimension.

    Raises
    ------
    RequestError
        No number, or one with a ±.
    """
    try:
        value = read(text.strip(), dimension)
    except QuantityError as error:
        raise RequestError(f"{option}: {error}") from None
    if isinstance(value, Measured):
        raise RequestError(f"{option}: a limit, an end or a step carries no ±. Leave it out.")
    return float(value)


def _end(mechanism: Mechanism, key: str, text: str, dimension: str, option: str) -> float:
    """Return an end of a range: a value, or an amount more or less than the file's."""
    if amount_in(text) is None or key == SAME_ANGLE:
        return quantity(text, dimension, option)
    try:
        return float(added(mechanism, key, text))
    except GeometryError as error:
        raise RequestError(f"{option}: {error.faults[0].problem}") from None


def _unit_of(text: str) -> str:
    """Return what stands after the number of a text: "2 mm" gives "mm"."""
    return re.sub(r"^[-+\d.\s/]*(?:[eE][-+]?\d+)?\s*", "", text.strip())


def range_from(mechanism: Mechanism, text: str) -> Range:
    """Return the range in a text such as "arm.radius=32..44" or "cable.free_play=0.5 mm..2 mm".

    "arm.radius=30,33,36" tries these sizes only.

    Raises
    ------
    RequestError
        Unknown key, LOW above HIGH, or not a range.
    """
    key, sign, ends = (part.strip() for part in text.partition("="))
    low_text, dots, high_text = (part.strip() for part in ends.partition(".."))
    option = f"--vary {text!r}"
    if key and sign and not dots and "," in ends:
        return _range_of_sizes(mechanism, key, ends, option)
    if not (key and sign and dots and low_text and high_text):
        raise RequestError(
            f"{option}: write KEY=LOW..HIGH, as in arm.radius=32..44, or sizes, as in "
            "arm.radius=30,33,36."
        )
    number = number_of(mechanism, key)
    if re.fullmatch(r"[-+\d.\s/]*(?:[eE][-+]?\d+)?", low_text) and _unit_of(high_text):
        low_text = f"{low_text} {_unit_of(high_text)}"
    low, high = (
        _end(mechanism, key, text, number.dimension, option) for text in (low_text, high_text)
    )
    return checked_range(mechanism, Range(key, low, high, 1.0 if number.whole else 0.0))


def _range_of_sizes(mechanism: Mechanism, key: str, text: str, option: str) -> Range:
    """Return the range of sizes such as "30,33,36 mm"; the last unit is that of bare numbers."""
    number, items = number_of(mechanism, key), [item.strip() for item in text.split(",")]
    if not all(items):
        raise RequestError(f"{option}: write a size between any two commas.")
    unit = _unit_of(items[-1])
    bare = re.compile(r"[-+\d.\s/]*(?:[eE][-+]?\d+)?")
    items = [f"{item} {unit}".strip() if bare.fullmatch(item) else item for item in items]
    sizes = tuple(sorted({_end(mechanism, key, item, number.dimension, option) for item in items}))
    bad = next((s for s in sizes if not np.all(number.within(np.array([s])))), None)
    if bad is not None:
        told = shown(bad, number.dimension, digits=plain_digits(bad))
        raise RequestError(f"{option}: {told} is not possible; {number.bounds_text()}.")
    return Range(key, sizes[0], sizes[-1], 0.0, sizes)


def checked_range(mechanism: Mechanism, wanted: Range) -> Range:
    """Return a range once it is known to make sense.

    Raises
    ------
    RequestError
        LOW above HIGH, or nothing of it within the key's bounds.
    """
    number = number_of(mechanism, wanted.key)
    low, high = (
        shown(v, number.dimension, digits=plain_digits(v)) for v in (wanted.low, wanted.high)
    )
    if wanted.low > wanted.high:
        raise RequestError(f"{wanted.key}: LOW ({low}) is above HIGH ({high}). Swap them.")
    tried = np.linspace(wanted.low, wanted.high, 101)
    if not number.whole and not np.any(number.within(tried)):
        raise RequestError(
            f"{wanted.key}: nothing from {low} to {high} is possible; it must be "
            f"{number.bounds_text()}."
        )
    return wanted


def stepped(mechanism: Mechanism, ranges: Sequence[Range], texts: Sequence[str]) -> list[Range]:
    """Return the ranges with the workshop steps of texts such as "arm.radius=0.5".

    Raises
    ------
    RequestError
        A key that is not varied, a step that is not above zero or fits nowhere in its range.
    """
    steps: dict[str, float] = {}
    for text in texts:
        key, sign, size = (part.strip() for part in text.partition("="))
        if not (key and sign and size):
            raise RequestError(f"--step {text!r}: write KEY=SIZE, as in arm.radius=0.5.")
        if key not in [r.key for r in ranges]:
            near = nearest(key, [r.key for r in ranges])
            hint = f" Did you mean {near}?" if near else ""
            raise RequestError(f"--step {text!r}: {key} is not varied.{hint}")
        if key in steps:
            raise RequestError(f"--step {text!r}: {key} has a step already. Give it one.")
        if next(r.sizes for r in ranges if r.key == key):
            raise RequestError(f"--step {text!r}: {key} has sizes already; a step has no use.")
        number = number_of(mechanism, key)
        steps[key] = quantity(size, number.dimension, f"--step {text!r}")
        if steps[key] <= 0:
            raise RequestError(f"--step {text!r}: a step must be above zero.")
    found = [replace(r, step=steps.get(r.key, r.step)) for r in ranges]
    for r in found:
        if r.step and r.first > r.last + 1e-9 * r.step:
            raise RequestError(
                f"{r.key}: no multiple of {r.step:g} lies from {r.low:g} to {r.high:g}. "
                "Widen the range, or take a smaller step."
            )
    return found


def check_together(mechanism: Mechanism, ranges: Sequence[Range]) -> None:
    """Raise an error for inputs that cannot be varied together, or need keys that are missing."""
    keys = [r.key for r in ranges]
    twice = next((k for k in keys if keys.count(k) > 1), None)
    if twice is not None:
        raise RequestError(f"{twice} is varied twice.")
    if SAME_ANGLE in keys and {"arm.radius", "arm.cable_angle", "arm.rest_length"} & set(keys):
        raise RequestError(
            f"{SAME_ANGLE} settles the arm's radius and cable; vary arm.radius and "
            "arm.cable_angle instead."
        )
    change = as_change(mechanism, {r.key: r.low for r in ranges})
    laid = lay(mechanism.given, change)
    tables = frozenset({*mechanism.tables, *(k.split(".")[0] for k in change)})
    faults = [*needs.twice(laid), *needs.missing(laid, tables)]
    if faults:
        raise GeometryError(faults, f"varying {', '.join(keys)}")


def as_change(mechanism: Mechanism, values: Mapping[str, float]) -> dict[str, float]:
    """Return values of varied inputs as the keys of a change."""
    change: dict[str, float] = {}
    for key, value in values.items():
        if key == SAME_ANGLE:
            change["arm.radius"] = float(value)
            angle = mechanism.inward.sides("arm").cable_angle_deg
            change["arm.cable_angle"] = float(angle)
        else:
            change[key] = float(value)
    return change
