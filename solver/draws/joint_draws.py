"""Joint draws of a question: of each figure that its trip reads and does not state, and of the scores of its tools.

Each draws from a stream of its own that goes by the seed and its id alone, so that one tool or one figure more changes
no other's draws. Figures that several tools or tasks share (pace, rate, what sets the species apart, moisture) are
drawn once; what is not known of scores is shared by tools of a family (`catalog.scores.score_spread`). Habits and
choices stay as they are, and so do field methods and figures that the trip states. Figures of a stored catalog are
drawn about their values: in their own intervals, rates and handling without one as if assumed.
"""

from collections.abc import Mapping
from copy import copy
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from catalog.equipment.tool import TASKS
from catalog.maths.draws_memory import DRAWS_MEMORY
from catalog.maths.latent_scale import Spread, own_spread, spread_of_assumption
from catalog.maths.stratified import fresh_normal_draws, normal_draws
from catalog.scores.score_spread import ScoreDraws
from catalog.tables.assumption import spread_rows
from catalog.tables.number import Bools, Floats, Ints
from catalog.trials.timed_work import OF_WORK
from solver.draws.axis_day import held_by
from solver.draws.worn_limits import worn_at_a_look, worn_exactly
from solver.forms.effort import Effort
from solver.model.case import Case
from solver.model.copies import original_of
from solver.needs.candidates import Candidates
from solver.needs.case_axis import CaseAxis, cases_over
from solver.needs.question import Question

_MOST_CELLS = 1_000_000  # judged: times of workers at jobs in the cases that are made together, 8 MB in an array
_MOST_TOLD = 8_000_000  # judged: what kits do in draws that is kept, 8 MB
_MOST_HELD = 1_500_000  # judged: such times of all cases, some 70 MB with all else; beyond, cases are made anew

_UNKNOWN, _LATE, _OPEN = -1, 0, 2  # of a kit in a draw; 1 where it does the work in time


