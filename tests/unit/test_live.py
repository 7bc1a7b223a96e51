"""The what-if page's server: what it answers, what it keeps, and whom it refuses."""

from __future__ import annotations

import json
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
import uvicorn
from clutches import BASE_TEXT, KINDS

import liftgeo
from liftgeo.errors import FileError, GeometryError, RequestError
from liftgeo.kinds import KINDS as NAMES
from liftgeo.live import Desk, application
from liftgeo.live.answers import first_look
from liftgeo.live.desk import ChangedOnDiskError, begun
from liftgeo.live.entries import groups_of
from liftgeo.live.pages import picture_of
from liftgeo.live.serving import bound
from liftgeo.mechanism.tables import TABLES

LEVER = {
    "lever.nipple_radius": "27",
    "lever.stop_distance": "43",
    "lever.rest_length": "46",
    "lever.hand_radius": "78",
    "lever.hand_travel": "42",
}
ARM = {"arm.radius": "36", "arm.stop_distance": "92", "arm.rest_length": "88"}
STARTED = {table: names[0] for table, names in NAMES.items() if table != "bearing"}


class Asker:
    """Asks a running page, as a browser or as somebody else would."""

    def __init__(self, port: int) -> None:
        self.port = port

    def ask(self, path: str, told=None, **headers: str):
        """Return status, headers and text of an answer."""
        body = None if told is None else json.dumps(told).encode()
        named = {"Content-Type": "application/json"} if told is not None else {}
        named |= {name.replace("_", "-"): value for name, value in headers.items()}
        request = urllib.request.Request(f"http://127.0.0.1:{self.port}{path}", body, named)
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:
                return answer.status, dict(answer.headers), answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, dict(error.headers), error.read().decode()

    def json(self, path: str, told, **headers: str):
        """Return the data of an answer that must be a good one."""
        status, _, text = self.ask(path, told, **headers)
        assert status == 200, text
        return json.loads(text)


def served(desk: Desk, write_up=None):
    """Yield somebody who asks the page of a desk, running on a port of its own."""
    at = bound(0)
    config = uvicorn.Config(application(desk, write_up), log_level="error", lifespan="off")
    server = uvicorn.Server(config)
    running = threading.Thread(target=server.run, kwargs={"sockets": [at]}, daemon=True)
    running.start()
    until = time.monotonic() + 30
    while not server.started and time.monotonic() < until:
        time.sleep(0.01)
    yield Asker(at.getsockname()[1])
    server.should_exit = True
    running.join(timeout=30)
    at.close()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    place = tmp_path / "mine.toml"
    place.write_text(BASE_TEXT, encoding="utf-8")
    return place


@pytest.fixture
def page(file: Path):
    yield from served(Desk(file))


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.chdir(tmp_path)
    yield from served(Desk(None))


def mark_of(page: Asker) -> str:
    return page.json("/stands", {})["mark"]


def test_the_page_comes_whole_and_says_what_it_may_load(page: Asker) -> None:
    status, headers, text = page.ask("/")
    assert status == 200
    assert "mine.toml" in text
    assert "asbestos" in text
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    for name in ("/live.js", "/live.css"):
        status, _, text = page.ask(name)
        assert status == 200
        assert "http://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_numbers_are_those_of_stroke(page: Asker, file: Path) -> None:
    look = page.json("/look", {"mark": mark_of(page), "over": {"arm.radius": "36 mm"}})
    result = liftgeo.stroke(liftgeo.load(file).changed({"arm.radius": 36.0}))
    assert look["verdict"] == result.verdict
    full, peak = result.full_lever, result.peak
    assert look["point"] == pytest.approx([full.clearance_per_face_mm, peak.hand_force_n])
    assert f"{full.separation_mm:.2f} mm" in look["answer"]
    pulls = look["curves"]["effort"]["pull"]
    assert max(pulls) == pytest.approx(peak.hand_force_n, rel=1e-4)


def test_how_sure_is_that_of_known_and_the_same_each_time(page: Asker, file: Path) -> None:
    told = {"mark": mark_of(page), "over": {"cable.free_play": "1 to 3 mm"}}
    first, again = page.json("/sure", told), page.json("/sure", told)
    assert first == again
    known = liftgeo.known(liftgeo.load(file).changed({"cable.free_play": "1 to 3 mm"}))
    assert first["frees"] == known.frees
    assert len(first["moving"]["said"]) == 41


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("arm.radius", "abc"),
        ("arm.radius", "-3"),
        ("arm.radius", "1e400"),
        ("lever.rest_length", "900"),
        ("cable.free_play", "<script>"),
        ("release.ramp_angle", "12 N"),
        ("no.such", "1"),
        ("faces.friction_plates", "1.5"),
        ("arm.radius", "\u202e3"),
    ],
)
def test_garbage_is_told_of_its_field_and_nothing_else_happens(
    page: Asker, field: str, text: str
) -> None:
    status, _, said = page.ask("/look", {"mark": mark_of(page), "over": {field: text}})
    data = json.loads(said)
    assert status in (200, 422)
    if status == 200:
        assert any(field.startswith(fault["key"]) for fault in data["faults"]), data
    else:
        assert data["error"]
    assert page.json("/look", {"mark": mark_of(page)})["level"] == "full"


