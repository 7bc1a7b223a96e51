"""Reading and writing files: what is no geometry file is refused in words, never otherwise."""

from __future__ import annotations

import json
import os
import tomllib

import pytest
from clutches import BASE_TEXT, mechanism
from hypothesis import given, settings
from hypothesis import strategies as st

import liftgeo
from liftgeo.errors import FileError, GeometryError
from liftgeo.geometry_file import check_writable, read_text, write_whole
from liftgeo.mechanism.tables import TABLES
from liftgeo.quantities import read

# ---------------------------------------------------------------- reading


def test_a_file_and_its_text_are_the_same_mechanism(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(BASE_TEXT, encoding="utf-8")
    ours, theirs = liftgeo.load(path), liftgeo.loads(BASE_TEXT, "mine.toml")
    assert ours.keys == theirs.keys
    assert ours.source == "mine.toml"
    assert liftgeo.load(str(path)).keys == ours.keys


@pytest.mark.parametrize("change", ["bom", "crlf", "both"])
def test_editors_that_add_marks_or_returns_do_no_harm(tmp_path, change):
    data = BASE_TEXT.encode("utf-8")
    if change != "bom":
        data = data.replace(b"\n", b"\r\n")
    if change != "crlf":
        data = b"\xef\xbb\xbf" + data
    path = tmp_path / "mine.toml"
    path.write_bytes(data)
    assert liftgeo.load(path).keys == liftgeo.loads(BASE_TEXT).keys


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda p: None, ("is not there", "Check the name")),
        (lambda p: p.mkdir(), ("is a folder",)),
        (lambda p: p.write_bytes("title = \"Bügel\"".encode("latin-1")), ("UTF-8", "byte 11")),
        (lambda p: p.write_bytes(BASE_TEXT.encode("utf-16")), ("UTF-8",)),
        (lambda p: os.truncate(p.open("wb").close() or p, 50_000_000), ("50 MB", "1 MB at most")),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_said(tmp_path, make, words):
    path = tmp_path / "mine.toml"
    make(path)
    with pytest.raises(FileError) as caught:
        liftgeo.load(path)
    assert isinstance(caught.value, OSError)
    for word in (*words, "mine.toml"):
        assert word in str(caught.value)


def test_a_name_that_no_file_can_have_is_said():
    with pytest.raises(FileError):
        read_text("a\0b.toml")
    with pytest.raises(FileError):
        read_text("x" * 5000)


@pytest.mark.parametrize(
    "text",
    ["", "  \n\t\n", "# only a remark\n",
     "title = 'x'", "[lever]\n", "\0" * 50, "a = " + "[" * 5000,
     "a = " + "{b=" * 900 + "1" + "}" * 900, "nipple radius: 26", BASE_TEXT + "\n[lever]\nx = 1\n",
     BASE_TEXT.replace("[lever]", "[[lever]]"), "lever = 5", "lever = [1, 2]", "[lever", "a = 1 mm",
     BASE_TEXT.replace("26.0", "26,0"), BASE_TEXT.replace("nipple_radius", "rest_length")],
)  # fmt: skip
def test_what_is_no_geometry_file_is_a_fault(text):
    with pytest.raises(GeometryError) as caught:
        liftgeo.loads(text, "mine.toml")
    assert isinstance(caught.value, ValueError)
    assert str(caught.value).startswith("mine.toml: ")
    for fault in caught.value.faults:
        assert fault.key
        assert fault.problem
        assert fault.remedy


def test_the_count_of_things_to_put_right_is_told():
    with pytest.raises(GeometryError, match=r"^mine\.toml: 2 things to put right"):
        liftgeo.loads("title = 'x'", "mine.toml")
    with pytest.raises(GeometryError, match=r"^1 thing to put right"):
        liftgeo.loads("")


# ---------------------------------------------------------------- anything at all


KINDS = sorted({kind for kinds in TABLES.values() for kind in kinds if kind})
VALUES = [
    *(f'"{kind}"' for kind in KINDS),
    "0", "-1", "1e300", "1e-300", "nan", "-inf", "true", '"abc"', '"[red]x"', '"5 furlong"',
    '"26 in"', '"26.0 ± 0.2 mm"', "[]", "[1, 2, 3]", "[[1, 2], [3, 4]]", "{}", "{x = 1}", '""',
    '"1/0 in"', "9" * 400, "2024-01-01", "90", "180", '"wet"', '"held"', '"5 % ± 300 %"',
    '"5 mm ± 1e308 in"', "[1e308, -1e308]", "[0, 1e-320]", '"💥"', "0x1F", "1e11", "1e-11",
    "{pivot=[0,0], pin=[10,20], stop=[40,0], hand=[-70,20]}", "{pivot=[0,0], pin=[0,0]}",
    '{construction="1x19", material="stainless", diameter=1.5, length=1000}',
]  # fmt: skip
NAMES = sorted({n for kinds in TABLES.values() for m in kinds.values() for n in m.model_fields})
LINES = BASE_TEXT.split("\n")


@st.composite
def spoiled(draw):
    """Return the example with a few lines changed, dropped, doubled, or with stray characters."""
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 4))):
        k = draw(st.integers(0, len(lines) - 1))
        how = draw(st.sampled_from(["value", "key", "drop", "twice", "table", "character"]))
        if how == "value" and "=" in lines[k]:
            lines[k] = f"{lines[k].split('=')[0]}= {draw(st.sampled_from(VALUES))}"
        elif how == "key":
            lines.insert(k, f"{draw(st.sampled_from(NAMES))} = {draw(st.sampled_from(VALUES))}")
        elif how == "drop":
            lines[k] = ""
        elif how == "twice":
            lines.insert(k, lines[draw(st.integers(0, len(lines) - 1))])
        elif how == "table":
            lines.insert(k, f"[{draw(st.sampled_from([*TABLES, 'changes', 'changes.x', 'x']))}]")
        else:
            at = draw(st.integers(0, len(lines[k])))
            mark = draw(st.sampled_from(list("\"'[]={}.,#9-e\0é\n")))
            lines[k] = lines[k][:at] + mark + lines[k][at:]
    return "\n".join(lines)


