"""The page of a comparison: two tables, why, the ranking of inputs, and what to look at next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.quantities import converted
from liftgeo.studies.compare import FREES
from liftgeo.words.certainty import headline_word, sure_line
from liftgeo.words.commands import command, write_up
from liftgeo.words.foot import as_worked, lines_as_worked
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, listed, one_line, page, wrapped
from liftgeo.words.names import AS_IT_STANDS, UNTITLED
from liftgeo.words.nearest_lines import nearest_lines, to_look_at
from liftgeo.words.numbers import Shown, digits_of_column, evenly, fixed, in_100
from liftgeo.words.verdict import answer_line, hand_force_target_n, message
from liftgeo.words.why_lines import each_lines, reason_lines, short_name

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.studies.compare import Compared, Comparison
    from liftgeo.studies.sensitivity import Sensitivities, Sensitivity

PHYSICS = (
    "How to read this: lever, arm and ramp trade lift for effort, at constant work; what one "
    "gains the other pays. Only less friction, less stretch and less play, a spring past its "
    "peak, or an effort better spread over the travel give something for nothing."
)

COUNTED = (
    "Frees in 100: of 100 clutches measured like this, how many would run clear. The same clutches "
    "are changed each time, so a difference is not luck. Inputs count as independent."
)

LIKELIER = 0.5
"""Share of clutches above which a change is likelier to free than not."""

_LONGEST_NAME = 18
_MOST_ROWS, _MOST_BARS = 18, 16


def targets_of(found: Comparison) -> tuple[float, float]:
    """Return the clearance and the hand force wanted [mm, N]."""
    mechanism = found.base.mechanism
    return float(mechanism.parts().faces.target_mm), hand_force_target_n(mechanism)


class Column:
    """A column of the comparison: a number of `DELTAS`, and how it is shown."""

    def __init__(self, name: str, head: Sequence[str], dimension: str, digits: int | None) -> None:
        self.name, self.head, self.dimension, self.digits = name, head, dimension, digits

    def places(self, found: Comparison, show: Shown) -> int:
        """Return the decimals of the column: no length in it, other than 0, prints as 0."""
        if self.digits is not None:
            return self.digits
        values = (converted(c.value(self.name), self.dimension, show.units) for c in found.all)
        return digits_of_column(values, show.fine)

    def value(self, case: Compared, show: Shown, digits: int) -> str:
        """Return a value as text; a dash where it is not known."""
        return fixed(converted(case.value(self.name), self.dimension, show.units), digits)

    def change(self, case: Compared, show: Shown, digits: int) -> str:
        """Return the difference from the base, with its sign; "same" where it does not show."""
        delta = converted(case.delta[self.name], self.dimension, show.units)
        text = fixed(delta, digits)
        if math.isnan(delta):
            return ""
        if not text.strip("-0."):
            return "same"
        return text if text.startswith("-") else f"+{text}"


class FreesColumn(Column):
    """The column that counts in 100 how many of each would free."""

    def __init__(self) -> None:
        super().__init__(FREES, ("frees", "in 100", ""), "ratio", 0)

    def value(self, case: Compared, show: Shown, digits: int) -> str:
        """Return the count; a dash where nothing is uncertain."""
        return in_100(case.sure.frees)

    def change(self, case: Compared, show: Shown, digits: int) -> str:
        """Return nothing: the counts stand side by side."""
        return ""


def _first_columns(found: Comparison, show: Shown) -> list[Column]:
    """Return the columns of the one screen."""
    length, force = show.unit("length"), show.unit("force")
    return [
        *([FreesColumn()] if found.uncertain else []),
        Column("clearance_per_face_mm", ("clear", "per face", length), "length", None),
        Column("separation_mm", ("faces", "part", length), "length", None),
        Column("peak_hand_force_n", ("hand", "peak", force), "force", 0),
        Column("clamp_force_n", ("clamp", "load", force), "force", 0),
        Column("slip_margin", ("slip", "margin", ""), "ratio", 2),
    ]


def _more_columns(show: Shown) -> list[Column]:
    """Return the columns that wait behind --full."""
    length, force = show.unit("length"), show.unit("force")
    return [
        Column("travel_left_mm", ("travel", "left", length), "length", show.coarse),
        Column("hand_force_n", ("full", "lever", force), "force", 0),
        Column("return_hand_force_n", ("letting", "back", force), "force", 0),
        Column("axial_load_n", ("bearing", "load", force), "force", 0),
        Column("work_j", ("work of", "hand", show.unit("work")), "torque", 2),
    ]


def _lost(case: Compared) -> str:
    """Return the share of the hand's work that is lost, as text."""
    account = case.account
    if account.work_in_j <= 0:
        return "-"
    return f"{100 * account.lost_j / account.work_in_j:.0f} %"


