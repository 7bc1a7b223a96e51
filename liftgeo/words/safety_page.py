"""The page of the cautions in full."""

from __future__ import annotations

from liftgeo.safety import CAUTIONS
from liftgeo.words.lines import headline, page, wrapped


def safety_page() -> list[str]:
    """Return the whole page."""
    return page(
        headline("Work safely: what a clutch on the bench and on the road can do to you."),
        *(
            [title, *wrapped(f"  {text}", indent="  "), *wrapped(f"  [{source}]", indent="  ")]
            for title, text, source in CAUTIONS
        ),
    )
