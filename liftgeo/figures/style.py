"""One look for every figure, without touching anybody else's matplotlib settings.

Every line has a dash pattern or a marker of its own and every area a hatch of its own, so that a
figure says the same on a grey printer.
"""

from __future__ import annotations

import functools
import threading
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, ParamSpec, TypeVar

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from liftgeo.quantities import converted, unit_of

P = ParamSpec("P")
R = TypeVar("R")

INK, RUST, GREY, PALE = "#16324a", "#b0512b", "#5f5f5f", "#e4e4e4"

STYLE: dict[str, Any] = {
    "font.family": ["DejaVu Sans"],
    "font.size": 9.0,
    "axes.titlesize": 10.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": 9.0,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.formatter.useoffset": False,
    "grid.color": "#dcdcdc",
    "grid.linewidth": 0.5,
    "xtick.labelsize": 8.5,
    "ytick.labelsize": 8.5,
    "legend.fontsize": 8.5,
    "legend.frameon": False,
    "hatch.linewidth": 0.6,
    "lines.linewidth": 1.8,
    "lines.markersize": 6.5,
    "text.parse_math": False,  # a title with a dollar sign is a title, not a formula
    "figure.facecolor": "white",
    "savefig.facecolor": "white",
    "pdf.fonttype": 42,
    "svg.fonttype": "path",
    "svg.hashsalt": "liftgeo",
}
"""The style: matplotlib settings that hold while a figure is drawn, and only then."""

SMALL_PT = 8.0
"""Smallest text in any figure [pt]."""
DRAWING_PT = 8.5
"""Smallest text of a sheet of A4 [pt]: 6 where it is printed on A5."""

SINGLE_IN = (6.3, 3.9)
"""Size of a figure of one plot: the width of a page's text [in]."""

PULLING: dict[str, Any] = {"color": INK, "linestyle": "-", "linewidth": 2.0}
BACK: dict[str, Any] = {"color": RUST, "linestyle": (0, (5, 2)), "linewidth": 1.6}
SECOND: dict[str, Any] = {"color": RUST, "linestyle": (0, (5, 2)), "linewidth": 1.6}
TURNING: dict[str, Any] = {"color": RUST, "linestyle": (0, (1, 1.4)), "linewidth": 1.3}
JUMP: dict[str, Any] = {"color": INK, "linestyle": (0, (1, 1.2)), "linewidth": 2.0}
TARGET: dict[str, Any] = {"color": GREY, "linestyle": (0, (7, 2, 1.5, 2)), "linewidth": 0.9}
FLOOR: dict[str, Any] = {"color": GREY, "linestyle": (0, (1, 2)), "linewidth": 0.9}
EVENT: dict[str, Any] = {"color": GREY, "linestyle": (0, (3, 2)), "linewidth": 0.8}
BAND: dict[str, Any] = {"facecolor": "#c3cfd7", "edgecolor": "#8fa1ad", "linewidth": 0.6}
"""Where 90 clutches in 100 measured alike lie; light, behind everything else."""
ZERO: dict[str, Any] = {"color": "black", "linestyle": "-", "linewidth": 0.8}

_DASHES: tuple[Any, ...] = (
    "-",
    (0, (6, 2)),
    (0, (1.2, 1.6)),
    (0, (7, 2, 1.5, 2)),
)
_MARKERS = ("o", "s", "^", "D", "v", "P", "X")
_TONES = (INK, RUST, "#3f7f6d", "#6a5f8c")

_GROUPS: tuple[str, ...] = (
    "axes",
    "figure",
    "font",
    "grid",
    "hatch",
    "legend",
    "lines",
    "patch",
    "path",
)
_GROUPS += ("pdf", "savefig", "svg", "text", "xtick", "ytick")
_SETTINGS: Any = {
    key: matplotlib.rcParamsDefault[key]
    for group in _GROUPS
    for key in matplotlib.rcParamsDefault.find_all(rf"^{group}\.")
} | STYLE
_LOCK = threading.RLock()
_depth = threading.local()


@contextmanager
def drawing() -> Iterator[None]:
    """Hold the style while drawing; matplotlib's settings come back as they were.

    The settings belong to the whole process, so one thread draws at a time.
    """
    with _LOCK:
        if getattr(_depth, "inside", False):
            yield
            return
        _depth.inside = True
        try:
            with matplotlib.rc_context(_SETTINGS), warnings.catch_warnings():
                # A title may hold a character the font lacks; it shows as a box, which says enough.
                warnings.filterwarnings("ignore", message="Glyph .* missing from")
                yield
        finally:
            _depth.inside = False


def styled(draws: Callable[P, R]) -> Callable[P, R]:
    """Return a function that draws in the style."""

    @functools.wraps(draws)
    def inner(*args: P.args, **kwargs: P.kwargs) -> R:
        with drawing():
            return draws(*args, **kwargs)

    return inner


def look(index: int) -> dict[str, Any]:
    """Return the line of the n-th of several curves; dash and marker tell 32 of them apart."""
    dashes, later = len(_DASHES), index - len(_DASHES)
    marker = _MARKERS[later % len(_MARKERS)] if later >= 0 else "None"
    return {
        "color": _TONES[index % dashes],
        "linestyle": _DASHES[index % dashes],
        "linewidth": 1.7,
        "marker": marker,
        "markersize": 5.0,
        "markevery": 0.12,
        "markerfacecolor": "white",
    }


def look_of(index: int) -> dict[str, Any]:
    """Return the line of the n-th of several variants; the first, the stock one, lies over all."""
    over: dict[str, Any] = {"linewidth": 3.2, "zorder": 3.5} if index == 0 else {}
    return look(index) | over


def axes_for(ax: Axes | None, size_in: tuple[float, float] = SINGLE_IN) -> Axes:
    """Return the given Axes, or those of a new figure, dressed in the style."""
    if ax is None:
        ax = Figure(figsize=size_in, layout="constrained").add_subplot()
    ax.spines[["top", "right"]].set_visible(False)
    ax.spines[["left", "bottom"]].set_linewidth(STYLE["axes.linewidth"])
    ax.grid(True, color=STYLE["grid.color"], linewidth=STYLE["grid.linewidth"])
    ax.set_axisbelow(True)
    ax.tick_params(labelsize=STYLE["xtick.labelsize"])
    return ax


def titled(ax: Axes, title: str, across: str, up: str) -> None:
    """Give Axes a title and the names of both axes."""
    size, label = STYLE["axes.titlesize"], STYLE["axes.labelsize"]
    ax.set_title(title, loc="left", fontsize=size, fontweight="bold")
    ax.set_xlabel(across, fontsize=label)
    ax.set_ylabel(up, fontsize=label)


def axis_label(name: str, dimension: str, units: str) -> str:
    """Return the name of an axis with its unit: "hand travel (mm)"."""
    unit = unit_of(dimension, units)
    if not unit:
        return f"{name} (ratio, no unit)"
    return f"{name} ({unit})"


def length(values: Any, units: str) -> Any:
    """Return lengths [mm] in the unit of the figure."""
    return converted(values, "length", units)


def force(values: Any, units: str) -> Any:
    """Return forces [N] in the unit of the figure."""
    return converted(values, "force", units)
