"""Write what is generated in the documentation, or tell what is stale.

    python docs/build.py            write it
    python docs/build.py --check    write nothing, exit 1 when something is stale
    python docs/build.py --performance    measure, and write docs/performance.md: some minutes

Generated are docs/keys.md (from the tables of the package), docs/symptoms.md (from the symptoms and
remedies it knows), docs/validation.md (from the published checks in tests/validation),
docs/write-up.md (a report of an example), the symbols of the working in docs/nomenclature.md
(between two marks), and the printed answers in README.md and docs/*.md. What docs/performance.md
says depends on the machine: the check looks only whether it is there and says when and with what it
was made.

- In a block marked `console`, each line that begins with "$ liftgeo" is run, and what follows it is
  what it prints. A line "..." stands for any lines; a block with one is compared, never rewritten.
- A block marked `python` is run; a block marked `text` right after it is what it prints. The blocks
  of one page share their names, as in one notebook.
"""

from __future__ import annotations

import contextlib
import importlib.util
import io
import os
import re
import shlex
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

CHECKOUT = Path(__file__).resolve().parents[1]
GEOMETRIES = CHECKOUT / "geometries"
sys.path.insert(0, str(CHECKOUT))

MARK = "<!-- Written by docs/build.py: do not edit. -->\n"
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


# --- blocks that are run ---


@dataclass(frozen=True)
class Block:
    """A block of a page: its language, its text, and where the text stands."""

    language: str
    text: str
    start: int
    end: int
    line: int


def blocks_of(page: str) -> list[Block]:
    """Return the fenced blocks of a page, in order."""
    return [
        Block(m[1], m[2], m.start(2), m.end(2), page.count("\n", 0, m.start()) + 1)
        for m in FENCE.finditer(page)
    ]


def pages() -> list[Path]:
    """Return the pages whose blocks are run."""
    written = sorted((CHECKOUT / "docs").glob("*.md"))
    return [CHECKOUT / "README.md", CHECKOUT / "DEVELOPERS.md", *written]


@contextlib.contextmanager
def workshop() -> Iterator[Path]:
    """Give a folder that holds the example files, and stand in it."""
    with tempfile.TemporaryDirectory() as name:
        shutil.copytree(GEOMETRIES, Path(name) / "geometries")
        with contextlib.chdir(name):
            yield Path(name)


def console_answer(command: str) -> str:
    """Return what a `liftgeo` command prints, on both streams, as a terminal shows it."""
    from liftgeo.cli import main

    seen = io.StringIO()
    with (
        mock.patch.object(sys, "argv", shlex.split(command)),
        mock.patch.dict(os.environ, {"COLUMNS": "80", "TERM": "dumb", "NO_COLOR": "1"}),
        contextlib.redirect_stdout(seen),
        contextlib.redirect_stderr(seen),
        contextlib.suppress(SystemExit),
    ):
        main()
    return seen.getvalue()


def run_console(text: str) -> str:
    """Return a console block with the answers its commands give now."""
    lines = []
    for line in text.splitlines():
        if line.startswith("$ "):
            command = line[2:]
            if not command.startswith("liftgeo "):
                raise ValueError(f"Only liftgeo is run in a console block, not: {command}")
            lines += [line, *console_answer(command).splitlines()]
    return "".join(f"{line}\n" for line in lines)


def run_python(text: str, names: dict[str, Any]) -> str:
    """Run a Python block with the names of its page, and return what it prints."""
    seen = io.StringIO()
    with contextlib.redirect_stdout(seen):
        exec(compile(text, "<python block>", "exec"), names)
    return "".join(f"{line.rstrip()}\n" for line in seen.getvalue().splitlines())


def agrees(written: str, found: str) -> bool:
    """Return whether an answer is as written; a line "..." stands for any lines."""
    parts = re.split(r"^\.\.\.\n", written, flags=re.MULTILINE)
    pattern = r"(?:.*\n)*?".join(re.escape(part) for part in parts)
    return re.fullmatch(pattern, found) is not None


