"""The best design for one trip or several: the measures whose lightest kits save most grams, and what holds them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial
from typing import Annotated, Any

from pydantic import Field, model_validator

from catalog.bench.design import Design
from catalog.bench.design_measure import design_measures, usual_measures, value_at
from catalog.bench.feasibility import LIMIT_NAMES, LimitName
from catalog.bench.rating import rate
from catalog.bench.variation import measure_words
from catalog.making.making_caution import making_cautions
from catalog.making.stock import stock_thicknesses
from catalog.tables.whole_number import whole
from solver.answers.sweep import DesignLimits
from solver.forms.arguments import Argument, effort_given, form_given, forms_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.trip import Form, SeasonTripForm, Trip
from solver.forms.validation import Fault, TripError, check_trip, under
from solver.makers.best_design_answer import (
    BestDesignAnswer,
    DesignOnTrip,
    HeldBy,
    Plateau,
    StockDesign,
)
from solver.makers.best_question import BestQuestion
from solver.makers.design_search import DesignSearch, spread_front
from solver.makers.fine_steps import finely_stepped
from solver.makers.measure_space import SearchRange
from solver.makers.weighed_design import (
    MEASURE_DECIMALS,
    TripWithout,
    Weighed,
    bare_trip,
    drawn_mass_g,
)
from solver.needs.knife import originals
from solver.needs.question import tools_of_trip
from solver.populations.drawn_trip import drawn_trips
from solver.populations.population import Population
from solver.search.settling import Parts

_SPINE = "drawing.blade.spine_mm"
# judged: of the time, and of the tries: first the search, then fine steps, the sheets of steel, and the plateau
_FOR_THE_SEARCH = 0.6
_OF_A_THICKNESS = 0.15
# judged: as many as the fine steps of ten measures take from a good design
_OF_FINE_STEPS = 0.75
# judged: a measure that comes as close to its end, as a share of its range, is held by it
_AT_AN_END = 0.01
# judged: a limit with less room than this share of its step holds the design
_LITTLE_ROOM = 0.25
# judged: halvings after which the end of a plateau is known to a sixtieth of the range
_HALVINGS = 6
MOST_DRAWN, USUAL_DRAWN = 100, 20  # judged: each design is weighed on each of them
_COUNT: Argument[int] = Argument("count", Annotated[int, Field(ge=1, le=MOST_DRAWN)], f"1 to {MOST_DRAWN}")
_TRIES: Argument[int] = Argument("tries", int, "a whole number from 50 to 20,000")
_LOOSEN: Argument[list[LimitName]] = Argument("loosen", list[LimitName], f"a list of {', '.join(LIMIT_NAMES)}")


class DesignRange(Form):
    """A measure of the design, and the range in which it may lie; its ends are those of the usual table by default."""

    field: str = Field(pattern=r"^drawing(\.[a-z][a-z_]*){1,4}$", max_length=80, examples=["drawing.blade.length_mm"])
    low: float
    high: float

    @model_validator(mode="after")
    def _rising(self) -> DesignRange:
        if self.low >= self.high:
            raise ValueError("low must be below high")
        return self


def best_design(
    design: Design | Mapping[str, Any],
    trips: Iterable[SeasonTripForm | Mapping[str, Any]] | None = None,
    *,
    population: Population | Mapping[str, Any] | None = None,
    count: int = USUAL_DRAWN,
    measures: Iterable[DesignRange | Mapping[str, Any]] | None = None,
    limits: DesignLimits | Mapping[str, Any] | None = None,
    loosen: Iterable[LimitName] = (),
    tries: int = 400,
    seed: int = 1,
    plateau_g: float = 5.0,
    effort: Effort | None = None,
) -> BestDesignAnswer:
    """Return the design whose kits save most grams over trips, as far as a search finds it.

    Give exactly one of trips and population. Every form may be a dict of its fields instead.

    Args:
        design: where the search starts, and what stays the same.
        trips: what it is for, each with a weight.
        population: how the trips vary that it is for.
        count: how many trips are drawn from the population, 1 to 100; each takes as much time as one that is listed.
        measures: what may move, and how far; the usual measures of its form where it is None.
        limits: what the design must keep within, or None.
        loosen: names of the usual limits that designs need not keep.
        tries: how many designs the search may try, 50 to 20,000; fine steps take three quarters
            as many more, sheets of steel and plateaus as many again.
        seed: of the search, and of the trips drawn.
        plateau_g: grams saved that a plateau may lose.
        effort: what all may cost: where its time ends first, the best so far is told.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    effort, design = effort_given(effort), form_given("design", design, Design)
    given = _trips_given(trips, population, count=_COUNT.of(whole(count)), seed=seed)
    free, tries = list(dict.fromkeys(_LOOSEN.of(loosen))), _TRIES.of(tries)
    ranges = _ranges(design, None if measures is None else forms_given("measures", measures, DesignRange, least=1))
    asked = BestQuestion(
        design,
        ranges,
        [bare_trip(one.trip, one.weight, effort=effort) for one in given],
        form_given("limits", {} if limits is None else limits, DesignLimits),
        free,
        plateau_g,
    )
    search = asked.search(ranges, {}, effort=effort, ends=effort.portion(_FOR_THE_SEARCH))
    unsettled = []
    try:
        search.at([_start(design, ranges)])
        search.run(_start(design, ranges), tries, seed=seed)
    except Unfinished:
        unsettled.append("search")
    parts = Parts(["steps", "stock", "plateau"], effort=effort)
    stock: list[StockDesign] = []
    if search.best is not None and search.best.allowed:
        parts.settle("steps", partial(_step_finely, asked, search, round(tries * _OF_FINE_STEPS)), None)
        sheets = partial(_add_stock, stock, asked, search, max(20, round(tries * _OF_A_THICKNESS)), seed)
        parts.settle("stock", sheets, None)
    best = search.best if search.best is not None and search.best.allowed else None
    rating = None if best is None else rate(design.varied(best.values))
    covers = best is not None and any(one.mass_g is not None for one in best.trips)
    plateau: list[Plateau] = []
    if best is not None and best.loss(asked.trips) < 0:
        parts.settle("plateau", partial(_add_plateau, plateau, asked, best), None)
    return BestDesignAnswer(
        name=design.name,
        status="no_design" if best is None else "found" if covers else "uncovered",
        tried=len(search.tried),
        seed=seed,
        best=None if best is None else asked.told(best),
        tool=None if rating is None else rating.tool,
        design=None if best is None else design.varied(best.values),
        saved_g=None if best is None else round(best.saved_g(asked.trips), 2),
        share=None if best is None else _share(best, asked.trips),
        trips=[] if best is None else [_on(design, one, number, best) for number, one in enumerate(asked.trips)],
        holding=[] if best is None else list(_holding(best, asked)),
        plateau_g=plateau_g,
        plateau=plateau,
        stock=stock,
        front=spread_front([asked.told(one) for one in search.tried if one.allowed]),
        loosened=free,
        warnings=[] if rating is None else list(rating.warnings),
        cautions=list(making_cautions()),
        not_settled=[*unsettled, *parts.unsettled],
    )


