"""Lever or arm after a hand has moved something: another hole, other splines, a moved stop.

All in the plane of the unchanged link: its pivot at the origin, +x to the cable stop, +y to the
pin's side, at rest.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.values import Values


@dataclass(frozen=True, eq=False, repr=False)
class Moves:
    """What was moved, and by how much.

    Attributes
    ----------
    hole_mm : float, array or None
        Radius of another hole on the line from pivot to pin; None: the same hole [mm].
    turned_rad : float or array
        Turn of the link on its shaft at rest, positive the way of pulling [rad].
    stop_x_mm, stop_y_mm : float or array
        Shift of the cable stop [mm].
    opening : {+1, -1}
        Whether pulling opens the angle between stop and pin (a lever) or closes it (an arm).
    """

    hole_mm: Values | None = None
    turned_rad: Values = 0.0
    stop_x_mm: Values = 0.0
    stop_y_mm: Values = 0.0
    opening: int = 1

    @property
    def nothing(self) -> bool:
        """Whether nothing is moved at all."""
        shifts = (self.turned_rad, self.stop_x_mm, self.stop_y_mm)
        return self.hole_mm is None and not any(np.any(shift) for shift in shifts)

    def pin_mm(self, radius_mm: Values, rest_angle_rad: Values) -> tuple[Values, Values]:
        """Return where the pin stands after the moves, x and y [mm].

        Parameters
        ----------
        radius_mm, rest_angle_rad : float or array
            Pivot to pin [mm], and the angle at the pivot from stop to pin [rad], before them.

        Notes
        -----
        Another hole on the same line keeps the angle at the pivot; a turn on the shaft keeps the
        radius. Source: derived in docs/theory.md, "Triangle".
        """
        radius = radius_mm if self.hole_mm is None else self.hole_mm
        at = rest_angle_rad + self.opening * self.turned_rad
        return radius * np.cos(at), radius * np.sin(at)

    def stop_mm(self, distance_mm: Values) -> tuple[Values, Values]:
        """Return where the cable stop stands after the moves, x and y [mm]."""
        return distance_mm + self.stop_x_mm, self.stop_y_mm