def test_an_emptied_field_is_not_measured_and_taken_as_usual(page: Asker, file: Path) -> None:
    file.write_text(BASE_TEXT.replace('left_out = "nothing"', 'left_out = "usual"'), "utf-8")
    told = {"mark": page.json("/stands", {})["mark"], "over": {"cable.stiffness": ""}}
    page.ask("/")  # a tab that reads it again
    found = page.json("/sure", told)
    assert "cable stiffness" in " ".join(found["sure"])


def test_a_trial_is_kept_as_a_change_and_comments_stay(page: Asker, file: Path) -> None:
    told = {
        "mark": mark_of(page),
        "over": {"arm.radius": "34", "cable.free_play": "1.5 ± 0.2 mm"},
        "name": "tried-here",
        "note": "two at once",
    }
    kept = page.json("/keep", told)
    text = file.read_text("utf-8")
    assert text.startswith(BASE_TEXT.rstrip().split("\n")[0])
    assert "# clutches.py, beside it, varies it." in text
    change = liftgeo.load(file).changes["tried-here"]
    assert dict(change.keys) == {"arm.radius": 34.0, "cable.free_play": "1.5 ± 0.2 mm"}
    assert change.note == "two at once"
    assert kept["mark"] == mark_of(page)


def test_a_file_changed_meanwhile_is_not_written_over_unless_somebody_says_so(
    page: Asker, file: Path
) -> None:
    mark = mark_of(page)
    page.ask("/")
    theirs = BASE_TEXT + "\n# somebody was here\n"
    file.write_text(theirs, "utf-8")
    told = {"mark": mark, "over": {"arm.radius": "34"}, "name": "mine"}
    status, _, said = page.ask("/keep", told)
    assert status == 409
    assert json.loads(said)["changed"] is True
    assert file.read_text("utf-8") == theirs
    assert page.json("/look", told)["level"] == "full"  # the tab goes on with what it read
    page.json("/keep", {**told, "anyway": True})
    text = file.read_text("utf-8")
    assert "# somebody was here" in text
    assert "[changes.mine]" in text


def test_what_cannot_be_kept_leaves_the_file_as_it_was(page: Asker, file: Path) -> None:
    mark = mark_of(page)
    taken = next(iter(liftgeo.load(file).changes))
    for over, name, said in (
        ({}, "nothing", "Nothing is changed"),
        ({"arm.radius": "34"}, "two words", "cannot name a change"),
        ({"arm.radius": "34"}, "../up", "cannot name a change"),
        ({"arm.radius": "34"}, taken, "has a change called"),
        ({"arm.radius": ""}, "blank", "cannot take a number out"),
        ({"arm.radius": "-1"}, "bad", "arm.radius"),
    ):
        status, _, text = page.ask("/keep", {"mark": mark, "over": over, "name": name})
        assert status == (409 if name == taken else 422)
        error = json.loads(text)["error"]
        assert said in error
        assert "--force" not in error
        assert file.read_text("utf-8") == BASE_TEXT


def test_only_this_machine_is_answered(page: Asker) -> None:
    good = {"Host": f"localhost:{page.port}"}
    assert page.ask("/", **good)[0] == 200
    for host in (
        "evil.example",
        f"evil.example:{page.port}",
        "127.0.0.1",
        f"127.0.0.1:{page.port}.x",
    ):
        assert page.ask("/", Host=host)[0] == 403
        assert page.ask("/look", {}, Host=host)[0] == 403


def test_another_pages_question_is_refused(page: Asker) -> None:
    own = f"http://127.0.0.1:{page.port}"
    told = {"mark": mark_of(page)}
    assert page.ask("/look", told, Origin=own)[0] == 200
    for origin in ("http://evil.example", "null", f"https://127.0.0.1:{page.port}", own + ".x"):
        assert page.ask("/look", told, Origin=origin)[0] == 403
    assert page.ask("/look", told, Sec_Fetch_Site="cross-site")[0] == 403
    assert page.ask("/look", told, Content_Type="text/plain")[0] == 403