@dataclass(frozen=True)
class Answer:
    """A block of a page with what it says and what is found when it is run."""

    block: Block
    found: str

    @property
    def fresh(self) -> bool:
        """Whether the block says what is found."""
        return agrees(self.block.text, self.found)


def answers(page: str) -> list[Answer]:
    """Run the blocks of a page in order, and return those that state an answer."""
    found, names, printed = [], {"__name__": "__page__"}, None
    with workshop():
        for block in blocks_of(page):
            if block.language == "console":
                found.append(Answer(block, run_console(block.text)))
            elif block.language == "python":
                printed = run_python(block.text, names)
                continue
            elif block.language == "text" and printed is not None:
                found.append(Answer(block, printed))
            printed = None
    return found


def refreshed(page: str) -> str:
    """Return a page with the answers found now; blocks with a "..." stay as they are."""
    for answer in reversed(answers(page)):
        if not answer.fresh and not re.search(r"^\.\.\.$", answer.block.text, re.MULTILINE):
            page = page[: answer.block.start] + answer.found + page[answer.block.end :]
    return page


# --- pages that are written whole ---


def keys_page() -> str:
    """Return docs/keys.md: every key of a geometry file."""
    from liftgeo.mechanism.bench import BenchTable
    from liftgeo.mechanism.needs import needs
    from liftgeo.mechanism.tables import DEFAULT_KIND, NEEDED_TABLES, TABLES

    lines = [MARK, "# The keys of a geometry file\n", KEYS_HEAD]
    for table, kinds in TABLES.items():
        words = ", always needed" if table in NEEDED_TABLES else _without(table)
        lines.append(f"## [{table}]{words}\n")
        for kind, model in kinds.items():
            if kind:
                default = ", the default" if DEFAULT_KIND.get(table) == kind else ""
                lines.append(f'### kind = "{kind}"{default}\n')
            needed = {
                need.key: need.unless
                for need in needs()
                if need.key.split(".")[0] == table and need.kind in ("", kind)
            }
            lines += [f"{model.__doc__}\n", *_key_table(table, model, needed), ""]
    lines.append("## [bench] (optional)\n")
    lines += [f"{BenchTable.__doc__}\n", *_key_table("bench", BenchTable, {}), ""]
    return "\n".join(lines).rstrip() + "\n"


def _without(table: str) -> str:
    """Return what a file without a table lacks, as it stands behind the table's name."""
    from liftgeo.mechanism.left_out import ALWAYS
    from liftgeo.mechanism.tables import REQUIRED_TABLES

    if table in ALWAYS:
        return ", left out: as usual"
    return ", left out: the answer is partial" if table in REQUIRED_TABLES else " (optional)"


