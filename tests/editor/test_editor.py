"""A TOML language server checks geometry files by the schema: it names the wrong key of each kind.

The linter is that of the npm registry's `@taplo/cli`, which an editor's TOML support is built on.
`.ci/run` puts it under `.ci/node`; without that it is installed for the run, which needs npm.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from clutches import CHANGES, KINDS, document

from liftgeo.mechanism.schema import file_schema
from liftgeo.mechanism.tables import TABLES

pytestmark = pytest.mark.editor

CHECKOUT = Path(__file__).resolve().parents[2]
PACKAGE = "@taplo/cli@0.7.0"
PLACE = Path("node_modules", ".bin", "taplo")
EXAMPLES = sorted((CHECKOUT / "geometries").glob("*.toml"))


@pytest.fixture(scope="module")
def linter(tmp_path_factory: pytest.TempPathFactory) -> str:
    installed = CHECKOUT / ".ci" / "node" / PLACE
    if installed.is_file():
        return str(installed)
    folder = tmp_path_factory.mktemp("node")
    npm = shutil.which("npm")
    assert npm, "npm installs the linter of these tests; leave them out with -m 'not editor'"
    subprocess.run([npm, "install", "--prefix", folder, PACKAGE], check=True, capture_output=True)
    return str(folder / PLACE)


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("schema") / "liftgeo.schema.json"
    path.write_text(json.dumps(file_schema()), encoding="utf-8")
    return path


def linted(linter: str, schema: Path, folder: Path) -> dict[str, str]:
    """Return what the linter says of each file of a folder, by its stem; "" if nothing."""
    files = sorted(folder.glob("*.toml"))
    words = [linter, "lint", "--colors", "never", "--schema", schema.as_uri(), *map(str, files)]
    done = subprocess.run(
        words, capture_output=True, text=True, encoding="utf-8", cwd=folder, check=False
    )
    assert (done.returncode == 0) == ("error:" not in done.stderr), done.stderr
    found = {file.stem: "" for file in files}
    for block in done.stderr.split("error:")[1:]:
        stem = next((file.stem for file in files if file.name in block), "")
        if stem:  # the last block only says how many files were wrong
            found[stem] += block
    return found


@pytest.fixture(scope="module")
def said(linter: str, schema: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return what the linter says of every example and every document here, all in one run."""
    folder = tmp_path_factory.mktemp("files")
    for path in EXAMPLES:
        shutil.copy(path, folder)
    for name, tables in DOCUMENTS.items():
        (folder / f"{name}.toml").write_text(tomlkit.dumps(tables), encoding="utf-8")
    return linted(linter, schema, folder)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_passes(said: dict[str, str], path: Path) -> None:
    assert said[path.stem] == ""


OWN = {table: document()[table] for table in TABLES if table in document()}
EVERY = {(table, "as in the base clutch"): keys for table, keys in OWN.items()}
EVERY |= {(table, kind): keys for table, kinds in KINDS.items() for kind, keys in kinds.items()}
EVERY |= {
    ("bearing", "deep-groove"): {"kind": "deep-groove", "static_rating": 5000.0},
    ("bearing", "angular-contact"): {"kind": "angular-contact", "contact_angle": 30.0},
}


def with_table(table: str, keys: dict[str, Any]) -> dict[str, Any]:
    """Return the base clutch with one table as it is given, without a stack beside it."""
    found = document(stack=None) | {table: keys}
    if table == "stack":
        found["spring"] = {k: v for k, v in OWN["spring"].items() if "installed" not in k}
    elif table != "spring":
        found["spring"] = OWN["spring"] | {"installed_deflection": 2.1}
    return found


def name_of(*words: str) -> str:
    """Return what the file of a document is called."""
    return "-".join(words).replace(" ", "-") + "-end"  # no name begins another


@pytest.mark.parametrize(("table", "kind"), EVERY, ids=lambda word: word.replace(" ", "-"))
def test_the_wrong_key_of_each_kind_is_named(said: dict[str, str], table: str, kind: str) -> None:
    assert said[name_of("right", table, kind)] == ""
    told = said[name_of("wrong", table, kind)]
    assert "Additional properties are not allowed ('wrong_key' was unexpected)" in told
    assert "not valid under any" not in told


def test_every_kind_of_every_table_was_tried() -> None:
    kinds = {(table, keys.get("kind", "")) for (table, _), keys in EVERY.items()}
    found = {(table, kind) for table, kind in kinds if kind}
    wanted = {(table, kind) for table, kinds in TABLES.items() for kind in kinds if kind}
    assert {("lever", "pin"), ("arm", "pin")} | found >= wanted


WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "an unknown kind": ({"release": {"kind": "wedge"}}, '"wedge" is not one of'),
    "a key of another kind": (
        {"release": {"kind": "rack", "pinion_radius": 4.5, "lead": 20}}, "'lead' was unexpected"
    ),
    "an unknown table": ({"gearbox": {"ratio": 3}}, "'gearbox' was unexpected"),
    "a bench reading": ({"bench": {"seperation": 0.5}}, "'seperation' was unexpected"),
    "a change": ({"changes": {"x": {"arm": {"hoel": 30}}}}, "'hoel' was unexpected"),
    "a change of a kind": (
        {"changes": {"x": {"release": {"kind": "rack", "lead": 3}}}}, "'lead' was unexpected"
    ),
}  # fmt: skip


WORKSHOP: dict[str, Any] = {
    "spring": KINDS["spring"]["coils"]
    | {"readings": [["0 kg", '2 1/8"'], ["68 kg", '1 3/4"']], "installed_length": "1 3/4 in"},
    "engine": {"power": "13 hp", "speed": 1500},
    "changes": {"hand": {"arm": {"hole": "2 mm less", "stop_shift_x": 3}}},
}
for _key in ("rate", "free_length"):
    del WORKSHOP["spring"][_key]

DOCUMENTS: dict[str, Any] = {"workshop": document(stack=None) | WORKSHOP}
DOCUMENTS |= {
    name_of("else", name): document(changes=CHANGES) | tables for name, (tables, _) in WRONG.items()
}
for (_table, _kind), _keys in EVERY.items():
    DOCUMENTS[name_of("right", _table, _kind)] = with_table(_table, _keys)
    DOCUMENTS[name_of("wrong", _table, _kind)] = with_table(_table, _keys | {"wrong_key": 1.0})


@pytest.mark.parametrize("name", WRONG)
def test_what_else_is_wrong_is_named_too(said: dict[str, str], name: str) -> None:
    assert WRONG[name][1] in said[name_of("else", name)]


def test_what_a_workshop_writes_passes(said: dict[str, str]) -> None:
    assert said["workshop"] == ""
