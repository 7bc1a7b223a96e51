"""Reading one table of a geometry file, and saying what is wrong with it in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from liftgeo.as_written import quoted
from liftgeo.errors import Fault, nearest
from liftgeo.mechanism import key_facts, needs
from liftgeo.mechanism.change_keys import TERMS
from liftgeo.mechanism.laying import Flat, kind_of, names_in
from liftgeo.mechanism.tables import TABLES, Table
from liftgeo.plain_text import LONGEST_IN_FAULT, cut, latin, printable, strange_letter

TOP_KEYS = ("title", "condition", "left_out", "bench", "remedies", "changes")


ONLY_AT_THE_TOP = ("condition", "left_out")


def without_blanks(given: Flat) -> tuple[Flat, frozenset[str]]:
    """Return keys without those that are blank, as in a starter file, and the blank ones.

    A blank counts as left out; one whose key is not known stays, to be told of. So does a shape
    without points, which no starter file holds.
    """
    blank = {
        key
        for key, value in given.items()
        if _is_blank(value) and not (value == [] and _is_shape(key, given))
    }
    filled = {key: value for key, value in given.items() if key not in blank}
    known: set[str] = set()
    for table in {key.split(".")[0] for key in blank}:
        kind, kinds = kind_of(filled, table), TABLES[table]
        for model in [kinds[kind]] if kind in kinds else kinds.values():
            known |= names_in(key_facts.keys_of(model, f"{table}."))
    left = frozenset(blank & known)
    return {key: value for key, value in given.items() if key not in left}, left


def _is_shape(dotted: str, given: Flat) -> bool:
    return key_facts.shape_of(dotted, kind_of(given, dotted.split(".")[0])) is not None


def _is_blank(value: Any) -> bool:
    """Return whether nothing stands where a value belongs: "" or []."""
    return value == [] if isinstance(value, list) else isinstance(value, str) and not value.strip()


def unknown_table(table: str, prefix: str = "") -> Fault:
    """Return the fault of a table that is not known, with the nearest that is."""
    if prefix and table in ONLY_AT_THE_TOP:
        problem = "A change cannot set it: what is left out is taken alike in all that is compared."
        return Fault(prefix + table, "", problem, f"Write {table} = ... at the top of the file.")
    if table in TOP_KEYS or table == "note":
        what = "A change laid over a file holds keys of tables; a note stands in the file."
        return Fault(prefix + table, "", what, f"Leave {table} out.")
    if table in TERMS:
        problem = "It says on what terms a change of the file is to be had."
        return Fault(prefix + table, "", problem, f"Write it under [changes.NAME]: {table} = ...")
    near = nearest(latin(table), [*TABLES, *TOP_KEYS, *(TERMS if prefix else ())])
    hint = f"Did you mean {near}?" if near else f"Known: {', '.join([*TABLES, *TOP_KEYS])}."
    return Fault(prefix + (table or '""'), "", "Not a known table.", hint)


def strange_tables(document: Mapping[str, Any]) -> list[Fault]:
    """Return what stands at the top of a file and does not belong there, title and all."""
    faults = []
    for table, content in document.items():
        if table not in TABLES and table not in TOP_KEYS:
            faults.append(unknown_table(table))
        elif table in TABLES and not isinstance(content, Mapping):
            faults.append(not_a_table(table, content))
    title = document.get("title", "")
    if not isinstance(title, str):
        faults.append(Fault("title", value_text(title), "Not text.", 'Write title = "...".'))
    return faults


def not_a_table(table: str, content: Any, prefix: str = "") -> Fault:
    """Return the fault of something else that stands where a table belongs."""
    remedy = f"Write [{prefix}{table}] and its keys."
    return Fault(prefix + table, value_text(content), "This must be a table.", remedy)


def value_text(value: Any) -> str:
    """Return a value as a fault shows it, cut short where it is long."""
    if isinstance(value, int) and abs(value) >= 10**60:
        return "a very long number"
    text = str(value).lower() if isinstance(value, bool) else str(value)
    return printable(cut(text, LONGEST_IN_FAULT))


def _faults_of(error: ValidationError, table: str, prefix: str, model: type[Table]) -> list[Fault]:
    """Return pydantic's findings in our words."""
    found = []
    for item in error.errors(include_url=False, include_context=True):
        place = [str(p) or '""' for p in item["loc"]]
        dotted = ".".join([prefix + table, *place])
        context = item.get("ctx", {})
        kind, value = item["type"], item.get("input")
        if isinstance(value, str) and value == "" and kind != "extra_forbidden":
            found.append(_blank(dotted, ".".join([table, *place]), model))
        elif kind == "extra_forbidden":
            found.append(_unknown(dotted, place, table, model))
        elif kind in ("quantity", "bounds", "list"):
            text, remedy = value_text(value), context["remedy"]
            if context.get("instead") and isinstance(value, str):
                remedy = f"Write {place[-1]} = {quoted(context['instead'])}"
            found.append(Fault(dotted, text, context["problem"], remedy))
        elif kind == "literal_error":
            options = str(context.get("expected", "")).replace("'", '"')
            found.append(
                Fault(dotted, value_text(value), "Not a known word.", f"One of {options}.")
            )
        elif kind in ("bool_type", "bool_parsing"):
            found.append(
                Fault(dotted, value_text(value), "Not true or false.", "Write true or false.")
            )
        elif kind == "model_type":
            found.append(not_a_table(".".join([table, *place]), value, prefix))
        else:
            found.append(
                Fault(dotted, value_text(value), "Not what belongs here.", f"{item['msg']}.")
            )
    return found


