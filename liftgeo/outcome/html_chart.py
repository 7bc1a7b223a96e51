"""A chart as SVG for a notebook, from plain numbers: what a result shows below its table."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

WIDE, TALL = 340.0, 190.0
_LEFT, _RIGHT, _BOTTOM = 46.0, 8.0, 32.0
_LINE = 11.0
_MOST_TICKS = 5
_DASHES = ("", "6 3", "2 3", "8 3 2 3")


@dataclass(frozen=True)
class Curve:
    """Points to join by a line: a name, and numbers along x and y; unknown ones break it."""

    name: str
    x: Sequence[float]
    y: Sequence[float]


def html_chart(title: str, across: str, up: str, curves: Sequence[Curve]) -> str:
    """Return curves over common axes as SVG, everything in it escaped.

    Parameters
    ----------
    title, across, up : str
        What stands above it and along its axes.
    curves : sequence of Curve
        Told apart by their dashes, and named in the title where there are several. None with two
        numbers at least: no chart, an empty text.
    """
    from html import escape  # a notebook's business: the command line starts without it

    known = [c for c in curves if len(list(_known(c))) > 1]
    if not known:
        return ""
    top = 9.0 + _LINE * len(known)
    every = [point for c in known for point in _known(c)]
    low_x, high_x = _ends([x for x, _ in every])
    low_y, high_y = _ends([0.0, *(y for _, y in every)])

    def at_x(value: float) -> float:
        return _LEFT + (value - low_x) / (high_x - low_x) * (WIDE - _LEFT - _RIGHT)

    def at_y(value: float) -> float:
        return TALL - _BOTTOM - (value - low_y) / (high_y - low_y) * (TALL - top - _BOTTOM)

    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDE:.0f}" height="{TALL:.0f}" '
        f'viewBox="0 0 {WIDE:.0f} {TALL:.0f}" role="img" style="background:#fff" '
        f'font-family="sans-serif" font-size="10"><title>{escape(title)}</title>'
    ]
    for value in _ticks(low_x, high_x):
        x = at_x(value)
        parts.append(_line(x, top, x, TALL - _BOTTOM, "#ddd"))
        parts.append(_text(x, TALL - _BOTTOM + 12, f"{value:g}", "middle"))
    for value in _ticks(low_y, high_y):
        y = at_y(value)
        parts.append(_line(_LEFT, y, WIDE - _RIGHT, y, "#ddd"))
        parts.append(_text(_LEFT - 4, y + 3, f"{value:g}", "end"))
    for k, curve in enumerate(known):
        points = " ".join(f"{at_x(x):.1f},{at_y(y):.1f}" for x, y in _known(curve))
        dash = _DASHES[k % len(_DASHES)]
        parts.append(
            f'<polyline points="{points}" fill="none" stroke="#16324a" stroke-width="1.8" '
            f'stroke-dasharray="{dash}"><title>{escape(curve.name)}</title></polyline>'
        )
        parts.append(_text(WIDE - _RIGHT, 12 + _LINE * k, escape(_legend(curve.name, k)), "end"))
    parts.append(_text((_LEFT + WIDE - _RIGHT) / 2, TALL - 6, escape(across), "middle"))
    parts.append(_text(4, 12, escape(up), "start"))
    return "".join([*parts, "</svg>"])


def _legend(name: str, k: int) -> str:
    return f"{('——', '– –', '· ·', '–·–')[k % len(_DASHES)]} {name}"


def _known(curve: Curve) -> Iterator[tuple[float, float]]:
    for x, y in zip(curve.x, curve.y, strict=True):
        if math.isfinite(x) and math.isfinite(y):
            yield float(x), float(y)


def _ends(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    return (low, high) if high > low else (low, low + 1.0)


def _ticks(low: float, high: float) -> Iterator[float]:
    """Yield round numbers between two ends."""
    raw = (high - low) / _MOST_TICKS
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(k * power for k in (1, 2, 5, 10) if k * power >= raw)
    k = math.ceil(low / step - 1e-9)
    while k * step <= high + 1e-9 * step:
        yield float(f"{k * step:.6g}")
        k += 1


def _line(x1: float, y1: float, x2: float, y2: float, colour: str) -> str:
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="{colour}"/>'


def _text(x: float, y: float, text: str, anchor: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{text}</text>'