def check_analysed_or_faulted(make):
    """Analyse what `make` returns; or assert that what is raised says what to put right."""
    try:
        result = liftgeo.stroke(make())
    except GeometryError as error:
        faults = error.faults
    else:
        faults = ()
        json.dumps(result.to_dict(), allow_nan=False)
        assert str(result)
    assert all(fault.key and fault.problem for fault in faults)


FEW, MANY = 250, 10_000


@settings(max_examples=FEW)
@given(spoiled())
def test_a_spoiled_file_is_analysed_or_faulted_and_nothing_else(text):
    check_analysed_or_faulted(lambda: liftgeo.loads(text, "mine.toml"))


@pytest.mark.slow
@settings(max_examples=MANY)
@given(spoiled())
def test_ten_thousand_spoiled_files_are_analysed_or_faulted(text):
    check_analysed_or_faulted(lambda: liftgeo.loads(text, "mine.toml"))


@settings(max_examples=60)
@given(st.text())
def test_any_text_is_faulted_and_nothing_else(text):
    with pytest.raises(GeometryError):
        liftgeo.loads(text)


FILE = mechanism()
ANY = st.sampled_from(
    [0, -1, 1e300, 1e-300, float("nan"), float("inf"), True, None, "abc", "26 in", "26 ± 1", [],
     [1, 2, 3], {}, {"x": 1}, "", 1e12, 1e-12, 1e11, 90, 180, 5, *KINDS,
     b"x", 10**400, 1j, (1, 2), {1: 2}, "[red]x"]
)  # fmt: skip
DOTTED = sorted(
    {f"{t}.{n}" for t, kinds in TABLES.items() for m in kinds.values() for n in m.model_fields}
)


@settings(max_examples=250)
@given(st.dictionaries(st.sampled_from([*DOTTED, "x", "lever", "lever.points.pin", ""]), ANY,
                       min_size=1, max_size=3))  # fmt: skip
def test_any_change_is_analysed_or_faulted_and_nothing_else(change):
    check_analysed_or_faulted(lambda: FILE.changed(change))


# ---------------------------------------------------------------- writing


def test_a_file_is_written_whole_and_never_over_another(tmp_path):
    path = tmp_path / "out.csv"
    write_whole(path, "a,b\n")
    assert path.read_text() == "a,b\n"
    with pytest.raises(FileError, match="exists already"):
        write_whole(path, "c\n")
    assert path.read_text() == "a,b\n"
    write_whole(path, b"c\n", force=True)
    assert path.read_bytes() == b"c\n"
    assert [p.name for p in tmp_path.iterdir()] == ["out.csv"]


@pytest.mark.parametrize(
    ("name", "words"), [(".", "is a folder"), ("none/out.csv", "is not there")]
)
def test_where_nothing_can_be_written_is_said_before(tmp_path, name, words):
    with pytest.raises(FileError, match=words):
        check_writable(tmp_path / name)
    with pytest.raises(FileError, match=words):
        write_whole(tmp_path / name, "x")


def test_nothing_is_left_when_writing_fails(tmp_path, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match="No space left"):
        write_whole(tmp_path / "out.csv", "x")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("written", "line"),
    [
        ('"1 3/16""', "'1 3/16\"'"),
        ("'1' 7\"'", '"1 ft 7 in"'),
        ('"1\' 7""', '"1 ft 7 in"'),
        ('1 3/16"', "'1 3/16\"'"),
        ("1' 7\"", '"1 ft 7 in"'),
        ("12,5", "12.5"),
        ("12,5 mm", '"12.5 mm"'),
        ('"12,5 mm', '"12.5 mm"'),
        ('"12,5"', '"12.5"'),
        ('"1.234,5 mm"', '"1234.5 mm"'),
    ],
)
def test_marks_and_commas_that_cannot_stand_are_answered_with_the_line_to_write(written, line):
    spoiled = BASE_TEXT.replace("radius = 38.0", f"radius = {written}", 1)
    assert spoiled != BASE_TEXT
    with pytest.raises(GeometryError) as caught:
        liftgeo.loads(spoiled)
    (fault,) = caught.value.faults
    assert fault.remedy == f"Write radius = {line}"
    liftgeo_reads = tomllib.loads(f"radius = {line}")["radius"]
    assert read(liftgeo_reads, "length") > 0


def test_a_point_with_decimal_commas_is_told_of_them():
    text = BASE_TEXT.replace("radius = 38.0", "points.pin = [12,5, 30,5]", 1)
    with pytest.raises(GeometryError, match=r"Decimals follow a point: 12\.5"):
        liftgeo.loads(text)


@pytest.mark.parametrize(
    ("written", "right"), [(".76", "0.76"), ("-.5", "-0.5"), ("5.", "5.0"), ("+5.", "+5.0")]
)
def test_a_point_without_a_digit_is_told_with_the_number_to_write(written: str, right: str) -> None:
    with pytest.raises(GeometryError) as caught:
        liftgeo.loads(f"[cable]\nfree_play = {written}\n", "mine.toml")
    (fault,) = caught.value.faults
    assert fault.remedy == f"Write free_play = {right}"
    assert "quotes" not in fault.problem
