"""Lines and outlines in a plane: how near two lines come, whether one crosses itself.

Points stand as complex numbers x + iy [mm], so that a turn is a product.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from liftgeo.parts.values import Values

Complex = NDArray[np.complex128]


def as_complex(points: ArrayLike) -> Complex:
    """Return points [x, y] of shape (..., 2) as complex numbers of shape (...)."""
    found = np.asarray(points, float)
    return np.asarray(found[..., 0] + 1j * found[..., 1])


def point_to_line_mm(points: Complex, start: Complex, end: Complex) -> Values:
    """Return the distance from points to the straight piece between two others [mm].

    All of shapes that broadcast; a piece of no length is a point.
    """
    piece, away = end - start, points - start
    square = np.abs(piece) ** 2
    share = np.real(np.conj(piece) * away) / np.where(square > 0, square, 1.0)
    return np.abs(away - np.clip(share, 0.0, 1.0) * piece)


def _turns(a: Complex, b: Complex, c: Complex) -> Values:
    """Return twice the area of a triangle, above 0 where it is counter-clockwise."""
    return np.imag(np.conj(b - a) * (c - a))


def cross(a: Complex, b: Complex, c: Complex, d: Complex) -> Values:
    """Return whether the pieces a-b and c-d cross, each between its ends."""
    return (_turns(a, b, c) * _turns(a, b, d) < 0) & (_turns(c, d, a) * _turns(c, d, b) < 0)


def pieces(points: Complex, *, closed: bool = False) -> tuple[Complex, Complex]:
    """Return starts and ends of the straight pieces of a line; a single point is one of them."""
    if closed:
        return points, np.roll(points, -1)
    return (points, points) if len(points) == 1 else (points[:-1], points[1:])


def lines_apart_mm(one: Complex, other: Complex, *, closed: bool = False) -> float:
    """Return the least distance between two lines, 0 where they cross [mm].

    Parameters
    ----------
    one, other : array
        Points of shape (K,) and (M,).
    closed : bool
        The other is an outline: it ends where it begins, and what lies inside touches it.
    """
    (a, b), (c, d) = pieces(one), pieces(other, closed=closed)
    if closed and inside(one[0], other):
        return 0.0
    if np.any(cross(a[:, None], b[:, None], c, d)):
        return 0.0
    near = (
        point_to_line_mm(one[:, None], c, d),
        point_to_line_mm(other[:, None], a, b),
    )
    return float(min(np.min(each) for each in near))


def inside(point: complex, outline: Complex) -> bool:
    """Return whether a point lies inside an outline: a ray from it crosses it an odd time."""
    start, end = pieces(outline, closed=True)
    spans = (start.imag > point.imag) != (end.imag > point.imag)
    rise = np.where(end.imag != start.imag, end.imag - start.imag, 1.0)
    at = start.real + (point.imag - start.imag) / rise * (end.real - start.real)
    return bool(np.count_nonzero(spans & (point.real < at)) % 2)


def first_crossing(points: Complex, *, closed: bool = False) -> tuple[int, int] | None:
    """Return two pieces of a line that meet though they are not neighbours, or None.

    Neighbours that fold back onto one another meet too.
    """
    start, end = pieces(points, closed=closed)
    count = len(start)
    onward = np.roll(end, -1) - end
    for k in range(count if closed else count - 1):
        along = np.conj(end[k] - start[k]) * onward[k]
        if along.real < 0 and abs(along.imag) <= 1e-9 * abs(along):
            return k, (k + 1) % count
    for k in range(count - 2):
        last = count - 1 if closed and k == 0 else count
        rest = slice(k + 2, last)
        ends = (
            point_to_line_mm(start[rest], start[k], end[k]),
            point_to_line_mm(end[rest], start[k], end[k]),
            point_to_line_mm(start[k], start[rest], end[rest]),
            point_to_line_mm(end[k], start[rest], end[rest]),
        )
        touch = np.min(np.stack(ends), axis=0) <= 1e-9 * np.max(np.abs(points))
        met = np.flatnonzero(cross(start[k], end[k], start[rest], end[rest]) | touch)
        if len(met):
            return k, k + 2 + int(met[0])
    return None
