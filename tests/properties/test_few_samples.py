"""The search that a few samples settle says what the dense one says, and neither misses a peak.

`chain.stop` settles most strokes by a dozen samples, whose slopes show that nothing is hidden
between them, and searches the others over the whole stroke.
"""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from mechanisms import SMOOTH, documents, mechanisms, read

from liftgeo.chain import position
from liftgeo.chain.stop import _by_few_samples, _searched, is_smooth
from liftgeo.outcome.outcome import analysed

# How far the hand would go: as drawn, or on to a dead centre or another stop.
FAR = st.sampled_from([None, None, 60.0, 120.0, 300.0])
SAME = ("limit", "at", "peak_at", "peak_n", "jumps_from", "jumps_to", "folds")


def pulled_further(document, far):
    """Return the mechanism of a document whose hand may go so far [mm]."""
    if far is not None:
        document["lever"]["hand_travel"] = far
        document["release"].pop("max_rotation", None)
    return read(document)


@settings(max_examples=150, derandomize=True)
@given(documents(**SMOOTH), FAR, st.sampled_from([None, 0.0, 0.05, 0.3]))
def test_few_samples_say_what_the_dense_search_says(document, far, rubbing):
    if rubbing is not None:
        document["spring"]["friction"] = rubbing
    parts = pulled_further(document, far).parts()
    assert is_smooth(parts)
    with np.errstate(all="ignore"):
        few, good = _by_few_samples(parts, ())
        assume(bool(good))
        dense = _searched(parts, ())
    for name in SAME:
        found, wanted = (np.asarray(getattr(each, name), float) for each in (few, dense))
        assert np.shape(found) == np.shape(wanted), name
        assert np.all(np.abs(found - wanted) <= 1e-9 * np.maximum(1.0, np.abs(wanted))), name


def test_few_samples_settle_every_other_stroke_drawn():
    settled = []

    @settings(max_examples=60, derandomize=True, database=None)
    @given(documents(**SMOOTH))
    def look(document):
        with np.errstate(all="ignore"):
            settled.append(bool(_by_few_samples(read(document).parts(), ())[1]))

    look()
    assert np.mean(settled) > 0.4


@settings(max_examples=120, derandomize=True)
@given(documents(), FAR)
def test_no_place_of_the_stroke_is_heavier_than_its_peak(document, far):
    """Against 20,001 places, those of a jump left out."""
    outcome = analysed(pulled_further(document, far))
    end = outcome.end
    with np.errstate(all="ignore"):
        at = np.linspace(0.0, float(end.at), 20001)
        force = np.broadcast_to(position(outcome.parts, at).hand_force_n, at.shape)
    outside = np.ones(len(at), bool)
    for start, landed in zip(end.jumps_from, end.jumps_to, strict=True):
        outside &= (at <= float(start)) | (at >= float(landed))
    assert float(end.peak_n) >= np.nanmax(force[outside]) * (1 - 1e-9)


@settings(max_examples=25, derandomize=True)
@given(mechanisms())
def test_the_peak_is_the_force_of_a_place_of_the_stroke(mechanism):
    outcome = analysed(mechanism)
    end = outcome.end
    with np.errstate(all="ignore"):
        there = float(position(outcome.parts, end.peak_at).hand_force_n)
    assert abs(there - float(end.peak_n)) <= 1e-12 * float(end.peak_n)
