"""Questions over a catalog that stays as it is: what was worked out of its rows serves again, and changes no answer.

No source: the question of the same rows as a plain list is the one from outside. The catalog is invented.
"""

import pickle
from random import Random

import numpy as np
import pytest
from case_figures import figures_of
from oracle import Row
from random_trips import random_tool

from catalog import Tool, methods
from catalog.equipment.tool_rows import ToolRows
from solver import Trip, TripError, plan
from solver.model.copies import is_copy
from solver.needs.question import Question, question_of

pytestmark = pytest.mark.quick

TRIPS: list[Row] = [
    {"tasks": [{"task": "saw", "diameter_mm": 60}]},
    {"tasks": [{"task": "split", "diameter_mm": 90}], "nights": 3, "people": 2, "wood": {"state": "dead-wet"}},
    {"tasks": [{"task": "chop", "diameter_mm": 60}], "leave_home": ["t03"], "field_methods": False},
    {"tasks": [{"task": "carve", "diameter_mm": 20}], "nights": 9, "limits": {"banned_kinds": ["axe"]}},
    {"tasks": [{"task": "saw", "diameter_mm": 60}], "people": 4, "knife": "each", "nights": 2},
]


def rows_of(seed: int, number: int = 30) -> list[Tool]:
    """Rows of tools, not in the order of their ids."""
    rng = Random(seed)
    rows = [Tool.model_validate(random_tool(rng, f"t{place:02d}") | {"price": 10}) for place in range(number)]
    rng.shuffle(rows)
    return rows


def asked(form: Row, rows: list[Tool]) -> Question:
    """The question of a trip over some rows."""
    return question_of(Trip.model_validate(form).over_catalog(rows, {}))


def test_questions_are_those_of_a_plain_list() -> None:
    """In any order of trips, of which some leave tools home; asked twice of one catalog, beside another."""
    rows, others = rows_of(1), rows_of(2)
    kept, beside = ToolRows(rows), ToolRows(others)
    for form in [*TRIPS, *reversed(TRIPS)]:
        for mine, plain in ((kept, rows), (beside, others)):
            found, expected = asked(form, mine), asked(form, plain)
            assert (found.case.ids, found.case.methods) == (expected.case.ids, expected.case.methods)
            for one, other in zip(figures_of(found.case), figures_of(expected.case), strict=True):
                assert np.array_equal(one, other)
    trip = Trip.model_validate(TRIPS[1])
    assert plan(trip.over_catalog(kept, {})) == plan(trip.over_catalog(rows, {}))


def test_what_was_worked_out_serves_again_until_it_is_forgotten() -> None:
    rows = ToolRows(rows_of(3))
    first = asked(TRIPS[0], rows).workers.candidates
    assert asked(TRIPS[0] | {"nights": 5}, rows).workers.candidates is first
    assert asked(TRIPS[0] | {"leave_home": ["t03"]}, rows).workers.candidates is not first
    assert asked(TRIPS[0] | {"extra_tools": [rows[0].model_dump()]}, rows).workers.candidates is not first
    rows.forget()
    assert asked(TRIPS[0], rows).workers.candidates is not first


def test_a_knife_for_each_is_worked_out_once() -> None:
    """Copies of knives are those of the tools that may go: other numbers of people have others. Our own rule."""
    rows = ToolRows(rows_of(3))
    each = TRIPS[0] | {"knife": "each", "people": 3, "nights": 4}
    first = asked(each, rows).workers.candidates
    assert any(is_copy(name) for name in first.ids)
    assert asked(each | {"nights": 5}, rows).workers.candidates is first
    for other in (each | {"people": 4}, each | {"knife": "one"}):
        found, expected = asked(other, rows), asked(other, list(rows))
        assert found.case.ids == expected.case.ids != first.ids


def test_few_things_are_kept() -> None:
    """The third drops those before it."""
    rows, made = ToolRows(), list[int]()
    for key in (1, 2, 1, 2, 3, 1):
        assert rows.worked_out(key, lambda key=key: made.append(key) or f"of {key}") == f"of {key}"
    assert made == [1, 2, 3, 1]


def test_a_copy_takes_the_rows_alone() -> None:
    rows = ToolRows(rows_of(4, number=3))
    rows.worked_out("key", lambda: "found")
    copied = pickle.loads(pickle.dumps(rows))
    assert copied == rows
    assert copied.worked_out("key", lambda: "anew") == "anew"


def test_faults_of_rows_are_those_of_a_plain_list() -> None:
    """An id that stands twice, and one that is a field method's, are refused alike."""
    rows = rows_of(3)
    method = next(iter(methods())).id
    renamed = [rows[0].model_copy(update={"id": method}), *rows[1:]]
    for wrong in ([*rows, rows[4]], renamed):
        found = []
        for kind in (list, ToolRows):
            with pytest.raises(TripError) as error:
                asked(TRIPS[0], kind(wrong))
            found.append(error.value.faults)
        assert found[0] == found[1]
        assert len(found[0]) == 1
    kept = ToolRows(rows)
    assert (kept.ids, kept.renews) == ({row.id for row in rows}, {row.id: row.renews for row in rows})
    kept.forget()
    assert kept.companion_groups == sum(len(row.needs) for row in rows)
