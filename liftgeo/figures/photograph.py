"""Photographs: read within bounds and turned upright, as their orientation tag says."""

from __future__ import annotations

import contextlib
import io
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from liftgeo.errors import FileError
from liftgeo.files import AnyPath, read_bytes, shown

if TYPE_CHECKING:
    from PIL.Image import Image

LARGEST_BYTES = 60_000_000
LARGEST_PIXELS = 80_000_000
"""Pixels of the largest photograph that is read; some 9000 by 9000."""
MOST_SHOWN_PX = 3000
"""Longer side of a photograph as it is shown; a larger one is made smaller, its marks are not."""

_FORMATS = ("JPEG", "PNG")
_ORIENTATION = 0x0112
_ON_ITS_SIDE = (5, 6, 7, 8)
_SAVE_AS = (
    "Save it as JPEG or PNG (a telephone can: share it, or set the camera to the most usual)."
)


@dataclass(frozen=True, eq=False)
class Photograph:
    """A photograph, upright.

    Attributes
    ----------
    name : str
        Its file, as shown.
    size_px : (int, int)
        Width and height as it stands upright.
    orientation : int
        Its orientation tag, 1 to 8; 1 where it has none.
    data : bytes
        The file.
    """

    name: str
    size_px: tuple[int, int]
    orientation: int
    data: bytes

    def pixels(self, most_px: int = MOST_SHOWN_PX) -> NDArray[np.uint8]:
        """Return the upright picture of shape (height, width, 3), smaller where it is large.

        Parameters
        ----------
        most_px : int
            Pixels of its longer side at most.

        Raises
        ------
        FileError
            The file is cut short or damaged.
        """
        from PIL import ImageOps

        with _opened(self.data, self.name) as image:
            longer = max(image.size)
            if longer > most_px:
                image.draft("RGB", (most_px, most_px))  # a JPEG is read smaller at once
                image.thumbnail((most_px, most_px))
            upright = ImageOps.exif_transpose(_on_white(image))
            return np.asarray(upright.convert("RGB"), np.uint8)


def read_photograph(path: AnyPath) -> Photograph:
    """Return a photograph, its pixels not yet unpacked.

    Parameters
    ----------
    path : path
        A JPEG or PNG file.

    Raises
    ------
    FileError
        Missing, too large, no photograph, or of another format.
    """
    data = read_bytes(path, LARGEST_BYTES, "photograph", "a photograph is read as it comes")
    name = shown(path)
    with _opened(data, name) as image:
        width, height = image.size
        found = image.getexif().get(_ORIENTATION, 1)
    orientation = found if isinstance(found, int) and 1 <= found <= 8 else 1
    size = (height, width) if orientation in _ON_ITS_SIDE else (width, height)
    return Photograph(name, size, orientation, data)


@contextlib.contextmanager
def _opened(data: bytes, name: str) -> Iterator[Image]:
    """Open a picture; what is wrong with it is said in words."""
    from PIL import Image, UnidentifiedImageError
    from PIL.Image import open as unpacked  # what is in memory: no file is touched here

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            warnings.filterwarnings("ignore", category=UserWarning)  # a tag that cannot be read
            with unpacked(io.BytesIO(data), formats=_FORMATS) as image:
                width, height = image.size
                if width * height > LARGEST_PIXELS:
                    raise FileError(_too_large(name, f"{width} by {height} pixels"))
                yield image
    except FileError:
        raise
    except (Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise FileError(_too_large(name, "far too many pixels")) from None
    except UnidentifiedImageError:
        raise FileError(f"{name} is no photograph that can be read. {_SAVE_AS}") from None
    except (OSError, SyntaxError, ValueError, EOFError, KeyError, TypeError, IndexError) as error:
        raise FileError(f"{name} is damaged or cut short: {error}.") from None


def _too_large(name: str, size: str) -> str:
    return (
        f"{name} has {size}; photographs are read up to {LARGEST_PIXELS // 1_000_000} million "
        "pixels. Save it smaller and mark that one: 10 million are plenty."
    )


def _on_white(image: Image) -> Image:
    """Return a picture of plain colours, its orientation tag kept: nothing shines through."""
    from PIL import Image as images

    if image.mode.startswith("I") or image.mode == "F":  # 16 bits and more: spread over 8
        values = np.asarray(image, float)
        low, high = float(values.min()), float(values.max())
        grey = (values - low) * (255.0 / max(high - low, 1e-9))
        return _tagged(images.fromarray(grey.astype(np.uint8)), image)
    if "A" not in image.getbands() and "transparency" not in image.info:
        return image
    layered = image.convert("RGBA")
    paper = images.new("RGBA", layered.size, "white")
    paper.alpha_composite(layered)
    return _tagged(paper.convert("RGB"), image)


def _tagged(image: Image, like: Image) -> Image:
    """Give a picture the orientation of another."""
    image.getexif()[_ORIENTATION] = like.getexif().get(_ORIENTATION, 1)
    return image