def _trips_given(
    trips: Iterable[Any] | None, population: Population | Mapping[str, Any] | None, *, count: int, seed: int
) -> list[SeasonTripForm]:
    """Return the trips: those listed, or some drawn from the population.

    Raises:
        TripError: neither or both are given, or they can't be taken.
    """
    if (trips is None) == (population is None):
        detail = "give exactly one of trips and population"
        raise TripError([Fault("#/trips", None, "trips, or a population", detail)])
    if trips is None:
        with under("/population"):
            drawn = drawn_trips(form_given("population", population, Population), count=count, seed=seed, check=_check)
            return [SeasonTripForm(trip=one.trip) for one in drawn]
    given = forms_given("trips", trips, SeasonTripForm, least=1)
    for place, one in enumerate(given):
        with under(f"/trips/{place}/trip"):
            _check(one.trip)
    return given


def _check(trip: Trip) -> None:
    """Refuse a trip that the search does not take.

    Raises:
        TripError: fields that don't go together.
    """
    if trip.robust is not None:
        why = "a search for designs does not consider the loss of a tool"
        raise TripError([Fault("#/robust", True, "null", why)])
    check_trip(trip, tools_of_trip(trip))


def _ranges(design: Design, given: Sequence[DesignRange] | None) -> list[SearchRange]:
    """Return the measures that move.

    Raises:
        TripError: a field that is no measure of the drawing, or one named twice.
    """
    if given is None:
        return [SearchRange(one.field, one.low, one.high) for one in usual_measures(design)]
    known, faults = design_measures(design.drawing.form), []
    for place, one in enumerate(given):
        if one.field not in known:
            takes = f"one of {', '.join(known)}"
            faults.append(Fault(f"#/measures/{place}/field", one.field, takes, "there is no such measure"))
        if one.field in [other.field for other in given[:place]]:
            faults.append(Fault(f"#/measures/{place}/field", one.field, "each field once", "it is named twice"))
    if faults:
        raise TripError(faults)
    return [SearchRange(one.field, one.low, one.high) for one in given]


def _start(design: Design, ranges: Sequence[SearchRange]) -> dict[str, float]:
    """Return the measures as drawn; what is not drawn in the middle of its range, a taper as thick as the spine."""
    form = design.model_dump()
    found = {}
    for one in ranges:
        value = value_at(form, one.field)
        drawn = (one.low + one.high) / 2 if value is None else float(value)
        found[one.field] = min(one.high, max(one.low, drawn))
    return found


def _share(best: Weighed, trips: Sequence[TripWithout]) -> float:
    """Return the share of trips, by weight, whose kit with the design weighs no more than the one without."""
    wins = (
        one.weight
        for one, here in zip(trips, best.trips, strict=True)
        if here.mass_g is not None and (one.bare_g is None or here.mass_g <= one.bare_g)
    )
    return sum(wins) / sum(one.weight for one in trips)


