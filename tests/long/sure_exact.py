"""Hold the kit at a confidence, the curve and the next kits against every kit of every draw in whole numbers.

`python tests sure_exact [--trips N] [--first N] [--draws N]`: random trips near their limits, half of them near that of
one draw, with fire, wear, backup and rules between tools, each at one of three confidences. Prints each that differs.
Run by hand; test_sure_exact.py runs a slice of it.
"""

import argparse
from collections import Counter
from random import Random

from oracle import CUTTING_TASKS
from rich.progress import track
from sure_kits import SureKits, differences, near_a_draw, sure_trip

from solver import sure

CONFIDENCES = (0.3, 0.5, 0.9)


def asked(number: int, draws: int, seen: Counter[str]) -> list[str]:
    """Ask about one random trip; what is told otherwise, and what was seen."""
    rng = Random(f"sure {number}")
    trip, confidence = sure_trip(rng), CONFIDENCES[number % len(CONFIDENCES)]
    if number % 2:
        trip = near_a_draw(rng, trip, draws=draws, seed=number)
    kits = SureKits(trip, draws=draws, seed=number)
    answer = sure(trip, {"draws": draws, "seed": number, "confidence": confidence})
    cutting = frozenset(
        tool["id"] for tool in trip["tools"] if any(tool.get(f"{task}_score") for task in CUTTING_TASKS)
    )
    seen["trips"] += 1
    seen["with a kit"] += answer.at_confidence is not None
    seen["of several steps"] += len(answer.curve) > 1
    seen["with next kits"] += bool(answer.next_kits)
    seen["with a fire"] += bool(trip.get("fire"))
    seen["with wear"] += any(tool.get(f"{task}_life") for tool in trip["tools"] for task in CUTTING_TASKS)
    seen["with a backup"] += trip.get("backup", "none") != "none"
    seen["with a day at its limit"] += kits.near
    seen["with kits of idle tools"] += bool(kits.idle)
    if answer.not_settled:
        return [f"not settled: {answer.not_settled}"]
    return differences(kits, answer, confidence, cutting)


def main() -> None:
    """Ask, judge, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--trips", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--draws", type=int, default=64)
    told = parser.parse_args()
    seen, wrong = Counter[str](), 0
    for number in track(range(told.first, told.first + told.trips)):
        found = asked(number, told.draws, seen)
        wrong += bool(found)
        for one in found:
            print(f"--first {number} --trips 1: {one}", flush=True)
    print(", ".join(f"{count} {name}" for name, count in seen.items()), f"; {wrong} differ")


if __name__ == "__main__":
    main()
