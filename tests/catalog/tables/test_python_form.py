"""Lists that come again and again in one body are read once; only where they are the very same text."""

import pytest
from pydantic import TypeAdapter, ValidationError

from catalog.tables.python_form import first_faults
from solver.reports.question_form import SeasonForm

pytestmark = pytest.mark.quick

FORM = TypeAdapter(SeasonForm)
ROW = {"id": "a", "kind": "tool", "mass_g": 1, "saw_score": 5, "saw_max_mm": 90}


def season_of(*rows: object) -> SeasonForm:
    """A season of trips with these tools, as a body is read."""
    task = {"task": "saw", "diameter_mm": 60}
    with first_faults():
        return FORM.validate_python({"trips": [{"trip": {"tasks": [task], "tools": one}} for one in rows]})


def test_equal_rows_are_read_once() -> None:
    """And others by themselves."""
    first, again, other, none = (
        one.trip.tools for one in season_of([ROW], [dict(ROW)], [ROW | {"mass_g": 2}], None).trips
    )
    assert again is first
    assert first is not None
    assert other is not None
    assert ([one.mass_g for one in first], [one.mass_g for one in other], none) == ([1], [2], None)
    assert season_of([ROW]).trips[0].trip.tools == first


@pytest.mark.parametrize("mass", [True, "1"])
def test_what_only_looks_equal_is_read_by_itself(mass: object) -> None:
    """In Python 1 is True; a mass is not."""
    with pytest.raises(ValidationError) as refused:
        season_of([ROW], [ROW | {"mass_g": mass}])
    assert [one["loc"][:4] for one in refused.value.errors()] == [("trips", 1, "trip", "tools")]
