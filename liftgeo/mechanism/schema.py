"""The JSON Schema of a geometry file, for editors and other programs.

Built from the file tables and from what is known about needed keys and alternatives. It covers
names, units as text, bounds and what must be given; what must hold between numbers (a triangle that
closes, a spring not pressed flat) only reading the file tells. Lever and arm must be whole; a later
table may lack keys, and the answer is then partial. A blank, "", counts as left out.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from typing import Any

from liftgeo.mechanism.bench import BenchTable
from liftgeo.mechanism.change_keys import AMOUNTS, NAMES
from liftgeo.mechanism.laying import ALTERNATIVES, STACK_GAP
from liftgeo.mechanism.needs import Need, needs, needs_with
from liftgeo.mechanism.remedy_goals import GOALS
from liftgeo.mechanism.tables import DEFAULT_KIND, NEEDED_TABLES, TABLES, Table
from liftgeo.mechanism.usual import (
    CONDITIONS,
    LEFT_OUT,
    Usual,
    UsualFor,
    sources_of,
    usual_text,
)

Schema = dict[str, Any]

_BLANK: Schema = {"const": "", "description": "left out"}

# What is said of a key beside its schema: put into its description, or drawn on by `needs`.
_SAID = {
    "title",
    "measure",
    "instead",
    "typical",
    "needed",
    "unless",
    "needed_with",
    "usual",
    "start",
}


def file_schema() -> Schema:
    """Return the JSON Schema (draft 7) of a geometry file, as plain data."""
    definitions: Schema = {}
    whole: Schema = {
        "title": {"type": "string", "description": "what the machine is called"},
        "condition": {
            "enum": [*CONDITIONS, ""],
            "description": "where in its range a usual value lies; left out: used",
        },
        "left_out": {
            "enum": [*LEFT_OUT, ""],
            "description": "what is left out is taken as usual, over its range, or as nothing (0 "
            "or rigid) and certain; left out: usual",
        },
    }
    whole["bench"] = _keys(BenchTable, definitions)
    partial: Schema = {
        "note": {"type": "string", "description": "what the change is"},
        **{term: _amount(words) for term, words in AMOUNTS.items()},
        **{term: _names(words) for term, words in NAMES.items()},
    }
    for table, kinds in TABLES.items():
        for kind, model in kinds.items():
            definitions[_name(table, kind)] = _keys(model, definitions)
        whole[table] = _by_kind(table, [_whole(table, kind) for kind in kinds], definitions)
        partial[table] = _of_any_kind(table, definitions)
    definitions["change"] = {
        "type": "object",
        "description": "a partial table of keys, laid over the file by name",
        "properties": partial,
        "additionalProperties": False,
    }
    whole["remedies"] = _remedies(definitions)
    whole["changes"] = {
        "type": "object",
        "description": "named changes: [changes.NAME]",
        "additionalProperties": {"$ref": _place("change")},
    }
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "liftgeo geometry file",
        "description": "Lever, cable, arm, release unit, rod, spring and faces of a clutch. Bare "
        "numbers are mm, N, deg, N·m, N/mm, N·m/deg, MPa, rev/min; text may carry another unit "
        'and what it may be out by 95 times in 100, as in "1 3/32 in" or "26.0 ± 0.2 mm", or a '
        'range, as in "0.05 to 0.4 mm". "none" or "rigid" says that there is none of it. What '
        "every machine has is taken as usual where it is left out, or blank.",
        "type": "object",
        "properties": whole,
        "required": list(NEEDED_TABLES),
        "additionalProperties": False,
        "allOf": [_fitted_height()],
        "definitions": definitions,
    }


def _name(table: str, kind: str) -> str:
    return f"{table}-{kind}" if kind else table


def _remedies(definitions: Schema) -> Schema:
    """Return the table of a file's own targets of remedies: the keys that remedies move."""
    tables: dict[str, Schema] = {}
    for table, kinds in TABLES.items():
        names = {key.split(".")[1] for key in GOALS if key.split(".")[0] == table}
        known: Schema = {}
        for kind in kinds:
            known |= definitions[_name(table, kind)]["properties"]
        if names:
            tables[table] = {
                "type": "object",
                "properties": {name: known[name] for name in sorted(names)},
                "additionalProperties": False,
            }
    return {
        "type": "object",
        "description": "what remedies are to bring numbers to, in place of what is common",
        "properties": tables,
        "additionalProperties": False,
    }