KEYS_HEAD = """\
Bare numbers are in the unit given here. Text may carry another unit and a ±: `"1 3/32 in"` or
`'1 3/32"'`, `"1 ft 7 in"`, `"12 kg"` (a force on scales, in kgf),
`"12 thou"`, `"55 lbf"`, `"26.0 ± 0.2 mm"`, `"26.0 mm ± 5 %"`. ± is what a measurement may be out
by 95 times in 100, unless the word `uniform` follows it: then every value between the limits is
equally likely. `"0.05 to 0.4 mm"` is a range: limits that hold it 95 times in 100, about their
middle. Every ± and range goes into how sure the answer is.

**Left out is not zero.** What every machine has in some measure is not known where it is left out,
or blank (`""`): such a key is taken at its usual value, and anywhere in its range. The column "left
out" gives both, of a used machine; with `condition = "rebuilt"` or `"worn"` at the top of the file
they lie nearer the good or the bad end. `0`, `"none"` (no play, no friction) and `"rigid"` (nothing
gives) say that there is none. `left_out = "nothing"` at the top, or `--left-out nothing`, takes
every key that is left out as 0 or rigid, and as certain. Where a usual value depends on the
machine, *wet* plates run in oil, *loose* are all plates that run in oil and those of a pack, and
one dry plate is *riveted*. A usual value counts only where the machine has the thing:
`housing.stiffness` where a `wire` is given, `rod.mount_stiffness` where a rod's `length` is,
`rod.finger_stiffness` where `finger_ratio` is not 1, `plain_plate_runout` where there are plain
plates, an eccentric's `friction` where `cam_radius` is given and else its `efficiency`. Those of
`rod.stiffness` and `rod.mount_stiffness` hold at the plate: at the rod they are over the finger
ratio squared.

`title` names the machine; `[changes.NAME]` holds a `note` and any keys, laid over the file when
that change is asked for. `condition` and `left_out` stand at the top of the file only.

`[remedies]` holds what remedies are to bring numbers to, by their keys, in place of what is common:
[symptoms.md](symptoms.md).

A change may also say on what terms it is to be had, for `liftgeo plan`: `cost`, in your own money
(0 where it is free), `hours` of work, `needs = ["NAME"]` for changes that must be made with it, and
`excludes = ["NAME"]` for those that cannot. Changes that set one key, or keys that stand for each
other such as `rest_length` and `cable_angle`, exclude each other anyway.

**A cable end moved on its arm** can mean three machines. Each page says what was held and what
followed; pick by what the hand does:

- `arm.hole = 30`: a new hole is drilled on the arm's own line, and the arm stays on its shaft as it
  is. The angle at the shaft is held; rest length and cable angle follow, and the adjuster takes up
  the cable.
- `size --vary arm.radius_same_angle=24..40`, or `arm.radius` with `arm.cable_angle` in a change:
  the arm is drilled, or made anew, and set on its shaft until it stands to the cable as before. The
  angle between arm and cable is held; rest length follows.
- `arm.radius = 30` alone holds the one of the two that the file gives. With `rest_length` the cable
  stays as long as it is and the arm is turned to meet it, so the cable angle follows; with
  `cable_angle` it is the line above.

At the lever the blade's stop holds the angle at the pivot: there `lever.hole` is what a drill does,
and `lever.nipple_radius` alone holds the one that the file gives. `arm.turned`, or `arm.splines`
with `arm.turned_by`, moves no hole and turns the arm.

`liftgeo new` writes a file with the keys that an answer needs as blanks, `liftgeo new --all` with
all of them; `liftgeo check` reads a file back with what was taken as usual, `liftgeo schema` says
the same to an editor.

What the schema takes reading a file takes too, and the other way round, but for three things that
no schema can hold:

- what must hold between numbers: a triangle that closes, a spring not pressed flat, a ring whose
  inside fits its outside, two lists of one length;
- what a text says: its unit, its fraction, its ±, and whether the number then lies within bounds;
- whether a key of a change goes with the kind of table it is laid over.

A file is a page of text: 1 MB at most, 2000 keys and 10 000 readings at most, tables within tables
at most 12 deep.
"""


def _key_table(table: str, model: Any, needed: dict[str, Any]) -> list[str]:
    from liftgeo.mechanism.key_facts import inner_table, names
    from liftgeo.mechanism.starter import words_in

    rows = ["| key | what it is | takes | left out | how to measure it |", "|---|---|---|---|---|"]
    for name in names(model):
        inner = inner_table(model.model_fields[name])
        parts = (
            [(name, model)]
            if inner is None
            else [(f"{name}.{sub}", inner) for sub in inner.model_fields]
        )
        for dotted, home in parts:
            info = home.model_fields[dotted.split(".")[-1]]
            extra = info.json_schema_extra or {}
            cells = [
                f"`{dotted}`",
                info.description or "",
                _takes(info, words_in(info)),
                _left_out(info, needed.get(f"{table}.{dotted}")),
                "; ".join(filter(None, (extra.get("measure"), _aside(extra)))),
            ]
            rows.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return rows


