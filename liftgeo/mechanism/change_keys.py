"""Keys of a change that are not keys of the mechanism: on what terms it is to be had."""

from __future__ import annotations

AMOUNTS = {
    "cost": "what it costs, in your own money; 0 where it is free",
    "hours": "hours of work it takes",
}
NAMES = {
    "needs": "names of changes that must be made with it",
    "excludes": "names of changes that cannot be made with it",
}
TERMS = (*AMOUNTS, *NAMES)
"""Keys of a change beside its note and the keys it lays over the file."""
