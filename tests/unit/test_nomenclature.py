"""docs/nomenclature.md says every public quantity, each with its unit, and nothing that is gone."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
import re
from pathlib import Path

import pytest
from documentation import build

import liftgeo.parts
from liftgeo.formulas.symbols import QUANTITIES

PAGE = Path(__file__).resolve().parents[2] / "docs" / "nomenclature.md"

_HOMES = (
    "cautions.warning",
    "outcome.results",
    "outcome.at_hand",
    "outcome.known",
    "mechanism.usual",
    "chain.linkage",
    "chain.positions",
    "chain.limits",
    "chain.stop",
    "chain.energy",
)
_HEADING = re.compile(r"^### .*\(`([\w.]+)`\)$")
_ROW = re.compile(r"^\| `(\w+)` \| ([^|]+) \| ([^|]+) \| ([^|]+) \|$")

_UNITS = (
    ("_n_per_mm", "N/mm"),
    ("_mm_per_n", "mm/N"),
    ("_nmm_per_rad", "N·mm/rad"),
    ("_rad_per_nmm", "rad/(N·mm)"),
    ("_mm_per_rad", "mm/rad"),
    ("_rev_per_min", "rev/min"),
    ("_nmm", "N·mm"),
    ("_nm", "N·m"),
    ("_mm", "mm"),
    ("_n", "N"),
    ("_deg", "deg"),
    ("_rad", "rad"),
    ("_mpa", "MPa"),
    ("_j", "J"),
    ("_h", "h"),
)
"""Ending of a name, and its unit; the first that fits."""


def public_fields() -> dict[str, list[str]]:
    """Return the fields of every dataclass of results, chain, stroke end, energy and parts."""
    names = [*_HOMES, *(f"parts.{m.name}" for m in pkgutil.iter_modules(liftgeo.parts.__path__))]
    found = {}
    for name in names:
        module = importlib.import_module(f"liftgeo.{name}")
        for each in vars(module).values():
            if not inspect.isclass(each) or each.__module__ != module.__name__:
                continue
            if each.__name__.startswith("_"):
                continue
            fields = list(getattr(each, "_fields", ()))
            if dataclasses.is_dataclass(each):
                fields = [f.name for f in dataclasses.fields(each)]
            if fields:
                found[f"{name}.{each.__name__}"] = [f for f in fields if not f.startswith("_")]
    return found


def written() -> dict[str, list[tuple[str, str, str, str]]]:
    """Return the page's rows: name, symbol, unit and sign, by class."""
    found: dict[str, list[tuple[str, str, str, str]]] = {}
    home = ""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        heading, row = _HEADING.match(line), _ROW.match(line)
        if heading:
            home = heading[1]
            found[home] = []
        elif row:
            found[home].append((row[1], row[2].strip(), row[3].strip(), row[4].strip()))
        elif line.startswith("## "):
            home = ""
    return found


def unit_of_name(name: str) -> str:
    """Return the unit a name ends in; a dash where it has none."""
    return next((unit for ending, unit in _UNITS if name.endswith(ending)), "–")


def test_every_class_of_the_package_is_on_the_page_and_no_other() -> None:
    assert sorted(written()) == sorted(public_fields())


@pytest.mark.parametrize("home", sorted(public_fields()))
def test_every_field_is_on_the_page_and_no_other(home: str) -> None:
    assert [row[0] for row in written()[home]] == public_fields()[home]


def test_units_are_those_the_names_end_in() -> None:
    rows = [row for rows in written().values() for row in rows]
    assert len(rows) > 200
    assert [(n, unit) for n, _, unit, _ in rows if unit != unit_of_name(n)] == []


def test_every_quantity_says_its_sign_or_meaning() -> None:
    assert [row for rows in written().values() for row in rows if len(row[3]) < 4] == []


_SAME_SYMBOL = {
    "rad": {"deg"},
    "N·mm": {"N·m"},
    "N/mm": {"mm/N"},  # a compliance, one over the symbol
    "N·mm/rad": {"rad/(N·mm)"},
}
"""Units under which a symbol of one unit stands elsewhere."""


def test_symbols_are_those_of_the_working_with_its_units() -> None:
    rows = [
        row for home, rows in written().items() if home != "chain.positions.Rates" for row in rows
    ]
    named = [(symbol, unit) for _, symbol, unit, _ in rows if symbol != "–"]
    assert len(named) > 100
    for symbol, unit in named:
        known = QUANTITIES[symbol.rstrip("'")].unit or "–"
        assert unit in {known} | _SAME_SYMBOL.get(known, set()), (symbol, unit, known)
    assert {row[1] for row in written()["chain.positions.Rates"]} <= set(QUANTITIES)


def test_the_table_of_symbols_is_fresh() -> None:
    page = PAGE.read_text(encoding="utf-8")
    for part in build.PARTS:
        assert f"<!-- end {part} -->" in page
    assert page == build.with_parts(page), "run python docs/build.py"
    stale = page.replace("| b_A | mm | arm: ", "| b_A | N | arm: ")
    assert stale != page == build.with_parts(stale)
