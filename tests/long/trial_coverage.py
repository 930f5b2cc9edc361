"""Seeded study: how often the interval of the estimation rule holds the true score.

`python tests trial_coverage` prints the table; test_trial_coverage.py runs it small.
"""

import math
import random
from dataclasses import dataclass

from catalog.trials.trial import Trial, estimate, reference_minutes

SCATTER = 0.15  # standard deviation of the logarithm of one timed score
SPOILT = 0.5  # a spoilt record comes out at this share of the true score


@dataclass(frozen=True)
class Study:
    """Coverage of one plan of trials, and the mean ratio of an interval's ends."""

    coverage: float
    measured: int
    ratio: float


def _record(rng: random.Random, tool: str, score: float, spoilt_share: float) -> Trial:
    error = rng.gauss(0, SCATTER)
    if rng.random() < spoilt_share:
        error += math.log(SPOILT)
    draft = Trial(tool=tool, task="carve", diameter_mm=30, count=1, minutes=1)
    minutes = 10 * reference_minutes(draft) / score / math.exp(error)
    return draft.model_copy(update={"minutes": minutes})


def study(*, records: int, tools: int, spoilt_share: float, repeats: int, seed: int, confidence: float = 0.9) -> Study:
    """Simulate ``repeats`` rounds of trials of a class of tools and count intervals that hold the truth."""
    rng = random.Random(seed)
    kinds = {f"tool-{i}": "class" for i in range(tools)}
    held = measured = 0
    ratio = 0.0
    for _ in range(repeats):
        truth = {tool: rng.uniform(2, 6) for tool in kinds}
        trials = [_record(rng, t, s, spoilt_share) for t, s in truth.items() for _ in range(records)]
        for found in estimate(trials, kinds=kinds, confidence=confidence):
            if found.low is None or found.high is None:
                continue
            measured += 1
            held += found.low <= truth[found.tool] <= found.high
            ratio += found.high / found.low
    return Study(held / max(1, measured), measured, ratio / max(1, measured))


def main() -> None:
    """Print the table."""
    print("records tools spoilt coverage high/low")
    for spoilt in (0.0, 0.1):
        for records, tools in ((3, 5), (4, 5), (5, 1), (6, 1), (8, 1), (12, 1), (20, 1)):
            found = study(records=records, tools=tools, spoilt_share=spoilt, repeats=4000 // tools, seed=20)
            print(f"{records:7d} {tools:5d} {spoilt:6.1f} {found.coverage:8.3f} {found.ratio:8.2f}")


if __name__ == "__main__":
    main()
