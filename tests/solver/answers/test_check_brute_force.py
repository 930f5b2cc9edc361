"""POST /v1/kits/check against kits of small random trips worked out one by one, and every change of one tool."""

from collections import Counter
from collections.abc import Iterator
from random import Random

import pytest
from kit_space import Ids, OwnKit, Space
from oracle import HUNDREDTHS, MS_PER_MIN, Row, is_allowed
from random_trips import chance, random_trip
from random_wood_trips import random_wood_trip
from service import faults_of, kit_of, post

pytestmark = pytest.mark.quick

TRIPS = 120
KITS_EACH = 3
KG = 1e-5
MINUTES = 1e-3


def trip_of(rng: Random) -> Row:
    """A stated trip or one with a fire, every rule now and then on."""
    if chance(rng, 50):
        return random_trip(rng, fewest=3, most=6)
    return random_wood_trip(rng, fewest=3, most=5) | {"aim": "mass"}


def kit_for(rng: Random, space: Space) -> list[str]:
    """Some tools: any, or those of a kit that works, or of one with a tool more or less."""
    ids = [tool["id"] for tool in space.trip["tools"]]
    if not space.working or chance(rng, 30):
        return [name for name in ids if chance(rng, 50)]
    kit = set(rng.choice(space.working).ids)
    for _ in range(rng.choice((0, 0, 1, 2))):
        kit ^= {rng.choice(ids)}
    return sorted(kit, key=lambda _: rng.random())


def expect_check(trip: Row, space: Space, kit: list[str]) -> Row:
    """Cover, gaps, figures, distance and swap of one kit are those of the enumeration."""
    answer = kit_of({"trip": trip, "kit": kit}, address="/v1/kits/check")
    own = OwnKit(trip, kit)
    assert answer["covered"] == own.covers
    expect_gaps(answer, own)
    expect_figures(answer, own)
    mass_cg, lightest_cg = own.mass_cg, space.lightest_cg
    if lightest_cg is None:
        assert (answer["lightest"], answer["over_lightest_g"]) == (None, None)
    else:
        assert round(answer["lightest"]["mass_g"] * HUNDREDTHS) == lightest_cg
        assert tuple(sorted(answer["lightest"]["ids"])) in space.covering
        assert answer["over_lightest_g"] == pytest.approx((mass_cg - lightest_cg) / HUNDREDTHS)
    expect_swap(answer["first_swap"], own, space)
    return answer


def expect_gaps(answer: Row, own: OwnKit) -> None:
    """Each gap stands once, with its size; there are no others."""
    gaps = answer["gaps"]
    fields = Counter(gap["field"] for gap in gaps if gap["kind"] == "limit")
    rules = Counter(dict.fromkeys(("needs",), len(own.idle))) + Counter({"must_carry": len(own.left_behind)})
    rules += Counter({"life": int(own.ms is None)}) + Counter(own.overrun.keys())
    bars = {gap["closest"] for gap in gaps if gap["field"] in ("leave_home", "banned_kinds", "edge_mm", "packed_mm")}
    assert bars == set(own.barred)
    fields = Counter({field: count for field, count in fields.items() if field in rules})
    assert fields == rules
    assert len(gaps) == len(bars) + rules.total() + sum(gap["kind"] != "limit" for gap in gaps)
    for gap in gaps:
        if gap["field"] in own.overrun:
            assert gap["short_by"] == pytest.approx(own.overrun[gap["field"]], abs=MINUTES)
    knives = [gap["short_by"] for gap in gaps if gap["field"] == "knife"]
    assert knives == ([own.knives_short] if own.knives_short else [])
    assert len([gap for gap in gaps if gap["kind"] == "need"]) == len(own.alone.unmet) + len(knives)
    reach = [gap["short_by"] for gap in gaps if gap["kind"] == "reach"]
    assert reach == ([pytest.approx(own.short_kg, abs=KG)] if own.short_kg else [])
    for gap in gaps:
        if gap["kind"] == "need" and gap["field"] == "diameter_mm":
            expect_near_miss(gap, answer, own)


def expect_near_miss(gap: Row, answer: Row, own: OwnKit) -> None:
    """The tool named as closest lacks just so many millimetres."""
    need = next(one for one in answer["needs"] if one["id"] == gap["need"])
    row = next((tool for tool in own.tools if tool["id"] == gap["closest"]), None)
    if row is None:
        assert gap["closest"] in {method["id"] for method in own.alone.wood.methods}
        return
    assert any(gap["short_by"] == pytest.approx(-one) for one in margins(row, need, own))


def margins(row: Row, need: Row, own: OwnKit) -> list[float]:
    """Diameters that a tool has to spare at a need, by each way and part of it."""
    ways = ("saw", "chop") if need["task"] == "buck" else (need["task"],)
    wood = own.alone.wood
    sizes = [part["diameter_mm"] for part in need["parts"]] or [need["diameter_mm"]]
    found = [wood.place.largest_mm(row, way) - mm for way in ways for mm in sizes if row.get(f"{way}_score")]
    return found + [wood.starts_mm(row) - need["diameter_mm"]] * bool(need["parts"])


