"""What wear does to a clutch, on one page: grip, effort, play and clearance."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from liftgeo.figures.page import say_as_worked
from liftgeo.figures.studies import plot_wear
from liftgeo.figures.study_pages import headed
from liftgeo.figures.style import styled
from liftgeo.studies.wear import WearStudy
from liftgeo.words.verdict import titled
from liftgeo.words.wear_page import crossing_words

_SIZE_IN = (8.27, 10.0)


def _plots(study: WearStudy) -> tuple[tuple[str, str, str, float | None], ...]:
    """Return what is drawn of a study: column, name, dimension and line of each."""
    known = not np.all(np.isnan(study.columns["slip_margin"]))
    grip = ("slip_margin", "slip margin", "ratio", 1.0)
    return (
        grip if known else ("clamp_force_n", "clamp force", "force", None),
        ("peak_hand_force_n", "peak hand force", "force", None),
        ("take_up_mm", "play at the lever", "length", None),
        ("clearance_per_face_mm", "clearance per face", "length", None),
    )


def _plot_one(
    study: WearStudy, plot: tuple[str, str, str, float | None], ax: Axes, units: str
) -> None:
    """Draw one quantity of a study."""
    name, quantity, dimension, line = plot

    def pack(wear_mm: float) -> float | None:
        return None if math.isnan(wear_mm) else wear_mm * study.friction_faces

    plot_wear(
        study.columns["pack_wear_mm"].tolist(),
        study.columns[name].tolist(),
        quantity=quantity,
        dimension=dimension,
        target=line,
        line_words="slips below",
        wear_limit_mm=pack(study.wear_limit_mm),
        riding_mm=pack(study.riding_mm),
        ax=ax,
        units=units,
    )


@styled
def wear_figures(
    study: WearStudy, units: str = "metric", *, size_in: tuple[float, float]
) -> list[Figure]:
    """Return a figure for each quantity, without title and cautions: a page lays them out itself.

    Parameters
    ----------
    study : WearStudy
        From `liftgeo.studies.wear.wear`.
    units : {"metric", "inch"}
        Units of the axes and labels.
    size_in : (float, float)
        Size of each [in].
    """
    found = []
    for plot in _plots(study):
        figure = Figure(figsize=size_in, layout="constrained")
        _plot_one(study, plot, figure.add_subplot(), units)
        say_as_worked(figure.axes, study.mechanism)
        found.append(figure)
    return found


@styled
def wear_page(study: WearStudy, units: str = "metric") -> Figure:
    """Return one page of what wear does; the lever's riding and the wear limit are marked.

    Parameters
    ----------
    study : WearStudy
        From `liftgeo.studies.wear.wear`.
    units : {"metric", "inch"}
        Units of the axes and labels.
    """
    figure = Figure(figsize=_SIZE_IN, layout="constrained")
    for ax, plot in zip(figure.subplots(2, 2).flat, _plots(study), strict=True):
        _plot_one(study, plot, ax, units)
    state = "play set again as it wears" if study.readjusted else "play never set again"
    say_as_worked(figure.axes, study.mechanism)
    met = dict.fromkeys(
        f"{c.severity.upper()}: {crossing_words(study, c, units)}."
        for c in sorted(study.crossings, key=lambda c: c.severity != "stop")
    )
    title = f"{titled(study.title, study.change)}: {state}"
    return headed(figure, title, [f"Met on the way. {' '.join(met)}"] if met else [])
