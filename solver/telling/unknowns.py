"""What draws tell, in sentences: why a kit does not suffice, the biggest unknowns, and what to time first."""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from math import ceil
from typing import Any

import numpy as np

from catalog import assumptions
from catalog.maths.binomial import binomial_interval
from solver.answers.confidence import PROBABILITY_DIGITS
from solver.draws.figure_shares import FigureShare, FigureThatMatters, figures_that_matter, lightest_masses
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import FIREWOOD, LIFE_SPENT, REACH, KitOutcomes, outcomes_of
from solver.draws.trial_saving import TrialSaving, trials_that_save
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap
from solver.forms.limit import WORK
from solver.forms.sure_answer import FigureMatters, KitFailure, SuggestedTrial, TrialStep, VarianceShare
from solver.forms.trip import Trip
from solver.needs.case_builder import ANSWER_DIGITS, grams
from solver.needs.job import KNIFE
from solver.needs.knife import originals
from solver.needs.question import Question
from solver.telling.upgrade import GERUNDS

_TOLD = 2  # judged: digits after the point in which sentences tell a probability
_SHARES = ("minutes", "sufficing", "grams")
_VARIES = {
    "minutes": "the minutes of the kit",
    "sufficing": "whether it suffices",
    "grams": "the grams of the lightest kit",
}
_COUNTED = {"saw": "cut", "chop": "cut", "split": "cleft", "carve": "piece"}
_WORK = {
    "saw": "saw {counted} through {mm:g} mm thick {wood} ({state})",
    "chop": "chop {counted} through {mm:g} mm thick {wood} ({state})",
    "split": "split {counted} through {mm:g} mm thick rounds of {wood} ({state})",
    "carve": "carve {counted} from {mm:g} mm thick wood",
}
_FEW_MIN = 10  # judged: minutes below which two digits are told
MORE_MIN = 30.0  # by definition: half an hour more than the limit
_WHOLE = 10  # judged: figures from which no tenths are told


def told_probability(odds: Fraction | float) -> str:
    """Return a probability as sentences tell it: never as 0 or 1 where it is neither."""
    share = float(odds)
    near = round(share, _TOLD)
    step = 10.0**-_TOLD
    if 0 < share < 1 and near in {0.0, 1.0}:
        return f"under {step:g}" if near == 0 else f"over {1 - step:g}"
    return f"{near:g}"


def told_estimate(share: Fraction | float) -> str:
    """Return the probability that fresh draws tell, as sentences tell it: never as 1, since others may miss."""
    return f"over {1 - 10.0**-_TOLD:g}" if share >= 1 else told_probability(share)


def told_draws(hits: int, count: int) -> str:
    """Return in how many draws something is so, as sentences tell it."""
    return f"all {count} draws" if hits == count else f"{hits} of the {count} draws"


def kit_failures(question: Question, ids: tuple[str, ...], found: KitOutcomes, *, effort: Effort) -> list[KitFailure]:
    """Return why a kit does not suffice, the likeliest first.

    Args:
        question: the trip's.
        ids: of the tools.
        found: what they do in fresh draws.
        effort: what their day as assumed may cost.

    Raises:
        Unfinished: the effort ran out.
    """
    rows = [
        KitFailure(
            need=_failing_need(name), how="cannot", probability=_share(where), text=_cannot_text(question, name, where)
        )
        for name, where in found.lacking.items()
        if where.any()
    ]
    if found.late.any():
        usual = outcomes_of(draws_of(question, count=1, seed=0, effort=effort), question.case.kit(ids))
        longer = {
            name: float(spent[found.late].mean()) - float(usual.spent_ms.get(name, np.zeros(1))[0])
            for name, spent in found.spent_ms.items()
        }
        most = max(longer, key=lambda name: longer[name])
        late = KitFailure(
            need=_failing_need(most),
            how="late",
            probability=_share(found.late),
            text=_late_text(question.trip, most, found),
        )
        rows.append(late)
    return sorted(rows, key=lambda row: -row.probability)


def _share(where: Any) -> float:
    """Return in what share of draws something is so."""
    return round(float(np.mean(where)), PROBABILITY_DIGITS)


