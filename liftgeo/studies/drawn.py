"""The mechanism as points and shapes at any place of its stroke: what a drawing is made from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from liftgeo.chain import FACES_PART as PARTED
from liftgeo.chain import Position
from liftgeo.errors import QuantityError, RequestError
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.at_hand import coordinate_at
from liftgeo.outcome.csv_text import csv_text
from liftgeo.outcome.html_table import html_table
from liftgeo.outcome.outcome import EVENTS, Outcome, analysed
from liftgeo.outcome.results import plain
from liftgeo.outline.links import Outline, Point, outline
from liftgeo.outline.shapes import Gap, Stand, StopAngle, View
from liftgeo.outline.svg import svg_of
from liftgeo.outline.views import views
from liftgeo.quantities import read

REST, FACES_PART, FULL_LEVER, ASKED = "rest", "faces-part", "full-lever", "asked"
"""What the drawn places of the stroke are called."""

MAGNIFICATIONS = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
"""How many times wider a gap may be drawn than it is."""
_WIDEST_OF_PACK = 0.5  # all gaps at full lever, as drawn, over the thickness of a plate


@dataclass(frozen=True, eq=False)
class DrawnPosition:
    """One place of the stroke.

    Attributes
    ----------
    name : {"rest", "faces-part", "full-lever", "asked"}
    hand_travel_mm, separation_mm : float
        How far the hand has come, and the faces have parted [mm]; NaN where not known.
    points : dict of array or None
        `lever_pivot`, `lever_pin`, `lever_stop`, `lever_hand`, `arm_pivot`, `arm_pin`, `arm_stop`,
        each [x, y] in the frame of its link [mm]; None where the kind has no such point.
    stand : Stand
        What each part has turned or moved.
    lever_moment_arm_mm, arm_moment_arm_mm : float
        Of the cable about both pivots [mm].
    cable_to_lever_deg, cable_to_arm_deg : float
        Angle at the pin between the line to the pivot and the cable [deg]; NaN where not known.
    hand_force_n : float
        Pulling [N]; NaN where not known.
    """

    name: str
    hand_travel_mm: float
    separation_mm: float
    points: dict[str, Point | None]
    stand: Stand
    lever_moment_arm_mm: float
    arm_moment_arm_mm: float
    cable_to_lever_deg: float
    cable_to_arm_deg: float
    hand_force_n: float


@dataclass(frozen=True, eq=False, repr=False)
class Drawn:
    """A mechanism ready to be drawn; `to_dict` has the shape of the JSON.

    Attributes
    ----------
    mechanism : Mechanism
    positions : tuple of DrawnPosition
        Rest, where the faces part (if they do) and full lever; or the places asked for.
    gaps : tuple of Gap
        Least distances through the stroke between what the file outlines.
    stop_angles : tuple of StopAngle
        Greatest angle of each cable to the hole of its stop, where the file outlines anything.
    assumed : tuple of str
        Keys that place one of the points and are not in the file.
    dashed : tuple of str
        Those, and all others that the form of a part needs: such parts are drawn dashed.
    full : DrawnPosition
        Full lever, whatever was asked for.
    magnified : float
        How many times wider the gaps between plates are drawn than they are.
    """

    mechanism: Mechanism
    positions: tuple[DrawnPosition, ...]
    gaps: tuple[Gap, ...]
    assumed: tuple[str, ...]
    dashed: tuple[str, ...]
    full: DrawnPosition
    magnified: float
    outline: Outline
    stop_angles: tuple[StopAngle, ...] = ()

    def views(self, position: DrawnPosition, points: Outline | None = None) -> dict[str, View]:
        """Return every view at a position, by name: plain lines and circles, no picture.

        Parameters
        ----------
        position : DrawnPosition
            One of `positions`, or any that `at` returned.
        points : Outline, optional
            Lever and arm in another frame than their own.
        """
        return views(
            self.mechanism,
            position.stand,
            self.full.stand,
            points=points or self.outline.as_drawn(),
            magnified=self.magnified,
        )

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data, the shape of the JSON."""
        found: dict[str, Any] = plain(
            {
                "positions": [
                    {
                        "hand_travel_mm": p.hand_travel_mm,
                        "points": p.points,
                        "separation_mm": p.separation_mm,
                    }
                    for p in self.positions
                ],
                "gaps": list(self.gaps),
                "stop_angles": list(self.stop_angles),
                "assumed": list(self.assumed),
            }
        )
        return found

    def to_csv(self) -> str:
        """Return the points as CSV text, a row a position, metric; empty where there is none."""
        head = ["hand_travel_mm", "separation_mm"]
        head += [f"{name}_{axis}_mm" for name in self.positions[0].points for axis in "xy"]
        rows = []
        for p in self.positions:
            row: list[float] = [p.hand_travel_mm, p.separation_mm]
            for point in p.points.values():
                row += [math.nan, math.nan] if point is None else [float(x) for x in point]
            rows.append(row)
        return csv_text(head, rows)

    def _repr_html_(self) -> str:
        points = list(self.positions[0].points)
        rows = [
            (p.name, p.hand_travel_mm, *(_pair(p.points[point]) for point in points))
            for p in self.positions
        ]
        title = self.mechanism.title
        title += f" with {self.mechanism.change}" if self.mechanism.change else ""
        every = [self.views(position) for position in self.positions]
        # Plates at two places would lie over one another: the last alone.
        shown = {name: every[-1:] if name == "plates" else every for name in every[0]}
        drawings = [svg_of(name, [v[name] for v in places]) for name, places in shown.items()]
        table = html_table(title, rows, ("position", "hand_travel_mm", *points))
        return table + "".join(drawings)