def _amount(words: str) -> Schema:
    options = [{"type": "number", "minimum": 0, "exclusiveMaximum": 1e12}, _BLANK]
    return {"description": words, "anyOf": options}


def _names(words: str) -> Schema:
    return {
        "description": words,
        "anyOf": [{"type": "array", "items": {"type": "string"}}, _BLANK],
    }


def _place(name: str) -> str:
    return f"#/definitions/{name}"


def _any_of(options: list[Schema]) -> Schema:
    return options[0] if len(options) == 1 else {"anyOf": options}


def _by_kind(table: str, options: list[Schema], definitions: Schema) -> Schema:
    """Return the schema of a table: by its kind, that of the kind, whose keys alone it may hold.

    The first `if` that holds names the wrong key; all keys of all kinds stand beside it, for an
    editor that offers them before a kind is written.
    """
    kinds = list(TABLES[table])
    if len(kinds) == 1:
        return options[0]
    rules = [
        {"if": _is_kind(table, kind), "then": option}
        for kind, option in zip(kinds, options, strict=True)
    ]
    offered = {
        key: {"description": schema["description"]}
        for kind in kinds
        for key, schema in definitions[_name(table, kind)]["properties"].items()
    }
    kind = {"description": _kinds_text(table), "enum": [*kinds, ""]}
    return {
        "type": "object",
        "description": _kinds_text(table),
        "properties": offered | {"kind": kind},
        "allOf": rules,
    }


def _is_kind(table: str, kind: str) -> Schema:
    """Return what holds where a table is of a kind: as written, or, left out, by default."""
    if DEFAULT_KIND.get(table) == kind:
        return {"properties": {"kind": {"enum": [kind, ""]}}}
    return {"properties": {"kind": {"const": kind}}, "required": ["kind"]}


def _kinds_text(table: str) -> str:
    kinds = ", ".join(TABLES[table])
    default = DEFAULT_KIND.get(table)
    return f"one of {kinds}" + (f"; left out: {default}" if default else "")


def _of_any_kind(table: str, definitions: Schema) -> Schema:
    """Return a table of a change: its keys, where it names a kind those of that kind alone."""
    kinds = list(TABLES[table])
    places = [{"$ref": _place(_name(table, kind))} for kind in kinds]
    if len(kinds) == 1:
        return places[0]
    every: Schema = {}
    for kind in kinds:
        for key, schema in definitions[_name(table, kind)]["properties"].items():
            options = every.setdefault(key, [])
            if schema not in options:
                options.append(schema)
    keys = {
        key: options[0] if len(options) == 1 else {"anyOf": options}
        for key, options in every.items()
        if key != "kind"
    }
    keys["kind"] = {"description": _kinds_text(table), "enum": [*kinds, ""]}
    rules = [
        {
            "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
            "then": place,
        }
        for kind, place in zip(kinds, places, strict=True)
    ]
    return {
        "type": "object",
        "properties": keys,
        "additionalProperties": False,
        "allOf": rules,
    }


def _keys(model: type[Table], definitions: Schema) -> Schema:
    """Return the keys of one table without what must be given; inner tables go beside it."""
    raw = model.model_json_schema(ref_template=_place("{model}"))
    for name, inner in raw.pop("$defs", {}).items():
        definitions[name] = _tidy(inner)
    return _tidy(raw)


def _tidy(raw: Schema) -> Schema:
    """Return a table's schema in the words of its keys, without what says nothing."""
    keys = {name: _tidy_key(key) for name, key in raw["properties"].items()}
    return {
        "type": "object",
        "description": raw["description"],
        "properties": keys,
        "additionalProperties": False,
    }


