"""Maps of who wants an offer: each cell against adoption asked of the trips of that cell alone."""

from typing import Any

import pytest

from api.examples.invented import design_examples, population_examples
from solver import AdoptionAnswer, Population, adoption
from solver.populations.drawn_trip import drawn_trips

KNIFE, COUNT = design_examples()["light-knife"], 60
PEOPLE = Population.model_validate(population_examples()["winter-stove"])


@pytest.fixture(scope="module")
def answer() -> AdoptionAnswer:
    return adoption(design=KNIFE, population=PEOPLE, count=COUNT)


def thickest(trip: dict[str, Any]) -> float:
    """The thickest wood of a drawn trip, as its form states it [mm]."""
    return max([*(one["diameter_mm"] for one in trip["tasks"]), *trip["wood"]["diameters_mm"]])


def test_a_cell_tells_what_its_trips_tell_alone(answer: AdoptionAnswer) -> None:
    drawn = [one.trip for one in drawn_trips(PEOPLE, count=COUNT, seed=1)]
    figures = {
        "nights": [one.nights for one in drawn],
        "air_c": [one.air_c for one in drawn],
        "thickest_mm": [thickest(one.model_dump()) for one in drawn],
        "work_min_per_day": [one.limits.work_min_per_day for one in drawn],
    }
    assert [(one.across, one.down) for one in answer.maps] == [("nights", "air_c"), ("thickest_mm", "work_min_per_day")]
    for one in answer.maps:
        assert sum(cell.trips for cell in one.cells) == COUNT
        for cell in (one.cells[0], max(one.cells, key=lambda cell: cell.trips)):
            places = [
                place
                for place in range(COUNT)
                if cell.across_low <= figures[one.across][place] <= cell.across_high
                and cell.down_low <= figures[one.down][place] <= cell.down_high
            ]
            alone = adoption(design=KNIFE, trips=[{"trip": drawn[place]} for place in places])
            assert cell.trips == len(places)
            assert (cell.adoption, cell.within_50_g) == (alone.adoption, alone.within_50_g)


def test_all_cells_together_are_the_whole(answer: AdoptionAnswer) -> None:
    for one in answer.maps:
        whole = sum(cell.trips * cell.adoption for cell in one.cells) / COUNT
        assert whole == pytest.approx(answer.adoption, abs=1e-6)
