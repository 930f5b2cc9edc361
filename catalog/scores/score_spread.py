"""How wide a score is: log-normal, with its median in the row and its 90 % interval there or as judged scores have."""

import math
from collections.abc import Mapping, Sequence
from functools import cache
from statistics import NormalDist

import numpy as np

from catalog.equipment.kind import family_of
from catalog.equipment.tool import TASKS, Tool
from catalog.equipment.toolset import judged_tools
from catalog.maths.draws_memory import DRAWS_MEMORY
from catalog.maths.near_field import NearField, likeness
from catalog.maths.stratified import fresh_normal_draws, in_strata, normal_draws
from catalog.tables.assumption import assumed
from catalog.tables.number import Floats

DRAWN_SOURCE = "geometry model"  # source of the scores of a row that comes from a drawing
_MEASURED = "measured by trials: "
_JUDGED = "judged"
_REACH = 0.5  # judged: how far in the logarithms of its measures a tool is like another, as for drawings
_OF_MASS = 0.5  # judged: share of a distance with which mass counts
_LEAST = 1.0  # judged: g or mm, of what is given as less
# derived: the ends of a 90 % interval leave 5 % on either side
_Z = NormalDist().inv_cdf(19 / 20)


def score_interval(tool: Tool, task: str, *, changed: Mapping[str, float] | None = None) -> tuple[float, float]:
    """Return the 90 % interval of a tool's score at a task; an end that its row does not give is a judged one's.

    A score of 0 is exact.

    Args:
        tool: its row.
        task: split, saw, carve or chop.
        changed: assumptions in place of the table's, by id.
    """
    score = float(getattr(tool, f"{task}_score"))
    low, high = getattr(tool, f"{task}_score_low"), getattr(tool, f"{task}_score_high")
    factor = assumed(f"judged_spread_{task}", changed)
    return score / factor if low is None else low, score * factor if high is None else high


class ScoreDraws:
    """Joint draws of scores, as factors on their medians.

    Between the median and each end of the interval the logarithm of a score is normal, with a spread of that side. What
    is not known of a tool at a task is for one part common to its family (`score_family_share`), for another to tools
    near it (`score_near_share`), and for the rest its own: if one knife of 120 mm splits poorly, so does its twin. So
    no kit is surer because it holds a tool twice. Tools lie near each other by mass and by the largest diameter of the
    task. Own trials tell a score by itself: of what they leave open, little is shared.

    The score of a scale's reference tool is exact, so nothing is unknown that its family would share with it: errors
    are drawn given that its own is 0. The nearer a tool lies to it, the less is left of a judged interval. One that
    a row states, trials measured or a drawing gives holds as it stands.

    Source: the conditional distribution of a joint normal one (standard result).

    What physics and the residual get wrong of one drawing they get wrong of all: in each draw the drawn scores of a
    family at a task lie equally far out in their intervals, or the luckiest of many designs would win.
    """

    def __init__(self, *, count: int, seed: int, fresh: bool = False) -> None:
        """Begin.

        Args:
            count: how many draws.
            seed: any whole number.
            fresh: whether they are plain pseudorandom ones, of another stream, not stratified.
        """
        self.count, self.seed, self.fresh = count, seed, fresh
        self._fields: dict[str, NearField] = {}
        self._normals: dict[str, Floats] = {}

    def factors(self, tool: Tool, task: str, *, name: str) -> Floats:
        """Return draws of a score over its median [-], float[count].

        Args:
            tool: its row, with a score above 0 at the task.
            task: split, saw, carve or chop.
            name: its draws go by; copies of a tool have the one of their original.
        """
        score = float(getattr(tool, f"{task}_score"))
        low, high = score_interval(tool, task)
        shares = assumed("score_family_share"), assumed("score_near_share")
        family, place, source = family_of(tool), score_place(tool, task), tool.score_source
        judged = _is_judged(tool, task), assumed(f"judged_spread_{task}")
        hangs_on = (name, task, family, place, source, score, low, high, *judged, *shares)

        def drawn() -> Floats:
            draws = self._normal(tool, task, name, *shares)
            side = np.where(draws < 0, math.log(score / low), math.log(high / score))
            factors: Floats = np.exp(draws / _Z * side)
            return factors

        return DRAWS_MEMORY.of(("score", self.count, self.seed, self.fresh, *hangs_on), drawn)

    def _normal(self, tool: Tool, task: str, name: str, common: float, near: float) -> Floats:
        """Return how far out a score lies in each draw, in standard deviations of its interval."""
        family = family_of(tool)
        if tool.score_source == DRAWN_SOURCE:
            near, name = 0.0, "residual"
        elif task in measured_tasks(tool.score_source or ""):
            left = _left_of_judged(tool, task)
            common, near = left * common, left * near
        normal = fresh_normal_draws if self.fresh else normal_draws
        own = normal(name=f"{name}.{task}_score", count=self.count, seed=self.seed)
        whose = f"{family}.{task}_family"
        if whose not in self._normals:
            self._normals[whose] = normal(name=whose, count=self.count, seed=self.seed)
        draws = math.sqrt(common) * self._normals[whose] + math.sqrt(max(0.0, 1 - common - near)) * own
        if near:
            draws += math.sqrt(near) * self._near(family, task).at(score_place(tool, task))
        draws, left = self._given_reference(draws, tool, task, common=common, near=near)
        return draws if self.fresh else left * in_strata(draws)

    def _given_reference(
        self, draws: Floats, tool: Tool, task: str, *, common: float, near: float
    ) -> tuple[Floats, float]:
        """Return draws given that the score of the reference tool, if the family has one, is exact, and their spread.

        Args:
            draws: how far out the score lies if no score is exact.
            tool: its row.
            task: split, saw, carve or chop.
            common: share of the tool's variance that is common to its family.
            near: share of it that is common to tools near by.
        """
        family = family_of(tool)
        reference = reference_tools().get((family, task))
        if reference is None:
            return draws, 1.0
        known = math.sqrt(common * assumed("score_family_share"))
        if near:
            apart = likeness(score_place(tool, task), score_place(reference, task))
            known += math.sqrt(near * assumed("score_near_share")) * apart
        left = math.sqrt(1 - known**2)
        draws = draws - known * self._of_reference(family, task, reference)
        return (draws, left) if _is_judged(tool, task) else (draws / left, 1.0)

    def _near(self, family: str, task: str) -> NearField:
        """Return what tools near each other share, of a family at a task."""
        field = f"{family}.{task}_near"
        if field not in self._fields:
            self._fields[field] = NearField(name=field, count=self.count, seed=self.seed, fresh=self.fresh)
        return self._fields[field]

    def _of_reference(self, family: str, task: str, reference: Tool) -> Floats:
        """Return how far out the score of a reference tool would lie if it were not exact."""
        whose = f"{family}.{task}_reference"
        if whose not in self._normals:
            common, near = assumed("score_family_share"), assumed("score_near_share")
            normal = fresh_normal_draws if self.fresh else normal_draws
            own = normal(name=whose, count=self.count, seed=self.seed)
            draws = math.sqrt(common) * self._normals[f"{family}.{task}_family"]
            draws += math.sqrt(near) * self._near(family, task).at(score_place(reference, task))
            self._normals[whose] = draws + math.sqrt(max(0.0, 1 - common - near)) * own
        return self._normals[whose]


