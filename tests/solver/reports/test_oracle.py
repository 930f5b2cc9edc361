"""The reference itself, on cases computed by hand, and against an even plainer enumeration.

Rates are the judged values: 300 cm2 of face, 800 cm3 of notch, 6 clefts of 100 mm a minute, a piece in 3 min.
"""

import math
from itertools import combinations, combinations_with_replacement
from random import Random

import pytest
from oracle import (
    Board,
    Outcome,
    Row,
    at_least,
    best_kit,
    can,
    clefts,
    counts_as_knife,
    fastest_ms_of,
    for_party,
    is_allowed,
    knives_asked,
    method_ms,
    need_groups,
    over_subsets,
    packed_cg,
    parts,
    serves,
    told_ms,
    tool_ms,
    usable_tools,
    work_cap_ms,
)
from random_trips import random_trip, with_binding_work_limit

pytestmark = pytest.mark.quick

BY_HAND: Row = {"id": "by-hand", "buck_score": 10, "buck_max_mm": 45, "states": ["dead-dry"]}
BURN: Row = {"id": "burn", "buck_score": 1, "buck_max_mm": 3000, "own_fire": True}
WEDGES: Row = {"id": "wedges", "split_score": 0.5, "split_max_mm": 400, "needs": "can:carve;can:chop"}
METHODS = [BY_HAND, BURN, WEDGES]


def tool(tool_id: str, mass_g: float = 100, **columns: object) -> Row:
    """A row; ``split=(score, max_mm)`` stands for the two columns."""
    row: Row = {"id": tool_id, "name": tool_id, "kind": "axe", "mass_g": mass_g}
    for column, value in columns.items():
        pair = isinstance(value, tuple)
        row |= {f"{column}_score": value[0], f"{column}_max_mm": value[1]} if pair else {column: value}
    return row


def need(task: str, diameter_mm: float, **columns: object) -> Row:
    """A stated task."""
    return {"task": task, "diameter_mm": diameter_mm, **columns}


def kit(tools: list[Row], tasks: list[Row], methods: list[Row] | None = None, **rules: object) -> Outcome:
    """Outcome of a trip; field methods only when given."""
    return best_kit({"tools": tools, "tasks": tasks, **rules}, methods or [])


@pytest.mark.parametrize(
    ("row", "task", "ms"),
    [
        # pi 10^2/4 = 78.5398 cm2 at 300 cm2/min = 0.2617994 min, and 0.25 min to handle each cut
        (tool("a", saw=(10, 200)), need("saw", 100), 30_708),
        (tool("a", saw=(10, 100)), need("saw", 100), 46_416),  # at its largest: half the rate
        (tool("a", saw=(10, 160)), need("saw", 100), 32_952),  # 1.5 - 100/160 = 0.875 of the rate
        (tool("a", saw=(5, 200)), need("saw", 100, per_day=2), 92_832),
        (tool("a", chop=(10, 100)), need("chop", 100), 40_000),  # 333.33 cm3 at 800
        (tool("a", split=(10, 140)), need("split", 140), 19_032),  # a cleft of 1.4^0.5 / 6 min, and 0.12 for the round
        (tool("a", split=(10, 140)), need("split", 60), 14_946),  # 1 cleft x 0.6^0.5 / 6, and 0.12
        (tool("a", carve=(6, 40)), need("carve", 40, per_day=3), 900_000),  # 3 x 3 / 0.6 min
        (tool("a", saw=(10, 200), chop=(10, 200)), need("buck", 100), 30_708),  # sawing is faster
        (tool("a", saw=(2, 200), chop=(10, 200)), need("buck", 100), 40_000),  # chopping is faster
        (tool("a", saw=(10, 80), chop=(10, 200)), need("buck", 100), 40_000),  # the saw is too short
        (tool("a", saw=(10, 200), chop=(1, 200)), need("buck", 100, min_score=2), 30_708),
        (tool("a", saw=(10, 80), chop=(1, 200)), need("buck", 100, min_score=2), None),
        (tool("a", saw=(10, 200)), need("chop", 100), None),
        (tool("a", split=(4, 139)), need("split", 140), None),
        (tool("a", split=(0, 300)), need("split", 140), None),
    ],
)
def test_time_of_a_tool(row: Row, task: Row, ms: int | None) -> None:
    """Milliseconds a day, or None."""
    assert tool_ms(row, task) == ms


def test_score_at_the_asked_minimum_suffices() -> None:
    """Both bounds are inclusive."""
    assert can(tool("a", carve=(4, 30)), "carve", need("carve", 30, min_score=4))
    assert not can(tool("a", carve=(4, 30)), "carve", need("carve", 30, min_score=4.5))


