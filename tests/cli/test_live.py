"""`liftgeo live`: what it says when it begins, and what it refuses to begin with."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import urllib.request
from pathlib import Path

from command_line import TRACTOR, run


def test_it_answers_on_this_machine_and_ends_with_an_interrupt(tmp_path: Path) -> None:
    words = [sys.executable, "-m", "liftgeo", "live", str(TRACTOR), "--port", "0", "--no-open"]
    running = subprocess.Popen(
        words, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        said = running.stderr.readline()
        assert said.startswith("The page is at http://127.0.0.1:")
        address = said.split()[4]
        with urllib.request.urlopen(address, timeout=30) as answer:
            assert "base_clutch.toml" in answer.read().decode()
        os.kill(running.pid, signal.SIGINT)
        out, err = running.communicate(timeout=30)
    finally:
        running.kill()
        running.wait()
    assert running.returncode == 0, err
    assert out == ""
    assert "The page is closed" in err
    assert list(tmp_path.iterdir()) == []


def test_what_it_cannot_begin_with_it_says(tmp_path: Path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[lever]\nnipple_radius = abc\n", "utf-8")
    for words, said in (
        (["live", "none.toml"], "none.toml is not there"),
        (["live", "-"], "name one in place of -"),
        (["live", bad], 'nipple_radius = "abc"'),
        (["live", TRACTOR, "--port", "99999"], "is no port"),
        (["live", TRACTOR, "--units", "ell"], "--units ell is not known"),
    ):
        done = run(*words, folder=tmp_path)
        assert done.code == 2
        assert said in done.err
