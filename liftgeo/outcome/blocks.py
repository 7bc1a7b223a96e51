"""The clutch end's own blocks of a result."""

from __future__ import annotations

import numpy as np

from liftgeo.mechanism.key_facts import number
from liftgeo.outcome import results, values
from liftgeo.outcome.clutch_end import SIDES
from liftgeo.outcome.outcome import VERDICTS, Outcome
from liftgeo.outcome.values import picked
from liftgeo.parts.disc_limits import POINTS, REFERENCE_STRESS_LIMIT_MPA
from liftgeo.parts.values import Index


def state(outcome: Outcome | None, index: Index, name: str) -> results.StateResult | None:
    """Return one element of an outcome in another state, called by a name; None where it has none.

    Raises
    ------
    GeometryError
        An answer of that state is no number.
    """
    if outcome is None:
        return None
    outcome.check_finite(name)
    return results.StateResult(
        VERDICTS[int(outcome.picked(outcome.verdict, index))],
        outcome.picked(outcome.clearance_per_face_mm, index),
        outcome.picked(outcome.clutch_end.take_up_mm, index),
        outcome.picked(outcome.end.peak_n, index),
        outcome.picked(outcome.slip_margin, index),
    )


def tilt(outcome: Outcome, index: Index) -> results.TiltResult | None:
    """Return the tilt of the lifted plate of one element; None where the file has no readings."""
    plane = outcome.clutch_end.rim
    if plane is None:
        return None
    outside = outcome.parts.faces.outside_mm
    across = number(outcome.keys, "faces.rim_diameter", outside)
    scale = outcome.picked(outside / across, index)
    height, direction, residual = (
        outcome.picked(x, index)
        for x in (plane.tilt_mm, np.degrees(plane.direction_rad), plane.residual_mm)
    )
    return results.TiltResult(height * scale, direction, residual)


def _edge_stresses(outcome: Outcome, index: Index) -> tuple[results.EdgeStress, ...]:
    found = outcome.clutch_end.edge_stresses_mpa
    if found is None:
        return ()
    rows = zip(POINTS, *found, strict=True)
    return tuple(
        results.EdgeStress(name, outcome.picked(rest, index), outcome.picked(full, index))
        for name, rest, full in rows
    )


def spring(outcome: Outcome, index: Index) -> results.SpringResult:
    """Return where the spring of one element sits."""
    end = outcome.clutch_end
    limit = REFERENCE_STRESS_LIMIT_MPA if end.disc is not None else np.nan
    return results.SpringResult(
        side=SIDES[int(outcome.picked(end.side, index))],
        reference_stress_limit_mpa=limit,
        edge_stresses=_edge_stresses(outcome, index),
        **picked(values.SPRING, outcome, index),
    )


def unit(outcome: Outcome, index: Index) -> results.UnitResult:
    """Return what the release unit of one element does by itself."""
    end, ramp = outcome.clutch_end, outcome.clutch_end.ball_ramp
    roll = np.nan if ramp is None else outcome.picked(ramp.friction_to_roll, index)
    return results.UnitResult(bool(outcome.picked(end.lets_itself_back, index)), roll)