@pytest.mark.parametrize(("d_mm", "count"), [(20, 1), (75, 1), (107, 2), (150, 3), (151, 4), (300, 15)])
def test_clefts(d_mm: float, count: int) -> None:
    """ceil((d/75)^2) - 1, at least one."""
    assert clefts(d_mm) == count


@pytest.mark.parametrize(
    ("mass_g", "cover_g", "cg"),
    [(100, None, 10_000), (10.0, 0.005, 1_000), (10.01, 0.005, 1_002), (0.1, 0.2, 30), (33.335, 0, 3_334)],
)
def test_packed_mass_rounds_half_even(mass_g: float, cover_g: float | None, cg: int) -> None:
    """1000.5 -> 1000, 1001.5 -> 1002, 3333.5 -> 3334 hundredths."""
    assert packed_cg({"mass_g": mass_g, "cover_g": cover_g}) == cg


def test_methods_at_stated_needs() -> None:
    """Breaking takes face / 300 at full score with no stroke to fall short, and 0.05 min; burning never serves."""
    assert method_ms(BY_HAND, need("buck", 40)) == round(math.pi * 4**2 / 4 / 300 * 60_000) + 3_000 == 5_513
    assert method_ms(BY_HAND, need("buck", 46)) is None
    assert method_ms(BY_HAND, need("saw", 40)) is None
    assert method_ms(BURN, need("buck", 200)) is None
    assert method_ms(BY_HAND | {"states": ["green"]}, need("buck", 40)) is None
    assert method_ms(WEDGES, need("split", 100)) == 207_200  # 1 cleft x 1 / (6 x 0.05) min, and 0.12


def test_companion_groups_in_both_forms() -> None:
    """Text as in CSV, or lists; abilities by their score."""
    groups = [["a", "b"], ["c"]]
    assert need_groups({"needs": "a|b;c"}) == need_groups({"needs": groups}) == groups
    assert need_groups({}) == need_groups({"needs": ""}) == need_groups({"needs": None}) == []
    assert serves("can:carve", tool("a", carve=(1, 5)))
    assert not serves("can:carve", tool("a", carve=(0, 5)))
    assert serves("a", tool("a"))
    assert not serves("b", tool("a"))


def test_allowed_by_rules() -> None:
    """Ban, leave home, edge and packed length; a missing length passes."""
    hatchet = tool("a", kind="hatchet", edge_mm=120)
    assert is_allowed(hatchet, {"limits": {"edge_mm": 120, "packed_mm": 1}})
    assert not is_allowed(hatchet, {"limits": {"edge_mm": 119}})
    assert not is_allowed(hatchet, {"limits": {"banned_kinds": ["hatchet"]}})
    assert not is_allowed(hatchet, {"leave_home": ["a"]})


def test_backup_rule() -> None:
    """None, critical, all."""
    critical, other = need("saw", 40, critical=True), need("saw", 40)
    counts = [[at_least({"backup": b}, n) for n in (critical, other)] for b in ("none", "critical", "all")]
    assert counts == [[0, 0], [2, 0], [2, 2]]


def test_lightest_then_minutes_then_number_then_ids() -> None:
    """Each aim decides only among equals of the one before."""
    task = [need("carve", 20)]
    slow, fast = tool("b", 100, carve=(2, 50)), tool("c", 100, carve=(4, 50))
    assert kit([slow, fast, tool("a", 101, carve=(10, 50))], task).ids == ["c"]
    both, one = need("saw", 60), need("carve", 20)
    pair = [tool("a", 50, carve=(4, 50)), tool("b", 50, saw=(4, 200))]
    assert kit([*pair, tool("c", 100, carve=(4, 50), saw=(4, 200))], [both, one]).ids == ["c"]
    assert kit([tool("z", 100, carve=(4, 50)), fast], task).ids == ["c"]
    assert kit([tool("b", 0, carve=(1, 50)), tool("a", 0)], task).ids == ["b"]


def test_work_limit_decides() -> None:
    """15 min by the light knife, 6 by the heavy: a day of 10 takes the heavy one."""
    knives = [tool("light", 80, carve=(2, 50)), tool("heavy", 200, carve=(5, 50))]
    assert kit(knives, [need("carve", 20)]).ids == ["light"]
    outcome = kit(knives, [need("carve", 20)], limits={"work_min_per_day": 10})
    assert (outcome.ids, outcome.minutes, outcome.mass_g) == (["heavy"], 6, 200)
    blocked = kit(knives, [need("carve", 20)], limits={"work_min_per_day": 5})
    assert (blocked.status, blocked.blocked) == ("uncovered", "limits")


