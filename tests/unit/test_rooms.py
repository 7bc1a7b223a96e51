"""The map of the house, held as data: who may import whom, and who may touch what.

A module imports from rooms of lower rank only, and from its own rank only inside its own folder;
modules at the root of the package that share a rank count as one folder. Imports inside functions
and under TYPE_CHECKING count like any other.
"""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]

RANKS: dict[str, float] = {
    "errors": 0,
    "version": 0,
    "kinds": 0,
    "units": 0,
    "measured": 0,
    "safety": 0,
    "quantities": 0,
    "plain_text": 0,
    "as_written": 0,
    "cached": 0,
    "parts": 1,
    "chain": 2,
    "mechanism": 3,
    "files": 4,
    "bench_file": 4,
    "geometry_file": 4,
    "outline": 4,
    "saving": 4,
    "cautions": 5,
    "outcome": 6,
    "studies": 7,
    "formulas": 7,
    "words": 8,
    "figures": 9,
    "web": 9.5,
    "report": 10,
    "live": 10,
    "liftgeo": 10.5,  # liftgeo/__init__.py: what a program imports, above all but the command line
    "cli": 11,
    "__main__": 12,  # python -m liftgeo
}

FOLDERS = {"parts", "chain", "mechanism", "outcome", "studies", "formulas", "words"}
FOLDERS |= {"figures", "web", "report", "live", "cli"}
"""Rooms that are folders; one that is a folder in the checkout counts as well."""

LIBRARY_ROOMS: dict[str, set[str]] = {
    "jinja2": {"web", "cli"},
    "starlette": {"live"},
    "uvicorn": {"live"},  # cli: the starter files
    "lmfit": {"studies"},
    "matplotlib": {"figures", "report"},
    "pint": {"units"},
    "pydantic": {"mechanism"},
    "rich": {"cli"},
    "scipy": {"studies"},
    "shapely": {"outline", "figures"},
    "sympy": {"formulas"},
    "tomlkit": {"bench_file", "geometry_file", "saving"},
    "typer": {"cli"},
}
"""Where each library may be imported. numpy may be everywhere, anything else nowhere."""

SHIPPED_WITH = {"click": "typer", "mpl_toolkits": "matplotlib", "pydantic_core": "pydantic"}
SHIPPED_WITH |= {"PIL": "matplotlib"}

LOADED_LATE = set(LIBRARY_ROOMS) - {"pydantic"}
"""Libraries that `import liftgeo` leaves alone until something asks for what needs them."""

PRINTING_ROOMS = {"cli"}
FILE_ROOMS = {"bench_file", "files", "geometry_file", "report", "live", "cli"}
NAMING_AT_RUN_TIME_ROOMS = {"liftgeo", "cli"}

FILE_MODULES = {"fileinput", "glob", "os", "shutil", "tempfile"}
FILE_METHODS = {"exists", "is_dir", "is_file", "stat"}  # asking about files
FILE_METHODS |= {"glob", "iterdir", "mkdir", "rename", "rglob", "rmdir", "touch", "unlink"}
FILE_METHODS |= {"open", "read_bytes", "read_text", "write_bytes", "write_text"}
FILE_METHODS |= {"fromfile", "genfromtxt", "loadtxt", "savetxt", "savez", "tofile"}  # numpy
FILE_METHODS |= {"imread", "imsave", "savefig"}  # matplotlib
NUMPY_FILE_FUNCTIONS = {"load", "memmap", "save", "savez_compressed"}

LONGEST_MODULE_LINES = 450
LONGEST_FUNCTION_LINES = 70


@dataclass(frozen=True)
class Module:
    """One source file of the package, read and parsed."""

    path: Path
    name: str  # dotted, "liftgeo.parts.cable"; a package's __init__ bears the package's name
    is_package: bool
    text: str

    @property
    def room(self) -> str:
        return room_of(self.name)

    @property
    def tree(self) -> ast.Module:
        return ast.parse(self.text, str(self.path))

    def at(self, node: ast.AST) -> str:
        return f"{self.path}:{getattr(node, 'lineno', 1)}"


@dataclass(frozen=True)
class Import:
    """One import: the dotted name asked for, or None where it is only known at run time."""

    node: ast.AST
    target: str | None


def room_of(dotted: str) -> str:
    """Name the room of a dotted module name: "parts" for "liftgeo.parts.cable"."""
    steps = dotted.split(".")
    return steps[1] if len(steps) > 1 else steps[0]


def modules_of(checkout: Path) -> list[Module]:
    """Read every module of the package in a checkout."""
    modules = []
    for path in sorted((checkout / "liftgeo").rglob("*.py")):
        steps = path.relative_to(checkout).with_suffix("").parts
        is_package = steps[-1] == "__init__"
        name = ".".join(steps[:-1] if is_package else steps)
        modules.append(Module(path.relative_to(checkout), name, is_package, path.read_text()))
    return modules


