"""What to do first, for somebody who typed the name of the program alone."""

from __future__ import annotations

WHAT_IT_IS = "Why does the clutch drag, why is it heavy, and what would put it right?"

FIRST = (
    ("liftgeo stroke", "see it work, on the built-in example"),
    ("liftgeo new my-clutch", "begin a file of yours, or `liftgeo live`"),
    ("liftgeo stroke my-clutch.toml", "answer it, as far as it is filled in"),
)
"""What to type, and what comes of it, in order."""


def start_page() -> list[str]:
    """Return what the program is for, and the three steps to a first answer."""
    rows = [f"  {number}. {command}" for number, (command, _) in enumerate(FIRST, 1)]
    width = max(map(len, rows)) + 2
    steps = [f"{row:<{width}}{gain}" for row, (_, gain) in zip(rows, FIRST, strict=True)]
    return [WHAT_IT_IS, "", "First:", *steps]
