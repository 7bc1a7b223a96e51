"""The page of a plan: what to buy, in which order, what each sum buys, and what is proven."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from liftgeo.mechanism.convert import slip_margin_target
from liftgeo.quantities import converted, shown
from liftgeo.studies.compare import DELTAS
from liftgeo.studies.wants import FREES, MEASURES
from liftgeo.words.commands import command, write_up
from liftgeo.words.follow_lines import follow_lines
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, listed, noted, one_line, page, wrapped
from liftgeo.words.names import AS_IT_STANDS, UNTITLED, VERDICT_WORDS
from liftgeo.words.numbers import Shown, fixed, in_100
from liftgeo.words.verdict import warning_lines

if TYPE_CHECKING:
    from liftgeo.studies.plan_judge import Unworthy
    from liftgeo.studies.plan_result import Bundle, Plan
    from liftgeo.studies.wants import Want

_MOST_RUNGS = 8
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def money(value: float) -> str:
    """Return a sum of money, without a currency: "25", "12.50"."""
    text = f"{value:.2f}"
    return text.removesuffix(".00")


def hours_text(value: float) -> str:
    """Return hours of work: "2 h", "0.5 h"."""
    return f"{value:.4g} h"


def names_text(changes: Sequence[str]) -> str:
    """Return the names of changes as read: "a", "a and b", "a, b and c"."""
    names = [one_line(name) for name in changes]
    if not names:
        return AS_IT_STANDS
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _measure(name: str) -> str:
    return {"clearance": "clearance per face"}.get(name, name.replace("_", " "))


def _value(measure: str, value: float, units: str) -> str:
    if math.isnan(value):
        return "not known"
    if measure == FREES:
        return f"{100 * value:.1f} in 100"
    kind = MEASURES[measure].dimension
    return shown(value, kind, units, 3 if kind == "length" and units == "metric" else None)


def _limit(want: Want, units: str) -> str:
    word = "at least" if want.sign > 0 else "at most"
    return f"wanted {word} {_value(want.measure, want.limit, units)}"


def price(bundle: Bundle, found: Plan) -> str:
    """Return what a set costs in words: "for 25, 0.5 h of work beside it"."""
    text = f"for {money(bundle.cost)}" if bundle.cost > 0 else "for no money"
    if bundle.hours <= 0:
        return text
    if found.rate is not None:
        return f"{text}, of which {money(found.rate * bundle.hours)} for {hours_text(bundle.hours)}"
    return f"{text} and {hours_text(bundle.hours)} of work"


def _reached(found: Plan, units: str) -> str:
    """Return the values of what is wanted, as the chosen or nearest set reaches them."""
    told = []
    missed = {m.want: m.value for m in found.missed}
    for want in found.wants:
        value = missed.get(want, _reached_value(found, want))
        told.append(f"{_measure(want.measure)} {_value(want.measure, value, units)}")
    return " and ".join(told)


def _reached_value(found: Plan, want: Want) -> float:
    bundle = found.chosen or found.nearest
    measure = MEASURES[want.measure]
    if measure.of_result is None:
        share = None if bundle is None else bundle.frees
        return math.nan if share is None else share
    return float(measure.of_result(found.result, found.result.full_lever.separation_mm))


def answer_line(found: Plan, units: str) -> str:
    """Return the answer in a sentence or two."""
    wanted = " and ".join(want.text(units) for want in found.wants)
    chosen, nearest = found.chosen, found.nearest
    if chosen is not None and not chosen.changes:
        return f"NOTHING TO BUY: as it stands it has {wanted}."
    if chosen is not None:
        word = "CHEAPEST" if found.gap == 0 else "CHEAPEST FOUND"
        text = f"{word}: {names_text(chosen.changes)}, {price(chosen, found)}. That gives "
        return f"{text}{_reached(found, units)}; wanted: {wanted}."
    within = "" if found.budget is None else f" for up to {money(found.budget)}"
    if nearest is None:
        return f"NOT REACHED{within}: no set of these changes can be built."
    text = f"NOT REACHED{within}. Nearest: {names_text(nearest.changes)}"
    text += f", {price(nearest, found)}" if nearest.changes else ""
    missed = " and ".join(
        f"{_measure(m.want.measure)} {_value(m.want.measure, m.value, units)}, "
        f"{_limit(m.want, units)}"
        for m in found.missed
    )
    text += f". It still falls short: {missed}." if missed else "."
    bad = nearest.verdict in ("slips", "no-release")
    if bad:
        text += f" STOP: it {VERDICT_WORDS[nearest.verdict]}; see below."
    return text


def sure_lines(found: Plan) -> list[str]:
    """Return how sure the answer is, beside the file as it stands."""
    shown_set = found.chosen or found.nearest
    if shown_set is None or shown_set.frees is None or found.base.frees is None:
        return []
    text = f"How sure: of 100 clutches measured like this {in_100(shown_set.frees)} would run clear"
    if shown_set.changes:
        text += f"; {AS_IT_STANDS}, {in_100(found.base.frees)}"
    return wrapped(f"{text}.")


def _clear(bundles: Iterable[Bundle], show: Shown) -> list[str]:
    """Return the clearances of a table, none of them told as 0 that is not."""
    return show.column(bundle.clearance_per_face_mm for bundle in bundles)


def _row(
    name: str, bundle: Bundle, show: Shown, clear: str, *, cost: float | None = None
) -> list[str]:
    frees = [] if bundle.frees is None else [in_100(bundle.frees)]
    return [
        name,
        money(bundle.cost if cost is None else cost),
        *frees,
        clear,
        show.bare_force(bundle.peak_hand_force_n),
        fixed(bundle.slip_margin, 2),
    ]


def _heads(first: str, cost: str, bundle: Bundle, show: Shown, of: str = "") -> list[list[str]]:
    frees = [] if bundle.frees is None else [("frees", "in 100")]
    heads = [(first, ""), (cost, of), *frees, ("clear", show.unit("length"))]
    heads += [("peak", show.unit("force")), ("slip", "margin")]
    return [[head[k] for head in heads] for k in (0, 1)]


def step_lines(found: Plan, show: Shown) -> list[str]:
    """Return the set built up change by change, in the order in which to buy."""
    if not found.steps:
        return []
    rows = _heads("In this order", "cost", found.base, show, "each")
    as_it_is, *clear = _clear((found.base, *found.steps), show)
    rows.append(_row(f"  {AS_IT_STANDS}", found.base, show, as_it_is))
    before: tuple[str, ...] = ()
    paid = 0.0
    notes = ["", "", ""]
    for step, room in zip(found.steps, clear, strict=True):
        new = [name for name in step.changes if name not in before]
        rows.append(_row(f"  {names_text(new)}", step, show, room, cost=step.cost - paid))
        notes.append("" if step.verdict not in ("slips", "no-release") else f"  {step.verdict}")
        before, paid = step.changes, step.cost
    made = found.mechanism.changed(*found.steps[-1].changes)
    return [
        *noted(columns(rows), notes),
        "Cost: of each line alone. All else: with every line above it.",
        *follow_lines(made, show.units, "All in all"),
    ]


def shown_rungs(found: Plan) -> list[Bundle]:
    """Return the rungs worth showing: some all along, and the first that reaches what is wanted."""
    rungs = list(found.rungs)
    last = len(rungs) - 1
    if last < _MOST_RUNGS:
        return rungs
    first = next((k for k, rung in enumerate(rungs) if rung.reaches), last)
    keep = {round(k * last / (_MOST_RUNGS - 2)) for k in range(_MOST_RUNGS - 1)} | {first}
    return [rungs[k] for k in sorted(keep)]


def rung_lines(found: Plan, show: Shown) -> list[str]:
    """Return what a rising sum of money buys."""
    rungs = shown_rungs(found)
    if len(rungs) < 2:
        return []
    rows = _heads("What each sum buys", "cost", found.base, show)
    lines: list[str] = []
    for rung, room in zip(rungs, _clear(rungs, show), strict=True):
        rows.append(_row("  reaches it" if rung.reaches else "  not yet", rung, show, room))
    for k, line in enumerate(columns(rows)):
        lines.append(line)
        if k >= 2:
            lines += wrapped(f"      {names_text(rungs[k - 2].changes)}", indent="      ")
    return lines


def effect_lines(found: Plan, show: Shown) -> list[str]:
    """Return what the set does, beside the file as it stands."""
    bundle = found.chosen or found.nearest
    if bundle is None or not bundle.changes:
        return []
    rows = [["What it does", AS_IT_STANDS, "with it"]]
    for name, words, dimension, digits in (
        ("separation_mm", "faces part", "length", show.fine),
        ("peak_hand_force_n", "peak at the hand", "force", 0),
        ("return_hand_force_n", "letting back", "force", 0),
        ("clamp_force_n", "clamp load", "force", 0),
        ("slip_margin", "slip margin", "ratio", 2),
        ("axial_load_n", "bearing load", "force", 0),
    ):
        values = [DELTAS[name](r) for r in (found.base_result, found.result)]
        if all(math.isnan(v) for v in values):
            continue
        unit = show.unit(dimension) if dimension != "ratio" else ""
        texts = [fixed(converted(v, dimension, show.units), digits) for v in values]
        rows.append([f"  {words}", *(t if t == "-" else f"{t} {unit}".rstrip() for t in texts)])
    rows.append(
        ["  verdict", *(VERDICT_WORDS[r.verdict] for r in (found.base_result, found.result))]
    )
    return columns(rows)


def _unworthy_text(item: Unworthy, show: Shown) -> str:
    name = one_line(item.change)
    if item.why == "cannot-be-made":
        return f"{name} (what it needs excludes it)"
    if item.why == "not-on-the-front":
        return f"{name} (for its money other changes do more)"
    gain = max(item.clearance_gain_mm, 0.0)
    return f"{name} (adds {show.length(gain)} at most, less than can be measured)"


def unworthy_lines(found: Plan, show: Shown) -> list[str]:
    """Return the changes that are not worth their money."""
    if not found.unworthy:
        return []
    told = "; ".join(_unworthy_text(item, show) for item in found.unworthy)
    return wrapped(f"Not worth their money here, as to clearance and effort: {told}.", indent="  ")


def passed_lines(found: Plan) -> list[str]:
    """Return what would reach the wants for less, and why it is not chosen."""
    passed = found.passed_over
    if passed is None:
        return []
    less = "Cheaper, but not chosen" if found.chosen is not None else "Not chosen"
    names = names_text(passed.bundle.changes)
    price_text = price(passed.bundle, found) if passed.bundle.changes else "as the file has it"
    return wrapped(f"{less}: {names}, {price_text}: it brings {listed(passed.why)}.", indent="  ")


def proof_lines(found: Plan) -> list[str]:
    """Return what was looked at, and what is proven."""
    count = f"{found.evaluated:,}".replace(",", "\u00a0")
    proves = found.chosen is not None and not found.by_samples
    if found.complete:
        text = f"All {count} sets that can be made were worked out"
        text += "; none that reaches it costs less." if proves else "."
    else:
        bound = money(found.bound or 0.0)
        text = f"{count} sets were worked out, the cheapest first: every set below {bound}. "
        if not proves:
            text += "What costs more was searched by trial, not all of it."
        elif found.gap == 0:
            text += "So none that reaches it costs less: proven. The front is of the sets seen."
        else:
            text += f"The choice may cost up to {money(found.gap)} more than the cheapest there is."
    if found.by_samples:
        text += " Frees is counted for sets that none beats in cost, clearance and effort, and the "
        text += "choice is the cheapest of them."
    if found.dropped:
        text += f" {found.dropped} cannot be built."
    if found.rate is not None and any(
        change.terms.hours is None for change in found.mechanism.changes.values()
    ):
        text += " A change without hours counts as none."
    return wrapped(text)


def grip_lines(found: Plan) -> list[str]:
    """Return that a set takes grip away where little is left, unless that was asked about."""
    before, after = (r.capacity.slip_margin for r in (found.base_result, found.result))
    least = float(slip_margin_target(found.mechanism.keys))
    asked = any(want.measure == "slip_margin" for want in found.wants)
    if asked or not after < min(before - 0.005, least):
        return []
    kept = math.floor(100 * min(before, least)) / 100  # so that as it stands is not left out
    text = f"CAUTION It takes grip away: slip margin {fixed(before, 2)} to {fixed(after, 2)}, "
    text += f'{fixed(least, 2)} is wanted. --want "slip_margin>={fixed(kept, 2)}" '
    return wrapped(f"{text}leaves out what does.", indent=" " * 8)


def caution_lines(found: Plan, units: str, name: str) -> list[str]:
    """Return the stops of the set, the cautions that it brings, and by name those it leaves."""
    known = {w.key for w in found.base_result.warnings if w.severity != "stop"}
    own = [
        w
        for w in found.result.warnings
        if w.severity == "stop" or (w.severity == "caution" and w.key not in known)
    ]
    lines = warning_lines(own, found.mechanism, units)
    left = {w.key for w in found.result.warnings if w.severity == "caution"}
    had = dict.fromkeys(w.key for w in found.base_result.warnings if w.key in left)
    if had:
        text = f"CAUTION {AS_IT_STANDS}, and with the set too: {listed(had)}; see "
        lines += wrapped(f"{text}{command('stroke', name)}.", indent=" " * 8)
    return lines


def next_lines(found: Plan, name: str) -> list[str]:
    """Return what to do next; `name` is the file as a command takes it."""
    bundle = found.chosen or found.nearest
    changes = () if bundle is None else bundle.changes
    whole = command("stroke", name, changes)
    if found.chosen is not None:
        return wrapped(f"Next: {whole} shows it whole; {write_up(name, changes)} writes it up.")
    ways = ["add a change for the greatest loss", "ask for less"]
    ways += ["raise --budget"] if found.budget is not None else []
    text = f"Next: {whole} shows where its lift still goes, {command('diagnose', name)} what could "
    text += f"be done about it. Then {', '.join(ways[:-1])} or {ways[-1]}."
    return wrapped(text)


def figure_title(found: Plan) -> str:
    """Return the head of the figure."""
    return f"{one_line(found.mechanism.title) or UNTITLED}: what money buys"


def figure_marks(found: Plan) -> list[tuple[str, str, Bundle, bool]]:
    """Return the sets a figure names: letter, names, the set, and whether it is the chosen one."""
    sets = {bundle.changes: bundle for bundle in (found.base, *shown_rungs(found))}
    for bundle in (found.chosen, found.nearest):
        if bundle is not None:
            sets[bundle.changes] = bundle
    ordered = sorted(sets.values(), key=lambda b: (b.cost, len(b.changes)))
    chosen = None if found.chosen is None else found.chosen.changes
    return [
        (letter, names_text(b.changes), b, b.changes == chosen)
        for letter, b in zip(_LETTERS, ordered, strict=False)
    ]


def plan_page(found: Plan, units: str, name: str, *, full: bool = False) -> list[str]:
    """Return the page: one screen, or all of it.

    Parameters
    ----------
    found : Plan
    units : {"metric", "inch"}
    name : str
        The file as it was named.
    full : bool
        Add what each sum buys, what is not worth its money, how it was searched, and notes.
    """
    show = Shown(units)
    notes = [w for w in found.result.warnings if w.severity == "note"]
    unproven = found.chosen is not None and found.gap != 0
    return page(
        wrapped(one_line(found.mechanism.title) or UNTITLED),
        [*headline(answer_line(found, units)), *sure_lines(found)],
        [*caution_lines(found, units, name), *grip_lines(found)],
        step_lines(found, show),
        rung_lines(found, show) if full else [],
        effect_lines(found, show),
        [*passed_lines(found), *(unworthy_lines(found, show) if full else [])],
        proof_lines(found) if full or unproven else [],
        warning_lines(notes, found.mechanism, units) if full else [],
        [*next_lines(found, name), *last_lines(notes, full=full)],
    )