def expect_figures(answer: Row, own: OwnKit) -> None:
    """Packed mass, minutes of what the kit can do, and margins of its tools."""
    assert round(answer["kit"]["mass_g"] * HUNDREDTHS) == own.mass_cg
    assert sorted(tool["id"] for tool in answer["kit"]["tools"]) == list(own.ids)
    assert answer["kit"]["work_min_per_day"] == pytest.approx(own.alone.told_ms(own.day_ms) / MS_PER_MIN, abs=MINUTES)
    carried = {tool["id"]: tool for tool in own.tools}
    for need in answer["needs"]:
        workers = {share["id"] for share in need["done_with"]}
        assert workers <= {*own.can_work, *(method["id"] for method in own.alone.wood.methods)}
        if need["spare_mm"] is not None and len(workers) == 1 and workers <= carried.keys() and need["diameter_mm"]:
            spare = margins(carried[next(iter(workers))], need, own)
            assert any(need["spare_mm"] == pytest.approx(one) for one in spare)


def changes(own: OwnKit) -> Iterator[Ids]:
    """Every kit that differs by one tool added, left out, or changed for another."""
    others = [tool["id"] for tool in own.trip["tools"] if tool["id"] not in own.ids and is_allowed(tool, own.trip)]
    for out in (None, *own.ids):
        rest = [name for name in own.ids if name != out]
        for into in (None, *others):
            yield tuple(sorted(rest if into is None else [*rest, into]))


def expect_swap(swap: Row | None, own: OwnKit, space: Space) -> None:
    """The swap leads to the lightest covering kit that one change reaches; a kit that covers gets lighter."""
    reached = [space.covering[kit].mass_cg for kit in changes(own) if kit in space.covering and kit != own.ids]
    best = min(reached, default=None)
    if best is None or (own.covers and best >= own.mass_cg):
        assert swap is None
        return
    assert swap is not None
    changed = tuple(sorted(({*own.ids} - {swap["out"]}) | ({swap["into"]} - {None})))
    assert space.covering[changed].mass_cg == best
    assert swap["saves_g"] == pytest.approx((own.mass_cg - best) / HUNDREDTHS)


@pytest.mark.parametrize("first", range(0, TRIPS, 40))
def test_any_kit_is_judged_as_by_enumeration(first: int) -> None:
    """Seeded trips with several kits each; most sorts of answer occur."""
    seen: Counter[str] = Counter()
    for number in range(first, first + 40):
        rng = Random(number)
        trip = trip_of(rng)
        space = Space(trip)
        for _ in range(KITS_EACH):
            kit = kit_for(rng, space)
            try:
                answer = expect_check(trip, space, kit)
            except (AssertionError, KeyError) as error:
                raise AssertionError(f"trip {number}, kit {kit}: {error!r}\n{trip}") from error
            seen["covered" if answer["covered"] else "not"] += 1
            seen["swap"] += answer["first_swap"] is not None
            seen.update({gap["field"]: 1 for gap in answer["gaps"]})
    assert min(seen["covered"], seen["not"], seen["swap"]) >= 5, seen
    assert len(seen) >= 8, seen


def test_a_dominated_tool_of_ones_own_counts_as_it_is() -> None:
    """A heavier, slower saw is in no best kit, but does the work all the same."""
    light = {"id": "light", "name": "Light saw", "kind": "bow saw", "mass_g": 200, "saw_score": 8, "saw_max_mm": 200}
    heavy = light | {"id": "heavy", "name": "Heavy saw", "mass_g": 500, "saw_score": 4, "saw_max_mm": 150}
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}], "tools": [light, heavy], "field_methods": False}
    answer = kit_of({"trip": trip, "kit": ["heavy"]}, address="/v1/kits/check")
    assert answer["covered"] is True
    assert answer["over_lightest_g"] == 300
    assert answer["first_swap"] == {"out": "heavy", "into": "light", "saves_g": 300}
    assert [need["spare_mm"] for need in answer["needs"]] == [50]


def test_ids_of_the_kit_that_can_not_be_are_named() -> None:
    """A tool that is not in the catalog, and one that stands twice."""
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}]}
    kit = ["hatchet-600", "no-such-tool", "hatchet-600", "fixed-nife-90"]
    faults = faults_of(post({"trip": trip, "kit": kit}, address="/v1/kits/check"))
    assert {pointer: fault["value"] for pointer, fault in faults.items()} == {
        "#/kit/1": "no-such-tool",
        "#/kit/2": "hatchet-600",
        "#/kit/3": "fixed-nife-90",
    }
    assert "fixed-knife-90" in faults["#/kit/3"]["detail"]
    assert "#/kit/0" in faults["#/kit/2"]["detail"]
