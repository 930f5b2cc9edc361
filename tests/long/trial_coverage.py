"""Simulation-based calibration: how often the intervals of trials hold the figures that the records were drawn from.

Truths are drawn from the distributions before the records, and records from the truths, by formulas written down here
(geometry, and the definition of a score). `python tests trial_coverage` prints the table for 2,000 truths of each plan
of trials; test_trial_coverage.py runs a slice of it.
"""

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from catalog import Tool, assumptions
from catalog.trials.measured import Measured, measure
from catalog.trials.trial import Trial

Z = 1.6448536269514722  # 95 % quantile of the standard normal distribution
SPOILT = 0.5  # a spoilt record comes out at this share of the true rate
PLANS = ("one saw", "three saws, two people", "two tasks, other wood")


@dataclass
class Study:
    """How many intervals of each figure hold the truth, of how many; and their mean width in the logarithm."""

    held: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    count: dict[str, int] = field(default_factory=lambda: defaultdict(int))
    width: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    named: int = 0
    spoilt: int = 0
    asked: int = 0

    def coverage(self, figure: str) -> float:
        """Return the share of intervals that hold the truth."""
        return self.held[figure] / self.count[figure]

    def all_scores(self) -> float:
        """Return the same of the scores of all tools."""
        return self.coverage("score")

    def note(self, figure: str, truth: float, low: float, high: float) -> None:
        """Note one interval."""
        self.held[figure] += low <= truth <= high
        self.count[figure] += 1
        self.width[figure] += math.log(high / low)


def drawn(rng: np.random.Generator, name: str) -> float:
    """Draw an assumption from its band, a 90 % interval."""
    row = assumptions()[name]
    return float(row.value * math.exp(rng.normal() * math.log(row.high / row.low) / (2 * Z)))


def scattered(rng: np.random.Generator, spread: float, spoilt: bool) -> float:
    """Draw the error of a record, as a factor of its minutes."""
    return math.exp(rng.normal() * spread) / (SPOILT if spoilt else 1)


@dataclass
class World:
    """What is true in one draw."""

    figures: dict[str, float]
    scores: dict[tuple[str, str], float]
    paces: dict[str, float]
    spread: float


SAWS = [
    Tool(id="small-saw", mass_g=150, saw_score=4.0, saw_max_mm=200.0),
    Tool(id="large-saw", mass_g=400, saw_score=8.0, saw_max_mm=300.0),
    Tool(id="reference", mass_g=800, saw_score=10.0, saw_max_mm=300.0, saw_score_low=10.0, saw_score_high=10.0),
    Tool(id="hatchet", mass_g=700, split_score=4.0, split_max_mm=200.0),
]
FACTOR = {"saw": 1.3, "split": 1.6}  # usual interval of a judged score, catalog/data/tables/assumptions.csv


def world(rng: np.random.Generator) -> World:
    """Draw a world."""
    names = ("saw_rate", "cleave_rate", "handling_cut", "handling_round", "residual_saw", "residual_split")
    scores = {}
    for tool in SAWS:
        for task, factor in FACTOR.items():
            middle = getattr(tool, f"{task}_score")
            if middle:
                exact = tool.id == "reference"
                scores[tool.id, task] = middle if exact else middle * math.exp(rng.normal() * math.log(factor) / Z)
    row = assumptions()["record_spread"]
    freedom = 0.5 * (2 * Z / math.log(row.high / row.low)) ** 2
    spread = row.value * math.sqrt(freedom / rng.chisquare(freedom))
    paces = {"ann": drawn(rng, "pace"), "ben": drawn(rng, "pace")}
    return World({name: drawn(rng, name) for name in names}, scores, paces, spread)


def saw_minutes(true: World, tool: str, person: str, *, mm: float, count: int, whole: bool, birch: bool) -> float:
    """Minutes of cutting through poles: face over rate, score and pace; poles below half of the largest log."""
    face = count * math.pi * (mm / 20) ** 2
    wood = BIRCH["saw"] * true.figures["residual_saw"] if birch else 1.0
    cutting = face * wood / (true.figures["saw_rate"] * true.scores[tool, "saw"] / 10)
    return (cutting + whole * count * true.figures["handling_cut"]) / true.paces[person]


