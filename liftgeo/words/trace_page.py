"""The page of points read off a photograph, and what the window for marking them says."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from liftgeo.errors import QuantityError
from liftgeo.plain_text import one_line
from liftgeo.quantities import Measured, read, shown
from liftgeo.safety import WORK_SAFELY_IN_BRIEF
from liftgeo.studies.trace import out_of_plane_share, tilt_shares
from liftgeo.words.lines import columns, headline, page, wrapped
from liftgeo.words.numbers import Shown, fixed

if TYPE_CHECKING:
    from liftgeo.saving import Saved
    from liftgeo.studies.trace import Traced
    from liftgeo.studies.trace_frame import Laid


def screen_not_known(name: str) -> str:
    """Return what is wrong with a MPLBACKEND that matplotlib does not know, and what to do."""
    return (
        f"MPLBACKEND names {one_line(name)}, which matplotlib does not know, so no window opens. "
        "Unset it, or give a file of marks with --marks."
    )


NO_SCREEN = (
    "There is no screen to open a window on. Mark the points in any picture viewer that shows the "
    "pixel under the pointer, write them into a table (a line each: name,x,y), and give it as "
    "--marks marks.csv."
)
WINDOW_CLOSED = "The window was closed before every point was marked; nothing was written. "
NOTED = "read off the photograph"
"""How the comment above the points of a geometry file begins."""
KEYS = (
    "left click: mark    right click or u: undo    wheel or + and -: nearer, farther    "
    "a: all of the picture    Enter: finish"
)

_OFF_MM, _CAMERA_MM, _TILT_DEG = 10.0, 1500.0, 5.0
"""The plausible case that the page works out."""

_CORNER = ("one corner of the rectangle", "the corner at the other end of its first side, W away",
           "the corner after that, H on", "the last corner")  # fmt: skip
_SIZE_PROMPTS = {
    "scale_1": "one end of the known length",
    "scale_2": "its other end",
    **{f"corner_{k + 1}": words for k, words in enumerate(_CORNER)},
}
_PROMPTS = {
    "lever": {
        "pivot": "the middle of the pivot screw",
        "pin": "the middle of the nipple",
        "stop": "where the wire leaves its stop",
        "hand": "the middle of the pull, between two fingers",
    },
    "arm": {
        "pivot": "the middle of the arm's shaft",
        "pin": "the middle of the cable's end",
        "stop": "where the wire leaves its stop on the casing",
    },
}
_SAID = {
    "nipple_radius": "pivot to nipple",
    "radius": "shaft to cable end",
    "stop_distance": "pivot to cable stop",
    "arm.stop_distance": "shaft to cable stop",
    "lever.rest_length": "nipple to stop",
    "rest_length": "cable end to stop",
    "hand_radius": "pivot to hand",
}


def note(photo: str) -> str:
    """Return the comment above the points of a geometry file."""
    return f"{NOTED} {photo}: mm, y upwards"


def prompt(part: str, names: Sequence[str], clicked: int) -> tuple[str, str]:
    """Return what the window asks for next, and a line below it."""
    name = names[clicked % len(names)]
    what = (_SIZE_PROMPTS | _PROMPTS[part])[name]
    round_ = clicked // len(names) + 1
    head = f"Click {what}  ({name}, {clicked % len(names) + 1} of {len(names)})"
    if round_ == 1:
        return head, "Go near with the wheel before you click: a pixel off here is a pixel wrong."
    line = "All marked. Enter finishes; or mark each once more, which tells how well you hit them."
    if round_ > 2 or clicked % len(names):
        line = f"Round {round_}: Enter finishes whenever you like."
    return head, line


def still_to_mark(names: Sequence[str]) -> str:
    """Return what is not marked yet."""
    return f"Still to mark: {', '.join(names)}."


def _distance_lines(traced: Traced, show: Shown) -> list[str]:
    """Return the answer: what a calliper would measure."""
    said = [
        f"{_SAID.get(f'{traced.part}.{key}', _SAID[key])} {show.length(each)}"
        for key, each in traced.distances_mm.items()
    ]
    return headline(f"The {traced.part} by the photograph: {', '.join(said)}.") + wrapped(
        "Check one of them with a calliper before you believe the others."
    )


def _point_lines(traced: Traced, show: Shown) -> list[str]:
    unit = show.unit("length")
    rows = [["Point", f"x {unit}", f"y {unit}", f"± {unit}", "marked"]]
    for name, (x, y) in traced.points_mm.items():
        half = traced.plus_minus_mm[name]
        cells = [show.bare(x), show.bare(y), show.bare(half)]
        rows.append([f"  {name}", *cells, _times(traced.marks.count(name))])
    frame = "x to the right, y upwards, as in the picture"
    if traced.by == "rectangle":
        frame = "x and y along the rectangle's edges, to the right and upwards as in the picture"
    pixel = shown(traced.scale_mm_per_px, "length", show.units, show.fine + 2)
    return columns(rows) + wrapped(
        f"Frame: the pivot's mark is 0, 0; {frame}. A pixel there is {pixel} wide."
    )


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")


def _how_sure_lines(traced: Traced, show: Shown) -> list[str]:
    """Return where the ± come from."""
    deviation, freedom = traced.marks.spread()
    if freedom:
        text = (
            f"±, 19 times in 20: one mark scatters by {fixed(deviation, 1)} pixels (standard "
            "deviation of the marks set more than once), with the pixel's own size and what is not "
            "known of the scale."
        )
    else:
        text = (
            "±, 19 times in 20: every point is marked once, so each is taken to be out by a pixel "
            "at most (common practice, no source), with what that does to the scale. Mark each "
            "three times and the ± is yours, not a guess."
        )
    return wrapped(text)


def _span_mm(traced: Traced) -> float:
    """Return how far the middle of the part's points lies from the middle of the rule [mm]."""
    ends = [traced.mapping.to_mm(traced.marks.mean(name)) for name in ("scale_1", "scale_2")]
    points = list(traced.points_mm.values())
    away = [
        sum(p[k] for p in points) / len(points) - sum(float(e[k]) for e in ends) / 2 for k in (0, 1)
    ]
    return float((away[0] ** 2 + away[1] ** 2) ** 0.5)


