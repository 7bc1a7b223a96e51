"""What the views of a drawing are called below them, and how each is to be read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from liftgeo.words.drawing import VIEW_WORDS

if TYPE_CHECKING:
    from liftgeo.outline.shapes import View


def view_name(view: View, magnified: float) -> str:
    """Return the name of a view, and how it is to be read where it is no plain view."""
    name = VIEW_WORDS[view.name]
    if view.how == "developed":
        return f"{name}, laid out flat"
    if view.how == "readings":
        return f"{name}, as its readings tell"
    if view.how == "magnified" and magnified > 1:
        return f"{name}, gaps drawn {magnified:g} times wider"
    return name
