"""The tables of a geometry file: which there are, and of which kinds.

A key left out is None unless its table gives a default. Which keys are needed is in `needs`, which
stand for each other in `laying`, what must hold between keys in `rules`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from liftgeo.kinds import KINDS
from liftgeo.mechanism.clutch_tables import (
    AngularContactTable,
    CoilsTable,
    ConedDiscTable,
    DeepGrooveTable,
    EngineTable,
    FacesTable,
    SpringTable,
    StackTable,
    TargetsTable,
    WarmTable,
)
from liftgeo.mechanism.linkage_tables import (
    ArmDrum,
    ArmPin,
    ArmProfile,
    CableTable,
    LeverDrum,
    LeverPin,
    LeverProfile,
    RodTable,
)
from liftgeo.mechanism.outline_tables import CasingTable, GripTable
from liftgeo.mechanism.release_tables import RELEASE_UNITS
from liftgeo.mechanism.table import Table

__all__ = ["DEFAULT_KIND", "NEEDED_TABLES", "REQUIRED_TABLES", "TABLES", "Table"]


def _by_kind(table: str, *models: type[Table]) -> dict[str, type[Table]]:
    """Return the models of a table under the names of their kinds, in the order of `KINDS`."""
    return dict(zip(KINDS[table], models, strict=True))


class _OfUnits(Mapping[str, type[Table]]):
    """The tables of the release units, as `RELEASE_UNITS` has them."""

    def __getitem__(self, kind: str) -> type[Table]:
        return RELEASE_UNITS[kind].table

    def __iter__(self) -> Iterator[str]:
        return iter(RELEASE_UNITS)

    def __len__(self) -> int:
        return len(RELEASE_UNITS)


TABLES: dict[str, Mapping[str, type[Table]]] = {
    "lever": _by_kind("lever", LeverPin, LeverDrum, LeverProfile),
    "grip": {"": GripTable},
    "cable": {"": CableTable},
    "arm": _by_kind("arm", ArmPin, ArmDrum, ArmProfile),
    "casing": {"": CasingTable},
    "release": _OfUnits(),
    "rod": {"": RodTable},
    "spring": _by_kind("spring", ConedDiscTable, CoilsTable, SpringTable),
    "stack": {"": StackTable},
    "faces": {"": FacesTable},
    "bearing": _by_kind("bearing", DeepGrooveTable, AngularContactTable),
    "warm": {"": WarmTable},
    "engine": {"": EngineTable},
    "targets": {"": TargetsTable},
}

REQUIRED_TABLES = ("lever", "cable", "arm", "release", "rod", "spring", "faces")
NEEDED_TABLES = ("lever", "arm")
"""Without these nothing can be told; without others the answer is partial."""
DEFAULT_KIND = {"lever": "pin", "arm": "pin"}
