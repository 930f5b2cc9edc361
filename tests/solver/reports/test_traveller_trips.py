"""The kits of invented trips, read as a traveller would: the table stands, and whoever sleeps by a fire has a knife."""

import pytest
from traveller_table_text import TABLE, table_text
from traveller_trips import EXPECTED, TRIPS

from solver import Trip, plan


def test_the_table_shows_todays_kits() -> None:
    """Run `python tests traveller_table` and read the change as a traveller."""
    assert table_text() == TABLE.read_text("utf-8")


def test_there_are_twenty_trips_and_six_expectations() -> None:
    """The number that a reader can judge."""
    assert len(TRIPS) >= 20
    assert len(EXPECTED) >= 6


@pytest.mark.parametrize("name", TRIPS)
def test_whoever_sleeps_out_by_a_fire_carries_a_knife(name: str) -> None:
    """Common practice, no source."""
    trip = Trip.model_validate({"detail": "kit"} | TRIPS[name])
    fire = trip.fire is not None and trip.fire.allowed
    if fire or trip.camp_work or trip.nights > 1:
        kinds = {tool.kind for tool in plan(trip).kit.tools}
        assert kinds & {"carving knife", "fixed knife", "folding knife", "long knife"}