def _failing_need(name: str) -> str | None:
    """Return the need that a reason is about, None for firewood and wear."""
    return None if name in {FIREWOOD, REACH, LIFE_SPENT} else name


def _cannot_text(question: Question, name: str, where: Any) -> str:
    """Return why a kit can't, in words, with the probability.

    Args:
        question: the trip's.
        name: of the need, or what of firewood or wear it is.
        where: the fresh draws in which it can't, bool[E].
    """
    return f"With probability {told_probability(float(np.mean(where)))} {_cannot(question, name)}."


def _cannot(question: Question, name: str) -> str:
    """Return what a kit can't, in words."""
    why = {
        REACH: "there is too little wood within reach for the fire",
        FIREWOOD: "it can't work enough of the wood within reach: too thick, or no cleft is started",
        LIFE_SPENT: "its tools wear out before the work is done",
        KNIFE: "it lacks the knife that stays in the pack",
    }
    task = next((need.job.task for need in question.needs if need.id == name), None)
    how = {"split": "the rounds are too thick, or no cleft is started", "buck": "the wood is too thick, or won't break"}
    return why.get(name, f"it can't do {name}: {how.get(task or '', 'the wood is too thick')}")


def _late_text(trip: Trip, most: str, found: KitOutcomes) -> str:
    """Return that a kit is late, in words, and what half an hour more would do; whether the limit is the usual one."""
    limit = trip.limits.work_min_per_day
    nine = found.minutes_at(Fraction(9, 10))
    tail = "" if nine is None else f" With probability 0.1 each day takes {_rounded(nine)} minutes or more."
    text = (
        f"With probability {told_probability(float(np.mean(found.late)))} it takes more than {limit:g} minutes a day, "
        f"most of all {'the firewood' if most == FIREWOOD else most}.{tail}"
    )
    stated = "work_min_per_day" in trip.limits.model_fields_set
    start = "With" if stated else f"{limit:g} minutes is the usual limit: with"
    longer = told_estimate(found.within(limit + MORE_MIN))
    return f"{text} {start} half an hour more it suffices with probability {longer}."


def unknowns_of(
    draws: JointDraws,
    fresh: JointDraws,
    kits: Mapping[tuple[str, ...], int],
    outcomes: Callable[[tuple[str, ...]], KitOutcomes],
    *,
    chosen: tuple[str, ...],
    near: tuple[str, ...],
    confidence: float | None,
    effort: Effort,
) -> tuple[list[FigureMatters], list[SuggestedTrial], list[str]]:
    """Return the biggest unknowns, the trials that save most, and the names of what was not settled.

    Args:
        draws: those by which kits were chosen.
        fresh: those on which they are tried.
        kits: that are told, with their masses [0.01 g]; those nearest to the chosen one in mass go after trials.
        outcomes: tells what a kit does in the fresh draws; raises Unfinished where the time does not suffice for all.
        chosen: the kit of which something hangs, one of them.
        near: a kit that the lightest of each draw is thought to be near, one of them.
        confidence: share of the draws in which a kit must suffice; None = the chosen one does not, so no trial is told.
        effort: what may be spent on the lightest kits of draws and on trials.
    """
    question, left = draws.question, []
    masses = list[int | None]()
    try:
        masses = lightest_masses(draws, kits[near], effort=effort)
    except Unfinished:
        left.append("what_matters")
    tools = {tool for ids in kits for tool in question.case.kit(ids)}
    matter, saving = list[FigureThatMatters](), list[TrialSaving]()
    try:
        kit = question.case.kit(chosen)
        matter = figures_that_matter(fresh, outcomes(chosen), draws, masses, kit=kit, tools=tools)
    except Unfinished:
        left = ["what_matters"]
    if confidence is not None:
        try:
            saving = trials_that_save(
                fresh, kits, chosen, lambda ids: outcomes(ids).suffices, confidence=confidence, effort=effort
            )
        except Unfinished:
            left.append("suggested_trials")
    return what_matters(question, matter), suggested_trials(question, saving), left


