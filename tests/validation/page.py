"""The page of outside checks, in Markdown: every source, its values, ours, and the difference."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from itertools import groupby

import hard_to_break
from cases import Case, all_cases

STANDING = {
    "read": "read at the source",
    "elsewhere": "read on another page that gives it, named above; the source itself was not seen",
    "recalled": "from memory, not read",
    "worked out": "nothing printed: worked out by another method",
}

# Sources whose values were read on another page than their own. Where the source's name does not
# say on which, it stands here.
ELSEWHERE = {
    "DIN EN 16983 (DIN 2093), table of disc springs, series A": "xmdiscsprings.com",
    "FAA AC 43.13-1B, Table 7-3 (MIL-W-83420)": "landseaskyspace.com",
    "Juvinall & Marshek, Fundamentals of Machine Component Design, ch. 18": (
        "scanned tables without their title; that it is this book is recalled"
    ),
    "ISO 4210-4:2014, clause 4.4, strength of the brake lever": (
        "japan-ppt.com, text of BS EN ISO 4210-4:2014"
    ),
}

# Sources whose rows hold a constant of the package to the page it was typed from. They show that it
# is typed in rightly, and nothing more.
TYPED = (
    "A bearing maker's tables",
    "A second maker's data sheet",
    "A third maker's page",
    "SEED design guide",
    "DIN EN 16983, tolerance",
    "FAA AC 43.13-1B",
    "ISO 4210-4",
    "Juvinall & Marshek",
    "Neale (ed.)",
    "UN Regulation 78",
    "Wire rope stretch",
)


def known(case: Case) -> str:
    """Return how a value is known, a key of `STANDING`."""
    if case.read is None:
        return "worked out"
    if case.read is False:
        return "recalled"
    return "elsewhere" if case.source in ELSEWHERE or "through" in case.source else "read"


def is_typed(case: Case) -> bool:
    """Return whether a row holds a typed constant to its own page, and computes nothing."""
    return case.read is not None and case.source.startswith(TYPED)


INTRODUCTION = """\
# Checks from outside

Every value below comes from outside liftgeo: from a book, a standard or a public page, or worked
out by another method that shares no line with it. Each stands beside the value liftgeo finds.

- **Printed** values are met to half their last printed digit; where more is allowed, a note below
  the table says why.
- **Worked out** means that nobody prints the value: it was had by integration, vectors, search,
  finite elements, another library or another way of writing the equations, and agreement is given
  as a share of the value.
- Behind each source and in each row stands how its values are known: *read* at the source itself;
  *elsewhere*, read on another page that gives them, which is named; *recalled*, from memory.
- *constant* marks rows that hold a number of the package to the page it was typed from: they show
  that it is typed in rightly, and are counted apart from rows that compute.
- Every machine on this page is invented.

{count} values from {sources} sources. {computed} compute: {read} read, {elsewhere} elsewhere,
{recalled} recalled, {other} worked out. {typed} more hold a typed constant to its page. Of the
functions that return a physical quantity, each is also made false by a thousandth, one at a time,
and one of these checks must then fail.
"""

BY_CHANCE = """\
## Mechanisms drawn by chance

Mechanisms drawn by chance, with measured tables of any shape and numbers at their bounds
(tests/properties/test_hard_to_break.py). Each must be answered whole, the same alone and in a batch
to 1e-9, with a hand travel that never falls and no force above the peak that is told; or be refused
by a fault that names a table or a key.

938 tried in one long run: 610 answered whole, 326 refused by a rule of the file, none because its
sums end in no number. Two broke, and were put right: a zero with a minus sign on the page, and a
peak missed where the stroke ended just after the rod was loaded. 120 go with the tests, always the
same ones; `pytest -m slow tests/properties/test_hard_to_break.py` draws 10,000 others and counts.
"""

NOT_VALIDATED = """\
## What is not validated

Sums that agree with other sums are still sums. No machine has been measured for these pages, and
what follows has no outside check, or a weak one. Measure these things, or leave room for them.

- **A real disc's load.** The standard's table is made with the standard's formula, so agreeing
  with it says that the formula is typed in correctly. Against an elastic solid with sharp edges and
  no friction the formula lies 9 to 11 per cent high for a flat cone, and 12 to 13 per cent high
  for a cone of 14°; the page says so and takes it off the
  least clamp force. Rounded edges and friction give a real disc some of that back; how much is
  not known here. A new disc may also be up to 25 per cent above its nominal load. Weigh the spring.
- **Slotted discs, and diaphragm springs with fingers.** No published numbers were found. The finger
  ratio is taken as it is given; how the fingers bend is a stiffness you measure.
- **Loads away from the disc's edges** (force and support diameters): statics only, no published
  case.
- **Stiffness of the cable's housing.** No published figure was found. Measure the whole cable.
- **Stiffness of the wire.** Two published sets differ: beside the one used here, values remembered
  from yacht rigging are 5 (1×19), 22 (7×7) and 12 (7×19) per cent softer. Carry ± 20 per cent.
- **Friction in the cable.** The capstan law is checked as mathematics and against one hobby test
  (0.06, lined). Values of friction for liners and bare spirals are from memory; no
  published table of efficiency over bend was found.
