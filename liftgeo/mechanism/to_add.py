"""What a file would need for a fuller answer, table by table in the order of the answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.errors import Fault
from liftgeo.mechanism import needs
from liftgeo.mechanism.tables import REQUIRED_TABLES, TABLES

if TYPE_CHECKING:
    from liftgeo.mechanism import Mechanism


def to_add(mechanism: Mechanism) -> tuple[Fault, ...]:
    """Return what is needed and not there, of every table: nothing where the answer is full.

    Of a table that is missing as a whole its kind is asked first, where it has kinds.
    """
    found = list(mechanism.lacking)
    said = {"spring" if f.key.startswith("stack.") else f.key.split(".")[0] for f in found}
    for table in REQUIRED_TABLES:
        if table in mechanism.tables or table in said:
            continue
        if "" in TABLES[table]:
            found += needs.missing({}, frozenset({table}))
        elif f"{table}.kind" not in mechanism.given:  # else it waits for another table
            kinds = ", ".join(f'"{kind}"' for kind in TABLES[table])
            what = "Needed, and not given: which kind it is."
            found.append(Fault(f"{table}.kind", "", what, f"One of {kinds}.", "not given"))
    order = list(TABLES)
    return tuple(sorted(found, key=lambda fault: order.index(fault.key.split(".")[0])))
