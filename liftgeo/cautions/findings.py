"""What warnings need of an outcome: its findings, whoever works them out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from liftgeo.chain import Parts, Position
from liftgeo.chain.stop import StrokeEnd
from liftgeo.mechanism.inward import Inward
from liftgeo.outline.gaps import Through
from liftgeo.parts.bearing import Bearing
from liftgeo.parts.release import BallRamp
from liftgeo.parts.rim import RimPlane
from liftgeo.parts.spring import ConedDisc
from liftgeo.parts.values import Index, Values

if TYPE_CHECKING:
    from liftgeo.cautions.rule import Caution

# ruff: noqa: D102 - what each member is stands with the class that works it out.


class ClutchEndFindings(Protocol):
    """What is found at the clutch end, of one mechanism or many."""

    @property
    def allowed_ball_pressure_mpa(self) -> Values: ...

    @property
    def ball_pressure_mpa(self) -> Values: ...

    @property
    def ball_ramp(self) -> BallRamp | None: ...

    @property
    def breaking_load_n(self) -> Values: ...

    @property
    def disc(self) -> ConedDisc | None: ...

    @property
    def drag_share(self) -> Values: ...

    @property
    def drag_share_low(self) -> Values: ...

    @property
    def edge_pressure_mpa(self) -> Values: ...

    @property
    def forced_tension_n(self) -> Values: ...

    @property
    def formula_bias_ratio(self) -> Values: ...

    @property
    def greatest_rod_force_n(self) -> Values: ...

    @property
    def greatest_tension_n(self) -> Values: ...

    @property
    def grip_ends_it(self) -> Values: ...

    @property
    def hot(self) -> Findings | None: ...

    @property
    def hot_wear_to_riding_mm(self) -> Values: ...

    @property
    def least_load_ratio(self) -> Values: ...

    @property
    def lets_itself_back(self) -> Values: ...

    @property
    def load_tolerance(self) -> tuple[Values, Values]: ...

    @property
    def oil_drag_nmm(self) -> Values: ...

    @property
    def over_centre(self) -> Values: ...

    @property
    def panic_force_n(self) -> float: ...

    @property
    def panic_tension_n(self) -> Values: ...

    @property
    def reference_stress_mpa(self) -> Values: ...

    @property
    def rim(self) -> RimPlane | None: ...

    @property
    def rod_buckling_load_n(self) -> Values: ...

    @property
    def self_return_n(self) -> Values: ...

    @property
    def slip_margin_low(self) -> Values: ...

    @property
    def take_up_mm(self) -> Values: ...

    @property
    def thrust_ratio(self) -> Values: ...

    @property
    def tip_radius_mm(self) -> Values: ...

    @property
    def tension_at_grip_n(self) -> Values: ...

    @property
    def turned(self) -> Findings | None: ...

    @property
    def wear_to_riding_mm(self) -> Values: ...

    @property
    def wet(self) -> Values: ...


class Findings(Protocol):
    """What is found of one mechanism or many."""

    @property
    def bearing_part(self) -> Bearing | None: ...

    @property
    def budget_left_mm(self) -> Sequence[Values]: ...

    @property
    def clearance_per_face_mm(self) -> Values: ...

    @property
    def clutch_end(self) -> ClutchEndFindings: ...

    @property
    def end(self) -> StrokeEnd: ...

    @property
    def events(self) -> Position: ...

    @property
    def full(self) -> Position: ...

    @property
    def gaps(self) -> Sequence[Through]: ...

    @property
    def keys(self) -> Inward: ...

    @property
    def parts(self) -> Parts: ...

    @property
    def peak(self) -> Position: ...

    @property
    def raised(self) -> Mapping[Caution, Values]: ...

    @property
    def raised_somewhere(self) -> Sequence[tuple[Caution, Values]]: ...

    @property
    def separation_signed_mm(self) -> Values: ...

    @property
    def shape(self) -> tuple[int, ...]: ...

    @property
    def slip_margin(self) -> Values: ...

    @property
    def stop_names(self) -> tuple[str, ...]: ...

    @property
    def stops(self) -> Sequence[Through]: ...

    @property
    def verdict(self) -> Values: ...

    def picked(self, value: Values, index: Index) -> float:
        """Return one element of a value that broadcasts to the batch's shape, as a float."""
