"""The page of wear: which limit comes first, all that is met, a table from new to worn."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.mechanism.convert import by_foot
from liftgeo.studies.wear import FOLLOWED_TO
from liftgeo.words.commands import command, write_up
from liftgeo.words.foot import as_worked, lines_as_worked
from liftgeo.words.in_units import in_units
from liftgeo.words.last import last_lines
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.names import CROSSING_WORDS, VERDICT_WORDS
from liftgeo.words.numbers import Shown, fixed, in_100
from liftgeo.words.verdict import titled

if TYPE_CHECKING:
    from liftgeo.studies.wear import Crossing, WearStudy

_ROWS_SHOWN, _ROWS_IN_FULL = 9, 31
# A line that differs for hand and foot: "less than 2 mm of play is left (a pedal: 5 mm)".
_TWO_LINES = re.compile(
    r"(?P<before>.*?)(?P<lever>\d+ (?:mm|N))(?P<after>.*) \(a pedal: (?P<pedal>.*)\)"
)


def crossing_words(study: WearStudy, crossing: Crossing, units: str) -> str:
    """Return what is met on the way, in the units of a page and the words of hand or foot."""
    said = CROSSING_WORDS[crossing.name]
    if (lines := _TWO_LINES.fullmatch(said)) is not None:
        own = lines["pedal" if by_foot(study.mechanism.keys) else "lever"]
        said = f"{lines['before']}{own}{lines['after']}"
    return in_units(as_worked(said, study.mechanism), units)


def answer_line(study: WearStudy, show: Shown) -> str:
    """Return in one or two sentences which limit is met first."""

    def at(crossing: Crossing) -> str:
        pack = show.small(crossing.wear_mm * study.friction_faces)
        return f"at {show.small(crossing.wear_mm)} off each face ({pack} in all)"

    already = [c for c in study.crossings if c.when_new and c.is_limit]
    text = ""
    if already:
        said = "; ".join(crossing_words(study, c, show.units) for c in already)
        text = f"ALREADY when new: {said}. "
    first = study.first_limit_by_wear
    if first is None:
        last = study.columns["wear_mm"][-1]
        return f"{text}Wear meets no limit up to {show.small(last)} off each face."
    met = crossing_words(study, first, show.units)
    return f"{text}The first limit that wear meets: {met}, {at(first)}."


def followed_line(study: WearStudy, show: Shown) -> str:
    """Return how far wear was followed, and why, where the file does not tell; else nothing."""
    if any(key in study.mechanism.keys for key in FOLLOWED_TO):
        return ""
    last = study.columns["wear_mm"][-1]
    rides = study.riding_mm <= last * (1 + 1e-9)  # NaN: readjusted
    why = "there the lever rides" if rides else "there the spring is all but loose"
    return (
        "How thick the facing is, or how far it may wear, is not given (faces.facing_thickness, "
        f"faces.wear_limit): it was followed to {show.small(last)} off each face, since {why}."
    )


def table_lines(study: WearStudy, show: Shown, count: int = _ROWS_SHOWN) -> list[str]:
    """Return a table from new to worn; what is past riding takes one line."""
    table = study.columns
    sound = [k for k, load in enumerate(table["clamp_force_n"]) if load == load]
    if not sound:
        return []
    length, force = show.unit("length"), show.unit("force")
    uncertain = any(share == share for share in table["frees"].tolist())
    heads = [f"each {length}", f"clamp {force}", "slip", f"peak {force}", f"play {length}"]
    heads += [f"clear {length}", *(["frees in 100"] if uncertain else []), "verdict"]
    places = {round(k * (len(sound) - 1) / (count - 1)) for k in range(count)}
    chosen = [sound[k] for k in sorted(places)]
    worn = show.column(table["wear_mm"][chosen].tolist(), apart=True)
    clear = show.column(table["clearance_per_face_mm"][chosen].tolist())
    rows = [heads]
    for place, k in enumerate(chosen):
        row = {name: float(column[k]) for name, column in table.items()}
        rows.append(
            [
                worn[place],
                show.bare_force(row["clamp_force_n"]),
                fixed(row["slip_margin"], 2),
                show.bare_force(row["peak_hand_force_n"]),
                show.bare(row["take_up_mm"], coarse=True),
                clear[place],
                *([in_100(row["frees"])] if uncertain else []),
                VERDICT_WORDS[study.verdicts[k]],
            ]
        )
    return [*columns(rows, left=0), *_past_line(study, show, len(sound)), *wrapped(_PLAY)]


_PLAY = (
    "Play: lever travel before the rod loads, cable slack and end float together. Clear: what each "
    "face has past run-out and tilt."
)


def _past_line(study: WearStudy, show: Shown, sound: int) -> Sequence[str]:
    """Return one line for what lies past the last row that could be worked out."""
    if sound == len(study.verdicts):
        return ()
    rides = study.riding_mm <= study.loose_mm
    where, what = (study.riding_mm, "rides") if rides else (study.loose_mm, "spring loose")
    last = show.small(study.columns["wear_mm"][-1])
    return (f"from {show.bare(where)} on, to {last}: {what}; not worked out",)


def crossing_lines(study: WearStudy, show: Shown) -> list[str]:
    """Return every limit and caution line met, the gravest first, then in the order of wear."""
    if not study.crossings:
        return []
    rows = [["Met on the way", "off each face"]]
    for crossing in sorted(study.crossings, key=lambda c: c.severity != "stop"):
        where = "when new" if crossing.when_new else show.small(crossing.wear_mm)
        met = crossing_words(study, crossing, show.units)
        rows.append([f"{crossing.severity.upper():<8}{met}", where])
    return columns(rows, gap=3)


def how_line(study: WearStudy) -> str:
    """Return who sets the play, and what that does."""
    if study.readjusted:
        return "Free play and float are set again as the facing wears."
    return (
        "Nobody sets the play: float and free play shrink as the facing wears, until the lever "
        "rides: the rod is loaded at rest, takes load off the plates, and the clutch slips."
    )


_PUTS_RIGHT = {
    "slips": ("slips", "ranks what gives more grip"),
    "slip-margin": ("slips", "ranks what gives more grip"),
    "drags": ("drags", "ranks what gives more clearance"),
    "heavy-hand": ("heavy", "ranks what makes it lighter"),
}
"""The symptom of `liftgeo diagnose` for what wear meets, and what it then does."""
_PLAY_LINES = ("lever-rides", "little-take-up", "wear-to-riding")


def next_lines(study: WearStudy, name: str) -> list[str]:
    """Return what puts off the limit that is met first, and what to run to see it."""
    first = study.first_limit or next(iter(study.crossings), None)
    followed = command("wear", name, more="" if study.readjusted else "--readjusted")
    played = any(crossing.name in _PLAY_LINES for crossing in study.crossings)
    texts = []
    if not study.readjusted:
        puts_off = (
            "setting the play again at the adjuster puts that off: "
            if played and first is not None and first.name in _PLAY_LINES
            else ""
        )
        texts.append(f"{puts_off}{followed} follows it with the play set again")
    else:
        texts.append(f"{followed} follows it with nobody setting the play")
    if first is not None and first.name in _PUTS_RIGHT:
        symptom, does = _PUTS_RIGHT[first.name]
        ranked = command("diagnose", name, more=f"--symptom {symptom}")
        texts.append(f"{ranked} {does}")
    else:
        texts.append(f"{write_up(name)} writes it up")
    return wrapped(f"Next: {'; '.join(texts)}.")


def wear_page(study: WearStudy, units: str, name: str, *, full: bool = False) -> list[str]:
    """Return the page: one screen, or with more rows.

    `name` is the file with its changes, as a next command takes it.
    """
    show = Shown(units)
    blocks = (
        headline(answer_line(study, show)),
        crossing_lines(study, show),
        wrapped(how_line(study)) + wrapped(followed_line(study, show)),
        table_lines(study, show, _ROWS_IN_FULL if full else _ROWS_SHOWN),
        next_lines(study, name) + last_lines(full=full),
    )
    return page(
        [title] if (title := titled(study.title, study.change)) else [],
        *(lines_as_worked(block, study.mechanism) for block in blocks),
    )