class JointDraws:
    """So many draws of a question, as cases along an axis, made a block at a time."""

    def __init__(self, question: Question, *, count: int, seed: int, effort: Effort, fresh: bool = False) -> None:
        """Begin; see `draws_of`."""
        self.question, self.count, self.seed, self.fresh, self.effort = question, count, seed, fresh, effort
        self._figures: dict[str, Floats] = {}
        self._held: dict[int, list[Case]] = {}
        self._axes: dict[int, CaseAxis] = {}
        self._told: dict[tuple[str, ...], NDArray[np.int8]] = {}  # whether kits do the work in time
        self._names = self._drawable(question.ledger.used)

    def __len__(self) -> int:
        """Return the number of draws."""
        return self.count

    @property
    def figures(self) -> Mapping[str, Floats]:
        """What each assumption that is drawn is in each draw, by id, in its own unit, float[E]."""
        return {name: self.figure(name) for name in spread_rows() if name in self._names}

    @cached_property
    def _scores(self) -> ScoreDraws:
        """What draws scores."""
        return ScoreDraws(count=self.count, seed=self.seed, fresh=self.fresh)

    def factor(self, task: str, place: int) -> Floats:
        """Return what the score of a tool (place) is times its median, float[E]; 1 where that is 0."""
        tool = self.question.workers.candidates.tools[place]
        if not getattr(tool, f"{task}_score"):
            return np.ones(self.count)
        if "_factors" in self.__dict__:
            places, factors = self._factors[task]
            drawn: Floats = factors[:, places.index(place)]
            return drawn
        return self._scores.factors(tool, task, name=original_of(tool.id))

    @cached_property
    def _factors(self) -> Mapping[str, tuple[list[int], Floats]]:
        """By task the tools (places) whose score is above 0, and what that is times its median, float[E, N]."""
        tools, found = self.question.workers.candidates.tools, {}
        for task in TASKS:
            places = [place for place, tool in enumerate(tools) if getattr(tool, f"{task}_score") > 0]
            found[task] = places, np.empty((self.count, len(places)))
            for column, place in enumerate(places):
                self.effort.go_on()
                found[task][1][:, column] = self.factor(task, place)
        return found

    @cached_property
    def size(self) -> int:
        """How many cases are made together."""
        return max(1, min(self.count, _MOST_CELLS // max(1, self.question.case.work.size)))

    def axis(self, first: int, last: int) -> CaseAxis:
        """Return the cases from one draw to before another along an axis.

        Raises:
            RangeError: a figure outside the range of its formula.
            TripError: a route that the models don't hold for.
            Unfinished: the effort ran out.
        """
        shape = min(last, self.count) - first, len(self.question.workers.rows)
        factors = {task: np.ones(shape) for task in self._factors}
        for task, (places, drawn_factors) in self._factors.items():
            factors[task][:, places] = drawn_factors[first:last]
        while True:
            self.effort.go_on()
            drawn = {name: values[first:last] for name, values in self.figures.items()}
            found = cases_over(self.question, drawn, drawn=factors)
            # a figure that only some draws read
            more = self._drawable(found.read) - self._names
            if not more:
                return found
            self._names |= more

    def block(self, first: int, last: int) -> list[Case]:
        """Return the cases from one draw to before another; those of few draws are kept.

        Raises:
            RangeError: a figure outside the range of its formula.
            TripError: a route that the models don't hold for.
            Unfinished: the effort ran out.
        """
        if self.count * self.question.case.work.size > _MOST_HELD:
            axis = self.axis(first, last)
            return [axis.case(place) for place in range(len(axis))]
        found = list[Case]()
        for start in range(first // self.size * self.size, last, self.size):
            if start not in self._held:
                axis = self._axes.get(start) or self.axis(start, min(start + self.size, self.count))
                self._axes[start] = axis
                self._held[start] = [axis.case(place) for place in range(len(axis))]
            found += self._held[start][max(first - start, 0) : last - start]
        return found

    def glance(self, ids: tuple[str, ...], places: Ints, roughly: bool) -> Bools:
        """Tell in which of some draws tools do the work in time, whatever the rules between them; what is told is kept.

        Args:
            ids: of the tools.
            places: of the draws, ascending.
            roughly: whether draws count too in which a quick look leaves it open.

        Raises:
            Unfinished: the effort ran out.
        """
        if len(self._told) * self.count > _MOST_TOLD:
            self._told.clear()
        told = self._told.setdefault(ids, np.full(self.count, _UNKNOWN, dtype=np.int8))
        self._tell(ids, told, places[told[places] == _UNKNOWN], exactly=False)
        if not roughly:
            self._tell(ids, told, places[told[places] == _OPEN], exactly=True)
        return np.asarray(told[places] > _LATE)

    def _tell(self, ids: tuple[str, ...], told: NDArray[np.int8], places: Ints, *, exactly: bool) -> None:
        """Note in some draws whether tools do the work in time: at a look, or exactly where that left it open."""
        kit, few = self.question.case.kit(ids), self.count * self.question.case.work.size <= _MOST_HELD
        for first in range(0, self.count, self.size):
            last = min(first + self.size, self.count)
            here = places[slice(*np.searchsorted(places, [first, last]))]
            if not len(here):
                continue
            axis = self._axes.get(first) or self.axis(first, last)
            if few:
                self._axes[first] = axis
            if exactly:
                told[here] = worn_exactly(axis, kit, here - first, effort=self.effort)
            else:
                told[here] = self._looked(axis, kit, here - first)

    def _looked(self, axis: CaseAxis, kit: frozenset[int], places: Ints) -> NDArray[np.int8]:
        """Tell in which of some cases tools do the work in time, as far as a look tells it."""
        held, sure = (each[places] for each in held_by(axis, kit))
        worn = np.flatnonzero(~sure)
        held[worn], known = worn_at_a_look(axis, kit, places[worn], effort=self.effort)
        found = held.astype(np.int8)
        found[worn[~known]] = _OPEN
        return found

    def of_kit(self, tools: Ints) -> "JointDraws":
        """Return the same draws of only some of the tools (places, ascending) and the methods."""
        question, workers = self.question, self.question.workers
        going = [workers.candidates.tools[place] for place in tools.tolist()]
        methods = workers.rows[workers.carried :]
        candidates = Candidates(going, methods, workers.candidates.renews)  # type: ignore[arg-type]
        alone = replace(question, workers=replace(workers, candidates=candidates), case=question.case.keep(tools))
        found = JointDraws(alone, count=self.count, seed=self.seed, fresh=self.fresh, effort=self.effort)
        found._figures = self._figures
        found.__dict__["_scores"] = self._scores
        return found

    def within(self, effort: Effort) -> "JointDraws":
        """Return the same draws for work that may cost something else."""
        found = copy(self)
        found.effort = effort
        return found

    def _drawable(self, read: frozenset[str] | set[str]) -> frozenset[str]:
        """Return those of some assumptions that are drawn: not where the trip states them."""
        drawn = spread_rows().keys() - self.known.keys()
        return frozenset(name for name in read if name in drawn)

    @cached_property
    def known(self) -> Mapping[str, float]:
        """Figures in place of assumed ones that are not drawn, by id."""
        return {name: value for name, value in self.question.ledger.changed.items() if name not in self._own_spreads}

    @cached_property
    def _own_spreads(self) -> Mapping[str, Spread]:
        """How the figures of the trip's catalog are spread, by id."""
        trip, found = self.question.trip, {}
        for name, ends in trip.catalog_figures.items():
            if name in spread_rows() and (ends is not None or name in OF_WORK):
                pair = None if ends is None else (ends.low, ends.high)
                found[name] = own_spread(name, trip.assumptions[name], pair)
        return found

    def figure(self, name: str) -> Floats:
        """Return what an assumption that may be drawn is in each draw, in its own unit, float[E]."""
        if name not in self._figures:
            normal = fresh_normal_draws if self.fresh else normal_draws
            spread = self._own_spreads.get(name) or spread_of_assumption(name)

            def drawn() -> Floats:
                return np.asarray(spread.at(normal(name=name, count=self.count, seed=self.seed)))

            hangs_on = "figure", self.count, self.seed, self.fresh, name, spread
            self._figures[name] = DRAWS_MEMORY.of(hangs_on, drawn)
        return self._figures[name]


def draws_of(question: Question, *, count: int, seed: int, effort: Effort, fresh: bool = False) -> JointDraws:
    """Return joint draws of all that is not known of a question.

    Args:
        question: at the medians.
        count: how many draws, 1 or more.
        seed: any whole number; one seed draws a figure alike on every trip.
        effort: what all that is done with them may cost.
        fresh: whether they are plain pseudorandom ones from another stream, for trying what others have chosen;
            the usual ones are a Latin hypercube.
    """
    return JointDraws(question, count=count, seed=seed, effort=effort, fresh=fresh)
