"""A bad night, as callers see it: what a kit still does when something goes wrong, and which kits bear it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from catalog.tables.number import somewhere
from solver.answers.bearing import (
    NOT_SETTLED,
    Borne,
    borne_by,
    lightest_after_loss,
    lightest_for_each,
    lightest_that_bears,
)
from solver.answers.kit import Settled, settled_kit, told_kit
from solver.forms.answer import CautionAnswer, FigureInForce
from solver.forms.arguments import TripGiven, effort_given, names_given, trip_given
from solver.forms.barring import unbarred
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import KitBrief
from solver.forms.question_answers import (
    BadNightAnswer,
    BadNightCase,
    BearsAll,
    KitThatBears,
    LossOutcome,
    MishapName,
    NightState,
)
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError, under
from solver.model.copies import is_copy, last_copy, original_of
from solver.needs.case_builder import ANSWER_DIGITS, grams, minutes
from solver.needs.job import KNIFE
from solver.needs.knife import numbered, originals
from solver.needs.mishap import Mishap, mishaps_of
from solver.needs.question import Question, question_of
from solver.reports.check_report import check_kit_ids
from solver.search.choice import Choice
from solver.telling.mishap_text import all_borne_text, changes_text, loss_text, none_borne_text
from solver.telling.night_outcome import Night, night_of
from solver.telling.solution_view import SolutionView
from solver.telling.stated_figure import figures_in_force, trial_scores
from solver.telling.warning import cautions_for, cautions_of

_FOR_THE_TRIP = 1 / 3  # judged: of the time, for the lightest kit of the trip as planned
_FOR_THE_NIGHT = 1 / 4  # judged: of what is left then, for what the kit does as planned; the rest is for the cases
_MOST_TIMES = 6_000_000  # judged: times of tools at jobs in all cases, some 350 MB
_OPEN_TEXT = "The time or effort allowed did not suffice to tell which one kit bears all of it."
_WORST_LAST = ("covered", "late", "cannot")


@dataclass(frozen=True)
class _Carried:
    """The kit that is told, by its ids, and whether it is the caller's own: then no rule of the trip keeps it home."""

    ids: tuple[str, ...]
    own: bool

    def question(self, question: Question) -> Question:
        """Return the question of a trip in which the kit may go."""
        if not self.own:
            return question
        copied = {original_of(one) for one in self.ids if is_copy(one)}
        people, waived = question.workers.sawing.people, question.knife_waived
        free = question_of(unbarred(question.trip), copied=copied, at_work=people, waived=waived)
        return replace(free, tried=question.tried)

    def sorts(self) -> list[str]:
        """Return the ids of its tools, each once."""
        return list(dict.fromkeys(originals(self.ids)))

    def after_loss(self, tool: str) -> list[str]:
        """Return the ids of what is left when one of a tool is lost: of several the last copy."""
        lost = last_copy(tool, self.ids)
        return [one for one in self.ids if one != lost]


@dataclass(frozen=True)
class _Trouble:
    """Something that goes wrong: the question that it makes of the trip, the kit's night, and the kit that bears it.

    `every_loss` is False where the time ended before the loss of each tool of the kit was told.
    """

    mishap: Mishap
    question: Question
    night: Night
    borne: Borne
    lost: str | None
    losses: list[LossOutcome]
    every_loss: bool = True


