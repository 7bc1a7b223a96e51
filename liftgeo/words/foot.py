"""The words of a pedal: foot, pedal and floor in place of hand, lever and grip."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING

from liftgeo.mechanism.convert import by_foot

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism

_FOR_A_FOOT = {"hand": "foot", "lever": "pedal", "grip": "floor", "Hand": "Foot", "Lever": "Pedal"}
# Whole words alone: no part of a key (lever.hand_travel) or of a name (lever-rides), nor "at hand".
_WORD = re.compile(r"(?<![-.\w\[])(?<!at )(hand|lever|grip|Hand|Lever)(?![-\w\]]|\.\w)")


def as_worked(text: str, mechanism: Mechanism) -> str:
    """Return a text of ours in the words of what works the clutch: a hand, or a foot."""
    if not by_foot(mechanism.keys):
        return text
    parts = text.split("`")  # a command between backticks stays as it is typed
    parts[::2] = [_WORD.sub(lambda found: _FOR_A_FOOT[found[1]], part) for part in parts[::2]]
    return "`".join(parts)


def lines_as_worked(lines: Iterable[str], mechanism: Mechanism) -> list[str]:
    """Return lines of ours in the words of what works the clutch; a headline stays one."""
    return [type(line)(as_worked(line, mechanism)) for line in lines]