def _table(
    found: Comparison,
    show: Shown,
    shown: Sequence[Column],
    *,
    verdicts: bool,
    differences: bool = True,
) -> list[str]:
    """Return one table: for each mechanism a row of values, and one of differences below it."""
    marks = [found.marks(column.name) for column in shown]
    rows: list[list[str]] = []
    for k, lost in enumerate(("of it", "lost", "")):
        first = "verdict" if k == 2 else ""
        ends = ([first], []) if verdicts else ([], [lost])
        heads = (as_worked(c.head[k], found.base.mechanism) for c in shown)
        rows.append(["", *ends[0], *(f"{head} " for head in heads), *ends[1]])
    above: dict[int, list[str]] = {}
    places = [column.places(found, show) for column in shown]
    for place, case in enumerate(found.all):
        name = case.label or AS_IT_STANDS
        if len(name) > _LONGEST_NAME:
            above[len(rows)] = wrapped(one_line(name), indent="  ")
            name = ""
        values = [
            c.value(case, show, d) + (m[place] or " ")
            for c, d, m in zip(shown, places, marks, strict=True)
        ]
        changes = [
            f"{c.change(case, show, d)} " if case.names and differences else ""
            for c, d in zip(shown, places, strict=True)
        ]
        verdict = f"{case.result.verdict} STOP" if case.dangers else case.result.verdict
        if verdicts:
            pair = [[name, verdict, *values], ["", "", *changes]]
        else:
            pair = [[name, *values, _lost(case)], ["", *changes, ""]]
        rows += [row for row in pair if any(cell.strip() for cell in row)]
    lines = columns(rows, left=2 if verdicts else 1, gap=1 if verdicts else 2)
    return [line for k, text in enumerate(lines) for line in (*above.get(k, []), text)]


def table_lines(found: Comparison, show: Shown, *, differences: bool = False) -> list[str]:
    """Return the table of the one screen, and what its marks mean."""
    table = _table(found, show, _first_columns(found, show), verdicts=True, differences=differences)
    return [*table, "* best, ! worst of a column."]


def more_lines(found: Comparison, show: Shown) -> list[str]:
    """Return the other table, and how both are counted and marked."""
    text = f"{COUNTED} " if found.uncertain else ""
    text += "Below each row stands its difference from as it stands. "
    text += "What slips or has a STOP warning is never marked best."
    return [*_table(found, show, _more_columns(show), verdicts=False), *wrapped(text)]


def warning_lines(found: Comparison, units: str, name: str) -> list[str]:
    """Return every "stop" and the cautions that a change brings; one for all that share it."""
    known = {w.key for w in found.base.result.warnings}
    told: dict[tuple[str, str], list[tuple[str, str]]] = {}
    for case in found.all:
        for warning in case.result.warnings:
            new = case.names and warning.key not in known and warning.severity == "caution"
            if warning.severity == "stop" or new:
                place = (warning.severity, warning.key)
                said = message(warning, case.mechanism, units)
                told.setdefault(place, []).append((short_name(case), said))
    lines: list[str] = []
    for place in sorted(told, key=lambda place: place[0] != "stop"):
        cases = told[place]
        (first, said), others = cases[0], ", ".join(label for label, _ in cases[1:])
        text = f"{place[0].upper():<8}{first}: {said}"
        text += f" Likewise {others}." if others else ""
        lines += wrapped(text, indent=" " * 8)
    own = dict.fromkeys(w.key for w in found.base.result.warnings if w.severity == "caution")
    if own:
        text = f"CAUTION {AS_IT_STANDS}, and so perhaps each change: {listed(own)}; see "
        text += f"{command('stroke', name)}."
        lines += wrapped(text, indent=" " * 8)
    return lines


