"""Warnings about measured tables: play that was read along at their head."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from liftgeo.cautions.findings import Findings
from liftgeo.cautions.rule import CAUTION, Case, Caution
from liftgeo.cautions.stroke_rules import COMMON
from liftgeo.mechanism.laying import kind_of
from liftgeo.parts.values import Values

FLAT_SHARE = 0.5
"""A first step flatter than this share of the usual one was not driven from its beginning."""


@dataclass(frozen=True, eq=False, repr=False)
class Readings:
    """A measured table: its name, kind and two columns, and where its play belongs."""

    table: str
    kind: str
    across: str
    up: str
    belongs: str


MEASURED = (
    Readings("lever", "profile", "angle", "pull", "cable.free_play"),
    Readings("arm", "profile", "angle", "pull", "cable.free_play"),
    Readings("release", "profile", "angle", "travel", "rod.end_float"),
    Readings("spring", "table", "deflection", "load", ""),
)


def _columns(outcome: Findings, readings: Readings) -> tuple[Values, Values] | None:
    """Return both columns, readings last; None where there is no such table, or no third."""
    keys, table = outcome.keys, readings.table
    if kind_of(keys, table) != readings.kind:
        return None
    x, y = (np.asarray(keys[f"{table}.{n}"], float) for n in (readings.across, readings.up))
    return (x, y) if x.shape[-1] >= 3 else None


def _flat_steps(x: Values, y: Values) -> Values:
    """Return how many steps at the head are much flatter than the rest; 0: none."""
    chords = np.diff(y, axis=-1) / np.diff(x, axis=-1)
    usual = np.median(chords[..., 1:], axis=-1)
    flat = chords < FLAT_SHARE * usual[..., None]
    count = np.cumprod(flat, axis=-1).sum(axis=-1)
    return np.where(count < chords.shape[-1], count, 0)


def _read_along(outcome: Findings, readings: Readings) -> Values:
    columns = _columns(outcome, readings)
    return np.asarray(False) if columns is None else _flat_steps(*columns) > 0


def _any(outcome: Findings) -> Values:
    found: Values = np.asarray(False)
    for readings in MEASURED:
        found = found | _read_along(outcome, readings)
    return found


def _listed(values: Values) -> str:
    return "[" + ", ".join(f"{value:.5g}" for value in values + 0.0) + "]"


def _own(case: Case, column: Values) -> Values:
    """Return this element's own readings."""
    return column[case.index] if column.ndim > 1 else column


def _line(readings: Readings, x: Values, y: Values) -> str:
    """Return what to write instead, for one mechanism's readings."""
    flat = int(_flat_steps(x, y))
    chord = (y[flat + 1] - y[flat]) / (x[flat + 1] - x[flat])
    name = readings.table
    head = f"{name}.{readings.up} hardly rises from {readings.across} {x[0]:.5g} to {x[flat]:.5g}"
    if readings.belongs:
        play = chord * (x[flat] - x[0]) - (y[flat] - y[0])
        return (
            f"{head}, then steeply: about {play:.2f} mm of play were read along. Leave out the "
            f"head, {name}.{readings.across} = {_listed(x[flat:])} and {name}.{readings.up} = "
            f"{_listed(y[flat:])}, and count the play in {readings.belongs}."
        )
    play = (x[flat] - x[0]) - (y[flat] - y[0]) / chord
    begins = np.append(0.0, x[flat:] - x[0] - play)
    loads = np.append(0.0, y[flat:])
    return (
        f"{head}, then steeply: about {play:.2f} mm were pressed before the spring bore. Count "
        f"from where it bears, {name}.{readings.across} = {_listed(begins)} and "
        f"{name}.{readings.up} = {_listed(loads)}, and take as much off "
        "spring.installed_deflection."
    )


def _words(case: Case) -> str:
    said = []
    for readings in MEASURED:
        columns = _columns(case.outcome, readings)
        if columns is not None and case(_read_along(case.outcome, readings)):
            said.append(_line(readings, *(_own(case, column) for column in columns)))
    return " ".join([*said, "If the law really begins so flat, leave it as it is."])


TABLE_CAUTIONS: tuple[Caution, ...] = (Caution("slack-in-table", CAUTION, COMMON, _any, _words),)
