"""The page of an answer, whole or partial."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism
    from liftgeo.outcome.known import Known
    from liftgeo.outcome.results import Result
    from liftgeo.studies.offers import Offer


def whole_page(
    result: Result,
    mechanism: Mechanism,
    units: str,
    name: str,
    known: Known | None,
    offers: Sequence[Offer] = (),
    *,
    full: bool = False,
) -> list[str]:
    """Return the page of an answer, one screen or in full; `name` as a next command takes it."""
    if mechanism.level == "full":
        from liftgeo.words.stroke_page import stroke_page

        return stroke_page(result, mechanism, units, name, known, offers, full=full)
    from liftgeo.words.partial_page import partial_page

    return partial_page(result, mechanism, units, name)