def _camera_lines(traced: Traced, show: Shown) -> list[str]:
    """Return what the ± leaves out: a known size out of the part's plane, a tilted camera."""
    longest, what = traced.reach_mm, "rule" if traced.by == "length" else "rectangle"
    share = out_of_plane_share(_OFF_MM, _CAMERA_MM)
    far = _round(_CAMERA_MM, show)
    lines = wrapped(
        f"  Depth: a {what} that lies nearer to the camera than the part makes every length too "
        "short, one that lies farther too long, by the share ΔZ/Z: how much nearer, over how far "
        f"away the camera is. {_round(_OFF_MM, show)} nearer, seen from {far}: {_percent(share)}, "
        f"{show.length(share * longest)} on the longest length here, {_round(longest, show)}.",
        indent="  ",
    )
    if traced.by == "rectangle":
        return ["Not in the ±", *lines, "  Tilt: taken out by the four corners."]
    short, across = tilt_shares(_TILT_DEG, span := _span_mm(traced), _CAMERA_MM)
    lines += wrapped(
        f"  Tilt: a camera that looks {_TILT_DEG:.0f} deg askew shows lengths along the tilt too "
        f"short by one less the cosine: {_percent(short)}, {show.length(short * longest)} on the "
        f"longest. And the middle of the part, {_round(span, show)} from that of the rule, may "
        f"then stand nearer or farther by the sine: up to {_percent(across)} more, from {far}. "
        "Four corners of a card or a sheet of paper in place of the rule (--rectangle) take both "
        "out.",
        indent="  ",
    )
    return ["Not in the ±", *lines]


def not_in_plus_minus(traced: Traced) -> dict[str, Any]:
    """Return what the ± leaves out as data: the case worked out, and what it does."""
    share, longest = out_of_plane_share(_OFF_MM, _CAMERA_MM), traced.reach_mm
    found: dict[str, Any] = {
        "depth": {
            "off_mm": _OFF_MM,
            "camera_mm": _CAMERA_MM,
            "share": share,
            "on_longest_mm": share * longest,
        },
        "tilt": None,
    }
    if traced.by == "length":
        span = _span_mm(traced)
        short, across = tilt_shares(_TILT_DEG, span, _CAMERA_MM)
        found["tilt"] = {
            "tilt_deg": _TILT_DEG,
            "camera_mm": _CAMERA_MM,
            "span_mm": span,
            "foreshortened_share": short,
            "perspective_share": across,
            "on_longest_mm": short * longest,
        }
    return found


def _round(value_mm: float, show: Shown) -> str:
    return shown(value_mm, "length", show.units, 0 if show.units == "metric" else 1)


