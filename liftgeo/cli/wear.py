"""`liftgeo wear`: the clutch as its facing wears, and which limit it meets first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.options import (
    AsJson,
    Changes,
    CsvPath,
    FigurePath,
    FileOrExample,
    Force,
    Units,
    check_outputs,
    check_units,
    name_of,
    open_mechanism,
)
from liftgeo.cli.output import WORK_SAFELY, bold, columns, fixed, print_json, say, wrapped

if TYPE_CHECKING:
    from liftgeo.cli.stroke_page import Shown
    from liftgeo.studies.wear import Crossing, WearStudy

CROSSING_WORDS = {
    "slips": "the clutch slips",
    "drags": "the clutch drags",
    "lever-rides": "the lever rides: the rod is loaded at rest",
    "spring-loose": "the spring is loose",
    "wear-limit": "the facing is done",
    "slip-margin": "little slip margin is left",
    "little-take-up": "less than 2 mm of take-up is left",
    "wear-to-riding": "less than 0.3 mm of wear is left to riding",
    "heavy-hand": "the lever needs more than 200 N",
}
_ROWS_SHOWN = 9


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "wear",
        short_help="Follow the clutch as its facing wears, to the first limit.",
        help="The clutch as its facing wears: grip, effort, play, clearance; the first limit.\n\n"
        "Example: liftgeo wear my-clutch.toml --readjusted --figure wear.pdf",
    )(wear)


def wear(
    file: FileOrExample = None,
    change: Changes = None,
    readjusted: Annotated[
        bool, typer.Option("--readjusted", help="Play is set again as the facing wears.")
    ] = False,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Follow one mechanism from new facing to worn."""
    check_units(units)
    check_outputs(csv, figure, force=force)
    from liftgeo.studies.wear import wear as follow

    study = follow(open_mechanism(file, change), readjusted=readjusted)
    if figure is not None:
        from liftgeo.figures.output import render
        from liftgeo.figures.wear_page import wear_page
        from liftgeo.geometry_file import write_whole

        drawn = render(wear_page(study, units), figure.suffix.lower())
        write_whole(figure, drawn, force=force)
    if csv is not None:
        from liftgeo.geometry_file import write_whole

        write_whole(csv, study.to_csv(), force=force)
    if as_json:
        print_json(study.to_dict())
    else:
        from liftgeo.cli.stroke_page import Shown

        name = " ".join([name_of(file), *(f"--change {c}" for c in change or ())])
        typer.echo("\n".join(wear_lines(study, Shown(units), name)))
    for path in (csv, figure):
        if path is not None:
            say(f"Written: {path}")


def answer(study: WearStudy, show: Shown) -> str:
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
    rows = [
        [
            f"each {length}",
            f"clamp {force}",
            "slip",
            f"peak {force}",
            f"take-up {length}",
            f"clear {length}",
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
                study.verdicts[k].replace("-", " ") if known else "rides",
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


def wear_lines(study: WearStudy, show: Shown, name: str) -> list[str]:
    """Return the whole page."""
    title = study.title + (f", with {study.change}" if study.change else "")
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
    blocks = [
        [title] if title else [],
        [bold(line) for line in wrapped(answer(study, show))] + wrapped(how),
        table_lines(study, show),
        crossing_lines(study, show),
        wrapped(following) + wrapped(WORK_SAFELY),
    ]
    lines: list[str] = []
    for block in blocks:
        if block:
            lines += [*block, ""]
    return lines[:-1]
