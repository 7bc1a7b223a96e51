"""`liftgeo new`: a starter file that answers in full once it is filled, in part before."""

from __future__ import annotations

import itertools
import re
import tomllib
from pathlib import Path

import pytest
from command_line import run, too_wide
from starter_files import blanks_in, filled

import liftgeo
from liftgeo.kinds import KINDS
from liftgeo.mechanism.starter import starter
from liftgeo.mechanism.tables import TABLES

CHOICES = ("release", "lever", "arm", "spring")
COMBINATIONS = list(itertools.product(*(KINDS[table] for table in CHOICES)))
BY_CHANGE_OF_ONE = [
    c for c in COMBINATIONS if sum(c[k] != COMBINATIONS[0][k] for k in range(4)) < 2
]


def kinds(combination: tuple[str, ...]) -> dict[str, str]:
    return dict(zip(CHOICES, combination, strict=True))


def options(combination: tuple[str, ...]) -> list[str]:
    return [word for table, kind in kinds(combination).items() for word in (f"--{table}", kind)]


def listed_in(text: str) -> list[str]:
    """Return the dotted keys of a list of what is still blank."""
    found, table = [], ""
    for line in text.split("how to measure it.\n")[1].splitlines():
        if head := re.match(r"    \[(\w+)\]", line):
            table = head[1]
        found += [f"{table}.{name}" for name in re.findall(r"(\w+)(?:,|$)", line)]
    return found


def test_it_writes_the_file_and_says_what_to_do_next(tmp_path: Path) -> None:
    done = run("new", "my-clutch", folder=tmp_path)
    assert (done.code, done.out) == (0, "")
    assert "Written: my-clutch.toml" in done.err
    assert "liftgeo stroke my-clutch.toml" in done.err
    text = (tmp_path / "my-clutch.toml").read_text(encoding="utf-8")
    assert 'title = "My clutch"' in text
    assert [path.name for path in tmp_path.iterdir()] == ["my-clutch.toml"]


def test_the_name_may_carry_its_ending(tmp_path: Path) -> None:
    assert run("new", "bench.toml", folder=tmp_path).code == 0
    assert [path.name for path in tmp_path.iterdir()] == ["bench.toml"]


# --- the short form ---


@pytest.mark.parametrize("combination", COMBINATIONS, ids="-".join)
def test_the_short_form_asks_what_a_full_answer_needs_and_no_more(
    combination: tuple[str, ...],
) -> None:
    text = starter("Clutch", "clutch.toml", kinds(combination))
    asked = blanks_in(text)
    numbers = [key for key in asked if key != "faces.running"]
    # 18 for pins and a coned disc, 11 for drums, a rack and a table of loads
    assert 11 <= len(numbers) <= 18
    whole = filled(text)
    mechanism = liftgeo.loads(whole)
    assert (mechanism.level, mechanism.lacking) == ("full", ())
    for key in numbers:
        name = key.split(".")[1]
        head, tail = whole.split(f"[{key.split('.')[0]}]\n")
        less = re.sub(rf"^{name} = .*$", f'{name} = ""', tail, count=1, flags=re.MULTILINE)
        assert less != tail
        without = f"{head}[{key.split('.')[0]}]\n{less}"
        if key.startswith(("lever.", "arm.")):
            with pytest.raises(liftgeo.GeometryError) as caught:
                liftgeo.loads(without)
            assert [fault.key for fault in caught.value.faults] == [key]
            continue
        found = liftgeo.loads(without)
        assert [fault.key for fault in found.lacking] == [key]
        assert found.level != "full"


@pytest.mark.parametrize("combination", COMBINATIONS, ids="-".join)
def test_the_short_form_is_a_page_that_says_how_each_is_measured(
    combination: tuple[str, ...],
) -> None:
    text = starter("Clutch", "clutch.toml", kinds(combination))
    lines = text.splitlines()
    assert max(map(len, lines)) <= 100
    assert len(lines) - lines.index("[lever]") <= 42
    joined = re.sub(r"\n(?:#? +)# (?!\w+ *=|\[[a-z])", " ", text[text.index("[lever]") :])
    keys = [line for line in joined.splitlines() if re.match(r'(# )?\w+ *= (""|\[\])', line)]
    assert len(keys) == len(blanks_in(text)) + 2
    for line in keys:
        assert re.search(r'= ""  # .+: .+|= \[\]  # .+: .+; as in \[|= ""  # "dry" or', line), line
    assert {k: v["kind"] for k, v in tomllib.loads(text).items() if "kind" in v} == kinds(
        combination
    )


