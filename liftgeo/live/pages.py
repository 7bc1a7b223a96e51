"""The texts of the page: its HTML, its script and look, and the pictures of kinds."""

from __future__ import annotations

from functools import cache
from typing import Any

from starlette.responses import Response

from liftgeo.errors import GeometryError
from liftgeo.kinds import KINDS
from liftgeo.live.entries import TABLE_WORDS
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.samples import SAMPLES, sample_table
from liftgeo.outline.svg import svg_of
from liftgeo.safety import CAUTIONS, WORK_SAFELY
from liftgeo.studies.drawn import drawn
from liftgeo.version import __version__
from liftgeo.web import Scene, environment, scene
from liftgeo.web.scene import PLACES
from liftgeo.words.verdict import titled

KIND_WORDS = {
    "pin": "a pin on a radius",
    "drum": "a drum or pulley",
    "profile": "measured, point by point",
    "ball-ramp": "balls on ramps",
    "quick-thread": "a quick thread",
    "rack": "rack and pinion",
    "crank": "a crank",
    "eccentric": "an eccentric",
    "coned-disc": "coned discs",
    "coils": "coil springs",
    "table": "measured, load by load",
}


def file_page(name: str, mark: str, mechanism: Mechanism | None, units: str = "metric") -> str:
    """Return the page of a file; without a mechanism that of one with faults, to put right."""
    full = None if mechanism is None else scene(mechanism, units, places=2)
    return _render(
        name=name,
        mark=mark,
        title=name if mechanism is None else titled(mechanism.title, None) or name,
        mend=mechanism is None,
        scene=full,
        places=PLACES,
        begun=True,
        choices={},
    )


def start_page() -> str:
    """Return the page of a machine that nobody has measured yet."""
    choices = {
        table: [(kind, KIND_WORDS.get(kind, kind)) for kind in KINDS[table]]
        for table in ("lever", "arm", "release", "spring")
    }
    return _render(
        name="",
        mark="",
        title="A machine not measured yet",
        mend=False,
        scene=None,
        places=PLACES,
        begun=False,
        choices=choices,
    )


def _render(**told: Any) -> str:
    page = environment("liftgeo.live", html=True).get_template("live.html")
    return page.render(
        **told,
        table_words=TABLE_WORDS,
        safely=WORK_SAFELY,
        cautions=CAUTIONS,
        version=__version__,
    )


def scene_html(found: Scene) -> str:
    """Return a scene at its only, or its last, place as HTML."""
    made = environment("liftgeo.live", html=True).get_template("only_scene.html")
    return made.render(scene=found, place=len(found.said) - 1)


@cache
def _static(name: str) -> str:
    return environment("liftgeo.live", html=False).get_template(name).render()


def static(name: str, media_type: str) -> Response:
    """Return the page's script or its look."""
    return Response(_static(name), media_type=media_type)


@cache
def picture_of(table: str, kind: str) -> str | None:
    """Return the picture of a kind of part as SVG; None where there is no such kind."""
    if table not in SAMPLES or kind not in KINDS.get(table, ()):
        return None
    keys = {name: sample_table(name, KINDS[name][0]) for name in SAMPLES}
    keys[table] = sample_table(table, kind)
    try:
        mechanism = from_document({**keys, "left_out": "nothing"}, "sample (invented)")
    except GeometryError:
        return None
    found = drawn(mechanism)
    view = found.views(found.positions[0])[table]
    return svg_of(KIND_WORDS.get(kind, kind), [view])


def drawing_of(mechanism: Mechanism, units: str) -> bytes:
    """Return the mechanism to scale as an SVG file that travels alone."""
    from liftgeo.figures.drawing_sheet import drawing_sheet
    from liftgeo.figures.output import render
    from liftgeo.outcome.analysis import stroke

    sheet = drawing_sheet(drawn(mechanism), stroke(mechanism), units=units)
    return render(sheet, ".svg")
