"""The trade-off front: variants of which none is better in both clearance and peak effort."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.cautions.clutch_rules import SLIPS_BELOW
from liftgeo.studies.search import SEED
from liftgeo.studies.variants import FRONT_MEASURES, Table, Variants, joined
from liftgeo.studies.wants import FREES, Want

Array = NDArray[np.float64]

MOST_POINTS, MOST_SAMPLED, FEWER_CHILDREN = 80, 40, 6
PARENTS, CHILDREN, WIDTHS = 48, 20, (0.05, 0.015, 0.004)
OFFSPRING = PARENTS * CHILDREN * len(WIDTHS)
"""Variants that fill the front in, at the most."""
SAMPLED_OFFSPRING = PARENTS * FEWER_CHILDREN * len(WIDTHS)
"""The same where each takes samples."""


@dataclass(frozen=True)
class FrontPoint:
    """One variant of the front: its inputs, clearance per face [mm] and peak effort [N].

    `frees` is the share of clutches that free, where one is wanted.
    """

    values: dict[str, float]
    clearance_per_face_mm: float
    peak_hand_force_n: float
    frees: float | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data; without `frees` where none is wanted."""
        return {name: value for name, value in asdict(self).items() if value is not None}


def undominated(clearance: Array, peak: Array) -> NDArray[np.intp]:
    """Return the indices of the non-dominated variants, by falling clearance.

    A variant is dominated by one with no less clearance and no more effort, and better in one.
    """
    order = np.lexsort((peak, -clearance))
    lowest = np.concatenate([[np.inf], np.minimum.accumulate(peak[order])[:-1]])
    found: NDArray[np.intp] = order[peak[order] < lowest]
    return found


def _kept(table: Table, wants: Sequence[Want]) -> Table:
    """Return the variants that can be built, hold, and keep the wants on other things."""
    good = table.ok.copy()
    for want in wants:
        if want.measure not in FRONT_MEASURES:
            good &= want.margin_in(table.values) >= 0
    if "slip_margin" in table.values:  # what slips is no answer, however light it is
        good &= table.values["slip_margin"] >= SLIPS_BELOW
    return table.taken(good if good.any() else table.ok)


def _edge(table: Table) -> Table:
    clearance, peak = (table.values[name] for name in FRONT_MEASURES)
    return table.taken(undominated(clearance, peak))


def _thinned(table: Table, count: int) -> Table:
    """Return so many variants at most, evenly spread along the front, both ends among them."""
    if len(table.ok) <= count:
        return table
    clearance, peak = (table.values[name] for name in FRONT_MEASURES)
    across = np.abs(np.diff(clearance)) / max(np.ptp(clearance), 1e-12)
    up = np.abs(np.diff(peak)) / max(np.ptp(peak), 1e-12)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(across, up))])
    wanted = np.linspace(0.0, along[-1], count)
    return table.taken(np.unique(np.abs(along[:, None] - wanted).argmin(axis=0)))


def front_of(
    variants: Variants,
    wants: Sequence[Want],
    answer: Table | None,
    settled: Variants | None = None,
) -> list[FrontPoint]:
    """Return the front of all variants seen, filled in between by offspring of its points.

    Parameters
    ----------
    variants : Variants
        With what the search has seen.
    wants : sequence of Want
        Those on other things than clearance and peak effort are kept to, where any variant does.
    answer : Table or None
        The answer; where nothing beats it, it is among the points.
    settled : Variants, optional
        With more samples of each variant, or makeable values only: what is shown is judged by them.
    """
    sampled = variants.chances is not None
    random = np.random.default_rng(SEED)
    edge = _edge(_kept(joined(variants.seen), wants))
    for width in WIDTHS:
        parents = _thinned(edge, PARENTS).shares
        children = FEWER_CHILDREN if sampled else CHILDREN
        shape = (len(parents), children, parents.shape[1])
        cloud = parents[:, None, :] + random.normal(0.0, width, shape)
        still = random.uniform(size=shape) < (1 / 3 if shape[2] > 1 else 0.0)
        cloud = np.clip(np.where(still, parents[:, None, :], cloud), 0.0, 1.0)
        born = variants.evaluate(cloud.reshape(-1, shape[2]))
        edge = _edge(joined([edge, _kept(born, wants)]) if born.ok.any() else edge)
    shown = _thinned(edge, MOST_SAMPLED if sampled else MOST_POINTS)
    if settled is not None:
        shown = _edge(_kept(settled.evaluate(shown.shares, keep=False), wants))
    if answer is not None:
        shown = _edge(joined([shown, answer]))
    values = (settled or variants).inputs(shown.shares)
    clearance, peak = (shown.values[name] for name in FRONT_MEASURES)
    frees = shown.values.get(FREES)
    return [
        FrontPoint(
            {k: float(v[n]) for k, v in values.items()},
            float(clearance[n]),
            float(peak[n]),
            None if frees is None else float(frees[n]),
        )
        for n in range(len(shown.ok))
    ]