def bad_night(trip: TripGiven, kit: Iterable[str] | None = None, *, effort: Effort | None = None) -> BadNightAnswer:
    """Return what a kit still does when something goes wrong, and the lightest kits that bear each thing and all.

    Args:
        trip: a Trip, or a dict of its fields.
        kit: ids of the tools carried: a list, tuple, set, array or generator; None = the lightest kit of the trip.
            Where each person has a knife, a knife may stand there so often.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind, such as one id alone.
        ValidationError: a field of a dict that can't be taken.
        TripError: an id that no tool has, or one named twice; fields that don't go together.
        Unfinished: the effort ran out before there was any kit to tell of.
    """
    effort, trip = effort_given(effort), trip_given(trip).model_copy(update={"aim": "mass"})
    named = None if kit is None else names_given("kit", kit)
    with under("/trip"):
        _refuse_robust(trip)
        question = question_of(trip)
        mishaps = mishaps_of(trip)
        _refuse_too_much(question, mishaps, own=named is not None)
    settled = _settled(question, named, effort=effort)
    ids = tuple(sorted(numbered(named))) if named is not None else settled.choice.ids or () if settled else ()
    carried = _Carried(ids, own=named is not None)
    own = carried.question(question)
    if named is not None:
        check_kit_ids(named, own)
    planned = night_of(own, ids, effort=effort.portion(_FOR_THE_NIGHT))
    plain = NOT_SETTLED if settled is None else borne_by(settled)
    troubles = _troubles(mishaps, question, carried, planned, plain, effort=effort)
    mass = planned.view.settled.choice.mass
    cases = [
        _case_answer(troubles[one.name], question, planned) if one.name in troubles else _not_applying(one)
        for one in mishaps
    ]
    bears_all, all_settled = _bears_all(question, plain, list(troubles.values()), ids, mass, effort=effort)
    left = [*_left_open(plain, troubles), *([] if all_settled else ["bears_all"])]
    told = [one for one in (*(case.lightest for case in cases), bears_all.kit) if one is not None]
    return BadNightAnswer(
        name=trip.name,
        kit=KitBrief(ids=originals(ids), mass_g=grams(mass)),
        state=_state_of(question),
        planned=planned.outcome,
        cases=cases,
        bears_all=bears_all,
        cautions=_cautions_of([planned.view, *(one.night.view for one in troubles.values())]),
        assumptions=_assumptions_of(
            question, [own, *(part for one in troubles.values() for part in (one.question, one.night.view.question))]
        ),
        trials=trial_scores(question),
        checked=settled is not None and settled.choice.checked and not left and all(one.checked for one in told),
        not_settled=left,
    )


def _settled(question: Question, named: Sequence[str] | None, *, effort: Effort) -> Settled | None:
    """Return the lightest kit of the trip; None where it is not settled, and another kit is to be told of.

    Raises:
        Unfinished: the effort ran out before there was any kit to tell of.
    """
    try:
        return settled_kit(question, effort=effort.portion(_FOR_THE_TRIP))
    except Unfinished:
        return told_kit(question, effort=effort) if named is None else None


def _troubles(
    mishaps: Sequence[Mishap],
    question: Question,
    carried: _Carried,
    planned: Night,
    plain: Borne,
    *,
    effort: Effort,
) -> dict[MishapName, _Trouble]:
    """Return each thing that can go wrong by its name, each in its share of the time."""
    going = [(one, one.trip) for one in mishaps if one.trip is not None]
    found: dict[MishapName, _Trouble] = {}
    for place, (one, trip) in enumerate(going):
        part = effort.portion(1 / (len(going) - place + 1))
        if one.name == "lost":
            found[one.name] = _lost_tool(one, question, carried, planned, plain, effort=part)
            continue
        effort.heed()
        with under("/trip"):
            asked = question_of(trip, at_work=one.at_work)
        found[one.name] = _trouble(one, asked, carried, effort=part)
    return found


def _left_open(plain: Borne, troubles: Mapping[MishapName, _Trouble]) -> list[str]:
    """Return what was not settled of the trip's kit and of each thing that goes wrong."""
    lost = troubles.get("lost")
    losses = [] if lost is None or lost.every_loss else ["losses"]
    return [
        *([] if plain.settled else ["kit"]),
        *(name for name, one in troubles.items() if not one.borne.settled),
        *losses,
    ]


def _refuse_robust(trip: Trip) -> None:
    """Refuse a trip that asks for safety against a loss: here that is a case of its own.

    Raises:
        TripError: the trip asks for it.
    """
    if trip.robust is not None:
        detail = "the case `lost` tells of the loss of a tool; leave robust out, or use POST /v1/kits"
        raise TripError([Fault("#/robust", trip.robust.model_dump(), "null", detail)])


