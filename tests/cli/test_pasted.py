"""Every command that a page prints works when it is pasted, in the folder where the page was read.

Somebody marks what stands between the backticks, puts it at the prompt, and gets an answer.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
import tomlkit
from clutches import BASE_TEXT, DRUM_ARM, DRUM_LEVER, TEXT_WITHOUT_CHANGES, document
from command_line import GEOMETRIES, run

import liftgeo

LESS_GIVEN = BASE_TEXT
for _old, _new in (
    ('left_out = "nothing"', 'left_out = "usual"'),
    ("free_play = 2.2", ""),
    ("end_float = 0.12", ""),
    ("nipple_radius = 26.0", 'nipple_radius = "26.0 ± 0.5 mm"'),
):
    assert _old in LESS_GIVEN
    LESS_GIVEN = LESS_GIVEN.replace(_old, _new)
PRICED = re.sub(r"(\[changes\.[\w-]+\])", r"\1\ncost = 10", BASE_TEXT)
SOUND = TEXT_WITHOUT_CHANGES.replace("free_play = 2.2", "free_play = 0.8")
TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in GEOMETRIES.glob("*.toml")} | {
    "base": PRICED,
    "less given": LESS_GIVEN,
    "no changes": TEXT_WITHOUT_CHANGES,
    "heavy": f"{SOUND}\n[targets]\nclearance = 0.01\nhand_force = 40\n",
    "part": BASE_TEXT[: BASE_TEXT.index("[spring]")],
    "drums": tomlkit.dumps(document(lever=DRUM_LEVER, arm=DRUM_ARM)),
    "by foot": TEXT_WITHOUT_CHANGES.replace("[lever]", '[lever]\nworked_by = "foot"'),
}
"""Every shipped example, and clutches of the tests that lead elsewhere, by the file's name."""

VARIED = "cable.bend=60..140"
PAGES: dict[str, Sequence[str]] = {
    "stroke": ["stroke"],
    "in inch units": ["stroke", "--units", "inch"],
    "with a number": ["stroke", "--change", "cable.bend=120"],
    "compare": ["compare"],
    "compare a number": ["compare", "cable.bend=60", "--units", "inch"],
    "sensitivity": ["compare", "--sensitivity"],
    "size": ["size", "--vary", VARIED, "--want", "clearance>=-1", "--units", "inch"],
    "size not met": ["size", "--vary", VARIED, "--want", "clearance>=2"],
    "size saved": ["size", "--vary", VARIED, "--want", "clearance>=-1", "--save", "own-name"],
    "wear": ["wear"],
    "wear readjusted": ["wear", "--readjusted"],
    "spread": ["spread", "--samples", "2000"],
    "diagnose": ["diagnose"],
    "diagnose in inch units": ["diagnose", "--units", "inch", "--full"],
    "heavy": ["diagnose", "--symptom", "heavy"],
    "sticks": ["diagnose", "--symptom", "sticks", "--change", "cable.bend=120"],
    "good readings": ["diagnose", "--readings", "good.csv"],
    "bad readings": ["diagnose", "--readings", "bad.csv"],
    "after the work": [
        *("diagnose", "--before", "good.csv", "--after", "bad.csv", "--change", "cable.bend=120")
    ],
    "plan": ["plan"],
    "plan not reached": ["plan", "--want", "clearance>=2", "--budget", "15"],
    "draw": ["draw"],
    "check": ["check"],
}
NEED_CHANGES = ("compare", "plan", "plan not reached")
NEED_ALL = {*PAGES} - {"stroke", "in inch units", "with a number", "draw", "check"}


def laid_out(folder: Path, stem: str) -> Path:
    """Write a clutch, and readings from it, into an empty folder; return the file."""
    folder.mkdir()
    file = folder / f"{stem}.toml"
    file.write_text(TEXTS[stem], encoding="utf-8")
    found = liftgeo.load(file)
    if found.level == "full":
        full = liftgeo.stroke(found).full_lever
        for name, times in (("good", 1.0), ("bad", 1.6)):
            force, apart = times * full.hand_force_n, times * max(full.separation_mm, 0.2)
            rows = f"hand_force_n,separation_mm\n{force:.1f} ± 3,{apart:.2f} ± 0.02\n"
            (folder / f"{name}.csv").write_text(rows, encoding="utf-8")
    return file


def asked(stem: str, page: str) -> bool:
    """Return whether a page can be had of a clutch."""
    text = TEXTS[stem]
    if page in NEED_ALL and stem == "part":
        return False
    if page.startswith("plan"):
        return "\ncost = " in text
    return page not in NEED_CHANGES or "\n[changes." in text


def pasted(page: str) -> Iterator[str]:
    """Yield the commands of a page that are to be pasted."""
    for line in page.splitlines():
        yield from re.findall(r"`(liftgeo [^`]*)`", line)


def check(tmp_path: Path, stem: str, pages: Sequence[str]) -> int:
    """Read pages of a clutch and paste every command on them; return how many there were."""
    tried: dict[str, str] = {}
    for page in pages:
        folder = tmp_path / page
        file = laid_out(folder, stem)
        command, *options = PAGES[page]
        done = run(command, file.name, *options, folder=folder)
        assert done.code == 0, (page, done.err)
        assert done.out.count("`liftgeo ") == len(list(pasted(done.out))), "broken over two lines"
        assert "KEY=LOW" not in done.out
        if "[changes." in done.out:  # as the page says: paste what you can make into the file
            rest = done.out[done.out.index("[changes.") :]
            block = re.split(r"\n\n(?=`liftgeo |Next)", rest)[0]
            file.write_text(f"{TEXTS[stem]}\n{block}", encoding="utf-8")
        for text in pasted(done.out):
            if text in tried:
                continue
            tried[text] = page
            made_ready(folder, text, done.out)
            again = run(*shlex.split(text)[1:], folder=folder)
            assert again.code == 0, (page, text, again.err)
    return len(tried)


def made_ready(folder: Path, text: str, page: str) -> None:
    """Do what a page asks for before a command: fill in the table of readings that it names."""
    table = folder / "readings.csv"
    if "sheet --readings" in text:
        table.unlink(missing_ok=True)
    elif f"--readings {table.name}" in text:
        found = re.search(r"^  (\w+(?:,\w+)*)\n  (.*….*)$", page, flags=re.MULTILINE)
        assert found, page
        table.write_text(f"{found[1]}\n{found[2].replace('…', '0.5')}\n", encoding="utf-8")


def test_the_commands_of_a_page_work_when_they_are_pasted(tmp_path: Path) -> None:
    assert check(tmp_path, "base", ["compare", "size", "wear", "diagnose"]) >= 8


@pytest.mark.slow
@pytest.mark.parametrize("stem", TEXTS)
def test_every_command_of_every_page_works_when_it_is_pasted(tmp_path: Path, stem: str) -> None:
    count = check(tmp_path, stem, [page for page in PAGES if asked(stem, page)])
    assert count > (3 if stem == "part" else 12)
