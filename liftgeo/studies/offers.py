"""Changes to try where a file has none: what a workshop does, with values it can make, worked out.

Each way is tried at a few values on the machine itself, and the best of each way that brings the
machine nearer to its targets is offered. How far each goes is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeAlias

from liftgeo.errors import GeometryError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import is_wet
from liftgeo.mechanism.laying import kind_of
from liftgeo.studies.sets import Names, Tried, tried

Keys: TypeAlias = dict[str, float]

MOST_OFFERS = 3
_WORTH_IT = 0.02
"""Share of the targets that a change must bring the machine nearer."""


@dataclass(frozen=True)
class Offer:
    """A change to try.

    Attributes
    ----------
    name, note : str
    keys : dict
        Dotted keys and their values, in the file's bare units.
    before : dict
        What the file has, or is taken as; without a key that it does not have.
    clearance_gain_mm, hand_force_change_n, slip_margin_change : float
        What it does to clearance per face, peak hand force and slip margin (NaN without engine).
    kinds : dict
        Kind of each table that its keys are of.
    """

    name: str
    note: str
    keys: Mapping[str, float]
    before: Mapping[str, float]
    clearance_gain_mm: float
    hand_force_change_n: float
    slip_margin_change: float
    kinds: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Way:
    """Something a workshop can do, and the values of its keys to try."""

    name: str
    note: str
    tries: Callable[[Mechanism], Iterator[Keys]]


def _number(mechanism: Mechanism, key: str) -> float | None:
    """Return a number of the file, or as it is taken; None where there is none."""
    value: Any = mechanism.keys.get(key)
    return None if value is None else float(value)


def _down_to(key: str, value: float, least: float) -> Callable[[Mechanism], Iterator[Keys]]:
    """Return tries of one value, where the machine has more by at least so much."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        now = _number(mechanism, key)
        if now is not None and now >= value + least:
            yield {key: value}

    return tries


def _measured_down_to(
    key: str, value: float, least: float
) -> Callable[[Mechanism], Iterator[Keys]]:
    """Return the same of a key that was measured; one left out is to be measured first."""
    whole = _down_to(key, value, least)

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        if key in mechanism.given:
            yield from whole(mechanism)

    return tries