def what_matters(question: Question, found: Sequence[FigureThatMatters]) -> list[FigureMatters]:
    """Return the figures that matter as callers see them."""
    return [_figure(question, one) for one in found]


def _figure(question: Question, one: FigureThatMatters) -> FigureMatters:
    """Return a figure that matters as callers see it."""
    if one.tool is None:
        row = assumptions()[one.figure]
        name, unit = row.used_for, row.unit
    else:
        name, unit = f"score of {_title(question, one.tool)} at {GERUNDS[one.task or '']}", "-"
    low, middle, high = (round(each, PROBABILITY_DIGITS) for each in one.suffices)
    return FigureMatters(
        id=one.figure,
        name=name,
        unit=unit,
        tool=one.tool,
        task=one.task,
        minutes=_index(one.minutes),
        sufficing=_index(one.sufficing),
        grams=_index(one.grams),
        lower=one.lower,
        upper=one.upper,
        suffices_low=low,
        suffices_middle=middle,
        suffices_high=high,
        text=f"{_short(name)}: {_shares_text(one)}. {_thirds_text(one, unit)}",
    )


def _short(name: str) -> str:
    """Return what a figure is without what it takes in, as a sentence begins."""
    short = name.partition(":")[0]
    return f"{short[0].upper()}{short[1:]}"


def _title(question: Question, tool: str) -> str:
    """Return the name of a tool."""
    return next((row.title for row in question.workers.rows if row.id == tool), tool)


def _index(found: FigureShare | None) -> VarianceShare | None:
    """Return a share as callers see it."""
    if found is None:
        return None
    return VarianceShare(
        index=round(found.index, PROBABILITY_DIGITS),
        low=round(found.low, PROBABILITY_DIGITS),
        high=round(found.high, PROBABILITY_DIGITS),
    )


def _shares_text(one: FigureThatMatters) -> str:
    """Return which share of what goes with a figure."""
    told = [(share.index, _VARIES[what]) for what in _SHARES if (share := getattr(one, what)) is not None]
    (first, what), *others = told
    more = [f"{100 * share:.0f} % in {each}" for share, each in others]
    return ", ".join([f"{100 * first:.0f} % of what varies in {what}", *more])


def _thirds_text(one: FigureThatMatters, unit: str) -> str:
    """Return how sure the kit is where a figure is low and where it is high."""
    if one.minutes is None and one.sufficing is None:
        return "It bears on which kit is the lightest, not on this one."
    low, _, high = (told_estimate(each) for each in one.suffices)
    of = "" if unit == "-" else f" {unit}"
    lower, upper = (_rounded(each) for each in (one.lower, one.upper))
    where = f"where it is below {lower}{of}"
    if low == high:
        return f"The kit suffices with probability {low} whether it is below {lower}{of} or above {upper}."
    return f"The kit suffices with probability {low} {where}, and with {high} where it is above {upper}."


def _rounded(value: float) -> str:
    """Return a figure with as many digits as a sentence bears."""
    return f"{value:.0f}" if abs(value) >= _WHOLE else f"{value:.2g}"


def suggested_trials(question: Question, found: Sequence[TrialSaving]) -> list[SuggestedTrial]:
    """Return the trials that save most as callers see them."""
    return [_trial(question, one) for one in found]


