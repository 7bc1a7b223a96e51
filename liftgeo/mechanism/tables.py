"""The tables of a geometry file: which there are, and of which kinds.

A key left out is None unless its table gives a default. Which keys are needed is in `needs`, which
stand for each other in `laying`, what must hold between keys in `rules`.
"""

from __future__ import annotations

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
    BallRampTable,
    CableTable,
    CrankTable,
    EccentricTable,
    LeverDrum,
    LeverPin,
    LeverProfile,
    QuickThreadTable,
    RackTable,
    ReleaseProfile,
    RodTable,
)
from liftgeo.mechanism.table import Table

__all__ = ["DEFAULT_KIND", "REQUIRED_TABLES", "TABLES", "Table"]

TABLES: dict[str, dict[str, type[Table]]] = {
    "lever": {"pin": LeverPin, "drum": LeverDrum, "profile": LeverProfile},
    "cable": {"": CableTable},
    "arm": {"pin": ArmPin, "drum": ArmDrum, "profile": ArmProfile},
    "release": {
        "ball-ramp": BallRampTable,
        "quick-thread": QuickThreadTable,
        "rack": RackTable,
        "crank": CrankTable,
        "eccentric": EccentricTable,
        "profile": ReleaseProfile,
    },
    "rod": {"": RodTable},
    "spring": {"coned-disc": ConedDiscTable, "coils": CoilsTable, "table": SpringTable},
    "stack": {"": StackTable},
    "faces": {"": FacesTable},
    "bearing": {"deep-groove": DeepGrooveTable, "angular-contact": AngularContactTable},
    "warm": {"": WarmTable},
    "engine": {"": EngineTable},
    "targets": {"": TargetsTable},
}

REQUIRED_TABLES = ("lever", "cable", "arm", "release", "rod", "spring", "faces")
DEFAULT_KIND = {"lever": "pin", "arm": "pin"}