def _less_play(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield less free play, as the file measures it: at the cable or at the hand."""
    for key, least, step in (
        ("cable.free_play", 1.0, 0.1),
        ("cable.free_play_at_hand", 4.0, 0.5),
        ("cable.take_up_at_hand", 6.0, 0.5),
    ):
        now = _number(mechanism, key)
        if now is not None and key in mechanism.keys and now >= 1.3 * least:
            for share in (0.5, 0.7):
                yield {key: max(least, _on(step, share * now))}


def _fewer_bends(mechanism: Mechanism) -> Iterator[Keys]:
    now = _number(mechanism, "cable.bend")
    if now is not None and now >= 90.0:
        yield {"cable.bend": _on(5.0, now - 45.0)}


def _another_arm(steps_mm: tuple[float, ...]) -> Callable[[Mechanism], Iterator[Keys]]:
    """Return tries of another hole in a pin arm, the cable meeting it at the same angle."""

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        if kind_of(mechanism.keys, "arm") != "pin":
            return
        sides = mechanism.inward.sides("arm")
        radius, angle = float(sides.pin), _on(0.5, float(sides.cable_angle_deg))
        for step in steps_mm:
            new = _on(0.5, radius + step)
            if 0.7 * radius <= new <= 1.3 * radius:
                yield {"arm.radius": new, "arm.cable_angle": angle}

    return tries


def _more_grip(mechanism: Mechanism) -> Iterator[Keys]:
    """Yield a facing with more friction, as far as data sheets of its kind go."""
    now = _number(mechanism, "faces.friction")
    most = 0.14 if bool(is_wet(mechanism.keys)) else 0.38
    if now is not None and "faces.friction" in mechanism.given and now < most:
        for share in (1.1, 1.2, 1.3):
            yield {"faces.friction": min(_on(0.01, share * now), most)}


def _springs(*shares: float) -> Callable[[Mechanism], Iterator[Keys]]:
    """Return tries of coils of another wire and the same length.

    Softer ones only where the facing's friction is given: else nobody knows what grip is left.
    """

    def tries(mechanism: Mechanism) -> Iterator[Keys]:
        now, known = _number(mechanism, "spring.rate"), "faces.friction" in mechanism.given
        if now is not None and mechanism.keys.get("spring.kind") == "coils":
            for share in shares if known or min(shares) > 1 else ():
                new = _on(0.5, share * now)
                if new != now:
                    yield {"spring.rate": new}

    return tries


WAYS = (
    Way("less-play", "cable adjuster wound out: less free play", _less_play),
    Way(
        "lined-cable", "new cable in a lined casing, oiled", _down_to("cable.friction", 0.06, 0.02)
    ),
    Way("fewer-bends", "cable led with one bend less", _fewer_bends),
    Way(
        "less-float", "adjuster or a shim takes up end float", _down_to("rod.end_float", 0.1, 0.05)
    ),
    Way(
        "shorter-arm",
        "a hole nearer the shaft, cable at the angle of now",
        _another_arm((-1, -2, -3, -4, -6)),
    ),
    Way("longer-arm", "a hole further out, cable at the angle of now", _another_arm((2, 4, 6))),
    Way(
        "true-plate",
        "friction plate trued or replaced",
        _measured_down_to("faces.plate_runout", 0.1, 0.04),
    ),
    Way(
        "flat-plates",
        "plain plates ground flat or replaced",
        _measured_down_to("faces.plain_plate_runout", 0.05, 0.03),
    ),
    Way(
        "level-lift",
        "springs and fingers set to one height",
        _measured_down_to("faces.lift_tilt", 0.1, 0.04),
    ),
    Way("new-facing", "a facing with more grip, by its data sheet", _more_grip),
    Way("softer-springs", "springs of a thinner wire, same length", _springs(0.95, 0.9, 0.85)),
    Way("stiffer-springs", "springs of a thicker wire, same length", _springs(1.1, 1.2, 1.35)),
)


def _on(step: float, value: float) -> float:
    """Return the multiple of a step that is nearest."""
    return round(round(value / step) * step, 6)


MM_PER_INCH, THIRTY_SECOND, THOU = 25.4, 1 / 32, 0.001
_RULED_IN = 0.25
"""Inches above which a length is read off a rule, in thirty-seconds; below, in thou."""


def _in_inches(mechanism: Mechanism, keys: Keys) -> Keys:
    """Return values with their lengths as an inch rule or gauge has them; common practice."""

    def made(key: str, value: float) -> float:
        if mechanism.number(key).dimension != "length":
            return value
        inches = value / MM_PER_INCH
        step = THIRTY_SECOND if inches >= _RULED_IN else THOU
        return round(inches / step) * step * MM_PER_INCH

    return {key: made(key, value) for key, value in keys.items()}


def offers(mechanism: Mechanism, units: str = "metric") -> tuple[Offer, ...]:
    """Return up to three changes that bring a machine nearer to its targets, the best first.

    Parameters
    ----------
    mechanism : Mechanism
        None are offered where it does not give the whole clutch, or misses nothing.
    units : {"metric", "inch"}
        What lengths are made to: tenths of a millimetre, or thirty-seconds and thousandths of an
        inch.

    Notes
    -----
    Each is worked out alone, through the whole chain. Nothing is offered that slips, brings a stop,
    or takes grip away and holds less than is wanted; where the machine itself slips, what gives it
    more grip comes first.
    """
    if mechanism.level != "full":
        return ()
    ways: dict[Names, tuple[Way, Keys]] = {}
    made: dict[Names, Mechanism] = {(): mechanism}
    for way in WAYS:
        for count, wanted in enumerate(way.tries(mechanism)):
            keys = _in_inches(mechanism, wanted) if units == "inch" else wanted
            names = (way.name, str(count))
            try:
                made[names] = mechanism.changed(keys)
            except GeometryError:
                continue
            ways[names] = way, keys
    found = {each.names: each for each in tried(mechanism, made)}
    base = found.pop((), None)
    if base is None or not (base.short or base.danger):
        return ()
    better = [each for each in found.values() if _helps(base, each)]
    chosen: dict[str, Tried] = {}
    slips = base.slip_margin < 1.0

    def rank(each: Tried) -> tuple[bool, bool, float]:
        return slips and each.slip_margin <= base.slip_margin, each.danger, each.miss

    for each in sorted(better, key=rank):
        chosen.setdefault(each.names[0], each)
    return tuple(_offer(base, each, *ways[each.names]) for each in [*chosen.values()][:MOST_OFFERS])


def _helps(base: Tried, each: Tried) -> bool:
    """Return whether a change brings the machine nearer, and takes no grip that is wanted."""
    if each.danger and not base.danger:
        return False
    weaker = each.slip_margin < base.slip_margin and any(
        short.what == "slip_margin" for short in each.short
    )
    return not weaker and each.miss < base.miss - _WORTH_IT


def _offer(base: Tried, each: Tried, way: Way, keys: Keys) -> Offer:
    known = {key: _number(base.mechanism, key) for key in keys}
    return Offer(
        way.name,
        way.note,
        keys,
        {key: value for key, value in known.items() if value is not None},
        each.clearance_per_face_mm - base.clearance_per_face_mm,
        each.peak_hand_force_n - base.peak_hand_force_n,
        each.slip_margin - base.slip_margin,
        {table: kind_of(base.mechanism.keys, table) for table in (k.split(".")[0] for k in keys)},
    )