def _takes(info: Any, words: tuple[str, ...]) -> str:
    """Return what a key takes: its unit and bounds, or its words."""
    from liftgeo.mechanism.key_facts import number_in, readings_in, shape_in
    from liftgeo.quantities import DIMENSIONS

    if words:
        return ", ".join(f'"{word}"' for word in words)
    number, each = number_in(info), readings_in(info)
    if each is not None:
        return f"list, {DIMENSIONS[each.dimension].unit}".rstrip(", ")
    shape = shape_in(info)
    if shape is not None:
        return f"points, {DIMENSIONS[shape.dimension].unit}"
    if number is None:
        return _takes_no_number(info)
    said = [DIMENSIONS[number.dimension].unit, number.bounds_text()]
    return ", ".join(filter(None, said)) or "a number"


def _takes_no_number(info: Any) -> str:
    """Return what a key takes that is no single number: text, pairs, or true or false."""
    from liftgeo.mechanism.fields import Pairs
    from liftgeo.quantities import DIMENSIONS

    pairs = next((item for item in info.metadata if isinstance(item, Pairs)), None)
    if pairs is not None:
        units = (DIMENSIONS[each.dimension].unit for each in (pairs.first, pairs.second))
        return f"list of pairs, {' and '.join(units)}"
    kinds = set(getattr(info.annotation, "__args__", ()) or [info.annotation]) - {type(None)}
    said = {bool: "true or false", str: "text"}
    (kind,) = kinds
    return said[kind]


def _left_out(info: Any, unless: tuple[str, ...] | None) -> str:
    if unless is not None:
        others = " or ".join(f"`{key}`" for key in unless)
        return "needed" + (f", or {others}" if others else "")
    usual = (info.json_schema_extra or {}).get("usual")
    if usual is not None:
        from liftgeo.mechanism.usual import sources_of, usual_text

        return f"usual {usual_text(usual)}; {', '.join(sources_of(usual))}"
    if info.default is None:
        return ""
    value = info.default
    return str(value).lower() if isinstance(value, bool) else f"{value}".removesuffix(".0")


def _aside(extra: dict[str, str]) -> str:
    said = [f"instead of {extra['instead']}"] if "instead" in extra else []
    said += [f"typical: {extra['typical']}"] if "typical" in extra else []
    return "; ".join(said)


def page_module(folder: str, name: str) -> Any:
    """Return a module that writes a page, loaded from a folder of tests/."""
    source = CHECKOUT / "tests" / folder / f"{name}.py"
    sys.path.insert(0, str(source.parent))
    spec = importlib.util.spec_from_file_location(f"{folder}_{name}", source)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    try:
        spec.loader.exec_module(module)
    finally:
        sys.path.remove(str(source.parent))
    return module


def validation_page() -> str:
    """Return docs/validation.md, from the published checks; it takes some seconds."""
    return MARK + "\n" + str(page_module("validation", "page").page()).strip() + "\n"


def performance_page() -> str:
    """Return docs/performance.md, measured on this machine; it takes some minutes."""
    return MARK + "\n" + str(page_module("benchmarks", "performance_page").page()).strip() + "\n"


# --- parts of a page, between two marks ---


def symbols_of_the_working() -> str:
    """Return the table of the symbols that `liftgeo formula` uses."""
    from liftgeo.formulas.symbols import QUANTITIES

    rows = [f"| {q.plain} | {q.unit or '–'} | {q.meaning} |" for q in QUANTITIES.values()]
    return "\n".join(["| symbol | unit | meaning |", "|---|---|---|", *rows])


PARTS = {"symbols-of-the-working": symbols_of_the_working}
_PART = re.compile(
    r"(<!-- begin ([\w-]+): written by docs/build\.py -->\n).*?(<!-- end \2 -->)", re.S
)