def _blank(dotted: str, known: str, model: type[Table]) -> Fault:
    """Return the fault of a key that is there with nothing in it, as in a starter file."""
    kind = next((k for k, m in TABLES[known.split(".")[0]].items() if m is model), "")
    what, how = key_facts.describe(known, kind)
    remedy = how or "Fill it in."
    needed = needs.ever_needed(known)
    if not needed:
        remedy += " Or put # before it to leave it out."
    problem = f"Still blank: {what}." if what else "Still blank."
    return Fault(dotted, "", problem, remedy, "blank" if needed else "optional blank")


def _unknown(dotted: str, place: list[str], table: str, model: type[Table]) -> Fault:
    inner: Any = model
    for name in place[:-1]:
        inner = key_facts.table_within(inner, name)
    homes = [k for k, m in TABLES[table].items() if len(place) == 1 and place[0] in m.model_fields]
    if homes:
        return Fault(dotted, "", "Not a key of this kind.", f'It goes with kind = "{homes[0]}".')
    near = nearest(latin(place[-1]), inner.model_fields)
    strange = strange_letter(place[-1])
    if near and strange:
        remedy = f"Write {near} with plain letters; here {strange}."
        return Fault(dotted, "", "Not a known key.", remedy)
    if near:
        return Fault(dotted, "", "Not a known key.", f"Did you mean {near}?")
    elsewhere = [
        t for t, kinds in TABLES.items() if any(place[-1] in m.model_fields for m in kinds.values())
    ]
    if elsewhere and len(place) == 1:
        return Fault(dotted, "", "Not a known key.", f"Did you mean {elsewhere[0]}.{place[-1]}?")
    known = ", ".join(n for n in inner.model_fields if n != "kind")
    return Fault(dotted, "", "Not a known key.", f"Known here: {known}.")


def read_table(
    table: str, content: Any, kind: str, prefix: str = ""
) -> tuple[Table | None, list[Fault]]:
    """Return a table validated on its own, and its faults."""
    if not isinstance(content, Mapping):
        return None, []
    model = TABLES[table].get(kind)
    if model is None:
        known = ", ".join(f'"{k}"' for k in TABLES[table])
        if not kind:
            what = "Needed, and not given: which kind it is."
            fault = Fault(f"{prefix}{table}.kind", "", what, f"One of {known}.", "not given")
            wrong = [read_table(table, content, each, prefix)[1] for each in TABLES[table]]
            return None, [fault, *min(wrong, key=len)]  # what is wrong whichever kind it is
        near = nearest(kind, TABLES[table])
        hint = f' Did you mean "{near}"?' if near else ""
        return None, [
            Fault(f"{prefix}{table}.kind", kind, "Not a known kind.", f"One of {known}.{hint}")
        ]
    try:
        return model.model_validate(dict(content)), []
    except ValidationError as error:
        bad = {str(item["loc"][0]) for item in error.errors(include_url=False)}
        rest = {k: v for k, v in content.items() if k not in bad}
        return model.model_validate(rest), _faults_of(error, table, prefix, model)


def numbers(table: str, model: Table) -> Flat:
    """Return what a validated table says as flat keys, defaults included."""
    found: Flat = {}

    def walk(item: Table, prefix: str) -> None:
        for name, value in item:
            if value is None:  # most of them: to ask what a value is takes longer
                continue
            if isinstance(value, Table):
                walk(value, f"{prefix}{name}.")
            else:
                found[prefix + name] = value

    walk(model, f"{table}.")
    return found


def as_written(faults: list[Fault], given: Flat) -> list[Fault]:
    """Return faults in the order of the file, table by table; what is missing ends its table."""
    tables, keys = list(TABLES), list(given)

    def place(fault: Fault) -> tuple[int, int]:
        table = fault.key.split(".")[0]
        at = next((k for k, key in enumerate(keys) if key == fault.key), len(keys))
        return tables.index(table) if table in tables else len(tables), at

    return sorted(faults, key=place)
