"""The page of a spread: how sure, whose ± decides, what to repeat and how well, the worst case."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.mechanism.laying import kind_of
from liftgeo.quantities import DIMENSIONS, converted, unit_of
from liftgeo.words.certainty import SURE, bench_line, headline_word, named, sure_line, taken_text
from liftgeo.words.commands import command, write_up
from liftgeo.words.foot import lines_as_worked
from liftgeo.words.in_units import in_units
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, noted, page, wrapped
from liftgeo.words.numbers import Shown, fixed
from liftgeo.words.verdict import answer_line, titled, warning_lines

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known, Range
    from liftgeo.studies.spread import Repeat, Spread

_BAR, _MOST_SHARES, _LEAST_SHARE = 32, 8, 0.005
_MOST_ALONE = 4

NOTHING_UNCERTAIN = (
    "Nothing in this file is uncertain: no number carries a ± or a range, and nothing was left out "
    "that every machine has. The answer is as good as the numbers; put ± behind them "
    '("38 ± 0.5 mm") to see what it does.'
)
INDEPENDENT = (
    "Every number varies by itself here, as if no measurement erred together with another: two "
    "taken with one bent calliper do. The shares are of the variance of clearance."
)


def whole_title(spread: Spread) -> str:
    """Return title and changes of what is spread."""
    return titled(spread.result.title, spread.result.change)


def per_hundred(share: float) -> str:
    """Return a share as a count of 100, never 0 or 100 where it is neither."""
    if 0 < share < 0.01:
        return "<1"
    if 0.99 < share < 1:
        return ">99"
    return f"{100 * share:.0f}"


def place_of(key: str) -> str:
    """Return what a key is in a few words, with the number of its reading where it has several."""
    home, _, rest = key.partition("[")
    return f"{named(home)} {int(rest[:-1]) + 1}" if rest else named(home)


def odds_lines(known: Known) -> list[str]:
    """Return the odds of each verdict, of 100 clutches."""
    words = {
        "clear": "runs clear with the room wanted",
        "marginal": "runs clear, but with less room than wanted",
        "drags": "drags",
        "no_release": "does not release",
        "slips": "slips",
    }
    rows = [["Of 100 clutches measured like this", ""]]
    for name, text in words.items():
        share = getattr(known.odds, name)
        if share > 0:
            rows.append([f"  {text}", per_hundred(share)])
    return columns(rows)


def range_lines(spread: Spread, known: Known, show: Shown) -> list[str]:
    """Return clearance, effort and grip as ranges."""

    def row(name: str, of: Range, text: str, nominal: str) -> list[str]:
        low, middle, high = text.split("|")
        return [f"  {name}", low, middle, high, nominal]

    clear, force = known.clearance_per_face_mm, known.peak_hand_force_n
    rows = [["What it may be", "5 in 100", "half", "95 in 100", "as"]]
    rows.append(["", "below", "below", "below", "given"])
    own_mm = spread.result.full_lever.clearance_per_face_mm
    *of, own = show.column([clear.p05, clear.p50, clear.p95, own_mm])
    three = "|".join(of)
    rows.append(row(f"clearance per face, {show.unit('length')}", clear, three, own))
    three = "|".join(show.bare_force(x) for x in (force.p05, force.p50, force.p95))
    own = show.bare_force(spread.result.peak.hand_force_n)
    rows.append(row(f"peak hand force, {show.unit('force')}", force, three, own))
    if (slip := spread.slip_margin) is not None:
        three = "|".join(fixed(x, 2) for x in (slip.p05, slip.p50, slip.p95))
        own = fixed(spread.result.capacity.slip_margin, 2)
        rows.append(row("slip margin", slip, three, own))
    return columns(rows)


def share_lines(spread: Spread, known: Known) -> list[str]:
    """Return whose ± decides the clearance, with bars."""
    kept = [item for item in known.shares if item.share >= _LEAST_SHARE][:_MOST_SHARES]
    if not kept:
        return wrapped("No single number decides the clearance by its ±.")
    totals = spread.total
    taken = {item.key for item in known.taken}
    rows = [["Whose ± decides the clearance", "%", *(["total %"] if totals else [])]]
    bars = [""]
    for item in kept:
        more = [f"{100 * totals[item.key]:.0f}"] if totals else []
        mark = " *" if item.key in taken else ""
        rows.append([f"  {place_of(item.key)}{mark}", f"{100 * item.share:.0f}", *more])
        bars.append("  " + "#" * round(_BAR * min(1.0, item.share)))
    lines = noted(columns(rows), bars)
    others = len(known.shares) - len(kept)
    shown = sum(item.share for item in kept)
    if others:
        number = "one number decides" if others == 1 else f"{others} numbers together decide"
        lines += wrapped(f"The other {number} {max(0.0, 100 * (1 - shown)):.0f} %.")
    if any(item.key in taken for item in kept):
        lines += wrapped("* not given: its usual range decides, and any measurement narrows it.")
    if totals:
        lines += wrapped(
            f"Total: with what a number does together with others, from "
            f"{spread.total_runs:,} further mechanisms."
        )
    return lines


def _half_width(mechanism: Mechanism, item: Repeat, value: float, units: str) -> str:
    """Return a ± with its unit, with two figures."""
    home = item.key.partition("[")[0]
    dimension = dimension_of(home, kind_of(mechanism.keys, home.split(".")[0]))
    shown = converted(value, dimension, units)
    most = DIMENSIONS[dimension].digits + 2
    digits = 0
    while digits < most and shown < 10 ** (1 - digits):
        digits += 1
    unit = unit_of(dimension, units)
    return f"±{fixed(shown, digits)}" + (f" {unit}" if unit else "")


def repeat_lines(spread: Spread, known: Known, units: str) -> list[str]:
    """Return which measurement to repeat, and how well."""
    repeat, mechanism = spread.repeat, spread.mechanism
    if repeat is None:
        return []
    if repeat.sure_now >= SURE:
        return wrapped("What to repeat: nothing; that it runs clear, or does not, is sure already.")

    def row(item: Repeat) -> list[str]:
        now, then = (
            _half_width(mechanism, item, x, units) for x in (item.half_width_now, item.half_width)
        )
        return [f"  {place_of(item.key)} to {then}", f"now {now}"]

    def how(items: tuple[Repeat, ...]) -> list[str]:
        lines = []
        for item in items:
            lines += wrapped(in_units(f"  {item.key}: {item.how}.", units), indent="    ")
        return lines

    sure = f"The answer holds {per_hundred(repeat.sure_now)} times in 100 now."
    if repeat.alone:
        items = repeat.alone[:_MOST_ALONE]
        head = "Any one of these settles it" if len(items) > 1 else "This alone settles it"
        text = f"What to repeat: {sure} {head}, 19 times in 20, if measured so well:"
    elif repeat.together:
        items = repeat.together
        text = (
            f"What to repeat: {sure} No single measurement settles it. Together these do, 19 times "
            "in 20, if each is measured so well:"
        )
    else:
        text = (
            f"What to repeat: {sure} No single measurement settles it, nor do a few together: the "
            "clutch sits too near the line. Change something that gives it clearance."
        )
        return wrapped(text)
    return wrapped(text) + columns([row(item) for item in items]) + how(items)


def corner_lines(spread: Spread, show: Shown) -> list[str]:
    """Return the worst-case corner in words."""
    corner = spread.corner
    if corner is None:
        return []
    clear, force = corner.clearance_per_face_mm, corner.peak_hand_force_n
    parts = []
    if clear == clear:
        side = "short" if clear < 0 else "clear"
        parts.append(f"{show.small(abs(clear))} {side} on each face")
    if force == force:
        parts.append(f"{show.force(force)} at the hand")
    if not parts:
        said = "a clutch like that cannot be built, so the ranges do not all fit together"
    else:
        said = "; with every number where it costs effort, ".join(parts)
    return wrapped(
        "Worst case: with every number at once at the end of its 95 % limits that takes clearance, "
        f"{said}. Next to no clutch is as bad as that; a spread counts how many are how bad."
    )


def taken_lines(mechanism: Mechanism, known: Known, units: str) -> list[str]:
    """Return every number that was not given, what matters most first."""
    rank = {share.key: k for k, share in enumerate(known.shares)}
    taken = sorted(mechanism.taken, key=lambda item: rank.get(item.key, len(rank)))
    if not taken:
        return []
    each = ", ".join(taken_text(mechanism, item, units) for item in taken)
    return wrapped(f"Not given, taken as usual for a {mechanism.condition} machine: {each}.")


def spread_page(spread: Spread, units: str, name: str, *, full: bool = False) -> list[str]:
    """Return the page: one screen, or all of it.

    `name` is the file with its changes, as a next command takes it.
    """
    show, result, known = Shown(units), spread.result, spread.known
    mechanism, told = spread.mechanism, spread.result.warnings
    title = [text] if (text := whole_title(spread)) else []

    def worked(lines: Sequence[str]) -> list[str]:
        return lines_as_worked(lines, mechanism)

    first = warning_lines(told, mechanism, units, notes=False)
    notes = warning_lines(told, mechanism, units, notes=True) if full else []
    if known is None:
        return page(
            title,
            [*worked(headline(answer_line(result, units))), *wrapped(NOTHING_UNCERTAIN)],
            first,
            notes,
            [*next_lines(spread, name), *last_lines(told, full=full)],
        )
    word = headline_word(result, mechanism, known)
    failed = f", {known.failed:,} of them cannot be built" if known.failed else ""
    drawn = f"From {known.samples:,} mechanisms drawn, seed {known.seed}{failed}. {INDEPENDENT}"
    sure = sure_line(result, known, units)
    return page(
        title,
        [
            *worked(headline(answer_line(result, units, word, known))),
            *worked(wrapped(sure)),
            *worked(wrapped(bench_line(known, units))),
        ],
        first,
        odds_lines(known),
        worked(range_lines(spread, known, show)),
        worked(share_lines(spread, known)),
        repeat_lines(spread, known, units),
        *(
            (
                worked(corner_lines(spread, show)),
                taken_lines(mechanism, known, units),
                wrapped(drawn),
                notes,
            )
            if full
            else ()
        ),
        [*next_lines(spread, name), *last_lines(told, full=full)],
    )


def next_lines(spread: Spread, name: str) -> list[str]:
    """Return what to do next: measure again, put right, or write up."""
    known, repeat = spread.known, spread.repeat
    frees = spread.result.verdict in ("clear", "marginal") if known is None else known.frees >= SURE
    checked = f"{command('check', name)} says how each number is measured"
    if repeat is not None and repeat.sure_now < SURE and (repeat.alone or repeat.together):
        text = f"Next: {checked}; type what you measure with its ±, then {command('spread', name)}."
    elif frees and not any(warning.severity == "stop" for warning in spread.result.warnings):
        text = f"Next: {write_up(name)} writes it up; {checked}."
    else:
        ranked = command("diagnose", name)
        text = f"Next: {ranked} ranks what to put right; {checked}."
    return wrapped(text)
