"""What every command prints with: JSON, tables, words on stdout and remarks on stderr."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from typing import Any

import typer

WORK_SAFELY = (
    "Work safely: unload the spring evenly before the cover comes off, and keep your face out of "
    "line with it. Treat dust from old facings as asbestos: never blow or dry-brush it. Keep "
    "fingers out of running parts. Weigh the spring, and check for slip under load on a stand, "
    "before the machine goes on the road. Local codes and licensed practice come first."
)


def say(text: str) -> None:
    """Print a remark to stderr, so that stdout holds the data alone."""
    typer.echo(text, err=True)


def as_typed(name: str) -> str:
    """Return the name of a file as a command takes it: in quotes where it holds a space."""
    return f'"{name}"' if any(c.isspace() or c in "&;()'" for c in name) else name


def print_json(data: Any) -> None:
    """Print data as JSON on stdout, numbers in full double precision and no NaN."""
    typer.echo(json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2))


def bold(text: str) -> str:
    """Return text that is bold on a terminal and plain elsewhere."""
    return typer.style(text, bold=True) if sys.stdout.isatty() else text


def fixed(value: float, digits: int) -> str:
    """Return a number with so many decimals, without a negative zero; a dash for NaN."""
    if value != value:
        return "-"
    text = f"{value:.{digits}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text


def columns(rows: Sequence[Sequence[str]], *, left: int = 1, gap: int = 2) -> list[str]:
    """Return rows as aligned lines: the first `left` columns to the left, others to the right."""
    if not rows:
        return []
    widths = [max(len(row[k]) for row in rows if k < len(row)) for k in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.ljust(widths[k]) if k < left else cell.rjust(widths[k])
            for k, cell in enumerate(row)
        ]
        lines.append((" " * gap).join(cells).rstrip())
    return lines


def wrapped(text: str, width: int = 80, indent: str = "") -> list[str]:
    """Return text broken into lines; lines after the first are indented."""
    import re
    import textwrap

    kept = re.sub(r"(\d) (?=[^\W\d])", "\\1\u00a0", text)  # a number stays with its unit
    lines = textwrap.wrap(kept, width, subsequent_indent=indent, break_on_hyphens=False)
    return [line.replace("\u00a0", " ") for line in lines]