def split_minutes(true: World, person: str, *, mm: float, clefts: int, rounds: int, birch: bool) -> float:
    """Minutes of splitting rounds, handled."""
    wood = BIRCH["split"] * true.figures["residual_split"] if birch else 1.0
    exponent = assumptions()["cleft_exponent"].value
    rate = true.figures["cleave_rate"] * true.scores["hatchet", "split"] / 10
    cutting = clefts * (mm / 100) ** exponent * wood / rate
    return (cutting + rounds * true.figures["handling_round"]) / true.paces[person]


def _birch(task: str) -> float:
    """Return the time factor of dry paper birch, which this study takes as known."""
    from catalog.wood.species import species_of
    from catalog.wood.work import time_factor

    return time_factor(species_of("paper-birch"), task, state="dead-dry", air_c=10.0).factor  # type: ignore[arg-type]


BIRCH = {task: _birch(task) for task in ("saw", "split")}


def plan_of(name: str, records: int) -> Iterator[tuple[str, str, bool, bool]]:
    """Yield tool, person, whether the whole job was timed, and whether the wood was birch."""
    if name == "one saw":
        yield from [("small-saw", "ann", False, False)] * records
    elif name == "three saws, two people":
        for person in ("ann", "ben"):
            for tool in ("small-saw", "large-saw", "reference"):
                yield from [(tool, person, False, False)] * records
    else:
        for tool in ("small-saw", "hatchet"):
            for place in range(records):
                yield tool, "ann", place % 2 == 0, place % 3 == 0


def study(*, plan: str, records: int, spoilt_share: float, repeats: int, seed: int, confidence: float = 0.9) -> Study:
    """Draw worlds and their records, and note which intervals hold what is true."""
    rng, found = np.random.default_rng(seed), Study()
    for _ in range(repeats):
        true = world(rng)
        trials, spoilt = [], set()
        for place, (tool, person, whole, birch) in enumerate(plan_of(plan, records)):
            mm = float(rng.integers(60, 100))
            if tool == "hatchet":
                minutes = split_minutes(true, person, mm=mm, clefts=6, rounds=2, birch=birch)
            else:
                minutes = saw_minutes(true, tool, person, mm=mm, count=4, whole=whole, birch=birch)
            if rng.random() < spoilt_share:
                spoilt.add(place)
            trials.append(
                Trial.model_validate(
                    {"tool": tool, "task": "split" if tool == "hatchet" else "saw", "diameter_mm": mm,
                     "count": 6 if tool == "hatchet" else 4, "wood": "paper-birch" if birch else "lodgepole-pine",
                     "minutes": minutes * scattered(rng, true.spread, place in spoilt), "person": person,
                     "clock": "whole" if whole or tool == "hatchet" else "cutting",
                     "rounds": 2 if tool == "hatchet" else None}
                )
            )  # fmt: skip
        try:
            measured = measure(trials, SAWS, confidence=confidence)
        except ValueError:  # RangeError: the handling takes the whole time of a record, which is refused
            found.asked += 1
            continue
        _note(found, measured, true, spoilt)
    return found


def _note(found: Study, measured: Measured, true: World, spoilt: set[int]) -> None:
    """Note the intervals of one world."""
    named = {place for one in measured.estimates for place in one.far_out}
    found.named += len(named & spoilt)
    found.spoilt += len(spoilt)
    found.asked += any(not one.counted for one in measured.questions)
    for one in measured.estimates:
        if one.low is not None and one.high is not None:
            found.note("score", true.scores[one.tool, one.task], one.low, one.high)
    for figure in measured.figures:
        truth = true.paces[figure.of] if figure.id == "pace" else true.figures[figure.id]
        found.note(figure.id, truth, figure.low, figure.high)


def main() -> None:
    """Print the table."""
    print("plan, records of each, spoilt: coverage of scores; of each shared figure; spoilt ones named; asked back")
    for spoilt in (0.0, 0.1):
        for plan in PLANS:
            for records in (1, 3, 6, 12):
                one = study(plan=plan, records=records, spoilt_share=spoilt, repeats=2000, seed=20)
                shared = ", ".join(f"{name} {one.coverage(name):.3f}" for name in one.count if name != "score")
                wide = math.exp(one.width["score"] / max(1, one.count["score"]))
                print(
                    f"{plan}, {records}, {spoilt}: {one.coverage('score'):.3f} (high/low {wide:.2f}); {shared}; "
                    f"named {one.named}/{one.spoilt}; asked {one.asked}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
