"""What a measuring sheet says beside its numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.quantities import unit_of
from liftgeo.words.drawing import SPRING_WORDS, UNIT_WORDS
from liftgeo.words.undrawn import NO_LETTER, NOT_IN_VIEW

if TYPE_CHECKING:
    from liftgeo.words.measuring_sheet import Asked, Block, Row

READINGS = (
    "More readings, for `liftgeo diagnose FILE --readings readings.csv` (`liftgeo sheet --readings "
    "readings.csv` writes that table to type into). Pull slowly to a place, read there; then let "
    "back slowly and read again. Separation: feeler, lever wedged."
)

NOTES = "Notes: each number three times, what is worn, what was hard to reach"
"""Over the ruled lines of a page with room left."""


def opening(asked: Asked, units: str) -> list[str]:
    """Return how the sheet is filled in, and what stands on it already."""
    said = [
        "Write each number with what it may be out by 19 times in 20, as 26.0 ± 0.2; a range will "
        "do, as 1 to 3. Take it three times. What you cannot measure, leave blank: it is taken as "
        "usual. Letters stand on the drawings. How well: common practice, no source. " + NO_LETTER,
        "Afterwards type the numbers under the same keys into the file that `liftgeo new` writes, "
        "or into the page of `liftgeo live`.",
    ]
    if units == "inch":
        said[1] += ' A bare number there is mm: type the unit with it, as "1.063 in".'
    if asked.mechanism is None:
        said.append("The drawings are of invented sizes: not to the scale of your machine.")
    else:
        said.append("Numbers that stand here already are those of the file.")
    return said


LEVER_LINES = "heavy lines: at rest, as it is measured; thin ones: at full lever"
"""What the two weights of line of a lever stand for."""


def block_head(block: Block) -> str:
    """Return the heading of a part with its table in the file: 'Arm on the casing  [arm] kind'."""
    kind = f', kind = "{block.kind}"' if block.kind else ""
    return f"{block.heading}:  [{block.table}]{kind}"


def drawing_notes(block: Block, from_file: bool) -> list[str]:
    """Return what stands beside a drawing: what it shows, of which sizes, what can hurt."""
    shows = {
        "release": UNIT_WORDS.get(block.kind, ""),
        "spring": SPRING_WORDS.get(block.kind, ""),
        "faces": "half a section, the axis below; dots: where the gauge stands",
        "cable": "a sign, not to scale; add up every bend like the one shown",
        "rod": "a sign, not to scale, its play wide open",
    }.get(block.table, LEVER_LINES if block.table == "lever" else "")
    if (block.table, block.kind) == ("release", "quick-thread"):
        shows = "one turn of the thread, laid out flat"
    if block.table == "spring" and block.kind == "coils":
        shows = "one coil, free and as fitted; wire and width not to scale"
    notes = [shows[:1].upper() + shows[1:] + "."] if shows else []
    sizes = (
        "Sizes of the file; what it does not give is dashed."
        if from_file
        else "Sizes invented: not to the scale of your machine."
    )
    if block.table in ("cable", "rod"):
        sizes = ""
    return [*notes, *filter(None, [sizes]), *([f"CAUTION: {block.care}"] if block.care else [])]


def first_lines(number: int, row: Row, share: str) -> tuple[str, str]:
    """Return a number that decides much: its key and share, then how it is measured."""
    return f"{number}.  {row.key}: {share}", f"{told(row)}. {row.well}".strip()


def told(row: Row) -> str:
    """Return what a number is and how it is measured."""
    how = row.how or "hardly to be measured; leave it blank unless you know it"
    why = NOT_IN_VIEW.get(row.key)
    return f"{row.what}: {how}" + (f" (not drawn: {why})" if why else "")


def reading_heads(units: str) -> tuple[str, ...]:
    """Return the heads of the ruled table of readings."""
    length, force = unit_of("length", units), unit_of("force", units)
    return f"hand travel, {length}", f"hand force, {force}", f"separation, {length}", "direction"
