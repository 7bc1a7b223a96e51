"""The same parts in another state: worn, or with the plate's end of the rod moved by heat."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from liftgeo.chain.linkage import Parts
from liftgeo.parts.moved_rest import LinkMovedBack, UnitMovedBack
from liftgeo.parts.values import Values


def wear_to_riding_mm(parts: Parts) -> Values:
    """Return how far the pressure plate may sink before the rod is loaded at rest [mm].

    Notes
    -----
    (float + j slack/p)/i: the rod first loses its float, then pushes unit and arm back until the
    cable's slack is gone. The rod can only open the clutch, pulling or pushing, and the plate
    sinks the other way, so both kinds lose float. Source: derived in docs/theory.md, "The clutch
    end".
    """
    left = parts.rod.float_mm + parts.rest_slope * parts.cable.slack_mm
    return left / parts.rod.finger_ratio


def pushed_back(parts: Parts, rod_mm: Values) -> Parts:
    """Return the mechanism after the plate's end of the rod has moved `rod_mm` towards rest.

    Parameters
    ----------
    rod_mm : float or array
        Movement of the plate's end of the rod, the unit and the casing standing still [mm]; below
        zero it widens the float.

    Notes
    -----
    The float is used up first, then unit and arm turn back and the slack shrinks; both are
    continued below their rest as straight lines. Slack below zero means that the rod is loaded at
    rest; it is then kept at zero, and what is found is better than the truth.
    """
    unit, arm, cable = parts.release, parts.arm, parts.cable
    left = parts.rod.float_mm - rod_mm
    found = replace(parts, rod=replace(parts.rod, float_mm=np.maximum(left, 0.0)))
    if not np.any(left < 0):
        return found
    back = np.maximum(-left, 0.0) / unit.at(0.0).slope_mm_per_rad
    slack = cable.slack_mm - back * arm.link.at(0.0).moment_arm_mm
    torque = arm.return_torque_nmm - arm.return_rate_nmm_per_rad * back
    return replace(
        found,
        cable=replace(cable, slack_mm=np.maximum(slack, 0.0)),
        release=UnitMovedBack(unit, back),
        release_max_rotation_rad=parts.release_max_rotation_rad + back,
        arm=replace(
            arm,
            link=LinkMovedBack(arm.link, back),
            return_torque_nmm=np.maximum(torque, 0.0),
            max_rotation_rad=arm.max_rotation_rad + back,
        ),
    )


def worn(parts: Parts, pack_wear_mm: Values, *, readjusted: bool = False) -> Parts:
    """Return the mechanism with so much worn off all its facings together [mm].

    Parameters
    ----------
    pack_wear_mm : float or array
        How far the pressure plate has sunk towards the basket [mm].
    readjusted : bool
        True: float and slack have been set again as they were.
    """
    eased = replace(
        parts, installed_deflection_mm=parts.installed_deflection_mm - np.asarray(pack_wear_mm)
    )
    if readjusted:
        return eased
    return pushed_back(eased, parts.rod.finger_ratio * np.asarray(pack_wear_mm))
