"""A trip put as a question to the program: needs, firewood, workers, abilities, and the case they make."""

from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from catalog import Tool, tools
from catalog.tables.ledger import Ledger
from catalog.walking.route import CarryingCost
from solver.forms.barring import bars, usable_methods
from solver.forms.limit import WORK
from solver.forms.trip import Trip
from solver.forms.validation import TripError, check_trip
from solver.model.case import Case
from solver.model.rest import Rest
from solver.needs.ability import Ability, Workers, ability_of, workers_from
from solver.needs.backup import firewood_backups
from solver.needs.candidates import Candidates, built_in_candidates
from solver.needs.case_builder import build_case, rest_of
from solver.needs.job import KNIFE, Job
from solver.needs.knife import knife_asked, knife_copies, knife_need
from solver.needs.need import Need, kindling_need, needs_of
from solver.needs.sawing import Sawing, sawing_of
from solver.needs.tried_tools import Tried, with_measured
from solver.needs.wood_class import WoodClass, wood_classes
from solver.place.carrying import body_kg, carrying_of
from solver.place.fire_use import FireUse, fire_uses
from solver.place.site import Site, site_of


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
    def knife_waived(self) -> bool:
        """Whether the trip asks for a knife and none may go that counts as one."""
        return knife_asked(self.trip) and all(need.id != KNIFE for need in self.needs)

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


def question_of(
    trip: Trip,
    *,
    changed: Mapping[str, float] | None = None,
    copied: Collection[str] = (),
    at_work: int | None = None,
    waived: bool = False,
) -> Question:
    """Return the question that a trip puts.

    Args:
        trip: what the traveller asks.
        changed: assumptions tried instead of the trip's own or the table's.
        copied: ids of knives of which kits may hold copies besides those that can pay.
        at_work: how many people can work; None = all of the party.
        waived: whether the knife in the pack is not asked for though the trip says so.

    Raises:
        TripError: fields that don't go together.
    """
    choice_of_tools = _choice_of(trip)
    check_trip(trip, choice_of_tools)
    if trip.trials:
        measured, tried = with_measured(trip, choice_of_tools, {**trip.assumptions, **(changed or {})})
        return replace(
            question_of(measured, changed=changed, copied=copied, at_work=at_work, waived=waived), tried=tried
        )
    home = bars(choice_of_tools, trip)
    barred = [(tool, home[tool.id]) for tool in choice_of_tools if tool.id in home]
    crew = _crew_of(trip, choice_of_tools, home, copied)
    ledger = Ledger({**trip.assumptions, **(changed or {})})
    people = trip.people if at_work is None else at_work
    return _asked(trip, choice_of_tools, barred, crew, ledger, at_work=people, waived=waived, like=None)


def _crew_of(
    trip: Trip, choice_of_tools: Sequence[Tool], home: Mapping[str, str], copied: Collection[str]
) -> Candidates:
    """Return the tools that may go, with copies of knives, by id, and the methods that work in the trip's wood."""
    able = [method for method in usable_methods(trip) if not method.with_tools]
    going = [tool for tool in choice_of_tools if tool.id not in home]
    copies = knife_copies(trip, going, copied)
    if trip.tools is None and not trip.extra_tools and not copies:
        return built_in_candidates(frozenset(home), tuple(method.id for method in able))
    renews = {tool.id: tool.renews for tool in choice_of_tools}
    return Candidates(sorted([*going, *copies], key=lambda tool: tool.id), able, renews)


def changed_question(question: Question, changed: Mapping[str, float]) -> Question:
    """Return the same question under other assumptions; tools, their rules and the limits stay as they are.

    The trip's own figures stay too, but where these change them. Where these change nothing for any kit, it is the
    question itself.
    """
    at_work, waived = question.workers.sawing.people, question.knife_waived
    if question.tried is not None and question.tried.rests_on(changed):
        with suppress(TripError):  # a record that these leave no time for its tool: the scores stay
            return question_of(question.tried.trip, changed=changed, at_work=at_work, waived=waived)
    candidates = question.workers.candidates
    ledger = Ledger(changed, before=question.ledger)
    return _asked(
        question.trip,
        question.tools,
        question.barred,
        candidates,
        ledger,
        at_work=at_work,
        waived=waived,
        like=question,
    )


def _asked(
    trip: Trip,
    choice_of_tools: tuple[Tool, ...],
    barred: list[tuple[Tool, str]],
    candidates: Candidates,
    ledger: Ledger,
    *,
    at_work: int,
    waived: bool,
    like: Question | None,
) -> Question:
    """Return the question of a trip whose tools are settled.

    Args:
        trip: what the traveller asks.
        choice_of_tools: the tools of the catalog.
        barred: those that a rule of the trip keeps home.
        candidates: those that may go, and the methods.
        ledger: the assumptions.
        at_work: how many people can work.
        waived: whether the knife in the pack is not asked for.
        like: the question of the same trip and tools under other assumptions.
    """
    site = ledger.step(site_of, trip)
    uses = ledger.step(fire_uses, trip, site)
    classes = ledger.step(wood_classes, trip, site) if uses else []
    needs = ledger.step(needs_of, trip, site) + ledger.step(kindling_need, site, uses)
    needs += [] if waived else knife_need(trip, candidates)
    in_classes = [job for one in classes for job in one.jobs]
    sawing = sawing_of(trip, at_work, [*(need.job for need in needs), *in_classes], candidates, ledger)
    as_before = like is not None and site is like.site and sawing == like.workers.sawing
    workers = like.workers if like is not None and as_before else workers_from(candidates, site, sawing)
    needs = needs + ledger.step(firewood_backups, trip, site, uses, classes, workers)
    jobs = [need.job for need in needs] + in_classes
    body = ledger.step(body_kg, trip)
    rest = ledger.step(rest_of, at_work)
    if like is not None and _asks_as(like, site, uses, classes, jobs, body, sawing, rest):
        return like
    carrying = ledger.step(carrying_of, trip)
    if like is None or not _works_as(like, site, body, sawing):
        ability = ability_of(jobs, workers, trip, body_kg=body)
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
            rest=rest,
            like=None if like is None else like.case,
        ),
    )


def _works_as(question: Question, site: Site, body: float, sawing: Sawing) -> bool:
    """Tell whether every worker of a question does a job as under another one that comes to these."""
    same_saws = question.workers.sawing == sawing
    return question.site.reach == site.reach and question.body_kg == body and same_saws


def _asks_as(
    question: Question,
    site: Site,
    uses: list[FireUse],
    classes: list[WoodClass],
    jobs: list[Job],
    body: float,
    sawing: Sawing,
    rest: Rest,
) -> bool:
    """Tell whether a question asks the same of every kit as another of the same trip that comes to these."""
    return (
        _works_as(question, site, body, sawing)
        and (question.case.rest == rest or WORK.field not in question.case.caps)
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
    told = ability_of([jobs[j] for j in others], question.workers, trip, body_kg=question.body_kg)
    return question.ability.with_rows(others, told) if same else told
