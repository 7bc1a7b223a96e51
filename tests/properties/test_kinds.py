"""What is drawn by chance covers every kind that a file may give."""

from __future__ import annotations

import pytest
from hypothesis import Phase, find, settings
from mechanisms import SMOOTH, documents

from liftgeo.mechanism.tables import DEFAULT_KIND, TABLES

KINDS = [(table, kind) for table in SMOOTH for kind in TABLES[table]]
ONE = settings(max_examples=5, phases=[Phase.generate], database=None)


@pytest.mark.parametrize(("table", "kind"), KINDS)
def test_every_kind_is_drawn_as_itself(table: str, kind: str) -> None:
    drawn = find(documents(**{table: [kind]}), lambda _: True, settings=ONE)
    assert drawn[table].get("kind", DEFAULT_KIND.get(table)) == kind


def test_a_kind_that_nobody_draws_is_an_error() -> None:
    for table in SMOOTH:
        with pytest.raises(LookupError, match="of kind wedge"):
            find(documents(**{table: ["wedge"]}), lambda _: True, settings=ONE)
