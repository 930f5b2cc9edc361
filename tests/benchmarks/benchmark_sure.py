"""How sure a kit is, beside one plain plan of the same trip and beside one integer program of all draws.

Run by `python tests benchmark_sure [--patience S] [--invented N] [--draws N] [--confidence C] [--only TRIP ...]`. Trips
are the invented examples, and random ones of all built-in tools. In plain plans (`detail: kit`), all in one run, in
processor time, which other work on the machine does not lengthen: the building of the draws; the kit at the confidence
with that building; the curve to 0.95 with all before it; 4,096 fresh draws of the kit as assumed, with a new seed and
with one asked before. What does not end within the patience is told as more than that. Then at 64 draws the kit with
its building, and the scenario program of the same draws in PuLP with HiGHS: the same tools after reduction, levels, a
binary for each draw that its own demands are multiplied by, which is tighter than any big M, and rows that keep out
tools without work of their own; its building counts, that of the draws does not. Memory is the most that a whole answer
takes above a process that has planned the trip, each trip in a process of its own.
"""

import argparse
import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction
from multiprocessing import get_context
from pathlib import Path
from random import Random
from time import process_time
from typing import Any

from idle_kits import beside_which_idle
from invented_trips import invented_trip
from rich.console import Console
from rich.table import Table

from api.examples.invented import example_trips
from solver import Effort, Trip, Unfinished, plan, sure
from solver.answers.confidence import Scenarios
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import outcomes_of
from solver.model.case import Case
from solver.model.program import build, limit_can_bind
from solver.needs.question import Question, question_of
from solver.programs.engine import Engine, Status
from solver.programs.linear_model import Model
from solver.search.choice import choose
from solver.several.chance_front import Sufficing

AGAIN = 5
FRESH = 4096
IN_PROGRAM = 64
CURVE_TO, CURVE_TIMES = Fraction(19, 20), 3
SEED = 1


@dataclass
class Asked:
    """What is asked of a trip."""

    trip: Trip
    confidence: Fraction
    draws: int
    patience: float

    def question(self) -> Question:
        return question_of(self.trip)


