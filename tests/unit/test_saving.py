"""Keys saved into a geometry file: what says the same gives way, nothing else is touched."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from clutches import BASE_TEXT

from liftgeo.errors import FileError, GeometryError, RequestError
from liftgeo.geometry_file import load
from liftgeo.kinds import KINDS
from liftgeo.mechanism.laying import flatten
from liftgeo.mechanism.starter import starter
from liftgeo.saving import check_keys, save_keys

POINTS = {
    "arm.points.pivot": ["0.00 ± 0.10 mm", "0.00 ± 0.10 mm"],
    "arm.points.pin": ["3.00 ± 0.12 mm", "35.50 ± 0.12 mm"],
    "arm.points.stop": ["-91.00 ± 0.20 mm", "30.00 ± 0.20 mm"],
}
FIRST = {kind: names[0] for kind, names in KINDS.items()}


def written(path: Path, text: str) -> Path:
    path.write_bytes(text.encode())
    return path


def saved(path: Path, **more) -> tuple[str, dict]:
    """Return the text of a file after the points are saved, and what they replaced."""
    found = save_keys(path, POINTS, **more)
    return path.read_bytes().decode(), found.replaced


def test_distances_give_way_and_stay_as_comments(tmp_path: Path) -> None:
    path = written(tmp_path / "a.toml", BASE_TEXT)
    before = flatten(tomllib.loads(BASE_TEXT))
    text, replaced = saved(path, said="by hand")
    after = flatten(tomllib.loads(text))
    sides = {f"arm.{k}" for k in ("radius", "stop_distance", "rest_length", "cable_angle")}
    gone = sides & before.keys()
    assert replaced == {k: before[k] for k in gone}
    assert after == {k: v for k, v in before.items() if k not in gone} | POINTS
    for key in gone:
        assert f"# replaced: {key[4:]} = {before[key]}\n" in text
    assert "# by hand\n" in text
    kept = [line for line in BASE_TEXT.split("\n") if line.split(" ")[0] not in
            {key[4:] for key in gone}]  # fmt: skip
    assert [line for line in text.split("\n") if line in kept] == kept
    assert load(path).keys["arm.points.pin"][0].half_width == pytest.approx(0.12)


def test_a_starter_file_takes_points_while_all_else_is_blank(tmp_path: Path) -> None:
    path = written(tmp_path / "a.toml", starter("A", "a.toml", FIRST, everything=False))
    text, replaced = saved(path)
    assert replaced == {}
    assert "replaced" not in text
    arm = text[text.index("[arm]") : text.index("[release]")]
    assert arm == (
        '[arm]\nkind = "pin"\n'
        'points.pivot = ["0.00 ± 0.10 mm", "0.00 ± 0.10 mm"]\n'
        'points.pin = ["3.00 ± 0.12 mm", "35.50 ± 0.12 mm"]\n'
        'points.stop = ["-91.00 ± 0.20 mm", "30.00 ± 0.20 mm"]\n\n'
    )


def test_lever_and_arm_may_both_have_points(tmp_path: Path) -> None:
    lever = {k.replace("arm", "lever"): v for k, v in POINTS.items()}
    lever["lever.points.hand"] = ["60 mm", "0"]
    path = written(tmp_path / "a.toml", BASE_TEXT)
    save_keys(path, lever)
    text, _ = saved(path)
    assert flatten(tomllib.loads(text)).items() >= (POINTS | lever).items()
    assert "\n\n[" in text[text.index("[arm]") :]


@pytest.mark.parametrize(
    "text",
    [
        "[arm]\nmax_rotation = 30\n\n[arm.points]\npivot = ['', '']\n\n[lever]\nkind = 'pin'\n",
        "title = 'no arm yet'\n\n[cable]\nfree_play = 2\n",
        "[arm]",
        "[arm]\nradius = ''  # blank\n[cable]\nfree_play = 2\n",
    ],
)
def test_a_file_may_be_laid_out_in_many_ways(tmp_path: Path, text: str) -> None:
    path = written(tmp_path / "a.toml", text)
    before = flatten(tomllib.loads(text))
    new, _ = saved(path)
    kept = {k: v for k, v in before.items() if not k.startswith(("arm.points", "arm.radius"))}
    assert flatten(tomllib.loads(new)) == kept | POINTS


@pytest.mark.parametrize(
    "text",
    [
        "arm = {radius = 36, stop_distance = 92, rest_length = 88}\n",
        "arm.radius = 36\narm.stop_distance = 92\narm.rest_length = 88\n",
    ],
)
def test_a_layout_that_takes_nothing_safely_is_left_alone(tmp_path: Path, text: str) -> None:
    path = written(tmp_path / "a.toml", text)
    with pytest.raises(FileError) as caught:
        save_keys(path, POINTS)
    assert "in place of radius, stop_distance, rest_length" in str(caught.value)
    assert 'points.pin = ["3.00 ± 0.12 mm", "35.50 ± 0.12 mm"]' in str(caught.value)
    assert path.read_text(encoding="utf-8") == text


def test_line_ends_and_the_first_mark_stay(tmp_path: Path) -> None:
    text = "\ufeff[arm]\r\nradius = 36\r\n\r\n[cable]\r\nfree_play = 2\r\n"
    new, replaced = saved(written(tmp_path / "a.toml", text))
    assert new.startswith("\ufeff[arm]\r\n# replaced: radius = 36\r\npoints.pivot")
    assert new.endswith("\r\n\r\n[cable]\r\nfree_play = 2\r\n")
    assert "\n" not in new.replace("\r\n", "")
    assert replaced == {"arm.radius": 36}


def test_what_was_said_of_points_that_go_goes_with_them(tmp_path: Path) -> None:
    path = written(tmp_path / "a.toml", BASE_TEXT)
    lever = {k.replace("arm", "lever"): v for k, v in POINTS.items()}
    lever["lever.points.hand"] = ["60 mm", "0"]
    save_keys(path, lever, said="seen on l.jpg")
    for name in ("a.jpg", "b.jpg", "c d.jpg"):
        text, _ = saved(path, said=f"seen on {name}", in_place_of="seen on", force=True)
    said = [line for line in text.splitlines() if "seen on" in line]
    assert said == ["# seen on l.jpg", "# seen on c d.jpg"]
    assert text.count("# replaced: radius") == 1
    assert flatten(tomllib.loads(text)).items() >= (POINTS | lever).items()


def test_points_that_stand_there_are_replaced_only_when_asked(tmp_path: Path) -> None:
    path = written(tmp_path / "a.toml", "[arm]\npoints.pivot = [1, 2]\npoints.pin = [3, 4]\n")
    before = path.read_bytes()
    for refuses in (lambda: save_keys(path, POINTS), lambda: check_keys(path, list(POINTS))):
        with pytest.raises(RequestError, match=r"has arm.points.pivot, arm.points.pin already"):
            refuses()
    assert path.read_bytes() == before
    text, replaced = saved(path, force=True)
    assert replaced == {"arm.points.pivot": [1, 2], "arm.points.pin": [3, 4]}
    assert flatten(tomllib.loads(text)) == POINTS


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ('[arm]\nkind = "drum"\n', RequestError, 'has arm.kind = "drum", which has no points'),
        ("[arm]\nradius = 36 mm\n", GeometryError, "stands in quotes"),
        ("[arm\n", GeometryError, "line 1"),
    ],
)
def test_a_file_that_cannot_take_points_stays_as_it_was(
    tmp_path: Path, text: str, error: type[Exception], says: str
) -> None:
    path = written(tmp_path / "a.toml", text)
    for refuses in (lambda: save_keys(path, POINTS), lambda: check_keys(path, list(POINTS))):
        with pytest.raises(error) as caught:
            refuses()
        assert says in str(caught.value)
    assert path.read_bytes() == text.encode()


def test_points_that_make_no_linkage_are_not_written(tmp_path: Path) -> None:
    path = written(tmp_path / "a.toml", BASE_TEXT)
    flat = POINTS | {"arm.points.pin": ["-182.00 ± 0.12 mm", "60.00 ± 0.12 mm"]}  # behind the stop
    with pytest.raises(GeometryError, match="arm"):
        save_keys(path, flat)
    assert path.read_text(encoding="utf-8") == BASE_TEXT


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="not there"):
        save_keys(tmp_path / "none.toml", POINTS)
