"""Hold answers near the limits against every kit in whole numbers, on fresh seeds.

`python tests exact_answers --seed 7 --count 200` asks so many questions of each kind; `--kinds plan check` only those;
`--checkout FOLDER` judges the packages of another checkout of the project. Prints how many answers of each kind were
compared, and each that differs with its seed; `--show` prints its question too. Run by hand.
"""

import argparse
import json
import sys
from collections import Counter
from pathlib import Path

arguments = argparse.ArgumentParser(description=__doc__)
arguments.add_argument("--seed", default="0")
arguments.add_argument("--count", type=int, default=100)
arguments.add_argument("--first", type=int, default=0)
arguments.add_argument("--kinds", nargs="*")
arguments.add_argument("--checkout", type=Path)
arguments.add_argument("--show", action="store_true")


def main() -> None:
    """Ask, judge, print."""
    told = arguments.parse_args()
    if told.checkout is not None:
        sys.path.insert(0, str(told.checkout.resolve()))
    from asked_library import ask_library
    from exact_questions import QUESTIONS, drawn_question
    from long_clocks import end_by_nodes

    import solver

    end_by_nodes()
    print(f"judging {Path(solver.__file__).parent}", flush=True)
    members = "members" in solver.Trip.model_fields
    causes: Counter[str] = Counter()
    for kind in told.kinds or QUESTIONS:
        compared = differing = 0
        for number in range(told.first, told.first + told.count):
            seed = f"{told.seed} {number}"
            body, judge = drawn_question(kind, seed, members=members)
            try:
                wrong = judge(ask_library)
            except (AssertionError, KeyError, StopIteration, RuntimeError, ValueError, IndexError) as error:
                wrong = [f"no answer: {type(error).__name__} {str(error)[:300]}"]
            compared += 1
            differing += bool(wrong)
            causes.update(f"{kind}: {one.split(' for ')[0][:60]}" for one in wrong)
            for one in wrong:
                print(f"{kind} --seed {told.seed} --first {number}: {one}", flush=True)
            if wrong and told.show:
                print(json.dumps(body), flush=True)
        print(f"{kind}: {compared} answers compared, {differing} differ", flush=True)


if __name__ == "__main__":
    main()
