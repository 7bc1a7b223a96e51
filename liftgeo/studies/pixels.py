"""From pixels of a photograph to millimetres of the plane that the part lies in, and back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from liftgeo.cached import cached_property
from liftgeo.errors import RequestError

Points: TypeAlias = NDArray[np.float64]
"""Points [x, y], of shape (2,) or (N, 2)."""

_FLAT_SINE = 0.02
"""Sine of the flattest corner that is taken for one of a rectangle: some 1 deg."""


@dataclass(frozen=True, eq=False)
class PixelMap:
    """A map of a plane onto another that keeps straight lines straight.

    Parameters
    ----------
    matrix : array of shape (3, 3)
        Homogeneous: [x, y, 1] in pixels to [X, Y, W]; the point stands at X/W, Y/W [mm]. Pixels
        count from the upper left corner of the upright picture, y downwards; millimetres have y
        upwards.
    """

    matrix: NDArray[np.float64]

    @cached_property
    def _inverse(self) -> NDArray[np.float64]:
        return np.asarray(np.linalg.inv(self.matrix), np.float64)

    def to_mm(self, points_px: ArrayLike) -> Points:
        """Return points [mm] of points of the picture [pixels], shape (2,) or (N, 2)."""
        return _through(self.matrix, points_px)

    def to_px(self, points_mm: ArrayLike) -> Points:
        """Return points of the picture [pixels] of points [mm], shape (2,) or (N, 2)."""
        return _through(self._inverse, points_mm)

    def depth(self, points_px: ArrayLike) -> NDArray[np.float64]:
        """Return the homogeneous third number of points; it changes sign past the horizon."""
        found: NDArray[np.float64] = _homogeneous(points_px) @ self.matrix[2]
        return found

    def slopes(self, point_px: ArrayLike) -> NDArray[np.float64]:
        """Return the millimetres a pixel stands for at a point, to the right and downwards.

        Returns
        -------
        array of shape (2, 2)
            Columns: what one pixel in x and one in y move the point [mm].
        """
        x, y, w = self.matrix @ _homogeneous(point_px)
        place = np.array([x, y]) / w
        found: NDArray[np.float64] = (self.matrix[:2, :2] - np.outer(place, self.matrix[2, :2])) / w
        return found

    def scale_mm_per_px(self, point_px: ArrayLike) -> float:
        """Return the size of a pixel at a point [mm]: the root of the area it covers."""
        return float(np.sqrt(abs(np.linalg.det(self.slopes(point_px)))))

    def then(self, matrix: NDArray[np.float64]) -> PixelMap:
        """Return this map with another behind it."""
        return PixelMap(matrix @ self.matrix)

    def about(self, origin_px: ArrayLike) -> PixelMap:
        """Return the same map with its origin at a point of the picture [pixels]."""
        x, y = self.to_mm(origin_px)
        return self.then(np.array([[1.0, 0.0, -x], [0.0, 1.0, -y], [0.0, 0.0, 1.0]]))


def _homogeneous(points: ArrayLike) -> NDArray[np.float64]:
    plain = np.asarray(points, float)
    return np.concatenate([plain, np.ones((*plain.shape[:-1], 1))], axis=-1)


def _through(matrix: NDArray[np.float64], points: ArrayLike) -> Points:
    moved = _homogeneous(points) @ matrix.T
    found: Points = moved[..., :2] / moved[..., 2:]
    return found


def by_length(ends_px: ArrayLike, length_mm: float) -> PixelMap:
    """Return the map of a camera that looks square at the part, by two ends of a known length.

    Parameters
    ----------
    ends_px : array of shape (2, 2)
        The two ends [pixels].
    length_mm : float
        Their distance [mm].

    Notes
    -----
    x runs to the right as in the picture and y upwards, both by the same scale.
    """
    ends = np.asarray(ends_px, float)
    scale = length_mm / float(np.hypot(*(ends[1] - ends[0])))
    return PixelMap(np.diag([scale, -scale, 1.0]))


def by_rectangle(corners_px: ArrayLike, width_mm: float, height_mm: float) -> PixelMap:
    """Return the map of a tilted camera, by the four corners of a known rectangle.

    Parameters
    ----------
    corners_px : array of shape (4, 2)
        The corners in turn, either way round [pixels].
    width_mm, height_mm : float
        From the first corner to the second, and from the second to the third [mm].

    Raises
    ------
    RequestError
        The corners cross, lie in one line, or are no picture of a rectangle.

    Notes
    -----
    The axes run along the rectangle's edges: x along those that lie more to the right in the
    picture, y upwards. The picture is never mirrored.
    """
    corners = np.asarray(corners_px, float)
    turn = _way_round(corners)
    up = -turn * height_mm  # pixels count downwards: a positive turn is clockwise as seen
    size = np.array([[0.0, 0.0], [width_mm, 0.0], [width_mm, up], [0.0, up]])
    found = plane_transform(corners, size)
    right, _ = found.slopes(corners.mean(axis=0)).T
    quarters = round(float(np.arctan2(right[1], right[0])) / (np.pi / 2))
    cosine, sine = ((1, 0), (0, -1), (-1, 0), (0, 1))[quarters % 4]
    return found.then(np.array([[cosine, -sine, 0.0], [sine, cosine, 0.0], [0.0, 0.0, 1.0]]))


def _way_round(corners: Points) -> int:
    """Return +1 where the corners run clockwise as seen in the picture, else -1.

    Raises
    ------
    RequestError
    """
    edges = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(*edges.T)
    before = np.roll(edges, 1, axis=0)
    crosses = before[:, 0] * edges[:, 1] - before[:, 1] * edges[:, 0]
    if lengths.min() > 0:
        sines = crosses / (lengths * np.roll(lengths, 1))
        if np.abs(sines).min() >= _FLAT_SINE and abs(np.sign(sines).sum()) == 4:
            return int(np.sign(sines[0]))
        flat = int(np.argmin(np.abs(sines))) + 1
        if np.abs(sines).min() < _FLAT_SINE:
            raise RequestError(
                f"corner_{flat} lies in one line with its neighbours: no rectangle looks so. "
                "Mark the four corners of a rectangle, corner_1 to corner_4 in turn round it."
            )
    raise RequestError(
        "The corners cross: corner_1 to corner_4 go in turn round the rectangle, the way a pencil "
        "would draw it, and no edge crosses another."
    )


def plane_transform(from_points: ArrayLike, to_points: ArrayLike) -> PixelMap:
    """Return the map that takes four points of a plane, or more, to four of another.

    Parameters
    ----------
    from_points, to_points : array of shape (N, 2)
        At least four, no three of them in one line.

    Notes
    -----
    The direct linear transform: two equations a point, solved by singular values after each set is
    moved to its middle and brought to a mean distance of the root of two, which keeps the equations
    well conditioned.

    Source: R. I. Hartley, In defense of the eight-point algorithm, IEEE Transactions on Pattern
    Analysis and Machine Intelligence 19 (1997) 580, for the conditioning (from memory).
    """
    start, end = np.asarray(from_points, float), np.asarray(to_points, float)
    one, other = _conditioning(start), _conditioning(end)
    (x, y), (u, v) = _through(one, start).T, _through(other, end).T
    zero, unit = np.zeros_like(x), np.ones_like(x)
    rows = np.concatenate(
        [
            np.stack([x, y, unit, zero, zero, zero, -u * x, -u * y, -u], axis=-1),
            np.stack([zero, zero, zero, x, y, unit, -v * x, -v * y, -v], axis=-1),
        ]
    )
    solved = np.linalg.svd(rows)[2][-1].reshape(3, 3)
    matrix = np.linalg.inv(other) @ solved @ one
    return PixelMap(matrix / matrix[2, 2] if abs(matrix[2, 2]) > 1e-9 else matrix)


def _conditioning(points: Points) -> NDArray[np.float64]:
    """Return what moves points to their middle and to a mean distance of the root of two."""
    middle = points.mean(axis=0)
    scale = np.sqrt(2.0) / np.hypot(*(points - middle).T).mean()
    return np.array(
        [[scale, 0.0, -scale * middle[0]], [0.0, scale, -scale * middle[1]], [0.0, 0.0, 1.0]]
    )