def _percent(share: float) -> str:
    return f"{fixed(100 * share, 1 if share >= 0.0095 else 2)}\u00a0%"


_APART_TIMES = 3.0
"""How many times its ± a set of points may lie from the file's own before it is said; common
practice, no source."""


def _laid_lines(traced: Traced, laid: Laid, into: str, show: Shown) -> list[str]:
    """Return how the points were moved into the frame of a file's shapes, and whether they fit."""
    mirrored = ", mirrored," if laid.mirrored else ""
    text = (
        f"{into} has shapes in a frame of its own: the points above are turned by "
        f"{fixed(laid.turned_deg, 1)} deg{mirrored} into it. Pivot, pin and stop then lie within "
        f"{show.length(laid.apart_mm)} of where the file had them."
    )
    if laid.apart_mm > _APART_TIMES * traced.largest_plus_minus_mm:
        text += (
            " CAUTION: that is more than the ± of the points: the shapes may not fit them any "
            "more. Measure both again."
        )
    return wrapped(text)


def _saved_lines(traced: Traced, saved: Saved, into: str, show: Shown) -> list[str]:
    """Return what was written into a file, what gave way there, and whether the two agree."""
    lines = wrapped(f"Written into {into}: {traced.part}.points, each with its ±.")
    if saved.replaced:
        names = [f"{k} = {_given(v)}" for k, v in saved.replaced.items()]
        kept = [k for k in saved.replaced if k not in saved.keys]
        comment = " It stays in the file as a comment." if kept else ""
        lines += wrapped(f"Replaced there: {'; '.join(names)}.{comment}")
    for key, value in saved.replaced.items():
        new = traced.distances_mm.get(key.partition(".")[2])
        if new is None or not key.startswith(f"{traced.part}."):
            continue
        lines += _disagreement(key, value, new, show)
    return lines


def _given(value: Any) -> str:
    return f"[{', '.join(map(str, value))}]" if isinstance(value, list) else str(value)


def _disagreement(key: str, value: Any, new: Measured, show: Shown) -> list[str]:
    """Return a line where a distance of the file and the photograph differ by more than their ±."""
    try:
        old = read(value, "length")
    except QuantityError:
        return []
    width = old.half_width if isinstance(old, Measured) else 0.0
    if abs(old - new) <= (width**2 + new.half_width**2) ** 0.5:
        return []
    return wrapped(
        f"  {key}: {show.length(old)} in the file before, {show.length(new)} by the photograph: "
        "more apart than their ±. One of the two is wrong; look at depth and tilt, and measure it "
        "again.",
        indent="  ",
    )


def _paste_lines(traced: Traced) -> list[str]:
    """Return the points as the lines of a geometry file."""
    lines = [f"[{traced.part}]"]
    for key, texts in traced.keys().items():
        quoted = ", ".join(f'"{text}"' for text in texts)
        lines.append(f"{key.partition('.')[2]} = [{quoted}]")
    return ["For the geometry file (--into FILE.toml writes it there):", *lines]


def trace_page(
    traced: Traced,
    units: str,
    *,
    into: str | None = None,
    saved: Saved | None = None,
    laid: Laid | None = None,
    unsaved: bool = False,
) -> list[str]:
    """Return the whole page.

    Parameters
    ----------
    traced : Traced
    units : {"metric", "inch"}
    into : str, optional
        The geometry file, as a next command takes it.
    saved : Saved, optional
        What was written into the geometry file.
    laid : Laid, optional
        How the points were moved into the frame of the file's shapes.
    unsaved : bool
        Whether the marks were clicked and stand in no file.
    """
    show = Shown(units)
    kept = traced.marks.to_csv().strip().split("\n") if unsaved else []
    if kept:
        kept.insert(0, "Your marks, to be kept as marks.csv (--save-marks marks.csv writes it):")
    file = into or "FILE.toml"
    following = (
        f"Next: `liftgeo draw {file} --over PHOTO --marks marks.csv --figure over.png` lays the "
        f"drawing over the photograph; `liftgeo check {file}` reads the file back."
    )
    return page(
        _distance_lines(traced, show),
        _point_lines(traced, show),
        _how_sure_lines(traced, show),
        _camera_lines(traced, show),
        _laid_lines(traced, laid, into or "", show) if laid else [],
        _saved_lines(traced, saved, into or "", show) if saved else _paste_lines(traced),
        kept,
        wrapped(following) + wrapped(WORK_SAFELY_IN_BRIEF),
    )
