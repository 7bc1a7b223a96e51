"""The number type of the physics: one float, or an array of them, through the same lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np

# A float or a NumPy array of floats. NumPy's own stubs describe what its functions return for
# such a union no more closely than this.
Values: TypeAlias = Any


def counts(value: Values) -> bool:
    """Return whether a term with this factor counts: False for the number 0, True for arrays."""
    return not (isinstance(value, float | int) and value == 0)


# One element of an outcome: () for one mechanism, (k,) for the k-th of many.
Index: TypeAlias = tuple[int, ...]


def rows_of(values: Sequence[Values], shape: tuple[int, ...]) -> Values:
    """Return values, each broadcast to a shape, as the rows of one array."""
    rows = np.empty((len(values), *shape))
    for row, value in enumerate(values):
        rows[row] = value
    return rows


def spread(value: Values, shape: tuple[int, ...]) -> Values:
    """Return a value in a shape it broadcasts to; as it is where it has that shape."""
    return value if np.shape(value) == shape else np.broadcast_to(value, shape)