def with_parts(page: str) -> str:
    """Return a page with what stands between its marks as it should read."""
    return _PART.sub(lambda m: f"{m[1]}{PARTS[m[2]]()}\n{m[3]}", page)


def symptoms_page() -> str:
    """Return docs/symptoms.md: what is felt, what decides, what can be done."""
    from liftgeo.words import symptoms_page

    return MARK + symptoms_page.symptoms_page()


WRITE_UP_HEAD = """\
*An example. The machine is invented: `geometries/quarry-hauler.toml`. `liftgeo report` wrote this
page; its pictures, which stand above their captions, are left out here.*
"""


def write_up_page() -> str:
    """Return docs/write-up.md: what `liftgeo report` writes of an example, without its pictures."""
    from liftgeo import load
    from liftgeo.report import write_up

    command = "liftgeo report geometries/quarry-hauler.toml -o write-up.md"
    told = write_up(load(GEOMETRIES / "quarry-hauler.toml"), [], command=command)
    title, _, rest = told.markdown("write-up").partition("\n\n")
    words = re.sub(r"^!\[.*\]\(write-up-[\w-]+\.png\)\n+", "", rest, flags=re.MULTILINE)
    return "\n".join([MARK, f"{title}\n", WRITE_UP_HEAD, words.strip()]) + "\n"


WHOLE_PAGES = {
    "docs/keys.md": keys_page,
    "docs/symptoms.md": symptoms_page,
    "docs/validation.md": validation_page,
    "docs/write-up.md": write_up_page,
}

MEASURED_PAGES = {"docs/performance.md": performance_page}
"""Pages that say something else each time they are written: written by hand, never compared."""

MADE = re.compile(
    r"^Generated on \d{4}-\d\d-\d\d with liftgeo \d\S*, Python \d\S*, numpy \d", re.MULTILINE
)
"""The line of a measured page that says when and with what it was made, near its head."""


def built() -> dict[Path, str]:
    """Return every page that is generated, in whole or in part, as it should read."""
    found = {CHECKOUT / name: page() for name, page in WHOLE_PAGES.items()}
    for path in pages():
        if path not in found and path.is_file():
            found[path] = refreshed(with_parts(path.read_text(encoding="utf-8")))
    return found


def stale(wanted: dict[Path, str]) -> list[Path]:
    """Return the pages that do not read as they should."""
    return [
        path
        for path, text in wanted.items()
        if not path.is_file()
        or path.read_text(encoding="utf-8") != text
        or not all(answer.fresh for answer in answers(text))
    ]


def unmade() -> list[Path]:
    """Return the measured pages that are not there, or do not say when and with what."""
    paths = [CHECKOUT / name for name in MEASURED_PAGES]
    return [
        path
        for path in paths
        if not path.is_file() or not MADE.search(path.read_text(encoding="utf-8")[:600])
    ]


def main(words: list[str]) -> int:
    """Write the pages, or check them."""
    if words not in ([], ["--check"], ["--performance"]):
        print(__doc__)
        return 2
    if words == ["--performance"]:
        for name, page in MEASURED_PAGES.items():
            (CHECKOUT / name).write_text(page(), encoding="utf-8")
            print(f"Written: {name}")
        return 0
    wanted = built()
    if not words:
        for path, text in wanted.items():
            if not path.is_file() or path.read_text(encoding="utf-8") != text:
                path.write_text(text, encoding="utf-8")
                print(f"Written: {path.relative_to(CHECKOUT)}")
    old = stale(wanted)
    for path in old:
        print(f"Stale: {path.relative_to(CHECKOUT)}; run python docs/build.py", file=sys.stderr)
    missing = unmade()
    for path in missing:
        name = path.relative_to(CHECKOUT)
        print(f"Not made: {name}; run python docs/build.py --performance", file=sys.stderr)
    return 1 if old or missing else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
