"""The number type of the physics: one float, or an array of them, through the same lines."""

from __future__ import annotations

from typing import Any, TypeAlias

# A float or a NumPy array of floats. NumPy's own stubs describe what its functions return for
# such a union no more closely than this.
Values: TypeAlias = Any
