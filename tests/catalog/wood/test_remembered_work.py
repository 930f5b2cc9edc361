"""A formula that remembers what it came to still heeds what has changed."""

import pytest

from catalog import RangeError, assumptions
from catalog.wood.species import species_of
from catalog.wood.work import time_factor

pytestmark = pytest.mark.quick


def test_a_formula_that_remembers_still_heeds_a_changed_assumption() -> None:
    """The same wood asked for by the table, by a changed exponent, and beyond its hard limits."""
    row = assumptions()["saw_hardness_exponent"]
    oak = species_of("white-oak")
    plain = time_factor(oak, "saw", state="dead-dry", air_c=0)
    assert time_factor(oak, "saw", state="dead-dry", air_c=0, changed={row.id: row.high}).factor > plain.factor
    assert time_factor(oak, "saw", state="dead-dry", air_c=0, changed={}) == plain
    with pytest.raises(RangeError):
        time_factor(oak, "saw", state="dead-dry", air_c=0, changed={row.id: row.hard_high + 1})
