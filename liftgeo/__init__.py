"""Analyse the lever, cable, arm, release unit and rod that release a friction clutch.

Names are imported when first used: printing the command line's help loads no NumPy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from liftgeo.version import __version__

if TYPE_CHECKING:
    from liftgeo.errors import (
        Fault,
        FileError,
        GeometryError,
        LiftgeoError,
        QuantityError,
        Reason,
        RequestError,
    )
    from liftgeo.figures.measuring_pages import measuring_sheet
    from liftgeo.formulas import formula
    from liftgeo.geometry_file import load, load_readings, loads
    from liftgeo.mechanism import Mechanism
    from liftgeo.mechanism.bench import Reading
    from liftgeo.outcome.analysis import stroke
    from liftgeo.outcome.at_hand import position
    from liftgeo.outcome.batches import Batch, batch
    from liftgeo.outcome.known import Known, known
    from liftgeo.outcome.results import Result
    from liftgeo.report import WriteUp, write_up
    from liftgeo.studies.after_work import after_work
    from liftgeo.studies.compare import compare
    from liftgeo.studies.diagnose import diagnose
    from liftgeo.studies.drawn import drawn
    from liftgeo.studies.marks import load_marks
    from liftgeo.studies.offers import offers
    from liftgeo.studies.plan import plan
    from liftgeo.studies.remedies import remedies
    from liftgeo.studies.sensitivity import sensitivity
    from liftgeo.studies.size import size
    from liftgeo.studies.trace import trace
    from liftgeo.studies.wear import wear

_HOMES = {
    "Batch": "outcome.batches",
    "Fault": "errors",
    "FileError": "errors",
    "GeometryError": "errors",
    "Known": "outcome.known",
    "LiftgeoError": "errors",
    "Mechanism": "mechanism",
    "QuantityError": "errors",
    "Reading": "mechanism.bench",
    "Reason": "errors",
    "RequestError": "errors",
    "Result": "outcome.results",
    "WriteUp": "report",
    "after_work": "studies.after_work",
    "batch": "outcome.batches",
    "compare": "studies.compare",
    "drawn": "studies.drawn",
    "diagnose": "studies.diagnose",
    "formula": "formulas",
    "known": "outcome.known",
    "load": "geometry_file",
    "load_marks": "studies.marks",
    "load_readings": "geometry_file",
    "loads": "geometry_file",
    "measuring_sheet": "figures.measuring_pages",
    "offers": "studies.offers",
    "plan": "studies.plan",
    "position": "outcome.at_hand",
    "remedies": "studies.remedies",
    "sensitivity": "studies.sensitivity",
    "size": "studies.size",
    "stroke": "outcome.analysis",
    "trace": "studies.trace",
    "wear": "studies.wear",
    "write_up": "report",
}

__all__ = [
    "Batch",
    "Fault",
    "FileError",
    "GeometryError",
    "Known",
    "LiftgeoError",
    "Mechanism",
    "QuantityError",
    "Reading",
    "Reason",
    "RequestError",
    "Result",
    "WriteUp",
    "__version__",
    "after_work",
    "batch",
    "compare",
    "diagnose",
    "drawn",
    "formula",
    "known",
    "load",
    "load_marks",
    "load_readings",
    "loads",
    "measuring_sheet",
    "offers",
    "plan",
    "position",
    "remedies",
    "sensitivity",
    "size",
    "stroke",
    "trace",
    "wear",
    "write_up",
]


def __getattr__(name: str) -> Any:
    """Import a public name from its home on first use."""
    if name not in _HOMES:
        raise AttributeError(f"module 'liftgeo' has no attribute '{name}'")
    value = getattr(import_module(f"liftgeo.{_HOMES[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
