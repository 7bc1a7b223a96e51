"""The package as it stood at one commit, kept as a yardstick: both are timed in one run, in turn.

Its code is taken from the history of the checkout. Where that history is not there (a shallow copy,
or no repository) there is nothing to set beside, and a ratio against it is not measured.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import Any, Self

CHECKOUT = Path(__file__).resolve().parents[2]
COMMIT = "2f3b09c"


def environment(folder: Path) -> dict[str, str]:
    """Return the environment of a Python that imports the liftgeo of a folder."""
    return {**os.environ, "PYTHONPATH": str(folder), "PYTHONSAFEPATH": "1"}


def archived(commit: str, checkout: Path = CHECKOUT) -> bytes | None:
    """Return the package at a commit as a tar file; None where the history is not there."""
    words = ["git", "-C", str(checkout), "archive", "--format=tar", commit, "liftgeo", "geometries"]
    try:
        done = subprocess.run(words, capture_output=True)
    except OSError:
        return None
    return done.stdout if done.returncode == 0 else None


@contextmanager
def reference(commit: str = COMMIT, checkout: Path = CHECKOUT) -> Iterator[Path | None]:
    """Give a folder with the package as it stood at a commit, or None."""
    packed = archived(commit, checkout)
    if packed is None:
        yield None
        return
    with TemporaryDirectory() as name:
        with tarfile.open(fileobj=io.BytesIO(packed)) as tar:
            tar.extractall(name, filter="data")
        yield Path(name).resolve()


class Worker:
    """A child process that times the liftgeo of one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder.resolve()
        self._process = subprocess.Popen(
            [sys.executable, str(Path(__file__).with_name("worker.py"))],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=environment(self.folder),
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """End the child process."""
        self._process.communicate()

    def seconds(self, task: str, **words: Any) -> float:
        """Return how long a task takes [s].

        Raises
        ------
        RuntimeError
            The child ended, or timed another liftgeo than it should.
        MemoryError
            The task wanted more memory than the child may take.
        """
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        try:
            self._process.stdin.write(json.dumps({"task": task, **words}) + "\n")
            self._process.stdin.flush()
        except BrokenPipeError:
            raise RuntimeError(f"the timing of {task} ended early") from None
        line = self._process.stdout.readline()
        if not line:
            raise RuntimeError(f"the timing of {task} ended early")
        answer = json.loads(line)
        if answer["folder"] != str(self.folder):
            raise RuntimeError(f"timed {answer['folder']}, not {self.folder}")
        if "seconds" not in answer:
            raise MemoryError(f"{task} wanted more memory than it may take")
        return float(answer["seconds"])
