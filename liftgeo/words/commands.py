"""Commands to paste: between backticks, for the file and the case that a page is about."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable

from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.quantities import DIMENSIONS
from liftgeo.words.offer_lines import in_inch_units

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
        As it was typed, in quotes where it needs them.
    changes : iterable of str
        Names of changes, or KEY=VALUE, laid over it.
    more : str
        What follows, as it is typed.
    """
    return f"`liftgeo {name} {file}{laid(changes)}{f' {more}' if more else ''}`"


def write_up(file: str, changes: Iterable[str] = ()) -> str:
    """Return the command that writes the page for the write-up."""
    return command("report", file, changes, "-o page.html")


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
