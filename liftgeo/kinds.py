"""The kinds of each table of a geometry file by name, for whoever only needs the names."""

from __future__ import annotations

KINDS: dict[str, tuple[str, ...]] = {
    "lever": ("pin", "drum", "profile"),
    "arm": ("pin", "drum", "profile"),
    "release": ("ball-ramp", "quick-thread", "rack", "crank", "eccentric", "profile"),
    "spring": ("coned-disc", "coils", "table"),
    "bearing": ("deep-groove", "angular-contact"),
}
"""In the order in which they are offered; a starter file has the first where nothing is said."""
