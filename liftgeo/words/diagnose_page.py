"""The page of a diagnosis: what eats the lift, what the readings say, what to do next."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.mechanism.laying import kind_of
from liftgeo.words.certainty import (
    bench_line,
    headline_word,
    reading_words,
    sure_line,
    taken_line,
)
from liftgeo.words.commands import command, number_to_lay, write_up
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.last import last_lines
from liftgeo.words.lines import headline, page, wrapped
from liftgeo.words.numbers import Shown
from liftgeo.words.readings_lines import (
    apart_lines,
    deciding_text,
    fit_lines,
    measure_next_text,
    next_lines,
    read_next_lines,
    reading_lines,
    verdict_lines,
    worth_reading,
)
from liftgeo.words.remedy_lines import (
    deciding_lines,
    one_screen_lines,
    remedy_lines,
    together_lines,
    together_text,
    withheld_lines,
)
from liftgeo.words.stroke_page import budget_lines, reason_line
from liftgeo.words.verdict import answer_line, titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.studies.diagnose import Diagnosis
    from liftgeo.studies.remedies import Remedy

_FEW_ROWS, _FEW_KEYS = 6, 2


def _sure_lines(found: Diagnosis, units: str, *, full: bool) -> list[str]:
    """Return how sure it is; what is taken as usual only where no readings stand before it."""
    known = found.known
    if known is None:
        return []
    texts = [sure_line(found.result, known, units)]
    if found.readings.contradicts or full:
        said = bench_line(known, units).replace("`liftgeo diagnose` looks for the number.", "")
        texts.append(said)
    if full or not found.readings.residuals:
        texts.append(taken_line(found.mechanism, known, units))
    return [line for text in texts for line in wrapped(text.strip())]


def _budget_blocks(found: Diagnosis, show: Shown, *, full: bool) -> list[list[str]]:
    """Return where the lift goes: at the fitted values where readings leave them possible."""
    faces = found.mechanism.parts().faces
    if found.readings.residuals and not full:
        return []
    shown = found.as_read
    as_fitted = "At the numbers that agree best with the readings:"
    lead = [as_fitted] if shown is not found.result else []
    return [[*lead, *budget_lines(shown, show, float(faces.target_mm))]]


def _remedy_blocks(found: Diagnosis, show: Shown, *, full: bool) -> list[list[str]]:
    """Return what can be done; at fitted values where there are any."""
    cures = found.remedies
    if cures is None:
        return []
    if found.readings.contradicts and not full:
        return [wrapped("What can be done waits until readings and file agree.")]
    fitted = wrapped("Worked out at the fitted values:") if found.after is not None else []
    if not full:
        return [[*fitted, *one_screen_lines(cures, show), *wrapped(together_text(cures, show))]]
    return [
        [*fitted, *remedy_lines(cures, show, most=len(cures.offered))],
        together_lines(cures, show),
        withheld_lines(cures),
    ]


def remedy_change(found: Diagnosis, remedy: Remedy, units: str) -> list[str]:
    """Return a remedy as changes that a command takes: "cable.free_play=1.2"."""
    keys = found.mechanism.keys
    return [
        number_to_lay(key, value, kind_of(keys, key.split(".")[0]), units)
        for key, value in remedy.change.items()
    ]


def _try_next(found: Diagnosis, name: str, units: str) -> str:
    """Return the remedy to try first, or how to write up what needs none."""
    cures = found.remedies
    if cures is None or not cures.base.short:
        return f"nothing wanted is missed: {write_up(name)} writes it up."
    if not cures.offered:
        return ""
    first = cures.together[0].remedy if cures.together else cures.offered[0]
    tried = command("stroke", name, remedy_change(found, first, units))
    return f"{first.hand} ({first.name}): {tried} shows what it does."


def foot_lines(found: Diagnosis, name: str, units: str, again: str) -> list[str]:
    """Return what to do next: what to read or measure and how to type it, and what to try.

    Parameters
    ----------
    found : Diagnosis
    name : str
        The file as a command takes it, with what is laid over it.
    units : {"metric", "inch"}
    again : str
        What else followed it on the command line.
    """
    against, known = found.readings.contradicts, found.known
    rerun = command("diagnose", name, more=again)
    lines: list[str] = []
    if against:
        which = reading_words(against[0], units)
        lines += wrapped(f"Next: read {which} again, and correct it where it stands: {rerun}.")
    symptom = None if found.remedies is None else found.remedies.deciding
    steps = worth_reading(found)
    if symptom is not None and not against:
        lines += wrapped(deciding_text(symptom, units, rerun))
    elif steps and (against or not found.settled):
        lines += read_next_lines(steps[0], found, units, name, again)
    elif known is not None and known.next and not found.settled:
        lines += wrapped(measure_next_text(known, units, rerun))
    if not against and (tried := _try_next(found, name, units)):
        lines += wrapped(f"{'Then' if lines else 'Next'}: {tried}")
    return lines


def diagnose_page(
    found: Diagnosis,
    units: str,
    name: str,
    again: str = "",
    *,
    full: bool = False,
) -> list[str]:
    """Return the page: one screen, or all of it.

    Parameters
    ----------
    found : Diagnosis
    units : {"metric", "inch"}
    name : str
        The file as a next command would name it, with what is laid over it.
    again : str
        What else was typed after it: "--readings bench.csv".
    full : bool
        Add every reading, number, remedy and what it asks of the hand, and notes.
    """
    show, result, mechanism, known = Shown(units), found.result, found.mechanism, found.known
    word = headline_word(result, mechanism, known) if known is not None else ""
    rows, keys = (None, None) if full else (_FEW_ROWS, _FEW_KEYS)
    cures = found.remedies
    blocks = (
        [
            *headline(answer_line(result, units, word, known)),
            *_sure_lines(found, units, full=full),
            *(
                wrapped(reason_line(found.as_read, show))
                if full or found.readings.residuals
                else []
            ),
        ],
        warning_lines(result.warnings, mechanism, units, notes=False),
        [] if cures is None else deciding_lines(cures),
        *_budget_blocks(found, show, full=full),
        reading_lines(found, units, rows),
        verdict_lines(found, units, command("diagnose", name, more=again)),
        fit_lines(found, units, keys),
        *((apart_lines(found), next_lines(found, units)) if full else ()),
        *_remedy_blocks(found, show, full=full),
    )
    return page(
        [title] if (title := titled(result.title, result.change)) else [],
        *(lines_as_worked(block, mechanism) for block in blocks),
        warning_lines(result.warnings, mechanism, units, notes=True) if full else [],
        [
            *lines_as_worked(foot_lines(found, name, units, again), mechanism),
            *last_lines(result.warnings, full=full),
        ],
    )


def rows_read(found: Diagnosis) -> bool:
    """Return whether any reading stands on the page."""
    return bool(found.readings.residuals)