def seconds_of(work: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds of the processor, and what came of them."""
    start = process_time()
    found = work()
    return process_time() - start, found


def plain_plan(trip: Trip) -> float:
    """The least of some runs after one unmeasured."""
    plan(trip)
    return min(seconds_of(lambda: plan(trip))[0] for _ in range(AGAIN))


def laid_out(draws: JointDraws, patience: float) -> Scenarios:
    odds = [Fraction(1, len(draws))] * len(draws)
    effort, assumed = Effort(seconds=patience), draws.question.case
    return Scenarios(draws, odds, effort=effort, glance=draws.glance, by_program=False, assumed=assumed)


def lightest(scenarios: Scenarios, confidence: Fraction) -> Sufficing | None:
    """The kit at a confidence, None where the search did not end."""
    with suppress(Unfinished):
        return scenarios.lightest(confidence)
    return None


def curve(scenarios: Scenarios, confidence: Fraction, assumed: int, best: Sufficing) -> int | None:
    """The number of steps up to where an answer ends them, None where not all were found."""
    heaviest = CURVE_TIMES * max(assumed, 0 if best.ids is None else best.mass)
    steps, whole, _ = scenarios.proven_steps(confidence, CURVE_TO, heaviest=heaviest)
    return len(steps) if whole else None


def without_idle_tools(model: Model, x: Sequence[int], assumed: Case) -> None:
    """Rows by which each tool has work of its own as assumed: one binary for each thing that it may be for."""
    for tool, column in enumerate(x):
        reasons = []
        for some, number in beside_which_idle(assumed, tool) or ():
            reason = model.column(whole=True)
            others = [(x[other], 1.0) for other in some]
            model.row([*others, (reason, float(len(some)))], high=float(number - 1 + len(some)))
            reasons.append((reason, -1.0))
        if reasons:
            model.row([(column, 1.0), *reasons], high=0.0)


def by_program(
    scenarios: Scenarios, assumed: Case, confidence: Fraction, patience: float
) -> tuple[float, int | None, float | None]:
    """Seconds of the scenario program, its mass, and a bound where it did not end."""

    def solved() -> tuple[int | None, float | None]:
        model, first = Model(), scenarios.case
        x = tuple(model.column(low=1.0 if t in first.must else 0.0, whole=True) for t in range(first.tools))
        cases = [scenarios.search_at(place).case for place in range(len(scenarios.axis))]
        switches = [model.column(whole=True) for _ in cases]
        for case, switch in zip(cases, switches, strict=True):
            build(case, with_minutes=limit_can_bind(case), model=model, x=x, switch=switch)
        model.row([(one, 1.0) for one in switches], low=float(scenarios.weight_of(confidence)))
        without_idle_tools(model, x, assumed.keep(scenarios.kept))
        engine = Engine(model, solver="highs", effort=Effort(seconds=patience, nodes=2**31 - 1))
        cost = {column: float(mass) for column, mass in zip(x, first.mass, strict=True)}
        end = engine.minimise(cost)
        if end.status is not Status.OPTIMAL or end.values is None:
            return None, end.bound
        return round(sum(mass * end.values[column] for column, mass in cost.items())), None

    seconds, (mass, bound) = seconds_of(solved)
    return seconds, mass, bound


def times(seconds: float, plain: float, ended: bool) -> str:
    return f"{'' if ended else '> '}{seconds / plain:.0f}" if seconds >= 10 * plain else f"{seconds / plain:.1f}"


def row(name: str, asked: Asked) -> list[str]:
    """A row of the table."""
    plain, question = plain_plan(asked.trip), asked.question()
    draws = draws_of(question, count=asked.draws, seed=SEED, effort=Effort())
    built, _ = seconds_of(lambda: draws.block(0, asked.draws))
    laying, scenarios = seconds_of(lambda: laid_out(draws, asked.patience))
    searching, best = seconds_of(lambda: lightest(scenarios, asked.confidence))
    at_kit = built + laying + searching
    scenarios.go_on(Effort(seconds=asked.patience))
    assumed = choose(question.case, effort=Effort()).mass
    stepping, steps = seconds_of(lambda: curve(scenarios, asked.confidence, assumed, best)) if best else (0.0, None)
    cells = [name, f"{plain * 1000:.1f} ms", times(built, plain, True), times(at_kit, plain, best is not None)]
    cells.append(times(at_kit + stepping, plain, steps is not None) if best else "")
    cells.append(" and ".join(times(each, plain, True) for each in fresh_of(question)))
    return cells + beside_program(asked, question) + [memory_of(asked)]


def fresh_of(question: Question) -> tuple[float, float]:
    """Seconds of 4,096 fresh draws of the kit as assumed, or of all tools where there is none.

    With a seed that was not asked before, and with one that was, as in a service where no trip states one. Each is the
    least of some runs after one unmeasured, as a plain plan is.
    """
    chosen = choose(question.case, effort=Effort())
    kit = question.case.kit(chosen.ids or question.case.ids[:3])

    def seconds(seed: int) -> float:
        fresh = draws_of(question, count=FRESH, seed=seed, effort=Effort(), fresh=True)
        return seconds_of(lambda: outcomes_of(fresh, kit))[0]

    seconds(SEED)
    return min(seconds(SEED + 1 + again) for again in range(AGAIN)), min(seconds(SEED) for _ in range(AGAIN))


def beside_program(asked: Asked, question: Question) -> list[str]:
    """The kit of 64 draws, and how many times as long the program of all draws takes."""
    draws = draws_of(question, count=IN_PROGRAM, seed=SEED, effort=Effort())
    draws.block(0, IN_PROGRAM)
    laying, scenarios = seconds_of(lambda: laid_out(draws, asked.patience))
    searching, best = seconds_of(lambda: lightest(scenarios, asked.confidence))
    seconds, mass, bound = by_program(scenarios, question.case, asked.confidence, asked.patience)
    ours = f"{(laying + searching) * 1000:.0f} ms" if best else f"> {asked.patience:.0f} s"
    if best and best.ids is None:
        return [ours, "no kit"]
    if best and mass is not None:
        assert mass == best.mass, (mass, best.mass)
    if best and bound is not None:
        assert bound <= best.mass * (1 + 1e-9)
    ratio = seconds / (laying + searching)
    return [ours, f"{'' if mass is not None else '> '}{ratio:.1f}"]


def resident_mb(field: str) -> float:
    """The memory of this process as the system counts it."""
    found = re.search(rf"{field}:\s+(\d+) kB", Path("/proc/self/status").read_text("ascii"))
    assert found is not None
    return int(found[1]) / 1024


def memory_above(asked: Asked) -> float:
    """The most memory of an answer above that after a plain plan [MB]."""
    plan(asked.trip)
    Path("/proc/self/clear_refs").write_text("5", "ascii")
    idle = resident_mb("VmRSS")
    with suppress(Unfinished):
        sure(
            asked.trip,
            {"draws": asked.draws, "confidence": float(asked.confidence)},
            effort=Effort(answer_seconds=30.0),
        )
    return resident_mb("VmHWM") - idle


def memory_of(asked: Asked) -> str:
    """The same in a process of its own."""
    with get_context("spawn").Pool(1) as pool:
        return f"{pool.apply(memory_above, (asked,)):.0f}"


def invented(count: int) -> dict[str, dict[str, Any]]:
    """Random trips with all tools of which a plain plan has a kit; mass is the aim."""
    rng, found = Random(20), dict[str, dict[str, Any]]()
    while len(found) < count:
        form = invented_trip(rng)
        form.pop("only")
        form["aim"] = "mass"
        if plan(form | {"detail": "kit"}).status == "optimal":
            found[f"random {len(found) + 1}"] = form
    return found


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--patience", type=float, default=20.0, help="seconds for each search and each program")
    parser.add_argument("--invented", type=int, default=5)
    parser.add_argument("--draws", type=int, default=256)
    parser.add_argument("--confidence", type=Fraction, default=Fraction(9, 10))
    parser.add_argument("--only", nargs="*")
    told = parser.parse_args()
    columns = ("plan", "draws built", "kit", "curve", "4,096 fresh", "64 draws", "program, times that", "MB above idle")
    table, console = Table("trip", *columns), Console(width=140)
    for name, form in (example_trips() | invented(told.invented)).items():
        if told.only and name not in told.only:
            continue
        trip = Trip.model_validate(form | {"detail": "kit", "aim": "mass", "robust": None})
        cells = row(name, Asked(trip, told.confidence, told.draws, told.patience))
        console.print(" | ".join(cells))
        table.add_row(*cells)
    console.print(table)


if __name__ == "__main__":
    main()
