"""Warnings about what could break or wear out: bearing, cable, push rod, balls."""

from __future__ import annotations

import numpy as np

from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, NOTE, STOP, Case, Caution
from liftgeo.cautions.stroke_rules import COMMON
from liftgeo.mechanism.convert import by_foot
from liftgeo.mechanism.key_facts import number
from liftgeo.parts.values import Values
from liftgeo.parts.wire_strength import listed_sizes_mm

THRUST_LIGHT_RATIO, THRUST_RATIO = 0.25, 0.5
STATIC_SAFE, STATIC_LEAST = 1.5, 1.0
CABLE_SAFE, CABLE_WORKING_SAFE = 1.5, 3.0
SMALL_BORE_MM = 12.0
BUCKLING_SAFE = 3.0

_THRUST_SOURCE = (
    "a bearing maker's page: 0.5 C0 (the line from memory), 0.25 C0 for light series and bores up "
    "to 12 mm (read)"
)
_CABLE_SOURCE = (
    "450 N, or the lesser force that brings the lever to the grip: ISO 4210-4, strength of the "
    "hand lever (read); breaking load: FAA AC 43.13-1B, Table 7-3 (read), or as given"
)


def _thrust(outcome: Findings) -> Values:
    part = outcome.bearing_part
    deep = part is not None and part.contact_angle_deg is None
    return outcome.clutch_end.thrust_ratio if deep else np.asarray(np.nan)


def _most_thrust(outcome: Findings) -> Values:
    """Return the share of C0 that the bearing bears by its bore, the light series apart."""
    small = number(outcome.keys, "bearing.bore", np.nan) <= SMALL_BORE_MM
    return np.where(small, THRUST_LIGHT_RATIO, THRUST_RATIO)


def _thrust_words(case: Case) -> str:
    share, bore = case(case.end.thrust_ratio), number(case.outcome.keys, "bearing.bore", np.nan)
    said = (
        f"The deep-groove bearing takes {case(case.end.greatest_rod_force_n):.0f} N of pure "
        f"thrust at most, {share:.2f} of its static rating. "
    )
    if case(bore) <= SMALL_BORE_MM:
        return f"{said}With a bore of {case(bore):.0f} mm it bears {THRUST_LIGHT_RATIO} of it."
    said += f"It bears {THRUST_RATIO} of it, and {THRUST_LIGHT_RATIO} in a light series"
    if not np.isnan(case(bore)):
        return f"{said} (a ring hardly thicker than its balls)."
    return f"{said} or up to {SMALL_BORE_MM:.0f} mm bore; give bearing.bore."


def _safety(outcome: Findings) -> Values:
    part = outcome.bearing_part
    if part is None:
        return np.asarray(np.nan)
    with np.errstate(all="ignore"):
        return part.static_safety(outcome.clutch_end.greatest_rod_force_n)


def _safety_words(case: Case) -> str:
    return (
        f"The release bearing's static safety is {case(_safety(case.outcome)):.2f} at its greatest "
        f"load; {STATIC_SAFE} is wanted, and below {STATIC_LEAST:.0f} its balls dent the rings."
    )


def _one_way(outcome: Findings) -> Values:
    part = outcome.bearing_part
    return np.asarray(part is not None and part.contact_angle_deg is not None)


def _one_way_words(case: Case) -> str:
    action = case.outcome.keys.get("rod.action", "push or pull")
    return (
        f"An angular-contact bearing takes thrust one way only: the {action} of the rod must press "
        "the wide shoulders of its rings towards each other. The other way round it comes apart."
    )


def _cable_breaks(outcome: Findings) -> Values:
    end = outcome.clutch_end
    return end.breaking_load_n < end.panic_tension_n


def _cable_near(outcome: Findings) -> Values:
    end = outcome.clutch_end
    near = end.breaking_load_n < CABLE_SAFE * end.panic_tension_n
    near = near | (end.breaking_load_n < CABLE_WORKING_SAFE * end.greatest_tension_n)
    return near & ~np.asarray(_cable_breaks(outcome))


def _cable_unjudged(outcome: Findings) -> Values:
    return np.isnan(np.asarray(outcome.clutch_end.breaking_load_n, float))


def _cable_unjudged_words(case: Case) -> str:
    return (
        f"The cable bears up to {case(case.end.panic_tension_n):.0f} N. Its strength was not "
        "judged: give cable.wire of a listed construction (7x7, 7x19), or cable.breaking_load."
    )


