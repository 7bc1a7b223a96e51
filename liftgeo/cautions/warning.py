"""A warning as a result carries it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Warning:
    """Something to look at: "stop", "caution" or "note"."""

    key: str
    severity: str
    message: str