def next_lines(found: Comparison, show: Shown, name: str) -> list[str]:
    """Return what to do next; nothing that stands below a caution line is proposed.

    `name` is the file as a command takes it.
    """
    best = found.best()
    if not found.variants:
        return []
    if best is None or (found.uncertain and best.chance <= LIKELIER):
        return nearest_lines(found, show, name)
    file, laid = to_look_at(found, best.names, name)
    why = f"It is {best.result.verdict}"
    why += (
        f", frees {in_100(best.chance)} in 100" if found.uncertain else " at the least peak effort"
    )
    text = f"First to look at: {short_name(best)}. {why} and brings no new warning. "
    text += f"Next: {command('stroke', file, laid)} shows it whole, {write_up(file, laid)} writes "
    return wrapped(f"{text}it up.")


def shown_rows(mechanism: Mechanism, ranking: Sensitivities) -> list[Sensitivity]:
    """Return the inputs that the file gives and that do something, the strongest first."""
    given = [r for r in ranking if r.key in mechanism.given or r.value != 0]
    found = [r for r in given if r.weight_mm >= 5e-5 or r.weight_n >= 0.05]
    return sorted(found, key=lambda r: (-r.weight_mm, -r.weight_n, r.key))


def doubtful_rows(ranking: Sensitivities) -> list[Sensitivity]:
    """Return the inputs whose own ± or range does something, the strongest first."""
    return [r for r in ranking if r.doubt[0] >= 5e-5 or r.doubt[1] >= 0.05]


def step_words(row: Sensitivity, units: str) -> str:
    """Return the step of an input in words: "+0.1 mm", "+1 deg" or "+1 %"."""
    if math.isnan(row.step):
        return "+1 %"
    if row.unit == "mm" and units == "inch":
        return f"+{row.step / 25.4:.4f} in"
    return f"+{row.step:g} {row.unit}"


def figure_title(found: Comparison, *, ranked: bool) -> str:
    """Return the head of the figure: of what is set side by side, or of the ranking of inputs."""
    what = "changes side by side"
    if ranked:
        own = found.base.sure.frees is not None
        what = "each input over its own ± or range" if own else "a little more of each input"
    return f"{one_line(found.base.result.title) or UNTITLED}: {what}"


def bar_rows(
    mechanism: Mechanism, ranking: Sensitivities, units: str
) -> list[tuple[str, float, float]]:
    """Return the strongest inputs for a figure: what is changed, and what it does [mm, N].

    Where anything is uncertain, each such input over its own ± or range.
    """
    if any(row.uncertain for row in ranking):
        return [
            (
                f"{row.key} {ends_words(row, units)}",
                row.effect_low_high_clearance_mm,
                row.effect_low_high_peak_n,
            )
            for row in doubtful_rows(ranking)[:_MOST_BARS]
        ]
    strongest = shown_rows(mechanism, ranking)[:_MOST_BARS]
    return [(f"{row.key} {step_words(row, units)}", *row.shown_effects) for row in strongest]


def _shown_number(value: float, unit: str, units: str) -> str:
    """Return a number of an input, in the units shown, without its unit."""
    dimension = {"mm": "length", "N": "force"}.get(unit, "ratio")
    number = converted(value, dimension, units)
    if unit == "mm" and units == "inch":
        return f"{number:.4f}"
    return f"{number:.0f}" if abs(number) >= 1000 else f"{number:.4g}"


def ends_words(row: Sensitivity, units: str) -> str:
    """Return the limits of an input's own ± or range: "0.05 to 0.40 mm"."""
    dimension = {"mm": "length", "N": "force"}.get(row.unit, "ratio")
    low, high = evenly((converted(x, dimension, units) for x in (row.low, row.high)), 4)
    unit = {"mm": "in", "N": "lbf"}.get(row.unit, row.unit) if units == "inch" else row.unit
    return f"{low} to {high} {unit}".rstrip()


def _effects(clearance_mm: float, peak_n: float, show: Shown) -> list[str]:
    """Return effects on clearance and peak as cells with their signs; empty where not known."""
    digits = 3 if show.units == "metric" else 5
    numbers = converted(clearance_mm, "length", show.units), converted(peak_n, "force", show.units)
    texts = [fixed(numbers[0], digits), fixed(numbers[1], 1)]
    plain = ["" if t == "-" else t if t.strip("-0.") else "0" for t in texts]
    return [t if t[:1] in ("", "-", "0") and not t.startswith("0.") else f"+{t}" for t in plain]