def _pair(point: Point | None) -> str | None:
    return None if point is None else f"{point[0]:.2f}, {point[1]:.2f}"


def drawn(mechanism: Mechanism, at: str | float | Sequence[str | float] | None = None) -> Drawn:
    """Return where every point of lever and arm stands, and what else a drawing shows.

    Parameters
    ----------
    mechanism : Mechanism
        From `liftgeo.load`, or `.changed(...)`; lever and arm alone are enough.
    at : str or float, or several of them, optional
        Travel of the hand, "25mm", "1 in" or bare [mm], or a share of its full travel, "50%".
        Left out: rest, where the faces part (if they do), full lever.

    Raises
    ------
    RequestError
        A place that is no travel, or that the stroke does not reach; with its range.

    Notes
    -----
    All places come from the solution that `liftgeo.stroke` finds. Each link stands in its own
    frame: pivot at the origin, +x to the cable stop, +y to the pin's side at rest; a file with
    points keeps its own frame.
    """
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)
        reach = float(outcome.full.hand_travel_mm)
        if at is None:
            named = _usual_places(mechanism, outcome)
        else:
            asked = [at] if isinstance(at, str | float | int) else list(at)
            if not asked:
                raise RequestError("No place of the stroke is asked for: at is empty.")
            travels = [_travel_mm(each, reach) for each in asked]
            named = [(ASKED, coordinate_at(outcome, "hand_travel_mm", x)) for x in travels]
        return _drawn_at(mechanism, outcome, named)


def drawn_at(mechanism: Mechanism, outcome: Outcome, share: float) -> Drawn:
    """Return a mechanism at a share of the hand's travel, from an outcome that is found already."""
    travel = share * float(outcome.full.hand_travel_mm)
    place = coordinate_at(outcome, "hand_travel_mm", travel)
    return _drawn_at(mechanism, outcome, [(ASKED, place)])


def frames(mechanism: Mechanism, count: int) -> Drawn:
    """Return a mechanism at places evenly spread over the travel of the hand, rest to full lever.

    Parameters
    ----------
    mechanism : Mechanism
    count : int
        Places, 2 at least.
    """
    if count < 2:
        raise RequestError(f"{count} frames are too few; at least 2.")
    with np.errstate(all="ignore"):
        outcome = analysed(mechanism)
        travels = np.linspace(0.0, float(outcome.full.hand_travel_mm), count)
        named = [(ASKED, coordinate_at(outcome, "hand_travel_mm", x)) for x in travels]
        return _drawn_at(mechanism, outcome, named)


def _usual_places(mechanism: Mechanism, outcome: Outcome) -> list[tuple[str, float]]:
    """Return rest, faces part where the file reaches so far and the stroke too, and full lever."""
    places = [(REST, 0.0)]
    parting = float(outcome.event_at[EVENTS.index(FACES_PART)])
    if mechanism.level == "full" and not math.isnan(parting):
        places.append((FACES_PART, parting))
    return [*places, (FULL_LEVER, float(outcome.end.at))]


