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
    return tab.locator(f'[data-key="{key}"] [data-file]')


def write(tab, key: str, text: str) -> None:
    """Type into a field, opening its table where it is folded."""
    table = key.split(".")[0]
    each = f"document.querySelectorAll('details[data-table^={table}]')"
    tab.evaluate(f"{each}.forEach((d) => {{ d.open = true; }})")
    field(tab, key).fill(text)
    field(tab, key).press("Tab")


def answered(tab) -> None:
    expect(tab.locator("#headline")).not_to_have_attribute("aria-busy", "true", timeout=30_000)


def test_a_shorter_arm_says_what_stroke_says(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    result = liftgeo.stroke(liftgeo.load(site.file).changed({"arm.radius": 34.0}))
    peak = f"{result.peak.hand_force_n:.0f} N"
    expect(tab.locator("#numbers")).to_contain_text(peak)
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
    expect(tab.locator("#changes")).to_contain_text("from-the-page")
    tab.reload()
    arrive(tab, site)
    expect(field(tab, "arm.radius")).to_have_value("34")  # the trial outlives the reload
    expect(tab.locator("#changes")).to_contain_text("tried by slider: arm.radius = 34")
    tab.click("#undo")
    expect(field(tab, "arm.radius")).to_have_value("38")
    answered(tab)
    stands = tab.locator("#numbers").text_content()
    tab.click('[aria-label="Lay on from-the-page"]')
    expect(field(tab, "arm.radius")).to_have_value("34")
    expect(tab.locator("#numbers")).not_to_have_text(stands)
    tab.click("#undo")
    expect(tab.locator("#numbers")).to_have_text(stands)


def test_undo_and_redo(tab, site: Site) -> None:
    arrive(tab, site)
    before = tab.locator("#numbers").text_content()
    write(tab, "arm.radius", "34")
    write(tab, "cable.free_play", "1.0")
    expect(tab.locator("#numbers")).not_to_have_text(before)
    expect(tab.locator("#changed")).to_contain_text("cable.free_play")
    answered(tab)
    after = tab.locator("#numbers").text_content()
    tab.click("#undo")
    expect(field(tab, "cable.free_play")).to_have_value("2.2")
    tab.click("#undo")
    expect(tab.locator("#numbers")).to_have_text(before)
    expect(field(tab, "arm.radius")).to_have_value("38")
    tab.click("#redo")
    tab.click("#redo")
    expect(tab.locator("#numbers")).to_have_text(after)
    tab.click("#reset")
    expect(tab.locator("#numbers")).to_have_text(before)


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
    before = tab.locator("#numbers").text_content()
    for _ in range(10):
        tab.keyboard.press("ArrowLeft")
    expect(field(tab, "arm.radius")).not_to_have_value("38")
    expect(tab.locator("#numbers")).not_to_have_text(before)


def test_garbage_marks_its_field_and_the_last_answer_stands(tab, site: Site) -> None:
    arrive(tab, site)
    kept = tab.locator("#numbers").text_content()
    for text in ("abc", "-5", "1e999", "<img src=x onerror=alert(1)>", "12 N", "9" * 300):
        write(tab, "arm.radius", text)
        expect(field(tab, "arm.radius")).to_have_attribute("aria-invalid", "true")
        assert tab.locator('[data-key="arm.radius"] .wrong').count() == 1
        expect(tab.locator("#numbers")).to_have_text(kept)
    write(tab, "arm.radius", "38")
    expect(field(tab, "arm.radius")).not_to_have_attribute("aria-invalid", "true")


def test_two_tabs_do_not_meet(tab, second_tab, site: Site) -> None:
    arrive(tab, site)
    arrive(second_tab, site)
    stands = second_tab.locator("#numbers").text_content()
    write(tab, "arm.radius", "30")
    write(second_tab, "cable.free_play", "1.5")
    answered(tab)
    answered(second_tab)
    expect(field(second_tab, "arm.radius")).to_have_value("38")
    second_tab.click("#reset")
    expect(second_tab.locator("#numbers")).to_have_text(stands)


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


def test_a_file_read_again_gives_the_trial_back_by_undo(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    answered(tab)
    text = site.file.read_text("utf-8").replace("free_play = 2.2", "free_play = 2.4")
    site.file.write_text(text, "utf-8")
    tab.evaluate("stands()")
    tab.click("text=Read the file again")
    expect(field(tab, "cable.free_play")).to_have_value("2.4")
    expect(field(tab, "arm.radius")).to_have_value("38")
    expect(tab.locator("#told")).to_contain_text("arm.radius = 34) is taken off")
    tab.click("#undo")
    expect(field(tab, "arm.radius")).to_have_value("34")
    expect(field(tab, "cable.free_play")).to_have_value("2.4")


def test_a_file_that_is_gone_is_written_anew(tab, site: Site) -> None:
    arrive(tab, site)
    text = site.file.read_text("utf-8")
    write(tab, "arm.radius", "34")
    site.file.unlink()
    tab.evaluate("stands()")
    expect(tab.locator("#banner")).to_contain_text("not there any more")
    tab.click("text=Go on with this")
    tab.fill("#keep-name", "mine")
    tab.click("text=Keep in the file")
    tab.click("text=Write it anew, and this in it")
    expect(tab.locator("#told")).to_contain_text("Kept as")
    assert text.rstrip() in site.file.read_text("utf-8")
    assert dict(liftgeo.load(site.file).changes["mine"].keys) == {"arm.radius": 34}


def test_a_name_that_is_taken_can_be_given_again(tab, site: Site) -> None:
    arrive(tab, site)
    for radius, then in (("34", None), ("33", "text=Put it in the place of that one")):
        write(tab, "arm.radius", radius)
        tab.fill("#keep-name", "mine")
        tab.click("text=Keep in the file")
        if then:
            expect(tab.locator("#banner")).to_contain_text("called mine already")
            expect(tab.locator("#banner")).not_to_contain_text("--force")
            tab.click(then)
        expect(tab.locator("#told")).to_contain_text("Kept as")
    assert dict(liftgeo.load(site.file).changes["mine"].keys) == {"arm.radius": 33}


def slid(tab, key: str):
    return tab.locator(f'[data-key="{key}"] input[type="range"]')


def test_a_number_in_inches_and_its_slider_agree(tab, site: Site) -> None:
    text = site.file.read_text("utf-8")
    site.file.write_text(text.replace("radius = 38.0", 'radius = "1 1/2 in ± 0.02 in"'), "utf-8")
    arrive(tab, site)
    tab.evaluate("document.querySelector('details[data-table=arm]').open = true")
    assert float(slid(tab, "arm.radius").input_value()) == pytest.approx(1.5, abs=0.01)
    slid(tab, "arm.radius").focus()
    tab.keyboard.press("ArrowRight")
    expect(field(tab, "arm.radius")).to_have_value("1.51 in ± 0.02 in")
    write(tab, "arm.radius", "1 1/4 in")
    expect(slid(tab, "arm.radius")).to_have_js_property("value", "1.25")
    expect(tab.locator('[data-key="arm.radius"] .state')).to_contain_text("= 31.75 mm")
    write(tab, "arm.radius", "34 mm")
    expect(slid(tab, "arm.radius")).to_have_js_property("value", "34")
    slid(tab, "arm.radius").focus()
    tab.keyboard.press("ArrowRight")
    expect(field(tab, "arm.radius")).to_have_value("34.2 mm")


def test_while_it_is_worked_out_one_verdict_stands_marked_and_no_chart_moves(
    tab, site: Site
) -> None:
    arrive(tab, site)
    answered(tab)
    tab.evaluate("document.querySelector('details[data-table=arm]').open = true")
    tab.evaluate(
        """() => {
        window.seen = [];
        const box = (id) => document.getElementById(id).getBoundingClientRect();
        const at = (id) => Math.round(box(id).top + scrollY);
        const text = (id) => document.getElementById(id).textContent;
        const note = () => { seen.push([at("effort"), at("apart"), text("headline"), text("again"),
            text("word"), document.querySelector("#effort .band") !== null]);
            requestAnimationFrame(note); };
        note();
    }"""
    )
    stood = tab.locator("#headline").text_content()
    slid(tab, "arm.radius").focus()
    for _ in range(6):
        tab.keyboard.press("ArrowLeft")
        tab.wait_for_timeout(60)
    answered(tab)
    seen = tab.evaluate("seen")
    assert len({tuple(each[:2]) for each in seen}) == 1
    headlines = [each[2] for each in seen]
    last = tab.locator("#headline").text_content()
    assert last != stood
    assert set(headlines) <= {stood, last}
    working = [each for each in seen if each[2] == stood and each[3]]
    assert working
    assert all("being worked out" in each[3] and each[4] == "working it out …" for each in working)
    assert any(not each[5] for each in working)  # no old band under a new curve


def test_points_are_changed_as_they_are_shown(tab, site: Site) -> None:
    from liftgeo.geometry_file import example_path

    site.file.write_bytes(example_path("vineyard-sprayer").read_bytes())
    arrive(tab, site)
    tab.evaluate("document.querySelectorAll('#form details').forEach((d) => { d.open = true; })")
    points = field(tab, "grip.place")
    shown = points.input_value()
    assert "; " in shown or shown.count(",") == 1
    outlines = field(tab, "casing.outlines")
    for text in (outlines.input_value() + " ", "[[[200, 0], [220, 0], [220, 30]]]"):
        outlines.fill(text)
        outlines.press("Tab")
        answered(tab)
        expect(outlines).not_to_have_attribute("aria-invalid", "true")
    outlines.fill("1, 2; 3")
    outlines.press("Tab")
    expect(outlines).to_have_attribute("aria-invalid", "true")


def test_what_follows_is_said_beside_the_field(tab, site: Site) -> None:
    arrive(tab, site)
    write(tab, "arm.cable_angle", "88")
    rest = tab.locator('[data-key="arm.rest_length"] .state')
    expect(rest).to_contain_text("not in force: arm.cable_angle says it")
    write(tab, "rod.end_float", "")
    state = tab.locator('[data-key="rod.end_float"] .state')
    expect(state).to_contain_text("taken as 0.15 mm (0.05 to 0.40)")


def test_a_reading_from_the_bench_counts_and_goes_into_the_file(tab, site: Site) -> None:
    arrive(tab, site)
    stood = tab.locator("#sure").text_content()
    write(tab, "bench.separation", "0.28 ± 0.03 mm")
    answered(tab)
    expect(tab.locator("#sure")).to_contain_text("From the bench")
    assert tab.locator("#sure").text_content() != stood
    tab.click("#keep-bench")
    expect(tab.locator("#told")).to_contain_text("under [bench]")
    assert [r.quantity for r in liftgeo.load(site.file).readings] == ["separation"]
    expect(field(tab, "bench.separation")).to_have_value("0.28 ± 0.03 mm")
    expect(tab.locator("#sure")).to_contain_text("From the bench")


def test_a_file_with_faults_is_put_right_on_the_page(tab, site: Site) -> None:
    text = site.file.read_text("utf-8")
    spoiled = text.replace("free_play = 2.2", 'free_play = "2,2"').replace(
        "radius = 38.0", "radius = -38.0"
    )
    assert spoiled.count("-38.0") == 1
    site.file.write_text(spoiled, "utf-8")
    tab.goto(site.address)
    for key in ("cable.free_play", "arm.radius"):
        expect(field(tab, key)).to_have_attribute("aria-invalid", "true", timeout=30_000)
        expect(field(tab, key)).to_be_visible()
    assert faults_of(tab) == ""
    write(tab, "cable.free_play", "2.2")
    expect(field(tab, "cable.free_play")).not_to_have_attribute("aria-invalid", "true")
    tab.click("#mend")
    expect(tab.locator("#told")).to_contain_text("arm.radius")
    assert site.file.read_text("utf-8") == spoiled
    write(tab, "arm.radius", "38")
    expect(tab.locator("#headline")).to_have_text(re.compile(ANSWERED), timeout=30_000)
    tab.click("#mend")
    expect(tab.locator("#keep-name")).to_be_visible(timeout=30_000)
    expect(tab.locator("#said")).to_have_text(re.compile("hand"), timeout=30_000)
    assert liftgeo.load(site.file).keys["arm.radius"] == 38.0
    assert site.file.read_text("utf-8").count("#") == text.count("#")


@pytest.mark.parametrize("what", ["Keep in the file", "Write-up", "Lay on"])
def test_a_lost_server_is_told_of_whatever_is_asked(tab, site: Site, what: str) -> None:
    arrive(tab, site)
    write(tab, "arm.radius", "34")
    answered(tab)
    site.stop()
    tab.fill("#keep-name", "mine")
    tab.click(f"button:has-text('{what}') >> nth=0")
    expect(tab.locator("#banner")).to_contain_text("does not answer")
    expect(tab.locator("#banner")).to_contain_text("Start it again")
    expect(tab.locator("#told")).not_to_contain_text("Drawing…")
    expect(tab.locator("#told")).not_to_contain_text("Writing…")


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
