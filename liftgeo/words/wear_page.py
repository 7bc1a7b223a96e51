"""The page of wear: which limit comes first, a table from new to worn, all that is met."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.safety import WORK_SAFELY
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.names import CROSSING_WORDS, VERDICT_WORDS
from liftgeo.words.numbers import Shown, fixed, in_100
from liftgeo.words.verdict import titled

if TYPE_CHECKING:
    from liftgeo.studies.wear import Crossing, WearStudy

_ROWS_SHOWN = 9


def answer_line(study: WearStudy, show: Shown) -> str:
    """Return in one or two sentences which limit is met first."""

    def at(crossing: Crossing) -> str:
        pack = show.length(crossing.wear_mm * study.friction_faces)
        return f"at {show.length(crossing.wear_mm)} off each face ({pack} in all)"

    already = [c for c in study.crossings if c.when_new and c.severity == "stop"]
    text = ""
    if already:
        said = "; ".join(CROSSING_WORDS[c.name] for c in already)
        text = f"ALREADY when new: {said}. "
    first = study.first_limit_by_wear
    if first is None:
        last = study.columns["wear_mm"][-1]
        return f"{text}Wear meets no limit up to {show.length(last)} off each face."
    return f"{text}The first limit that wear meets: {CROSSING_WORDS[first.name]}, {at(first)}."


def table_lines(study: WearStudy, show: Shown) -> list[str]:
    """Return a short table from new to worn."""
    table = study.columns
    last = len(study.verdicts) - 1
    chosen = sorted({round(k * last / (_ROWS_SHOWN - 1)) for k in range(_ROWS_SHOWN)})
    length, force = show.unit("length"), show.unit("force")
    uncertain = any(share == share for share in table["frees"].tolist())
    rows = [
        [
            f"each {length}",
            f"clamp {force}",
            "slip",
            f"peak {force}",
            f"take-up {length}",
            f"clear {length}",
            *(["frees in 100"] if uncertain else []),
            "verdict",
        ]
    ]
    for k in chosen:
        row = {name: float(column[k]) for name, column in table.items()}
        known = row["clamp_force_n"] == row["clamp_force_n"]
        rows.append(
            [
                show.bare(row["wear_mm"]),
                show.bare_force(row["clamp_force_n"]),
                fixed(row["slip_margin"], 2),
                show.bare_force(row["peak_hand_force_n"]),
                show.bare(row["take_up_mm"], coarse=True),
                show.bare(row["clearance_per_face_mm"]),
                *([in_100(row["frees"])] if uncertain else []),
                VERDICT_WORDS[study.verdicts[k]] if known else "rides",
            ]
        )
    return columns(rows, left=0)


def crossing_lines(study: WearStudy, show: Shown) -> list[str]:
    """Return every limit and caution line met, in the order of wear."""
    if not study.crossings:
        return []
    rows = [["Met on the way", "off each face"]]
    for crossing in study.crossings:
        where = "when new" if crossing.when_new else show.length(crossing.wear_mm)
        rows.append([f"  {crossing.severity.upper():<8}{CROSSING_WORDS[crossing.name]}", where])
    return columns(rows, gap=3)


def wear_page(study: WearStudy, units: str, name: str) -> list[str]:
    """Return the whole page; `name` is the file with its changes, as a next command takes it."""
    show = Shown(units)
    if study.readjusted:
        how = "Free play and float are set again as the facing wears."
        following = f"Next: `liftgeo wear {name}` follows it with nobody setting the play."
    else:
        how = (
            "Nobody sets the play: float and free play shrink as the facing wears, so the lever "
            "lifts more of its travel and the clearance grows until it rides. Past that nothing is "
            "worked out: the rod then takes load off the plates and the clutch slips."
        )
        following = f"Next: `liftgeo wear {name} --readjusted` follows it with the play set again."
    return page(
        [title] if (title := titled(study.title, study.change)) else [],
        headline(answer_line(study, show)) + wrapped(how),
        table_lines(study, show),
        crossing_lines(study, show),
        wrapped(following) + wrapped(WORK_SAFELY),
    )
