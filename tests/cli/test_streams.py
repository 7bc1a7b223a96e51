"""Ctrl-C, a closed or full standard output, a reader that goes away: each is said in words."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from pathlib import Path

import pytest
from child import start
from command_line import TRACTOR, run

SAID = b"Interrupted; nothing was left half-written.\n"

# Ctrl-C comes as the first library is imported, before any command is known.
AT_THE_IMPORTS = """
import os, signal, sys
class Interrupting:
    def find_spec(self, name, path=None, target=None):
        if name == MODULE:
            sys.meta_path.remove(self)
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interrupting())
"""


@pytest.mark.parametrize("module", ["liftgeo.cli.app", "typer", "liftgeo.errors", "numpy"])
def test_ctrl_c_during_the_imports_says_so_and_exits_130(module: str) -> None:
    with start("stroke", TRACTOR, before=f"MODULE = {module!r}\n{AT_THE_IMPORTS}") as child:
        out, err = child.communicate(timeout=60)
    assert (child.returncode, out, err) == (130, b"", SAID)


def test_ctrl_c_in_the_middle_of_the_work_says_so_and_leaves_nothing(tmp_path: Path) -> None:
    # The mark is printed when the search itself begins.
    before = (
        "import liftgeo.studies.size as size, sys\n"
        "search = size.size\n"
        "def marked(*a, **k):\n"
        "    while True:\n"
        "        print('begun', file=sys.stderr, flush=True)\n"
        "        search(*a, **k)\n"
        "size.size = marked\n"
    )
    table = tmp_path / "front.csv"
    words = ("size", TRACTOR, "--vary", "arm.radius=32..44", "--csv", table)
    with start(*words, before=before) as child:
        assert child.stderr is not None
        assert child.stderr.readline() == b"begun\n"
        time.sleep(0.2)
        child.send_signal(signal.SIGINT)
        out, err = child.communicate(timeout=60)
    assert child.returncode == 130
    assert out == b""
    assert err.replace(b"begun\n", b"") == SAID
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("words", [("stroke", TRACTOR), ("schema",), ("stroke", TRACTOR, "--json")])
def test_a_full_disk_behind_standard_output_is_said(words: tuple[str, ...]) -> None:
    with open("/dev/full", "wb") as full, start(*words, stdout=full) as child:
        _, err = child.communicate(timeout=60)
    assert child.returncode == 2
    assert err == b"Standard output cannot be written: No space left on device.\n"


def _closed(number: int) -> subprocess.CompletedProcess[bytes]:
    words = ("stroke", "-" if number == 0 else str(TRACTOR))
    with start(*words, stdin=None, preexec_fn=lambda: os.close(number)) as child:
        out, err = child.communicate(timeout=60)
    return subprocess.CompletedProcess(words, child.returncode, out, err)


@pytest.mark.parametrize(
    ("number", "says"), [(0, b"Standard input is closed"), (1, b"Standard output is closed")]
)
def test_a_closed_stream_is_said(number: int, says: bytes) -> None:
    done = _closed(number)
    assert done.returncode == 2
    assert done.stdout == b""
    assert done.stderr.startswith(says)
    assert done.stderr.count(b"\n") == 1


def test_a_closed_standard_error_keeps_the_answer() -> None:
    done = _closed(2)
    assert done.returncode == 0
    assert b"DRAGS" in done.stdout


def test_a_reader_that_goes_away_ends_it_in_silence() -> None:
    with start("schema") as child:
        assert child.stdout is not None
        child.stdout.close()
        assert child.stderr is not None
        err = child.stderr.read()
        assert child.wait(60) == 0
    assert err == b""


@pytest.mark.parametrize("name", ["-", "/dev/stdin"])
def test_a_file_may_come_from_standard_input(name: str) -> None:
    if name == "-":
        done = run("stroke", name, stdin=TRACTOR.read_bytes())
        assert (done.code, done.err) == (0, "")
        return
    with TRACTOR.open("rb") as file, start("stroke", name, stdin=file) as child:
        out, err = child.communicate(timeout=60)
    assert (child.returncode, err) == (0, b"")
    assert b"DRAGS" in out
