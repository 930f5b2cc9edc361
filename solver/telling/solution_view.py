"""The settled trip as its parts are told from: who does what, by id."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from catalog import Tool
from solver.answers.kit import Settled
from solver.forms.limit import WORK
from solver.forms.quantity import MS_PER_MINUTE
from solver.model.case import LIFE
from solver.model.copies import is_copy, original_of
from solver.model.day_work import lives_taken, way_of
from solver.needs.case_builder import grams
from solver.needs.job import KNIFE, Job
from solver.needs.knife import originals
from solver.needs.need import Need
from solver.needs.question import Question
from solver.place.wedging import wedge_method
from solver.telling.day_shares import shared_minutes

GATHER, REST = "gather", "rest"  # ids of the rows of a day besides those of its needs


@dataclass(frozen=True)
class Piece:
    """A piece of work: job (index), worker (index), way of working, amount (share or kg), time [ms]; exact."""

    job: int
    worker: int
    way: str
    amount: Fraction
    time: Fraction


@dataclass(frozen=True)
class SolutionView:
    """A question with its settled kit."""

    question: Question
    settled: Settled
    need_prices: Mapping[str, int] = field(default_factory=dict)
    tool_prices: Mapping[str, int | None] = field(default_factory=dict)

    def price(self, need_id: str) -> float | None:
        """Return the grams saved if a need were dropped, where that was asked for."""
        return grams(self.need_prices[need_id]) if need_id in self.need_prices else None

    def tool_price(self, tool_id: str) -> float | None:
        """Return the grams added if a tool stayed home, where that was asked for and a kit does without it."""
        price = self.tool_prices.get(tool_id)
        return None if price is None else grams(price)

    @cached_property
    def chosen(self) -> frozenset[str]:
        """Ids of the carried tools."""
        return frozenset(self.settled.choice.ids or ())

    @cached_property
    def carried(self) -> list[Tool]:
        """The carried tools, in the order of their ids; one of which there are several stands once."""
        return [row for worker in self.chosen_workers if not is_copy((row := self.row(worker)).id)]

    @cached_property
    def edged(self) -> bool:
        """Whether the kit holds an edge, of a blade or of an axe: a tool that says its own, or one that cuts."""
        return any(tool.cuts if tool.edge_mm is None else tool.edge_mm > 0 for tool in self.carried)

    def count(self, tool_id: str) -> int:
        """Return how many of a tool the kit holds."""
        return self._counts[tool_id]

    @cached_property
    def _counts(self) -> Counter[str]:
        """How many of each tool the kit holds."""
        return Counter(originals(self.chosen))

    @cached_property
    def knives(self) -> list[Tool]:
        """The tools that serve the need of a knife: each where each person has one, else the one that stays."""
        found = [n for n, need in self.needs_met() if need.job.task == KNIFE]
        if not found:
            return []
        if self.question.needs[found[0]].backup:
            able = self.question.ability.able[found[0]]
            here = {original_of(self.row(worker).id) for worker in self.chosen_workers if able[worker]}
            return [tool for tool in self.carried if tool.id in here]
        return [self.row(piece.worker) for piece in self.of_need(found[0])]

    @cached_property
    def chosen_workers(self) -> list[int]:
        """The carried tools as workers of the question, in the order of their ids."""
        place = self.question.workers.candidates.place
        return sorted(place[name] for name in self.chosen)

    @cached_property
    def jobs(self) -> list[Job]:
        """All jobs of the question."""
        return self.question.jobs

    @cached_property
    def pieces(self) -> list[Piece]:
        """The day's work, piece by piece, in the order of jobs and workers."""
        case, ability = self.settled.case, self.question.ability
        return [
            Piece(
                job=(job := self.settled.met[row]),
                worker=worker,
                way=ability.way(job, worker, way),
                amount=amount,
                time=amount * way_of(case, row, worker, way).work,
            )
            for (row, worker, way), amount in sorted(self.settled.load.done.items())
            if self.settled.met[row] not in self.standby
        ]

    @cached_property
    def standby(self) -> frozenset[int]:
        """Needs (indices) without work, which only ask for able tools."""
        return frozenset(n for n, need in enumerate(self.question.needs) if need.standby)

    def row(self, worker: int) -> Tool:
        """Return the row of a worker."""
        return self.question.workers.rows[worker]

    def of_need(self, n: int) -> list[Piece]:
        """Return the work on one need."""
        return self._by_job.get(n, [])

    @cached_property
    def _by_job(self) -> dict[int, list[Piece]]:
        """The work on each job that has any."""
        found: dict[int, list[Piece]] = {}
        for piece in self.pieces:
            found.setdefault(piece.job, []).append(piece)
        return found

    @cached_property
    def on_firewood(self) -> list[Piece]:
        """The work on firewood."""
        return [piece for piece in self.pieces if piece.job >= len(self.question.needs)]

    @cached_property
    def class_jobs(self) -> list[tuple[int, Job]]:
        """Class of firewood and job, for the jobs after those of the needs."""
        return [(c, job) for c, one in enumerate(self.question.classes) for job in one.jobs]

    def class_of(self, piece: Piece) -> int:
        """Return the class of firewood that a piece of work is on."""
        return self.class_jobs[piece.job - len(self.question.needs)][0]

    @cached_property
    def firewood_kg(self) -> float:
        """Kilograms of firewood that are worked a day."""
        return sum(map(float, self.settled.load.kg.values()))

    @cached_property
    def gather_ms(self) -> Fraction:
        """Time of gathering a day [ms]."""
        firewood, kg = self.settled.case.firewood, self.settled.load.kg
        return sum((each * int(firewood.gather[c]) for c, each in kg.items() if firewood), Fraction(0))

    @cached_property
    def minutes_spent(self) -> list[tuple[str, float]]:
        """The way and the minutes of each piece of work, and of gathering."""
        spent = [(piece.way, piece.time) for piece in self.pieces] + [(GATHER, self.gather_ms)]
        return [(way, float(ms) / MS_PER_MINUTE) for way, ms in spent]

    def lives_spent(self, tool_id: str, part: int) -> float:
        """Return how much of the life of a part of a tool the trip takes, by the work it does."""
        place = self.question.workers.candidates.place[tool_id]
        return float(self._lives_taken.get((place, part), 0) / LIFE)

    @cached_property
    def _lives_taken(self) -> dict[tuple[int, int], Fraction]:
        """The millionths of a life that the trip takes of each part of each tool which works."""
        return lives_taken(self.settled.wearing, self.settled.load)

    @cached_property
    def told_ms(self) -> Fraction:
        """A day's work with its rest [ms]."""
        return self.settled.case.told_ms(self.settled.load.work)

    @cached_property
    def told_min(self) -> float:
        """A day's work with its rest as it is told [min]."""
        return self.settled.case.told(WORK, self.settled.load.work)

    @property
    def rest_ms(self) -> Fraction:
        """The rest of a day [ms]."""
        return self.told_ms - self.settled.load.work

    @cached_property
    def minutes_of(self) -> dict[str, float]:
        """The minutes of each need met, each use of the fire, gathering and rest, which add up to the day's."""
        question, wood = self.question, sum((piece.time for piece in self.on_firewood), Fraction(0))
        parts: dict[str, Fraction] = {GATHER: self.gather_ms, REST: self.rest_ms}
        for n, need in enumerate(question.needs):
            parts[need.id] = sum((piece.time for piece in self.of_need(n)), parts.get(need.id, Fraction(0)))
        burned = sum((Fraction(use.kg) for use in question.uses), Fraction(0))
        for use in question.uses:
            parts[use.id] = wood * Fraction(use.kg) / burned if burned else Fraction(0)
        return shared_minutes(parts, self.told_min)

    @property
    def handling_ms(self) -> float:
        """Time of setting up and moving cuts and rounds a day [ms]."""
        each = (float(piece.amount) * self.jobs[piece.job].loads[piece.way].handling for piece in self.pieces)
        return sum(each) * MS_PER_MINUTE

    def spare(self, piece: Piece) -> float:
        """Return the diameter to spare [mm]."""
        largest = float(self.question.workers.largest[piece.way][piece.worker])  # of wedges: what the tool can start
        if piece.job >= len(self.question.needs):
            short = self.question.classes[self.class_of(piece)].short_mm or {}
            largest = min(largest, short.get(self.row(piece.worker).id, largest))
        return round(largest - self.jobs[piece.job].diameter_mm, 2)

    def frame_mm(self, piece: Piece) -> float:
        """Return the largest log that a saw cuts without turning it [mm]."""
        return float(self.question.workers.candidates.figures["saw_max_mm"][piece.worker])

    def turned(self, piece: Piece) -> bool:
        """Tell whether the logs of a piece of work are sawn by turning them."""
        return piece.way == "saw" and self.jobs[piece.job].diameter_mm > self.frame_mm(piece)

    def weight(self, piece: Piece) -> float:
        """Return how much of its whole need a job is."""
        needs = self.question.needs
        return needs[piece.job].weight if piece.job < len(needs) else 1.0

    @cached_property
    def methods_used(self) -> list[str]:
        """Ids of the field methods that work, with or without a tool, in order."""
        carried = self.question.workers.carried
        found = {self.row(piece.worker).id for piece in self.pieces if piece.worker >= carried}
        found |= {wedge_method().id for piece in self.pieces if piece.way == "wedge"}
        return sorted(found)

    def needs_met(self) -> Iterator[tuple[int, Need]]:
        """Yield the needs that the kit meets, with their indices."""
        met = set(self.settled.met)
        return ((n, need) for n, need in enumerate(self.question.needs) if n in met)

    def served(self, piece: Piece) -> list[str]:
        """Return the needs that a piece of work serves."""
        needs = self.question.needs
        return [needs[piece.job].id] if piece.job < len(needs) else [use.id for use in self.question.uses]

    @cached_property
    def _jobs_of(self) -> dict[str, set[int]]:
        """The jobs that each worker works at, by its id."""
        found: dict[str, set[int]] = {}
        for piece in self.pieces:
            found.setdefault(self.row(piece.worker).id, set()).add(piece.job)
        return found

    def does(self, worker_id: str) -> list[str]:
        """Return the needs that a worker works on, in the order of the answer."""
        mine = self._jobs_of.get(worker_id, set())
        needs = self.question.needs
        keeps = any(tool.id == worker_id for tool in self.knives)
        mine_too = [need.id for n, need in enumerate(needs) if (keeps if need.job.task == KNIFE else n in mine)]
        names = list(dict.fromkeys(mine_too))
        if any(job >= len(needs) for job in mine):
            names += [use.id for use in self.question.uses]
        return names
