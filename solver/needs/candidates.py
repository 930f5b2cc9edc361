"""Tools that may go and methods, with all that does not hang on the trip: their figures, companions and renewals."""

from collections.abc import Mapping, Sequence
from functools import cache, cached_property, lru_cache
from operator import attrgetter
from typing import Any

import numpy as np

from catalog import Method, Tool, kinds, methods, tools
from catalog.tables.number import Bools, Floats, Ints
from solver.forms.quantity import MILLIONTHS, UNITS_PER_GRAM, UNITS_PER_PRICE, decimal_of
from solver.model.case import EDGE, TEETH, Renewal
from solver.model.companion_group import CompanionGroup, marked, only_one
from solver.needs.job import KNIFE

_WEARING = ("split", "saw", "carve", "chop")
WAYS = (*_WEARING, "buck", KNIFE, "wedge")  # only methods buck in a way of their own; wedges take figures of several
IN_ANY_WEATHER, WHERE_DRY = 2.0, 1.0  # scores as a knife that stays in the pack; no answer tells them
_SCORES = tuple(f"{way}_{figure}" for way in _WEARING for figure in ("score", "max_mm"))
_WAYS_OF = {TEETH: ("saw",), EDGE: ("split", "carve", "chop")}
RENEWED = {"teeth": (TEETH,), "edge": (EDGE,), "both": (TEETH, EDGE)}
_LIVES = tuple(f"{way}_life" for way in _WEARING)
_SAWING = ("turned_max_mm", "second_worker_gain", "one_person")
_COLUMNS = (*_SCORES, *_LIVES, *_SAWING)
_PLACE_OF = {column: place for place, column in enumerate(_COLUMNS)}
_figures_of = attrgetter(*_COLUMNS)
MOST_WEAR = 2**32  # millionths: four thousand lives, beyond any trip; sums over kilograms stay whole
_NEAR_HALF = 1e-6  # of 0.01 g: far above what the sum of two floats is off by
_MOST_CREWS = 256  # of built-in tools, as trips let them go


