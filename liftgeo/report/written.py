"""A write-up as a whole: its sections, and the files that they become."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from liftgeo.cached import cached_property
from liftgeo.figures.output import render
from liftgeo.plain_text import marks_escaped, one_line, printable
from liftgeo.report.blocks import Block, More, Moving, Picture, Row, Section
from liftgeo.report.facts import Facts, facts_of
from liftgeo.report.pictures import inline
from liftgeo.report.story import story
from liftgeo.web import environment
from liftgeo.words.report_page import UNTITLED_REPORT
from liftgeo.words.verdict import titled

if TYPE_CHECKING:
    from collections.abc import Iterator

    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.bench import Reading


@dataclass(frozen=True, eq=False)
class WriteUp:
    """One mechanism's write-up.

    Attributes
    ----------
    title : str
    sections : tuple of Section
        What it tells, whatever it is written in.
    facts : Facts
        What it was told from.
    """

    title: str
    sections: tuple[Section, ...]
    facts: Facts

    def html(self) -> str:
        """Return the page as one HTML file that refers to nothing outside itself."""
        drawings = {p.name: inline(p, self.facts.scene) for p in self.pictures}
        moving = self.facts.scene.moving()
        moving["marks"] = {name: d.marks for name, d in drawings.items() if d.marks}
        page = environment("liftgeo.report", html=True).get_template("page.html")
        return page.render(page=self, drawings=drawings, moving=moving) + "\n"

    def markdown(self, stem: str = "page") -> str:
        """Return the page as Markdown; its pictures are files that begin with `stem`."""
        plain = environment("liftgeo.report", html=False)
        plain.filters["md"] = _md
        made = plain.get_template("page.md").render(page=self, stem=stem)
        return "\n".join(line.rstrip() for line in made.strip().split("\n")) + "\n"

    def files(self, stem: str = "page") -> dict[str, bytes]:
        """Return the pictures that the Markdown names, as the content of files by name."""
        alone = [block for block in self._blocks if isinstance(block, Picture | Moving)]
        return {f"{stem}-{each.name}.png": render(each.whole(), ".png") for each in alone}

    @cached_property
    def pictures(self) -> tuple[Picture, ...]:
        """Every figure of the page."""
        return tuple(block for block in self._blocks if isinstance(block, Picture))

    @property
    def _blocks(self) -> Iterator[Block]:
        for section in self.sections:
            yield from _flat(section.blocks)

    def _repr_html_(self) -> str:
        return self.html()


def _flat(blocks: Sequence[Block]) -> Iterator[Block]:
    for block in blocks:
        if isinstance(block, More | Row):
            yield from _flat(block.blocks)
        else:
            yield block


def write_up(
    mechanism: Mechanism,
    changes: Sequence[str] = (),
    *,
    before: Sequence[Reading] = (),
    after: Sequence[Reading] = (),
    units: str = "metric",
    command: str = "",
    date: str = "",
) -> WriteUp:
    """Return the write-up of a mechanism.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`.
    changes : sequence of str
        Changes of its file that are laid over it; the write-up is then of the changed mechanism.
    before, after : sequence of Reading
        Readings from the bench before and after the changes were made, from
        `liftgeo.geometry_file.load_readings`; both or none.
    units : {"metric", "inch"}
        Units of texts, tables and figures.
    command, date : str
        What made it, and when, for its last lines.

    Raises
    ------
    RequestError
        A change that the file does not have, or a file that does not give the whole clutch.
    GeometryError
        A change that cannot be analysed.
    """
    facts = facts_of(
        mechanism,
        changes,
        before=before,
        after=after,
        units=units,
        command=command,
        date=date,
    )
    title = titled(one_line(facts.result.title) or UNTITLED_REPORT, facts.result.change)
    return WriteUp(title, tuple(story(facts)), facts)


def _md(text: str) -> str:
    return marks_escaped(printable(" ".join(text.split())))
