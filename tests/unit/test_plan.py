"""The cheapest set of changes, against every set laid out and compared one by one."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from clutches import COSTS, changeable, priced

import liftgeo
from liftgeo.mechanism import Mechanism
from liftgeo.outcome.known import known
from liftgeo.studies.change_sets import ChangeSets
from liftgeo.studies.compare import COMBINE, compare, dangers_of
from liftgeo.studies.plan import plan
from liftgeo.studies.plan_front import undominated
from liftgeo.studies.sets import exclude_each_other


def every_set(mechanism: Mechanism) -> list[tuple[str, ...]]:
    """Return every set that can be made, found by plain looking."""
    changes = mechanism.changes
    names = list(changes)
    found = []
    apart = {
        pair
        for pair in itertools.combinations(names, 2)
        if exclude_each_other(changes[pair[0]], changes[pair[1]])
    }
    for size in range(len(names) + 1):
        for these in itertools.combinations(names, size):
            if apart.intersection(itertools.combinations(these, 2)):
                continue
            if all(set(changes[name].terms.needs) <= set(these) for name in these):
                found.append(these)
    return found


def worked_out_alone(mechanism: Mechanism) -> dict[tuple[str, ...], liftgeo.Result]:
    """Return the result of every set, each by `compare`."""
    sets = every_set(mechanism)
    found = compare(mechanism, [COMBINE.join(names) for names in sets if names])
    return {(): found.base.result} | {v.names: v.result for v in found.variants}


def cost_in(mechanism: Mechanism) -> Callable[[tuple[str, ...]], float]:
    """Return what a set costs."""
    return lambda names: math.fsum(mechanism.changes[n].terms.cost or 0.0 for n in names)


# --- what sets come to ---


AWKWARD: dict[str, dict[str, Any]] = {
    # keys that are new, that stand for others, that are words or lists, and that others follow
    "drum": {"cost": 5, "lever": {"kind": "drum", "drum_radius": 27.0}},
    "wire": {"cost": 4, "cable": {"wire": {
        "construction": "7x19", "material": "stainless", "diameter": 2.4, "length": 900.0}}},
    "held": {"cost": 3, "release": {"balls": "held"}},
    "no-drag": {"cost": 2, "cable": {"drag": "none"}},
    "stop": {"cost": 1, "release": {"max_rotation": 25.0}},
    "far": {"cost": 6, "release": {"far_ramp_angle": "12 deg"}},
    "ramp": {"cost": 6, "release": {"ramp_angle": "15 ± 0.5 deg"}},
    "fingers": {"cost": 9, "rod": {"finger_ratio": 1.2}},
    "seating": {"cost": 1, "cable": {"seating": 0.1}},
}  # fmt: skip


def base_without(*keys: str) -> Mechanism:
    """Return the base clutch with the awkward changes alone, some keys of it left out."""
    tables: dict[str, Any] = {"left_out": "usual"} if keys else {}
    for key in keys:
        table, name = key.split(".")
        tables.setdefault(table, {})[name] = None
    return changeable(changes=dict.fromkeys(changeable().changes) | AWKWARD, **tables)


@pytest.mark.parametrize("left_out", [(), ("rod.stiffness", "cable.friction", "rod.end_float")])
def test_many_sets_at_once_equal_each_alone(left_out: tuple[str, ...]) -> None:
    mechanism = base_without(*left_out)
    sets = ChangeSets(mechanism, tuple(mechanism.changes), ("hand_force_n", "axial_load_n"))
    every = [these for these in range(2 ** len(sets.names)) if sets.can_be_made(these)]
    assert {sets.members(these) for these in every} == set(every_set(mechanism))
    table = sets.worked_out(every)
    some = np.random.default_rng(2).choice(len(every), 60, replace=False)
    for row, these in [(int(k), every[k]) for k in some]:
        alone = mechanism.changed(*sets.members(these)) if these else mechanism
        result = liftgeo.stroke(alone)
        assert table.verdict(row) == result.verdict
        assert set(table.stop_names(row)) == {
            w.key for w in result.warnings if w.severity == "stop"
        }
        for name, value in (
            ("clearance_per_face_mm", result.full_lever.clearance_per_face_mm),
            ("peak_hand_force_n", result.peak.hand_force_n),
            ("hand_force_n", result.full_lever.hand_force_n),
            ("axial_load_n", result.bearing.axial_load_n),
            ("slip_margin", result.capacity.slip_margin),
        ):
            assert table.values[name][row] == pytest.approx(value, rel=1e-9, abs=1e-9), (name, row)


def test_a_set_that_cannot_be_built_drops_out_alone() -> None:
    mechanism = priced(
        {"less-play": 1, "better-cable": 2}, far={"cost": 1, "arm": {"rest_length": 400.0}}
    )
    found = plan(mechanism, ["clearance>=0"])
    assert (found.evaluated, found.dropped) == (8, 4)
    assert all("far" not in bundle.changes for bundle in found.front)


# --- the choice ---


WANTS = [
    ["clearance>=0.02"],
    ["clearance>=0.05", "hand_force<=150"],
    ["clearance>=0.0", "peak_hand_force<=115", "slip_margin>=1.2"],
    ["separation>=0.9"],
    ["peak_hand_force<=100"],
]


@pytest.mark.parametrize("want", WANTS, ids=" ".join)
def test_the_choice_is_that_of_comparing_every_set(want: list[str]) -> None:
    mechanism = priced()
    alone, cost = worked_out_alone(mechanism), cost_in(mechanism)
    found = plan(mechanism, want)
    assert found.evaluated == len(alone)
    limits = {w.measure: w for w in found.wants}
    base = {w for w in dangers_of(alone[()]) if w not in ("slips", "no-release")}

    def good(result: liftgeo.Result) -> bool:
        values = {
            "clearance": result.full_lever.clearance_per_face_mm,
            "separation": result.full_lever.separation_mm,
            "peak_hand_force": result.peak.hand_force_n,
            "hand_force": result.full_lever.hand_force_n,
            "slip_margin": result.capacity.slip_margin,
        }
        reached = all(want.margin(values[name]) >= -1e-9 for name, want in limits.items())
        return reached and not set(dangers_of(result)) - base

    reaching = [names for names, result in alone.items() if good(result)]
    if not reaching:
        assert found.chosen is None
        assert found.nearest is not None
        return
    best = min(reaching, key=lambda names: (cost(names), round(alone[names].peak.hand_force_n, 9)))
    assert found.chosen is not None
    assert found.chosen.cost == pytest.approx(cost(best))
    assert found.chosen.peak_hand_force_n == pytest.approx(alone[best].peak.hand_force_n)
    assert found.chosen.changes == best
    assert found.complete
    assert found.gap == 0


def test_the_front_is_that_of_comparing_every_set() -> None:
    mechanism = priced()
    alone, cost = worked_out_alone(mechanism), cost_in(mechanism)
    base = set(dangers_of(alone[()]))
    usable = {n: r for n, r in alone.items() if not set(dangers_of(r)) - base}
    points = {
        names: (cost(names), -r.full_lever.clearance_per_face_mm, r.peak.hand_force_n)
        for names, r in usable.items()
    }

    def beaten(names: tuple[str, ...]) -> bool:
        own = np.array(points[names])
        return any(
            (np.array(p) <= own + 1e-9).all() and (np.array(p) < own - 1e-9).any()
            for p in points.values()
        )

    expected = {names for names in points if not beaten(names)}
    found = plan(mechanism, ["clearance>=0.02"]).front
    assert {bundle.changes for bundle in found} == expected
    assert [b.cost for b in found] == sorted(b.cost for b in found)


def test_frees_is_judged_by_the_samples_of_known() -> None:
    unknown = {"faces": {"plate_runout": "0.10 to 0.30 mm"}, "cable": {"free_play": "2 ± 0.5 mm"}}
    mechanism = priced(tables=unknown)
    found = plan(mechanism, ["frees>=0.8"])
    assert found.chosen is not None
    for bundle in found.front:
        made = mechanism.changed(*bundle.changes) if bundle.changes else mechanism
        its = known(made)
        assert its is not None
        assert bundle.frees is None or bundle.frees == its.frees
        assert bundle.reaches == (its.frees >= 0.8)
    reaching = [b for b in found.front if b.reaches]
    least = min(b.cost for b in reaching)
    lightest = min(b.peak_hand_force_n for b in reaching if b.cost == least)
    assert (found.chosen.cost, found.chosen.peak_hand_force_n) == (least, lightest)


def test_of_equal_cost_the_lightest_is_chosen_then_the_clearest_then_the_smallest() -> None:
    mechanism = priced(
        {},
        heavy={"cost": 10, "release": {"ramp_angle": 17.0}},
        light={"cost": 10, "cable": {"free_play": 0.5, "friction": 0.05}},
        idle={"cost": 0, "cable": {"bend": 0.0, "friction": 0.0, "drag": 0.0}, "needs": ["heavy"]},
        nothing={"cost": 0, "engine": {"torque": 25.0}},
    )
    found = plan(mechanism, ["clearance>=-0.1"])
    assert found.chosen is not None
    good = [b for b in (found.chosen, *found.front) if b.clearance_per_face_mm >= -0.1]
    least = min(b.cost for b in good)
    assert found.chosen.peak_hand_force_n == min(
        b.peak_hand_force_n for b in good if b.cost == least
    )
    assert "nothing" not in found.chosen.changes


def test_needs_and_excludes_are_kept_to() -> None:
    mechanism = priced(
        COSTS | {"better-cable": 4},
        liner={"cost": 1, "cable": {"seating": 0.05}, "needs": ["better-cable"]},
        oil={"cost": 1, "cable": {"drag": 0.0}, "excludes": ["better-cable"]},
    )
    found = plan(mechanism, ["clearance>=0.02"])
    assert found.evaluated == len(every_set(mechanism))
    for bundle in found.front:
        names = set(bundle.changes)
        assert "liner" not in names or "better-cable" in names
        assert not {"oil", "better-cable"} <= names
        assert not {"longer-arm", "shorter-arm"} <= names


def test_what_slips_or_does_not_release_is_never_chosen_and_is_said() -> None:
    mechanism = priced(
        {"less-play": 30},
        weak={"cost": 1, "faces": {"friction": 0.04, "basket_runout": 0.0, "plate_runout": 0.0}},
    )
    assert liftgeo.stroke(mechanism.changed("weak")).verdict == "slips"
    found = plan(mechanism, ["clearance>=0.0"])
    assert found.chosen is None or "weak" not in found.chosen.changes
    assert found.passed_over is not None
    assert found.passed_over.bundle.changes == ("weak",)
    assert found.passed_over.why[0] == "slips"
    assert all("weak" not in b.changes for b in (*found.front, *found.rungs))


def test_nothing_is_bought_where_it_reaches_already() -> None:
    found = plan(priced(), ["clearance>=-5"], budget=0)
    assert found.chosen is not None
    assert found.chosen.cost == 0


def test_the_nearest_takes_no_grip_where_another_does_not() -> None:
    """As the nearest of a comparison: what weakens a clutch below its target comes last."""
    mechanism = priced(
        {"less-play": 5},
        {"engine": {"torque": 80.0}},
        weak={"cost": 1, "faces": {"friction": 0.27, "plate_runout": 0.0, "basket_runout": 0.0}},
    )
    margin = liftgeo.stroke(mechanism).capacity.slip_margin
    assert 1.0 < liftgeo.stroke(mechanism.changed("weak")).capacity.slip_margin < margin < 1.4
    found = plan(mechanism, ["clearance>=0.9"])
    assert found.nearest is not None
    assert found.nearest.changes == ("less-play",)


def test_hours_count_at_the_hourly_rate() -> None:
    mechanism = priced(
        {}, slow={"cost": 1, "hours": 10, "cable": {"free_play": 0.5}},
        dear={"cost": 30, "hours": 1, "cable": {"free_play": 0.5}},
    )  # fmt: skip
    want = [f"clearance>={liftgeo.stroke(mechanism).full_lever.clearance_per_face_mm + 0.01}"]
    plain, paid = plan(mechanism, want), plan(mechanism, want, hourly_rate=20)
    assert plain.chosen is not None
    assert paid.chosen is not None
    assert (plain.chosen.changes, plain.chosen.cost) == (("slow",), 1.0)
    assert (paid.chosen.changes, paid.chosen.cost, paid.chosen.hours) == (("dear",), 50.0, 1.0)


def test_a_budget_leaves_out_what_costs_more() -> None:
    mechanism = priced()
    free = plan(mechanism, ["clearance>=0.9"])
    tight = plan(mechanism, ["clearance>=0.9"], budget=45)
    assert free.nearest is not None
    assert tight.nearest is not None
    assert tight.nearest.cost <= 45 < free.nearest.cost
    assert max(b.cost for b in tight.front) <= 45
    assert tight.missed[0].value == pytest.approx(tight.nearest.clearance_per_face_mm)
    assert tight.unworthy == free.unworthy


def test_the_order_to_buy_in_ends_with_the_set_and_keeps_to_needs() -> None:
    mechanism = priced(
        COSTS | {"better-cable": 4},
        liner={"cost": 0, "cable": {"seating": 0.0}, "needs": ["better-cable"]},
    )
    found = plan(mechanism, ["clearance>=0.9"])
    assert found.nearest is not None
    assert found.steps[-1] == found.nearest
    for before, after in itertools.pairwise(found.steps):
        assert set(before.changes) < set(after.changes)
    allowed = set(every_set(mechanism))
    assert all(step.changes in allowed for step in found.steps)


def test_what_is_not_worth_its_money_is_told() -> None:
    mechanism = priced(
        {"less-play": 5},
        idle={"cost": 20, "engine": {"torque": 26.0}},
        faint={"cost": 1, "cable": {"bend": 149.9}},
        stuck={"cost": 3, "cable": {"drag": 0.5}, "needs": ["less-play", "more-play"]},
        **{"more-play": {"cost": 1, "cable": {"free_play": 3.0}}},
    )
    told = {item.change: item.why for item in plan(mechanism, ["clearance>=0"]).unworthy}
    assert told["idle"] == "not-on-the-front"
    assert told["faint"] == "adds-little"
    assert told["stuck"] == "cannot-be-made"
    assert "less-play" not in told


# --- more changes than can all be looked at ---


def twelve() -> Mechanism:
    """Return the base clutch with twelve changes, two of which exclude each other."""
    return priced(
        COSTS,
        oil={"cost": 2, "cable": {"drag": 0.0}},
        light={"cost": 3.5, "arm": {"return_torque": 0.1}},
        blade={"cost": 22, "lever": {"hand_radius": 90.0}},
        mount={"cost": 12, "rod": {"end_float": 0.06}},
    )


@pytest.mark.parametrize("want", [["clearance>=0.06"], ["clearance>=0.02", "hand_force<=110"]])
def test_branch_and_bound_equals_looking_at_all(want: list[str]) -> None:
    mechanism = twelve()
    assert len(mechanism.changes) == 12
    whole = plan(mechanism, want)
    bounded = plan(mechanism, want, exact_up_to=0)
    assert (bounded.chosen, bounded.nearest) == (whole.chosen, whole.nearest)
    assert bounded.front == whole.front
    assert bounded.gap == 0


@pytest.mark.parametrize("most", [40, 200, 900])
@pytest.mark.parametrize("want", [["clearance>=0.06"], ["clearance>=0.1", "slip_margin>=1.1"]])
def test_a_search_cut_short_states_a_gap_that_holds(most: int, want: list[str]) -> None:
    mechanism = twelve()
    truth = plan(mechanism, want).chosen
    assert truth is not None
    cut = plan(mechanism, want, exact_up_to=0, most_sets=most)
    assert not cut.complete
    assert cut.bound is not None
    assert cut.chosen is not None
    assert min(cut.bound, cut.chosen.cost) <= truth.cost <= cut.chosen.cost
    assert cut.chosen.cost - truth.cost <= cut.gap + 1e-9
    if cut.bound > truth.cost:
        assert cut.chosen == truth


def test_a_share_wanted_of_many_changes_is_looked_for_beyond_the_cheapest_sets() -> None:
    unknown = {"faces": {"plate_runout": "0.10 to 0.30 mm"}}
    costs = {name: 1.0 + k for k, name in enumerate(COSTS)}
    mechanism = priced(costs, tables=unknown)
    whole = plan(mechanism, ["frees>=0.97"])
    assert whole.chosen is not None
    cut = plan(mechanism, ["frees>=0.97"], exact_up_to=0, most_sets=5)
    assert cut.chosen is not None
    assert whole.chosen.cost <= cut.chosen.cost <= whole.chosen.cost + cut.gap


def test_sets_come_in_the_order_of_their_cost_each_once() -> None:
    mechanism = twelve()
    sets = ChangeSets(mechanism, tuple(mechanism.changes), ())
    costs = [float(change.terms.cost or 0) for change in mechanism.changes.values()]
    found = list(sets.by_cost(costs))
    assert [cost for cost, _ in found] == sorted(cost for cost, _ in found)
    made = [these for _, these in found if sets.can_be_made(these)]
    assert len(made) == len(set(made))
    assert {sets.members(these) for these in made} == set(every_set(mechanism))
    for cost, these in found:
        paid = sum(c for k, c in enumerate(costs) if these >> k & 1)
        assert cost == pytest.approx(paid)


def test_the_front_by_stairs_equals_the_front_by_pairs() -> None:
    random = np.random.default_rng(5)
    for count in (1, 2, 30, 200):
        cost, clearance, peak = random.integers(0, 9, (3, count)).astype(float)
        size = random.integers(0, 4, count).astype(float)
        kept = undominated(cost, clearance, peak, size)
        points = np.stack([cost, -clearance, peak], axis=1)
        better = (points[:, None] <= points[None]).all(-1) & (points[:, None] < points[None]).any(
            -1
        )
        assert {tuple(p) for p in points[kept]} == {tuple(p) for p in points[~better.any(axis=0)]}
        assert len({tuple(p) for p in points[kept]}) == len(kept)


# --- what it refuses ---


def test_a_change_without_its_cost_asks_for_one() -> None:
    asked = r"(?s)that\s+of moved-pivot.*0 where it is free"
    with pytest.raises(liftgeo.RequestError, match=asked):
        plan(priced({name: cost for name, cost in COSTS.items() if name != "moved-pivot"} | {}, **{
            "moved-pivot": {"lever": {"pivot_shift_x": 1.0, "pivot_shift_y": -3.0}}}))  # fmt: skip


@pytest.mark.parametrize(
    ("want", "more", "said"),
    [
        (["weight>=3"], {}, "cannot be wanted"),
        (["clearance>=0.1"], {"hourly_rate": -3.0}, "--hourly-rate -3"),
        (["clearance>=0.1"], {"budget": math.nan}, "--budget nan"),
        (["frees>=0.9", "frees>=0.8"], {}, "frees is wanted twice"),
    ],
)
def test_a_question_that_cannot_be_asked(want: list[str], more: dict[str, Any], said: str) -> None:
    with pytest.raises(liftgeo.RequestError, match=said):
        plan(priced(), want, **more)


def test_a_file_without_changes_says_how_to_write_one() -> None:
    with pytest.raises(liftgeo.RequestError, match=r"\[changes.NAME\]"):
        plan(priced({}))


def test_progress_counts_every_set() -> None:
    counts: list[int] = []
    found = plan(priced(), ["clearance>=0.02"], progress=counts.append)
    assert sum(counts) >= found.evaluated