class Candidates:
    """Rows of tools, by id, then of methods; what they have in common is worked out once, when first asked for."""

    def __init__(self, going: Sequence[Tool], able: Sequence[Method], renews: Mapping[str, str] | None = None) -> None:
        """Take the rows.

        Args:
            going: the tools that may go.
            able: the methods.
            renews: what each tool renews of others, of those that may not go too; of these where nothing is said.
        """
        self.rows: tuple[Tool, ...] = (*going, *able)
        self.renews = {tool.id: tool.renews for tool in going} if renews is None else renews
        self.carried = len(going)
        self.sharpening: dict[tuple[int, ...], Bools] = {}
        self.renewed: dict[bool, tuple[Renewal, ...]] = {}
        self.worked_in: dict[Any, Any] = {}  # these as workers, by what they hang on, as of `solver.needs.ability`

    def with_figures(self, changes: Sequence[tuple[int, Mapping[str, float]]]) -> "Candidates":
        """Return some of the tools (places), one for each change, with figures of them changed by their columns.

        Only their figures: the rows, and who serves or renews whom, stay as they are.
        """
        found = Candidates([self.tools[tool] for tool, _ in changes], [], self.renews)
        found.table = self.table[[tool for tool, _ in changes]]
        for line, (_, changed) in zip(found.table, changes, strict=True):
            for column, figure in changed.items():
                line[_PLACE_OF[column]] = figure
        return found

    @property
    def tools(self) -> tuple[Tool, ...]:
        """The tools that may go."""
        return self.rows[: self.carried]

    @cached_property
    def ids(self) -> tuple[str, ...]:
        """Ids of the tools."""
        return tuple(tool.id for tool in self.tools)

    @cached_property
    def place(self) -> dict[str, int]:
        """Index of each tool by its id."""
        return {name: index for index, name in enumerate(self.ids)}

    @cached_property
    def methods(self) -> tuple[str, ...]:
        """Ids of the methods."""
        return tuple(row.id for row in self.rows[self.carried :])

    @cached_property
    def mass(self) -> Ints:
        """Packed masses of the tools [0.01 g]."""
        return packed_units(self.tools)

    @cached_property
    def price(self) -> Ints:
        """Prices of the tools [0.01]; one that is not known counts as nothing."""
        return whole_units([tool.price or 0.0 for tool in self.tools], UNITS_PER_PRICE)

    @cached_property
    def table(self) -> Floats:
        """Scores, largest diameters, lives and what is said of sawing of every worker, a row each."""
        return np.array([_figures_of(row) for row in self.rows], dtype=float).reshape(len(self.rows), len(_COLUMNS))

    @cached_property
    def figures(self) -> dict[str, Floats]:
        """Scores and largest diameters as columns."""
        found = dict(zip(_SCORES, self.table[:, : len(_SCORES)].T, strict=True))
        able = [row for row in self.rows[self.carried :] if isinstance(row, Method)]
        none = [0.0] * self.carried
        found["buck_score"] = np.array(none + [method.buck_score for method in able])
        found["buck_max_mm"] = np.array(none + [method.buck_max_mm for method in able])
        found[f"{KNIFE}_score"] = np.array([knife_scores().get(row.kind, 0.0) for row in self.rows], dtype=float)
        found[f"{KNIFE}_max_mm"] = np.zeros(len(self.rows))
        return found

    @cached_property
    def lives(self) -> Floats:
        """Life of every worker by way of working but wedging, float[6, W]; without end where none is stated."""
        stated = self.table[:, len(_SCORES) : -len(_SAWING)].T
        unworn = np.full((len(WAYS) - 1 - len(stated), len(self.rows)), np.inf)
        return np.concatenate([np.where(np.isnan(stated), np.inf, stated), unworn])

    @cached_property
    def sawn_mm(self) -> Floats:
        """Largest diameters for sawing if the log may be turned; nothing where a worker saws nothing."""
        within = self.figures["saw_max_mm"]
        return np.where(within > 0, np.maximum(within, self.table[:, -3]), 0.0)

    @cached_property
    def pair_rate(self) -> Floats:
        """Sawing rate of two over that of one; one does nothing beside another where no gain is stated."""
        gain, alone = self.table[:, -2], np.where(self.for_one, 1.0, 2.0)
        return np.where(np.isnan(gain), alone, gain)

    @cached_property
    def batoned(self) -> Bools:
        """Whether it splits under a baton."""
        return np.array([row.batoned for row in self.rows], dtype=bool)

    @cached_property
    def for_one(self) -> Bools:
        """Whether one person alone can use it."""
        usable: Bools = self.table[:, -1] > 0
        return usable

    @cached_property
    def dependent(self) -> Bools:
        """Which tools need companions."""
        return np.array([bool(tool.needs) for tool in self.tools], dtype=bool)

    @cached_property
    def groups(self) -> tuple[CompanionGroup, ...]:
        """A rule per companion group of every tool and method."""
        known: dict[tuple[int, ...], Bools] = {}
        unlike = {tuple(group) for row in self.rows for group in row.needs}
        serving = {group: marked(self.carried, self.members(group), known) for group in unlike}
        return tuple(
            CompanionGroup(index, *serving[tuple(group)]) for index, row in enumerate(self.rows) for group in row.needs
        )

    def members(self, group: Sequence[str]) -> tuple[int, ...]:
        """Return which tools serve a companion group: those named, and those able at a task it names."""
        serving = {self.place[member] for member in group if member in self.place}
        for task in {member.removeprefix("can:") for member in group if member.startswith("can:")}:
            serving.update(np.flatnonzero(self.figures[f"{task}_score"][: self.carried] > 0).tolist())
        return tuple(sorted(serving))

    def renewals(self, *, upkeep: bool) -> tuple[Renewal, ...]:
        """Return what renews each part of the tools that something renews; without upkeep a part is its own sharpener.

        A part without a life never wears.
        """
        if upkeep not in self.renewed:
            rows = [(index, row) for index, row in enumerate(self.tools) if row.sharpened_by]
            worn = [(index, part) for index, row in rows for part in _parts_of(row)]
            renewal = self.renewal if upkeep else self.own_renewal
            self.renewed[upkeep] = tuple(one for each in worn if (one := renewal(*each)) is not None)
        return self.renewed[upkeep]

    def renewal(self, index: int, part: int) -> Renewal:
        """Return what renews a part of a tool, of all that it names and that renews this part.

        A renewer that states a life at a task of the tool and can't do that task itself is a spare: it adds its life
        once. Any other renews without end.
        """
        tool = self.rows[index]
        sharpeners = set[int]()
        spares: dict[int, int] = {}
        for name in tool.sharpened_by:
            if name not in self.place or part not in RENEWED[self.rows[self.place[name]].renews]:
                continue
            share = _spare_share(tool, self.rows[self.place[name]], part)
            if share is None:
                sharpeners.add(self.place[name])
            else:
                spares[self.place[name]] = share
        marks, only = marked(self.carried, tuple(sorted(sharpeners)), self.sharpening)
        return Renewal(index, part, marks, spares, only)

    def own_renewal(self, index: int, part: int) -> Renewal | None:
        """Return the renewal of a part that stays sharp by itself, as something renews it, whether it may go or not."""
        if not any(part in RENEWED[self.renews.get(name, "both")] for name in self.rows[index].sharpened_by):
            return None
        return Renewal(index, part, only_one(self.carried, index), only=index)


