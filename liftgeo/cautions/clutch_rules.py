"""Warnings about grip: slip, spring, facing, drag, oil, tilt, and the clutch when hot."""

from __future__ import annotations

import numpy as np

from liftgeo.as_written import millimetres
from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, NOTE, STOP, Case, Caution
from liftgeo.cautions.stroke_rules import COMMON, FOLLOWS
from liftgeo.mechanism.convert import NMM_PER_NM, SLIP_MARGIN_TARGETS, WET_ABOVE_PLATES
from liftgeo.parts.disc_limits import REFERENCE_STRESS_LIMIT_MPA
from liftgeo.parts.drag import MOVES_ABOVE, RUBS_BELOW
from liftgeo.parts.facing import published_pressure_mpa
from liftgeo.parts.spring import ConedDisc
from liftgeo.parts.values import Values

SLIPS_BELOW = 1.0
SLIP_LINE_DOUBTFUL = 2.0
NEAR_END_RATIO, NEAR_END_MM = 0.05, 0.15
WARPED_MM = 0.05
SOFT_FACING = "woven"  # the class that bears least of the usual ones, where none is named
_TOLERANCE_MM = 1e-9
_ALL = 0.995  # a share that is said to be all
_MANY = 0.1  # a share from which no tenth of a percent is said
_DISC_TOLERANCE = (
    "DIN EN 16983, tolerance on load by thickness, in a maker's extract (read); bias of the "
    "formula: docs/theory.md, The clutch end"
)


def slip_line(outcome: Findings) -> float:
    """Return the slip margin below which there is a caution."""
    line = SLIP_MARGIN_TARGETS[_use(outcome)]
    return max(line, SLIP_LINE_DOUBTFUL) if _doubtful(outcome) else line


def _use(outcome: Findings) -> str:
    return str(outcome.keys.get("engine.use", "road"))


def _doubtful(outcome: Findings) -> bool:
    keys = outcome.keys
    return bool(keys.get("faces.oil_splashed")) or keys.get("faces.material") == "unknown"


def _friction_given(outcome: Findings) -> bool:
    """Return whether slipping can be judged: a usual friction, not given, is no ground for it."""
    return "faces.friction" not in outcome.keys.taken


def _little_grip(outcome: Findings) -> Values:
    margin = outcome.slip_margin
    return (margin >= SLIPS_BELOW) & (margin < slip_line(outcome)) & _friction_given(outcome)


def _slips_words(case: Case) -> str:
    margin = case(case.outcome.slip_margin)
    return (
        f"The clutch slips: it holds {margin:.2f} times what the engine asks. A slipping clutch "
        "overheats, and its facing fades further."
    )


def _little_grip_words(case: Case) -> str:
    outcome = case.outcome
    why = "" if _use(outcome) == "road" else f" for a {_use(outcome)}"
    if _doubtful(outcome):
        why = " (this facing is oil-splashed or unknown)"
    return (
        f"The clutch holds {case(outcome.slip_margin):.2f} times what the engine asks; "
        f"{slip_line(outcome):.2f} is wanted{why}."
    )


def _slips_low(outcome: Findings) -> Values:
    low = outcome.clutch_end.slip_margin_low
    return (outcome.slip_margin >= SLIPS_BELOW) & (low < SLIPS_BELOW) & _friction_given(outcome)


def _little_grip_low(outcome: Findings) -> Values:
    low, line = outcome.clutch_end.slip_margin_low, slip_line(outcome)
    weak = (outcome.slip_margin >= line) & (low >= SLIPS_BELOW) & (low < line)
    return weak & _friction_given(outcome)


def _low_words(case: Case) -> str:
    low, bias = case(case.end.load_tolerance[0]), case(case.end.formula_bias_ratio)
    return (
        f"A disc made to the standard may press {100 * (1 - low):.1f} % less than its sizes say, "
        f"and the formula lies about {100 * (bias - 1):.0f} % above an elastic disc of this shape. "
        f"The clutch would then hold {case(case.end.slip_margin_low):.2f} times what the engine "
        "asks. Weigh the spring."
    )


def _no_release(outcome: Findings) -> Values:
    return outcome.separation_signed_mm <= _TOLERANCE_MM


def _no_release_words(case: Case) -> str:
    return (
        "The faces do not part at full lever: the clutch stays shut. With a gear in, the machine "
        "may creep, or start off as the engine is started, whatever the lever does."
    )


def _touching(outcome: Findings) -> Values:
    return ~np.asarray(_no_release(outcome)) & (outcome.clearance_per_face_mm < -_TOLERANCE_MM)


def _moves(outcome: Findings) -> Values:
    return _touching(outcome) & (outcome.clutch_end.drag_share_low >= MOVES_ABOVE)


