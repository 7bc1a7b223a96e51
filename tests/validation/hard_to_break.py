"""What was tried to break it, for the page of checks: tried, refused, held.

The figures are counted from the tests themselves, or had by doing here what the tests do.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

TESTS = Path(__file__).resolve().parents[1]
for _folder in (TESTS, TESTS / "cli", TESTS / "unit"):
    if str(_folder) not in sys.path:
        sys.path.append(str(_folder))

ANALYSED = 300

HEAD = """\
## Hard to break

Not a check of numbers, but of what becomes of files, terminals and verdicts when something is
wrong. *Held* means: a clear answer, or a refusal that names the key and the line to write; no
traceback, no file lost or half-written, no control character printed, every number of an answer
finite. The first three are done again for this page; the others count what the tests do in each
run, all of which must hold for them to pass.

| What was tried | Tried | Refused | Held |
|---|--:|--:|--:|"""

TAIL = """\
The times are processor times with the start of the program. Where a file has other names (hard
links), saving into it copies over it, so that the names stay together: a power cut in that instant
could tear it, which no renaming would. On systems without file locks two who save at once are told
apart by comparing alone."""


@dataclass(frozen=True)
class Row:
    """One way of trying to break it: how often, how many were refused, how many held."""

    what: str
    tried: int
    refused: int | None
    held: int

    def text(self) -> str:
        """Return the row of the table."""
        refused = "–" if self.refused is None else str(self.refused)
        return f"| {self.what} | {self.tried} | {refused} | {self.held} |"


def broken_files() -> Row:
    """Read the corpus of broken files."""
    from test_bad_files import FILES, block_of, wanted_of

    from liftgeo.errors import GeometryError
    from liftgeo.geometry_file import load

    refused = held = 0
    for path in FILES:
        try:
            load(path)
        except GeometryError as error:
            refused += 1
            held += wanted_of(path).hint in block_of(str(error), wanted_of(path).key)
    return Row("Broken files, key and hint named (`tests/cli/bad/`)", len(FILES), refused, held)


def documents() -> Iterator[Row]:
    """Draw documents: schema and reading agree, and what is read is analysed to finite numbers."""
    import jsonschema
    from spoiled_documents import drawn
    from test_file_schema import BEYOND_A_SCHEMA, DRAWN

    from liftgeo import GeometryError, stroke
    from liftgeo.mechanism import from_document
    from liftgeo.mechanism.schema import file_schema

    fits = jsonschema.Draft7Validator(file_schema()).is_valid
    by_schema = agreed = refused = held = 0
    for number in range(max(DRAWN, ANALYSED)):
        whole, faults, mechanism = drawn(number), (), None
        try:
            mechanism = from_document(whole)
        except GeometryError as error:
            faults = error.faults
        if number < DRAWN:
            by_schema += not fits(whole)
            told = all(BEYOND_A_SCHEMA.search(fault.problem) for fault in faults)
            agreed += told if fits(whole) else bool(faults)
        if number < ANALYSED:
            refused += mechanism is None
            held += mechanism is None or bool(
                json.dumps(stroke(mechanism).to_dict(), allow_nan=False)
            )
    yield Row("Drawn documents, schema and reading agree", DRAWN, by_schema, agreed)
    yield Row("Drawn documents, analysed to finite numbers or refused", ANALYSED, refused, held)


def _finite(data: dict[str, Any]) -> bool:
    """Return whether every number is finite; what is not known is null."""
    try:
        return bool(json.dumps(data, allow_nan=False))
    except ValueError:
        return False


def counted() -> Iterator[Row]:
    """Count what the tests do, all of which must hold for them to pass."""
    import test_command_lines as lines
    import test_files as files
    import test_geometry_file as texts
    import test_limits as limits
    import test_outputs as outputs
    import test_terminal as terminal

    stopped = len(files.WRITERS) * len(files.FAULTS) * 2
    kills, saves = len(files.PLACES) * 4, outputs.AT_ONCE * outputs.EACH
    few = f"Command lines drawn at random ({lines.MANY} in the slow tests)"
    yield Row(few, lines.FEW, None, lines.FEW)
    spoiled = f"Spoiled texts of a file ({texts.MANY} in the slow tests)"
    yield Row(spoiled, texts.FEW, None, texts.FEW)
    huge = f"Endless, huge and nested inputs, in {limits.MOST_S:g} s and {limits.MOST_MB:g} MB"
    yield Row(huge, len(limits.HUGE) + 1, len(limits.HUGE) + 1, len(limits.HUGE) + 1)
    yield Row(
        "Writers stopped by a full or failing disk, lost permission, Ctrl-C", stopped, None, stopped
    )
    yield Row("Writers killed at a call of the system (70 more at any moment)", kills, None, kills)
    yield Row("Changes saved into one file at once", saves, None, saves)
    shown = len(terminal.COMMANDS)
    yield Row("Commands given hostile titles, notes and names", shown, 0, shown)


@cache
def rows() -> list[Row]:
    """Return all that was tried."""
    return [broken_files(), *documents(), *counted()]


def section() -> str:
    """Return the part of the page, in Markdown."""
    return "\n".join([HEAD, *(row.text() for row in rows()), "", TAIL, ""])