@pytest.mark.parametrize("combination", BY_CHANGE_OF_ONE, ids="-".join)
def test_filled_it_is_answered_at_once_and_check_reads_back_what_was_taken(
    combination: tuple[str, ...], tmp_path: Path
) -> None:
    path = tmp_path / "clutch.toml"
    assert run("new", path, *options(combination)).code == 0
    path.write_text(filled(path.read_text(encoding="utf-8")), encoding="utf-8")
    assert run("stroke", path, "--json").data["full_lever"]["plate_lift_mm"] > 0
    done = run("check", path)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("Clutch\n")
    taken = liftgeo.load(path).taken
    assert len(taken) >= 10
    for item in taken:
        key = re.escape(item.key.split(".", 1)[1])
        assert re.search(rf"^  {key} .* usual, [0-9.]+ to [0-9.]+", done.out, re.MULTILINE), item


def test_the_engine_stands_as_lines_to_be_switched_on(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = path.read_text(encoding="utf-8")
    head, engine = text.split("# [engine]\n")
    path.write_text(filled(f"{head}[engine]\n" + engine.replace("# torque", "torque")))
    assert liftgeo.load(path).engine.torque == pytest.approx(58.3, abs=0.01)
    assert "engine.primary_ratio" not in liftgeo.load(path).given


def test_the_head_says_how_numbers_are_written_and_what_becomes_of_a_blank(tmp_path: Path) -> None:
    run("new", "clutch", folder=tmp_path)
    head = (tmp_path / "clutch.toml").read_text(encoding="utf-8").split("title =")[0]
    said = " ".join(head.replace("#", " ").split())
    for words in (
        "Bare numbers are mm, N, deg",
        '"1 3/32 in"',
        '"26.5 ± 0.2 mm"',
        '"0.05 to 0.4 mm"',
        '"none" says that there is no play or friction, "rigid" that nothing gives.',
        "A blank counts as left out",
        "unload the spring evenly",
        "asbestos",
        "licensed practice",
    ):
        assert words in said
    assert "does not enter" not in said


@pytest.mark.parametrize(
    ("tables", "level", "gives"),
    [
        (("lever", "arm"), "ratio", "the ratio of lever, cable and arm"),
        (("lever", "arm", "release"), "lift", "the lift by geometry"),
        (("lever", "arm", "release", "spring"), "effort", "lift and effort"),
    ],
)
def test_filled_in_part_it_is_answered_in_part(
    tables: tuple[str, ...], level: str, gives: str, tmp_path: Path
) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path, "--spring", "coils")
    text = path.read_text(encoding="utf-8")
    path.write_text(filled(text, *tables), encoding="utf-8")
    data = run("check", path, "--json").data
    assert data["level"] == level
    assert run("stroke", path, "--json").data["verdict"] == "partial"
    blank = [key for key in blanks_in(text) if key.split(".")[0] not in tables]
    assert [item["key"] for item in data["lacking"]] == [k for k in blank if k != "faces.running"]
    assert all(item["what"] and item["how"] for item in data["lacking"])
    page = " ".join(run("check", path).out.split())
    assert f"not all is there yet: it gives {gives}." in page
    first = blank[0].split(".")[0]
    assert f"To add next: [{first}] {blank[0].split('.')[1]}, " in page


# --- what is still blank ---


