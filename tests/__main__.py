"""Run a benchmark or a long check by its name: `python tests benchmark_plan`, `python tests same_answers ...`."""

import os
import runpy
import sys
from pathlib import Path

TESTS = Path(__file__).parent
SHARED = [str(TESTS / name) for name in ("support", "security", "long")]  # as pyproject.toml has it for pytest


def main() -> None:
    """Run the program of a name, with the modules that tests share within reach, of its own processes too."""
    programs = {path.stem: path for path in sorted(TESTS.rglob("*.py")) if '__name__ == "__main__"' in path.read_text()}
    programs.pop("__main__")
    if len(sys.argv) < 2 or sys.argv[1] not in programs:
        sys.exit(f"usage: python tests NAME ...; the names are {', '.join(programs)}")
    sys.path[:0] = SHARED
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [*SHARED, os.environ.get("PYTHONPATH")]))
    program = programs[sys.argv[1]]
    sys.argv = [str(program), *sys.argv[2:]]
    runpy.run_path(str(program), run_name="__main__")


main()
