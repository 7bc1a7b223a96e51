"""Photographs: upright whatever their tag says, within bounds, and refused in words."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from photographs import as_png, written
from PIL import Image

from liftgeo.errors import FileError
from liftgeo.figures import photograph
from liftgeo.figures.photograph import read_photograph

SPOTS = (((60, 40), (220, 20, 20)), ((350, 60), (20, 200, 20)), ((90, 260), (20, 20, 220)))
"""Red, green and blue spots that tell every way of turning a picture apart."""


def middle_of(picture: np.ndarray, colour: tuple[int, int, int]) -> tuple[float, float]:
    """Return the middle of the pixels near a colour: x, y."""
    near = np.abs(picture.astype(int) - colour).sum(axis=-1) < 120
    rows, columns = np.nonzero(near)
    return float(columns.mean()), float(rows.mean())


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_every_orientation_shows_the_same_points(
    tmp_path: Path, orientation: int, kind: str
) -> None:
    path = written(tmp_path / "a", (400, 300), orientation, kind, SPOTS)
    found = read_photograph(path)
    assert (found.orientation, found.size_px) == (orientation, (400, 300))
    picture = found.pixels()
    assert picture.shape == (300, 400, 3)
    for place, colour in SPOTS:
        assert middle_of(picture, colour) == pytest.approx(place, abs=0.3)


def test_a_picture_without_a_tag_is_upright(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    path.write_bytes(as_png(Image.new("RGB", (30, 20))))
    assert read_photograph(path).size_px == (30, 20)
    assert read_photograph(path).orientation == 1


@pytest.mark.parametrize("tag", [0, 9, 77])
def test_a_tag_that_means_nothing_counts_as_upright(tmp_path: Path, tag: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = tag
    Image.new("RGB", (30, 20)).save(tmp_path / "a.jpg", exif=exif)
    found = read_photograph(tmp_path / "a.jpg")
    assert (found.size_px, found.orientation) == ((30, 20), 1)
    assert found.pixels().shape == (20, 30, 3)


@pytest.mark.parametrize("orientation", [1, 6])
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_large_picture_is_shown_smaller_and_measured_in_full(
    tmp_path: Path, orientation: int, kind: str
) -> None:
    path = written(tmp_path / "a", (400, 300), orientation, kind, SPOTS)
    found = read_photograph(path)
    small = found.pixels(most_px=200)
    assert small.shape == (150, 200, 3)
    assert found.size_px == (400, 300)
    assert middle_of(small, SPOTS[1][1]) == pytest.approx((175, 30), abs=1.0)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16", "CMYK"])
def test_a_picture_of_any_colours_is_shown(tmp_path: Path, mode: str) -> None:
    image = Image.new("RGBA", (30, 20), (200, 100, 50, 255))
    plain = image.convert("RGB")
    if mode == "I;16":
        plain = Image.fromarray(np.arange(600, dtype=np.uint16).reshape(20, 30) * 100)
    elif mode in ("LA", "RGBA"):
        plain = image.convert(mode)
    else:
        plain = plain.convert(mode)
    path = tmp_path / "a"
    plain.save(path, format="JPEG" if mode == "CMYK" else "PNG")
    picture = read_photograph(path).pixels()
    assert (picture.shape, picture.dtype) == ((20, 30, 3), np.uint8)
    if mode == "I;16":
        assert (picture.min(), picture.max()) == (0, 255)


def test_what_can_be_seen_through_lies_on_white(tmp_path: Path) -> None:
    Image.new("RGBA", (4, 4), (0, 0, 0, 0)).save(tmp_path / "a.png")
    assert read_photograph(tmp_path / "a.png").pixels().min() == 255


def bomb(width: int, height: int) -> bytes:
    """Return the first bytes of a PNG that says it is very large."""

    def chunk(name: bytes, data: bytes) -> bytes:
        body = name + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 99))


@pytest.mark.parametrize("size", [(9000, 9000), (12000, 9000), (100_000, 100_000)])
def test_a_picture_of_too_many_pixels_is_refused_unopened(tmp_path: Path, size) -> None:
    path = tmp_path / "a.png"
    path.write_bytes(bomb(*size))
    with pytest.raises(FileError, match="read up to 80 million pixels"):
        read_photograph(path)


@pytest.mark.parametrize("height", [20, 21])
def test_the_bound_on_pixels_is_met_exactly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, height: int
) -> None:
    monkeypatch.setattr(photograph, "LARGEST_PIXELS", 600)
    path = tmp_path / "a.png"
    path.write_bytes(as_png(Image.new("RGB", (30, height))))
    if height == 20:
        assert read_photograph(path).size_px == (30, 20)
        return
    with pytest.raises(FileError, match="30 by 21 pixels"):
        read_photograph(path)


def test_a_file_of_too_many_bytes_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photograph, "LARGEST_BYTES", 1000)
    path = tmp_path / "a.jpg"
    path.write_bytes(b"\0" * 1001)
    with pytest.raises(FileError, match="a photograph is read as it comes"):
        read_photograph(path)


def jpeg() -> bytes:
    out = io.BytesIO()
    noise = np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8)
    Image.fromarray(noise).save(out, format="JPEG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is no photograph that can be read. Save it as JPEG or PNG"),
        (b"name,x,y\n", "is no photograph"),
        (b"GIF89a" + b"\0" * 50, "is no photograph"),
        (b"\0\0\0\x18ftypheic" + b"\0" * 50, "is no photograph"),
        (jpeg()[:3], "is no photograph"),
        (b"\x89PNG\r\n\x1a\n\0\0", "is"),
    ],
)
def test_what_is_no_photograph_is_refused(tmp_path: Path, data: bytes, says: str) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(data)
    with pytest.raises(FileError) as caught:
        read_photograph(path)
    assert str(caught.value).startswith(str(path))
    assert says in str(caught.value)


def test_a_photograph_cut_short_is_refused_when_it_is_shown(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg()[:4000])
    found = read_photograph(path)
    with pytest.raises(FileError, match="damaged or cut short"):
        found.pixels()


@pytest.mark.parametrize(
    ("make", "says"), [("mkdir", "Name the photograph inside"), ("", "not there")]
)
def test_a_folder_or_nothing_is_said(tmp_path: Path, make: str, says: str) -> None:
    path = tmp_path / "a.jpg"
    if make:
        path.mkdir()
    with pytest.raises(FileError, match=says):
        read_photograph(path)
