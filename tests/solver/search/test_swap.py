"""The first swap where several are equally good: least work, then the first id that comes in, then that stays home."""

from random import Random

import pytest
from service import kit_of
from stated_trips import Row, own

from solver import Effort, Trip
from solver.needs.question import question_of
from solver.search.choice import Search
from solver.search.swap import first_swap

_CHECKED = Search.checked

HEAVY = {"mass_g": 900, "split_score": 5, "split_max_mm": 200, "kind": "axe"}
LIGHT = {"mass_g": 300, "split_score": 5, "split_max_mm": 200, "kind": "hatchet"}


def named(name: str, row: Row, **more: object) -> Row:
    """A row under an id."""
    return {"id": name, **row, **more}


def swap(trip: Row, *kit: str) -> tuple[str | None, str | None, float]:
    """What leaves, what comes, and the grams saved."""
    found = kit_of({"trip": trip, "kit": list(kit)}, address="/v1/kits/check")["first_swap"]
    return found["out"], found["into"], found["saves_g"]


def test_of_two_alike_that_may_leave_the_first_by_id_stays_home() -> None:
    """Two axes where one will do."""
    trip = own(named("b", HEAVY), named("a", HEAVY))
    assert swap(trip, "b", "a") == ("a", None, 900)


def test_of_two_alike_that_may_come_the_first_by_id_comes() -> None:
    """Two hatchets for one axe."""
    trip = own(named("d", LIGHT), named("x", HEAVY), named("c", LIGHT))
    assert swap(trip, "x") == ("x", "c", 600)


def test_of_two_as_light_the_quicker_comes_whatever_its_id() -> None:
    """Equal grams, one with the better score."""
    trip = own(named("d", LIGHT, split_score=7), named("x", HEAVY), named("c", LIGHT))
    assert swap(trip, "x") == ("x", "d", 600)


def test_both_ids_are_the_first_where_one_leaves_and_one_comes() -> None:
    """Two tools must be able, two alike may leave and two alike may come."""
    trip = own(named("d", LIGHT), named("b", HEAVY), named("c", LIGHT), named("a", HEAVY), backup="all")
    assert swap(trip, "b", "a") == ("a", "c", 600)


def test_the_id_that_comes_in_counts_before_the_one_that_leaves() -> None:
    """The first that could come needs the first that could leave."""
    trip = own(
        named("d", LIGHT, needs="b"), named("b", HEAVY), named("c", LIGHT, needs="a"), named("a", HEAVY), backup="all"
    )
    assert swap(trip, "b", "a") == ("b", "c", 600)


def test_grams_count_before_work() -> None:
    """One is lighter by 10 g, the other quicker."""
    trip = own(named("d", LIGHT, split_score=7, mass_g=310), named("x", HEAVY), named("c", LIGHT))
    assert swap(trip, "x") == ("x", "c", 600)


def test_among_more_tools_than_a_program_holds_the_swap_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Three thousand saws that wear out, at forty cuts: the lightest that lasts comes, found by hand."""
    rng = Random(1)
    saws = [
        {"id": f"s{number:04d}", "saw_score": 5, "saw_max_mm": rng.randint(20, 90)}
        | {"mass_g": rng.randint(100, 2000), "saw_life": rng.choice((1, 2000)), "kind": "bow saw"}
        for number in range(3000)
    ]
    tasks = [{"task": "saw", "diameter_mm": mm} for mm in range(40, 80)]
    trip = {"tools": saws, "tasks": tasks, "field_methods": False, "knife": "none", "limits": {"work_min_per_day": 600}}
    question = question_of(Trip.model_validate(trip))
    rows = {row["id"]: row for row in saws}
    last = min((name for name, row in rows.items() if row["saw_max_mm"] < tasks[-1]["diameter_mm"]))
    able = [row for row in saws if row["saw_max_mm"] >= tasks[-1]["diameter_mm"] and row["saw_life"] > 1]
    best = min(able, key=lambda row: (row["mass_g"], row["id"]))
    tried = []
    monkeypatch.setattr(Search, "checked", lambda self, kit: tried.append(kit) or _CHECKED(self, kit))
    kit = question.case.kit([last])
    found = first_swap(question.case, kit, frozenset(), covered=False, effort=Effort())
    assert found is not None
    assert (found.out, found.into) == (last, best["id"])
    lighter = [row for row in saws if row["saw_max_mm"] >= tasks[-1]["diameter_mm"] and row["mass_g"] <= best["mass_g"]]
    assert len(tried) <= 2 * len(lighter) + 1  # with the saw at home, and beside it