def imports_of(module: Module) -> Iterator[Import]:
    """Yield each import of a module, wherever it stands, with relative ones made absolute."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(node, alias.name)
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                steps = module.name.split(".")
                up = node.level - module.is_package
                anchor = ".".join(steps[: len(steps) - up])
                base = f"{anchor}.{base}".rstrip(".")
            for alias in node.names:
                # "from liftgeo import chain" names a room; "from liftgeo import stroke" does not.
                yield Import(
                    node,
                    f"{base}.{alias.name}" if base == "liftgeo" and alias.name in RANKS else base,
                )
        elif isinstance(node, ast.Call) and name_of(node.func) in {"import_module", "__import__"}:
            first = node.args[0] if node.args else None
            if isinstance(first, ast.Constant) and not str(first.value).startswith("."):
                yield Import(node, str(first.value))
            else:
                yield Import(node, None)


def name_of(node: ast.AST) -> str:
    """Return the last word of a name or of a dotted expression, empty for anything else."""
    if isinstance(node, ast.Attribute):
        return node.attr
    return node.id if isinstance(node, ast.Name) else ""


# --- the rules: each takes the modules and yields its breaches, one line each ---


def unknown_rooms(modules: list[Module]) -> Iterator[str]:
    for module in modules:
        if module.room not in RANKS:
            yield (
                f"{module.path}: the room {module.room!r} has no rank; "
                f"add it to RANKS in tests/unit/test_rooms.py"
            )


def upward_imports(modules: list[Module]) -> Iterator[str]:
    folders = FOLDERS | {module.room for module in modules if len(module.path.parts) > 2}
    for module in modules:
        rank = RANKS.get(module.room)
        if rank is None:
            continue  # unknown_rooms speaks of it
        for found in imports_of(module):
            if found.target is None or found.target.split(".")[0] != "liftgeo":
                continue
            room = room_of(found.target)
            if room not in RANKS:
                yield f"{module.at(found.node)}: imports {found.target}, a room without a rank"
                continue
            one_folder = module.room == room or not {module.room, room} & folders
            if RANKS[room] > rank or (RANKS[room] == rank and not one_folder):
                yield (
                    f"{module.at(found.node)}: {module.name} (rank {rank:g}) imports "
                    f"{found.target} (rank {RANKS[room]:g}); a room imports lower ranks only"
                )


def imports_named_at_run_time(modules: list[Module]) -> Iterator[str]:
    for module in modules:
        for found in imports_of(module):
            if found.target is None and module.room not in NAMING_AT_RUN_TIME_ROOMS:
                yield f"{module.at(found.node)}: write the imported module's full name as a text"


def libraries_outside_their_room(modules: list[Module]) -> Iterator[str]:
    for module in modules:
        for found in imports_of(module):
            top = (found.target or "liftgeo").split(".")[0]
            if top in {"liftgeo", "numpy", "__future__"} or top in sys.stdlib_module_names:
                continue
            rooms = LIBRARY_ROOMS.get(SHIPPED_WITH.get(top, top))
            if rooms is None:
                yield f"{module.at(found.node)}: {top} is not among the libraries of this package"
            elif module.room not in rooms:
                yield f"{module.at(found.node)}: {top} belongs in {', '.join(sorted(rooms))} only"


def libraries_imported(modules: list[Module]) -> set[str]:
    tops = {(i.target or "liftgeo").split(".")[0] for m in modules for i in imports_of(m)}
    known = {SHIPPED_WITH.get(top, top) for top in tops}
    return known & (set(LIBRARY_ROOMS) | {"numpy"})


def printing_outside_cli(modules: list[Module]) -> Iterator[str]:
    for module in modules:
        if module.room in PRINTING_ROOMS:
            continue
        for node in ast.walk(module.tree):
            is_print = isinstance(node, ast.Name) and node.id == "print"
            # a fitted number has a `stderr` too: only those of the system are streams
            is_stream = (
                isinstance(node, ast.Attribute)
                and node.attr in {"stdout", "stderr"}
                and name_of(node.value) in {"sys", "system"}
            )
            if is_print or is_stream:
                yield f"{module.at(node)}: only cli/ prints; return the text instead"


def file_access_outside_its_rooms(modules: list[Module]) -> Iterator[str]:
    for module in modules:
        if module.room in FILE_ROOMS:
            continue
        advice = f"files are read and written in {', '.join(sorted(FILE_ROOMS))} only"
        for found in imports_of(module):
            target = found.target or ""
            if target.split(".")[0] in FILE_MODULES or target.startswith("importlib.resources"):
                yield f"{module.at(found.node)}: imports {target}; {advice}"
        for node in ast.walk(module.tree):
            if isinstance(node, ast.Name) and node.id == "open":
                yield f"{module.at(node)}: open; {advice}"
            elif isinstance(node, ast.Attribute) and touches_files(node):
                yield f"{module.at(node)}: {ast.unparse(node)}; {advice}"


def touches_files(node: ast.Attribute) -> bool:
    of_numpy = name_of(node.value) in {"np", "numpy"}
    return node.attr in FILE_METHODS or (of_numpy and node.attr in NUMPY_FILE_FUNCTIONS)


def things_too_long(modules: list[Module]) -> Iterator[str]:
    advice = "it usually holds two ideas: split it where they part"
    for module in modules:
        lines = len(module.text.splitlines())
        if lines > LONGEST_MODULE_LINES:
            yield f"{module.path}: {lines} lines, more than {LONGEST_MODULE_LINES}; {advice}"
        for node in ast.walk(module.tree):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                lines = (node.end_lineno or node.lineno) - node.lineno + 1
                if lines > LONGEST_FUNCTION_LINES:
                    yield (
                        f"{module.at(node)}: {node.name} has {lines} lines, more than "
                        f"{LONGEST_FUNCTION_LINES}; {advice}"
                    )


Rule = Callable[[list[Module]], Iterator[str]]

RULES: list[Rule] = [
    unknown_rooms,
    upward_imports,
    imports_named_at_run_time,
    libraries_outside_their_room,
    printing_outside_cli,
    file_access_outside_its_rooms,
    things_too_long,
]


def loaded_by_importing_liftgeo(checkout: Path) -> set[str]:
    """Name the late libraries that `import liftgeo` loads, in a Python of its own."""
    program = (
        "import json, sys\n"
        f"sys.path.insert(0, {str(checkout)!r})\n"
        "before = set(sys.modules)\n"
        "import liftgeo\n"
        "print(json.dumps([list(liftgeo.__path__), sorted(set(sys.modules) - before)]))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    found_in, loaded = json.loads(done.stdout)
    assert str(checkout / "liftgeo") in found_in, f"imported another liftgeo: {found_in}"
    return {name.split(".")[0] for name in loaded} & LOADED_LATE


# --- the house as it stands ---


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_the_house_keeps_the_rule(rule: Rule) -> None:
    modules = modules_of(CHECKOUT)
    assert modules, f"no modules found under {CHECKOUT / 'liftgeo'}"
    breaches = list(rule(modules))
    assert not breaches, "\n" + "\n".join(breaches)


def test_importing_liftgeo_leaves_the_heavy_libraries_alone() -> None:
    assert loaded_by_importing_liftgeo(CHECKOUT) == set()


def test_the_libraries_imported_are_the_declared_dependencies() -> None:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]
    lines = [*project["dependencies"], *project["optional-dependencies"]["live"]]
    declared = {re.split(r"[^\w-]", line, maxsplit=1)[0] for line in lines}
    assert declared <= set(LIBRARY_ROOMS) | {"numpy"}
    assert declared == libraries_imported(modules_of(CHECKOUT))


# --- the rules bite: each finds what is planted, and only that ---

PLANTED: list[tuple[Rule, str, str, str]] = [
    (unknown_rooms, "gadgets.py", "", "add it to RANKS"),
    (unknown_rooms, "gadgets/__init__.py", "", "add it to RANKS"),
    (upward_imports, "errors.py", "import liftgeo.chain", "liftgeo.chain (rank 2)"),
    (upward_imports, "errors.py", "from liftgeo import chain", "liftgeo.chain (rank 2)"),
    (upward_imports, "errors.py", "from liftgeo import stroke", "liftgeo (rank 10.5)"),
    (upward_imports, "outline.py", "from .outcome import stroke", "liftgeo.outcome (rank 6)"),
    (upward_imports, "parts/cable.py", "from ..chain import x", "liftgeo.chain (rank 2)"),
    (upward_imports, "parts/__init__.py", "from .. import outcome", "liftgeo.outcome (rank 6)"),
    (upward_imports, "parts/cable.py", "def f():\n    import liftgeo.cli", "liftgeo.cli (rank 11)"),
    (
        upward_imports,
        "parts/cable.py",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from liftgeo.chain import Parts",
        "liftgeo.chain (rank 2)",
    ),
    (
        upward_imports,
        "parts/cable.py",
        "import importlib\nimportlib.import_module('liftgeo.outcome.batches')",
        "liftgeo.outcome.batches (rank 6)",
    ),
    (upward_imports, "live/page.py", "from liftgeo.report import page", "liftgeo.report (rank 10)"),
    (upward_imports, "studies/size.py", "import liftgeo.formulas", "liftgeo.formulas (rank 7)"),
    (
        upward_imports,
        "outline.py",
        "import liftgeo.geometry_file as g\nimport liftgeo.words",
        "liftgeo.words (rank 8)",
    ),
    (upward_imports, "figures/page.py", "import liftgeo.report", "liftgeo.report (rank 10)"),
    (upward_imports, "__init__.py", "from liftgeo.cli import main", "liftgeo.cli (rank 11)"),
    (upward_imports, "chain/stop.py", "import liftgeo.gadgets", "a room without a rank"),
    (imports_named_at_run_time, "chain/stop.py", "f = lambda n: __import__(n)", "full name"),
    (libraries_outside_their_room, "parts/cable.py", "import scipy.optimize", "studies only"),
    (libraries_outside_their_room, "outline.py", "def f():\n    import sympy", "formulas only"),
    (libraries_outside_their_room, "live/page.py", "from click import echo", "cli only"),
    (libraries_outside_their_room, "cli/main.py", "from pydantic import Field", "mechanism only"),
    (libraries_outside_their_room, "studies/size.py", "import pandas", "not among the libraries"),
    (printing_outside_cli, "chain/stop.py", "print('here')", "only cli/ prints"),
    (printing_outside_cli, "live/page.py", "import sys\nsys.stderr.write('x')", "only cli/ prints"),
    (file_access_outside_its_rooms, "outline.py", "open('a')", "open; files are"),
    (file_access_outside_its_rooms, "outline.py", "import io\nio.open('a')", "io.open; files are"),
    (file_access_outside_its_rooms, "outline.py", "import os.path", "imports os.path"),
    (file_access_outside_its_rooms, "outline.py", "def f(p): p.read_text()", "p.read_text"),
    (file_access_outside_its_rooms, "figures/a.py", "def f(g): g.savefig('a')", "g.savefig"),
    (file_access_outside_its_rooms, "outline.py", "import numpy as np\nnp.load('a')", "np.load"),
    (things_too_long, "outline.py", "\n" * 451, "451 lines, more than 450"),
    (things_too_long, "outline.py", "def f():\n" + "    0\n" * 70, "f has 71 lines, more than 70"),
]


def plant(checkout: Path, where: str, text: str) -> None:
    path = checkout / "liftgeo" / where
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text)


@pytest.mark.parametrize(
    ("rule", "where", "text", "message"),
    PLANTED,
    ids=[f"{rule.__name__}-{number}" for number, (rule, *_) in enumerate(PLANTED)],
)
def test_a_planted_breach_is_found_by_its_rule_alone(
    rule: Rule, where: str, text: str, message: str, tmp_path: Path
) -> None:
    plant(tmp_path, where, text)
    found = {each.__name__: list(each(modules_of(tmp_path))) for each in RULES}
    assert len(found[rule.__name__]) == 1
    assert message in found[rule.__name__][0]
    assert [name for name, breaches in found.items() if breaches] == [rule.__name__]


def test_every_rule_has_a_planted_breach() -> None:
    assert {rule for rule, *_ in PLANTED} == set(RULES)


def test_what_is_allowed_is_let_through(tmp_path: Path) -> None:
    plant(tmp_path, "chain/a.py", "import numpy as np\nfrom liftgeo.parts.cable import Cable\n")
    plant(tmp_path, "chain/stop.py", "from liftgeo.chain.a import position\n")
    plant(tmp_path, "parts/cable.py", "from dataclasses import replace\nfrom . import curve\n")
    plant(tmp_path, "parts/curve.py", "from liftgeo.errors import Reason\n")
    plant(tmp_path, "outline.py", "import shapely\nfrom liftgeo.geometry_file import load\n")
    plant(tmp_path, "formulas.py", "def f():\n    import sympy\n")
    plant(tmp_path, "geometry_file.py", "import tomlkit\nfrom pathlib import Path\nopen('a')\n")
    plant(tmp_path, "__init__.py", "from liftgeo.outcome import stroke\nfrom . import report\n")
    plant(tmp_path, "cli/main.py", "import liftgeo\nfrom liftgeo import live\nprint('here')\n")
    plant(tmp_path, "__main__.py", "from liftgeo.cli import main\nmain()\n")
    assert [breach for rule in RULES for breach in rule(modules_of(tmp_path))] == []


def test_a_heavy_library_loaded_on_import_is_found(tmp_path: Path) -> None:
    plant(tmp_path, "__init__.py", "from liftgeo import geometry_file\n")
    plant(tmp_path, "geometry_file.py", "import tomlkit\n")
    assert loaded_by_importing_liftgeo(tmp_path) == {"tomlkit"}
