"""The templates that pages share, and how they are filled."""

from __future__ import annotations

from functools import cache

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined


@cache
def environment(package: str, *, html: bool) -> Environment:
    """Return what fills the templates of a package; those shared are found too.

    Parameters
    ----------
    package : str
        The package whose folder `templates` holds them.
    html : bool
        Whether every value is escaped for HTML.
    """
    return Environment(
        loader=ChoiceLoader([PackageLoader(package), PackageLoader("liftgeo.web")]),
        autoescape=html,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
