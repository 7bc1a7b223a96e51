"""The mechanism in motion, beside the curves of its stroke with a running mark."""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.animation import FFMpegWriter
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.figures.drawing_paper import box_of, lay_out, room_mm, scale_for
from liftgeo.figures.drawings import CELL_PAD
from liftgeo.figures.page import wrapped
from liftgeo.figures.shape_lines import HEAVY_PT, curve, plot_view
from liftgeo.figures.style import (
    GREY,
    INK,
    RUST,
    SMALL_PT,
    axes_for,
    axis_label,
    length,
    styled,
    titled,
)
from liftgeo.outcome.analysis import stroke
from liftgeo.outcome.results import Result, StrokeTable
from liftgeo.outline.shapes import View
from liftgeo.quantities import converted
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.studies.drawn import Drawn, frames
from liftgeo.words import drawing as words
from liftgeo.words.foot import as_worked
from liftgeo.words.numbers import travel_text
from liftgeo.words.verdict import full_title, warning_names

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism

SIZE_IN, DOTS_PER_INCH = (9.6, 5.8), 100
FRAME_S, HOLD_S = 0.06, 1.2
_FOOT_LINES = 3
_COLOURS = 64

_CURVES = (
    ("hand_force_n", "hand force", "force"),
    ("separation_mm", "faces parted", "length"),
    ("plate_lift_mm", "plate lift", "length"),
    ("rod_travel_mm", "rod travel", "length"),
    ("cable_pull_mm", "cable pull", "length"),
    ("arm_rotation_deg", "arm turned", "angle"),
)
"""Columns of the stroke, in the order in which they are worth a curve."""

Picture = NDArray[np.uint8]


@styled
def moving_picture(
    mechanism: Mechanism,
    ending: str,
    count: int = 60,
    *,
    units: str = "metric",
    advance: Callable[[int], None] | None = None,
) -> bytes:
    """Return a mechanism moving from rest to full lever, as the content of a file.

    Parameters
    ----------
    mechanism : Mechanism
    ending : {".gif", ".mp4"}
        What the file is to hold.
    count : int
        Pictures, evenly spread over the travel of the hand, 2 at least.
    units : {"metric", "inch"}
        Units of the curves.
    advance : callable, optional
        Told of each picture drawn.

    Raises
    ------
    RequestError
        Another ending, or a .mp4 where ffmpeg is not installed.
    """
    if ending.lower() not in (".gif", ".mp4"):
        raise RequestError(f"A moving picture cannot be written as '{ending}'. Use .gif or .mp4.")
    if ending.lower() == ".mp4" and not FFMpegWriter.isAvailable():
        raise RequestError(
            "An .mp4 needs ffmpeg, which is not installed here. Install it from your system's "
            "packages, or ask for a .gif."
        )
    drawn, result = frames(mechanism, count), stroke(mechanism)
    pictures = _pictures(drawn, result, units, advance)
    return _gif(pictures) if ending.lower() == ".gif" else _mp4(pictures)


def _pictures(
    drawn: Drawn, result: Result, units: str, advance: Callable[[int], None] | None
) -> list[Picture]:
    """Return the pictures, each of shape (height, width, 3): what moves drawn over what stays."""
    stage = Stage(drawn, result, units)
    found = []
    for k in range(len(drawn.positions)):
        found.append(stage.picture(k))
        if advance is not None:
            advance(1)
    return found


