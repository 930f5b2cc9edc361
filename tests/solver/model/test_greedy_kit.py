"""The kit by greed that stands where an answer's effort ended first: it keeps every rule, and is never called proven.

No source: it is held against the same plan with effort enough.
"""

from random import Random

import pytest
from random_wood_trips import random_wood_trip

from solver import Effort, Unfinished, plan

pytestmark = pytest.mark.quick

TRIPS = 40
LONG_S = 36_000.0


def out_of_time() -> Effort:
    """An effort whose time is over with the second look at its clock."""
    times = iter([0.0])
    return Effort(answer_seconds=LONG_S, clock=lambda: next(times, 2 * LONG_S))


def test_without_any_time_a_plan_is_a_kit_that_keeps_every_rule() -> None:
    """As heavy as the lightest at least, of no known bound; none only where limits or gaps are in the way."""
    kits = 0
    for number in range(TRIPS):
        trip = random_wood_trip(Random(f"greed-{number}"), fewest=4, most=9) | {"detail": "kit", "aim": "mass"}
        whole = plan(trip, effort=Effort(seconds=LONG_S))
        try:
            found = plan(trip, effort=out_of_time())
        except Unfinished:
            continue
        if whole.status == "optimal":
            kits += 1
            assert found.status == "feasible"
            assert not found.proof.checked
            assert found.kit.mass_g >= whole.kit.mass_g
            assert found.kit.work_min_per_day <= trip["limits"]["work_min_per_day"]
        assert found.status != "optimal"
    assert kits >= TRIPS // 4
