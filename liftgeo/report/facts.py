"""What a write-up tells, worked out once: answer, how sure it is, changes, wear, working."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from liftgeo.mechanism import Mechanism
from liftgeo.outcome.analysis import stroke
from liftgeo.outcome.bands import Bands, bands_of
from liftgeo.outcome.known import Known, known
from liftgeo.outcome.results import Result
from liftgeo.studies.after_work import AfterWork, after_work
from liftgeo.studies.compare import Comparison, compare
from liftgeo.studies.diagnose import Diagnosis, diagnose
from liftgeo.studies.wear import WearStudy, wear
from liftgeo.web import Scene, scene
from liftgeo.words.certainty import with_the_bench

if TYPE_CHECKING:
    from liftgeo.formulas.result import Formula
    from liftgeo.mechanism.bench import Reading

_ROWS = 121


@dataclass(frozen=True, eq=False)
class Facts:
    """Everything that a write-up of one mechanism says.

    Attributes
    ----------
    stock, mechanism : Mechanism
        The file as it stands, and with the changes that the write-up is of laid over it.
    result : Result
    sure : Known or None
    bands : Bands or None
    comparison : Comparison or None
        The changes asked for, or all of the file's; None where there are none.
    worn : WearStudy or None
        None where the mechanism cannot be followed as it wears.
    working : Formula or None
        None where a part has no formula.
    scene : Scene
        The mechanism as it moves.
    bench : Diagnosis or None
        What readings from the bench say; None without readings.
    after : AfterWork or None
        Whether the changes did what the sums said; None without readings before and after.
    units : {"metric", "inch"}
    command, date : str
        What made the page, and when.
    """

    stock: Mechanism
    mechanism: Mechanism
    result: Result
    sure: Known | None
    bands: Bands | None
    comparison: Comparison | None
    worn: WearStudy | None
    working: Formula | None
    scene: Scene
    bench: Diagnosis | None
    after: AfterWork | None
    units: str
    command: str
    date: str


def facts_of(
    stock: Mechanism,
    changes: Sequence[str] = (),
    *,
    before: Sequence[Reading] = (),
    after: Sequence[Reading] = (),
    units: str = "metric",
    command: str = "",
    date: str = "",
) -> Facts:
    """Return everything that a write-up says; arguments as of `write_up`.

    Raises
    ------
    RequestError
        A change that the file does not have, or a file that does not give the whole clutch.
    GeometryError
        A change that cannot be analysed.
    """
    mechanism = stock.changed(*changes) if changes else stock
    mechanism.need_full("A write-up")
    result = stroke(mechanism, _ROWS)
    sure, compared = known(mechanism), None
    if stock.changes:
        compared = compare(stock, changes, together=len(changes) > 1, positions=_ROWS)
    return Facts(
        stock,
        mechanism,
        with_the_bench(result, sure, units),
        sure,
        bands_of(mechanism, result),
        compared,
        wear(mechanism),
        _working(mechanism),
        scene(mechanism, units),
        diagnose(mechanism) if mechanism.readings else None,
        after_work(stock, changes, tuple(before), tuple(after)) if before or after else None,
        units,
        command,
        date,
    )


def _working(mechanism: Mechanism) -> Formula | None:
    from liftgeo.errors import RequestError
    from liftgeo.formulas import formula

    try:
        return formula(mechanism)
    except RequestError:
        return None  # a kind of part that has no formula