def _refuse_too_much(question: Question, mishaps: Sequence[Mishap], *, own: bool) -> None:
    """Refuse a night of more jobs than can be told of so many tools in all cases; an own kit has each told anew.

    Raises:
        TripError: there are too many.
    """
    tools, jobs = question.workers.carried, len(question.case.work)
    told = (1 + own) * (1 + sum(one.trip is not None and one.name != "lost" for one in mishaps))
    if told * question.case.work.size > _MOST_TIMES:
        most = _MOST_TIMES // (told * max(1, jobs))
        detail = f"a bad night tells the work of {tools} tools at {jobs} jobs {told} times; of so many jobs it can of"
        detail += f" {most} tools: state fewer tasks, or name `only`"
        raise TripError(
            [Fault("#/tasks", jobs, f"at most {_MOST_TIMES // (told * tools)} jobs of {tools} tools", detail)]
        )


def _trouble(mishap: Mishap, question: Question, carried: _Carried, *, effort: Effort) -> _Trouble:
    """Return something that goes wrong with the trip: the told kit then, and the lightest kit that bears it."""
    night = night_of(carried.question(question), carried.ids, effort=effort)
    return _Trouble(mishap, question, night, lightest_that_bears(question, effort=effort), None, [])


def _lost_tool(
    mishap: Mishap, question: Question, carried: _Carried, planned: Night, plain: Borne, *, effort: Effort
) -> _Trouble:
    """Return the loss of the most used tool, with that of each other, and the lightest kit that bears any one loss."""
    lost, sorts = _most_used(planned.view), carried.sorts()
    nights: dict[str, Night] = {}
    half = effort.portion(1 / 2)
    for one in sorted(sorts, key=lambda one: one != lost):
        if nights and half.spent():
            break
        nights[one] = night_of(planned.view.question, carried.after_loss(one), effort=effort, after_loss=True)
    losses = [LossOutcome(tool=one, outcome=nights[one].outcome) for one in sorts if one in nights]
    borne = lightest_after_loss(question, plain, effort=effort)
    night = planned if lost is None else nights[lost]
    return _Trouble(mishap, question, night, borne, lost, losses, every_loss=len(nights) == len(sorts))


def _most_used(view: SolutionView) -> str | None:
    """Return the carried tool with most minutes a day, of equals the first by id; None where none is carried."""
    return max((tool.id for tool in view.carried), key=lambda one: _worked_ms(view, one), default=None)


def _worked_ms(view: SolutionView, tool: str) -> float:
    """Return how long a tool works a day [ms]."""
    return float(sum(piece.time for piece in view.pieces if view.row(piece.worker).id == tool))


def _not_applying(mishap: Mishap) -> BadNightCase:
    """Return something that can't go wrong on the trip."""
    return BadNightCase(
        case=mishap.name,
        applies=False,
        changes=mishap.why_not or "",
        state=None,
        status=None,
        outcome=None,
        lost=None,
        losses=[],
        lightest=None,
        no_kit=None,
        closest=None,
    )


def _case_answer(trouble: _Trouble, question: Question, planned: Night) -> BadNightCase:
    """Return something that goes wrong as callers see it."""
    mishap, choice, closest = trouble.mishap, trouble.borne.choice, trouble.borne.closest
    settled = planned.view.settled
    statuses = [trouble.night.outcome.status, *(one.outcome.status for one in trouble.losses)]
    return BadNightCase(
        case=mishap.name,
        applies=True,
        changes=_loss_of(trouble, planned) if mishap.name == "lost" else changes_text(question, trouble.question),
        state=_state_of(trouble.question),
        status=max(statuses, key=_WORST_LAST.index),
        outcome=trouble.night.outcome,
        lost=trouble.lost,
        losses=trouble.losses,
        lightest=None if choice is None else _bearing_kit(choice, settled.choice.ids or (), settled.choice.mass),
        no_kit=trouble.borne.why_none,
        closest=None if closest is None else KitBrief(ids=originals(closest.ids or ()), mass_g=grams(closest.mass)),
    )


def _loss_of(trouble: _Trouble, planned: Night) -> str:
    """Return what the loss of the most used tool changes, in words."""
    view, lost = planned.view, trouble.lost
    return loss_text(
        next((tool for tool in view.carried if tool.id == lost), None),
        lost_min=0.0 if lost is None else minutes(_worked_ms(view, lost)),
        count=0 if lost is None else view.count(lost),
        last_knife=lost is not None and _counting_knives(view) == [lost],
    )