@cache
def reference_tools() -> Mapping[tuple[str, str], Tool]:
    """Return the reference tool of each family and task that has one: its score is exact."""
    return {
        (family_of(tool), task): tool
        for tool in judged_tools()
        for task in TASKS
        if getattr(tool, f"{task}_score_low") == getattr(tool, f"{task}_score_high")
        and getattr(tool, f"{task}_score_low") is not None
    }


def _is_judged(tool: Tool, task: str) -> bool:
    """Tell whether the interval of a score is a judged one: that of a built-in row, or one that its row leaves out."""
    left_out = None in (getattr(tool, f"{task}_score_low"), getattr(tool, f"{task}_score_high"))
    return left_out or (tool.score_source or "").startswith(_JUDGED)


def score_place(tool: Tool, task: str) -> tuple[float, float]:
    """Return where a tool lies among others of its family at a task [-]."""
    mass, largest = max(tool.mass_g, _LEAST), max(float(getattr(tool, f"{task}_max_mm")), _LEAST)
    return _OF_MASS * math.log(mass) / _REACH, math.log(largest) / _REACH


def measured_tasks(source: str) -> list[str]:
    """Return the tasks that trials measured, by the source of a row's scores."""
    if not source.startswith(_MEASURED):
        return []
    return source.removeprefix(_MEASURED).split(";")[0].split(", ")


def measured_source(tasks: Sequence[str]) -> str:
    """Return the source of scores that trials measured."""
    return _MEASURED + ", ".join(tasks)


def _left_of_judged(tool: Tool, task: str) -> float:
    """Return the share of what was not known of a score that its trials left open, 0 to 1.

    Derived: after a record of a normal figure, its squared correlation with a part of it is what it was before, times
    the share of the variance that is left.
    """
    low, high = score_interval(tool, task)
    return min(1.0, math.log(high / low) / (2 * math.log(assumed(f"judged_spread_{task}")))) ** 2