def _cable_words(case: Case) -> str:
    keys, end = case.outcome.keys, case.end
    known = "as given"
    if "cable.breaking_load" not in keys:
        wire = [str(keys[f"cable.wire.{name}"]) for name in ("construction", "material")]
        size = case(keys["cable.wire.diameter"])
        sizes = listed_sizes_mm(wire[0], wire[1])
        known = f"{wire[0]} {wire[1]}, listed size"
        if not any(abs(size - listed) < 0.005 for listed in sizes):
            between = sizes[0] < size < sizes[-1]
            how = "between listed sizes" if between else "from the nearest listed size"
            known = f"{wire[0]} {wire[1]}, {how} by the diameter squared"
    place = "50 mm from the tip of the blade"
    if np.isnan(case(end.tip_radius_mm)):
        place = "at the middle of the pull (lever.blade_length is not given)"
    who, does = ("foot", "pushes") if by_foot(keys) else ("hand", "pulls")
    early = "Something stops the lever before the grip does: "
    load = (
        f"{early}a {who} that {does} {end.panic_force_n:.0f} N {place} puts "
        f"{case(end.panic_tension_n):.0f} N on the cable"
    )
    if case(end.tension_at_grip_n) < case(end.forced_tension_n):
        load = (
            f"{early}a {who} that {does} on until cable and blade have given enough for the lever "
            f"to meet the grip puts {case(end.panic_tension_n):.0f} N on the cable"
        )
    wanted = f"{CABLE_SAFE} times that"
    grip = bool(case(end.grip_ends_it))
    if grip or case(end.breaking_load_n) >= CABLE_SAFE * case(end.panic_tension_n):
        wanted = f"{CABLE_WORKING_SAFE:.0f} times what the stroke needs"
        beyond = " (what a hand does beyond the grip bears)" if grip else ""
        load = f"The stroke puts {case(end.greatest_tension_n):.0f} N on the cable{beyond}"
    return (
        f"{load}, which breaks at {case(end.breaking_load_n):.0f} N ({known}); "
        f"{wanted} is wanted. Soldered ends and worn "
        "strands hold less."
    )


def _buckling_factor(outcome: Findings) -> Values:
    end = outcome.clutch_end
    load = end.rod_buckling_load_n
    if np.ndim(load) == 0 and np.isnan(load):
        return load
    return load / end.greatest_rod_force_n


def _buckling_words(case: Case) -> str:
    end = case.end
    return (
        f"The push rod carries {case(end.greatest_rod_force_n):.0f} N; free between its ends it "
        f"buckles at {case(end.rod_buckling_load_n):.0f} N (Euler). A bent rod buckles sooner."
    )


def _dented(outcome: Findings) -> Values:
    end = outcome.clutch_end
    return end.ball_pressure_mpa > end.allowed_ball_pressure_mpa


def _dented_words(case: Case) -> str:
    end = case.end
    return (
        f"Each ball presses on its ramp with {case(end.ball_pressure_mpa):.0f} MPa, above "
        f"{case(end.allowed_ball_pressure_mpa):.0f} MPa: it dents the ramp, and the lever grows "
        "rough."
    )


def _between(value: Values, least: float, wanted: float) -> Values:
    return (value >= least) & (value < wanted)


STRENGTH_CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "bearing-thrust",
        STOP,
        _THRUST_SOURCE,
        lambda o: _thrust(o) > _most_thrust(o),
        _thrust_words,
    ),
    Caution(
        "bearing-thrust",
        CAUTION,
        _THRUST_SOURCE,
        lambda o: (_thrust(o) > THRUST_LIGHT_RATIO) & (_thrust(o) <= _most_thrust(o)),
        _thrust_words,
    ),
    Caution(
        "bearing-static",
        STOP,
        "ISO 76 (from memory)",
        lambda o: _safety(o) < STATIC_LEAST,
        _safety_words,
    ),
    Caution(
        "bearing-static",
        CAUTION,
        f"ISO 76; 1.5: {COMMON}",
        lambda o: _between(_safety(o), STATIC_LEAST, STATIC_SAFE),
        _safety_words,
    ),
    Caution("bearing-one-way", NOTE, COMMON, _one_way, _one_way_words),
    Caution("cable-strength", STOP, _CABLE_SOURCE, _cable_breaks, _cable_words),
    Caution(
        "cable-strength",
        CAUTION,
        f"{_CABLE_SOURCE}; factors 1.5, and 3 over the stroke: {COMMON}",
        _cable_near,
        _cable_words,
    ),
    Caution(
        "cable-strength-unknown",
        NOTE,
        "no published breaking load for this wire",
        _cable_unjudged,
        _cable_unjudged_words,
    ),
    Caution(
        "push-rod-buckling",
        STOP,
        "Euler's column; docs/theory.md, The clutch end",
        lambda o: _buckling_factor(o) < 1.0,
        _buckling_words,
    ),
    Caution(
        "push-rod-buckling",
        CAUTION,
        f"Euler's column; factor 3: {COMMON}",
        lambda o: _between(_buckling_factor(o), 1.0, BUCKLING_SAFE),
        _buckling_words,
    ),
    Caution(
        "ball-pressure",
        CAUTION,
        "ISO 76, 4200 MPa (from memory), or as given",
        _dented,
        _dented_words,
    ),
)