def test_blanks_of_lever_and_arm_are_told_by_table(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    for command in ("check", "stroke"):
        done = run(command, path)
        assert (done.code, done.out) == (2, "")
        assert done.err.startswith("clutch.toml: 8 things to put right\n\n")
        assert "8 keys are still blank. Fill in each" in done.err
        both = [k for k in blanks_in(path.read_text()) if k.startswith(("lever.", "arm."))]
        assert listed_in(done.err) == both
        assert too_wide(done.err) == []


def test_what_is_wrong_stands_before_what_is_blank(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = path.read_text(encoding="utf-8")
    text = re.sub(r'outside_diameter +=  *""', "outside_diameter = -3", text)
    text = re.sub(r'friction_plates +=  *""', 'friction_plates = "one"', text)
    path.write_text(text, encoding="utf-8")
    blocks = run("check", path).err.split("\n\n")
    assert [block.split()[0] for block in blocks] == [
        "clutch.toml:",
        "spring.outside_diameter",
        "faces.friction_plates",
        "faces.outside_diameter",
        "8",
    ]
    assert "Write a whole number, for example 2." in blocks[2]
    assert "0.95" not in blocks[2]


def test_up_to_three_blanks_are_told_one_by_one_and_more_as_a_list(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = filled(path.read_text(encoding="utf-8"))
    for count, name in enumerate(("nipple_radius", "hand_travel", "radius", "hand_radius"), 1):
        text = re.sub(rf"^{name} = .*$", f'{name} = ""', text, flags=re.MULTILINE)
        path.write_text(text, encoding="utf-8")
        told = run("check", path).err
        assert told.count("Still blank: ") == (count if count <= 3 else 0)
        assert ("4 keys are still blank." in told) is (count == 4)


def test_one_blank_left_is_named_alone_with_what_it_is_and_how_it_is_measured(
    tmp_path: Path,
) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = filled(path.read_text(encoding="utf-8")).replace(
        'rest_length = "44"', 'rest_length = ""'
    )
    path.write_text(text, encoding="utf-8")
    assert run("check", path).err == (
        "clutch.toml: 1 thing to put right\n\n"
        "  lever.rest_length\n"
        "    Still blank: nipple to cable stop, lever at rest.\n"
        "    How to measure it: calliper, nipple centre to stop.\n"
    )


def test_a_blank_counts_as_left_out_and_a_blank_that_no_table_knows_is_told(
    tmp_path: Path,
) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path)
    text = filled(path.read_text(encoding="utf-8"))
    path.write_text(text + '[cable]\nbend = ""\nfree_play = "  "\n', encoding="utf-8")
    assert {"cable.bend", "cable.free_play"} <= {item.key for item in liftgeo.load(path).taken}
    path.write_text(text + '[cable]\nbends = ""\n', encoding="utf-8")
    assert "cable.bends\n    Not a known key.\n    Did you mean bend?" in run("check", path).err
    path.write_text(text + '[changes.none]\ncable.bend = ""\n', encoding="utf-8")
    assert "changes.none.cable.bend" in run("check", path).err


# --- the long form ---


@pytest.mark.parametrize("combination", BY_CHANGE_OF_ONE, ids="-".join)
def test_the_long_form_asks_all_that_has_a_usual_value_and_says_what_is_taken(
    combination: tuple[str, ...], tmp_path: Path
) -> None:
    path = tmp_path / "clutch.toml"
    assert run("new", path, "--all", *options(combination)).code == 0
    text = path.read_text(encoding="utf-8")
    taken = liftgeo.loads(filled(starter("Clutch", "c", kinds(combination)))).taken
    blank = blanks_in(text)
    assert {item.key for item in taken} <= set(blank)
    for item in taken:
        before = text.split(f"[{item.key.split('.')[0]}]\n")[1].split(
            f'\n{item.key.split(".")[1]} = ""'
        )[0]
        said = " ".join(before.rsplit("\n\n", 1)[-1].replace("#", " ").split())
        ranges = re.findall(r"\(([0-9.]+) to ([0-9.]+)\)", said.split("Left blank: ")[1])
        assert (item.low, item.high) in [(float(a), float(b)) for a, b in ranges], item.key
    path.write_text(filled(text), encoding="utf-8")
    found = liftgeo.load(path)
    assert (found.level, found.lacking, found.taken) == ("full", (), ())


def test_the_range_of_the_cable_s_friction_is_printed_as_it_is_kept(tmp_path: Path) -> None:
    run("new", "clutch", "--all", folder=tmp_path)
    said = " ".join((tmp_path / "clutch.toml").read_text().replace("#", " ").split())
    assert "Left blank: 0.10 (0.05 to 0.16) is taken." in said
    assert "Left blank: 0.30 (0.22 to 0.38) dry, 0.11 (0.08 to 0.14) wet is taken." in said


# --- names, kinds and files ---


def test_a_name_with_a_space_is_printed_as_a_command_takes_it(tmp_path: Path) -> None:
    done = run("new", "my clutch", folder=tmp_path)
    assert "Written: my clutch.toml\n" in done.err
    assert '`liftgeo stroke "my clutch.toml"`' in done.err
    text = (tmp_path / "my clutch.toml").read_text(encoding="utf-8")
    assert '`liftgeo stroke "my clutch.toml"`' in text
    (tmp_path / "my clutch.toml").write_text(filled(text), encoding="utf-8")
    assert '"my clutch.toml"' in run("check", "my clutch.toml", folder=tmp_path).out


def test_a_name_without_its_ending_is_put_right(tmp_path: Path) -> None:
    run("new", "my-clutch", folder=tmp_path)
    done = run("stroke", "my-clutch", folder=tmp_path)
    assert done.code == 2
    assert done.err == "my-clutch is not there. Did you mean my-clutch.toml?\n"


def test_every_optional_key_can_be_switched_on_by_taking_its_mark_away(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    run("new", path, "--all")
    switched = re.findall(r"^# ([\w.]+) = \S+  #", path.read_text(encoding="utf-8"), re.MULTILINE)
    inside = ("pivot", "pin", "stop", "hand", "stiffness", "diameter", "length", "area", "modulus")
    inside += ("points", "width")
    known = {
        f"{name}.{inner}" if inner else name
        for kinds in TABLES.values()
        for model in kinds.values()
        for name in model.model_fields
        for inner in ("", *inside, "construction", "material")
    }
    assert len(switched) > 40
    assert set(switched) <= known


def test_it_never_writes_over_a_file_without_force(tmp_path: Path) -> None:
    path = tmp_path / "clutch.toml"
    path.write_text("mine", encoding="utf-8")
    done = run("new", path)
    assert (done.code, done.out, path.read_text(encoding="utf-8")) == (2, "", "mine")
    assert "exists already" in done.err
    assert "--force" in done.err
    assert run("new", path, "--force").code == 0
    assert "[lever]" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("option", "word", "hint"),
    [
        ("--release", "ball-ramps", "Did you mean ball-ramp?"),
        ("--lever", "cam", "Choose pin, drum, profile."),
        ("--spring", "coil", "Did you mean coils?"),
    ],
)
def test_an_unknown_kind_is_refused_with_the_known_ones(
    option: str, word: str, hint: str, tmp_path: Path
) -> None:
    done = run("new", "clutch", option, word, folder=tmp_path)
    assert (done.code, done.out) == (2, "")
    assert f"{option} {word} is not known." in done.err
    assert hint in done.err
    assert list(tmp_path.iterdir()) == []


def test_every_kind_names_the_table_that_bears_it() -> None:
    found = {
        table: tuple(model.model_fields["kind"].default for model in kinds.values())
        for table, kinds in TABLES.items()
        if "" not in kinds
    }
    assert found == KINDS


def test_the_help_offers_every_kind() -> None:
    text = "".join(run("new", "--help").out.split())
    for table in ("release", "lever", "arm", "spring"):
        assert f"--{table}{'|'.join(KINDS[table])}" in text


@pytest.mark.parametrize("name", ["", "missing/clutch"])
def test_a_name_that_cannot_be_written_is_refused(name: str, tmp_path: Path) -> None:
    done = run("new", name, folder=tmp_path)
    assert (done.code, done.out) == (2, "")
    assert done.err.strip()
    assert "Traceback" not in done.err
    assert list(tmp_path.iterdir()) == []
