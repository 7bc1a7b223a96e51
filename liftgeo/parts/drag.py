"""The torque a clutch still carries at full lever: faces that touch in places, and cold oil."""

from __future__ import annotations

import numpy as np

from liftgeo.parts.faces import Faces, uniform_pressure_torque_nmm
from liftgeo.parts.values import Values

RUBS_BELOW = 0.01
"""Share of the capacity below which faces that touch are said to rub rather than to drag."""

_FLAT_MM = 1e-12  # a smaller tilt is none

_NEWTON_SECONDS_PER_MM2 = 1e-9  # of one mPa s


def overlap_moment_mm4(
    approach_mm: Values, tilt_mm: Values, outside_mm: Values, inside_mm: Values
) -> Values:
    """Return the integral of overlap times radius over a ring, for a tilted plane face [mm4].

    Parameters
    ----------
    approach_mm : float or array
        Mean overlap of the two faces, below zero where they stand apart [mm].
    tilt_mm : float or array
        Overlap added at the outside radius on the high side, and taken off on the low one [mm].
    outside_mm, inside_mm : float or array
        Diameters of the ring [mm].

    Notes
    -----
    The overlap is a - s r cos(phi) where that is above zero, with a the approach and s = tilt/R.
    Over one circle the integral is 2 [a (pi - arccos u) + s r sqrt(1 - u**2)] with u = a/(s r)
    clipped to -1..1; over the radii it has the closed form used here, written with x = s r and
    q = sqrt(x**2 - a**2): 2 a r**3 (pi - arccos u)/3 + [x q (x**2/2 + a**2/12)
    + a**4 ln(x + q)/12]/s**3. Full contact gives 2 pi a (R**3 - r**3)/3, whatever the tilt.
    Source: derived in docs/theory.md, "The clutch end".
    """
    outer, inner = outside_mm / 2, inside_mm / 2
    a = np.asarray(approach_mm, float)
    slope = np.asarray(tilt_mm / outer, float)
    tilted = slope * outer > _FLAT_MM
    s = np.where(tilted, slope, 1.0)
    reach = np.where(tilted, np.abs(a) / s, np.where(a > 0, np.inf, -np.inf))
    whole = np.clip(reach, inner, outer)
    ring = np.where(a > 0, 2 * np.pi * a * (whole**3 - inner**3) / 3, 0.0)
    ring = np.where(tilted | (a > 0), ring, 0.0)

    def antiderivative(radius: Values) -> Values:
        x = s * radius
        q = np.sqrt(np.maximum(x**2 - a**2, 0.0))
        angle = np.pi - np.arccos(np.clip(a / x, -1.0, 1.0))
        part = x * q * (x**2 / 2 + a**2 / 12) + a**4 * np.log((x + q) / (s * outer)) / 12
        return 2 * a * radius**3 * angle / 3 + part / s**3

    partly = np.maximum(antiderivative(outer) - antiderivative(whole), 0.0)
    return ring + np.where(tilted & (whole < outer), partly, 0.0)


def drag_torque_nmm(
    faces: Faces,
    clamp_n: Values,
    separation_mm: Values,
    facing_compliance: Values = 0.0,
    clamp_at_rest_n: Values = np.inf,
) -> Values:
    """Return the torque faces still carry where they do not part everywhere [N mm].

    Parameters
    ----------
    faces : Faces
        The pack; its needed separation, shared by the gaps, is the tilt of each pair of faces.
    clamp_n : float or array
        Clamp force left [N].
    separation_mm : float or array
        Separation of the whole pack, 0 or below where the faces do not part [mm].
    facing_compliance : float or array
        Compression of one facing per newton over its whole face [mm/N]; 0: rigid.
    clamp_at_rest_n : float or array
        Clamp force with the lever let go, whose torque is never exceeded [N].

    Notes
    -----
    Each pair of faces is a tilted plane on an elastic layer: the share of the cushion that falls
    to one face, and the facing. Approach a = C N - separation/(2 n), pressure = overlap/(C A),
    torque = mu z/(C A) times `overlap_moment_mm4`. Full contact gives the uniform-pressure torque
    of the clamp force, clear running nothing, and the torque never rises as the faces part.
    An upper estimate: the plates are taken as stiff and stuck at the worst turn, all faces alike;
    real ones give way, tilt with each other and touch once a turn. Rigid faces that touch in
    places give NaN: nothing limits the force between them but the plates' own flexing.
    Source: derived in docs/theory.md, "The clutch end".
    """
    gaps = 2 * faces.plates
    soft = np.asarray(faces.cushion_compliance / gaps + facing_compliance, float)
    apart = np.maximum(separation_mm, 0.0)

    def clamped_nmm(load_n: Values) -> Values:
        return uniform_pressure_torque_nmm(
            load_n, faces.friction, faces.outside_mm, faces.inside_mm, faces.friction_faces
        )

    area = np.pi / 4 * (faces.outside_mm**2 - faces.inside_mm**2)
    elastic = soft > 0
    layer = np.where(elastic, soft, 1.0)
    moment = overlap_moment_mm4(
        layer * clamp_n - apart / gaps,
        np.maximum(faces.needed_mm, 0.0) / gaps,
        faces.outside_mm,
        faces.inside_mm,
    )
    touching = faces.friction * faces.friction_faces * moment / (layer * area)
    clear = apart >= faces.needed_mm
    rigid = np.where(clamp_n > 0, clamped_nmm(clamp_n), np.where(clear, 0.0, np.nan))
    return np.where(elastic, np.minimum(touching, clamped_nmm(clamp_at_rest_n)), rigid)


def oil_film_torque_nmm(
    viscosity_mpa_s: Values,
    slip_rev_per_min: Values,
    gap_mm: Values,
    outside_mm: Values,
    inside_mm: Values,
    friction_faces: Values,
) -> Values:
    """Return the torque of oil that fills the gaps between parted faces [N mm].

    Notes
    -----
    Shear of a full film, T = z pi eta omega (R**4 - r**4)/(2 h). A bound for equal gaps filled
    with oil: a film that breaks up at speed carries less, gaps that are not equal carry more.
    Source: Newton's law of viscosity; derived in docs/theory.md, "The clutch end".
    """
    turning = slip_rev_per_min * 2 * np.pi / 60
    fourth = (outside_mm**4 - inside_mm**4) / 16
    shear = viscosity_mpa_s * _NEWTON_SECONDS_PER_MM2 * turning * np.pi / 2 * fourth
    with np.errstate(divide="ignore"):
        return friction_faces * shear / np.where(np.asarray(gap_mm) > 0, gap_mm, np.nan)