def test_a_question_too_large_or_no_json_is_refused(page: Asker) -> None:
    assert page.ask("/look", {"over": {"a": "x" * 300_000}})[0] == 413
    request = urllib.request.Request(
        f"http://127.0.0.1:{page.port}/look", b"{", {"Content-Type": "application/json"}
    )
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=30)
    assert refused.value.code == 400
    refused.value.close()
    assert page.ask("/look", [1])[0] == 400
    assert page.ask("/../../etc/passwd")[0] == 404


def test_a_machine_is_filled_in_answers_grow_and_it_is_saved(empty: Asker, tmp_path: Path) -> None:
    form = empty.json("/form", {"kinds": STARTED})
    titles = {group["table"]: group["title"] for group in form["groups"]}
    assert titles.keys() == {*TABLES, "bench"}
    assert not set(titles) & set(titles.values())  # each in words, none by its bare name
    nothing = empty.json("/look", {"kinds": STARTED})
    assert any(fault["key"] == "lever.nipple_radius" for fault in nothing["faults"])
    some = empty.json("/look", {"kinds": STARTED, "over": LEVER | ARM})
    assert some["level"] == "ratio"
    more = LEVER | ARM | {"release.pitch_radius": "17", "release.ramp_angle": "15"}
    assert empty.json("/look", {"kinds": STARTED, "over": more})["level"] == "lift"
    told = {"kinds": STARTED, "over": more, "name": "hauler", "title": "My hauler"}
    assert empty.json("/save", told)["file"] == "hauler.toml"
    saved = liftgeo.load(tmp_path / "hauler.toml")
    assert saved.title == "My hauler"
    assert saved.level == "lift"
    assert saved.keys["arm.radius"] == 36.0
    assert "hauler.toml" in empty.ask("/")[2]
    assert empty.ask("/save", told)[0] == 422


def test_a_new_file_goes_into_this_folder_and_over_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there.toml").write_text("mine", "utf-8")
    for name in ("../up", "a/b", "", ".hidden", "/etc/x"):
        with pytest.raises(RequestError, match="plain name"):
            Desk(None).save_new(name, "x", STARTED, LEVER | ARM)
    with pytest.raises(FileError, match="exists already"):
        Desk(None).save_new("there", "x", STARTED, LEVER | ARM)
    with pytest.raises(GeometryError):
        Desk(None).save_new("bad", "x", STARTED, {"lever.nipple_radius": "abc"})
    assert [p.name for p in tmp_path.iterdir()] == ["there.toml"]
    assert (tmp_path / "there.toml").read_text("utf-8") == "mine"


def test_a_mark_nobody_knows_is_a_file_that_was_changed(file: Path) -> None:
    with pytest.raises(ChangedOnDiskError):
        Desk(file).tried("0123", {})


@pytest.mark.parametrize("table", ["lever", "arm", "release", "spring"])
def test_every_kind_has_a_picture_to_choose_it_by(table: str) -> None:
    pictures = {kind: picture_of(table, kind) for kind in NAMES[table]}
    assert all(svg is not None and "points=" in svg for svg in pictures.values()), pictures
    assert picture_of(table, "nothing-such") is None


@pytest.mark.parametrize(
    ("table", "kind"), [(t, k) for t, kinds in KINDS.items() for k in kinds], ids=str
)
def test_every_kind_has_its_fields(table: str, kind: str) -> None:
    from clutches import mechanism

    tables = {table: KINDS[table][kind]} | ({"stack": None} if table == "spring" else {})
    file = mechanism(**tables)
    entries = {entry.key: entry for group in groups_of(file) for entry in group.entries}
    for key in KINDS[table][kind]:
        if key != "kind":
            assert entries[f"{table}.{key}"].text
    look = first_look(file, "metric", 0.5)
    assert look["level"] == "full"


def test_a_slider_reaches_both_sides_of_its_number_within_its_bounds() -> None:
    file = begun(STARTED, LEVER | ARM)
    filled = groups_of(file)
    sliders = [e.slider for group in filled for e in group.entries if e.slider and e.text]
    assert len(sliders) == len(LEVER | ARM)
    for slider in sliders:
        assert slider.low < slider.at < slider.high


def test_downloads_are_what_they_are_called(page: Asker) -> None:
    told = {"mark": mark_of(page), "over": {}}
    request = urllib.request.Request(
        f"http://127.0.0.1:{page.port}/figure",
        json.dumps(told).encode(),
        {"Content-Type": "application/json"},
    )
    with urllib.request.urlopen(request, timeout=60) as answer:
        assert answer.read(5) == b"%PDF-"


def test_a_port_that_is_taken_is_told_of() -> None:
    at = bound(0)
    at.listen()
    with at, pytest.raises(RequestError, match="cannot be had"):
        bound(at.getsockname()[1])
    with pytest.raises(RequestError, match="is no port"):
        bound(70_000)
