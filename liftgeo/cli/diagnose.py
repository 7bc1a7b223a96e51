"""`liftgeo diagnose`: what eats the lift, what bench readings say, what to read next."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import keys, symptoms
from liftgeo.cli.options import (
    After,
    AsJson,
    Before,
    Changes,
    CsvPath,
    FigurePath,
    FileOrExample,
    Force,
    Full,
    LeftOut,
    ReadingsPath,
    Units,
    again,
    given,
    name_of,
    open_mechanism,
    with_readings,
    with_typed,
)
from liftgeo.cli.output import Outputs, as_typed, emit, say
from liftgeo.errors import RequestError

if TYPE_CHECKING:
    from liftgeo.figures import Figure


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "diagnose",
        short_help="What eats the lift, what bench readings say, what can be done.",
        help="What eats the lift; what readings from the bench say of each number, and whether "
        "they agree; what cannot be told apart, and the next reading that would settle most; and "
        "what can be done, worked out for this machine, free ones first. With --before, --after "
        "and --change: whether the work did what the sums said.\n\n"
        "Examples: liftgeo diagnose my-clutch.toml --readings bench.csv; "
        "liftgeo diagnose my-clutch.toml --symptom drags",
    )(diagnose)


FitKeys = Annotated[
    list[str] | None,
    typer.Option(
        "--fit",
        metavar="KEY",
        autocompletion=keys,
        help="Let readings move an exact key, as in --fit cable.free_play; repeatable. Left out: "
        "those with a ± or left out.",
    ),
]
Save = Annotated[bool, typer.Option("--save", help="Name the readings file in FILE's [bench].")]
Symptom = Annotated[
    str | None,
    typer.Option(
        "--symptom",
        metavar="WORD",
        autocompletion=symptoms,
        help="What is felt, as in --symptom drags: heavy, drags, drags-hot, bites-low, bites-high, "
        "sticks, slips, creeps or judders. Names the measurement that decides; only remedies for "
        "that. Left out: for every one.",
    ),
]


def diagnose(
    file: FileOrExample = None,
    readings: ReadingsPath = None,
    fit: FitKeys = None,
    save: Save = False,
    before: Before = None,
    after: After = None,
    change: Changes = None,
    symptom: Symptom = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    full: Full = False,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Diagnose one mechanism and print what was found."""
    read_too = [str(path) for path in (readings, before, after) if path is not None]
    wanted = Outputs(as_json, csv, figure, units, force, (*given(file), *read_too))
    if before is not None or after is not None:
        if readings is not None or save or fit or symptom:
            raise RequestError(
                "--before and --after go without --readings, --fit, --symptom and --save."
            )
        return _after_the_work(wanted, file, before, after, change, left_out)
    if save:
        _check_save(file, readings)
    from liftgeo.bench_file import save_readings
    from liftgeo.studies.diagnose import diagnose as study
    from liftgeo.words.diagnose_page import diagnose_page

    mechanism = open_mechanism(file, change, left_out)
    mechanism.need_full("A diagnosis")
    if readings is not None:
        mechanism = with_readings(mechanism, readings)
    if figure is not None and not mechanism.readings:
        raise RequestError("A figure of readings needs some: --readings CSV, or [bench].")
    found = study(mechanism, fit=fit or (), symptom=symptom)
    further = _further(None if save else readings, fit, symptom)
    name = again(file, change, units, left_out)

    def drawing() -> Figure:
        from liftgeo.figures.readings_page import readings_page

        return readings_page(found, units)

    if save and file is not None and readings is not None:
        save_readings(file, readings)
    emit(
        wanted,
        page=lambda: diagnose_page(found, units, name, further, full=full),
        data=found.to_dict,
        table=found.to_csv,
        drawing=drawing,
    )
    if save:
        say(f"Written: [bench] of {name_of(file)} names the readings; its numbers are as they were")


def _further(readings: Path | None, fit: list[str] | None, symptom: str | None) -> str:
    """Return what a next command repeats behind the file's name."""
    words = [] if readings is None else ["--readings", as_typed(str(readings))]
    words += [word for key in fit or () for word in ("--fit", key)]
    words += [] if symptom is None else ["--symptom", symptom]
    return " ".join(words)


def _check_save(file: str | None, readings: Path | None) -> None:
    from liftgeo.files import is_stdin

    if readings is None:
        raise RequestError("--save needs --readings CSV: it names that file in FILE's [bench].")
    if file is None or is_stdin(file):
        raise RequestError("--save needs FILE, a geometry file of your own to write into.")


def _after_the_work(
    wanted: Outputs,
    file: str | None,
    before: Path | None,
    after: Path | None,
    change: list[str] | None,
    left_out: str | None,
) -> None:
    """Say whether a change did what the sums said."""
    if before is None or after is None or not change:
        raise RequestError(
            "After the work: --before CSV --after CSV --change NAME, the readings before and after "
            "and the change that was made."
        )
    from liftgeo.geometry_file import load_readings
    from liftgeo.studies.after_work import after_work
    from liftgeo.words.after_work_page import after_work_page

    mechanism = with_typed(open_mechanism(file, None, left_out), change)
    read_before, read_after = load_readings(before), load_readings(after)
    found = after_work(mechanism, change, read_before, read_after)

    def drawing() -> Figure:
        from liftgeo.figures.after_page import Sides, after_page
        from liftgeo.figures.page import say_as_worked
        from liftgeo.outcome.analysis import stroke
        from liftgeo.words.verdict import warning_names

        results = stroke(mechanism), stroke(mechanism.changed(*change))
        named = zip(("Before", "After"), map(warning_names, results), strict=True)
        warned = [f"{word}. {names}" for word, names in named if names]
        sides = Sides(results, (read_before, read_after))
        figure = after_page(found, sides, warned, wanted.units)
        say_as_worked(figure.axes, mechanism)
        return figure

    name = again(file, change, wanted.units, left_out)
    read = f"--before {as_typed(str(before))} --after {as_typed(str(after))}"
    emit(
        wanted,
        page=lambda: after_work_page(found, wanted.units, name, read),
        data=found.to_dict,
        table=found.to_csv,
        drawing=drawing,
    )
