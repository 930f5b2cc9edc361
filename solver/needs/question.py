"""A trip put as a question to the program: needs, firewood, workers, abilities, and the case they make."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Generic

import numpy as np

from catalog import Tool, tools
from catalog.equipment.tool_rows import ToolRows
from catalog.tables.ledger import Ledger
from catalog.tables.number import N
from catalog.walking.route import CarryingCost
from solver.forms.barring import bars, usable_methods
from solver.forms.effort import Effort, heed
from solver.forms.trip import Trip
from solver.forms.validation import check_trip
from solver.model.case import Case
from solver.needs.ability import Ability, Workers, ability_of, workers_from
from solver.needs.backup import firewood_backups
from solver.needs.candidates import Candidates, built_in_candidates
from solver.needs.case_builder import asked_of, build_case, firewood_of, rest_of, shut_methods
from solver.needs.job import KNIFE, Job
from solver.needs.knife import knife_asked, knife_copies, knife_need
from solver.needs.need import Need, kindling_need, needs_of
from solver.needs.sawing import sawing_of
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
        """The jobs, in the order of the case."""
        return _jobs_of(self.needs, self.classes)

    def of_kit(self, ids: Sequence[str]) -> "Question":
        """Return the question with only the tools of a kit to choose from; its needs stay those of all tools."""
        workers = self.workers
        tools = np.array(sorted(self.case.kit(ids)), dtype=np.int64)
        going, methods = [workers.rows[tool] for tool in tools.tolist()], workers.rows[workers.carried :]
        candidates = Candidates(going, methods, workers.candidates.renews)  # type: ignore[arg-type]  # methods follow
        return replace(
            self,
            workers=workers_from(candidates, self.site, workers.sawing),
            ability=self.ability.of_workers(np.append(tools, np.arange(workers.carried, len(workers.rows)))),
            case=self.case.keep(tools),
        )


def _jobs_of(needs: Sequence[Need[N]], classes: Sequence[WoodClass[N]]) -> list[Job[N]]:
    """Return the jobs in the order of a case: those of needs, then those of each class of firewood."""
    return [need.job for need in needs] + [job for one in classes for job in one.jobs]


def tools_of_trip(trip: Trip) -> tuple[Tool, ...]:
    """Return the tools that a trip chooses from: its own or the built-in ones, with its extra ones."""
    base = tuple(trip.tools) if trip.tools is not None else tools()
    if not trip.extra_tools:
        return base
    replaced = {tool.id for tool in trip.extra_tools}
    return (*(tool for tool in base if tool.id not in replaced), *trip.extra_tools)


def times_of(trip: Trip) -> int:
    """Return how many times of tools at jobs the question of a trip will hold at least, before it is put.

    Raises:
        TripError: fields that don't go together.
    """
    choice_of_tools, ledger = tools_of_trip(trip), Ledger(trip.assumptions)
    check_trip(trip, choice_of_tools)
    site = site_of(trip, ledger)
    uses = fire_uses(trip, site, ledger)
    jobs = _jobs_of(needs_of(trip, site, ledger), wood_classes(trip, site, uses, ledger))
    return len(jobs) * (len(choice_of_tools) - len(bars(choice_of_tools, trip)))


def question_of(
    trip: Trip,
    *,
    changed: Mapping[str, float] | None = None,
    copied: Collection[str] = (),
    at_work: int | None = None,
    waived: bool = False,
    like: Question | None = None,
    effort: Effort | None = None,
) -> Question:
    """Return the question that a trip puts.

    Args:
        trip: what the traveller asks.
        changed: assumptions tried instead of the trip's own or the table's.
        copied: ids of knives of which kits may hold copies besides those that can pay.
        at_work: how many people can work; None = all of the party.
        waived: whether the knife in the pack is not asked for though the trip says so.
        like: the question of another trip, whose tools are taken over where they are the same.
        effort: whoever leaves ends it, as of many tools a question takes a second; its time is not looked at.

    Raises:
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    choice_of_tools = tools_of_trip(trip)
    check_trip(trip, choice_of_tools)
    if trip.trials:
        measured, tried = with_measured(trip, choice_of_tools, {**trip.assumptions, **(changed or {})})
        return replace(
            question_of(
                measured, changed=changed, copied=copied, at_work=at_work, waived=waived, like=like, effort=effort
            ),
            tried=tried,
        )
    home = bars(choice_of_tools, trip)
    barred = [(tool, home[tool.id]) for tool in choice_of_tools if tool.id in home] if home else []
    heed(effort)
    crew = _crew_of(trip, choice_of_tools, home, copied, like=None if like is None else like.workers.candidates)
    ledger = Ledger({**trip.assumptions, **(changed or {})})
    people = trip.people if at_work is None else at_work
    return _asked(trip, choice_of_tools, barred, crew, ledger, at_work=people, waived=waived, like=like, effort=effort)


