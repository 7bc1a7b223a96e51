"""How a page ends: where the rest is, and the cautions in two lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.safety import WORK_SAFELY
from liftgeo.words.lines import wrapped

if TYPE_CHECKING:
    from liftgeo.cautions import Warning


def last_lines(warnings: Sequence[Warning] = (), *, full: bool) -> list[str]:
    """Return how a page ends: what waits behind `--full`, and how to work safely."""
    notes = sum(warning.severity == "note" for warning in warnings)
    behind = {0: "", 1: " and a note"}.get(notes, f" and {notes} notes")
    rest = "" if full else f"`--full` prints the rest{behind}; "
    return [*wrapped(f"{rest}`liftgeo safety` says in full:"), *wrapped(WORK_SAFELY)]
