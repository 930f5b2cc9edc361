"""The guide's table of what a maker's offers come to over 1,000 trips, and what each trip says of each offer."""

import re
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import islice
from typing import Any

from tree import ROOT

from api.examples.invented import design_examples, population_examples
from api.examples.question_examples import adoption_examples
from solver import Effort, Trip
from solver.offers.offer import Offer
from solver.offers.verdict import offer_mass, verdict_of
from solver.offers.weighted_share import share_interval, share_of
from solver.populations.drawn_trip import drawn_trips
from solver.populations.population import Population

PAGE = ROOT / "api" / "web" / "guide" / "makers.md"
MARKS = ROOT / "tests" / "solver" / "offers" / "maker_shares.csv"
TABLE = re.compile(r"<!-- shares -->\n(?P<shown>(\|.*\n)+)")
TRIPS, SEED = 1_000, 1
_HEAD = "| offer | g | % of kits | 90 % interval | % within 50 g |\n|---|---|---|---|---|\n"


def offers() -> dict[str, Offer]:
    """The offers of the guide's question, by their name in the table."""
    drawings = design_examples()
    knife, saw = ({"design": drawings[name]} for name in ("light-knife", "folding-saw"))
    shape = drawings["folding-saw"]["drawing"] | {"handle_hollow_pct": 40}
    lighter = {"design": drawings["folding-saw"] | {"drawing": shape}}
    rival = adoption_examples()["population"].body["rivals"][0]["pair"]
    forms: dict[str, Any] = {
        "light knife and light saw": {"pair": [knife, saw]},
        "hatchet and small knife": {"pair": rival},
        "the knife alone": knife,
        "the saw alone": saw,
        "the lighter saw alone": lighter,
        "knife and lighter saw": {"pair": [knife, lighter]},
    }
    return {name: Offer.model_validate(form) for name, form in forms.items()}


@cache
def _trips(numbers: range) -> tuple[Trip, ...]:
    """Some of the trips drawn from the population of the question."""
    people = Population.model_validate(population_examples()["weekend-open-fire"])
    drawn = drawn_trips(people, count=TRIPS, seed=SEED)
    return tuple(one.trip for one in islice(drawn, numbers.start, numbers.stop, numbers.step))


def marks_of(offer: Offer, numbers: range) -> Iterator[str]:
    """What some of the trips say of an offer: 2 = in a lightest kit, 1 = within 50 g of it, 0 = neither."""
    mass = offer_mass(offer.rows).total
    for trip in _trips(numbers):
        told = verdict_of(trip, offer.rows, effort=Effort(answer_seconds=3600, seconds=3600))
        assert told.settled
        yield str(2 if told.wants(mass) else int(told.nearly_wants(mass)))


def kept_marks() -> dict[str, str]:
    """The marks of every trip, by offer, as they are kept beside the tests."""
    return dict(line.split(",") for line in MARKS.read_text("utf-8").splitlines()[1:])


def table_of(marks: dict[str, Sequence[str]]) -> str:
    """The table as Markdown."""
    rows = [_HEAD]
    for name, offer in offers().items():
        weights = [1.0] * len(marks[name])
        share = share_of([mark == "2" for mark in marks[name]], weights)
        near = share_of([mark != "0" for mark in marks[name]], weights)
        low, high = (f"{round(100 * end, 1):g}" for end in share_interval(share, weights))
        grams = f"{offer_mass(offer.rows).total / 100:,}".removesuffix(".0")
        rows.append(f"| {name} | {grams} | {round(100 * share, 1):g} | {low} to {high} | {round(100 * near, 1):g} |\n")
    return "".join(rows)
