"""Trips drawn from a population: kitwright population."""

import argparse
import json
from typing import Any

from api.cli.body_file import read_body
from api.examples.invented import population_examples
from api.printing.population_print import print_population
from solver.forms.validation import check_trip
from solver.needs.question import tools_of_trip
from solver.populations.drawn_trip import DrawnTrip, drawn_trips
from solver.populations.population import Population

_OK = 0


def draw_trips(asked: argparse.Namespace) -> int:
    """Draw trips, and print them, or write them as adoption takes them."""
    population = Population.model_validate(population_body(asked.population))
    drawn = list(
        drawn_trips(
            population,
            count=asked.trips,
            seed=asked.seed,
            check=lambda trip: check_trip(trip, tools_of_trip(trip)),
        )
    )
    body = {"trips": [_as_body(one) for one in drawn]}
    if asked.out is not None:
        asked.out.write_text(json.dumps(body, indent=1) + "\n", encoding="utf-8")
    if asked.json:
        print(json.dumps(body, indent=1))
    else:
        print_population(population, drawn, seed=asked.seed)
    return _OK


def population_body(name: str) -> Any:
    """Return an invented population by its name, or one of a file.

    Raises:
        OSError: there is neither.
    """
    known = population_examples()
    return known[name] if name in known else read_body(name)


def _as_body(one: DrawnTrip) -> dict[str, Any]:
    """Return a drawn trip as adoption takes it."""
    return {"weight": 1.0, "trip": one.trip.model_dump(mode="json", exclude_unset=True)}
