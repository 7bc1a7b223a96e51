"""A window in which the points of a part are clicked on its photograph."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backend_bases import KeyEvent, MouseButton, MouseEvent
from matplotlib.figure import Figure
from matplotlib.patheffects import AbstractPathEffect, withStroke
from numpy.typing import NDArray

from liftgeo.errors import RequestError
from liftgeo.figures.page import wrapped
from liftgeo.figures.style import INK, RUST, SMALL_PT, drawing
from liftgeo.studies.marks import Marks, as_marks
from liftgeo.words.trace_page import (
    KEYS,
    NO_SCREEN,
    WINDOW_CLOSED,
    prompt,
    screen_not_known,
    still_to_mark,
)

if TYPE_CHECKING:
    from liftgeo.figures.photograph import Photograph

SIZE_IN = (11.0, 8.0)
"""Size of the window [in]."""

_ZOOM = 1.4
_CLOSEST_PX = 12.0
_TOP, _BOTTOM = 0.115, 0.05
_EDGE_IN, _LINE_PT = 0.2, 10.0
_HALO: list[AbstractPathEffect] = [withStroke(linewidth=3.0, foreground="white")]


class Marking:
    """The points of a part, clicked in turn on its photograph; again and again for their ±.

    Parameters
    ----------
    figure : Figure
        An empty one, with the canvas whose events are heard.
    picture : array of shape (height, width, 3)
        The upright photograph, perhaps made smaller.
    size_px : (int, int)
        Width and height of the photograph itself, in whose pixels the marks are.
    names : sequence of str
        Names of the marks, in turn.
    part : {"lever", "arm"}
    check : callable, optional
        Raises RequestError for marks that are not taken.

    Attributes
    ----------
    clicks : list of (x, y)
        What was clicked, in turn through the names, round after round [pixels].
    finished : bool
        Whether somebody said that it is enough.
    """

    def __init__(
        self,
        figure: Figure,
        picture: NDArray[np.uint8],
        size_px: tuple[int, int],
        names: Sequence[str],
        part: str,
        check: Callable[[Marks], object] | None = None,
    ) -> None:
        self.figure, self.names, self.part = figure, tuple(names), part
        self._check = check
        self.clicks: list[tuple[float, float]] = []
        self.finished = False
        self._size, self._said = size_px, ""
        self._artists: list[Any] = []
        width, height = size_px
        with drawing():
            self.axes = figure.add_axes((0.01, _BOTTOM, 0.98, 1.0 - _TOP - _BOTTOM))
            self.axes.imshow(picture, extent=(-0.5, width - 0.5, height - 0.5, -0.5))
            self.axes.set_axis_off()
            self._head = figure.text(0.015, 0.985, "", fontsize=13, va="top", weight="bold")
            self._line = figure.text(0.015, 0.94, "", fontsize=_LINE_PT, va="top")
            figure.text(0.015, 0.012, KEYS, fontsize=SMALL_PT + 1, va="bottom")
        self._whole = (self.axes.get_xlim(), self.axes.get_ylim())
        figure.canvas.mpl_connect("button_press_event", self._clicked)
        figure.canvas.mpl_connect("scroll_event", self._scrolled)
        figure.canvas.mpl_connect("key_press_event", self._typed)
        self._show()

    @property
    def complete(self) -> bool:
        """Whether every point is marked at least once."""
        return len(self.clicks) >= len(self.names)

    def marks(self) -> Marks:
        """Return what was marked.

        Raises
        ------
        RequestError
            Two points at one pixel.
        """
        places: dict[str, list[tuple[float, float]]] = {}
        for k, place in enumerate(self.clicks):
            places.setdefault(self.names[k % len(self.names)], []).append(place)
        return as_marks(places, self._size)

    def undo(self) -> None:
        """Take the last mark back."""
        if self.clicks:
            self.clicks.pop()
        self._say("")

    def finish(self) -> None:
        """End, if every point is marked and no two of them at one place; else say what is amiss."""
        if not self.complete:
            return self._say(still_to_mark(self.names[len(self.clicks) :]))
        try:
            marks = self.marks()
            if self._check is not None:
                self._check(marks)
        except RequestError as error:
            return self._say(str(error))
        self.finished = True
        manager = self.figure.canvas.manager
        if manager is not None:
            manager.destroy()
        return None

    def _clicked(self, event: MouseEvent) -> None:
        toolbar = getattr(self.figure.canvas, "toolbar", None)
        if event.inaxes is not self.axes or str(getattr(toolbar, "mode", "")):
            return  # beside the picture, or while a tool of the window moves it
        if event.button == MouseButton.RIGHT:
            self.undo()
        elif event.button == MouseButton.LEFT and event.xdata is not None:
            assert event.ydata is not None
            width, height = self._size
            x, y = float(event.xdata), float(event.ydata)
            if -0.5 <= x <= width and -0.5 <= y <= height:
                self.clicks.append((x, y))
                self._say("")

    def _typed(self, event: KeyEvent) -> None:
        if event.key in ("u", "backspace", "ctrl+z", "delete"):
            self.undo()
        elif event.key in ("enter", "return"):
            self.finish()
        elif event.key in ("+", "=", "-"):
            self._zoom(_ZOOM if event.key == "-" else 1.0 / _ZOOM, event.xdata, event.ydata)
        elif event.key in ("a", "home"):
            self.axes.set_xlim(self._whole[0])
            self.axes.set_ylim(self._whole[1])
            self._show()

    def _scrolled(self, event: MouseEvent) -> None:
        if event.inaxes is self.axes:
            self._zoom(1.0 / _ZOOM if event.step > 0 else _ZOOM, event.xdata, event.ydata)

    def _zoom(self, factor: float, x: float | None, y: float | None) -> None:
        """Show more or less of the picture, the point under the pointer staying where it is."""
        (left, right), (bottom, top) = self.axes.get_xlim(), self.axes.get_ylim()
        x = 0.5 * (left + right) if x is None else x
        y = 0.5 * (bottom + top) if y is None else y
        if factor < 1 and abs(right - left) * factor < _CLOSEST_PX:
            return
        if factor > 1 and abs(right - left) * factor >= abs(self._whole[0][1] - self._whole[0][0]):
            (left, right), (bottom, top) = self._whole
            factor = 1.0
        self.axes.set_xlim(x + (left - x) * factor, x + (right - x) * factor)
        self.axes.set_ylim(y + (bottom - y) * factor, y + (top - y) * factor)
        self._show()

    def _say(self, text: str) -> None:
        self._said = text
        self._show()

    def _show(self) -> None:
        """Bring the words and the marks in line with the clicks."""
        head, line = prompt(self.part, self.names, len(self.clicks))
        self._head.set_text(head)
        wide = float(self.figure.get_figwidth()) - 2 * _EDGE_IN
        self._line.set_text("\n".join(wrapped(self._said or line, wide, _LINE_PT)))
        self._line.set_color(RUST if self._said else "black")
        for artist in self._artists:
            artist.remove()
        self._artists = []
        with drawing():
            for k, (x, y) in enumerate(self.clicks):
                cross = self.axes.plot(x, y, "+", color=INK, markersize=13, markeredgewidth=1.4)[0]
                cross.set_path_effects(_HALO)
                self._artists.append(cross)
                if k < len(self.names):
                    label = self.axes.annotate(
                        self.names[k],
                        (x, y),
                        (7, 5),
                        textcoords="offset points",
                        color=INK,
                        fontsize=10,
                        path_effects=_HALO,
                        annotation_clip=True,
                    )
                    self._artists.append(label)
        self.figure.canvas.draw_idle()


def mark_in_window(
    photograph: Photograph,
    names: Sequence[str],
    part: str,
    check: Callable[[Marks], object] | None = None,
    screen: str = "",
) -> Marks:
    """Open a window on a photograph, and return what is marked in it.

    Parameters
    ----------
    photograph : Photograph
    names : sequence of str
        Names of the marks, in turn.
    part : {"lever", "arm"}
    check : callable, optional
        Raises RequestError for marks that are not taken; the window then says why and stays.
    screen : str
        What matplotlib calls the library that opens the window; "" leaves it to matplotlib.

    Raises
    ------
    RequestError
        `screen` is not known, there is no screen, or the window was closed before every point
        was marked.
    FileError
        The photograph is damaged.
    """
    import matplotlib as mpl
    import matplotlib.pyplot as plt

    if screen:
        try:
            mpl.rcParams["backend"] = screen
        except ValueError:
            raise RequestError(screen_not_known(screen)) from None
    picture = photograph.pixels()
    try:
        figure = plt.figure(photograph.name, figsize=SIZE_IN)
    except Exception:  # a screen that is named but not there: each window library says it its way
        raise RequestError(NO_SCREEN) from None
    if figure.canvas.required_interactive_framework is None:  # it draws, and shows nothing
        plt.close(figure)
        raise RequestError(NO_SCREEN)
    manager = figure.canvas.manager
    if manager is not None and manager.key_press_handler_id is not None:
        figure.canvas.mpl_disconnect(manager.key_press_handler_id)  # u and a are ours
    window = Marking(figure, picture, photograph.size_px, names, part, check)
    plt.show()
    plt.close(figure)
    if not window.complete:
        raise RequestError(WINDOW_CLOSED + still_to_mark(names[len(window.clicks) :]))
    return window.marks()