def doubt_lines(ranking: Sensitivities, show: Shown) -> list[str]:
    """Return what each uncertain input does over its own ± or range, as a table."""
    inputs = doubtful_rows(ranking)
    if not inputs:
        return []
    rows = [
        ["Each over its own ± or range", "low to high", "clear", "peak"],
        ["", "", show.unit("length"), show.unit("force")],
    ]
    for row in inputs[:_MOST_ROWS]:
        effects = row.effect_low_high_clearance_mm, row.effect_low_high_peak_n
        rows.append([row.key, ends_words(row, show.units), *_effects(*effects, show)])
    rest = len(inputs) - len(inputs[:_MOST_ROWS])
    more = f" {rest} more do less; --csv and --json hold all." if rest else ""
    words = f"From the low limit to the high one, all others as they stand; 95 % limits.{more}"
    return [*columns(rows), *wrapped(words)]


def sensitivity_lines(mechanism: Mechanism, ranking: Sensitivities, show: Shown) -> list[str]:
    """Return the ranking of inputs as a table."""
    length, force = show.unit("length"), show.unit("force")

    def cells(clearance_mm: float, peak_n: float) -> list[str]:
        return _effects(clearance_mm, peak_n, show)

    rows = [
        ["A little more of each input", "", "+1 %:", "peak", "a step:", "", "peak"],
        ["", "now", f"clear {length}", force, "", f"clear {length}", force],
    ]
    inputs = shown_rows(mechanism, ranking)
    for row in inputs[:_MOST_ROWS]:
        stepped = not math.isnan(row.step)
        rows.append(
            [
                row.key,
                _shown_number(row.value, row.unit, show.units),
                *cells(row.percent_clearance_mm, row.percent_peak_n),
                step_words(row, show.units) if stepped else "",
                *(cells(row.step_clearance_mm, row.step_peak_n) if stepped else ["", ""]),
            ]
        )
    rest = len(ranking) - len(inputs[:_MOST_ROWS])
    words = (
        "Ranked by the larger of the two effects on clearance per face, which is counted below "
        f"zero too. {rest} further inputs do less or nothing, or are left at zero by the file; "
        "--csv and --json hold all."
    )
    return [*columns(rows), *wrapped(words)]


def _lead_on(mechanism: Mechanism, ranking: Sensitivities, name: str) -> list[str]:
    """Return the search to run after a ranking, as lines."""
    from liftgeo.words.lead_on_lines import lead_on_lines

    return lead_on_lines(mechanism, shown_rows(mechanism, ranking), name)


def compare_page(
    found: Comparison,
    ranking: Sensitivities | None,
    units: str,
    name: str,
    known: Known | None = None,
    *,
    full: bool = False,
) -> list[str]:
    """Return the page: one screen, or all of it.

    Parameters
    ----------
    found : Comparison
    ranking : Sensitivities or None
        Of the inputs, where it was asked for.
    units : {"metric", "inch"}
    name : str
        The base's file as a command takes it.
    known : Known, optional
        How sure the answer of the base is.
    full : bool
        Add differences, what each change holds and what follows, the other columns, and how to
        read this.
    """
    show, base = Shown(units), found.base
    title = one_line(base.result.title) or UNTITLED
    count = len(found.variants)
    word = "" if known is None else headline_word(base.result, base.mechanism, known)
    sure = [] if known is None else wrapped(sure_line(base.result, known, units))
    beside = f"{count} set against it" if count else AS_IT_STANDS
    ranked = ranking is not None

    def worked(lines: list[str]) -> list[str]:
        return lines_as_worked(lines, base.mechanism)

    return page(
        wrapped(f"{title}: {beside}"),
        [*worked(headline(answer_line(base.result, units, word, known))), *worked(sure)],
        warning_lines(found, units, name),
        table_lines(found, show, differences=full) if count else [],
        reason_lines(found, units) if count else [],
        doubt_lines(ranking, show) if ranking is not None else [],
        sensitivity_lines(base.mechanism, ranking, show) if ranking is not None else [],
        each_lines(found, units) if count and full else [],
        more_lines(found, show) if count and full else [],
        worked(wrapped(PHYSICS)) if full or ranked else [],
        next_lines(found, show, name),
        _lead_on(base.mechanism, ranking, name) if ranking is not None else [],
        last_lines(full=full),
    )
