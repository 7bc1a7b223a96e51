"""The torque a clutch still carries at full lever: faces that touch in places, and cold oil."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from liftgeo.parts.faces import Faces, uniform_pressure_torque_nmm
from liftgeo.parts.values import Values

RUBS_BELOW = 0.01
"""Share of the capacity below which faces that touch are said to rub rather than to drag."""

MOVES_ABOVE = 0.05
"""Share of the capacity from which what is still carried may move the machine by itself.

Common practice, no source: hard level ground resists with some 0.02 of a machine's weight, and in
its lowest gear a clutch that holds its engine with some margin pushes with 0.4 of it or more.
"""

_FLAT_MM = 1e-12  # a smaller tilt is none

_MOST_STEPS = 60
_NEAR = 1e-9
"""A Newton step this short, over the tilt, leaves an error of its square."""

_NEWTON_SECONDS_PER_MM2 = 1e-9  # of one mPa s


class _Wedge(NamedTuple):
    """The overlap a - s r cos(phi) of a ring: how far it reaches all round, and where partly."""

    approach_mm: Values
    slope: Values
    inner: Values
    whole: Values
    outer: Values
    partly: Values

    def around(self, radius: Values) -> tuple[Values, Values, Values]:
        """Return x = s r, q = sqrt(x**2 - a**2), and half of where a circle overlaps [rad]."""
        a, x = self.approach_mm, self.slope * radius
        q = np.sqrt(np.maximum(x**2 - a**2, 0.0))
        return x, q, np.pi - np.arccos(np.minimum(np.maximum(a / x, -1.0), 1.0))


def _wedge(approach_mm: Values, tilt_mm: Values, outside_mm: Values, inside_mm: Values) -> _Wedge:
    outer, inner = outside_mm / 2, inside_mm / 2
    a = np.asarray(approach_mm, float)
    slope = np.asarray(tilt_mm / outer, float)
    tilted = slope * outer > _FLAT_MM
    s = np.where(tilted, slope, 1.0)
    reach = np.where(tilted, np.abs(a) / s, np.where(a > 0, np.inf, -np.inf))
    whole = np.minimum(np.maximum(reach, inner), outer)
    return _Wedge(a, s, inner, whole, outer, tilted & (whole < outer))


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
    ring = _wedge(approach_mm, tilt_mm, outside_mm, inside_mm)
    a, s, inner, whole, outer = ring.approach_mm, ring.slope, ring.inner, ring.whole, ring.outer
    all_round = np.where(a > 0, 2 * np.pi * a * (whole**3 - inner**3) / 3, 0.0)

    def antiderivative(radius: Values) -> Values:
        x, q, angle = ring.around(radius)
        part = x * q * (x**2 / 2 + a**2 / 12) + a**4 * np.log((x + q) / (s * outer)) / 12
        return 2 * a * radius**3 * angle / 3 + part / s**3

    partly = np.maximum(antiderivative(outer) - antiderivative(whole), 0.0)
    return all_round + np.where(ring.partly, partly, 0.0)


def overlap_volume_mm3(
    approach_mm: Values, tilt_mm: Values, outside_mm: Values, inside_mm: Values
) -> Values:
    """Return the integral of overlap over a ring, for a tilted plane face [mm3].

    Parameters
    ----------
    approach_mm, tilt_mm, outside_mm, inside_mm : float or array
        As of `overlap_moment_mm4`.

    Notes
    -----
    As there without the radius: a r**2 (pi - arccos u) + a**2 q/s**2 + 2 q**3/(3 s**2), and full
    contact pi a (R**2 - r**2). Source: derived in docs/theory.md, "The clutch end".
    """
    return _overlap(approach_mm, tilt_mm, outside_mm, inside_mm)[0]


def touching_area_mm2(
    approach_mm: Values, tilt_mm: Values, outside_mm: Values, inside_mm: Values
) -> Values:
    """Return the area over which a tilted plane face overlaps a ring [mm2].

    Parameters
    ----------
    approach_mm, tilt_mm, outside_mm, inside_mm : float or array
        As of `overlap_moment_mm4`.

    Notes
    -----
    The derivative of `overlap_volume_mm3` over the approach: r**2 (pi - arccos u) + a q/s**2, and
    full contact pi (R**2 - r**2). Source: derived in docs/theory.md, "The clutch end".
    """
    return _overlap(approach_mm, tilt_mm, outside_mm, inside_mm)[1]


def _overlap(
    approach_mm: Values, tilt_mm: Values, outside_mm: Values, inside_mm: Values
) -> tuple[Values, Values]:
    """Return volume and area of the overlap of a ring with a tilted plane face [mm3, mm2]."""
    ring = _wedge(approach_mm, tilt_mm, outside_mm, inside_mm)
    a, s, inner, whole, outer = ring.approach_mm, ring.slope, ring.inner, ring.whole, ring.outer
    all_round = np.where(a > 0, np.pi * (whole**2 - inner**2), 0.0)

    def antiderivatives(radius: Values) -> tuple[Values, Values]:
        _, q, angle = ring.around(radius)
        area = radius**2 * angle + a * q / s**2
        return a * area + 2 * q**3 / (3 * s**2), area

    volume, area = (
        np.where(ring.partly, np.maximum(high - low, 0.0), 0.0)
        for high, low in zip(antiderivatives(outer), antiderivatives(whole), strict=True)
    )
    return a * all_round + volume, all_round + area


def least_drag_torque_nmm(
    faces: Faces,
    clamp_n: Values,
    separation_mm: Values,
    facing_compliance: Values = 0.0,
    clamp_at_rest_n: Values = np.inf,
) -> Values:
    """Return the torque of faces that do not part everywhere, the tilt shared by all [N mm].

    Parameters
    ----------
    faces : Faces
        The pack; its needed separation, shared alike by the gaps, is the tilt of each pair.
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
    An estimate: the plates are taken as stiff and stuck at the worst turn; real ones give way,
    tilt with each other and touch once a turn. All faces alike is the sharing that carries least,
    `greatest_drag_torque_nmm` the one that carries most. Rigid faces that touch in places give
    NaN: nothing limits the force between them but the plates' own flexing.
    Source: derived in docs/theory.md, "The clutch end".
    """
    gaps = 2 * faces.plates
    soft = _softness(faces, facing_compliance)
    apart = np.maximum(separation_mm, 0.0)
    area = _area_mm2(faces)
    elastic = soft > 0
    layer = np.where(elastic, soft, 1.0)
    moment = overlap_moment_mm4(
        layer * clamp_n - apart / gaps,
        np.maximum(faces.needed_mm, 0.0) / gaps,
        faces.outside_mm,
        faces.inside_mm,
    )
    touching = faces.friction * faces.friction_faces * moment / (layer * area)
    rigid = _rigid_nmm(faces, clamp_n, apart)
    return np.where(elastic, np.minimum(touching, _clamped_nmm(faces, clamp_at_rest_n)), rigid)


def greatest_drag_torque_nmm(
    faces: Faces,
    clamp_n: Values,
    separation_mm: Values,
    facing_compliance: Values = 0.0,
    clamp_at_rest_n: Values = np.inf,
) -> Values:
    """Return the torque of faces that do not part everywhere, all tilt in one gap [N mm].

    Parameters
    ----------
    faces, clamp_n, separation_mm, facing_compliance, clamp_at_rest_n
        As of `least_drag_torque_nmm`.

    Notes
    -----
    The plates stand in a row and carry one axial force F (no friction on the splines, which would
    share it unevenly). One gap holds the whole tilt, the others lie flat: they press by C F each.
    The approaches add up, a + (2 n - 1) C F(a) = 2 n C N - separation with F = overlap/(C A);
    that is solved for a. Torque = mu times the touching gap's moment, and F on the other faces.
    An estimate as the other one is, on the side that carries more.
    Source: derived in docs/theory.md, "The clutch end".
    """
    gaps = 2 * faces.plates
    soft = _softness(faces, facing_compliance)
    apart = np.maximum(separation_mm, 0.0)
    elastic, area = soft > 0, _area_mm2(faces)
    layer = np.where(elastic, soft, 1.0)
    tilt = np.maximum(faces.needed_mm, 0.0)
    sizes = faces.outside_mm, faces.inside_mm
    closed, others = gaps * layer * clamp_n - apart, gaps - 1.0
    touches = closed > -tilt
    if not np.any(touches):
        return np.where(elastic, 0.0, _rigid_nmm(faces, clamp_n, apart))
    approach = _tilted_approach_mm(closed, tilt, others, faces)
    force = overlap_volume_mm3(approach, tilt, *sizes) / (layer * area)
    one = faces.friction * overlap_moment_mm4(approach, tilt, *sizes) / (layer * area)
    share = others / gaps
    faces_n = faces.friction_faces
    torque = faces_n * (one / gaps) + share * _clamped_nmm(faces, force)
    torque = np.where(touches, torque, 0.0)
    limited = np.minimum(torque, _clamped_nmm(faces, clamp_at_rest_n))
    return np.where(elastic, limited, _rigid_nmm(faces, clamp_n, apart))


def _tilted_approach_mm(closed_mm: Values, tilt_mm: Values, others: Values, faces: Faces) -> Values:
    """Return the approach a of the tilted gap [mm] at which a + others volume(a)/A = closed.

    The left side is convex and rises, and the volume is nowhere below that of flat faces: Newton
    steps from that side of the root come down to it. One that would go up has met rounding.
    """
    per_area = others / _area_mm2(faces)
    at = np.where(closed_mm > 0, closed_mm / (1 + others), closed_mm)
    found: Values = np.zeros(np.shape(at), bool)
    for _ in range(_MOST_STEPS):
        volume, area = _overlap(at, tilt_mm, faces.outside_mm, faces.inside_mm)
        step = (at + per_area * volume - closed_mm) / (1 + per_area * area)
        # One that is found stays, so that it is the same alone and among others.
        at = np.where(found, at, at - np.maximum(step, 0.0))
        found = found | ~(step > _NEAR * tilt_mm)
        if found.all():
            break
    return at


def _softness(faces: Faces, facing_compliance: Values) -> Values:
    """Return the compression of one face's layer per newton over its whole face [mm/N]."""
    return np.asarray(faces.cushion_compliance / (2 * faces.plates) + facing_compliance, float)


def _area_mm2(faces: Faces) -> Values:
    return np.pi / 4 * (faces.outside_mm**2 - faces.inside_mm**2)


def _clamped_nmm(faces: Faces, load_n: Values) -> Values:
    return uniform_pressure_torque_nmm(
        load_n, faces.friction, faces.outside_mm, faces.inside_mm, faces.friction_faces
    )


def _rigid_nmm(faces: Faces, clamp_n: Values, apart_mm: Values) -> Values:
    """Return the torque of faces that do not give; NaN where they touch in places."""
    clear = apart_mm >= faces.needed_mm
    return np.where(clamp_n > 0, _clamped_nmm(faces, clamp_n), np.where(clear, 0.0, np.nan))


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