def _travel_mm(asked: str | float, full_mm: float) -> float:
    """Return the hand travel that somebody asks for [mm]."""
    text = str(asked).strip()
    try:
        if text.endswith("%"):
            travel = full_mm * read(text[:-1].strip(), "ratio") / 100
        else:
            travel = float(read(asked if isinstance(asked, float | int) else text, "length"))
    except QuantityError as error:
        raise RequestError(
            f"at {text}: {error} Give a travel of the hand, such as 25mm, or a share of it, "
            "such as 50%."
        ) from None
    rounding = 1e-9 * max(full_mm, 1.0)
    if not -rounding <= travel <= full_mm + rounding:
        last = math.floor(full_mm * 10) / 10  # rounded down: what is named is reached
        raise RequestError(
            f"at {text} is outside the stroke: the hand travels from 0 to {last:.1f} mm."
        )
    return travel


def _drawn_at(mechanism: Mechanism, outcome: Outcome, named: list[tuple[str, float]]) -> Drawn:
    """Return a mechanism at stroke coordinates."""
    coordinates = np.array([*(at for _, at in named), float(outcome.end.at)])
    found = outcome.pulled_to(coordinates)
    points = outline(mechanism)
    framed = points.as_drawn()
    names = [*(name for name, _ in named), FULL_LEVER]
    every = [_position(mechanism, outcome, found, framed, k, name) for k, name in enumerate(names)]
    full = every[-1]
    magnified = _magnification(mechanism, full.separation_mm)
    placed = points.assumed
    gaps = tuple(Gap(g.what, float(g.utmost), float(g.at_hand_travel_mm)) for g in outcome.gaps)
    result = Drawn(mechanism, tuple(every[:-1]), gaps, placed, placed, full, magnified, points)
    result = replace(
        result,
        stop_angles=tuple(
            StopAngle(s.what, float(np.degrees(s.utmost)), float(s.at_hand_travel_mm))
            for s in outcome.stops
        ),
    )
    unknown = [key for view in result.views(full).values() for key in view.assumed]
    return replace(result, dashed=tuple(dict.fromkeys((*placed, *unknown))))


def _position(
    mechanism: Mechanism, outcome: Outcome, found: Position, framed: Outline, k: int, name: str
) -> DrawnPosition:
    """Return the k-th of several positions, without what the file does not reach."""

    def pick(value: Any) -> float:
        return float(np.broadcast_to(value, np.shape(found.at))[k])

    level, parts = mechanism.level, outcome.parts
    lift = level != "ratio"
    loaded, full = level in ("effort", "full"), level == "full"
    blade, arm = pick(found.lever_angle_rad), pick(found.arm_rotation_rad)
    apart = max(pick(found.at) - PARTED, 0.0) if full else math.nan
    stand = Stand(
        lever_angle_rad=blade,
        arm_rotation_rad=arm,
        unit_rotation_rad=pick(found.unit_rotation_rad) if lift else math.nan,
        lever_pull_mm=pick(found.cable_pull_mm),
        arm_pull_mm=pick(found.arm.pull_mm),
        rod_travel_mm=pick(found.rod_travel_mm) if lift else math.nan,
        lift_mm=pick(found.lift_mm) if lift else math.nan,
        separation_mm=apart,
        deflection_mm=pick(found.deflection_mm) if loaded else math.nan,
    )
    return DrawnPosition(
        name=name,
        hand_travel_mm=pick(found.hand_travel_mm),
        separation_mm=apart,
        points=framed.points(blade, arm),
        stand=stand,
        lever_moment_arm_mm=pick(found.lever_moment_arm_mm),
        arm_moment_arm_mm=pick(found.arm_moment_arm_mm),
        cable_to_lever_deg=float(np.degrees(parts.lever.link.cable_angle_rad(blade))),
        cable_to_arm_deg=float(np.degrees(parts.arm.link.cable_angle_rad(arm))),
        hand_force_n=pick(found.hand_force_n) if loaded else math.nan,
    )


def _magnification(mechanism: Mechanism, separation_mm: float) -> float:
    """Return how many times wider to draw the gaps: as far as they stay below a plate's width."""
    if not separation_mm > 0:
        return 1.0
    plate = 8.0
    for name in ("stack.friction_plate", "stack.friction_plate_free"):
        plate = float(mechanism.keys.get(name, plate))
    room = _WIDEST_OF_PACK * plate * 2 * float(mechanism.keys["faces.friction_plates"])
    return max((m for m in MAGNIFICATIONS if m * separation_mm <= room), default=1.0)
