"""A season, as callers see it: what to own, each trip's kit, what the next tool saves, and what is lacking."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from solver.answers.gap import missing_must, unmet
from solver.answers.kit import gaps_of
from solver.answers.season import MANY_TIMES, WIDEST, Lacking, NextTool, Season, lacking_of, season_by_trips, season_of
from solver.forms.arguments import Argument, Money, Owned, TripGiven, effort_given, form_given, many_given, trip_given
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap
from solver.forms.quantity import UNITS_PER_PRICE, as_told
from solver.forms.question_answers import SeasonAnswer, SeasonTrip
from solver.forms.trip import SeasonTripForm, Trip
from solver.forms.validation import Fault, TripError, refuse_safety, under
from solver.model.case import Case
from solver.needs.case_builder import cap, grams
from solver.needs.knife import originals
from solver.needs.question import Question, question_of, times_of
from solver.search.settling import Parts

SeasonTripGiven = TripGiven | tuple[float, Trip] | tuple[float, Mapping[str, Any]] | SeasonTripForm
_MOST_JOBS = 1_000  # judged: more than a trip has; what so many still leave room for need not be counted first
_MOST_TIMES = 4_000_000  # judged: times of tools at jobs of all trips, some 250 MB with what sifts the tools
_FOR_THE_WHOLE = 0.8  # judged: of the time; the rest is for what can be told trip by trip
_FOR_MUCH = 0.3  # judged: of the time, where the whole is of very many tools
_OWNED: Argument[int] = Argument("own_at_most", Owned, "a whole number from 0 to 1000, or None")
_MONEY: Argument[float] = Argument("money", Money, "a number from 0 to 1e9, or None")


def season(
    trips: Iterable[SeasonTripGiven],
    *,
    own_at_most: int | None = None,
    money: float | None = None,
    effort: Effort | None = None,
) -> SeasonAnswer:
    """Return which tools to own so that the weighted carried grams are least, and what one more would save.

    Args:
        trips: one or more, each a trip made once, a pair of how often and a trip, or a SeasonTripForm; a trip is a Trip
            or a dict of its fields.
        own_at_most: tools that may be owned (0 to 1,000), or None.
        money: sum of the prices of the tools owned, at most, in the currency of the prices, or None.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together.
    """
    effort = effort_given(effort)
    listed = many_given("trips", trips, "one or more trips, or pairs of how often and a trip", least=1)
    weighted = [_season_trip_given(one, index) for index, one in enumerate(listed)]
    own_at_most = None if own_at_most is None else _OWNED.of(own_at_most)
    questions, times = list[Question](), 0
    for index, (_, trip) in enumerate(weighted):
        if effort.spent():
            return _open_season(weighted, Fraction(0))
        question = _season_question(
            trip, index, like=questions[0] if questions else None, times=_MOST_TIMES - times, effort=effort
        )
        times += 0 if question is None else question.case.work.size
        if question is None or times > _MOST_TIMES:
            raise TripError([_too_many_trips(len(weighted), index, question or questions[-1])])
        questions.append(question)
    weights = _season_weights([weight for weight, _ in weighted])
    cents = None if money is None else cap(_MONEY.of(money), UNITS_PER_PRICE)
    hopeless = any(map(_known_gaps, questions))
    cases = [question.case for question in questions]
    limits = _Limits(own_at_most, cents)
    found, bound = (None, None) if hopeless else _found_season(cases, weights, limits, effort=effort)
    if found is None:
        if bound is not None:
            return _open_season(weighted, bound)
        return _uncovered_season(questions, weighted, hopeless=hopeless, limits=limits, effort=effort)
    best, more = found
    gap = best.weighted - best.bound
    return SeasonAnswer(
        status="feasible" if gap > 0 else "optimal",
        found=True,
        own=originals(best.own),
        weighted_g=grams(float(best.weighted)),
        trips=[
            _season_trip(one, kit, mass, []) for one, kit, mass in zip(weighted, best.kits, best.masses, strict=True)
        ],
        next_tool_saves_g=None if more is None else grams(float(more.saves)),
        next_own=None if more is None else originals(more.own),
        gaps=[],
        bound_g=grams(float(best.bound)),
        gap_g=grams(float(gap)),
        checked=best.proven and more is not None,
        not_settled=[*([] if best.proven else ["own"]), *([] if more is not None else ["next_own"])],
    )


@dataclass(frozen=True)
class _Limits:
    """How many tools may be owned, and what they may cost [0.01]; None = any."""

    own_at_most: int | None
    money: int | None


def _found_season(
    cases: Sequence[Case], weights: Sequence[float], limits: _Limits, *, effort: Effort
) -> tuple[tuple[Season, NextTool | None] | None, Fraction | None]:
    """Return the tools to own, or None; and where the effort ended before any were found what none come below.

    No bound either means that no tools within the limits do for all trips.
    """
    asked: dict[str, Any] = {"own_at_most": limits.own_at_most, "money": limits.money}
    share = _FOR_MUCH if sum(case.work.size for case in cases) > MANY_TIMES else _FOR_THE_WHOLE
    try:
        return season_of(cases, weights, **asked, effort=effort.portion(share)), None
    except Unfinished:
        best, bound = season_by_trips(cases, weights, **asked, effort=effort)
        return None if best is None else (best, None), bound


def _open_season(trips: Sequence[tuple[float, Trip]], bound: Fraction) -> SeasonAnswer:
    """Return the answer where no tools within the limits were found, nor proven not to be there; maybe not looked for.

    Args:
        trips: how often each is made, and the trip.
        bound: what no tools come below [0.01 g].
    """
    return SeasonAnswer(
        status="not_settled",
        found=False,
        own=[],
        weighted_g=0.0,
        trips=[_season_trip(one, (), 0, []) for one in trips],
        next_tool_saves_g=None,
        next_own=None,
        gaps=[],
        bound_g=grams(float(bound)),
        gap_g=None,
        checked=False,
        not_settled=["own", "next_own"],
    )


def _season_trip_given(value: object, index: int) -> tuple[float, Trip]:
    """Return how often a trip of a season is made, and the trip.

    Raises:
        TypeError: it is no trip, and no pair with one.
        ValidationError: a field of a dict, or how often, can't be taken.
    """
    name = f"trips[{index}]"
    if isinstance(value, tuple | list) and len(value) == 2:
        weight, trip = value
        form = SeasonTripForm(weight=weight, trip=trip_given(trip, f"{name}[1]"))
    elif isinstance(value, SeasonTripForm) or (isinstance(value, Mapping) and "trip" in value):
        form = form_given(name, value, SeasonTripForm)
    else:
        form = SeasonTripForm(trip=trip_given(value, name))
    return form.weight, form.trip


def _season_question(trip: Trip, index: int, *, like: Question | None, times: int, effort: Effort) -> Question | None:
    """Return the question of one trip of a season, like that of the first, or None where it holds too many times.

    What holds too many is not put, but for the first: who asks is told how many jobs a trip has.

    Raises:
        TripError: fields of the trip that don't go together.
    """
    with under(f"/trips/{index}/trip"):
        refuse_safety(trip)
        if like is not None and _MOST_JOBS * like.workers.carried > times and times_of(trip) > times:
            return None
        return question_of(trip.model_copy(update={"aim": "mass"}), like=like, effort=effort)


def _too_many_trips(trips: int, most: int, question: Question) -> Fault:
    """Return the fault of more trips than the work of so many tools can be kept of at once."""
    tools, jobs = question.workers.carried, len(question.case.work)
    detail = f"the work of {tools} tools at some {jobs} jobs can be told on {most} trips at once, not on {trips}"
    return Fault("#/trips", trips, f"at most {most} trips of {tools} tools", f"{detail}; send fewer, or name `only`")


def _season_weights(weights: Sequence[float]) -> list[float]:
    """Return the weights, checked.

    Raises:
        TripError: weights too far apart for grams of the rarest trip to count beside those of the others.
    """
    least = max(weights) / WIDEST
    faults = [
        Fault(
            f"#/trips/{index}/weight",
            weight,
            f"at least {least:g}",
            f"the weight {weight:g} is less than 1/{WIDEST:g} of the largest weight",
        )
        for index, weight in enumerate(weights)
        if weight < least
    ]
    if faults:
        raise TripError(faults)
    return list(weights)


def _uncovered_season(
    questions: Sequence[Question],
    trips: Sequence[tuple[float, Trip]],
    *,
    hopeless: bool,
    limits: _Limits,
    effort: Effort,
) -> SeasonAnswer:
    """Return the answer where no tools do for all trips: what may be owned, or else each trip's own gaps.

    Args:
        questions: a question a trip.
        trips: how often each is made, and the trip.
        hopeless: whether some trip is known to be beyond every kit.
        limits: on the tools that may be owned.
        effort: what each proof may cost.
    """
    cases = [question.case for question in questions]
    parts = Parts(["gaps", *("trips" for _ in questions)], effort=effort)
    asked: dict[str, Any] = {"own_at_most": limits.own_at_most, "money": limits.money}
    lacking: list[Lacking] = []
    if not hopeless:
        lacking = parts.settle("gaps", lambda part: lacking_of(cases, **asked, effort=part), lacking)
    own_gaps = [[] if lacking else parts.settle_in_time("trips", gaps_of(one), _known_gaps(one)) for one in questions]
    left = list(dict.fromkeys(parts.unsettled))
    return SeasonAnswer(
        status="uncovered",
        found=False,
        own=[],
        weighted_g=0.0,
        trips=[_season_trip(one, (), 0, gaps) for one, gaps in zip(trips, own_gaps, strict=True)],
        next_tool_saves_g=None,
        next_own=None,
        gaps=[_lacking_gap(one) for one in lacking],
        bound_g=None,
        gap_g=None,
        checked=not left,
        not_settled=left,
    )


def _known_gaps(question: Question) -> list[Gap]:
    """Return the gaps of one trip by itself that are known without any search."""
    return missing_must(question.trip, question.barred, question.case) + unmet(question, question.case)[2]


def _lacking_gap(lacking: Lacking) -> Gap:
    """Return the gap of a limit on what may be owned."""
    per_unit = UNITS_PER_PRICE if lacking.field == "money" else 1
    limit, needed = lacking.limit / per_unit, lacking.needed / per_unit
    text = f"No tools within {lacking.field} {as_told(limit)} are enough for every trip. "
    text += f"The least that is enough is {as_told(needed)}."
    unit = "price" if lacking.field == "money" else "tool"
    return Gap(
        kind="limit", need=None, field=lacking.field, short_by=needed - limit, unit=unit, closest=None, text=text
    )


def _season_trip(one: tuple[float, Trip], kit: Sequence[str], mass: int, gaps: list[Gap]) -> SeasonTrip:
    """Return one trip of a season with its kit."""
    weight, trip = one
    return SeasonTrip(name=trip.name, weight=weight, ids=originals(kit), mass_g=grams(mass), gaps=gaps)
