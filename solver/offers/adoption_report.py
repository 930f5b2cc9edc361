"""On which share of trips a tool, a drawing or a pair of tools is in the lightest kit."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from pydantic import Field

from catalog import Tool
from catalog.bench.design import Design
from catalog.tables.whole_number import whole
from solver.forms.arguments import Argument, Confidence, effort_given, form_given, forms_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.trip import SeasonTripForm, Trip
from solver.forms.validation import Fault, TripError, check_trip, under
from solver.needs.question import tools_of_trip
from solver.offers.adoption_answer import AdoptionAnswer
from solver.offers.adoption_map import map_figures
from solver.offers.kit_lines import trip_with
from solver.offers.offer import Offer, OfferedTool
from solver.offers.offer_adoption import WeighedTrip, adoption_of
from solver.offers.verdict import Verdict, verdict_of
from solver.populations.drawn_trip import DrawnTrip, drawn_trips
from solver.populations.population import MoneyPerGram, Population

MOST_TRIPS, MOST_RIVALS, MOST_SCORE_DRAWS = 10_000, 10, 64
_SCORED_TRIPS = 50  # judged: of which draws of the scores are asked; each takes the work of a trip
USUAL_COUNT, USUAL_SEED, MOST_SEED = 1_000, 1, 2**31 - 1
_COUNT: Argument[int] = Argument("count", Annotated[int, Field(ge=1, le=MOST_TRIPS)], f"1 to {MOST_TRIPS}")
_SEED: Argument[int] = Argument("seed", Annotated[int, Field(ge=0, le=MOST_SEED)], f"0 to {MOST_SEED}")
_MOST_NAMED = 50  # judged: listed trips so few that each is told by its name
_TOLD_APART = (
    "people",
    "nights",
    "skill",
    "air_c",
    "wood.species",
    "wood.state",
    "fire.hearth",
    "fire.warmth_h",
    "limits.work_min_per_day",
)
_SCORE_DRAWS: Argument[int] = Argument(
    "score_draws", Annotated[int, Field(ge=0, le=MOST_SCORE_DRAWS)], f"0 to {MOST_SCORE_DRAWS}"
)
_CONFIDENCE: Argument[float] = Argument("confidence", Confidence, "above 0, at most 1")
_MONEY: Argument[float] = Argument("money_per_gram", MoneyPerGram, "above 0, at most 1,000,000")
_NOTE = (
    "A share of lightest kits over these trips, not a sales forecast: people choose tools for other reasons too. "
    "A tie counts: the offer is in some lightest kit."
)
_INVENTED = "The population is as good as what it says of how trips vary; those that come along are invented."
_RIVALS = "Each offer is set against the tools of the trips alone, not against the rivals."
_PART = "{settled} of {asked} trips were settled in the time allowed; the shares are of those."


@dataclass(frozen=True)
class OfferedTrips:
    """Trips on which offers are to be judged, each offer as rows of the catalog; what is settled of them comes back.

    Attributes:
        trips: the trips, in the order in which they are to be settled.
        offers: the tools of each offer.
        score_draws: joint draws of the scores, asked of the first trips.
        confidence: the share of the draws in which a kit must suffice, where that is asked.
    """

    trips: Sequence[Trip]
    offers: Sequence[tuple[Tool, ...]]
    score_draws: int = 0
    confidence: float | None = None

    def verdicts(self, place: int, *, effort: Effort) -> tuple[Verdict, ...]:
        """Return what one trip says of each offer."""
        draws = self.score_draws if place < _SCORED_TRIPS else 0
        return tuple(
            verdict_of(self.trips[place], rows, effort=effort, draws=draws, confidence=self.confidence)
            for rows in self.offers
        )


Settle = Callable[[OfferedTrips], Iterable[tuple[int, tuple[Verdict, ...]]]]


def adoption(
    *,
    name: str | None = None,
    tool: Tool | Mapping[str, Any] | None = None,
    design: Design | Mapping[str, Any] | None = None,
    pair: Iterable[OfferedTool | Mapping[str, Any]] | None = None,
    trips: Iterable[SeasonTripForm | Mapping[str, Any]] | None = None,
    population: Population | Mapping[str, Any] | None = None,
    count: int = USUAL_COUNT,
    seed: int = USUAL_SEED,
    rivals: Iterable[Offer | Mapping[str, Any]] = (),
    score_draws: int = 0,
    confidence: float | None = None,
    money_per_gram: float | None = None,
    effort: Effort | None = None,
    settle: Settle | None = None,
) -> AdoptionAnswer:
    """Return on which share of trips an offer is in some lightest kit, against its mass, and why it is not.

    Give exactly one of tool, design and pair, and exactly one of trips and population. Every form may be a dict of its
    fields instead.

    Args:
        name: what the offer is called.
        tool: a row of the catalog, with its mass.
        design: a drawing.
        pair: two tools, offered together.
        trips: trips with their weights.
        population: how trips vary.
        count: how many trips are drawn from the population.
        seed: one seed gives one answer.
        rivals: other offers, judged on the same trips.
        score_draws: joint draws of the scores of all tools, asked of the first 50 trips; 0 = none.
        confidence: the share of joint draws in which a kit must suffice, above 0, at most 1; None = kits at the medians
            alone.
        money_per_gram: what people pay for each gram less, where their group says nothing else; None = nobody knows.
        effort: what each solve, and the answer, may cost.
        settle: what settles the trips, as several processes do; None settles them here, one after the other.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together, or a population that makes no trips.
        Unfinished: the time did not suffice to check what was asked.
        Cancelled: nobody waits for it.
    """
    effort, count, seed = effort_given(effort), _COUNT.of(whole(count)), _SEED.of(whole(seed))
    score_draws = _SCORE_DRAWS.of(whole(score_draws))
    confidence = None if confidence is None else _CONFIDENCE.of(confidence)
    money = None if money_per_gram is None else _MONEY.of(money_per_gram)
    given = {"name": name, "tool": tool, "design": design, "pair": pair}
    asked = form_given("offer", {field: value for field, value in given.items() if value is not None}, Offer)
    offers = [asked, *forms_given("rivals", rivals, Offer)]
    if len(offers) > MOST_RIVALS + 1:
        raise TripError([Fault("#/rivals", len(offers) - 1, f"at most {MOST_RIVALS}", "there are too many rivals")])
    weighed, listed, called = _trips_of(trips, population, offers, count=count, seed=seed, money=money, effort=effort)
    order = _order(len(listed), seed=seed, drawn=trips is None)
    rows = [offer.rows for offer in offers]
    found: list[tuple[Verdict, ...] | None] = [None] * len(listed)
    ordered = OfferedTrips([listed[place] for place in order], rows, score_draws, confidence)
    for place, verdicts in (settle or _settled_here(effort))(ordered):
        found[order[place]] = verdicts
    told = [
        adoption_of(offer, weighed, [None if one is None else one[number] for one in found], confidence=confidence)
        for number, offer in enumerate(offers)
    ]
    wanted = len(listed) if population is None else count
    return _answer(told, called, asked=wanted, seed=seed, reached=sum(one is not None for one in found))


def _answer(told: Sequence[Any], called: str | None, *, asked: int, seed: int, reached: int) -> AdoptionAnswer:
    """Return the answer from what was told of the offer and of each rival."""
    first, *rivals = told
    settled = min(one.trips for one in told)
    notes = [_NOTE]
    notes += [_INVENTED] if called is not None else []
    notes += [_RIVALS] if rivals else []
    notes += [_PART.format(settled=settled, asked=asked)] if settled < asked else []
    whole_answer = reached == asked and not any(one.not_settled for one in told)
    return AdoptionAnswer(
        **{field: getattr(first, field) for field in type(first).model_fields},
        population=called,
        asked=asked,
        seed=seed,
        status="optimal" if whole_answer else "feasible" if first.trips else "not_settled",
        rivals=rivals,
        notes=notes,
    )


def _trips_of(
    trips: Any,
    population: Any,
    offers: Sequence[Offer],
    *,
    count: int,
    seed: int,
    money: float | None,
    effort: Effort,
) -> tuple[list[WeighedTrip], list[Trip], str | None]:
    """Return the trips as they count, the trips themselves, and what their population is called.

    Raises:
        TripError: neither or both are given, or they can't be taken.
    """
    if (trips is None) == (population is None):
        detail = "give exactly one of trips and population"
        raise TripError([Fault("#/trips", None, "trips, or a population", detail)])
    rows = list({row.id: row for offer in offers for row in offer.rows}.values())

    def check(trip: Trip) -> None:
        effort.go_on()
        offered = trip_with(trip, rows)
        check_trip(offered, tools_of_trip(offered))

    if population is None:
        several = forms_given("trips", trips, SeasonTripForm, least=1)
        if len(several) > MOST_TRIPS:
            fault = Fault("#/trips", len(several), f"at most {MOST_TRIPS}", "there are too many trips")
            raise TripError([fault])
        for place, one in enumerate(several):
            with under(f"/trips/{place}/trip"):
                check(one.trip)
        named, listed = len(several) <= _MOST_NAMED, [one.trip for one in several]
        weighed = [
            WeighedTrip(one.weight, trip.name if named else None, _values_of(trip), map_figures(trip), money)
            for one, trip in zip(several, listed, strict=True)
        ]
        return weighed, listed, None
    people = form_given("population", population, Population)
    with under("/population"):
        drawn = list(_in_time(drawn_trips(people, count=count, seed=seed, check=check)))
    paid = {one.name: money if one.money_per_gram is None else one.money_per_gram for one in people.groups}
    weighed = [WeighedTrip(1.0, one.group, one.values, map_figures(one.trip), paid[one.group]) for one in drawn]
    return weighed, [one.trip for one in drawn], people.name or people.id or "population"


def _in_time(drawn: Iterator[DrawnTrip]) -> Iterator[DrawnTrip]:
    """Yield trips as far as the time goes, at least one.

    Raises:
        Unfinished: the time did not suffice for the first.
    """
    yield next(drawn)
    try:
        yield from drawn
    except Unfinished:
        return


def _values_of(trip: Trip) -> dict[str, Any]:
    """Return the fields by which listed trips are told apart, as far as a trip has them."""
    found: dict[str, Any] = {}
    for path in _TOLD_APART:
        value: Any = trip
        for step in path.split("."):
            value = getattr(value, step, None)
        if value is not None:
            found[path] = value
    return found


def _order(number: int, *, seed: int, drawn: bool) -> list[int]:
    """Return the order in which trips are settled: as drawn, else by chance, so that the first are a sample."""
    if drawn:
        return list(range(number))
    return [int(place) for place in np.random.Generator(np.random.PCG64(seed)).permutation(number)]


def _settled_here(effort: Effort) -> Settle:
    """Return what settles trips one after the other, as far as the time goes."""

    def settle(asked: OfferedTrips) -> Iterator[tuple[int, tuple[Verdict, ...]]]:
        for place in range(len(asked.trips)):
            if effort.spent():
                return
            verdicts = asked.verdicts(place, effort=effort)
            if effort.over and not all(one.settled for one in verdicts):
                return
            yield place, verdicts

    return settle
