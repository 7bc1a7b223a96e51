"""What stands where a part is not known yet, so that what does not need it can be worked out.

A result that rests on a stand-in is left out of the answer.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.faces import Faces
from liftgeo.parts.values import Values


@dataclass(frozen=True, eq=False, repr=False)
class NoSpring:
    """A spring that is not known: it presses with nothing and never ends."""

    @property
    def end_name(self) -> str:
        """Return how an end would be called; there is none."""
        return "spring-solid"

    @property
    def has_bends(self) -> bool:
        """Return False: it does nothing."""
        return False

    @property
    def turns_mm(self) -> tuple[Values, ...]:
        """Return nothing: its load turns nowhere."""
        return ()

    @property
    def free_height_mm(self) -> Values:
        """Return NaN: its height is not known [mm]."""
        return np.nan

    @property
    def last_deflection_mm(self) -> Values:
        """Return more than any plate lifts [mm]."""
        return 1e6

    @property
    def known_end_mm(self) -> Values:
        """Return NaN: no end is known [mm]."""
        return np.nan

    def load_n(self, deflection_mm: Values) -> Values:
        """Return no load [N]."""
        return 0.0 * deflection_mm

    def rate_n_per_mm(self, deflection_mm: Values) -> Values:
        """Return no rate [N/mm]."""
        return 0.0 * deflection_mm

    def energy_nmm(self, deflection_mm: Values) -> Values:
        """Return no energy [N mm]."""
        return 0.0 * deflection_mm


# Faces that are not known: one rigid plate that needs nothing to run clear.
NO_FACES = Faces(1.0, 2.0, 2.0, 1.0, np.nan, 0.0, 1.0, 0.0, 0.0, 0.0)