def _drags(outcome: Findings) -> Values:
    share = outcome.clutch_end.drag_share  # NaN: rigid faces, of which it cannot be told
    return _touching(outcome) & ~_moves(outcome) & ~(share < RUBS_BELOW)


def percent_between(low: float, high: float) -> str:
    """Return two shares as a range in percent, "1.2 to 5.5 %"; one number where they agree."""
    digits = 0 if low >= _MANY else 1
    first, last = (f"{100 * share:.{digits}f}" for share in (low, high))
    return f"{last} %" if first == last else f"{first} to {last} %"


def _drag_words(case: Case) -> str:
    end, taken = case.end, set(case.outcome.keys.taken) - {"faces.friction"}
    first = "At full lever "
    if taken:
        first = "With what was left out taken as usual, at full lever "
    if np.isnan(case(end.drag_share)):
        return (
            f"{first}the faces still touch. How much they carry cannot be told of rigid faces: "
            "give faces.cushion_travel or faces.facing_stiffness. With a gear in, the machine may "
            "creep."
        )
    low, high = case(end.drag_share_low), case(end.drag_share)
    share = f"some {percent_between(low, high)} of what it holds"
    if low >= _ALL:
        share = "all that it holds"
    text = f"{first}the clutch drags: {share} is still carried. With a gear in, "
    if case(_moves(case.outcome)):
        return f"{text}that may move the machine, or start it off with the engine."
    return f"{text}the machine may creep."


def _running_guessed(outcome: Findings) -> Values:
    return np.asarray("faces.running" not in outcome.keys)


def _running_words(case: Case) -> str:
    plates = case(case.outcome.keys["faces.friction_plates"])
    wet = bool(case(case.end.wet))
    noun = "plate" if plates == 1 else "plates"
    above = f"more than {WET_ABOVE_PLATES}" if wet else f"{WET_ABOVE_PLATES} or fewer"
    return (
        f"Whether it runs dry or in oil is not given: with {plates:.0f} friction {noun} ({above}) "
        f"it is taken as {'wet' if wet else 'dry'}. Clearance wanted, oil drag and facing pressure "
        "hang on it; look, and give faces.running."
    )


def _slip_unknown(case: Case) -> str:
    return (
        "No engine torque is given, so it is not known whether the clutch slips. "
        "Give engine.torque."
    )


def _near_end(outcome: Findings) -> Values:
    spring = outcome.parts.spring
    line: Values = NEAR_END_MM
    if isinstance(spring, ConedDisc):
        line = np.maximum(NEAR_END_RATIO * spring.flat_deflection_mm, NEAR_END_MM)
    if spring.end_name == "table-end":
        return np.asarray(False)
    return spring.known_end_mm - outcome.full.deflection_mm < line


def _near_end_words(case: Case) -> str:
    spring = case.outcome.parts.spring
    left = case(spring.known_end_mm - case.outcome.full.deflection_mm)
    end = "flat" if spring.end_name == "spring-flat" else "solid"
    return (
        f"At full lever the spring is {millimetres(left)} from {end}: there its load climbs "
        "steeply and its edges bear all of it."
    )


def _stress_words(case: Case) -> str:
    return (
        f"At full lever the disc's reference stress is {case(case.end.reference_stress_mpa):.0f} "
        f"MPa, above {REFERENCE_STRESS_LIMIT_MPA:.0f} MPa: it may set and lose load. That line is "
        "for a steady load; for pull after pull none is at hand."
    )


def _pressure_range(outcome: Findings) -> tuple[float, float, str] | None:
    material = outcome.keys.get("faces.material", "unknown")
    wet = bool(np.any(outcome.clutch_end.wet))
    return published_pressure_mpa(SOFT_FACING if material == "unknown" else material, wet=wet)


def _pressed_hard(outcome: Findings, named: bool) -> Values:
    if (outcome.keys.get("faces.material", "unknown") != "unknown") is not named:
        return np.asarray(False)
    published = _pressure_range(outcome)
    if published is None:
        return np.asarray(False)
    return outcome.clutch_end.edge_pressure_mpa > published[1]


def _pressure_words(case: Case) -> str:
    published = _pressure_range(case.outcome)
    material = case.outcome.keys.get("faces.material", "unknown")
    said = f"of a {material} facing"
    if material == "unknown":
        said = f"of a {SOFT_FACING} facing, the softest usual class (faces.material is not named)"
    low, high, source = published or (np.nan, np.nan, "")
    return (
        f"The facing bears {case(case.end.edge_pressure_mpa):.2f} MPa at its inside edge, above "
        f"the published range {said}, {low:.3g} to {high:.3g} MPa ({source})."
    )


def _cold_oil(outcome: Findings) -> Values:
    return np.asarray(outcome.clutch_end.wet) & (outcome.separation_signed_mm > 0)