def _tidy_key(raw: Schema) -> Schema:
    """Return one key: description, how it is measured and its unit in one text; then its type."""
    key = {k: v for k, v in raw.items() if k not in _SAID}
    if key.get("default", 0) is None:
        del key["default"]
    options = [o for o in key.get("anyOf", []) if o.get("type") != "null"]
    if len(options) == 1:  # an inner table or a word that may be left out
        del key["anyOf"]
        if "$ref" in options[0]:
            return {"allOf": options, "description": raw.get("description", "")}
        key.update(options[0])
    elif options:
        key["anyOf"] = options
    if "items" in key:
        key["items"] = {k: v for k, v in key["items"].items() if k != "unit"}
    unit = key.pop("unit", "") or raw.get("items", {}).get("unit", "")
    words = raw.get("description", "") + (f" [{unit}]" if unit else "")
    for name, label in (
        ("measure", "How to measure it"),
        ("instead", "Instead of"),
        ("typical", "Typical"),
    ):
        if name in raw:
            words += f". {label}: {raw[name]}"
    if "usual" in raw:
        usual = _usual(raw["usual"])
        words += f". Left out: {usual_text(usual)} is taken, {'; '.join(sources_of(usual))}"
    rest = {k: v for k, v in key.items() if k not in ("description", "default")}
    default = {k: v for k, v in key.items() if k == "default"}
    if "const" in rest:  # a kind
        return {"description": words, **rest, **default}
    options = rest.pop("anyOf") if rest.keys() == {"anyOf"} else [rest]
    blank = {**_BLANK, "const": []} if "items" in rest else _BLANK
    return {"description": words, "anyOf": [*options, blank], **default}


def _usual(raw: dict[str, Any]) -> UsualFor:
    """Return usual values again, from the data pydantic makes of them."""
    if "value" in raw:
        return Usual(**raw)
    return {kind: Usual(**each) for kind, each in raw.items()}


def _whole(table: str, kind: str) -> Schema:
    """Return the schema of a table as it stands in a file: its keys, and those it needs.

    Only lever and arm are refused where one is missing: without another the answer is partial.
    """
    rules: list[Schema] = [{"$ref": _place(_name(table, kind))}]
    known = TABLES[table][kind].model_fields
    if table in NEEDED_TABLES:
        rules += [{"required": ["kind"]}] if DEFAULT_KIND[table] != kind else []
        rules += [_needed(need) for need in _needs_of(table, kind)]
        rules += [_needed_within(table, name) for name in known if _inside(f"{table}.{name}")]
    rules += [{"not": _filled(*pair)} for pair in _pairs(table) if set(pair) <= known.keys()]
    return {"allOf": rules} if len(rules) > 1 else rules[0]


def _needs_of(table: str, kind: str) -> Iterable[Need]:
    for need in needs():
        if need.key.split(".")[0] == table and need.kind in ("", kind):
            yield need
    for given, need in needs_with():
        if given == table:
            yield need


def _inside(home: str) -> list[Need]:
    """Return what a table inside a table needs once it is there, such as the points."""
    return [
        need for given, need in needs_with() if given == home and need.key.startswith(f"{home}.")
    ]


def _needed_within(table: str, name: str) -> Schema:
    rules = [_needed(need) for need in _inside(f"{table}.{name}")]
    return {"properties": {name: _any_of([{"maxProperties": 0}, {"allOf": rules}])}}


def _needed(need: Need) -> Schema:
    """Return that a key, or one of those that make it unnecessary, must be there."""
    return _any_of([_filled(key.split(".")[-1]) for key in (need.key, *need.unless)])


def _filled(*names: str) -> Schema:
    """Return that keys are there, and none of them blank."""
    not_blank = {"not": {"enum": ["", []]}}
    return {"required": list(names), "properties": dict.fromkeys(names, not_blank)}


def _fitted_height() -> Schema:
    """Return that the spring's fitted height is given by itself, or by the stack round it."""
    gap = sorted(name.split(".")[1] for name in STACK_GAP)
    fitted, stacked = (
        {
            "required": [table],
            "properties": {table: _any_of([_filled(name) for name in names])},
        }
        for table, names in (("spring", FITTED), ("stack", gap))
    )
    return {"not": {"allOf": [fitted, stacked]}}


FITTED = ("installed_deflection", "installed_length")


def _pairs(table: str) -> Iterator[tuple[str, str]]:
    """Yield the pairs of a table's keys that say the same thing twice."""
    for options in ALTERNATIVES:
        for one, other in itertools.combinations(options, 2):
            for pair in itertools.product(sorted(one), sorted(other)):
                tables, names = zip(*(key.split(".", 1) for key in pair), strict=True)
                if set(tables) == {table} and not any("." in name for name in names):
                    yield names[0], names[1]
