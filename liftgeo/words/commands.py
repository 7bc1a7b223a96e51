"""Commands to paste: between backticks, for the file and the case that a page is about."""

from __future__ import annotations

import math
import re
import shlex
from collections.abc import Iterable
from fractions import Fraction

from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.quantities import DIMENSIONS, converted, unit_of

_AS_IT_IS = re.compile(r"[\w@%+=:,./-]+")
_STEERS = re.compile(r"[\"$`\\!]")


def quoted(word: str) -> str:
    """Return a word as a shell takes it whole: in quotes where it holds more than a name."""
    if _AS_IT_IS.fullmatch(word):
        return word
    return shlex.quote(word) if _STEERS.search(word) else f'"{word}"'


def unbroken(text: str) -> str:
    """Return a text that no line breaks: what is typed as it stands."""
    return text.replace(" ", "\u00a0")


def file_alone(name: str) -> str:
    """Return the file of a name that may carry changes and units behind it."""
    mark = name[:1]
    if mark in ("'", '"') and mark in name[1:]:
        return name[: name.index(mark, 1) + 1]
    return name.split(" ")[0]


_LAID = re.compile(r" --change (?:\"[^\"]*\"|'[^']*'|\S+)")


def without_changes(name: str) -> str:
    """Return the file of a name without the changes behind it: for a command that takes none."""
    alone = file_alone(name)
    return alone + _LAID.sub("", name.removeprefix(alone))


def laid(changes: Iterable[str]) -> str:
    """Return changes as options of a command: " --change less-play --change longer-arm"."""
    return "".join(f" --change {quoted(change)}" for change in changes)


def command(name: str, file: str, changes: Iterable[str] = (), more: str = "") -> str:
    """Return a command to paste: "`liftgeo stroke my.toml --change less-play`".

    Parameters
    ----------
    name : str
        Of the command.
    file : str
        As it was typed, in quotes where it needs them, perhaps with changes and units behind it.
    changes : iterable of str
        Names of changes, or KEY=VALUE, laid over it.
    more : str
        What follows, as it is typed.
    """
    return f"`liftgeo {name} {file}{laid(changes)}{f' {more}' if more else ''}`"


def write_up(file: str, changes: Iterable[str] = ()) -> str:
    """Return the command that writes the page for the write-up."""
    return command("report", file, changes, "-o page.html")


def in_inch_units(value: float, dimension: str) -> str:
    """Return a value as an inch notebook has it: "1 23/32 in", "0.039 in", "38.9 lbf"."""
    number, unit = converted(value, dimension, "inch"), unit_of(dimension, "inch")
    parts = round(32 * number)
    if dimension == "length" and parts >= 8 and math.isclose(32 * number, parts, abs_tol=1e-6):
        whole, rest = divmod(Fraction(parts, 32), 1)
        number_text = " ".join(str(part) for part in (whole, rest) if part) or "0"
        return f"{number_text} {unit}"
    return f"{number:.4g} {unit}"


def number_to_lay(key: str, value: float, kind: str, units: str) -> str:
    """Return a number of one's own as a change takes it: "cable.free_play=1.2".

    Parameters
    ----------
    key : str
    value : float
        In the key's bare unit.
    kind : str
        Of the key's table.
    units : {"metric", "inch"}
    """
    dimension = dimension_of(key, kind)
    if units == "metric" or DIMENSIONS[dimension].inch_factor == 1.0:
        return f"{key}={value:.6g}"
    return f"{key}={in_inch_units(value, dimension)}"
