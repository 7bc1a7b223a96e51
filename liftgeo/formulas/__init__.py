"""The chain in symbols and in a mechanism's numbers; exact derivatives of its rigid part."""

from __future__ import annotations

from liftgeo.formulas.page import as_data, as_latex, as_markdown, as_text
from liftgeo.formulas.rigid import RigidDerivative, rigid_derivatives
from liftgeo.formulas.sheet import Identity, Line, Section, Working
from liftgeo.formulas.working import SUBJECTS, worked

__all__ = [
    "SUBJECTS",
    "Identity",
    "Line",
    "RigidDerivative",
    "Section",
    "Working",
    "as_data",
    "as_latex",
    "as_markdown",
    "as_text",
    "rigid_derivatives",
    "worked",
]
