"""Run the command line as a process of its own, and note what it costs."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CHECKOUT = Path(__file__).resolve().parents[2]
MAIN = "from liftgeo.cli import main; import sys; sys.argv[0] = 'liftgeo'; main()"


def words_of(*words: str | Path, before: str = "") -> list[str]:
    """Return the words that start `liftgeo`, after some lines of Python run before it."""
    return [sys.executable, "-c", f"{before}\n{MAIN}", *map(str, words)]


def surroundings(**more: str) -> dict[str, str]:
    """Return an environment in which this checkout is found."""
    return {**os.environ, "PYTHONPATH": str(CHECKOUT), "PYTHONDONTWRITEBYTECODE": "1", **more}


@dataclass(frozen=True)
class Ended:
    """How a process ended: its code, what it printed, processor time [s] and memory [MB]."""

    code: int
    out: bytes
    err: str
    processor_s: float
    memory_mb: float


def start(*words: str | Path, before: str = "", **how: Any) -> subprocess.Popen[bytes]:
    """Start `liftgeo` with its output caught, unless told otherwise."""
    how = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "stdin": subprocess.DEVNULL} | how
    return subprocess.Popen(words_of(*words, before=before), env=surroundings(), **how)


_COST = """
import atexit, os, resource, sys
def _told():
    used = resource.getrusage(resource.RUSAGE_SELF)
    most = used.ru_maxrss
    try:  # that counts what the parent held when it forked; this begins with the program
        with open("/proc/self/status") as file:
            most = next(int(line.split()[1]) for line in file if line.startswith("VmHWM"))
    except (OSError, StopIteration):
        pass
    with open(os.environ["LIFTGEO_COST"], "w") as file:
        file.write(f"{used.ru_utime + used.ru_stime} {most}")
atexit.register(_told)
"""


def costed(*words: str | Path, note: Path, **how: Any) -> Ended:
    """Run `liftgeo` to its end and note what it cost; a minute is long enough for anything."""
    how = {"stdin": subprocess.DEVNULL} | how
    done = subprocess.run(
        words_of(*words, before=_COST),
        env=surroundings(LIFTGEO_COST=str(note), OPENBLAS_NUM_THREADS="1"),
        capture_output=True,
        timeout=60,
        check=False,
        **how,
    )
    seconds, kilobytes = map(float, note.read_text().split())
    return Ended(done.returncode, done.stdout, done.stderr.decode(), seconds, kilobytes / 1024)