def _crew_of(
    trip: Trip,
    choice_of_tools: Sequence[Tool],
    home: Mapping[str, str],
    copied: Collection[str],
    *,
    like: Candidates | None,
) -> Candidates:
    """Return the tools that may go, with copies of knives, by id, and the methods that work in the trip's wood.

    Where they come to those of another trip of the same tools, these are returned; of a catalog that stays as it is
    all that may go are made once.
    """
    able = [method for method in usable_methods(trip) if not method.with_tools]
    going = [tool for tool in choice_of_tools if tool.id not in home] if home else choice_of_tools
    copies = knife_copies(trip, going, copied)
    methods = tuple(method.id for method in able)
    if trip.tools is None and not trip.extra_tools and not copies:
        return built_in_candidates(frozenset(home), methods)
    kept = trip.tools if isinstance(trip.tools, ToolRows) and not trip.extra_tools else None
    renews = {tool.id: tool.renews for tool in choice_of_tools} if kept is None else kept.renews

    def anew() -> Candidates:
        return Candidates(sorted([*going, *copies], key=lambda tool: tool.id), able, renews)

    if kept is not None and not home:
        return kept.worked_out((methods, tuple(tool.id for tool in copies)), anew)
    found = anew()
    return like if like is not None and (like.rows, like.renews) == (found.rows, renews) else found


@dataclass(frozen=True)
class _Reckoning(Generic[N]):
    """What the formulas come to for a trip, before anyone works; each figure a number, or an array of draws.

    Attributes:
        site: the place of work.
        needs: what has to be done a day.
        uses: of the fire.
        classes: of firewood.
        workers: tools and methods as they are there.
        body_kg: body of who works [kg].
        carrying: what a gram costs on the way.
        rest: share of all work beyond what asks for no rest, and that [min a person].
    """

    site: Site[N]
    needs: list[Need[N]]
    uses: list[FireUse[N]]
    classes: list[WoodClass[N]]
    workers: Workers
    body_kg: N
    carrying: CarryingCost[N]
    rest: tuple[N, N]

    @property
    def jobs(self) -> list[Job[N]]:
        """The jobs, in the order of the case."""
        return _jobs_of(self.needs, self.classes)


def reckoned(trip: Trip, candidates: Candidates, ledger: Ledger[N], *, at_work: int, waived: bool) -> _Reckoning[N]:
    """Return what the formulas come to for a trip.

    Args:
        trip: what the traveller asks.
        candidates: the tools that may go, and the methods.
        ledger: the assumptions, each a number, or an array of draws.
        at_work: how many people can work.
        waived: whether the knife in the pack is not asked for.

    Raises:
        RangeError: a figure outside the range of its formula.
        TripError: a route that the models don't hold for.
    """
    site = site_of(trip, ledger)
    uses = fire_uses(trip, site, ledger)
    classes = wood_classes(trip, site, uses, ledger)
    needs = needs_of(trip, site, ledger) + kindling_need(site, uses, ledger)
    needs += [] if waived else knife_need(trip, candidates)  # type: ignore[arg-type]  # its figures are all plain
    sawing = sawing_of(trip, at_work, _jobs_of(needs, classes), candidates, ledger)
    workers = workers_from(candidates, site, sawing)
    ledger.note(("baton_exponent",) if _batons(workers, _jobs_of(needs, classes)) else ())
    needs += firewood_backups(trip, site, uses, classes, workers, ledger)
    return _Reckoning(
        site=site,
        needs=needs,
        uses=uses,
        classes=classes,
        workers=workers,
        body_kg=body_kg(trip, ledger),
        carrying=carrying_of(trip, ledger),
        rest=(ledger("rest_share"), ledger("rest_free_min")),
    )


def _batons(workers: Workers, jobs: Sequence[Job[N]]) -> bool:
    """Tell whether a blade under a baton splits wood of some job."""
    able = workers.candidates.batoned & (workers.score["split"] > 0)
    reached = workers.largest["split"][..., able]
    return any((reached >= job.diameter_mm).any() for job in jobs if "split" in job.loads)


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
    effort: Effort | None,
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
        like: the question of another trip; where all that hangs on is the same, so is who can do what.
        effort: whoever leaves ends it.
    """
    heed(effort)
    found = reckoned(trip, candidates, ledger, at_work=at_work, waived=waived)
    ability = _ability_like(found, trip, like) or ability_of(
        found.jobs, found.workers, trip, body_kg=found.body_kg, effort=effort
    )
    heed(effort)
    share, free_min = found.rest
    shut = [
        (job, worker)
        for job, several in enumerate(shut_methods(found.needs, found.classes, found.workers))
        for worker, _ in several
    ]
    case = build_case(
        trip,
        asked_of(found.needs, found.classes),
        ability.without(*zip(*shut, strict=True)) if shut else ability,
        firewood=firewood_of(found.uses, found.classes, found.body_kg).at(),
        kcal_per_g=found.carrying.pandolf_santee_kcal_per_g,
        rest=rest_of(at_work, share=share, free_min=free_min),
        rules=candidates,
    )
    return Question(
        trip=trip,
        tools=choice_of_tools,
        barred=barred,
        site=found.site,
        needs=found.needs,
        uses=found.uses,
        classes=found.classes,
        workers=found.workers,
        ability=ability,
        carrying=found.carrying,
        body_kg=found.body_kg,
        ledger=ledger,
        case=case,
    )


def _ability_like(found: _Reckoning[float], trip: Trip, like: Question | None) -> Ability | None:
    """Return who can do what in another question, if the jobs, the workers and the place are the same, else None."""
    if like is None or found.workers.candidates is not like.workers.candidates:
        return None
    same = (
        (found.site, found.workers.sawing, found.body_kg) == (like.site, like.workers.sawing, like.body_kg)
        and (trip.nights, trip.life, trip.aim) == (like.trip.nights, like.trip.life, like.trip.aim)
        and found.jobs == like.jobs
    )
    return like.ability if same else None
