"""The sections of a write-up, in the order in which somebody reads them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from liftgeo.mechanism.consequence import consequence
from liftgeo.mechanism.derived import derived
from liftgeo.report.blocks import Block, Grid, More, Paragraph, Points, Row, Section
from liftgeo.report.pictures import bench_readings, curve, mechanism_drawn, trade_map, wear_curves
from liftgeo.safety import WORK_SAFELY_AT_LENGTH, cautions
from liftgeo.version import __version__
from liftgeo.words import report_page as words
from liftgeo.words.after_work_page import answer as after_answer
from liftgeo.words.after_work_page import row_cells
from liftgeo.words.certainty import (
    FILE_ALONE,
    headline_word,
    named,
    running_taken,
    sure_line,
    taken_line,
    taken_text,
)
from liftgeo.words.check_page import input_rows
from liftgeo.words.clutch_end import clutch_end_texts
from liftgeo.words.follow_lines import follow_text
from liftgeo.words.foot import as_worked
from liftgeo.words.laws import laws
from liftgeo.words.lines import one_line
from liftgeo.words.names import VERDICT_WORDS
from liftgeo.words.numbers import Shown, fixed, in_100
from liftgeo.words.readings_lines import DRIVEN, fit_texts, reading_rows, verdict_texts
from liftgeo.words.verdict import (
    answer_line,
    hand_force_target_n,
    key_numbers,
    warning_names,
    warning_texts,
)
from liftgeo.words.wear_page import answer_line as wear_answer
from liftgeo.words.why_lines import short_name

if TYPE_CHECKING:
    from liftgeo.report.facts import Facts
    from liftgeo.studies.compare import Compared

_MOST_SHARES = 6


def story(facts: Facts) -> list[Section]:
    """Return the sections of a write-up."""
    found = [
        Section("In short", tuple(_summary(facts))),
        Section("The mechanism", (mechanism_drawn(facts),)),
        Section("Where the lift goes", (Row((curve("budget", facts), _key_numbers(facts))),)),
        Section("Through the stroke", tuple(_curves(facts))),
        Section("How sure this is", tuple(_certainty(facts))),
        Section("The spring and the grip", tuple(_clutch_end(facts))),
    ]
    if facts.bench is not None or facts.after is not None:
        found.append(Section("On the bench", tuple(_bench(facts))))
    if facts.comparison is not None:
        found.append(Section("What a change would do", tuple(_comparison(facts))))
    if facts.worn is not None:
        found.append(Section("As the facings wear", tuple(_wear(facts))))
    found += [
        Section("What was measured", tuple(_inputs(facts))),
        Section("What it rests on", tuple(_laws(facts))),
        Section("Work safely", tuple(_safety())),
        Section("How this page was made", tuple(_made(facts))),
    ]
    return found


def _worked(text: str, facts: Facts) -> str:
    return as_worked(text, facts.mechanism)


def _summary(facts: Facts) -> Iterator[Block]:
    result, units = facts.result, facts.units
    yield Paragraph(" ".join(words.summary(result, facts.mechanism, facts.sure, units)), "lead")
    word = "" if facts.sure is None else headline_word(result, facts.mechanism, facts.sure)
    yield Paragraph(_worked(answer_line(result, units, word, facts.sure), facts), "strong")
    if facts.sure is not None:
        yield Paragraph(_worked(sure_line(result, facts.sure, units), facts))
    for text in warning_texts(result, facts.mechanism, units):
        tone = "stop" if text.startswith("STOP") else "caution"
        yield Paragraph(text, tone)
    if facts.sure is not None and facts.sure.bench is not None:
        yield Paragraph(FILE_ALONE)


def _key_numbers(facts: Facts) -> Grid:
    faces = facts.mechanism.parts().faces
    target_n = hand_force_target_n(facts.mechanism)
    taken, wanted = running_taken(facts.mechanism), float(faces.target_mm)
    rows = key_numbers(facts.result, facts.units, wanted, target_n, taken)
    return Grid(
        "Key numbers",
        ("", "value"),
        tuple((_worked(name.strip(), facts), value) for name, value in _with_targets(rows)),
        (1,),
    )


def _curves(facts: Facts) -> Iterator[Block]:
    yield Row((curve("effort", facts), curve("lift", facts)))
    yield Row((curve("advantage", facts), curve("spring", facts)))


def _with_targets(rows: list[list[str]]) -> Iterator[tuple[str, str]]:
    """Yield rows whose indented names are said in full."""
    above = ""
    for name, value in rows:
        if name.startswith(" "):
            yield f"{above}, {name.strip()}", value
        else:
            above = name
            yield name, value


def _certainty(facts: Facts) -> Iterator[Block]:
    sure, mechanism, units = facts.sure, facts.mechanism, facts.units
    if sure is None:
        yield Paragraph(
            "Every number was given without a ±, and nothing was left out: how sure it is cannot "
            "be told."
        )
        return
    yield Paragraph(words.odds_sentence(sure))
    if text := taken_line(mechanism, sure, units):
        yield Paragraph(_worked(text, facts))
    shares = [share for share in sure.shares if share.share >= 0.01][:_MOST_SHARES]
    if shares:
        yield Grid(
            "What decides: shares of the doubt about the clearance",
            ("input", "share"),
            tuple((named(s.key), f"{100 * s.share:.0f} %") for s in shares),
            (1,),
        )
    if sure.taken:
        rows = tuple(
            (taken_text(mechanism, item, units), one_line(item.source)) for item in sure.taken
        )
        yield More(
            "Everything that was taken and not measured",
            (Grid("Taken as usual", ("number, and its range", "where it comes from"), rows),),
        )


def _clutch_end(facts: Facts) -> Iterator[Block]:
    for text in clutch_end_texts(facts.result, Shown(facts.units)):
        yield Paragraph(_worked(text, facts))


def _bench(facts: Facts) -> Iterator[Block]:
    found, units = facts.bench, facts.units
    if found is not None:
        yield bench_readings(facts)
        head, *rows = reading_rows(found, units)
        yield Grid(
            "Each reading beside what the file says, and what agrees best with all",
            tuple(head),
            tuple(tuple(row) for row in rows),
            tuple(range(1, len(head))),
        )
        for text in verdict_texts(found, units):
            yield Paragraph(_worked(text, facts))
        if texts := fit_texts(found, units):
            if found.readings.contradicts:
                yield Paragraph(f"{DRIVEN}:")
            yield Points(tuple(_worked(text, facts) for text in texts))
    if facts.after is not None:
        yield Paragraph(_worked(after_answer(facts.after, units), facts), "strong")
        rows = [[cell.strip() for cell in row_cells(row, units)] for row in facts.after.rows]
        yield Grid(
            "Readings before and after the work",
            ("reading", "before", "after", "changed by", "sums said"),
            tuple(tuple(row) for row in rows),
            (1, 2, 3, 4),
        )


def _follows(case: Compared, facts: Facts) -> str:
    """Return what a change holds and what follows, after why it does what it does."""
    text = follow_text(consequence(case.mechanism), facts.units)
    return f"; {_worked(text, facts)}" if text else ""


def _comparison(facts: Facts) -> Iterator[Block]:
    found = facts.comparison
    assert found is not None
    show = Shown(facts.units)
    length, force = show.unit("length"), show.unit("force")
    rows = []
    for case in found.all:
        result = case.result
        rows.append(
            (
                one_line(short_name(case)),
                VERDICT_WORDS[result.verdict] + (" STOP" if case.dangers else ""),
                in_100(case.sure.frees),
                show.bare(result.full_lever.clearance_per_face_mm),
                show.bare(result.full_lever.separation_mm),
                show.bare_force(result.peak.hand_force_n),
                show.bare_force(result.full_lever.return_hand_force_n),
                show.bare_force(result.capacity.clamp_force_n),
                fixed(result.capacity.slip_margin, 2),
            )
        )
    heads = (
        "",
        "verdict",
        "frees in 100",
        f"clear per face {length}",
        f"faces part {length}",
        f"peak {force}",
        f"letting back {force}",
        f"clamp {force}",
        "slip margin",
    )
    yield Grid("As it stands, and changed", heads, tuple(rows), tuple(range(2, len(heads))))
    reasons = Points(
        tuple(
            f"{short_name(case)}: {_worked(case.reason, facts)}"
            + (f" ({one_line(case.note)})" if case.note else "")
            + _follows(case, facts)
            for case in found.variants
        )
    )
    yield Row((trade_map(facts), reasons))
    for case in found.variants:
        if case.dangers:
            named_stops = warning_names(case.result) or VERDICT_WORDS[case.result.verdict]
            yield Paragraph(f"{short_name(case)}: {named_stops}", "caution")


def _wear(facts: Facts) -> Iterator[Block]:
    assert facts.worn is not None
    yield Paragraph(_worked(wear_answer(facts.worn, Shown(facts.units)), facts))
    yield wear_curves(facts)


def _inputs(facts: Facts) -> Iterator[Block]:
    rows = tuple(input_rows(facts.mechanism, derived(facts.mechanism)))
    heads = ("key", "metric", "inch", "what it is")
    given = tuple(row for row in rows if not row[0].startswith("["))
    follows = tuple(row[:3] for row in rows if row[0].startswith("["))
    yield Grid("Every number as it was given, or taken as usual", heads, given, (1, 2))
    yield More("What follows from them", (Grid("Follows", heads[:3], follows, (1, 2)),))


def _laws(facts: Facts) -> Iterator[Block]:
    yield Grid(
        "Laws and where they come from", ("part", "law", "source"), tuple(laws(facts.mechanism))
    )
    yield Paragraph("Assumed throughout:")
    yield Points(tuple(_worked(text, facts) for text in words.ASSUMPTIONS))
    if facts.working is not None:
        blocks: list[Block] = []
        for section in facts.working.sections:
            lines = [
                (line.words, " = ".join(line.sides()), line.unit)
                for line in section.lines
                if line.kind != "given"
            ]
            if lines:
                blocks.append(Grid(section.title, ("what", "working", "unit"), tuple(lines)))
        yield More("The working, line by line with this clutch's numbers", tuple(blocks))


def _safety() -> Iterator[Block]:
    yield Paragraph(WORK_SAFELY_AT_LENGTH, "strong")
    yield More("The cautions in full", (Points(tuple(cautions())),))


def _made(facts: Facts) -> Iterator[Block]:
    made = f"liftgeo {__version__}" + (f", {facts.date}" if facts.date else "")
    yield Paragraph(f"{made}." + (f" Made by: {one_line(facts.command)}" if facts.command else ""))
