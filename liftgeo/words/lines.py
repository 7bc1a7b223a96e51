"""Lines of a printed page: aligned columns, broken sentences, blocks with a blank line between."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence

from liftgeo.plain_text import one_line

__all__ = ["Headline", "columns", "headline", "listed", "noted", "one_line", "page", "wrapped"]


_COMMAND = re.compile(r"`[^`]*`")


class Headline(str):
    """A line that says the answer: whoever shows the page may make it stand out."""

    __slots__ = ()


def headline(text: str) -> list[str]:
    """Return the answer broken into lines that are marked as such."""
    return [Headline(line) for line in wrapped(text)]


def wrapped(text: str, width: int = 80, indent: str = "") -> list[str]:
    """Return text broken into lines; lines after the first are indented.

    A command between backticks stays whole, to be copied and pasted: one that is wider than the
    page has a line of its own, as wide as it is.
    """
    kept = re.sub(r"(\d) (?=[^\W\d])", "\\1\u00a0", text)  # a number stays with its unit
    kept = _COMMAND.sub(lambda found: found[0].replace(" ", "\u00a0"), kept)
    lines = textwrap.wrap(
        kept, width, subsequent_indent=indent, break_on_hyphens=False, break_long_words=False
    )
    return [
        part.replace("\u00a0", " ")
        for line in lines
        for part in (
            [line]
            if len(line) <= width or _COMMAND.search(line)
            else textwrap.wrap(line, width, subsequent_indent=indent, break_on_hyphens=False)
        )
    ]


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


def noted(lines: Sequence[str], notes: Sequence[str]) -> list[str]:
    """Return lines with a note behind each; an empty note leaves its line alone."""
    return [(line + note).rstrip() for line, note in zip(lines, notes, strict=True)]


def page(*blocks: Sequence[str]) -> list[str]:
    """Return the lines of a page: its blocks with a blank line between, empty ones left out."""
    lines: list[str] = []
    for block in blocks:
        if block:
            lines += ["", *block] if lines else block
    return lines


def listed(words: Iterable[str]) -> str:
    """Return names of the JSON as words, joined by commas."""
    return ", ".join(word.replace("-", " ") for word in words)
