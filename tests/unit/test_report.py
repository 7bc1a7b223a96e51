"""The write-up: whole, escaped, and resting on nothing outside itself."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from clutches import changeable, mechanism, sound_mechanism
from every_kind import NAMES, mechanism_of

import liftgeo
from liftgeo.errors import RequestError
from liftgeo.mechanism.readings_text import readings_of
from liftgeo.mechanism.tables import TABLES
from liftgeo.report import write_up
from liftgeo.words.laws import laws, named_kinds

HOSTILE = '<script>alert("x")</script> --> ]]> & "quoted" | *bold*'
VOID = {"meta", "br", "img", "input", "link", "hr"}


class Reader(HTMLParser):
    """Reads a page: its tags in order, whether they close, ids, and what is said beside them."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags, self.attributes, self.open, self.text = [], [], [], []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if not self.open or self.open[-1] not in ("style", "script"):
            self.text.append(data)

    @property
    def said(self) -> str:
        return " ".join(" ".join(self.text).split())


@pytest.fixture(scope="module")
def page() -> Reader:
    return Reader(write_up(changeable(), command="liftgeo report x.toml", date="2026-01-02").html())


def test_every_tag_closes_and_no_id_stands_twice(page: Reader) -> None:
    assert page.open == []
    ids = [attributes["id"] for _, attributes in page.attributes if "id" in attributes]
    assert len(ids) > 30
    assert len(ids) == len(set(ids))


def test_what_is_referred_to_stands_in_the_page_itself(page: Reader) -> None:
    ids = {attributes["id"] for _, attributes in page.attributes if "id" in attributes}
    for tag, attributes in page.attributes:
        for name in ("href", "src", "clip-path", "style"):
            for inside in re.findall(r"#([\w-]+)\)?", attributes.get(name) or ""):
                assert inside in ids or name == "style", (tag, name, attributes[name])
        assert not (attributes.get("src") or "").startswith(("http", "/"))
        assert "xmlns" not in attributes


def test_nothing_in_it_names_an_address() -> None:
    text = write_up(changeable()).html()
    assert "http:" not in text
    assert "https:" not in text
    assert "url(//" not in text


def test_headings_go_down_one_step_at_a_time_and_tables_and_figures_are_named(page: Reader) -> None:
    levels = [int(tag[1]) for tag in page.tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    assert page.tags.count("caption") == page.tags.count("table") > 4
    heads = [a for tag, a in page.attributes if tag == "th"]
    assert all(a.get("scope") in ("col", "row") for a in heads)
    images = [a for _, a in page.attributes if a.get("role") == "img"]
    # What wear does is one figure of four charts, which a narrow window sets below each other.
    assert len(images) + 3 == page.tags.count("svg") >= 10
    assert all(len(a["aria-label"]) >= 5 for a in images)


def test_it_tells_the_answer_the_numbers_the_changes_and_what_made_it(page: Reader) -> None:
    result = liftgeo.stroke(changeable())
    said = page.said
    assert f"part by {result.full_lever.separation_mm:.2f} mm altogether" in said
    assert f"{result.peak.hand_force_n:.0f} N" in said
    for name in changeable().changes:
        assert name in said
    for warning in result.warnings:
        if warning.severity != "note":
            assert " ".join(warning.message.split()) in said
    assert "asbestos" in said
    assert "liftgeo report x.toml" in said
    assert "2026-01-02" in said


def test_what_a_stranger_wrote_is_text_and_nothing_else() -> None:
    found = write_up(mechanism(title=HOSTILE, changes={"thin": {"note": HOSTILE, "cable": {}}}))
    text = found.html()
    assert "<script>alert" not in text
    assert 'alert("x")</script> -->' in Reader(text).said
    markdown = found.markdown()
    assert "<script>" not in markdown
    assert "\\<script\\>" in markdown


def test_the_markdown_names_just_the_pictures_that_come_with_it() -> None:
    found = write_up(changeable())
    named = re.findall(r"\]\(([^)]*)\)", found.markdown("mine"))
    files = found.files("mine")
    assert sorted(named) == sorted(files)
    assert all(content.startswith(b"\x89PNG") for content in files.values())


def test_the_markdown_and_the_page_tell_the_same() -> None:
    found = write_up(changeable())
    plain = re.sub(r"\\(.)", r"\1", found.markdown())
    for section in found.sections:
        assert f"## {section.title}" in plain
        for block in section.blocks:
            if block.block == "paragraph":
                assert " ".join(block.text.split()) in plain


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_every_kind_has_a_write_up(name: str) -> None:
    found = write_up(mechanism_of(name))
    assert Reader(found.html()).open == []


def test_every_kind_has_its_law_and_its_source() -> None:
    for table, kinds in named_kinds().items():
        assert kinds == set(TABLES[table])
    for part, law, source in laws(mechanism()):
        assert part
        assert law
        assert source


def test_of_a_change_it_is_the_changed_mechanism_that_is_told_of() -> None:
    file = changeable()
    name = next(iter(file.changes))
    found = write_up(file, [name])
    changed = liftgeo.stroke(file.changed(name))
    assert name in found.title
    assert f"{changed.peak.hand_force_n:.0f} N" in Reader(found.html()).said


def test_a_sound_clutch_runs_clear_in_its_first_sentence() -> None:
    text = write_up(sound_mechanism()).sections[0].blocks[0].text
    assert "runs clear" in text


def test_a_file_that_is_not_whole_is_told_what_it_lacks() -> None:
    with pytest.raises(RequestError, match="needs the whole clutch"):
        write_up(mechanism(faces=None, stack=None, engine=None))


READINGS = "hand_travel_mm,separation_mm,separation_plus_minus_mm\n38,{},0.05\n"


def test_readings_from_the_bench_are_told_of_and_move_the_answer() -> None:
    file = changeable(left_out="usual", cable={"stiffness": None})
    found = write_up(file.with_readings(readings_of(READINGS.format(0.15), "r.csv"), "r.csv"))
    titles = [section.title for section in found.sections]
    assert "On the bench" in titles
    said = Reader(found.html()).said
    assert "separation at 38 mm" in said
    assert "0.15 mm" in said
    assert found.facts.sure.frees != write_up(file).facts.sure.frees
    assert "bench" in {picture.name for picture in found.pictures}


def test_readings_before_and_after_say_whether_the_change_did_it() -> None:
    file = changeable()
    name = next(iter(file.changes))
    before, after = (
        readings_of(READINGS.format(f"{value:.3f}"), "r.csv")
        for value in (
            liftgeo.position(each, hand_travel_mm=38.0).separation_mm
            for each in (file, file.changed(name))
        )
    )
    said = Reader(write_up(file, [name], before=before, after=after).html()).said
    assert "YES, it did what the sums said" in said
    assert "Readings before and after the work" in said
