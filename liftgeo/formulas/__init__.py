"""The chain in symbols and in a mechanism's numbers; SymPy is loaded when one is asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from liftgeo.formulas.result import Formula
    from liftgeo.mechanism import Mechanism

SUBJECTS = ("clearance", "effort", "advantage", "spring", "capacity")
"""The questions a working may answer."""


def formula(mechanism: Mechanism, subject: str | None = None) -> Formula:
    """Return the working of a mechanism, in symbols and with its numbers put in line by line.

    Parameters
    ----------
    mechanism : Mechanism
    subject : {"clearance", "effort", "advantage", "spring", "capacity"}, optional
        The question it is to answer; without it everything.

    Raises
    ------
    RequestError
        A subject that is not known, a kind of part that has no formula, or a partial file.

    Notes
    -----
    Source of each law: docs/theory.md.
    """
    from liftgeo.formulas.working import worked

    mechanism.need_full("The working")
    return worked(mechanism, subject)
