"""A table as CSV text, the same way for every result and study."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence


def csv_text(heads: Sequence[str], rows: Iterable[Iterable[str | float | None]]) -> str:
    """Return a table as CSV text: floats so that they read back exactly, unknown ones empty.

    Parameters
    ----------
    heads : sequence of str
        Names of the columns.
    rows : iterable of rows
        Cells; None, NaN and infinity are left empty.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows(map(_cell, row) for row in rows)
    return out.getvalue()


def _cell(value: str | float | None) -> str:
    if isinstance(value, float):
        return repr(float(value)) if math.isfinite(value) else ""
    return "" if value is None else str(value)