def _parts_of(tool: Tool) -> list[int]:
    """Return the parts of a tool that wear."""
    return [part for part, ways in _WAYS_OF.items() if any(getattr(tool, f"{way}_life") is not None for way in ways)]


def _spare_share(tool: Tool, spare: Tool, part: int) -> int | None:
    """Return the life that a spare adds to a part [millionths of the tool's], or None where it is no spare.

    It goes by the lives of the part's own ways, and by those of the other part's where the spare states none.
    """
    for way in sorted(_WEARING, key=lambda one: one not in _WAYS_OF[part]):
        life, added = getattr(tool, f"{way}_life"), getattr(spare, f"{way}_life")
        if life is not None and added is not None and not getattr(spare, f"{way}_score"):
            return int(min(MILLIONTHS * added / life, MOST_WEAR) + 1 / 2)
    return None


@cache
def knife_scores() -> Mapping[str, float]:
    """Return what each kind of tool scores as a knife that stays in the pack, of the kinds that are one."""
    scores = {"any": IN_ANY_WEATHER, "dry": WHERE_DRY}
    return {kind: scores[row.knife] for kind, row in kinds().items() if row.knife is not None}


def knife_words(*, least: float, most: float = IN_ANY_WEATHER) -> str:
    """Return the kinds of knife that score from a least to a most, in words: "a fixed, a carving or a long knife"."""
    found = [f"a {kind.removesuffix(' knife')}" for kind, score in knife_scores().items() if least <= score <= most]
    return " or ".join([", ".join(found[:-1]), found[-1]] if found[1:] else found) + " knife"


def packed_units(tools: Sequence[Tool]) -> Ints:
    """Return the packed masses of tools [0.01 g], bare and cover summed as the decimals that they are written as."""
    masses = [tool.packed_mass_g for tool in tools]
    units, exact = whole_units(masses, UNITS_PER_GRAM), np.array(masses, dtype=float) * UNITS_PER_GRAM
    for place in np.flatnonzero(abs(exact % 1 - 1 / 2) < _NEAR_HALF).tolist():
        tool = tools[place]
        units[place] = round((decimal_of(tool.mass_g) + decimal_of(tool.cover_g)) * UNITS_PER_GRAM)
    return units


def whole_units(values: Sequence[float] | Floats, per_unit: int) -> Ints:
    """Return values as whole units, rounded half to even."""
    units: Ints = np.rint(np.array(values, dtype=float) * per_unit).astype(np.int64)
    return units


@lru_cache(maxsize=_MOST_CREWS)
def built_in_candidates(home: frozenset[str], able: tuple[str, ...]) -> Candidates:
    """Return the candidates of the built-in tools but those that stay home, and of these methods."""
    by_id = _methods_by_id()
    going, renews = [tool for tool in tools() if tool.id not in home], {tool.id: tool.renews for tool in tools()}
    return Candidates(going, [by_id[name] for name in able], renews)


@cache
def _methods_by_id() -> dict[str, Method]:
    """Return the field methods by id."""
    return {method.id: method for method in methods()}
