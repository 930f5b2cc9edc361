"""The lightest kit for a share of draws beside what theory says of a sample that stands for a probability.

`python tests sure_bounds [--trips N] [--again N] [--draws N]`. Random trips of fourteen built-in tools, each with so
many samples of plain pseudorandom draws. What is true is told by 4,096 draws of another seed: the lightest kit for
0.9 of them. Compared with Luedtke and Ahmed 2008 (SIAM Journal on Optimization 19, 674-699; from memory):

- The optimum of a sample, at the risk asked for, is no more than the true one with at least the probability that no
  more of the draws than it may spare fail the true kit: that of a binomial figure.
- A kit that fails more often than asked is taken for sure enough, at half that risk in the sample, with at most
  exp(-2 N (risk / 2)^2) for each kit there is (Hoeffding 1963; from memory). With many kits that says nothing for
  hundreds of draws; what is measured stands beside it.
"""

import argparse
from fractions import Fraction
from math import ceil, comb, exp, log
from random import Random

import numpy as np
from invented_trips import invented_trip

from solver import Effort, Trip
from solver.answers.confidence import Scenarios
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import outcomes_of
from solver.needs.question import Question, question_of
from solver.several.chance_front import Sufficing

RISK, SAFER = Fraction(1, 10), Fraction(1, 20)
TRUE = 4096
OTHER = 1_000_000  # added to a seed for the draws that tell what is true
TOOLS = 14
SURELY = 0.95  # of the sample sizes that theory asks for


def lightest(draws: JointDraws, risk: Fraction) -> Sufficing:
    odds = [Fraction(1, len(draws))] * len(draws)
    return Scenarios(draws, odds, effort=Effort(), glance=draws.glance, by_program=False).lightest(1 - risk)


def sample(question: Question, count: int, seed: int) -> JointDraws:
    return draws_of(question, count=count, seed=seed, effort=Effort(), fresh=True)


def at_most(spared: int, count: int, risk: float) -> float:
    """The probability that so many of a number of draws fail, or fewer."""
    return sum(comb(count, k) * risk**k * (1 - risk) ** (count - k) for k in range(spared + 1))


def study(form: dict[str, object], *, number: int, again: int, count: int) -> tuple[list[bool], list[bool]] | None:
    """Whether the optimum of each sample is no more than the true one, and whether its safer kit does often enough."""
    question = question_of(Trip.model_validate(form))
    many = sample(question, TRUE, number + OTHER)
    true = lightest(many, RISK)
    if true.ids is None:
        return None
    below, safe = list[bool](), list[bool]()
    for turn in range(again):
        draws = sample(question, count, number * again + turn)
        found, safer = lightest(draws, RISK), lightest(draws, SAFER)
        below.append(found.ids is not None and found.mass <= true.mass)
        if safer.ids is not None:
            safe.append(outcomes_of(many, question.case.kit(safer.ids)).probability >= 1 - RISK)
    return below, safe


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trips", type=int, default=30)
    parser.add_argument("--again", type=int, default=40)
    parser.add_argument("--draws", type=int, default=256)
    told = parser.parse_args()
    rng = Random(99)
    forms = [invented_trip(rng) | {"aim": "mass", "detail": "kit"} for _ in range(told.trips)]
    every = [
        found
        for number, form in enumerate(forms)
        if (found := study(form, number=number, again=told.again, count=told.draws)) is not None
    ]
    below, safe = (np.array([np.mean(one[side]) for one in every if one[side]]) for side in (0, 1))
    bound = at_most(int(RISK * told.draws), told.draws, float(RISK))
    wrong = exp(-2 * told.draws * float(RISK - SAFER) ** 2)
    enough = ceil(log(2**TOOLS / (1 - SURELY)) / (2 * float(RISK - SAFER) ** 2))
    print(f"{len(every)} of {told.trips} trips have a kit; {told.again} samples of {told.draws} draws each")
    print(f"optimum of the sample no more than the true one: least {below.min():.3f}, mean {below.mean():.3f}")
    print(f"theory: at least {bound:.3f}")
    print(f"kit at {float(1 - SAFER)} of the draws truly does at {float(1 - RISK)}: least {safe.min():.3f}", end="")
    print(f", mean {safe.mean():.3f}")
    print(f"theory: each kit that does not is taken with at most {wrong:.3g}; for all 2^{TOOLS} kits {enough} draws")


if __name__ == "__main__":
    main()
