"""Every address fuzzed from the contract in all phases, with as many examples a phase as asked for.

Run by `python tests fuzz_contract [EXAMPLES]` (100 where nothing is said; an hour). Each part has a service and
a store of its own; ends with an error where any check failed. The test-suite runs the same with a few examples.
"""

import re
import sys
import tempfile
from pathlib import Path

from server import served
from test_fuzz import FUZZED, PHASES, QUESTIONS, SHEETS, STORED, fuzz

PARTS = {
    "kits, tools, woods and lists": FUZZED,
    "fronts, checks, confidence, seasons, allowances": QUESTIONS,
    "cells and tables of spreadsheets": SHEETS,
    "stored catalogs and trials": STORED,
    "drawings and trials": r"^/v1/(designs/(score|sweep|drawing\.svg|mass\.svg)|trials)$",
    "batch and readiness": r"^/(v1/kits/batch|readyz)$",
}
PATIENCE_S = 36_000  # of a part, an end to one that hangs


def main() -> None:
    """Print for each part the cases, and the failures if there are any."""
    examples = sys.argv[1] if len(sys.argv) > 1 else "100"
    cases = failed = 0
    for part, addresses in PARTS.items():
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            with served(folder, database_url=f"sqlite:///{folder / 'store.db'}") as service:
                run = fuzz(
                    service.url,
                    folder,
                    "--include-path-regex",
                    addresses,
                    "--max-examples",
                    examples,
                    patience_s=PATIENCE_S,
                )
            broken = run.returncode != 0 or "Traceback" in service.logged()
            found = re.search(r"([\d,]+) generated", run.stdout)
            count = int(found[1].replace(",", "")) if found else 0
            ran = [phase for phase in PHASES if re.search(rf"[✅❌]  {phase} ", run.stdout)]
        cases, failed = cases + count, failed + broken
        print(f"{part}: {count:,} cases, {', '.join(ran)}: {'FAILED' if broken else 'no failure'}", flush=True)
        if broken:
            print(run.stdout[-20_000:], run.stderr)
    print(f"{cases:,} cases in all; {failed} of {len(PARTS)} parts failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