def _cold_oil_words(case: Case) -> str:
    torque = case(case.end.oil_drag_nmm) / NMM_PER_NM
    if np.isnan(torque):
        return (
            "In oil, clearance does not stop the drag of cold oil between the plates; give "
            "faces.oil_viscosity and faces.slip_speed for a bound."
        )
    return (
        f"In oil, clearance does not stop drag: gaps full of cold oil carry {torque:.2f} N·m. A "
        "film that breaks up at speed carries less, gaps that are not equal carry more."
    )


def _warped(outcome: Findings) -> Values:
    plane = outcome.clutch_end.rim
    return np.asarray(plane is not None and plane.residual_mm > WARPED_MM)


def _warped_words(case: Case) -> str:
    plane = case.end.rim
    assert plane is not None
    return (
        f"The readings round the rim stray {millimetres(case(plane.residual_mm))} from a plane: "
        "the plate is warped or a reading is off. A plane tilt tells only part of it."
    )


def _hot_fails(outcome: Findings) -> Values:
    hot = outcome.clutch_end.hot
    if hot is None:
        return np.asarray(False)
    rides = (outcome.clutch_end.hot_wear_to_riding_mm <= _TOLERANCE_MM) & (
        outcome.clutch_end.wear_to_riding_mm > _TOLERANCE_MM
    )
    slips = (hot.slip_margin < SLIPS_BELOW) & ~(outcome.slip_margin < SLIPS_BELOW)
    return rides | slips


def _hot_worse(outcome: Findings) -> Values:
    hot = outcome.clutch_end.hot
    if hot is None:
        return np.asarray(False)
    return (hot.verdict < outcome.verdict) & ~_hot_fails(outcome)


def _hot_words(case: Case) -> str:
    hot = case.end.hot
    assert hot is not None
    room = case(case.end.hot_wear_to_riding_mm)
    play = (
        "the rod is loaded at rest" if room <= 0 else f"{millimetres(room)} of wear left to riding"
    )
    margin = case(hot.slip_margin)
    grip = "" if np.isnan(margin) else f", it holds {margin:.2f} times what the engine asks"
    clearance = case(hot.clearance_per_face_mm)
    word = "short" if clearance < 0 else "clear"
    return (
        f"Hot it is worse than cold: {play}{grip}, and each face is {word} by "
        f"{millimetres(abs(clearance))}."
    )


CLUTCH_CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "slips",
        STOP,
        "torque above capacity",
        lambda o: (o.slip_margin < SLIPS_BELOW) & _friction_given(o),
        _slips_words,
    ),
    Caution("slip-margin", CAUTION, COMMON, _little_grip, _little_grip_words),
    Caution("slips-at-least-load", STOP, _DISC_TOLERANCE, _slips_low, _low_words),
    Caution(
        "slip-margin-at-least-load",
        CAUTION,
        f"{_DISC_TOLERANCE}; margin: {COMMON}",
        _little_grip_low,
        _low_words,
    ),
    Caution("no-release", STOP, FOLLOWS, _no_release, _no_release_words),
    Caution(
        "drags",
        STOP,
        f"docs/theory.md, The clutch end; 5 % of the capacity: {COMMON}",
        _moves,
        _drag_words,
    ),
    Caution(
        "drags",
        CAUTION,
        f"docs/theory.md, The clutch end; 1 % of the capacity: {COMMON}",
        _drags,
        _drag_words,
    ),
    Caution("running-guessed", NOTE, COMMON, _running_guessed, _running_words),
    Caution("slip-unknown", NOTE, FOLLOWS, lambda o: np.isnan(o.slip_margin), _slip_unknown),
    Caution("spring-near-end", CAUTION, COMMON, _near_end, _near_end_words),
    Caution(
        "disc-stress",
        CAUTION,
        "DIN EN 16984, reference stress against the yield point, 1400 to 1600 MPa (from memory)",
        lambda o: o.clutch_end.reference_stress_mpa > REFERENCE_STRESS_LIMIT_MPA,
        _stress_words,
    ),
    Caution(
        "facing-pressure",
        CAUTION,
        "the table named in the message (read)",
        lambda o: _pressed_hard(o, True),
        _pressure_words,
    ),
    Caution(
        "facing-pressure",
        NOTE,
        "the table named in the message (read)",
        lambda o: _pressed_hard(o, False),
        _pressure_words,
    ),
    Caution(
        "cold-oil",
        NOTE,
        "shear of a full film, docs/theory.md, The clutch end",
        _cold_oil,
        _cold_oil_words,
    ),
    Caution("rim-warped", CAUTION, COMMON, _warped, _warped_words),
    Caution("hot", STOP, FOLLOWS, _hot_fails, _hot_words),
    Caution("hot", CAUTION, FOLLOWS, _hot_worse, _hot_words),
)
