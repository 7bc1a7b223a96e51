"""Everything a drawing shows of one mechanism where it stands, as plain shapes."""

from __future__ import annotations

from liftgeo.mechanism import Mechanism
from liftgeo.outline.ends import end_view
from liftgeo.outline.links import Outline, outline
from liftgeo.outline.plates import finger_view, plate_view, spring_view
from liftgeo.outline.shapes import Stand, View
from liftgeo.outline.units import unit_view

VIEWS = ("lever", "arm", "release", "spring", "fingers", "plates")
"""Every view there is, hand to plates."""


def views(
    mechanism: Mechanism,
    stand: Stand,
    full: Stand,
    *,
    points: Outline | None = None,
    magnified: float = 1.0,
) -> dict[str, View]:
    """Return every view of a mechanism where it stands, by name; those that its file reaches.

    Parameters
    ----------
    mechanism : Mechanism
    stand, full : Stand
        Where it stands, and where it stands at full lever (ramps and cams are drawn so far).
    points : Outline, optional
        Lever and arm in another frame than their own.
    magnified : float
        How many times the gaps between the plates are drawn wider than they are.
    """
    keys = mechanism.inward
    drawn = points or outline(mechanism).as_drawn()
    found = [
        end_view(keys, "lever", drawn.lever, stand.lever_angle_rad, stand.lever_pull_mm),
        end_view(keys, "arm", drawn.arm, stand.arm_rotation_rad, stand.arm_pull_mm),
    ]
    if mechanism.level != "ratio":
        turn, last = stand.unit_rotation_rad, full.unit_rotation_rad
        found.append(unit_view(keys, turn, stand.rod_travel_mm, last))
    if mechanism.level in ("effort", "full"):
        found.append(spring_view(keys, stand.deflection_mm))
    if mechanism.level == "full":
        if float(keys.parts.rod.finger_ratio) != 1.0:
            found.append(finger_view(keys, stand.lift_mm))
        found.append(plate_view(keys, stand.separation_mm, magnified))
    return {view.name: view for view in found}
