"""The write-up opened from a disk in a real browser, the network cut."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from clutches import changeable
from sites import expect, faults_of, opened

import liftgeo
from liftgeo.report import write_up

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("page") / "page.html"
    place.write_text(write_up(changeable(), command="liftgeo report", date="").html(), "utf-8")
    return place


def test_it_needs_nothing_from_elsewhere(browser, page: Path) -> None:
    for tab in opened(browser, offline=True):
        tab.goto(page.as_uri())
        expect(tab.locator("h1")).to_be_visible()
        for link in tab.locator("a[href]").all():
            assert link.get_attribute("href").startswith("#")


def test_the_slider_shows_the_numbers_of_the_json(tab, page: Path) -> None:
    file = changeable()
    full = liftgeo.stroke(file).to_dict()["full_lever"]
    tab.goto(page.as_uri())
    slider, said = tab.locator("#place"), tab.locator("#said")
    assert f"{full['hand_travel_mm']:.1f} mm" in said.text_content()
    assert f"{full['separation_mm']:.2f} mm" in said.text_content()
    assert f"{full['hand_force_n']:.0f} N" in said.text_content()
    slider.focus()
    tab.keyboard.press("Home")
    assert "hand 0.0 mm" in said.text_content()
    places = int(slider.get_attribute("max"))
    for _ in range(places // 2):
        tab.keyboard.press("ArrowRight")
    half = liftgeo.position(file, hand_travel_mm=full["hand_travel_mm"] / 2)
    assert f"{half.hand_force_n:.0f} N" in said.text_content()
    assert f"{half.separation_mm:.2f} mm" in said.text_content()


def test_drawing_and_marks_move_with_the_slider(tab, page: Path) -> None:
    tab.goto(page.as_uri())
    watched = ['[data-shape="lever-0"]', '[data-shape="arm-0"]']
    before = [tab.locator(each).get_attribute("points") for each in watched]
    mark = tab.locator('[data-mark="effort"]').get_attribute("cx")
    tab.locator("#place").focus()
    tab.keyboard.press("Home")
    assert [tab.locator(each).get_attribute("points") for each in watched] != before
    assert float(tab.locator('[data-mark="effort"]').get_attribute("cx")) < float(mark)


def test_without_a_script_it_is_whole(browser, page: Path) -> None:
    for tab in opened(browser, java_script_enabled=False):
        tab.goto(page.as_uri())
        expect(tab.locator("#slider")).to_be_hidden()
        expect(tab.locator('[data-shape="lever-0"]')).to_be_visible()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1200])
def test_it_can_be_read_out_and_seen(browser, page: Path, scheme: str, width: int) -> None:
    for tab in opened(browser, viewport={"width": width, "height": 900}, color_scheme=scheme):
        tab.goto(page.as_uri())
        tab.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        assert faults_of(tab) == ""
        assert tab.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(("paper", "width"), [("A4", 595), ("Letter", 612)])
def test_it_prints_on_either_paper(tab, page: Path, paper: str, width: int) -> None:
    tab.goto(page.as_uri())
    data = tab.pdf(format=paper)
    assert data.startswith(b"%PDF")
    boxes = {float(w) for w in re.findall(rb"/MediaBox\s*\[\s*0 0 ([\d.]+)", data)}
    assert boxes
    assert all(abs(box - width) < 1.0 for box in boxes)
