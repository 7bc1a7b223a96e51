"""The clutch as its facing wears: what changes, and which limit it meets first."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from liftgeo.cautions.clutch_rules import SLIPS_BELOW, slip_line
from liftgeo.cautions.rule import CAUTION, STOP
from liftgeo.cautions.stroke_rules import RIDES_LATER_MM, heavy_n, least_take_up_mm
from liftgeo.chain.states import wear_to_riding_mm, worn
from liftgeo.errors import RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.mechanism.convert import NMM_PER_NM
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.drawing import draw
from liftgeo.outcome.html_chart import Curve, html_chart
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.outcome import TOLERANCE_MM, VERDICTS, Outcome, analysed
from liftgeo.outcome.results import plain
from liftgeo.parts.drag import MOVES_ABOVE
from liftgeo.parts.root import bracketed_root
from liftgeo.parts.values import Values
from liftgeo.version import __version__

Column = NDArray[np.float64]

FEWEST_ROWS = 2
_MOST_KNOTS = 9  # wears at which every sample is worked out
_LAST_OF_SPRING = 0.999  # share of the spring's deflection that wear may take before it is loose


@dataclass(frozen=True, eq=False)
class Crossing:
    """A limit or a caution line met on the way.

    Attributes
    ----------
    name, severity : str
        What is met; "stop" for a limit, "caution" for a line. Where the clutch begins to drag is a
        caution, and a limit all the same.
    wear_mm : float
        Wear of each face [mm].
    when_new : bool
        Whether it is crossed before anything is worn.
    """

    name: str
    severity: str
    wear_mm: float
    when_new: bool

    @property
    def is_limit(self) -> bool:
        """Whether the clutch does not do its work from here on."""
        return self.severity == STOP or self.name == "drags"


@dataclass(frozen=True, eq=False, repr=False)
class Line:
    """A limit or a caution line: how much room is left to it, below zero once it is crossed."""

    name: str
    severity: str
    room: Callable[[Outcome], Values]


@dataclass(frozen=True, eq=False, repr=False)
class WearStudy:
    """What wear does to a clutch.

    Attributes
    ----------
    title, change : str, str or None
        Of the mechanism.
    readjusted : bool
        Whether float and free play are set again as the facing wears.
    friction_faces : int
        Faces that wear.
    wear_limit_mm, riding_mm, loose_mm : float
        Wear of each face at which the facing is done (NaN: not given), the lever rides (NaN:
        readjusted) and the spring is loose [mm].
    columns : dict of array
        Values over wear, each of shape (rows,); NaN past riding and with the spring loose. `frees`
        is the share of samples that free; NaN where nothing is uncertain.
    verdicts : tuple of str
        Verdict of each row, empty past riding.
    crossings : tuple of Crossing
        Every limit and line met, in the order of wear.
    mechanism : Mechanism
        What wears.
    """

    title: str
    change: str | None
    readjusted: bool
    friction_faces: int
    wear_limit_mm: float
    riding_mm: float
    loose_mm: float
    columns: dict[str, Column]
    verdicts: tuple[str, ...]
    crossings: tuple[Crossing, ...]
    mechanism: Mechanism

    @property
    def first_limit(self) -> Crossing | None:
        """The limit met first, perhaps when new; None where none is met."""
        return next((c for c in self.crossings if c.is_limit), None)

    @property
    def first_limit_by_wear(self) -> Crossing | None:
        """The limit that wear brings first; None where it brings none."""
        by_wear = (c for c in self.crossings if c.is_limit and not c.when_new)
        return next(by_wear, None)

    def to_dict(self) -> dict[str, Any]:
        """Return the study as plain data, the shape of the JSON."""
        found: dict[str, Any] = plain(
            {
                "title": self.title,
                "change": self.change,
                "version": __version__,
                "readjusted": self.readjusted,
                "friction_faces": self.friction_faces,
                "wear_limit_mm": self.wear_limit_mm,
                "riding_mm": self.riding_mm,
                "loose_mm": self.loose_mm,
                "first_limit": self.first_limit,
                "first_limit_by_wear": self.first_limit_by_wear,
                "crossings": list(self.crossings),
                "rows": {**self.columns, "verdict": list(self.verdicts)},
            }
        )
        return found

    def to_csv(self) -> str:
        """Return the rows as CSV text, metric."""
        rows = zip(*(c.tolist() for c in self.columns.values()), self.verdicts, strict=True)
        return csv_text([*self.columns, "verdict"], rows)

    def _repr_html_(self) -> str:
        rows = [
            (c.name, c.severity, "when new" if c.when_new else c.wear_mm) for c in self.crossings
        ]
        name = self.title + (f" with {self.change}" if self.change else "")
        worn = self.columns["wear_mm"].tolist()
        charts = [
            html_chart(title, "wear of each face, mm", unit, [Curve(title, worn, values.tolist())])
            for title, unit, values in (
                ("clearance per face", "mm", self.columns["clearance_per_face_mm"]),
                ("peak hand force", "N", self.columns["peak_hand_force_n"]),
            )
        ]
        return html_table(name, rows, ("line", "severity", "wear_mm")) + "".join(charts)


LINES: tuple[Line, ...] = (
    Line("slips", STOP, lambda o: o.slip_margin - SLIPS_BELOW),
    Line("drags-hard", STOP, lambda o: MOVES_ABOVE - o.clutch_end.drag_share_low),
    Line("drags", CAUTION, lambda o: o.clearance_per_face_mm + TOLERANCE_MM),
    Line("slip-margin", CAUTION, lambda o: o.slip_margin - slip_line(o)),
    Line("little-take-up", CAUTION, lambda o: o.clutch_end.take_up_mm - least_take_up_mm(o)),
    Line("wear-to-riding", CAUTION, lambda o: o.clutch_end.wear_to_riding_mm - RIDES_LATER_MM),
    Line("heavy-hand", CAUTION, lambda o: heavy_n(o) - o.peak.hand_force_n),
)


def _sized(base: Outcome, wear_mm: Values, *, readjusted: bool) -> Outcome:
    """Return the outcome with so much worn off each face, an array of any shape."""
    faces = base.parts.faces.friction_faces
    with np.errstate(all="ignore"):
        parts = worn(base.parts, faces * np.asarray(wear_mm, float), readjusted=readjusted)
        return replace(base, parts=parts, shape=np.shape(wear_mm))


def _first_crossing(
    line: Line, wear_mm: Column, room: Column, at: Callable[[Values], Outcome]
) -> Crossing | None:
    """Return where a line is first crossed: between two rows, found by a root search."""
    below = room < 0
    if not below.any():
        return None
    first = int(below.argmax())
    if first == 0:
        return Crossing(line.name, line.severity, 0.0, True)
    found = bracketed_root(
        lambda w: np.asarray(line.room(at(w)), float),
        np.asarray(wear_mm[first - 1]),
        np.asarray(wear_mm[first]),
    )
    return Crossing(line.name, line.severity, float(found), False)


def _in_order(crossings: list[Crossing]) -> list[Crossing]:
    """Return what is met in the order of wear; one that drags hard when new is told so alone."""
    hard = any(c.name == "drags-hard" and c.when_new for c in crossings)
    told = [c for c in crossings if not (hard and c.name == "drags")]
    return sorted(told, key=lambda c: c.wear_mm)


def _columns(outcome: Outcome, wear_mm: Column, sound: Values) -> dict[str, Column]:
    values = {
        "clamp_force_n": outcome.parts.clamp_force_n,
        "torque_nm": outcome.capacity_nmm / NMM_PER_NM,
        "slip_margin": outcome.slip_margin,
        "peak_hand_force_n": outcome.peak.hand_force_n,
        "hand_force_n": outcome.full.hand_force_n,
        "take_up_mm": outcome.clutch_end.take_up_mm,
        "wear_to_riding_mm": outcome.clutch_end.wear_to_riding_mm,
        "separation_mm": np.maximum(outcome.separation_signed_mm, 0.0),
        "clearance_per_face_mm": outcome.clearance_per_face_mm,
    }
    pack = wear_mm * outcome.parts.faces.friction_faces
    blank = {k: np.where(sound, v, np.nan) for k, v in values.items()}
    return {"wear_mm": wear_mm, "pack_wear_mm": pack, **blank}


def _frees(mechanism: Mechanism, wear_mm: Column, *, readjusted: bool) -> Column:
    """Return the share of samples that free at each wear; NaN where nothing is uncertain.

    Each sample of `liftgeo.known` wears as the clutch itself does; one whose lever rides, or whose
    spring is loose, stays as it was when that began. Between knots its clearance runs straight.
    """
    found = draw(mechanism)
    if found is None or not len(wear_mm):
        return np.full(len(wear_mm), np.nan)
    places = np.linspace(0, len(wear_mm) - 1, min(_MOST_KNOTS, len(wear_mm)))
    knots = np.unique(places.round().astype(int))

    def clearance(outcome: Outcome) -> Column:
        faces = outcome.parts.faces.friction_faces
        last = _LAST_OF_SPRING * np.asarray(outcome.parts.installed_deflection_mm) / faces
        if not readjusted:
            last = np.minimum(last, wear_to_riding_mm(outcome.parts) / faces)
        last = np.broadcast_to(last, outcome.shape)
        at = (np.minimum(wear_mm[k], last) for k in knots)
        rows = [_sized(outcome, w, readjusted=readjusted).clearance_per_face_mm for w in at]
        return np.array([np.broadcast_to(row, outcome.shape) for row in rows])

    at_knots = found.batch.worked(clearance, len(knots))[:, found.good]
    place = np.interp(np.arange(len(wear_mm)), knots, np.arange(len(knots)))
    before = np.minimum(place.astype(int), max(len(knots) - 2, 0))
    after = np.minimum(before + 1, len(knots) - 1)
    along = (place - before)[:, None]
    between = (1 - along) * at_knots[before] + along * at_knots[after]
    freed: Column = np.mean(between >= 0, axis=1)
    return freed


FOLLOWED_TO = ("faces.wear_limit", "faces.facing_thickness")
"""Keys that say how far a facing may wear, the first that is given counts."""


def _range_mm(mechanism: Mechanism, ends: list[float]) -> float:
    """Return how far to go: to the wear limit, the facing's thickness, or what ends it first."""
    for name in FOLLOWED_TO:
        if name in mechanism.keys:
            return float(mechanism.keys[name])
    return min(end for end in ends if not math.isnan(end))


