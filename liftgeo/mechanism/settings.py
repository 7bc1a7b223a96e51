"""How a file wants what it leaves out to be taken: words at its top."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from liftgeo.errors import Fault, RequestError, nearest
from liftgeo.mechanism.reading import value_text
from liftgeo.mechanism.usual import CONDITIONS, LEFT_OUT


@dataclass(frozen=True, eq=False, repr=False)
class Settings:
    """How what is left out is taken: condition, rule, and the kinds of machine (None: its own)."""

    condition: str = "used"
    left_out: str = "usual"
    machine: tuple[str, ...] | None = None


def settings_of(document: Mapping[str, Any], left_out: str | None) -> tuple[Settings, list[Fault]]:
    """Return how what is left out is taken, and the faults of the words that say it."""
    faults = []
    words = {"condition": "used", "left_out": left_out or "usual"}
    for name, known in (("condition", CONDITIONS), ("left_out", LEFT_OUT)):
        given = document.get(name, "")
        if given == "" or (name == "left_out" and left_out is not None):
            continue
        if given in known:
            words[name] = given
            continue
        near = nearest(str(given), known)
        hint = f' Did you mean "{near}"?' if near else ""
        options = ", ".join(f'"{word}"' for word in known)
        problem = "Not a known word."
        faults.append(Fault(name, value_text(given), problem, f"One of {options}.{hint}"))
    if words["left_out"] not in LEFT_OUT:
        options = " or ".join(LEFT_OUT)
        raise RequestError(f"left_out = {words['left_out']} is not known. Choose {options}.")
    return Settings(words["condition"], words["left_out"]), faults
