"""Changes to paste into a file that has none: TOML as it is written, with what each does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from liftgeo.mechanism.key_facts import dimension_of
from liftgeo.quantities import DIMENSIONS
from liftgeo.words.commands import file_alone, in_inch_units
from liftgeo.words.lines import wrapped
from liftgeo.words.numbers import Shown, force_text, lift_text

if TYPE_CHECKING:
    from liftgeo.studies.offers import Offer


def _signed(text: str) -> str:
    return text if text.startswith("−") else f"+{text}"


def gain_words(offer: Offer, units: str) -> str:
    """Return what a change does: to clearance per face, effort and, where it does, the grip."""
    text = f"{_signed(lift_text(offer.clearance_gain_mm, units))} on each face, "
    text += f"{_signed(force_text(offer.hand_force_change_n, units))} at the hand"
    if abs(offer.slip_margin_change) >= 0.005:  # NaN is no change
        text += f", slip margin {offer.slip_margin_change:+.2f}"
    return text


def _typed(key: str, value: float, kind: str, units: str) -> str:
    """Return a value as it is typed into a file: a bare number, or text with its inch unit."""
    dimension = dimension_of(key, kind)
    if units == "metric" or DIMENSIONS[dimension].inch_factor == 1.0:
        return f"{value:.6g}"
    return f'"{in_inch_units(value, dimension)}"'


def toml_lines(offer: Offer, units: str) -> list[str]:
    """Return a change as it is written into a file, its lengths in the units of the page."""
    lines = [f"[changes.{offer.name}]", f'note = "{offer.note}"']
    lines.append(f"# {gain_words(offer, units)}")
    for key, value in offer.keys.items():
        now, kind = offer.before.get(key), offer.kinds.get(key.split(".")[0], "")
        beside = "" if now is None else f"   # now {_typed(key, now, kind, units)}"
        lines.append(f"{key} = {_typed(key, value, kind, units)}{beside.replace(chr(34), '')}")
    return lines


def offer_lines(offers: Sequence[Offer], show: Shown, name: str) -> list[str]:
    """Return changes to paste, and what to do then; nothing where none is offered."""
    if not offers:
        return []
    count = "This change brings" if len(offers) == 1 else f"These {len(offers)} changes bring"
    lines = wrapped(
        f"{count} it nearer, each alone, worked out for this machine. Paste what you can make at "
        f"the end of {file_alone(name)}, correct the numbers, then `liftgeo compare {name}`:"
    )
    for offer in offers:
        lines += ["", *toml_lines(offer, show.units)]
    return lines
