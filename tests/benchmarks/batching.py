"""One call of `liftgeo.batch`, for a signature with or without `answers` and `threads`."""

from __future__ import annotations

import inspect
from collections.abc import Mapping
from typing import Any

ANSWERS = ("full_lever", "peak")


def takes(name: str) -> bool:
    """Return whether `liftgeo.batch` has a parameter of that name."""
    import liftgeo

    return name in inspect.signature(liftgeo.batch).parameters


def batch(mechanism: Any, over: Mapping[str, Any], *, threads: int | None = None) -> Any:
    """Return many variants at once, with the answers the timings ask for."""
    import liftgeo

    words: dict[str, Any] = {"answers": ANSWERS, "threads": threads}
    return liftgeo.batch(mechanism, over, **{k: v for k, v in words.items() if takes(k)})


def three_answers(many: Any) -> tuple[Any, Any, Any]:
    """Return clearance per face [mm], peak hand force [N] and hand force at full lever [N]."""
    return many.clearance_per_face_mm, many.peak_hand_force_n, many.hand_force_n
