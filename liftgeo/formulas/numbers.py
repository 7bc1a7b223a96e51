"""Numbers as the working writes them."""

from __future__ import annotations

import math


def six_figures(value: float) -> str:
    """Return a number to six figures, never in powers of ten, without trailing zeros."""
    if abs(value) < 5e-9:
        return "0"
    places = min(max(5 - math.floor(math.log10(abs(value))), 0), 8)
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def as_given(value: float) -> str:
    """Return a number of a file as it was given, up to ten figures."""
    text = f"{value:.10g}"
    return six_figures(value) if "e" in text else text