class Stage:
    """A figure whose moving parts are set anew for each position.

    Parameters
    ----------
    drawn : Drawn
        At the positions of the pictures.
    result : Result
        Its stroke, for the curves.
    units : {"metric", "inch"}
    """

    def __init__(self, drawn: Drawn, result: Result, units: str) -> None:
        self._drawn, self._units = drawn, units
        self.figure = Figure(figsize=SIZE_IN, dpi=DOTS_PER_INCH)
        self._canvas = FigureCanvasAgg(self.figure)
        self._views = [drawn.views(place) for place in drawn.positions]
        self._moving: list[tuple[Line2D, Callable[[int], tuple[Any, Any]]]] = []
        self._axes: list[tuple[Axes, Line2D]] = []
        self._head(result)
        names = [n for n in ("release", "plates") if n in self._views[0]]
        across = 0.36 if names else 0.52
        self._place("lever", (0.02, 0.5, across, 0.38))
        self._place("arm", (0.02, 0.13, across, 0.34))
        for k, name in enumerate(names):
            self._place(name, (0.4, 0.5 - 0.37 * k, 0.2, 0.38 - 0.04 * k))
        self._curves(result, 0.7 if names else 0.64)
        self._said = self.figure.text(0.02, 0.905, "", fontsize=SMALL_PT + 1, color=INK)
        self._still = self._canvas_of_what_stays()

    def _canvas_of_what_stays(self) -> Any:
        """Draw what stays, and return it."""
        canvas: Any = self._canvas
        canvas.draw()
        return canvas.copy_from_bbox(self.figure.bbox)

    def _head(self, result: Result) -> None:
        inside = SIZE_IN[0] * 0.96
        title = wrapped(full_title(result), inside, 11.0, "bold")[:1]
        self.figure.text(0.02, 0.985, title[0], fontsize=11.0, fontweight="bold", va="top")
        foot = [*wrapped(warning_names(result), inside, SMALL_PT)[:_FOOT_LINES]]
        foot = [line for line in [*foot, *wrapped(WORK_SAFELY_IN_BRIEF, inside, SMALL_PT)] if line]
        self.figure.text(0.02, 0.01, "\n".join(foot), fontsize=SMALL_PT, va="bottom")

    def _place(self, name: str, place: tuple[float, float, float, float]) -> None:
        """Place one view: what stays is drawn, what moves is kept to be set anew."""
        ax = self.figure.add_axes(place)
        views = [found[name] for found in self._views]
        box = box_of(views)
        pad = CELL_PAD._replace(top=6.0, bottom=2.0)
        lay_out(ax, box, scale_for(box, room_mm(ax), pad), pad)
        note = words.view_title(name, self._drawn.mechanism)
        if name == "plates" and self._drawn.magnified != 1.0:
            note += f", gaps {self._drawn.magnified:g} times"
        ax.text(0.0, 1.0, note, transform=ax.transAxes, va="top", fontsize=SMALL_PT, color=GREY)
        lines = plot_view(views[0], ax=ax, weight_pt=0.7 * HEAVY_PT, filled=("fixed",))
        for line in lines:
            self._keep(line, _shape_at(views, str(line.get_gid())))

    def _keep(self, line: Line2D, at: Callable[[int], tuple[Any, Any]]) -> None:
        line.set_animated(True)
        self._moving.append((line, at))

    def _curves(self, result: Result, left: float) -> None:
        """Draw two curves of the stroke, and the mark that runs along each."""
        table = result.stroke
        assert table is not None
        shown = [c for c in _CURVES if not np.all(np.isnan(getattr(table, c[0])))][:2]
        travels = [p.hand_travel_mm for p in self._drawn.positions]
        mechanism = self._drawn.mechanism
        for k, (column, name, dimension) in enumerate(shown):
            ax = axes_for(self.figure.add_axes((left, 0.57 - 0.37 * k, 0.96 - left, 0.27)))
            x, y = length(table.hand_travel_mm, self._units), _column(table, column)
            y = converted(y, dimension, self._units)
            ax.plot(x, y, color=INK, linewidth=1.8, gid=column)
            across = as_worked("hand travel", mechanism)
            titled(
                ax,
                as_worked(name, mechanism),
                axis_label(across, "length", self._units),
                axis_label(as_worked(name, mechanism), dimension, self._units),
            )
            if k == 0:
                ax.set_xlabel("")
            marks = (
                length(np.array(travels), self._units),
                np.interp(travels, table.hand_travel_mm, y),
            )
            (mark,) = ax.plot([], [], "o", color=RUST, markersize=7, zorder=5, gid="running mark")
            self._keep(mark, _running(*marks))

    def picture(self, k: int) -> Picture:
        """Return the picture of the k-th position, of shape (height, width, 3)."""
        canvas: Any = self._canvas  # matplotlib's stubs leave these untyped
        canvas.restore_region(self._still)
        for line, at in self._moving:
            line.set_data(*at(k))
            line.axes.draw_artist(line)  # type: ignore[union-attr]
        place = self._drawn.positions[k]
        apart = words.separation_text(place, self._units)
        said = f"hand {travel_text(place.hand_travel_mm, self._units)}"
        self._said.set_text(
            as_worked(said, self._drawn.mechanism) + (f", {apart}" if apart else "")
        )
        self._said.draw(canvas.get_renderer())
        found: Picture = np.asarray(canvas.buffer_rgba())[..., :3].copy()
        return found


def _running(
    across: NDArray[np.float64], up: NDArray[np.float64]
) -> Callable[[int], tuple[Any, Any]]:
    """Return what gives the place of a running mark at a position."""
    return lambda k: ([across[k]], [up[k]])


def _shape_at(views: Sequence[View], name: str) -> Callable[[int], tuple[Any, Any]]:
    """Return what gives the points of a shape at a position."""

    def at(k: int) -> tuple[Any, Any]:
        points = curve(views[k].named(name))
        return points[:, 0], points[:, 1]

    return at


def _column(table: StrokeTable, name: str) -> NDArray[np.float64]:
    found: NDArray[np.float64] = np.asarray(getattr(table, name), float)
    return found


def _gif(pictures: Sequence[Picture]) -> bytes:
    """Return pictures as a GIF that runs for ever and rests at its end, all of one palette."""
    from PIL import Image

    palette = Image.fromarray(pictures[-1]).quantize(_COLOURS)
    images = [
        Image.fromarray(picture).quantize(palette=palette, dither=Image.Dither.NONE)
        for picture in pictures
    ]
    durations = [round(1000 * FRAME_S)] * (len(images) - 1) + [round(1000 * HOLD_S)]
    content = io.BytesIO()
    images[0].save(
        content,
        format="GIF",
        save_all=True,
        append_images=images[1:],
        duration=durations,
        loop=0,
        optimize=False,
    )
    return content.getvalue()


def _mp4(pictures: Sequence[Picture]) -> bytes:
    """Return pictures as an MP4, by the ffmpeg that is installed; nothing touches the disk."""
    tall, wide = pictures[0].shape[:2]
    rate = round(1 / FRAME_S)
    words_of_it = [
        FFMpegWriter.bin_path(),
        *("-loglevel", "error", "-f", "rawvideo", "-pix_fmt", "rgb24"),
        *("-s", f"{wide}x{tall}", "-r", str(rate), "-i", "-"),
        *("-vf", "crop=trunc(iw/2)*2:trunc(ih/2)*2", "-pix_fmt", "yuv420p", "-bitexact"),
        *("-movflags", "frag_keyframe+empty_moov", "-f", "mp4", "-"),
    ]
    held = [*pictures, *[pictures[-1]] * round(HOLD_S / FRAME_S)]
    piped = subprocess.PIPE
    with subprocess.Popen(words_of_it, stdin=piped, stdout=piped, stderr=piped) as running:
        content, said = running.communicate(b"".join(p.tobytes() for p in held))
    if running.returncode or not content:
        line = "".join(said.decode("utf-8", "replace").strip().splitlines()[:1])
        raise RequestError(f"ffmpeg could not make the .mp4: {line} Ask for a .gif.")
    return content
