"""The what-if page in a real browser: tried, kept, undone, spoiled, read out."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from sites import Site, expect, faults_of, opened

import liftgeo

pytestmark = pytest.mark.browser
ANSWERED = "LIKELY|DRAGS|CLEAR|CALL|SLIPS|MARGINAL|RELEASE"


def arrive(tab, site: Site) -> None:
    """Open the page and wait for its whole answer."""
    tab.goto(site.address)
    expect(tab.locator("#headline")).to_have_text(re.compile(ANSWERED), timeout=30_000)
    expect(tab.locator("#said")).to_have_text(re.compile("hand"), timeout=30_000)


def field(tab, key: str):
    return tab.locator(f'[data-key="{key}"] input[type="text"]')


def write(tab, key: str, text: str) -> None:
    """Type into a field, opening its table where it is folded."""
    table = key.split(".")[0]
    tab.evaluate(f"document.querySelector('details[data-table={table}]').open = true")
    field(tab, key).fill(text)
    field(tab, key).press("Tab")


def answered(tab) -> None:
    expect(tab.locator("#headline")).not_to_have_attribute("aria-busy", "true", timeout=30_000)


def test_a_shorter_arm_says_what_stroke_says(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    result = liftgeo.stroke(liftgeo.load(site.file).changed({"arm.radius": 34.0}))
    peak = f"{result.peak.hand_force_n:.0f} N"
    expect(tab.locator("#short")).to_contain_text(peak)
    answered(tab)
    expect(tab.locator("#headline")).to_contain_text(f"{result.full_lever.separation_mm:.2f} mm")
    expect(tab.locator("#changed")).to_contain_text("arm.radius: 38 becomes 34")


def test_it_is_kept_in_the_file_and_is_there_after_loading_again(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    tab.fill("#keep-name", "from-the-page")
    tab.fill("#keep-note", "tried by slider")
    tab.click("text=Keep in the file")
    expect(tab.locator("#told")).to_contain_text("Kept as [changes.from-the-page]")
    change = liftgeo.load(site.file).changes["from-the-page"]
    assert dict(change.keys) == {"arm.radius": 34.0}
    tab.reload()
    arrive(tab, site)
    expect(field(tab, "arm.radius")).to_have_value("38")


def test_undo_and_redo(tab, site: Site) -> None:
    arrive(tab, site)
    before = tab.locator("#short").text_content()
    write(tab, "arm.radius", "34")
    write(tab, "cable.free_play", "1.0")
    expect(tab.locator("#short")).not_to_have_text(before)
    expect(tab.locator("#changed")).to_contain_text("cable.free_play")
    answered(tab)
    after = tab.locator("#short").text_content()
    tab.click("#undo")
    expect(field(tab, "cable.free_play")).to_have_value("2.2")
    tab.click("#undo")
    expect(tab.locator("#short")).to_have_text(before)
    expect(field(tab, "arm.radius")).to_have_value("38")
    tab.click("#redo")
    tab.click("#redo")
    expect(tab.locator("#short")).to_have_text(after)
    tab.click("#reset")
    expect(tab.locator("#short")).to_have_text(before)


def test_the_lever_moves_the_drawing_and_what_is_said(tab, site: Site) -> None:
    arrive(tab, site)
    said = tab.locator("#said").text_content()
    at = tab.locator('[data-shape="lever-0"]').get_attribute("points")
    tab.locator("#place").focus()
    for _ in range(12):
        tab.keyboard.press("ArrowLeft")
    expect(tab.locator("#said")).not_to_have_text(said)
    assert tab.locator('[data-shape="lever-0"]').get_attribute("points") != at
    assert (
        tab.locator("#place").get_attribute("aria-valuetext") == tab.locator("#said").text_content()
    )


def test_a_slider_is_worked_by_keys_alone(tab, site: Site) -> None:
    arrive(tab, site)
    tab.evaluate("document.querySelector('details[data-table=arm]').open = true")
    slider = tab.locator('[data-key="arm.radius"] input[type="range"]')
    slider.focus()
    before = tab.locator("#short").text_content()
    for _ in range(10):
        tab.keyboard.press("ArrowLeft")
    expect(field(tab, "arm.radius")).not_to_have_value("38")
    expect(tab.locator("#short")).not_to_have_text(before)


def test_garbage_marks_its_field_and_the_last_answer_stands(tab, site: Site) -> None:
    arrive(tab, site)
    kept = tab.locator("#short").text_content()
    for text in ("abc", "-5", "1e999", "<img src=x onerror=alert(1)>", "12 N", "9" * 300):
        write(tab, "arm.radius", text)
        expect(field(tab, "arm.radius")).to_have_attribute("aria-invalid", "true")
        assert tab.locator('[data-key="arm.radius"] .wrong').count() == 1
        expect(tab.locator("#short")).to_have_text(kept)
    write(tab, "arm.radius", "38")
    expect(field(tab, "arm.radius")).not_to_have_attribute("aria-invalid", "true")


def test_two_tabs_do_not_meet(tab, second_tab, site: Site) -> None:
    arrive(tab, site)
    arrive(second_tab, site)
    stands = second_tab.locator("#short").text_content()
    write(tab, "arm.radius", "30")
    write(second_tab, "cable.free_play", "1.5")
    answered(tab)
    answered(second_tab)
    expect(field(second_tab, "arm.radius")).to_have_value("38")
    second_tab.click("#reset")
    expect(second_tab.locator("#short")).to_have_text(stands)


def test_a_file_changed_meanwhile_is_asked_about_and_not_written_over(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    theirs = site.file.read_text("utf-8") + "\n# somebody else\n"
    site.file.write_text(theirs, "utf-8")
    tab.fill("#keep-name", "mine")
    tab.click("text=Keep in the file")
    expect(tab.locator("#banner")).to_contain_text("changed on the disk")
    assert site.file.read_text("utf-8") == theirs
    tab.click("text=Keep mine in it all the same")
    expect(tab.locator("#told")).to_contain_text("Kept as")
    assert "# somebody else" in site.file.read_text("utf-8")


def test_a_lost_server_is_told_of_and_nothing_tried_is_lost(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    answered(tab)
    site.stop()
    write(tab, "cable.free_play", "1.0")
    expect(tab.locator("#banner")).to_contain_text("does not answer")
    expect(field(tab, "arm.radius")).to_have_value("34")


def test_from_nothing_to_a_saved_file_and_its_verdict(
    tab, empty_site: Site, tmp_path: Path
) -> None:
    tab.goto(empty_site.address)
    tab.check('input[name="spring"][value="coils"]')
    expect(tab.locator("#lines")).to_contain_text("Still wanted")
    for key, text in {
        "lever.nipple_radius": "27",
        "lever.stop_distance": "43",
        "lever.rest_length": "46",
        "lever.hand_radius": "78",
        "lever.hand_travel": "42",
        "arm.radius": "36",
        "arm.stop_distance": "92",
        "arm.rest_length": "88",
    }.items():
        write(tab, key, text)
    expect(tab.locator("#lines")).to_contain_text("PARTIAL")
    for key, text in {
        "release.pitch_radius": "17",
        "release.ramp_angle": "15",
        "spring.count": "6",
        "spring.rate": "32",
        "spring.free_length": "46",
        "spring.installed_length": "36",
        "faces.friction_plates": "3",
        "faces.outside_diameter": "126",
        "faces.inside_diameter": "92",
    }.items():
        write(tab, key, text)
    tab.evaluate("document.querySelectorAll('#form details').forEach((d) => { d.open = true; })")
    tab.select_option('[data-key="rod.action"] select', "push")
    expect(tab.locator("#headline")).to_have_text(re.compile(ANSWERED), timeout=30_000)
    tab.fill("#save-title", "Mine <b>& only</b>")
    tab.fill("#save-name", "mine")
    tab.click("button:has-text('Save')")
    expect(tab.locator("h1")).to_have_text("Mine <b>& only</b>", timeout=30_000)
    saved = liftgeo.load(tmp_path / "mine.toml")
    assert saved.level == "full"
    assert liftgeo.stroke(saved).verdict in ("drags", "clear", "marginal", "no-release")


def test_a_strangers_title_is_text(tab, site: Site) -> None:
    text = site.file.read_text("utf-8")
    hostile = "<script>document.title='x'</script><img src=x onerror=alert(1)>"
    site.file.write_text(re.sub(r"(?m)^title = .*$", f'title = "{hostile}"', text), "utf-8")
    tab.on("dialog", lambda dialog: pytest.fail(dialog.message))
    arrive(tab, site)
    assert tab.locator("h1").text_content() == hostile
    assert tab.title() != "x"


def test_the_write_up_and_the_drawing_are_downloaded(tab, site: Site) -> None:
    arrive(tab, site)
    for name, start in (
        ("Write-up", b"<!DOCTYPE html>"),
        ("Figures", b"%PDF"),
        ("Drawing", b"<?xml"),
    ):
        with tab.expect_download(timeout=60_000) as download:
            tab.click(f"button:has-text('{name}')")
        assert Path(download.value.path()).read_bytes().startswith(start)


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1400])
def test_it_can_be_read_out_and_seen(browser, site: Site, scheme: str, width: int) -> None:
    for tab in opened(browser, viewport={"width": width, "height": 900}, color_scheme=scheme):
        arrive(tab, site)
        write(tab, "arm.radius", "abc")
        expect(field(tab, "arm.radius")).to_have_attribute("aria-invalid", "true")
        assert faults_of(tab) == ""
        wide = tab.evaluate("document.documentElement.scrollWidth")
        assert wide <= width


def test_the_first_page_can_be_read_out(tab, empty_site: Site) -> None:
    tab.goto(empty_site.address)
    expect(tab.locator("#lines")).to_contain_text("Still wanted", timeout=30_000)
    assert faults_of(tab) == ""
