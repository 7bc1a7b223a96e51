"""A figure as bytes: the same figure gives the same bytes, whenever and wherever it is drawn."""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import Any

from matplotlib.figure import Figure

from liftgeo.errors import RequestError
from liftgeo.figures.style import drawing

DOTS_PER_INCH = 180

_METADATA: dict[str, dict[str, Any]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": "liftgeo"},
    "pdf": {"CreationDate": None, "Creator": "liftgeo", "Producer": None},
}


def render(figure: Figure, suffix: str) -> bytes:
    """Return a figure as the content of a file.

    Parameters
    ----------
    figure : Figure
        From any function of this folder.
    suffix : str
        ".png", ".svg" or ".pdf", with or without the dot.

    Raises
    ------
    RequestError
        Another suffix.
    """
    kind = suffix.lower().lstrip(".")
    if kind not in _METADATA:
        raise RequestError(f"A figure cannot be written as '{suffix}'. Use .png, .svg or .pdf.")
    content = io.BytesIO()
    with drawing():
        figure.canvas.print_figure(
            content, format=kind, dpi=DOTS_PER_INCH, metadata=_METADATA[kind]
        )
    return content.getvalue()


def render_pages(figures: Sequence[Figure]) -> bytes:
    """Return several figures as the content of one PDF, a page each."""
    from matplotlib.backends.backend_pdf import PdfPages

    content = io.BytesIO()
    with drawing(), PdfPages(content, metadata=_METADATA["pdf"]) as pages:
        for figure in figures:
            figure.canvas.print_figure(pages, format="pdf")
    return content.getvalue()