def _counting_knives(view: SolutionView) -> list[str]:
    """Return the knives of a kit that count as one in the pack, each as often as it is there."""
    able = view.question.ability.able
    places = [n for n, need in enumerate(view.question.needs) if need.job.task == KNIFE]
    return originals(view.row(one).id for n in places for one in view.chosen_workers if able[n, one])


def _state_of(question: Question) -> NightState:
    """Return what a trip asks of any kit."""
    trip = question.trip
    return NightState(
        nights=trip.nights,
        air_c=trip.air_c,
        wood_state=trip.wood.state,
        frozen=somewhere(question.site.frozen),
        people=question.workers.sawing.people,
        firewood_kg_per_day=round(question.demand_kg, ANSWER_DIGITS),
        limit_min_per_day=round(trip.limits.work_min_per_day, ANSWER_DIGITS),
    )


def _bearing_kit(choice: Choice, ids: Sequence[str], mass: int) -> KitThatBears:
    """Return a kit that bears something against the told kit, of its ids and its mass [0.01 g]."""
    found = choice.ids or ()
    return KitThatBears(
        status=choice.told_status,
        ids=originals(found),
        mass_g=grams(choice.mass),
        bound_g=grams(choice.mass if choice.bound is None else choice.bound),
        more_g=grams(choice.mass - mass),
        add=originals(one for one in found if one not in ids),
        leave=originals(one for one in ids if one not in found),
        checked=choice.checked,
    )


def _bears_all(
    question: Question, plain: Borne, troubles: Sequence[_Trouble], ids: Sequence[str], mass: int, *, effort: Effort
) -> tuple[BearsAll, bool]:
    """Return the lightest one kit that does the trip and bears each thing that some kit bears; whether it is settled.

    What is not settled of the things that go wrong is neither among those that it bears nor among those left out.
    """
    bears = [one.mishap.name for one in troubles if one.borne.choice is not None]
    leaves = [one.mishap.name for one in troubles if one.borne.choice is None and one.borne.settled]
    unknown = [one.mishap.name for one in troubles if not one.borne.settled]
    open_ = BearsAll(status="not_settled", kit=None, bears=[], leaves_out=leaves, text=_OPEN_TEXT)
    if not plain.settled:
        return open_, False
    if plain.choice is None:
        text = f"No kit does the trip as planned. {plain.why_none}"
        return BearsAll(status="none", kit=None, bears=[], leaves_out=leaves, text=text), True
    borne = [one.question for one in troubles if one.mishap.name in bears and one.mishap.name != "lost"]
    every, loss = [question, *borne], "lost" in bears
    least = max(plain.least, *(one.borne.least for one in troubles))
    try:
        choice = lightest_for_each(every, loss=loss, least=least, effort=effort.portion(1 / 2))
        if choice.ids is None:
            free = lightest_for_each(every, loss=loss, least=least, effort=effort, packing_limits=False)
            text = none_borne_text(_bearing_kit(free, ids, mass), bears, leaves)
            every_case = [one.mishap.name for one in troubles]
            return BearsAll(status="none", kit=None, bears=[], leaves_out=every_case, text=text), True
    except Unfinished:
        return open_, False
    kit = _bearing_kit(choice, ids, mass)
    text = all_borne_text(kit, leaves, unknown)
    return BearsAll(status=kit.status, kit=kit, bears=bears, leaves_out=leaves, text=text), not unknown


def _cautions_of(views: Sequence[SolutionView]) -> list[CautionAnswer]:
    """Return the cautions of a bad night, then those of the kit in every case, each once.

    A saw that may break is told with the cuts of the first case that has some; a figure is unread if no case reads it.
    """
    told = [{(one.code, one.text): one for one in cautions_of(view)} for view in views]
    breaking = next((one for one in told if any(code == "breaks" for code, _ in one)), {})
    found = {
        key: one
        for case in told
        for key, one in case.items()
        if (key[0] != "breaks" or key in breaking) and (key[0] != "unread-figure" or all(key in each for each in told))
    }
    return [*cautions_for({"bad-night"}), *found.values()]


def _assumptions_of(question: Question, others: Sequence[Question]) -> list[FigureInForce]:
    """Return the assumptions of the trip as planned and of every case, each once."""
    return figures_in_force(question, more={one.id for other in others for one in figures_in_force(other)})
