"""Lists of a file as somebody types them: "0, 5, 10"; "0, 0; -40, 22"; one outline a line."""

from __future__ import annotations

import re
import tomllib
from typing import Any

_BETWEEN_OUTLINES = re.compile(r"[\n|]")


def list_text(value: Any) -> str:
    """Return a list as a field shows it.

    Numbers stand between commas, points between semicolons, and each outline on a line of its own.
    """
    if not isinstance(value, list | tuple):
        return _one(value)
    if not any(isinstance(each, list | tuple) for each in value):
        return ", ".join(map(_one, value))
    if not any(isinstance(x, list | tuple) for each in value for x in each):
        return "; ".join(list_text(each) for each in value)
    return "\n".join(list_text(each) for each in value)


def list_typed(text: str, form: str) -> Any:
    """Return the list that a text means, as a file would say it.

    Parameters
    ----------
    text : str
        As `list_text` shows it, or as the file writes it, in brackets.
    form : {"list", "points"}
        Numbers, or points.

    Returns
    -------
    list or str
        The text itself where it is no list, so that whoever reads it says so.
    """
    plain = text.strip()
    if plain.startswith("["):
        try:
            return tomllib.loads(f"x = {plain}")["x"]
        except (tomllib.TOMLDecodeError, RecursionError):
            return plain
    if form == "list":
        return [_number(each) for each in re.split(r"[,;\n]", plain) if each.strip()]
    outlines = [line for line in _BETWEEN_OUTLINES.split(plain) if line.strip(" ;")]
    found = [_points(line) for line in outlines]
    return found[0] if len(found) == 1 else found


def _points(line: str) -> list[list[Any]]:
    each = [point.strip().strip("[]()") for point in line.split(";")]
    return [[_number(x) for x in point.split(",")] for point in each if point.strip()]


def _number(text: str) -> Any:
    """Return a plain number as a number, and all else as the text that it is."""
    plain = text.strip()
    try:
        number = float(plain)
    except ValueError:
        return plain
    if number != number or number in (float("inf"), float("-inf")):
        return plain
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _one(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:.0f}" if isinstance(value, float) and value.is_integer() else str(value)