def wear(mechanism: Mechanism, *, readjusted: bool = False, rows: int = 61) -> WearStudy:
    """Return what happens as the facing wears to its limit.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`, or `.changed(...)`.
    readjusted : bool
        True: float and free play are set again as they were; False: nobody touches them.
    rows : int
        Rows of the table, from no wear to the wear limit, 2 at least.

    Raises
    ------
    RequestError
        Fewer than 2 rows, or a file that does not give the whole clutch.

    Notes
    -----
    Each face loses w, the pressure plate sinks by w times the faces that wear. The spring eases by
    as much, the rod's float shrinks by it times the finger ratio, then the free play. The load
    that closes the cushion stays that of the file. Source: derived in docs/theory.md, "The clutch
    end". All wear goes through one batch.
    """
    if rows < FEWEST_ROWS:
        raise RequestError(f"{rows} rows are too few; at least {FEWEST_ROWS}.")
    mechanism.need_full("The wear of a clutch")
    base = analysed(mechanism)
    faces = float(base.parts.faces.friction_faces)
    loose = float(base.parts.installed_deflection_mm) / faces
    riding = math.nan if readjusted else float(wear_to_riding_mm(base.parts)) / faces
    limit = float(mechanism.keys.get("faces.wear_limit", math.nan))
    end = _range_mm(mechanism, [riding, _LAST_OF_SPRING * loose])
    wear_mm: Column = np.linspace(0.0, end, rows)
    reach = min(x for x in (end, riding, _LAST_OF_SPRING * loose) if not math.isnan(x))
    sound = wear_mm <= reach + TOLERANCE_MM

    def at(value: Values) -> Outcome:
        return _sized(base, value, readjusted=readjusted)

    with np.errstate(all="ignore"):
        outcome = at(np.minimum(wear_mm, reach))
        sound = sound & (np.asarray(outcome.parts.clamp_force_n) > 0)
        outcome.check_finite(mechanism.called, sound)
        columns = _columns(outcome, wear_mm, sound)
        columns["frees"] = np.full(rows, np.nan)
        columns["frees"][sound] = _frees(mechanism, wear_mm[sound], readjusted=readjusted)
        walked = np.minimum(wear_mm, reach)
        found = []
        for line in LINES:
            room = np.broadcast_to(np.asarray(line.room(outcome), float), walked.shape)
            found.append(_first_crossing(line, walked, room, at))
        codes = np.broadcast_to(outcome.verdict, wear_mm.shape)
    for name, where in (("lever-rides", riding), ("spring-loose", loose), ("wear-limit", limit)):
        if where <= end + TOLERANCE_MM:
            found.append(Crossing(name, STOP, where, where <= TOLERANCE_MM))
    crossings = _in_order([c for c in found if c is not None])
    return WearStudy(
        mechanism.title,
        mechanism.change,
        readjusted,
        round(faces),
        limit,
        riding,
        loose,
        columns,
        tuple(VERDICTS[int(c)] if good else "" for c, good in zip(codes, sound, strict=True)),
        tuple(crossings),
        mechanism,
    )
