"""Points read off a photograph, laid into the frame in which a file has shapes of its own."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.linalg import orthogonal_procrustes

from liftgeo.errors import GeometryError, RequestError
from liftgeo.files import read_text
from liftgeo.geometry_file import load, parsed
from liftgeo.mechanism.laying import flatten
from liftgeo.studies.drawn import drawn
from liftgeo.studies.trace import Traced

SHAPES = {"lever": ("lever.outline.", "grip."), "arm": ("arm.outline.", "casing.")}
"""Where a file has shapes in the frame of a part."""
_NAMES = ("pivot", "pin", "stop")


@dataclass(frozen=True)
class Laid:
    """How traced points were moved.

    Attributes
    ----------
    turned_deg : float
        By how much, against the clock.
    mirrored : bool
        Whether the photograph shows the part from its other side.
    apart_mm : float
        How far, at the most, pivot, pin and stop then lie from where the file had them [mm].
    """

    turned_deg: float
    mirrored: bool
    apart_mm: float


def into_frame(traced: Traced, file: str) -> tuple[Traced, Laid | None]:
    """Return traced points in the frame of a file's shapes, and how they were moved.

    As they are, and None, where the file has no shapes in the frame of the part.

    Raises
    ------
    RequestError
        The file has shapes, and too few numbers of the part to lay the points on.

    Notes
    -----
    The rotation, perhaps with a reflection, and the shift that bring pivot, pin and stop nearest to
    where the file has them, by least squares. Source: P. H. Schönemann, A generalized solution of
    the orthogonal Procrustes problem, Psychometrika 31 (1966) 1-10 (from memory), by SciPy.
    """
    keys = flatten(parsed(read_text(file), Path(file).name))
    if not any(key.startswith(SHAPES[traced.part]) for key in keys):
        return traced, None
    try:
        places = drawn(load(file), 0.0).positions[0].points
    except GeometryError as error:
        raise _cannot(traced.part, file) from error
    own = [places.get(f"{traced.part}_{name}") for name in _NAMES]
    if any(place is None for place in own):
        raise _cannot(traced.part, file)
    wanted = np.array(own, float)
    names = list(traced.points_mm)
    every = np.array([traced.points_mm[name] for name in names])
    common = np.array([traced.points_mm[name] for name in _NAMES])
    turn, _ = orthogonal_procrustes(common - common.mean(axis=0), wanted - wanted.mean(axis=0))
    moved = (every - common.mean(axis=0)) @ turn + wanted.mean(axis=0)
    at = dict(zip(names, moved, strict=True))
    apart = max(float(np.hypot(*(at[n] - w))) for n, w in zip(_NAMES, wanted, strict=True))
    laid = Laid(
        float(np.degrees(np.arctan2(turn[0, 1], turn[0, 0]))), np.linalg.det(turn) < 0, apart
    )
    points = {name: (float(x), float(y)) for name, (x, y) in at.items()}
    return replace(traced, points_mm=points), laid


def _cannot(part: str, file: str) -> RequestError:
    shapes = " and ".join(f"[{name.rstrip('.')}]" for name in SHAPES[part])
    return RequestError(
        f"{file} has shapes in the frame of the {part} ({shapes}), and not all that says where its "
        f"pivot, pin and cable stop lie in it: the points of a photograph cannot be laid among "
        f"them. Give the sides of the {part}'s triangle first, or trace into a file without shapes."
    )
