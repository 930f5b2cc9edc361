"""Answers to the further questions: fronts, checks, confidence, seasons and allowances, as callers see them."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from catalog import Tool
from solver.allowance import Allowance, allowance_of, price_allowance_of
from solver.answer import KitBrief
from solver.case import Case
from solver.check import checked_kit, unbarred
from solver.confidence import Sufficing, normalised, steps_of, sufficing_kit
from solver.engine import Effort
from solver.explanation import kit_of
from solver.fault import MOST_HINTS, Fault, TripError, unknown_id
from solver.finding import (
    AllowanceAnswer,
    CheckAnswer,
    ConfidenceAnswer,
    FrontAnswer,
    FrontPoint,
    SeasonAnswer,
    SeasonTrip,
    StepAnswer,
    SwapAnswer,
    TripAllowance,
)
from solver.framing import UNITS_PER_PRICE, cap, grams
from solver.front import Against, Point, front_of
from solver.gap import unmet
from solver.kit import settled_kit
from solver.need_row import need_rows, working_rows
from solver.question import Question, question_of
from solver.robust import safety_of
from solver.scenario import DiameterRange, Scenario, scenario_trips
from solver.season import Season, season_of
from solver.story import Story
from solver.trip import Trip
from solver.warning import cautions_of


def front(trip: Trip, *, against: Against, effort: Effort | None = None) -> FrontAnswer:
    """Return every non-dominated kit of a trip, by grams and minutes or by grams and price.

    Against minutes the work limit is left out; the other limits stay. Where the trip has gaps, they are named
    and the front is of the rest, as POST /kits answers it.

    Raises:
        TripError: fields that don't go together.
        Unfinished: the effort ran out before any kit was found.
    """
    effort = effort or Effort()
    trip = trip.model_copy(update={"aim": "mass"})
    question = question_of(trip)
    if against == "minutes":
        question = replace(question, case=question.case.capped("work_cap", None))
    settled = settled_kit(question, effort=effort)
    found = front_of(settled.case, against=against, effort=effort)
    story = Story(question, settled)
    return FrontAnswer(
        name=trip.name,
        against=against,
        status="uncovered" if settled.gaps else "optimal" if found.complete else "feasible",
        points=[front_point(story, point) for point in found.points],
        gaps=settled.gaps,
        cautions=cautions_of(story),
    )


def front_point(story: Story, point: Point) -> FrontPoint:
    """Return one point of a front."""
    kit = kit_of(Story(story.question, replace(story.settled, choice=point.choice, load=point.load)))
    return FrontPoint(
        ids=[tool.id for tool in kit.tools],
        methods=kit.methods,
        mass_g=kit.mass_g,
        work_min_per_day=kit.work_min_per_day,
        price=round(point.price / UNITS_PER_PRICE, 2),
    )


def check(trip: Trip, kit: Sequence[str], *, effort: Effort | None = None) -> CheckAnswer:
    """Return how the user's own kit serves a trip.

    Raises:
        TripError: an id that no tool has, or one named twice.
        Unfinished: the effort ran out.
    """
    effort = effort or Effort()
    free = question_of(unbarred(trip))
    check_ids(kit, free)
    found = checked_kit(trip, free, kit, effort=effort)
    lightest = settled_kit(question_of(trip.model_copy(update={"aim": "mass"})), effort=effort)
    story = Story(free, found.settled)
    swap = found.swap
    return CheckAnswer(
        name=trip.name,
        covered=found.covered,
        kit=kit_of(story),
        needs=need_rows(story),
        workings=working_rows(story),
        gaps=found.settled.gaps,
        lightest=None
        if lightest.gaps
        else KitBrief(ids=list(lightest.choice.ids or ()), mass_g=grams(lightest.choice.mass)),
        over_lightest_g=None if lightest.gaps else grams(found.settled.choice.mass - lightest.choice.mass),
        first_swap=None if swap is None else SwapAnswer(out=swap.out, into=swap.into, saves_g=grams(swap.saves)),
        cautions=cautions_of(story),
        assumptions=free.ledger.listed(),
    )


def check_ids(kit: Sequence[str], question: Question) -> None:
    """Check the ids of a kit.

    Raises:
        TripError: an id that no tool has, or one named twice.
    """
    known = {tool.id for tool in question.tools}
    first: dict[str, int] = {}
    faults: list[Fault] = []
    for index, name in enumerate(kit):
        pointer = f"#/kit/{index}"
        if name not in known:
            faults.append(unknown_id(pointer, name, sorted(known) if len(faults) < MOST_HINTS else []))
        elif name in first:
            detail = f"{name} stands already at #/kit/{first[name]}: a kit holds a tool once"
            faults.append(Fault(pointer, name, "each tool once", detail))
        first.setdefault(name, index)
    if faults:
        raise TripError(faults)


def allowance(tool: Tool, trips: Sequence[Trip], *, effort: Effort | None = None) -> AllowanceAnswer:
    """Return the most packed mass at which a tool is in some lightest kit, per trip and the least of them.

    Raises:
        TripError: fields that don't go together.
        Unfinished: the effort ran out.
    """
    effort = effort or Effort()
    found = [trip_allowance(tool, trip, effort=effort) for trip in trips]
    masses = [one.allowance_g for one in found if one.allowance_g is not None]
    never = any(one.reason == "never" for one in found)
    reason: Literal["never", "unbounded"] | None = "never" if never else None if masses else "unbounded"
    return AllowanceAnswer(tool=tool.id, allowance_g=None if reason else min(masses), reason=reason, trips=found)


def trip_allowance(tool: Tool, trip: Trip, *, effort: Effort) -> TripAllowance:
    """Return the allowance of a tool on one trip."""
    extra = [*(one for one in trip.extra_tools if one.id != tool.id), tool]
    question = question_of(trip.model_copy(update={"extra_tools": extra}))
    rule = next((rule for one, rule in question.barred if one.id == tool.id), None)
    if rule is not None:
        return told(trip, Allowance(None, "never", None, None), f"{rule} keeps it home.")
    case, met, _ = unmet(question, question.case)
    place, safety = case.place[tool.id], safety_of(question, case, met)
    found = allowance_of(case, place, safety=safety, effort=effort)
    price = price_allowance_of(case, place, safety=safety, effort=effort)
    texts = {
        None: "It is in a lightest kit up to this packed mass.",
        "never": "Even weightless it is in no lightest kit.",
        "unbounded": "No kit does without it, so no mass is too much.",
    }
    return told(trip, found, texts[found.reason], price)


def told(trip: Trip, found: Allowance, text: str, price: int | None = None) -> TripAllowance:
    """Return an allowance as callers see it."""
    return TripAllowance(
        name=trip.name,
        allowance_g=None if found.mass is None else grams(found.mass),
        reason=found.reason,
        without=None if found.without is None else sorted(found.without),
        with_tool=None if found.with_tool is None else sorted(found.with_tool),
        replaces=found.replaces,
        price_allowance=None if price is None else price / UNITS_PER_PRICE,
        text=text,
    )


def confidence(
    trip: Trip,
    scenarios: Sequence[Scenario],
    asked: float,
    *,
    spread: DiameterRange | None = None,
    effort: Effort | None = None,
) -> ConfidenceAnswer:
    """Return the lightest kit that suffices with a probability, the alternatives, and each step's price.

    Raises:
        TripError: fields that don't go together.
        Unfinished: the effort ran out.
    """
    effort = effort or Effort()
    weighted = scenario_trips(trip, scenarios, spread)
    questions = [question_of(one) for _, one in weighted]
    cases = [question.case for question in questions]
    weights = normalised([weight for weight, _ in weighted])
    best = sufficing_kit(cases, weights, asked, effort=effort)
    steps = steps_of(cases, weights, effort=effort)
    others = next_sufficing(cases, weights, asked, best, trip.alternatives, effort=effort)
    return ConfidenceAnswer(
        name=trip.name,
        status="uncovered" if best.ids is None else "optimal",
        confidence=asked,
        probability=round(best.probability, 9),
        kit=brief(best),
        suffices_in=list(best.scenarios),
        weights=[round(weight, 9) for weight in weights],
        steps=[step(one, before) for one, before in zip(steps, [None, *steps], strict=False)],
        alternatives=[step(one, best) for one in others],
    )


def next_sufficing(
    cases: Sequence[Case],
    weights: Sequence[float],
    asked: float,
    best: Sufficing,
    number: int,
    *,
    effort: Effort,
) -> list[Sufficing]:
    """Return the next lightest kits that suffice with the confidence asked, none holding a listed one."""
    listed: list[Sufficing] = [best]
    while listed[-1].ids and len(listed) <= number:
        barred = [frozenset(one.ids or ()) for one in listed]
        listed.append(sufficing_kit(cases, weights, asked, effort=effort, barred=barred))
    return [one for one in listed[1:] if one.ids]


def brief(found: Sufficing) -> KitBrief | None:
    """Return a sufficing kit in brief."""
    return None if found.ids is None else KitBrief(ids=list(found.ids), mass_g=grams(found.mass))


def step(found: Sufficing, before: Sufficing | None) -> StepAnswer:
    """Return a kit with its probability, and its price against another."""
    return StepAnswer(
        ids=list(found.ids or ()),
        mass_g=grams(found.mass),
        probability=round(found.probability, 9),
        suffices_in=list(found.scenarios),
        more_g=None if before is None else grams(found.mass - before.mass),
    )


def season(
    trips: Sequence[tuple[float, Trip]],
    *,
    own_at_most: int | None,
    money: float | None,
    effort: Effort | None = None,
) -> SeasonAnswer:
    """Return which tools to own so that the weighted carried grams are least, and what one more would save.

    Raises:
        TripError: fields that don't go together.
        Unfinished: the effort ran out.
    """
    effort = effort or Effort()
    cases = [season_case(trip, i) for i, (_, trip) in enumerate(trips)]
    weights = [weight for weight, _ in trips]
    cents = cap(money, UNITS_PER_PRICE)
    found = season_of(cases, weights, own_at_most=own_at_most, money=cents, effort=effort)
    more = (
        None
        if own_at_most is None or found.own is None
        else season_of(cases, weights, own_at_most=own_at_most + 1, money=cents, effort=effort)
    )
    return SeasonAnswer(
        status="uncovered" if found.own is None else "optimal",
        own=list(found.own or ()),
        weighted_g=grams(found.weighted),
        trips=season_trips(trips, found),
        next_tool_saves_g=None if more is None else grams(found.weighted - more.weighted),
        next_own=None if more is None or more.own is None else list(more.own),
    )


def season_case(trip: Trip, index: int) -> Case:
    """Return the case of one trip of a season.

    Raises:
        TripError: a trip that no kit covers, whatever is owned.
    """
    question = question_of(trip)
    case, _, gaps = unmet(question, question.case)
    if gaps:
        text = f"no kit covers this trip: {gaps[0].text}"
        raise TripError([Fault(f"#/trips/{index}/trip", trip.name, "a trip that some kit covers", text)])
    return case


def season_trips(trips: Sequence[tuple[float, Trip]], found: Season) -> list[SeasonTrip]:
    """Return each trip with its kit; none where no tools do for all."""
    if found.own is None:
        return []
    return [
        SeasonTrip(name=trip.name, weight=weight, ids=list(kit), mass_g=grams(mass))
        for (weight, trip), kit, mass in zip(trips, found.kits, found.masses, strict=True)
    ]
