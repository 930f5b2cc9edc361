"""A trip put as a question to the program: needs, firewood, workers, abilities, and the case they make."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from catalog import Tool, tools
from catalog.tables.ledger import Ledger
from catalog.walking.route import CarryingCost
from solver.forms.barring import bars, usable_methods
from solver.forms.trip import Trip
from solver.forms.validation import TripError, check_trip
from solver.model.case import Case
from solver.needs.ability import Ability, Workers, ability_of, workers_from
from solver.needs.candidates import Candidates, built_in_candidates
from solver.needs.carrying import body_kg, carrying_of
from solver.needs.case_builder import build_case
from solver.needs.fire_use import FireUse, fire_uses
from solver.needs.job import Job
from solver.needs.need import Need, kindling_need, needs_of
from solver.needs.site import Site, site_of
from solver.needs.tried_tools import Tried, with_measured
from solver.needs.wood_class import WoodClass, wood_classes


@dataclass(frozen=True)
class Question:
    """All that is known of a trip before the solver runs."""

    trip: Trip
    tools: tuple[Tool, ...]
    barred: list[tuple[Tool, str]]
    site: Site
    needs: list[Need]
    uses: list[FireUse]
    classes: list[WoodClass]
    workers: Workers
    ability: Ability
    carrying: CarryingCost
    body_kg: float
    case: Case
    ledger: Ledger
    tried: Tried | None = None  # what the trip's own records say

    @property
    def demand_kg(self) -> float:
        """Firewood of a day [kg]."""
        return sum(use.kg for use in self.uses)

    @property
    def jobs(self) -> list[Job]:
        """The jobs, in the order of the case: needs, then those of each class of firewood."""
        return [need.job for need in self.needs] + [job for one in self.classes for job in one.jobs]


def _choice_of(trip: Trip) -> tuple[Tool, ...]:
    """Return the tools that a trip chooses from: its own or the built-in ones, with its extra ones."""
    base = tuple(trip.tools) if trip.tools is not None else tools()
    if not trip.extra_tools:
        return base
    replaced = {tool.id for tool in trip.extra_tools}
    return (*(tool for tool in base if tool.id not in replaced), *trip.extra_tools)


def question_of(trip: Trip, *, changed: Mapping[str, float] | None = None) -> Question:
    """Return the question that a trip puts.

    Args:
        trip: what the traveller asks.
        changed: assumptions tried instead of the trip's own or the table's.

    Raises:
        TripError: fields that don't go together.
    """
    choice_of_tools = _choice_of(trip)
    check_trip(trip, choice_of_tools)
    if trip.trials:
        measured, tried = with_measured(trip, choice_of_tools, {**trip.assumptions, **(changed or {})})
        return replace(question_of(measured, changed=changed), tried=tried)
    home = bars(choice_of_tools, trip)
    barred = [(tool, home[tool.id]) for tool in choice_of_tools if tool.id in home]
    ledger = Ledger({**trip.assumptions, **(changed or {})})
    return _asked(trip, choice_of_tools, barred, _crew_of(trip, choice_of_tools, home), ledger, like=None)


def _crew_of(trip: Trip, choice_of_tools: Sequence[Tool], home: Mapping[str, str]) -> Candidates:
    """Return the tools that may go, by id, and the methods that work in the trip's wood."""
    able = [method for method in usable_methods(trip) if not method.with_tools]
    if trip.tools is None and not trip.extra_tools:
        return built_in_candidates(frozenset(home), tuple(method.id for method in able))
    return Candidates(sorted((tool for tool in choice_of_tools if tool.id not in home), key=lambda tool: tool.id), able)


def changed_question(question: Question, changed: Mapping[str, float]) -> Question:
    """Return the same question under other assumptions; tools, their rules and the limits stay as they are.

    The trip's own figures stay too, but where these change them. Where these change nothing for any kit, it is the
    question itself.
    """
    if question.tried is not None and question.tried.rests_on(changed):
        with suppress(TripError):  # a record that these leave no time for its tool: the scores stay
            return question_of(question.tried.trip, changed=changed)
    candidates = question.workers.candidates
    ledger = Ledger(changed, before=question.ledger)
    return _asked(question.trip, question.tools, question.barred, candidates, ledger, like=question)


def _asked(
    trip: Trip,
    choice_of_tools: tuple[Tool, ...],
    barred: list[tuple[Tool, str]],
    candidates: Candidates,
    ledger: Ledger,
    *,
    like: Question | None,
) -> Question:
    """Return the question of a trip whose tools are settled.

    Args:
        trip: what the traveller asks.
        choice_of_tools: the tools of the catalog.
        barred: those that a rule of the trip keeps home.
        candidates: those that may go, and the methods.
        ledger: the assumptions.
        like: the question of the same trip and tools under other assumptions.
    """
    site = ledger.step(site_of, trip)
    uses = ledger.step(fire_uses, trip, site)
    classes = ledger.step(wood_classes, trip, site) if uses else []
    needs = ledger.step(needs_of, trip, site) + ledger.step(kindling_need, site, uses)
    jobs = [need.job for need in needs] + [job for one in classes for job in one.jobs]
    body = ledger.step(body_kg, trip)
    if like is not None and _asks_as(like, site, uses, classes, jobs, body):
        return like
    workers = workers_from(candidates, site) if like is None or site is not like.site else like.workers
    carrying = ledger.step(carrying_of, trip)
    if like is None or like.site.reach != site.reach or like.body_kg != body:
        ability = ability_of(jobs, workers, nights=trip.nights, body_kg=body, life=trip.life)
    else:
        ability = _with_jobs(like, jobs)
    return Question(
        trip=trip,
        tools=choice_of_tools,
        barred=barred,
        site=site,
        needs=needs,
        uses=uses,
        classes=classes,
        workers=workers,
        ability=ability,
        carrying=carrying,
        body_kg=body,
        ledger=ledger,
        case=build_case(
            trip,
            needs,
            classes,
            workers,
            ability,
            demand_kg=sum(use.kg for use in uses),
            kcal_per_g=carrying.pandolf_santee_kcal_per_g,
            body_kg=body,
            like=None if like is None else like.case,
        ),
    )


def _asks_as(
    question: Question, site: Site, uses: list[FireUse], classes: list[WoodClass], jobs: list[Job], body: float
) -> bool:
    """Tell whether a question asks the same of every kit as another of the same trip that comes to these."""
    return (
        question.site.reach == site.reach
        and question.body_kg == body
        and question.classes == classes
        and question.demand_kg == sum(use.kg for use in uses)
        and question.jobs == jobs
    )


def _with_jobs(question: Question, jobs: Sequence[Job]) -> Ability:
    """Return the abilities of a question's workers at other jobs; those that stay as they were are not told anew."""
    trip, before = question.trip, question.jobs
    same = len(jobs) == len(before)
    others = [j for j, job in enumerate(jobs) if not same or job != before[j]]
    if same and not others:
        return question.ability
    told = ability_of(
        [jobs[j] for j in others], question.workers, nights=trip.nights, body_kg=question.body_kg, life=trip.life
    )
    return question.ability.with_rows(others, told) if same else told