def _on(design: Design, one: TripWithout, number: int, best: Weighed) -> DesignOnTrip:
    """Return what the best design does on a trip; in a kit it has the id of the design that was asked."""
    assert best.candidate is not None
    here, tried = best.trips[number], best.candidate.rating.tool.id
    saved = 0.0 if one.bare_g is None or here.mass_g is None else max(0.0, one.bare_g - here.mass_g)
    return DesignOnTrip(
        name=one.trip.name,
        weight=one.weight,
        without_g=one.bare_g,
        with_g=here.mass_g,
        saved_g=round(saved, 2),
        ids=[design.id if name == tried else name for name in originals(here.ids)],
    )


def _holding(best: Weighed, asked: BestQuestion) -> Iterable[HeldBy]:
    """Return the limits that leave next to no room, and the ends of ranges at which a measure stands."""
    assert best.candidate is not None
    for check in best.candidate.rating.checks:
        rooms = [
            abs(check.value - end) / check.step for end in (check.low, check.high) if end is not None and check.value
        ]
        if check.limit not in asked.free and rooms and min(rooms) < _LITTLE_ROOM:
            yield HeldBy(kind="limit", name=check.limit, text=check.text)
    for one in asked.ranges:
        share = one.share(best.values[one.field])
        end = "low" if share < _AT_AN_END else "high" if share > 1 - _AT_AN_END else None
        if end is not None:
            name, unit = measure_words(one.field)
            stands = f"{getattr(one, end):g} {unit}".strip()
            text = f"{name.capitalize()} stands at the {end} end of its range, {stands}."
            yield HeldBy(kind="range", name=one.field, text=text)


def _step_finely(asked: BestQuestion, first: DesignSearch, tries: int, effort: Effort) -> None:
    """Go on from the best: land it, then by fine steps, as long as it gets lighter; `first` keeps what is tried.

    Raises:
        Unfinished: there may be more.
    """
    search = asked.search(asked.ranges, {}, effort=effort, ends=effort)
    search.best = first.best
    try:
        search.land()
        assert search.best is not None
        mass_g = partial(drawn_mass_g, asked.design)
        finely_stepped(search.best, search.space, weigh=search.at, mass_g=mass_g, loss=asked.loss, most=tries)
    finally:
        first.keep(search.tried)


def _add_stock(
    stock: list[StockDesign], asked: BestQuestion, first: DesignSearch, tries: int, seed: int, effort: Effort
) -> None:
    """Add the best design of steel of each thickness sold within the range of the spine; `first` keeps them as tried.

    Raises:
        Unfinished: there may be more.
    """
    spine = next((one for one in asked.ranges if one.field == _SPINE), None)
    if spine is None or first.best is None:
        return
    rest = [one for one in asked.ranges if one.field != _SPINE]
    start = {one.field: first.best.values[one.field] for one in rest}
    for thickness in stock_thicknesses():
        if not spine.low <= thickness <= spine.high:
            continue
        search = asked.search(rest, {_SPINE: thickness}, effort=effort, ends=effort)
        search.at([start])
        if rest:
            search.run(start, tries, seed=seed, near=True)
        first.keep(search.tried)
        found = search.best if search.best is not None and search.best.allowed else None
        stock.append(StockDesign(thickness_mm=thickness, found=None if found is None else asked.told(found)))


def _add_plateau(plateau: list[Plateau], asked: BestQuestion, best: Weighed, effort: Effort) -> None:
    """Add how far each measure may move by itself.

    Raises:
        Unfinished: there may be more.
    """
    search = asked.search(asked.ranges, {}, effort=effort, ends=effort)
    least = best.saved_g(asked.trips) - asked.plateau_g

    def good(field: str, value: float) -> bool:
        (one,) = search.at([{**best.values, field: value}])
        moved = abs(one.values[field] - value) < _AT_AN_END
        return moved and one.allowed and one.saved_g(asked.trips) >= least and _covers_as(one, best)

    for one in asked.ranges:
        value = best.values[one.field]
        ends = [_end(partial(good, one.field), value, end) for end in (one.low, one.high)]
        low, high = round(min(value, ends[0]), MEASURE_DECIMALS), round(max(value, ends[1]), MEASURE_DECIMALS)
        plateau.append(Plateau(field=one.field, value=value, low=low, high=high))


def _covers_as(one: Weighed, best: Weighed) -> bool:
    """Tell whether a design covers every trip that the best one does."""
    pairs = zip(one.trips, best.trips, strict=True)
    return all(there.mass_g is None or here.mass_g is not None for here, there in pairs)


def _end(good: Callable[[float], bool], value: float, end: float) -> float:
    """Return the farthest value towards an end that is still good, by halving; taken as one stretch."""
    if good(end):
        return end
    inside, outside = value, end
    for _ in range(_HALVINGS):
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if good(middle) else (inside, middle)
    return inside
