"""The lever pulled on past what ends its stroke: the arm held, cable and blade give."""

from __future__ import annotations

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.chain.positions import Position
from liftgeo.parts.cable import PULLING
from liftgeo.parts.release_form import back_factor
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values

_STEPS = 16
"""The hand travel rises almost straight with the tension: a few steps of the search do."""


def tension_at_grip_n(parts: Parts, full: Position, most_n: Values) -> Values:
    """Return the tension at the lever at which it meets the grip though the arm is held [N].

    Parameters
    ----------
    parts : Parts
        Numbers of shape () or (N,).
    full : Position
        Full lever, where something other than the grip ended the stroke.
    most_n : float or array
        Tension at the lever up to which it is looked for [N].

    Returns
    -------
    float or array
        NaN where the lever does not meet the grip up to there.

    Notes
    -----
    The arm stands still at its place of full lever, and a tension T at it stretches the cable by
    c (T - T_full) more. The lever then stands where its pull is longer by that, and the hand's
    travel is h = r phi + k F, with the blade bent by the hand force F. Unit, shaft and rod count as
    stiff: what they give would let the lever meet the grip at less. Source: derived in
    docs/theory.md, "The clutch end".
    """
    lever, cable = parts.lever, parts.cable
    gain = cable.gain(PULLING)
    factor = np.maximum(back_factor(lever.efficiency, PULLING), 0.0) / lever.hand_radius_mm

    def left_mm(tension_n: Values) -> Values:
        at_arm = (tension_n - cable.drag_n) / gain
        more = (at_arm - full.tension_n) * cable.stretch_per_newton(PULLING)
        link = lever.link.at_pull(full.cable_pull_mm + more)
        hand_n = tension_n * link.moment_arm_mm * factor
        bent = lever.hand_radius_mm * link.rotation_rad + lever.compliance_mm_per_n * hand_n
        return lever.hand_travel_mm - bent

    most = np.asarray(most_n, float)
    least = np.minimum(np.asarray(full.hand_tension_n, float), most)
    with np.errstate(all="ignore"):
        meets = (left_mm(most) <= 0) & np.isfinite(most)
        if not np.any(meets):
            return np.full(np.shape(meets), np.nan)
        high = np.where(meets, most, least)
        found = bracketed_root(left_mm, least, high, steps=_STEPS)
    return np.where(meets, found, np.nan)
