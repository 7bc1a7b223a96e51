"""On what terms a change is to be had: what it costs, and which other changes it needs or excludes.

They are keys of a change that are not keys of the mechanism.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from liftgeo.errors import Fault, nearest
from liftgeo.mechanism.change_keys import AMOUNTS, NAMES
from liftgeo.mechanism.reading import value_text


@dataclass(frozen=True)
class Terms:
    """What a change costs, and which other changes it needs or excludes.

    Attributes
    ----------
    cost, hours : float or None
        Money, and hours of work; None where the file does not say.
    needs, excludes : tuple of str
        Names of changes.
    """

    cost: float | None = None
    hours: float | None = None
    needs: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()


NO_TERMS = Terms()


def read_terms(name: str, body: Mapping[str, Any]) -> tuple[Terms, list[Fault]]:
    """Return the terms of a change, and what is wrong with them on their own."""
    faults: list[Fault] = []
    amounts = {term: _amount(name, term, body.get(term, ""), faults) for term in AMOUNTS}
    names = {term: _names(name, term, body.get(term, []), faults) for term in NAMES}
    return Terms(amounts["cost"], amounts["hours"], names["needs"], names["excludes"]), faults


def _amount(name: str, term: str, value: object, faults: list[Fault]) -> float | None:
    if value == "":
        return None
    key, text = f"changes.{name}.{term}", value_text(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        problem = f"Not a plain number: {AMOUNTS[term]}."
        faults.append(Fault(key, text, problem, f"Write {term} = 3, without a unit or quotes."))
        return None
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not 0 <= number < 1e12:
        problem = "Must be 0 or more, and a number that can be counted."
        faults.append(Fault(key, text, problem, f"It is {AMOUNTS[term]}."))
        return None
    return number


def _names(name: str, term: str, value: object, faults: list[Fault]) -> tuple[str, ...]:
    if value == "":
        return ()
    if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
        problem = f"Not a list of names: {NAMES[term]}."
        remedy = f'Write {term} = ["NAME"], each a name of [changes.NAME].'
        faults.append(Fault(f"changes.{name}.{term}", value_text(value), problem, remedy))
        return ()
    return tuple(dict.fromkeys(item for item in value if item))


def terms_between(terms: Mapping[str, Terms]) -> list[Fault]:
    """Return what is wrong between the terms of a file's changes: unknown names, circles, clashes.

    Parameters
    ----------
    terms : mapping
        Name of each change to its terms.
    """
    faults: list[Fault] = []
    for name, own in terms.items():
        for term, others in (("needs", own.needs), ("excludes", own.excludes)):
            key = f"changes.{name}.{term}"
            for other in others:
                if other == name:
                    remedy = f'Take "{other}" out.'
                    faults.append(
                        Fault(key, other, f"A change {term} another, not itself.", remedy)
                    )
                elif other not in terms:
                    near = nearest(other, terms)
                    remedy = f'Did you mean "{near}"?' if near else f"Add [changes.{other}]."
                    faults.append(Fault(key, other, "No change has this name.", remedy))
        for other in own.needs:
            if other in own.excludes or name in terms.get(other, NO_TERMS).excludes:
                problem = "It is needed and excluded at once, so neither can be made."
                faults.append(Fault(f"changes.{name}.needs", other, problem, "Keep one of them."))
    return faults + _circles(terms)


def _circles(terms: Mapping[str, Terms]) -> list[Fault]:
    """Return a fault for every circle of needs, at the first of its changes."""
    faults: list[Fault] = []
    told: set[str] = set()
    for name in terms:
        path = _way_back(name, terms)
        if path and not told & set(path):
            told |= set(path)
            words = " needs ".join([*path, path[0]])
            remedy = "Changes that are only made together are one change: join their keys."
            key = f"changes.{name}.needs"
            faults.append(Fault(key, words, "These need each other in a circle.", remedy))
    return faults


def _way_back(start: str, terms: Mapping[str, Terms]) -> list[str]:
    """Return the changes of a circle of needs through one of them; none where there is none."""
    open_paths = [[start]]
    seen = {start}
    while open_paths:
        path = open_paths.pop()
        for other in terms[path[-1]].needs:
            if other == start and len(path) > 1:
                return path
            if other in terms and other not in seen:
                seen.add(other)
                open_paths.append([*path, other])
    return []
