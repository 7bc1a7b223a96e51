"""Where a line with width that turns about a pivot first meets a line with width that stands.

Seen along the pivot, the blade of a lever is a line with width, and the grip a round (a bar seen
end on) or a line with width (a bar seen from its side). The two meet where their middle lines come
as near as half of both widths together. In a plane the least distance of two lines that do not
cross runs from a corner of one to a corner, or square to a straight piece, of the other: each such
pair is met at an angle in closed form, and the first of them is the contact.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from liftgeo.parts.plane import Complex, cross, pieces, point_to_line_mm
from liftgeo.parts.values import Values

_FULL_TURN = 2 * np.pi
_FOOT = 1e-9
"""How far beyond the end of a piece a foot may fall, as a share of the piece."""


def first_contact_rad(
    line: Complex, place: Complex, reach_mm: Values, pivot: Values, turning: Values = 1
) -> Values:
    """Return the angle by which a line must turn until it comes within a reach of another [rad].

    0 where it is as near at rest, NaN where it meets it on no turn below a half.

    Parameters
    ----------
    line, place : array
        Points x + iy of the line that turns, at rest, and of the one that stands; shapes (K,) and
        (M,). One point is a round.
    reach_mm : float or array
        Distance of the middle lines at the contact, of shape (N,) [mm].
    pivot : complex or array
        What the line turns about, of shape (N,).
    turning : {+1, -1} or array
        +1: counter-clockwise.

    Notes
    -----
    With p from the pivot to a corner of the line and q to one of the place, turned by phi they are
    reach c apart where cos(arg q - arg p - phi) = (|p|**2 + |q|**2 - c**2)/(2 |p||q|). A corner p
    stands c from a straight line through q along the unit vector u where
    |p| sin(phi + arg p - arg u) = Im(conj(u) q) +- c, and counts where its foot lies on the piece;
    so does a corner q and a piece of the line, turned the other way.
    Source: derived in docs/theory.md, "Blade and grip".
    """
    away = [np.asarray(x)[:, None] - np.reshape(pivot, -1) for x in (line, place)]
    turns = np.reshape(turning, -1) > 0
    moving, still = (np.where(turns, x, np.conj(x)) for x in away)
    reach = np.reshape(np.asarray(reach_mm, float), -1)
    shape = np.broadcast_shapes(*(np.shape(x) for x in (reach_mm, pivot, turning)))
    with np.errstate(all="ignore"):
        found = np.full(np.broadcast_shapes(moving.shape[1:], reach.shape), np.inf)
        for angle in _candidates(moving, still, reach):
            angle = np.mod(angle, _FULL_TURN)
            found = np.minimum(found, np.nanmin(np.where(np.isnan(angle), np.inf, angle), axis=0))
        near = apart_at_rest_mm(moving, still) - reach
        found = np.where(near <= 1e-12 * (reach + np.abs(moving).max(axis=0)), 0.0, found)
    return np.where(found < np.pi, found, np.nan).reshape(shape)


def apart_at_rest_mm(line: Complex, place: Complex) -> Values:
    """Return the least distance of two lines, 0 where they cross [mm]; shapes (K, N), (M, N)."""
    (a, b), (c, d) = pieces(line), pieces(place)
    found = [point_to_line_mm(one, c, d).min(axis=0) for one in line]
    found += [point_to_line_mm(one, a, b).min(axis=0) for one in place]
    apart = np.min(np.stack(np.broadcast_arrays(*found)), axis=0)
    crossing = cross(a[:, None], b[:, None], c, d).any(axis=(0, 1))
    return np.where(crossing, 0.0, apart)


def _candidates(line: Complex, place: Complex, reach: Values) -> Iterator[Values]:
    """Yield the angles at which a corner comes as near as the reach, NaN where none does."""
    for p in line:
        cosine = (np.abs(p) ** 2 + np.abs(place) ** 2 - reach**2) / (2 * np.abs(p) * np.abs(place))
        apart, half = np.angle(place) - np.angle(p), np.arccos(cosine)
        yield apart - half
        yield apart + half
    if len(place) > 1:
        start, end = pieces(place)
        for p in line:
            yield from _corner_to_piece(p, start, end, reach)
    if len(line) > 1:
        start, end = pieces(line)
        for q in place:
            for angle in _corner_to_piece(q, start, end, reach):
                yield -angle


def _corner_to_piece(p: Complex, start: Complex, end: Complex, reach: Values) -> Iterator[Values]:
    """Yield the angles by which a corner turns until it stands the reach beside a still piece."""
    length = np.abs(end - start)
    unit = (end - start) / length
    corner, foot = np.conj(unit) * p, np.conj(unit) * start
    for beside in (foot.imag + reach, foot.imag - reach):
        rise = np.arcsin(beside / np.abs(corner))
        for angle in (rise - np.angle(corner), np.pi - rise - np.angle(corner)):
            along = np.real(corner * np.exp(1j * angle)) - foot.real
            within = (along >= -_FOOT * length) & (along <= (1 + _FOOT) * length)
            yield np.where(within, angle, np.nan)