def test_default_day_is_ninety_minutes() -> None:
    """Five pieces at score 2 take 75 min and 9 of rest, six 90 and 12: the last want the heavier knife."""
    knives = [tool("light", 80, carve=(2, 50)), tool("heavy", 200, carve=(5, 50))]
    assert kit(knives, [need("carve", 20, per_day=5)]).ids == ["light"]
    assert kit(knives, [need("carve", 20, per_day=6)]).ids == ["heavy"]


def test_mass_and_price_limits() -> None:
    """A price that is missing counts nothing; a mass at the limit passes."""
    knives = [tool("a", 80, carve=(2, 50), price=30), tool("b", 200, carve=(5, 50))]
    assert kit(knives, [need("carve", 20)], limits={"price": 29}).ids == ["b"]
    assert kit(knives, [need("carve", 20)], limits={"price": 30, "mass_g": 80}).ids == ["a"]
    assert kit(knives, [need("carve", 20)], limits={"mass_g": 79.99}).blocked == "limits"


def test_companions_are_carried_and_counted() -> None:
    """A wedge with its striker against a hatchet; a chain is carried whole, a ring too."""
    wedge, mallet = tool("wedge", 100, split=(4, 300), needs="mallet|hammer"), tool("mallet", 60)
    task = [need("split", 100)]
    assert kit([wedge, mallet, tool("axe", 170, split=(4, 300))], task).ids == ["mallet", "wedge"]
    assert kit([wedge, mallet, tool("axe", 150, split=(4, 300))], task).ids == ["axe"]
    assert kit([wedge, mallet | {"needs": "cord"}, tool("cord", 1)], task).ids == ["cord", "mallet", "wedge"]
    assert kit([wedge, mallet | {"needs": "wedge"}], task).mass_g == 160
    assert kit([wedge], task).gaps == [0]
    assert kit([wedge, mallet | {"needs": "no-such-tool"}], task).gaps == [0]
    assert kit([wedge, mallet], task, leave_home=["mallet"]).gaps == [0]


def test_companion_by_ability() -> None:
    """``can:carve`` takes any carried tool that carves, here the lighter."""
    tools = [
        tool("wedge", 100, split=(4, 300), needs="can:carve"),
        tool("k1", 80, carve=(1, 5)),
        tool("k2", 70, carve=(1, 5)),
    ]
    assert kit(tools, [need("split", 100)]).ids == ["k2", "wedge"]


def test_methods_weigh_nothing_but_want_their_companions() -> None:
    """Thin wood takes no tool; wedges want a carver and a starter, and are slow."""
    assert kit([tool("a", saw=(10, 200))], [need("buck", 40)], METHODS).ids == []
    assert kit([tool("a", saw=(10, 200))], [need("buck", 40)], METHODS, field_methods=False).ids == ["a"]
    knife, starter = tool("k", 80, carve=(4, 40)), tool("s", 90, chop=(1, 40))
    outcome = kit([knife, starter, tool("axe", 500, split=(5, 300))], [need("split", 100)], METHODS)
    assert (outcome.ids, outcome.ms) == (["k", "s"], 207_200)
    assert kit([knife], [need("split", 100)], METHODS).gaps == [0]


def test_fastest_carried_does_the_work() -> None:
    """A tool that must come along works where it is faster, a method too."""
    tools = [tool("a", 50, saw=(1, 300)), tool("b", 500, saw=(10, 300))]
    outcome = kit(tools, [need("buck", 100), need("buck", 40)], METHODS, must_carry=["b"])
    assert (outcome.ids, outcome.ms) == (["b"], 30_708 + 5_513)
    assert kit(tools, [need("buck", 100)], must_carry=["a", "b"]).ids == ["a", "b"]


def test_backup_counts_carried_tools_only() -> None:
    """A method is no backup; the two able tools are the two lightest, the faster works."""
    tools = [tool("a", 50, saw=(1, 300)), tool("b", 60, chop=(1, 300)), tool("c", 70, saw=(5, 300))]
    outcome = kit(tools, [need("buck", 40, critical=True)], METHODS, backup="critical")
    assert (outcome.ids, outcome.ms) == (["a", "b"], 5_513)
    assert kit(tools, [need("buck", 40)], METHODS, backup="critical").ids == []
    assert kit(tools[:1], [need("buck", 40), need("saw", 100)], METHODS, backup="all").gaps == [0, 1]


def test_gap_leaves_the_lightest_for_the_rest() -> None:
    """The need that nothing can do is named; its minutes do not count."""
    knives = [tool("a", carve=(4, 40)), tool("b", 90, carve=(2, 40))]
    outcome = kit(knives, [need("split", 100), need("carve", 20)])
    assert (outcome.status, outcome.gaps, outcome.ids) == ("uncovered", [0], ["b"])
    assert outcome.ms_by_need == {1: 900_000}


