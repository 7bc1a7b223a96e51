"""The release bearing under a purely axial load: static safety and life."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.parts.values import Values

# Pure axial load: equivalent static load P0 = Y0 Fa (ISO 76 form); deep groove Y0 = 0.5, angular
# contact, single row, by contact angle. Source: bearing makers' published tables (read); 0.5 also
# ISO 76 (from memory).
DEEP_GROOVE_STATIC_AXIAL = 0.5
ANGULAR_STATIC_AXIAL = ((15.0, 0.46), (25.0, 0.38), (40.0, 0.26))

# Deep groove: axial factor Y over Fa/C0. Source: SEED design guide on rolling bearings, section
# 4.1 (read); the two rows below 0.025: Shigley, table 11-1 (from memory), so that a light load is
# not given a longer life than published.
DEEP_GROOVE_DYNAMIC_AXIAL = (
    (0.014, 2.30),
    (0.021, 2.15),
    (0.025, 2.0),
    (0.04, 1.8),
    (0.07, 1.6),
    (0.13, 1.4),
    (0.25, 1.2),
    (0.5, 1.0),
)
# Angular contact 15 deg: Y over Fa/C0; 25 and 40 deg: one Y each. Source: bearing maker's
# published tables 2 and 3 (read).
ANGULAR_15_DYNAMIC_AXIAL = (
    (0.015, 1.47),
    (0.029, 1.40),
    (0.058, 1.30),
    (0.087, 1.23),
    (0.12, 1.19),
    (0.17, 1.12),
    (0.29, 1.02),
    (0.44, 1.00),
)
ANGULAR_25_DYNAMIC_AXIAL = 0.87
ANGULAR_40_DYNAMIC_AXIAL = 0.57


def _table(rows: tuple[tuple[float, float], ...], at: Values) -> Values:
    x, y = np.array(rows, float).T
    return np.interp(at, x, y)


@dataclass(frozen=True, eq=False, repr=False)
class Bearing:
    """A ball bearing that takes the release load.

    Parameters
    ----------
    contact_angle_deg : float, array or None
        None: deep groove; else the contact angle of an angular-contact bearing.
    static_rating_n, dynamic_rating_n : float or array
        C0 and C [N]; NaN where not given.
    speed_rev_per_min, duty : float or array
        Speed of the loaded bearing and share of running time declutched.
    """

    contact_angle_deg: Values | None = None
    static_rating_n: Values = np.nan
    dynamic_rating_n: Values = np.nan
    speed_rev_per_min: Values = np.nan
    duty: Values = 1.0

    def static_axial_factor(self) -> Values:
        """Return Y0 for a pure axial load."""
        if self.contact_angle_deg is None:
            return DEEP_GROOVE_STATIC_AXIAL
        return _table(ANGULAR_STATIC_AXIAL, self.contact_angle_deg)

    def dynamic_axial_factor(self, axial_n: Values) -> Values:
        """Return Y for a pure axial load [N], interpolated in load and contact angle.

        Without a static rating the greatest Y of a 15 degree bearing counts: the shortest life.
        """
        share = axial_n / self.static_rating_n
        if self.contact_angle_deg is None:
            return _table(DEEP_GROOVE_DYNAMIC_AXIAL, share)
        at_15 = _table(ANGULAR_15_DYNAMIC_AXIAL, share)
        at_15 = np.where(np.isnan(share), ANGULAR_15_DYNAMIC_AXIAL[0][1], at_15)
        low = np.clip((self.contact_angle_deg - 15) / 10, 0.0, 1.0)
        high = np.clip((self.contact_angle_deg - 25) / 15, 0.0, 1.0)
        y = at_15 + low * (ANGULAR_25_DYNAMIC_AXIAL - at_15)
        return y + high * (ANGULAR_40_DYNAMIC_AXIAL - ANGULAR_25_DYNAMIC_AXIAL)

    def static_safety(self, axial_n: Values) -> Values:
        """Return C0/P0 under an axial load [N]; NaN without one. Source: ISO 76 (from memory)."""
        load = np.where(np.asarray(axial_n) > 0, axial_n, np.nan)
        return self.static_rating_n / (self.static_axial_factor() * load)

    def life_h(self, axial_n: Values) -> Values:
        """Return the life in running hours of the machine, L10/(60 n duty); NaN without a load.

        L10 = (C/P)**3 million revolutions, P = Y Fa. Source: ISO 281 (from memory).
        """
        axial_n = np.where(np.asarray(axial_n) > 0, axial_n, np.nan)
        load = self.dynamic_axial_factor(axial_n) * axial_n
        revolutions = 1e6 * (self.dynamic_rating_n / load) ** 3
        return revolutions / (60 * self.speed_rev_per_min * self.duty)
