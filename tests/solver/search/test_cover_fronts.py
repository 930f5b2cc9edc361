"""Fronts by price of trips that ask for a tool of each of some sets and no more: by the cover, against every kit."""

from dataclasses import replace
from threading import Event
from typing import Any

import numpy as np
import pytest
from case_axis import EveryKit, random_axis

from solver.covers.cover_sweeps import non_dominated_covers
from solver.forms.effort import Cancelled, Effort
from solver.model.case import Case
from solver.model.companion_group import CompanionGroup
from solver.search import front
from solver.search.front import front_of

pytestmark = pytest.mark.quick

RUNS = 120


def covered_case(rng: np.random.Generator) -> Case:
    """A random case without the rules that make it more than a cover; tools that must go need companions."""
    case = random_axis(rng, cases=1, wood=False)[0]
    tools = case.tools
    must = frozenset({0}) if rng.random() < 0.6 else frozenset()
    groups = tuple(CompanionGroup(0, rng.random(tools) < 0.5) for _ in range(int(rng.integers(0, 3)))) if must else ()
    caps = {} if rng.random() < 0.5 else {"price": int(rng.integers(2, 8)), "mass_g": int(case.mass.sum() // 3)}
    return replace(
        case,
        mass=case.mass // 3 + 1,
        price=case.price // 3,
        backup=np.minimum(case.backup, 1),
        groups=groups,
        must=must,
        forbidden=(),
        one_of=(),
        caps=caps | ({"work_min_per_day": 10**6} if rng.random() < 0.3 else {}),
    )


def test_the_front_of_a_cover_is_that_of_all_kits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Both figures of every point, and of kits alike the first by minutes, number of tools and ids."""

    def not_asked(*_: Any, **__: Any) -> Any:
        raise AssertionError("it is a cover")

    monkeypatch.setattr(front, "_by_tree", not_asked)
    monkeypatch.setattr(front, "_one_by_one", not_asked)
    several = tied = 0
    for number in range(RUNS):
        case = covered_case(np.random.default_rng([101, number]))
        space = EveryKit(case)
        kits = np.flatnonzero(space.keeps).tolist()
        pairs = {(int(space.mass[a]), int(space.price[a])) for a in kits}
        wanted = sorted(a for a in pairs if not any(b != a and b[0] <= a[0] and b[1] <= a[1] for b in pairs))
        found = front_of(case, against="price", effort=Effort())
        assert found.complete
        assert found.checked
        assert [(one.choice.mass, one.price) for one in found.points] == wanted, number
        for point, figures in zip(found.points, wanted, strict=True):
            alike = [a for a in kits if (int(space.mass[a]), int(space.price[a])) == figures]
            first = min(alike, key=lambda a: (space.ms[a], space.kits[a].sum(), space.ids(a)))
            assert point.choice.ids == space.ids(first), number
            tied += len(alike) > 1
        several += len(wanted) > 1
    assert several >= 10
    assert tied >= 5


def test_a_cover_too_large_for_its_effort_is_left_to_the_tree(monkeypatch: pytest.MonkeyPatch) -> None:
    """And told all the same."""
    rng = np.random.default_rng(103)
    case = covered_case(rng)
    wanted = [(one.choice.mass, one.price) for one in front_of(case, against="price", effort=Effort()).points]
    monkeypatch.setattr(front, "non_dominated_covers", lambda *_, **__: None)
    assert [(one.choice.mass, one.price) for one in front_of(case, against="price", effort=Effort()).points] == wanted


@pytest.mark.parametrize("end", ["left", "late"])
def test_covers_that_are_found_are_not_checked_for_whoever_left_or_has_no_time(
    end: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Covers that tie may be many thousands, each a day to work out."""
    case, left, late = covered_case(np.random.default_rng(103)), Event(), Event()
    effort = Effort(cancelled=left, answer_seconds=10, clock=lambda: 100.0 * late.is_set()).begun()

    def found(*args: Any, **limits: Any) -> Any:
        pairs = non_dominated_covers(*args, **limits)
        assert pairs
        (left if end == "left" else late).set()
        return pairs

    monkeypatch.setattr(front, "non_dominated_covers", found)
    if end == "left":
        with pytest.raises(Cancelled):
            front_of(case, against="price", effort=effort)
    else:
        assert not front_of(case, against="price", effort=effort).complete


def test_where_nothing_is_left_to_choose_what_must_go_is_the_front() -> None:
    """Alone, and beside a need that nobody serves."""
    case = covered_case(np.random.default_rng(103)).keep(np.array([0]))
    case = replace(case, must=frozenset({0}), groups=(), some_of=(), caps={}, work=case.work * 0, able=case.able | True)
    assert [one.choice.ids for one in front_of(case, against="price", effort=Effort()).points] == [case.ids]
    lacking = replace(case, some_of=(np.array([False]),))
    assert front_of(lacking, against="price", effort=Effort()).points == []
