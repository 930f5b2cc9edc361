"""Every address fuzzed from the contract in all phases, over both kinds of database, until there are enough cases.

Run by `python tests fuzz_contract [--cases N] [--examples N] [--seed N]` (one round, some 10,000 cases and an hour,
where nothing is said; `--cases 1000000` goes on round after round, each by a seed of its own). One service a database
stays up throughout, so that its memory can be watched: it must be flat from the second round on. Ends with an error
where any check failed. The test-suite runs the same with a few examples.
"""

import argparse
import random
import re
import sys
import tempfile
from collections import Counter
from contextlib import ExitStack
from itertools import count
from pathlib import Path

from postgres import postgres_server
from server import Server, served
from test_fuzz import FUZZED, PHASES, QUESTIONS, SHEETS, STORED, fuzz
from tree import DATA

PARTS = {
    "kits, tools, woods and lists": FUZZED,
    "fronts, checks, confidence, seasons, allowances": QUESTIONS,
    "cells and tables of spreadsheets": SHEETS,
    "stored catalogs and trials": STORED,
    "drawings": r"^/v1/designs(/(score|sweep|adoption|populations|\w+\.svg|making-figures|minimum-section))?$",
    "trials": r"^/v1/trials$",
    "batch and readiness": r"^/(v1/kits/batch|readyz)$",
}
PATIENCE_S = 360_000  # of a part, an end to one that hangs
WARM_ROUNDS = 2  # in which caches fill (KITWRIGHT_MEMORY_BYTES, KITWRIGHT_CACHED_TOOLS)
MOST_GROWTH = 1.25  # judged: of memory since then


class Fuzzed:
    """A service that is fuzzed over and over."""

    def __init__(self, name: str, service: Server, folder: Path) -> None:
        self.name, self.service, self.folder = name, service, folder
        self.read = 0
        self.resident_kb: list[int] = []

    def part(self, addresses: str, *, examples: int, seed: int) -> tuple[int, list[str], str]:
        """Fuzz some addresses; return the cases, the phases that ran, and what failed, empty where nothing did."""
        config = self.folder / "schemathesis.toml"
        text = (DATA / "schemathesis.toml").read_text("utf-8")
        config.write_text(text.replace("deterministic = true\n", "deterministic = false\n"), encoding="utf-8")
        more = ("--include-path-regex", addresses, "--max-examples", str(examples), "--seed", str(seed))
        run = fuzz(self.service.url, self.folder, *more, config=config, patience_s=PATIENCE_S)
        found = re.search(r"([\d,]+) generated", run.stdout)
        cases = int(found[1].replace(",", "")) if found else 0
        ran = [phase for phase in PHASES if re.search(rf"[✅❌]  {phase} ", run.stdout)]
        traces = self.traces()
        broken = run.returncode != 0 or not cases or bool(traces)
        return cases, ran, f"{run.stdout[-20_000:]}{run.stderr}{traces[:20_000]}" if broken else ""

    def traces(self) -> str:
        """Lines with traces that the service has logged since it was last looked at."""
        with self.service.log.open(encoding="utf-8") as stream:
            stream.seek(self.read)
            found = "".join(line for line in stream if "Traceback" in line)
            self.read = stream.tell()
        return found

    def growth(self) -> float:
        """Memory now over that after the first rounds; 1 before."""
        self.resident_kb.append(self.service.resident_kb())
        warm = self.resident_kb[WARM_ROUNDS - 1 :]
        return warm[-1] / warm[0] if warm else 1.0


def main() -> None:
    """Print for each part of each round the cases, and the failures if there are any."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=1, help="rounds go on until there are so many (one round)")
    parser.add_argument("--examples", type=int, default=100, help="of an operation, in a phase that draws (100)")
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    asked = parser.parse_args()
    counts: Counter[str] = Counter()
    with ExitStack() as stack:
        folders = [Path(stack.enter_context(tempfile.TemporaryDirectory())) for _ in range(2)]
        addresses = (f"sqlite:///{folders[0] / 'store.db'}", stack.enter_context(postgres_server()).database())
        fuzzed = [
            Fuzzed(url.partition(":")[0], stack.enter_context(served(folder, database_url=url)), folder)
            for url, folder in zip(addresses, folders, strict=True)
        ]
        for number in count():
            for one in fuzzed:
                for part, addresses_of_part in PARTS.items():
                    seed = asked.seed + number
                    cases, ran, failure = one.part(addresses_of_part, examples=asked.examples, seed=seed)
                    counts["cases"] += cases
                    counts[one.name] += cases
                    counts["failed"] += bool(failure)
                    told = "FAILED" if failure else "no failure"
                    print(f"{one.name}, seed {seed}, {part}: {cases:,} cases, {', '.join(ran)}: {told}", flush=True)
                    if failure:
                        print(failure, flush=True)
                grown = one.growth()
                counts["failed"] += (swollen := grown > MOST_GROWTH)
                told = f"{one.resident_kb[-1] / 1024:.0f} MiB, {grown:.2f} of what it held once warm"
                print(f"{one.name}: {counts[one.name]:,} cases; {told}{': FAILED' if swollen else ''}", flush=True)
            if counts["cases"] >= asked.cases:
                break
    print(f"{counts['cases']:,} cases over both databases; {counts['failed']} failures")
    sys.exit(bool(counts["failed"]))


if __name__ == "__main__":
    main()
