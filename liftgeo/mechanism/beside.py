"""What a file may hold beside its tables and changes; what reads it is loaded where it is there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from liftgeo.errors import Fault
from liftgeo.mechanism.laying import Flat
from liftgeo.mechanism.settings import Settings

if TYPE_CHECKING:
    from liftgeo.mechanism.bench import Reading


def from_the_bench(
    document: Mapping[str, Any], base: Flat, settings: Settings
) -> tuple[tuple[Reading, ...], str, Flat, list[Fault]]:
    """Return readings, the name of their file, the key one of them gives, and the faults."""
    if "bench" not in document:
        return (), "", {}, []
    from liftgeo.mechanism.bench import play_of, read_bench

    bench, faults = read_bench(document["bench"])
    if faults:
        return (), "", {}, faults
    play = play_of(bench, base, settings.left_out)
    return bench.readings(bool(play)), bench.file, play, []


def goals_of(document: Mapping[str, Any], base: Flat) -> tuple[Mapping[str, float], list[Fault]]:
    """Return the file's own targets of remedies, and the faults."""
    if "remedies" not in document:
        return {}, []
    from liftgeo.mechanism.remedy_goals import read_goals

    return read_goals(document["remedies"], base)
