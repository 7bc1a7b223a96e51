"""Documents drawn by number, most of them spoiled somewhere: the same number gives the same one."""

from __future__ import annotations

import copy
import random
from typing import Any

from clutches import CHANGES, KINDS, document

from liftgeo.mechanism.key_facts import inner_table
from liftgeo.mechanism.tables import TABLES, Table

Document = dict[str, Any]

# No text with a unit stands here but the plainest: what a text means only reading it tells.
VALUES: tuple[Any, ...] = (
    0, 1, 2, -1, 0.5, 12.5, 26, 45.0, 90, 180, 1e13, 1e-13, -1e13, 2.5, 1000, True, False, "", "x",
    "26", "12.5 mm", "wet", "pin", "drum", "push", "pull", [], [1], [0, 1], [0, 1, 2], ["0", "1"],
    [0, 1, "x"], [True, 2], [[0, 1]], {}, {"x": 1}, {"pivot": [0, 0]}, "held", "coils", "moulded",
    {"diameter": 2.0}, {"stiffness": 300},
)  # fmt: skip


def _homes(table: str) -> list[str]:
    """Return every dotted key that some kind of a table takes."""
    found: list[str] = []

    def walk(model: type[Table], prefix: str) -> None:
        for name, info in model.model_fields.items():
            inner = inner_table(info)
            found.append(prefix + name)
            if inner is not None:
                walk(inner, f"{prefix}{name}.")

    for model in TABLES[table].values():
        walk(model, f"{table}.")
    return found


KEYS = [key for table in TABLES for key in _homes(table)]
STRANGE = ["lever.nippel", "cable.x", "rod.Kind", "gearbox.ratio", "faces.note", "arm.points.tip"]


def drawn(number: int) -> Document:
    """Return the document of a number: every kind comes up, and none to three spoiled places."""
    rng = random.Random(number)
    tables = {
        table: copy.deepcopy(rng.choice(list(kinds.values())))
        for table, kinds in KINDS.items()
        if rng.random() < 0.4
    }
    found = document(**tables)
    if rng.random() < 0.3:
        found["changes"] = copy.deepcopy(CHANGES)
    for _ in range(rng.choice((0, 1, 1, 1, 2, 3))):
        _spoil(found, rng)
    return found


def _spoil(whole: Document, rng: random.Random) -> None:
    how = rng.choice(("value", "value", "value", "drop", "drop", "table", "change", "title"))
    if how == "title":
        whole["title"] = rng.choice(("A clutch", "", 5, True, ["x"]))
    elif how == "table":
        table = rng.choice(list(TABLES))
        if rng.random() < 0.5:
            whole.pop(table, None)
        else:
            whole[table] = rng.choice((5, "x", [], {}, {"kind": "pin"}))
    elif how == "change":
        change = whole.setdefault("changes", {}).setdefault(rng.choice(("longer-arm", "new")), {})
        change["note"] = rng.choice(("a note", "", 5, True, ["x"]))
        _put(change, rng.choice([*KEYS, *STRANGE]), rng.choice(VALUES))
    elif how == "drop":
        table = whole.get(rng.choice(list(TABLES)))
        if isinstance(table, dict) and table:
            del table[rng.choice(list(table))]
    else:
        given = [f"{t}.{k}" for t, own in whole.items() if isinstance(own, dict) for k in own]
        key = rng.choice(rng.choice((given, KEYS, STRANGE)))
        if not key.startswith("changes."):
            _put(whole, key, rng.choice(VALUES))


def _put(whole: Document, dotted: str, value: Any) -> None:
    *tables, name = dotted.split(".")
    for table in tables:
        inner = whole.get(table)
        if not isinstance(inner, dict):
            inner = whole[table] = {}
        whole = inner
    whole[name] = copy.deepcopy(value)
