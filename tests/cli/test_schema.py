"""`liftgeo schema`: the JSON Schema on stdout, or in a file."""

from __future__ import annotations

import json
from pathlib import Path

from command_line import run

from liftgeo.mechanism.schema import file_schema


def test_it_prints_the_schema_and_nothing_else() -> None:
    done = run("schema")
    assert (done.code, done.err) == (0, "")
    assert done.data == file_schema()


def test_it_writes_the_schema_whole_and_not_over_a_file(tmp_path: Path) -> None:
    path = tmp_path / "liftgeo.schema.json"
    done = run("schema", "--output", path)
    assert (done.code, done.out) == (0, "")
    assert done.err == f"Written: {path}\n"
    assert json.loads(path.read_text(encoding="utf-8")) == file_schema()
    again = run("schema", "--output", path)
    assert (again.code, again.out) == (2, "")
    assert "--force" in again.err
    assert run("schema", "--output", path, "--force").code == 0
