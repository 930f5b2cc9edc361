"""Does a kit chosen at a confidence do as often as it is told to? Random trips, and many draws that chose nothing.

`python tests sure_calibration [--trips N] [--first N] [--draws N] [--confidence C] [--apart]`. Each trip is asked with
a seed of its own; the kit is the lightest that does in the share of its draws. What is true is told by 20,000
pseudorandom draws with yet another seed; with `--apart` as if scores erred independently, as they do not in the draws
that choose. Compared: the share of the draws by which it was chosen, and that of the fresh ones that an answer tells.
Run by hand; test_sure_calibration.py runs a slice of it.
"""

import argparse
from contextlib import suppress
from dataclasses import dataclass, field
from fractions import Fraction
from random import Random
from typing import Any

import numpy as np
from assumption_table import table
from invented_trips import invented_trip

from catalog.maths.binomial import binomial_interval
from catalog.tables.assumption import assumptions
from solver import Effort, Trip, Unfinished
from solver.answers.confidence import Scenarios
from solver.draws.joint_draws import draws_of
from solver.draws.kit_outcomes import outcomes_of
from solver.needs.question import question_of

TRUE, FRESH = 20_000, 4096
SHARED = ("score_family_share", "score_near_share")
OTHER = 1_000_000  # added to a seed for the draws that tell what is true


@dataclass
class Kept:
    """Shares in which the chosen kits do: of the draws that chose them, of fresh ones, and truly."""

    chosen: list[float] = field(default_factory=list)
    told: list[float] = field(default_factory=list)
    true: list[float] = field(default_factory=list)
    held: list[bool] = field(default_factory=list)  # whether the told interval of 90 % holds what is true
    no_kit: int = 0
    not_ended: int = 0


def trips(first: int, count: int) -> list[dict[str, Any]]:
    """Random trips of fourteen of the built-in tools; mass is the aim."""
    rng = Random(99)
    return [invented_trip(rng) | {"aim": "mass", "detail": "kit"} for _ in range(first + count)][first:]


def study(
    *,
    first: int,
    count: int,
    draws: int,
    confidence: Fraction,
    true: int = TRUE,
    seconds: float = 20.0,
    apart: bool = False,
) -> Kept:
    """Ask the trips, and try the kits that are found."""
    truth = assumptions() | {name: assumptions()[name].model_copy(update={"value": 0.0}) for name in SHARED if apart}
    kept = Kept()
    for number, form in enumerate(trips(first, count), start=first):
        question, effort = question_of(Trip.model_validate(form)), Effort(seconds=seconds)
        found = draws_of(question, count=draws, seed=number, effort=effort)
        best = None
        with suppress(Unfinished):
            odds, case = [Fraction(1, draws)] * draws, question.case
            scenarios = Scenarios(found, odds, effort=effort, glance=found.glance, assumed=case)
            best = scenarios.lightest(confidence)
        if best is None or best.ids is None:
            kept.no_kit += best is not None
            kept.not_ended += best is None
            continue
        kit = question.case.kit(best.ids)
        fresh = draws_of(question, count=FRESH, seed=number, effort=Effort(), fresh=True)
        other = draws_of(question, count=true, seed=number + OTHER, effort=Effort(), fresh=True)
        told = outcomes_of(fresh, kit)
        with table(truth):
            truly = float(outcomes_of(other, kit).probability)
        low, high = binomial_interval(hits=int(told.suffices.sum()), count=FRESH)
        kept.chosen.append(float(best.probability))
        kept.told.append(float(told.probability))
        kept.true.append(truly)
        kept.held.append(low <= truly <= high)
    return kept


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trips", type=int, default=300)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--draws", type=int, default=256)
    parser.add_argument("--confidence", type=Fraction, default=Fraction(9, 10))
    parser.add_argument("--apart", action="store_true")
    told = parser.parse_args()
    kept = study(first=told.first, count=told.trips, draws=told.draws, confidence=told.confidence, apart=told.apart)
    chosen, fresh, true = np.array(kept.chosen), np.array(kept.told), np.array(kept.true)
    least = float(told.confidence) - 0.03
    print(f"{len(true)} kits of {told.trips} trips; no kit {kept.no_kit}; not ended {kept.not_ended}")
    print(
        f"true share at least {least:.2f}: {np.mean(true >= least):.3f}; least {true.min():.3f}, mean {true.mean():.3f}"
    )
    print(f"of the choice draws less true: mean {np.mean(chosen - true):+.4f}, most {np.max(chosen - true):+.3f}")
    print(f"of the fresh draws less true: mean {np.mean(fresh - true):+.4f}, most {np.max(np.abs(fresh - true)):.3f}")
    print(f"told interval holds the true share: {np.mean(kept.held):.3f}")
    near = chosen < float(told.confidence) + 0.05
    print(
        f"kits that reach it by less than 0.05: {near.sum()}; of the choice draws less true "
        f"{np.mean((chosen - true)[near]):+.4f}; true at least {least:.2f}: {np.mean(true[near] >= least):.3f}"
    )


if __name__ == "__main__":
    main()
