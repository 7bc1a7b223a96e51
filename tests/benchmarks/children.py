"""What is measured in processes of their own: memory, and starting from cold."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryDirectory

from reference import CHECKOUT, environment
from worker import memory_allowed

HERE = Path(__file__).resolve().parent
TRACTOR = CHECKOUT / "tests" / "base_clutch.toml"
BARE = "import numpy, typer, rich, pydantic; pydantic.BaseModel"
"""The libraries `liftgeo stroke` stands on, and the one late import of pydantic it cannot avoid."""


def processor_seconds(words: list[str], env: dict[str, str] | None = None) -> float:
    """Return the processor time a child process takes [s].

    Raises
    ------
    subprocess.CalledProcessError
        It failed.
    """
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(words, check=True, capture_output=True, cwd=CHECKOUT, env=env)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


# --- memory ---

# A process counts what its parent held when it was started: a lean one starts those measured.
_LEAN = """
import resource, subprocess, sys
done = subprocess.run([sys.executable, *sys.argv[1:]], stderr=subprocess.PIPE, text=True)
if done.returncode:
    sys.exit(done.stderr[-400:])
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""

_IMPORT_ONLY = """
import sys
sys.path.insert(0, sys.argv[1])
import worker
import liftgeo
worker.mechanism(sys.argv[2])
liftgeo.batch
"""
_MANY = """
import sys
sys.path.insert(0, sys.argv[1])
import worker
worker.keep_within(int(sys.argv[4]))
worker.many(sys.argv[2], int(sys.argv[3]), answers=worker.ANSWERS)
"""


def peak_memory_mb(program: str, *words: str) -> float:
    """Return the most memory a Python program ever holds [MB].

    Raises
    ------
    MemoryError
        It wanted more than it may take.
    RuntimeError
        It failed otherwise.
    """
    done = subprocess.run(
        [sys.executable, "-S", "-E", "-c", _LEAN, "-c", program, str(HERE), *words],
        capture_output=True,
        text=True,
        env=environment(CHECKOUT),
    )
    if done.returncode:
        said = done.stderr.strip()
        raise MemoryError(said) if "MemoryError" in said else RuntimeError(said)
    unit = 1.0 if sys.platform == "darwin" else 1024.0
    return int(done.stdout) * unit / 1e6


def added_memory_mb(scenario: str, count: int) -> tuple[float | None, str]:
    """Return what many variants add to a process that only imports [MB], and what to know of it.

    The variants' own numbers and the three answers are in it.
    """
    allowed = memory_allowed()
    alone = peak_memory_mb(_IMPORT_ONLY, scenario)
    try:
        most = peak_memory_mb(_MANY, scenario, str(count), str(allowed))
    except MemoryError:
        return None, f"it wanted more than the {allowed / 1e9:.0f} GB allowed"
    return most - alone, f"the import holds {alone:.0f} MB"


# --- starting from cold ---

_ENTRY = "import sys\nfrom liftgeo.cli import main\nsys.exit(main())\n"


def bare_import() -> float:
    """Return the processor time of importing the libraries alone [s]."""
    return processor_seconds([sys.executable, "-c", BARE])


def libraries_loaded() -> list[str]:
    """Return the libraries that `liftgeo stroke FILE` really loads."""
    program = (
        "import contextlib, io, sys\n"
        f"sys.argv = ['liftgeo', 'stroke', {str(TRACTOR)!r}]\n"
        "before = set(sys.modules)\n"
        "from liftgeo.cli import main\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n"
        "    main()\n"
        "roots = {name.split('.')[0] for name in set(sys.modules) - before}\n"
        "roots -= set(sys.stdlib_module_names) | {'liftgeo'}\n"
        "print(' '.join(sorted(r for r in roots if hasattr(sys.modules.get(r), '__path__'))))\n"
    )
    words = [sys.executable, "-c", program]
    done = subprocess.run(
        words, check=True, capture_output=True, text=True, env=environment(CHECKOUT)
    )
    return done.stdout.split()


def ways_to_run(stack: ExitStack) -> dict[str, Callable[[], float] | None]:
    """Return how `liftgeo stroke FILE` is timed: installed, and from an editable checkout."""
    folder = Path(stack.enter_context(TemporaryDirectory())).resolve()
    return {
        "installed": _installed(folder / "installed"),
        "from an editable checkout": _editable(folder / "editable"),
    }


def _installed(folder: Path) -> Callable[[], float] | None:
    install = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps"]
    install += ["--disable-pip-version-check", "--target", str(folder), str(CHECKOUT)]
    if subprocess.run(install, capture_output=True).returncode:
        return None
    script = folder / "entry.py"
    script.write_text(_ENTRY, encoding="utf-8")
    words = [sys.executable, str(script), "stroke", str(TRACTOR)]
    return lambda: processor_seconds(words, environment(folder))


def _editable(folder: Path) -> Callable[[], float]:
    """Stand in for an editable install, which leads to the checkout by a line in a .pth file."""
    folder.mkdir()
    (folder / "checkout.pth").write_text(f"{CHECKOUT}\n", encoding="utf-8")
    script = folder / "entry.py"
    leading = f"import site\nsite.addsitedir({str(folder)!r})\n"
    script.write_text(leading + _ENTRY, encoding="utf-8")
    words = [sys.executable, str(script), "stroke", str(TRACTOR)]
    # Byte code is kept, as it is for whoever does not forbid it: pip keeps that of the other way.
    left_out = ("PYTHONPATH", "PYTHONDONTWRITEBYTECODE")
    env = {k: v for k, v in os.environ.items() if k not in left_out}
    return lambda: processor_seconds(words, env)