def test_contradicting_rules_are_uncovered() -> None:
    """Must carry against leave home or a ban."""
    knives = [tool("a", carve=(4, 40)), tool("b", carve=(4, 40), kind="fixed knife")]
    for rule in ({"leave_home": ["a"]}, {"limits": {"banned_kinds": ["axe"]}}):
        outcome = kit(knives, [need("carve", 20)], must_carry=["a"], **rule)
        assert (outcome.status, outcome.blocked) == ("uncovered", "must_carry")


def test_subset_tables() -> None:
    """Bit i stands for value i."""
    assert over_subsets([1, 10, 100], lambda t, v: t + v, 0).tolist() == [0, 1, 10, 11, 100, 101, 110, 111]


def plainest(trip: Row, methods: list[Row]) -> tuple[int, int, int, list[str]] | None:
    """Grams, minutes, number and ids by one loop over combinations; None where no kit covers everything."""
    limits, best = trip["limits"], None
    tools = [for_party(t, trip.get("people", 1)) for t in trip["tools"] if is_allowed(t, trip)]
    asked = knives_asked(trip) if any(counts_as_knife(t, trip) for t in usable_tools(trip)) else 0
    for size in range(len(tools) + 1):
        for carried in combinations(tools, size):
            knives = [t for t in carried if counts_as_knife(t, trip)]
            if asked and not knives:
                continue
            for more in combinations_with_replacement(knives, max(0, asked - len(knives))):
                key = key_of(trip, carried, more, methods if trip["field_methods"] else [], limits)
                best = key if best is None or (key and key < best) else best
    return best


def key_of(
    trip: Row, carried: tuple[Row, ...], more: tuple[Row, ...], methods: list[Row], limits: Row
) -> tuple[int, int, int, list[str]] | None:
    """What orders one kit among the others; None if it breaks a rule. More knives of one sort do no work."""
    ids = sorted(t["id"] for t in (*carried, *more))
    ready = [m for m in methods if has_companions(m, carried)]
    total_ms = 0
    if not set(trip.get("must_carry", [])) <= set(ids):
        return None
    if not all(has_companions(t, carried) for t in carried):
        return None
    for task in trip["tasks"]:
        for part in parts(task):
            own = [t for t in carried if tool_ms(t, part) is not None]
            aided = [ms for t in carried if (ms := fastest_ms_of(t, methods, part)) is not None]
            times = aided + [ms for m in ready if (ms := method_ms(m, part)) is not None]
            if not times or (part.get("opens", True) and len(own) < at_least(trip, task)):
                return None
            total_ms += min(times)
    mass_cg = sum(packed_cg(t) for t in (*carried, *more))
    told = told_ms(total_ms, trip.get("people", 1))
    over = told > limits.get("work_min_per_day", 90) * 60_000 + 1 / 2 or mass_cg > limits.get("mass_g", 1e9) * 100
    over = over or sum(t.get("price", 0) for t in (*carried, *more)) > limits.get("price", 1e9)
    over = over or len(ids) > limits.get("tools_at_most", 1e9)
    return None if over else (mass_cg, total_ms, len(ids), ids)


def has_companions(row: Row, carried: tuple[Row, ...]) -> bool:
    """Every group of a row is served by what is carried."""
    return all(any(serves(m, t) for m in group for t in carried) for group in need_groups(row))


@pytest.mark.parametrize("number", range(120))
def test_tables_agree_with_the_plainest_loop(number: int) -> None:
    """Two ways of looking at all kits, one answer."""
    trip = random_trip(Random(number), fewest=3, most=7)
    outcome, plain = best_kit(trip, METHODS), plainest(trip, METHODS)
    if outcome.status == "optimal":
        assert plain == (outcome.mass_cg, outcome.ms, len(outcome.ids), outcome.ids)
    else:
        assert plain is None


def test_binding_work_limit_lies_between_fastest_and_lightest() -> None:
    """What the fixed run relies on: the lightest kit is out, some kit is in."""
    found = 0
    for number in range(200):
        rng = Random(number)
        trip = random_trip(rng, fewest=5, most=8)
        bound = with_binding_work_limit(rng, trip, METHODS)
        if bound:
            found += 1
            free, held = Board(trip, METHODS).best(1e6), best_kit(bound, METHODS)
            assert held.blocked is None
            assert held.ms < free.ms
            assert held.mass_cg > free.mass_cg
    assert found > 20


def test_rest_is_a_fifth_beyond_half_an_hour_a_person() -> None:
    """By hand: 30 minutes take none, 80 of one person 10 more, 80 of two 4; limits the same way back."""
    for work_min, people, told_min in ((30, 1, 30), (80, 1, 90), (60, 2, 60), (80, 2, 84)):
        assert told_ms(work_min * 60_000, people) == told_min * 60_000
        assert work_cap_ms(told_min, people) == work_min * 60_000
