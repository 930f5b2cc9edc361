"""Marks of one tool among many take no memory of their own, and a knife for each of a party is bounded."""

import numpy as np
import pytest
from service import faults_of, post

from solver import Trip
from solver.model.companion_group import marked, only_one
from solver.needs.knife import numbered
from solver.needs.question import question_of

pytestmark = pytest.mark.quick


def test_the_mark_of_one_tool_is_that_tool_alone() -> None:
    """By each place and without one, of every number of tools up to nine."""
    for width in range(10):
        assert not only_one(width, None).any()
        for place in range(width):
            mark = only_one(width, place)
            assert np.flatnonzero(mark).tolist() == [place]
            with pytest.raises(ValueError, match="read-only"):
                mark[0] = True


def test_marks_of_the_same_tools_are_made_once() -> None:
    """Two of five asked for twice; one of five is known as the only one."""
    known: dict[tuple[int, ...], np.ndarray] = {}
    first, again, one = marked(5, (1, 3), known), marked(5, (1, 3), known), marked(5, (2,), known)
    assert first[0] is again[0]
    assert (first[1], np.flatnonzero(first[0]).tolist()) == (None, [1, 3])
    assert (one[1], np.flatnonzero(one[0]).tolist()) == (2, [2])


def test_tools_that_one_stone_sharpens_share_its_mark() -> None:
    """Of so many tools no array a tool: all see the same few bytes, also once some are left out."""
    tools = [
        {
            "id": f"t{n}",
            "mass_g": 100 + n,
            "split_score": 5,
            "split_max_mm": 200,
            "split_life": 1,
            "sharpened_by": "stone",
        }
        for n in range(200)
    ]
    trip = {"tools": [*tools, {"id": "stone", "mass_g": 50}], "tasks": [{"task": "split", "diameter_mm": 100}]}
    case = question_of(Trip.model_validate(trip | {"nights": 9})).case
    small = case.keep(np.arange(1, case.tools, 2))
    for one in (case, small):
        stone = one.ids.index("stone") if "stone" in one.ids else None
        assert len(one.renewals) >= 99
        assert {renewal.only for renewal in one.renewals} == {stone}
        assert all(renewal.sharpeners.base is not None for renewal in one.renewals)


def test_more_knives_for_each_than_can_be_looked_at_are_refused() -> None:
    """Of seven hundred knives, the lighter the dearer, forty-nine copies each."""
    knives = [
        {
            "id": f"k{n}",
            "kind": "fixed knife",
            "mass_g": 100 + n,
            "price": 900 - n,
            "carve_score": 5,
            "carve_max_mm": 90,
        }
        for n in range(700)
    ]
    trip = {"tools": knives, "people": 50, "nights": 2, "knife": "each", "detail": "kit", "tasks": []}
    trip |= {"tasks": [{"task": "carve", "diameter_mm": 20}]}
    assert set(faults_of(post(trip))) == {"#/knife"}


def test_names_are_numbered_by_how_often_they_came() -> None:
    """The second of a name is its first copy, as a case tells it."""
    assert numbered(["a", "b", "a", "a", "b"]) == ["a", "b", "a#02", "a#03", "b#02"]
