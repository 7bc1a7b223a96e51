"""What the page's server takes for its first answer to a slider, beside one stroke, in one run.

The stroke that it is held against is `whole_stroke`: everything that `liftgeo.stroke` finds, all of
it read, of a mechanism in memory. (The call alone returns before its rows, warnings and
other blocks are worked out, which the page shows.) The answer is all that the server does for it:
the typed text read, the file laid under it, stroke, drawing, and JSON.

Processor time, so that a busy machine changes both sides alike. The ratio is printed, and meant to
stay at five at most; what is asserted is a limit so wide that it holds on any machine.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import count

import pytest
from clutches import BASE_FILE
from scenarios import whole_stroke
from test_speed_known import quickest

from liftgeo.live.answers import first_look
from liftgeo.live.desk import Desk

pytestmark = pytest.mark.benchmark


def test_the_first_answer_to_a_slider_costs_a_few_strokes(
    record_property: Callable[[str, object], None], capsys: pytest.CaptureFixture[str]
) -> None:
    desk, steps = Desk(BASE_FILE), count()
    mark, mechanism = desk.read()

    def answer() -> str:
        tried = desk.tried(mark, {"arm.radius": f"{37 + 0.01 * next(steps):.2f}"})
        found = first_look(tried, "metric", 0.6, desk.stock(mark))
        scene = found.pop("scene")
        return json.dumps(found | {"stand": scene.stand()})

    single = quickest(lambda: whole_stroke(mechanism), 15)
    found = quickest(answer, 15)
    record_property("answer_over_stroke", found / single)
    with capsys.disabled():
        print(f"\nfirst answer of the page: {found / single:.1f} strokes, {1000 * found:.0f} ms")
    assert found < 15 * single
