"""Made-up photographs: a plane seen by a pinhole camera, and pictures with coloured spots."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from PIL import Image

ORIENTATION = 0x0112

# How a camera that turned its sensor must store an upright picture for each tag, so that what the
# tag asks for gives the upright one again. Exif 2.3, tag 0x0112: 2 mirrored, 3 half a turn, 4
# flipped, 5 transposed, 6 a quarter turn clockwise to be upright, 7 transverse, 8 a quarter turn
# the other way (from memory).
_STORED = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}

LEVER_MM = {"pivot": (0.0, 0.0), "pin": (-12.0, 24.0), "stop": (43.0, -3.0), "hand": (-70.0, -34.0)}
RULE_MM = {"scale_1": (-40.0, -60.0), "scale_2": (60.0, -60.0)}
CARD_MM = {
    "corner_1": (-20.0, -70.0),
    "corner_2": (65.6, -70.0),
    "corner_3": (65.6, -16.02),
    "corner_4": (-20.0, -16.02),
}
"""A lever, a rule of 100 mm and a card of 85.6 by 53.98 mm in one plane; invented."""


def seen(points_mm, tilt_deg=0.0, spin_deg=0.0, camera_mm=1500.0, focal_px=9000.0, about=0.0):
    """Return where a pinhole camera shows points of a plane [pixels], y down.

    The plane is turned by `spin_deg` in itself and by `tilt_deg` about an upright axis through
    (20, 5) mm; the tilt's axis is turned by `about` degrees from the upright.
    """
    spin, tilt, axis = np.radians([spin_deg, tilt_deg, about])
    found = {}
    for name, (x, y) in points_mm.items():
        flat = complex(x - 20.0, y - 5.0) * np.exp(1j * spin) * np.exp(-1j * axis)
        depth = camera_mm + flat.real * np.sin(tilt)
        shown = complex(flat.real * np.cos(tilt), flat.imag) * np.exp(1j * axis)
        at = focal_px * shown / depth
        found[name] = (2000.0 + at.real, 1500.0 - at.imag)
    return found


def written(path: Path, size=(400, 300), orientation=1, kind=None, spots=()) -> Path:
    """Write an upright picture of a size as a camera stores it, with its orientation tag."""
    upright = Image.new("RGB", size, (180, 170, 150))
    for (x, y), colour in spots:
        upright.paste(colour, (x - 4, y - 4, x + 5, y + 5))
    turn = _STORED[orientation]
    stored = upright if turn is None else upright.transpose(turn)
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    stored.save(path, format=kind, exif=exif, **({"quality": 95} if kind != "PNG" else {}))
    return path


def as_png(image: Image.Image) -> bytes:
    """Return a picture as the content of a PNG file."""
    out = io.BytesIO()
    image.save(out, format="PNG")
    return out.getvalue()
