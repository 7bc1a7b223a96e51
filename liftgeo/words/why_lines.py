"""Why each change of a comparison does what it does, in a line; and all that it brings with it."""

from __future__ import annotations

import re
from textwrap import shorten
from typing import TYPE_CHECKING

from liftgeo.mechanism.consequence import consequence
from liftgeo.words.follow_lines import follow_text
from liftgeo.words.foot import as_worked
from liftgeo.words.lines import one_line, wrapped
from liftgeo.words.names import AS_IT_STANDS
from liftgeo.words.numbers import fixed

if TYPE_CHECKING:
    from liftgeo.studies.compare import Compared, Comparison

_WIDTH = 80
_LONGEST_LABEL = 44
_SHORTEST = 12
"""What is cut shorter than this says nothing."""


def short_name(case: Compared) -> str:
    """Return the names of a variant, the first of them only where they are many."""
    if len(case.label) <= _LONGEST_LABEL:
        return case.label or AS_IT_STANDS
    more = f" + {len(case.names) - 1} more" if len(case.names) > 1 else ""
    return f"{one_line(case.names[0])}{more}"


def reason_lines(found: Comparison, units: str) -> list[str]:
    """Return why each change does what it does, and what it brings with it as far as a line goes.

    All of it is told by `each_lines`.
    """
    lines = ["Why"]
    for case in found.variants:
        name, reason = short_name(case), as_worked(case.reason, case.mechanism)
        follows = as_worked(follow_text(consequence(case.mechanism), units), case.mechanism)
        without = re.sub(r" \(was [^)]*\)", "", follows)
        safety = bearing_words(found.base, case).partition(": ")[2]
        note = one_line(case.note) if len(case.names) == 1 else ""
        text = f"  {name}: {safety or reason}"
        room = _WIDTH - len(text)
        cut = shorten(note, room - 3, placeholder=" ...") if room > _SHORTEST else ""
        more = [f"; {follows}" * bool(follows), f"; {without}" * bool(follows), f" ({cut})"]
        text += next((m for m in more if len(m) <= room and len(m) > _SHORTEST), "")
        lines += wrapped(text, indent="    ")
    return lines


def each_lines(found: Comparison, units: str) -> list[str]:
    """Return what each change is by its note, what it holds, and what follows from it."""
    lines = []
    for case in found.variants:
        note = one_line(case.note) if case.note and len(case.names) == 1 else ""
        follows = as_worked(follow_text(consequence(case.mechanism), units), case.mechanism)
        bearing = bearing_words(found.base, case)
        parts = [part for part in (note, follows, bearing) if part]
        if parts:
            lines += wrapped(f"  {short_name(case)}: {'; '.join(parts)}", indent="    ")
    return ["Each change, what it holds and what follows", *lines] if lines else []


def bearing_words(base: Compared, case: Compared) -> str:
    """Return what another bearing does, side by side; nothing where the bearing is the same."""
    before, after = (
        {k: v for k, v in c.mechanism.keys.items() if k.startswith("bearing.")}
        for c in (base, case)
    )
    if before == after:
        return ""
    old, new = base.result.bearing, case.result.bearing
    kinds = f"{before.get('bearing.kind', 'none')} to {after.get('bearing.kind', 'none')}"
    return (
        f"bearing, {kinds}: static safety {fixed(old.static_safety, 1)} to "
        f"{fixed(new.static_safety, 1)}, life {fixed(old.life_h, 0)} to {fixed(new.life_h, 0)} h"
    )
