"""`liftgeo size`: values that keep the wants at the best aim, and the trade-off front."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from liftgeo.cli.completing import keys_to_set, measures
from liftgeo.cli.options import (
    AsJson,
    CsvPath,
    FigurePath,
    FileGiven,
    Force,
    Full,
    LeftOut,
    Units,
    again,
    given,
    open_mechanism,
)
from liftgeo.cli.output import Outputs, emit, say
from liftgeo.cli.progress import progress
from liftgeo.errors import RequestError
from liftgeo.words.names import TOLD_APART

if TYPE_CHECKING:
    from liftgeo.figures import Figure
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.results import Result
    from liftgeo.studies.size import Sizing


def register(app: typer.Typer) -> None:
    """Add the command to the command line."""
    app.command(
        "size",
        short_help="Look for values that reach what is wanted at the least effort.",
        help="Values of some inputs that reach what is wanted at the least effort.\n\n"
        'Example: liftgeo size my-clutch.toml --vary arm.radius_same_angle=30..44 --vary "cable.'
        'free_play=0.5 mm..2 mm" --want "clearance>=0.1" --step arm.radius_same_angle=0.5\n\n'
        "The answer is brought to what can be made: 0.1 mm, 0.5 deg. A key varies alone, as in "
        "a change; arm.radius_same_angle keeps the angle between arm and cable. Wants: lift, "
        "separation, clearance (per face), slip_margin, peak_hand_force, hand_force, clamp_force, "
        'axial_load, with >= or <=, in quotes; "frees>=0.9" asks that nine clutches in ten run '
        "clear.\n\n" + TOLD_APART,
    )(size)


Vary = Annotated[
    list[str] | None,
    typer.Option(
        "--vary",
        metavar="KEY=LOW..HIGH",
        autocompletion=keys_to_set,
        help="An input and its range in the key's unit or another, as in arm.radius=30..44 or "
        '"cable.free_play=0.02 in..0.1 in"; or sizes, as in arm.radius=30,33,36; repeatable. '
        "Needed at least once.",
    ),
]
Wants = Annotated[
    list[str] | None,
    typer.Option(
        "--want",
        metavar="NAME>=NUMBER",
        help='A limit to keep in mm or N, or with its unit, as in "clearance>=0.1"; repeatable. '
        "Left out: the target clearance, unless an aim is named.",
    ),
]
Least = Annotated[
    str | None,
    typer.Option(
        "--least",
        metavar="NAME",
        autocompletion=measures,
        help="Bring this down, as in --least hand_force. Left out: peak_hand_force.",
    ),
]
Most = Annotated[
    str | None,
    typer.Option(
        "--most",
        metavar="NAME",
        autocompletion=measures,
        help="Bring this up instead, as in --most clearance. Left out: --least counts.",
    ),
]
Steps = Annotated[
    list[str] | None,
    typer.Option(
        "--step",
        metavar="KEY=SIZE",
        autocompletion=keys_to_set,
        help="Only multiples of this are tried, in the key's unit, as in arm.radius=0.5; "
        "repeatable. Left out: 0.1 mm, 0.5 deg.",
    ),
]
Stock = Annotated[
    str | None,
    typer.Option(
        "--stock",
        metavar="PATH",
        help="File of sizes at hand, as in --stock drawer.txt: lines KEY = SIZE, SIZE, ... or a "
        "CSV with keys as heads; only these are tried. Left out: any size of --vary.",
    ),
]
SaveName = Annotated[
    str | None,
    typer.Option(
        "--save",
        metavar="NAME",
        help="Write the answer into FILE as a change, as in --save new-arm. Left out: not kept.",
    ),
]


def size(
    file: FileGiven,
    vary: Vary = None,
    want: Wants = None,
    least: Least = None,
    most: Most = None,
    step: Steps = None,
    stock: Stock = None,
    save: SaveName = None,
    left_out: LeftOut = None,
    as_json: AsJson = False,
    csv: CsvPath = None,
    figure: FigurePath = None,
    full: Full = False,
    units: Units = "metric",
    force: Force = False,
) -> None:
    """Search for values that keep the wants at the best aim, and print what was found."""
    wanted = Outputs(
        as_json, csv, figure, units, force, given(file, *([] if stock is None else [stock]))
    )
    if not vary:
        raise RequestError("Name an input to vary: --vary KEY=LOW..HIGH, as in arm.radius=32..44.")
    mechanism = open_mechanism(file, None, left_out)
    sizes = None if stock is None else _stock(stock)
    if save is not None:
        _check_save(file, save, force=force)
    from liftgeo.geometry_file import save_change
    from liftgeo.studies.size import most_variants
    from liftgeo.studies.size import size as search
    from liftgeo.words.size_page import save_note, size_page

    _say_bare(mechanism, {"--vary": vary, "--want": want or [], "--step": step or []}, units)
    with progress("searching", "variants", most_variants(len(vary), want or ())) as advance:
        found = search(
            mechanism,
            vary,
            want or (),
            least=least,
            most=most,
            step=step or (),
            stock=sizes,
            progress=advance,
        )
    if save is not None:
        save_change(file, save, found.change, save_note(found, units), force=force)
    name = again(file, None, units, left_out)
    asked = _asked(want, least, most, step, stock)
    emit(
        wanted,
        page=lambda: size_page(found, units, name, save, asked, full=full),
        data=found.to_dict,
        table=found.to_csv,
        drawing=lambda: _drawing(found, units),
    )
    if save is not None:
        say(f"Written: [changes.{save}] in {file}")


def _asked(
    want: list[str] | None,
    least: str | None,
    most: str | None,
    step: list[str] | None,
    stock: str | None,
) -> str:
    """Return the options of a search but --vary, as a next command repeats them."""
    from liftgeo.words.commands import quoted

    options = [*(("--want", text) for text in want or ()), *(("--step", x) for x in step or ())]
    named = (("--least", least), ("--most", most), ("--stock", stock))
    options += [(option, text) for option, text in named if text is not None]
    return " ".join(f"{option} {quoted(text)}" for option, text in options)


def _say_bare(mechanism: Mechanism, asked: dict[str, list[str]], units: str) -> None:
    """Say what bare numbers are read as; a text that cannot be read is told of by the search."""
    from liftgeo.words.size_page import bare_lines

    try:
        lines = bare_lines(mechanism, asked, units)
    except RequestError:
        return
    for line in lines:
        say(line)


def _check_save(file: str, name: str, *, force: bool) -> None:
    from liftgeo.files import check_writable, is_stdin
    from liftgeo.geometry_file import check_change_name

    if is_stdin(file):
        raise RequestError("--save needs a file to write into, not standard input.")
    check_change_name(file, name, force=force)
    check_writable(file, force=True)


def _stock(path: str) -> dict[str, list[str]]:
    from liftgeo.files import read_text
    from liftgeo.studies.making import stock_from

    return stock_from(read_text(path, "file of sizes", "a list of sizes is a page of text"))


def _drawing(found: Sizing, units: str) -> Figure:
    from liftgeo.figures.page import say_as_worked
    from liftgeo.figures.study_pages import Along, sizing_page
    from liftgeo.studies.wants import number_of
    from liftgeo.words.names import AS_IT_STANDS
    from liftgeo.words.size_page import figure_title, front_targets, input_names
    from liftgeo.words.verdict import unusable, warning_names

    def point(result: Result) -> tuple[float, float]:
        return result.full_lever.clearance_per_face_mm, result.peak.hand_force_n

    told = {
        AS_IT_STANDS: warning_names(found.base_result),
        found.standing: warning_names(found.result),
    }
    answer = point(found.result) if found.standing == "proposed" else None
    along = [
        Along(
            name,
            number_of(found.base, key).dimension,
            [p.values[key] for p in found.front],
            found.values[key],
        )
        for key, name in input_names(found).items()
    ]
    figure = sizing_page(
        figure_title(found),
        [(p.clearance_per_face_mm, p.peak_hand_force_n) for p in found.front],
        answer,
        point(found.base_result),
        front_targets(found),
        stock_struck=unusable(found.base_result),
        inputs=along,
        warnings=[f"{name}. {names}" for name, names in told.items() if names],
        units=units,
    )
    say_as_worked(figure.axes, found.base)
    return figure
