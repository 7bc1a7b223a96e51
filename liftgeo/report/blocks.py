"""What a page is made of, whatever it is written in: sections of paragraphs, tables and pictures.

Every text here is plain: whoever writes it down escapes it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from liftgeo.web import Scene


@dataclass(frozen=True)
class Paragraph:
    """A paragraph; `tone` is "plain", "strong", "small", "stop" or "caution"."""

    text: str
    tone: str = "plain"
    block: str = "paragraph"


@dataclass(frozen=True)
class Points:
    """A list of short texts."""

    texts: tuple[str, ...]
    block: str = "points"


@dataclass(frozen=True)
class Grid:
    """A table: the first cell of a row names it; `numbers` are columns set to the right."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    block: str = "grid"


@dataclass(frozen=True, eq=False)
class Picture:
    """A figure with its caption.

    Attributes
    ----------
    name : str
        What a file of it is called.
    caption, alt : str
        What stands below it, and what is read out to somebody who does not see it.
    bare, whole : callable
        The figures for a page that says title and cautions itself and lays several side by side
        where there is room, and the one for a file that travels.
    tracked : str
        Column of the stroke that a mark follows as the lever moves; empty where none does.
    units : {"metric", "inch"}
        Units of its axes.
    """

    name: str
    caption: str
    alt: str
    bare: Callable[[], Sequence[Figure]]
    whole: Callable[[], Figure]
    tracked: str = ""
    units: str = "metric"
    block: str = "picture"


@dataclass(frozen=True, eq=False)
class Moving:
    """The mechanism to scale, moved by a slider where a page has a script.

    Attributes
    ----------
    scene : Scene
    caption, alt : str
    whole : callable
        The sheet of it for a file that travels.
    name : str
        What that file is called.
    """

    scene: Scene
    caption: str
    alt: str
    whole: Callable[[], Figure]
    name: str = "mechanism"
    block: str = "moving"


@dataclass(frozen=True, eq=False)
class Row:
    """Blocks that stand side by side where there is room."""

    blocks: tuple[Block, ...]
    block: str = "row"


@dataclass(frozen=True, eq=False)
class More:
    """Blocks that stand folded away until somebody asks for them."""

    summary: str
    blocks: tuple[Block, ...]
    block: str = "more"


Block: TypeAlias = Paragraph | Points | Grid | Picture | Moving | Row | More


@dataclass(frozen=True, eq=False)
class Section:
    """A heading and what stands below it."""

    title: str
    blocks: tuple[Block, ...]
