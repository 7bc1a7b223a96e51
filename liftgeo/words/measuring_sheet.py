"""What a measuring sheet asks: a row for each number of a file, with tool, how, how well, value."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from liftgeo.kinds import KINDS
from liftgeo.measured import Measured, Ranged
from liftgeo.mechanism import Mechanism, from_document
from liftgeo.mechanism.bench import DEFAULT_HALF_WIDTH, LETTING_BACK, BenchTable
from liftgeo.mechanism.key_facts import keys_of, names, number_in, readings_in
from liftgeo.mechanism.laying import kind_of
from liftgeo.mechanism.samples import sample_document
from liftgeo.mechanism.starter import blanks, unit_in, words_in
from liftgeo.mechanism.tables import REQUIRED_TABLES, TABLES
from liftgeo.mechanism.to_add import to_add
from liftgeo.outcome.known import known
from liftgeo.plain_text import one_line
from liftgeo.quantities import converted, shown, unit_of
from liftgeo.words.drawing import as_measured

HEADINGS = {
    "lever": "Hand lever",
    "grip": "Grip that the lever meets",
    "cable": "Cable",
    "arm": "Arm on the casing",
    "casing": "Casing about the arm",
    "release": "Release unit",
    "rod": "Rod",
    "spring": "Clamping spring",
    "stack": "Thicknesses in the stack",
    "faces": "Friction faces",
    "bearing": "Release bearing",
    "warm": "Hot",
    "engine": "Engine",
}
"""What each table is called over its block; tables that are not measured have none."""

TAKE_CARE = {
    "lever": "Keep fingers out from between lever and grip; wedge the lever, do not have it held.",
    "arm": "Cable off or slack before you reach round the arm; it flies back when let go.",
    "release": "The unit may stand under the spring: unload the spring evenly before it comes off.",
    "rod": "Push and pull it by hand only; with the spring in, keep fingers off the plates.",
    "spring": "It holds several hundred kilograms. Unload it a turn on each screw in rotation, "
    "face and hands out of line; press it only in a cage or behind a guard.",
    "stack": "Treat old facing dust as asbestos: wet it, wipe it, bag it; never blow or brush.",
    "faces": "Treat old facing dust as asbestos: wet it, wipe it, bag it; never blow or brush. "
    "Never reach between plates while somebody holds the lever.",
}
"""What can hurt at a part, beside its drawing."""

_ALSO = {
    ("release", "ball-ramp"): ("ball_diameter", "ball_count"),
    ("release", "crank"): ("link_length", "offset"),
    ("release", "eccentric"): ("cam_radius", "friction"),
}
"""Sizes that a drawing of the kind shows and that a file can do without."""
_INSTEAD = {("release", "eccentric"): ("efficiency",)}
"""What those stand for: a file takes one or the other."""
_FREE = ("ball_diameter", "ball_count")
"""Of these, what changes no law where a file is given one more number."""
_FITTED = ("installed_deflection", "installed_length")
"""What the thicknesses of the stack stand for."""
_BENCH_OF = {
    ("separation", "pulling"): "separation",
    ("plate_lift", "pulling"): "plate_lift",
    ("hand_force", "pulling"): "hand_force",
    ("hand_force", LETTING_BACK): "return_force",
    ("take_up", "pulling"): "take_up",
    ("clamp_force", "pulling"): "clamp_force",
}
_WELL = (
    ("micrometer", 0.01),
    ("dial gauge", 0.02),
    ("feeler", 0.05),
    ("depth gauge", 0.1),
    ("calliper", 0.1),
    ("tape", 1.0),
    ("rule", 0.5),
)
"""What a tool reads to on such parts [mm]; common practice, no source."""
_WELL_ELSE = {"length": 0.1, "angle": 1.0}
_IN_100 = 5
_MOST_FIRST, _LEAST_SHARE = 4, 0.03


@dataclass(frozen=True)
class Row:
    """One number of the file.

    Attributes
    ----------
    key : str
        Dotted key of the file.
    what, how, well : str
        What it is, with which tool and how, and how well is worth reaching.
    form : {"number", "list", "word"}
    value : str
        What the file says; "" for a blank.
    unit : str
        Of what is written into the blank; of a word its choices.
    first : bool
        Whether it decides most.
    """

    key: str
    what: str
    how: str
    well: str
    form: str
    value: str
    unit: str
    first: bool

    @property
    def name(self) -> str:
        """The key within its table."""
        return self.key.partition(".")[2]


@dataclass(frozen=True)
class Block:
    """One part: its heading in the file, its rows, what can hurt there."""

    table: str
    heading: str
    kind: str
    rows: tuple[Row, ...]
    care: str


@dataclass(frozen=True)
class Asked:
    """All that a sheet asks.

    Attributes
    ----------
    title : str
    source : str
        Where the filled-in values come from; "" for an empty sheet.
    mechanism : Mechanism or None
        Of the file.
    sample : Mechanism
        Of the same kinds, of invented sizes: drawn where the file does not reach.
    invented : tuple of str
        Tables of `mechanism` whose numbers the file does not give.
    first : tuple of (Row, str)
        What to measure first, and its share in words.
    first_of : str
        Which sum the shares come from.
    blocks : tuple of Block
    bench : Block
    """

    title: str
    source: str
    mechanism: Mechanism | None
    sample: Mechanism
    invented: tuple[str, ...]
    first: tuple[tuple[Row, str], ...]
    first_of: str
    blocks: tuple[Block, ...]
    bench: Block


def asked_of(
    mechanism: Mechanism | None,
    kinds: Mapping[str, str],
    units: str = "metric",
    written: Mapping[str, Mapping[str, str]] | None = None,
) -> Asked:
    """Return what a sheet asks of a mechanism, or of one of some kinds that nobody measured.

    Parameters
    ----------
    mechanism : Mechanism, optional
        Its values are filled in; it may be partial.
    kinds : mapping
        Kind of "lever", "arm", "release" and "spring" where the mechanism names none.
    units : {"metric", "inch"}
    written : mapping, optional
        Of tables that the mechanism has invented numbers in, what the file says.
    """
    written = written or {}
    keys = {} if mechanism is None else mechanism.keys
    found = {
        t: str(keys.get(f"{t}.kind", kinds.get(t, KINDS[t][0]))) for t in KINDS if t in _KINDED
    }
    sample = from_document(sample_document(found), "sample (invented)")
    listed = {table: _names(table, mechanism, found, written.get(table)) for table in HEADINGS}
    whole = mechanism is not None and mechanism.level == "full" and not written
    shares = _shares(mechanism if whole and mechanism is not None else sample, listed)
    blocks = []
    for table, of in listed.items():
        kind = found.get(table) or kind_of(keys, table)
        rows = tuple(_row(table, kind, n, mechanism, units, f"{table}.{n}" in shares) for n in of)
        if table in written:
            rows = tuple(replace(r, value=written[table].get(r.name, "")) for r in rows)
        if rows:
            blocks.append(Block(table, HEADINGS[table], kind, rows, TAKE_CARE.get(table, "")))
    by_key = {row.key: row for block in blocks for row in block.rows}
    first = tuple((by_key[key], _share_text(share)) for key, share in shares.items())
    return Asked(
        title=one_line(mechanism.title) if mechanism is not None and mechanism.title else "",
        source=one_line(mechanism.source) if mechanism is not None else "",
        mechanism=mechanism,
        sample=sample,
        invented=tuple(written),
        first=first,
        first_of=(
            "Shares of what is not known of the clearance, for this file as it stands."
            if whole
            else "Shares for a machine of these kinds with invented sizes, all else as usual; "
            "your own file may say otherwise."
        ),
        blocks=tuple(blocks),
        bench=_bench(mechanism, units),
    )


_KINDED = ("lever", "arm", "release", "spring")


def _names(
    table: str,
    mechanism: Mechanism | None,
    kinds: Mapping[str, str],
    written: Mapping[str, str] | None,
) -> list[str]:
    """Return the keys of a table that a sheet has a row for, in the order of the file."""
    kind = kinds.get(table, "")
    keys = {} if mechanism is None else mechanism.keys
    kind = kind or kind_of(keys, table)
    model = TABLES[table].get(kind) or next(iter(TABLES[table].values()))
    wished = blanks(table, kinds, everything=True)
    wished = [n for n in wished if n not in _INSTEAD.get((table, kind), ())]
    wished += [n for n in _ALSO.get((table, kind), ()) if n not in wished]
    if mechanism is None:
        return [] if table == "stack" else _in_order(model, wished)
    there = {k.partition(".")[2] for k in mechanism.given if k.partition(".")[0] == table}
    given = there - {"kind"}
    if written is not None:
        return _in_order(model, {*wished, *written})
    if table not in mechanism.tables and not there:
        wanted = set(wished) if table in REQUIRED_TABLES or table == "engine" else set()
    else:
        wanted = {i.key.partition(".")[2] for i in mechanism.taken if i.key.startswith(f"{table}.")}
        wanted |= {n for n in _FREE if n in _ALSO.get((table, kind), ())}
    lacking = {
        f.key.partition(".")[2] for f in to_add(mechanism) if f.key.partition(".")[0] == table
    }
    if "stack" in mechanism.tables and table == "spring":
        wanted -= set(_FITTED)
    return _in_order(model, given | wanted | lacking)


def _in_order(model: Any, wanted: set[str] | list[str]) -> list[str]:
    """Return the names that a row can ask for: a number, a list, or a word of some."""
    rank = {name: k for k, name in enumerate(names(model))}
    found = [n for n, info in keys_of(model, "").items() if n in wanted and _form(info)]
    return sorted(found, key=lambda n: rank.get(n.partition(".")[0], 0))


def _form(info: Any) -> str:
    if number_in(info) is not None:
        return "number"
    if readings_in(info) is not None:
        return "list"
    return "word" if words_in(info) else ""


def _row(
    table: str, kind: str, name: str, mechanism: Mechanism | None, units: str, first: bool
) -> Row:
    model = TABLES[table].get(kind) or next(iter(TABLES[table].values()))
    return _row_of(keys_of(model, "")[name], f"{table}.{name}", mechanism, units, first)


def _row_of(
    info: Any, key: str, mechanism: Mechanism | None, units: str, first: bool = False
) -> Row:
    extra: Any = info.json_schema_extra or {}
    form, how = _form(info), str(extra.get("measure", ""))
    number = number_in(info) or readings_in(info)
    dimension = number.dimension if number is not None else "ratio"
    unit = unit_of(dimension, units) if number is not None else " / ".join(words_in(info))
    given = mechanism is not None and key in mechanism.given
    value = _value(mechanism.keys.get(key), dimension, units) if given and mechanism else ""
    if form == "number":
        well = _well(how, dimension, units) if unit_in(info) or dimension == "ratio" else ""
    else:
        well = ""
    what = str(info.description or "")
    return Row(key, what, how, well, form, value, unit, first)


def _value(value: Any, dimension: str, units: str) -> str:
    """Return a value of the file with its ±, without the spread of what was not given."""
    if value is None:
        return ""
    if isinstance(value, tuple | list):
        listed = ", ".join(f"{converted(float(v), dimension, units):.4g}" for v in value)
        return f"{listed} {unit_of(dimension, units)}"
    if isinstance(value, str | bool):
        return one_line(str(value))
    if value == math.inf:
        return "rigid"
    if isinstance(value, Measured | Ranged) or dimension in ("length", "angle", "ratio"):
        return as_measured(value, dimension, units, unit=True)
    return shown(float(value), dimension, units)


def _well(how: str, dimension: str, units: str) -> str:
    """Return what a reading should not be out by, by its tool (common practice, no source)."""
    if dimension == "ratio" and not how:
        return ""
    if dimension == "ratio" and ("count" in how or "teeth" in how):
        return "exact"
    wide = _WELL_ELSE.get(dimension)
    if dimension == "length":
        wide = next((mm for tool, mm in _WELL if tool in how), wide)
    if wide is None:
        return f"± {_IN_100} in 100"
    wide = converted(wide, dimension, units)
    return f"± {float(f'{wide:.1g}'):g} {unit_of(dimension, units)}"


def _shares(mechanism: Mechanism, listed: Mapping[str, list[str]]) -> dict[str, float]:
    """Return the keys of the sheet that decide most, with their shares."""
    found = known(mechanism)
    if found is None:
        return {}
    here = {f"{table}.{name}" for table, of in listed.items() for name in of}
    most = [s for s in found.shares if s.key in here and s.share >= _LEAST_SHARE]
    return {s.key: s.share for s in most[:_MOST_FIRST]}


def _share_text(share: float) -> str:
    """Return a share of what is not known, in words."""
    tenths = round(10 * share)
    if tenths >= 10:
        return "nearly all of what is not known"
    return (
        f"about {tenths} tenths of what is not known"
        if tenths > 1
        else "about a tenth of what is not known, or less"
    )


def _bench(mechanism: Mechanism | None, units: str) -> Block:
    """Return the readings of the table [bench]."""
    said: dict[str, float] = {}
    widths: dict[str, float] = {}
    for reading in mechanism.readings if mechanism is not None else ():
        name = _BENCH_OF.get((reading.quantity, reading.direction))
        if name and not reading.line and not reading.condition:
            said[name], widths[name] = reading.value, reading.half_width
            if name == "hand_force" and reading.at is not None:
                said["hand_force_at"], widths["hand_force_at"] = reading.at, reading.at_half_width
    rows = []
    for name, info in BenchTable.model_fields.items():
        number = number_in(info)
        if number is None:
            continue
        row = _row_of(info, f"bench.{name}", None, units)
        value = ""
        if name in said:
            wide = widths[name] or DEFAULT_HALF_WIDTH[number.dimension]
            value = as_measured(Measured(said[name], wide), number.dimension, units, unit=True)
        rows.append(Row(row.key, row.what, row.how, row.well, row.form, value, row.unit, False))
    care = "Wedge the lever at full lever; then never a finger between the plates, only the feeler."
    return Block("bench", "Readings from the bench", "", tuple(rows), care)


def readings_template(mechanism: Mechanism | None, units: str = "metric") -> str:
    """Return an empty table of readings, as `diagnose --readings` takes it once filled in.

    Parameters
    ----------
    mechanism : Mechanism, optional
        Its hand travel sets the places.
    units : {"metric", "inch"}
        Of the columns.
    """
    length, force = ("mm", "n") if units == "metric" else ("in", "lbf")
    heads = (
        f"hand_travel_{length}", f"hand_force_{force}", f"hand_force_plus_minus_{force}",
        f"separation_{length}", f"separation_plus_minus_{length}", "direction", "note",
    )  # fmt: skip
    full = mechanism.keys.get("lever.hand_travel") if mechanism is not None else None
    lines = [",".join(heads)]
    for direction, shares in (("pulling", (0.25, 0.5, 0.75)), (LETTING_BACK, (0.75, 0.5, 0.25))):
        for share in shares:
            at = ""
            if full is not None:
                travel = converted(float(full) * share, "length", units)
                at = f"{travel:.0f}" if units == "metric" else f"{travel:.2f}"
            lines.append(f"{at},,,,,{direction},")
        if direction == "pulling":
            lines.append("full,,,,,pulling,lever at the grip")
    return "\n".join(lines) + "\n"
