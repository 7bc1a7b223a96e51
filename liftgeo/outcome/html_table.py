"""A table as HTML for a notebook, the same way for every result and study."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TypeAlias

Cell: TypeAlias = str | float | None


def html_table(caption: str, rows: Iterable[Sequence[Cell]], heads: Sequence[str] = ()) -> str:
    """Return a table as HTML, everything in it escaped.

    Parameters
    ----------
    caption : str
        What stands above the table.
    rows : iterable of rows
        Cells: text, or numbers shown with four figures, unknown ones empty. The first of several
        names the row; a row of one cell is a heading across the table.
    heads : sequence of str
        Names of the columns.
    """
    lines = [f"<table><caption>{_escaped(caption)}</caption>"]
    if heads:
        lines.append("<tr>" + "".join(f"<th>{_escaped(head)}</th>" for head in heads) + "</tr>")
    rows = [list(row) for row in rows]
    across = max([len(heads), *map(len, rows)])
    lines += [_row(row, across) for row in rows]
    return "\n".join([*lines, "</table>"])


def _escaped(text: str) -> str:
    from html import escape  # a notebook's business: the command line starts without it

    return escape(text)


def _row(row: Sequence[Cell], across: int) -> str:
    first, *rest = (_escaped(_shown(cell)) for cell in row)
    if not rest:
        return f'<tr><th colspan="{across}">{first}</th></tr>'
    cells = "".join(f"<td>{cell}</td>" for cell in rest)
    return f"<tr><th style='text-align:left'>{first}</th>{cells}</tr>"


def _shown(cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str | int):
        return str(cell)
    return f"{float(cell):.4g}" if math.isfinite(cell) else ""
