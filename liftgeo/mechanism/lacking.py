"""What a file lacks: needed keys that are not given, and what is taken as missing with them."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from liftgeo.errors import Fault
from liftgeo.mechanism import needs
from liftgeo.mechanism.laying import ALTERNATIVES, Flat, covers
from liftgeo.mechanism.tables import NEEDED_TABLES

_USUAL_TABLES = ("cable", "rod")
"""Every number of these may be left out: what is half said is taken as not said."""


def _table(dotted: str) -> str:
    return dotted.split(".")[0]


def apart(faults: Iterable[Fault], left_out: str) -> tuple[list[Fault], list[Fault]]:
    """Return what has to be put right, and what is only lacking.

    Parameters
    ----------
    faults : iterable of Fault
    left_out : {"usual", "nothing"}
        Where nothing is taken for what is left out, a wire half said would count as rigid.
    """
    wrong = (*NEEDED_TABLES, *(_USUAL_TABLES if left_out == "nothing" else ()))
    found: tuple[list[Fault], list[Fault]] = [], []
    for fault in faults:
        found[bool(fault.absent) and _table(fault.key) not in wrong].append(fault)
    return found


def _of_the_pack(keys: Flat, left_out: str) -> list[str]:
    """Return the keys of the faces that say how high the stack is; none where it is not asked."""
    if "stack.rim_depth" not in keys:
        return []
    free = "stack.friction_plate" not in keys and left_out == "usual"
    return ["faces.friction_plates", *(["faces.cushion_travel"] if free else [])]


def without(
    keys: Flat, lacking: Collection[Fault], left_out: str
) -> tuple[Flat, set[str], list[Fault]]:
    """Return the keys that can be used, the tables that count as missing, and all that is lacking.

    A table that lacks a key counts as missing; of cable and rod only what hangs on the key does.
    The spring counts as missing where the stack that presses it is not known whole.
    """
    lacking, keys = list(lacking), dict(keys)
    if left_out == "nothing" and "faces.friction_plates" in keys and "faces.friction" not in keys:
        lacking.append(needs.not_given("faces.friction"))
    gone: set[str] = set()
    for fault in lacking:
        table = _table(fault.key)
        if table not in _USUAL_TABLES:
            gone.add("spring" if table == "stack" else table)
            continue
        said = next(o for group in ALTERNATIVES for o in group if covers(o, fault.key))
        keys = {key: value for key, value in keys.items() if not covers(said, key)}
    pack = _of_the_pack(keys, left_out)
    if "faces" in gone or not any(key.startswith("faces.") for key in keys):
        if any(key not in keys for key in pack):
            gone.add("spring")
        kept = [] if "spring" in gone else pack
        keys = {k: v for k, v in keys.items() if _table(k) != "faces" or k in kept}
    keys = {k: v for k, v in keys.items() if _table(k) not in gone - {"faces"}}
    return keys, gone, lacking