- **Friction in a ball ramp.** The rolling is derived; nothing with numbers was found in print.
  Friction is an angle you choose or measure.
- **The cushion.** That it is straight, and how far it travels: no published figure. Measure it.
- **The separation that is needed.** Geometry of stiff, tilted planes, checked on a grid. Plates
  that bend, dish with heat or hang on worn splines are not in it.
- **Drag of touching faces and of cold oil.** The integrals are checked, the model is not.
- **The bearing.** Two published tables of the axial factor differ by up to 3 per cent (a tenth of
  the life); below Fa/C0 = 0.025 the factor rises to 2.3 at 0.014 by a table remembered, no further.
  Between the contact angles of the tables it is interpolated, which no source does.
- **Facing pressures and coefficients of friction** are classes, not your lining.
- **A transmission angle** of a four-bar: derived; no published value was found.
- **Anything that moves.** Everything stands still at each position: no inertia, no vibration, no
  judder, no speed of wear, nothing of how a snap happens, only that it does.
- **Effort limits.** What a hand can hold all day depends on the hand.
- **Usual values.** What is left out is taken at a usual value and range; these are common practice,
  without source. How they go through the sums is held to examples of the guides to uncertainty
  (JCGM 100 and 101), to loops of single strokes, to the normal curve and to nested simulation. That
  the errors of different numbers have nothing in common is taken, not checked.
"""


def significant(value: float, digits: int = 7) -> str:
    """Return a number to so many digits, plainly written where that is short."""
    text = f"{value:.{digits}g}"
    return text.replace("e-0", "e-").replace("e+0", "e").replace("-", "−")


def decimals_of(case: Case) -> int:
    """Return how many decimals show two digits more than the tolerance's own place."""
    place = math.floor(math.log10(case.allowed()))
    return max(0, 2 - place)


def figures(case: Case) -> tuple[str, str, str, str]:
    """Return theirs, ours, difference and what is allowed, as text."""
    ours, expected = float(case.ours()), case.expected()
    if not case.relative:
        places = decimals_of(case)
        tiny = case.allowed() < 1e-3  # stretch factors: in powers of ten
        mine = significant(ours, 5) if tiny and abs(ours) < 1e-3 else f"{ours:.{places}f}"
        off = significant(ours - expected, 2) if tiny and abs(ours) < 1e-3 else ""
        off = off or signed(ours - expected, places)
        return case.shown, mine.replace("-", "−"), off, f"± {significant(case.allowed(), 2)}"
    share = case.tolerance
    if share > 1e-6:
        off = f"{signed(100 * (ours / expected - 1), 2)} %"
        return (
            significant(expected, 5),
            significant(ours, 5),
            off,
            f"± {significant(share * 100)} %",
        )
    off = f"< {significant(share)} of it" if case.holds() else significant(ours - expected, 2)
    return significant(expected), significant(ours), off, f"± {significant(share)} of it"


def signed(value: float, places: int) -> str:
    """Return a difference with its sign; nothing left is 0."""
    text = f"{value:+.{places}f}"
    return "0" if float(text) == 0 else text.replace("-", "−")


def table(cases: Iterable[Case]) -> Iterator[str]:
    """Yield the lines of one source's table and its notes."""
    notes: dict[str, int] = {}
    yield "| Case | Quantity | Theirs | liftgeo | Difference | Allowed | Known |"
    yield "|---|---|--:|--:|--:|--:|---|"
    for case in cases:
        mark = ""
        if case.note:
            mark = f" ({notes.setdefault(case.note, len(notes) + 1)})"
        theirs, ours, off, allowed = figures(case)
        unit = f" [{case.unit}]" if case.unit else ""
        yield (
            f"| {case.case} | {case.quantity}{unit}{mark} | {theirs.replace('-', '−')} | {ours} "
            f"| {off} | {allowed} | {known(case)}{', constant' if is_typed(case) else ''} |"
        )
    if notes:
        yield ""
        yield from (f"({number}) {note}  " for note, number in notes.items())


def sections(cases: Iterable[Case]) -> Iterator[str]:
    """Yield the lines of all sources: what is printed first, what was worked out after it."""

    def order(case: Case) -> tuple[bool, str, bool]:
        return case.read is None, case.source, case.read is False

    for heading, group in groupby(
        sorted(cases, key=order), key=lambda case: (case.source, known(case))
    ):
        source, how = heading
        where = f" ({ELSEWHERE[source]})" if source in ELSEWHERE and how == "elsewhere" else ""
        yield from (f"## {source}", "", f"*{STANDING[how]}*{where}", "", *table(group), "")


def page() -> str:
    """Return the whole page in Markdown."""
    cases = all_cases()
    computing = [known(case) for case in cases if not is_typed(case)]
    introduction = INTRODUCTION.format(
        count=len(cases),
        sources=len({case.source for case in cases}),
        computed=len(computing),
        read=computing.count("read"),
        elsewhere=computing.count("elsewhere"),
        recalled=computing.count("recalled"),
        other=computing.count("worked out"),
        typed=len(cases) - len(computing),
    )
    parts = [introduction, *sections(cases), hard_to_break.section(), BY_CHANCE, NOT_VALIDATED]
    return "\n".join(parts)
