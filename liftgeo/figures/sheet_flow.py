"""What stands on the pages of a measuring sheet: items in groups, and how they fill the pages."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from liftgeo.figures.drawing_sheet import MARGIN_MM, Sheet
from liftgeo.words.sheet_lines import NOTES

_HEAD_PT, _HEAD_MM = 10.0, 6.0
_RULED_MM, _NOTES_HEAD_MM, _FEWEST_LINES = 8.0, 3.0, 3


class Put(Protocol):
    """Puts an item onto a sheet with its top at y, some millimetres taller than it must be."""

    def __call__(self, sheet: Sheet, y: float, more: float) -> None: ...  # noqa: D102


@dataclass(frozen=True)
class Item:
    """Something with a height [mm] that is put below what stands there already.

    `most_more` is how much taller it may grow where a page has room left.
    """

    tall: float
    put: Put
    most_more: float = 0.0


@dataclass
class Group:
    """Items that stay on one page, unless they are longer than one; its head is said again."""

    head: str
    items: list[Item] = field(default_factory=list)

    @property
    def tall(self) -> float:
        """Height of all its items [mm]."""
        return sum(item.tall for item in self.items)


@dataclass
class _Page:
    """One page being filled: its items, the head it goes on under, and the room left [mm]."""

    left: float
    head: str = ""
    items: list[Item] = field(default_factory=list)

    def add(self, item: Item) -> None:
        self.items.append(item)
        self.left -= item.tall


def flowed(groups: list[Group], size: tuple[float, float], bottom: float) -> list[Sheet]:
    """Put groups on as many sheets as they need, none torn apart that fits a page.

    What may grow takes up the room that a page has left, each alike.

    Parameters
    ----------
    groups : list of Group
    size : tuple of float
        Of the paper [mm].
    bottom : float
        Where the foot of a page begins, from its lower edge [mm].
    """
    top = size[1] - MARGIN_MM
    whole = top - bottom
    pages = [_Page(whole)]
    for group in groups:
        if group.tall > pages[-1].left and pages[-1].items:
            pages.append(_Page(whole))
        for item in group.items:
            if item.tall > pages[-1].left and pages[-1].items:
                pages.append(_Page(whole - _HEAD_MM, f"{group.head}, continued"))
            pages[-1].add(item)
    return [_set(page, size, top) for page in pages]


def _set(page: _Page, size: tuple[float, float], top: float) -> Sheet:
    """Put the items of a page onto a sheet."""
    sheet, y = Sheet(size), top
    if page.head:
        sheet.text(MARGIN_MM, top, page.head, _HEAD_PT, "bold")
        y -= _HEAD_MM
    taller = grown(page.items, page.left)
    for item, more in zip(page.items, taller, strict=True):
        item.put(sheet, y, more)
        y -= item.tall + more
    _notes(sheet, y, page.left - sum(taller))
    return sheet


def _notes(sheet: Sheet, y: float, room: float) -> None:
    """Rule what is left of a page for readings taken three times, and whatever else is seen."""
    lines = int((room - _NOTES_HEAD_MM) // _RULED_MM)
    if lines < _FEWEST_LINES:
        return
    sheet.text(MARGIN_MM, y - 1.0, NOTES)
    for k in range(1, lines + 1):
        at = y - _NOTES_HEAD_MM - k * _RULED_MM
        sheet.line((MARGIN_MM, sheet.size_mm[0] - MARGIN_MM), (at, at), linewidth=0.35)


def grown(items: list[Item], left: float) -> list[float]:
    """Return how much taller each item grows: alike, none above its most, no more than is left."""
    more = [0.0] * len(items)
    able = [k for k, item in enumerate(items) if item.most_more > 0]
    while able and left > 1e-6:
        share = left / len(able)
        first = min(able, key=lambda k: items[k].most_more)
        if items[first].most_more >= share:
            for k in able:
                more[k] = share
            break
        more[first] = items[first].most_more
        left -= more[first]
        able.remove(first)
    return more