def _trial(question: Question, one: TrialSaving) -> SuggestedTrial:
    """Return a trial as callers see it."""
    record, draws = one.trial.record, len(one.suffices)
    hits = int(one.suffices.sum())
    low, high = binomial_interval(hits=hits, count=draws)
    steps = [
        TrialStep(
            up_to_min=None if limit is None else round(limit, ANSWER_DIGITS),
            ids=originals(ids),
            mass_g=grams(sum(int(question.case.mass[tool]) for tool in question.case.kit(ids))),
        )
        for limit, ids in one.steps
    ]
    expected, saves = (round(each / 100, ANSWER_DIGITS) for each in (one.expected, one.saved))
    counted = f"{record.count} {_COUNTED[record.task]}{'' if record.count == 1 else 's'}"
    work = _WORK[record.task].format(counted=counted, mm=record.diameter_mm, wood=record.wood, state=record.state)
    how = (
        f"With {one.trial.tool.title}, {work}, and time the work alone, without setting up: some "
        f"{_minutes(record.minutes)} if all is as assumed."
    )
    rule = "; ".join(_step_text(place, step) for place, step in enumerate(steps))
    text = (
        f"{how} {rule[0].upper()}{rule[1:]}. That saves {saves:.0f} g on average, and the kit that goes suffices with "
        f"probability {told_estimate(hits / draws)}."
    )
    return SuggestedTrial(
        tool=record.tool,
        task=record.task,
        wood=record.wood,
        state=record.state,
        diameter_mm=record.diameter_mm,
        count=record.count,
        usual_min=round(record.minutes, ANSWER_DIGITS),
        steps=steps,
        expected_g=expected,
        saves_g=saves,
        draws=draws,
        probability=round(hits / draws, PROBABILITY_DIGITS),
        low=round(low, PROBABILITY_DIGITS),
        high=round(high, PROBABILITY_DIGITS),
        how=how,
        text=text,
    )


def _minutes(value: float) -> str:
    """Return minutes in words, so finely that a stopwatch tells a limit from what is usual."""
    return f"{value:.2g} minutes" if value < _FEW_MIN else f"{value:.1f} minutes"


def _step_text(place: int, step: TrialStep) -> str:
    """Return which kit goes after a result, in words."""
    kit = f"take {', '.join(step.ids) or 'nothing'} ({step.mass_g:g} g)"
    if step.up_to_min is not None:
        return f"{'up to' if not place else 'then up to'} {_minutes(step.up_to_min)}: {kit}"
    return f"if it takes longer: {kit}"


def gaps_of_all_tools(question: Question, every: KitOutcomes, quota: Fraction, *, confidence: float) -> list[Gap]:
    """Return why even all tools together do not suffice in so many draws; empty where they do.

    Args:
        question: the trip's.
        every: what all tools do in the draws.
        quota: least share of the draws.
        confidence: the same, as it was asked for.
    """
    able = len(every.suffices) - int(every.cannot.sum())
    if Fraction(able, len(every.suffices)) < quota:
        worst = sorted(every.lacking.items(), key=lambda one: -float(np.mean(one[1])))
        return [_held_by_gap(question, name, where, confidence, able) for name, where in worst if where.any()]
    return [_long_day_gap(question, every, quota)] if every.probability < quota else []


def _held_by_gap(question: Question, name: str, where: Any, confidence: float, able: int) -> Gap:
    """Return the gap of what no kit can in too many draws.

    Args:
        question: the trip's.
        name: of the need, or what of firewood or wear it is.
        where: the draws in which all tools together can't, bool[E].
        confidence: share of the draws that was asked for.
        able: in how many draws they can do all.
    """
    reach = name in {REACH, FIREWOOD}
    text = _cannot(question, name)
    for one, every in (("it can't", "no kit can"), ("it lacks", "no kit has"), ("its tools wear", "all tools wear")):
        text = text.replace(one, every)
    most = f"more than {able} of them" if able else "any"
    return Gap(
        kind="reach" if reach else "need",
        need="firewood" if reach else _failing_need(name),
        field="reach_kg_per_day" if reach else "confidence",
        short_by=round(confidence - able / len(where), PROBABILITY_DIGITS),
        unit="of the draws",
        closest=None,
        text=f"In {told_draws(int(where.sum()), len(where))} {text}. So no kit suffices in {most}.",
    )


def _long_day_gap(question: Question, every: KitOutcomes, quota: Fraction) -> Gap:
    """Return the gap of the work limit that even all tools together go over in too many draws."""
    limit = question.trip.limits.work_min_per_day
    needed = every.minutes_at(quota)
    short = None if needed is None else round(needed - limit, 6)
    share = told_probability(every.probability)
    text = f"Even all tools together do the work within {limit:g} minutes a day in only {share} of the draws."
    more = "" if needed is None else f" {ceil(needed)} minutes would be needed."
    return Gap(
        kind="limit", need=None, field=WORK.field, short_by=short, unit=WORK.unit, closest=None, text=text + more
    )
