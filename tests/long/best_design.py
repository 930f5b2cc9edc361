"""The best design beside a grid of designs and beside restarts: `python tests best_design [--grid N] [--starts N]`.

On one trip each: the search must find a kit no heavier than that of every design of the grid, and than that of each of
the searches from other seeds. `--grid 0` leaves the grid out; `--first 8 --starts 7` runs seeds 8 to 14.
"""

import argparse
from typing import Any

from api.examples.invented import design_examples, example_trips
from api.examples.question_examples import best_design_examples
from catalog import Design
from solver import Effort, best_design
from solver.answers.sweep import DesignLimits
from solver.forms.trip import Trip
from solver.makers.weighed_design import bare_trip, weighed

# invented: an axe earns its place on it
POLES = best_design_examples()["belt-axe"].body["trips"][0]["trip"]
TRIPS = example_trips() | {"poles": POLES}
# a blade as high as the example's does not pay on its trip
NARROW = {"long-knife": {"drawing.blade.width_mm": 28}}
CASES = {
    "long-knife": ("stream-survey", ("drawing.blade.length_mm", 140, 240), ("drawing.blade.spine_mm", 3, 6)),
    "folding-saw": ("stream-survey", ("drawing.blade.length_mm", 180, 230), ("drawing.blade.width_mm", 20, 45)),
    "belt-axe": ("poles", ("drawing.head_mass_g", 200, 1200), ("drawing.handle.length_mm", 250, 600)),
}
OF_TWO, OF_ALL = 400, 400


def of_grid(name: str, many: int) -> tuple[float, float]:
    """Least grams of a kit with a design of a grid, and with the best that the search finds along the same measures."""
    _, *measures = CASES[name]
    design, trip = drawn(name)
    side = round(many**0.5)
    effort = Effort(answer_seconds=36_000, seconds=36_000)
    asked = [bare_trip(trip, 1, effort=effort)]
    (one, low, high), (two, least, most) = measures
    best = float("inf")
    for row in range(side):
        points = [
            {one: low + (high - low) * row / (side - 1), two: least + (most - least) * column / (side - 1)}
            for column in range(side)
        ]
        found = weighed(design, points, asked, {}, DesignLimits(), prefix="grid", effort=effort, go_on=lambda: None)
        masses = [each.trips[0].mass_g for each in found if each.allowed]
        best = min([best, *(mass for mass in masses if mass is not None)])
    moved = [{"field": field, "low": start, "high": end} for field, start, end in measures]
    return best, grams(design, trip, measures=moved, tries=OF_TWO)


def drawn(name: str) -> tuple[Design, Trip]:
    """The design that a search starts from, and its trip."""
    design = Design.model_validate(design_examples()[name]).varied(NARROW.get(name, {}))
    return design, Trip.model_validate(TRIPS[CASES[name][0]])


def grams(design: Design, trip: Trip, **how: Any) -> float:
    """Grams of the kit with the best design found."""
    answer = best_design(design, [{"trip": trip}], effort=Effort(answer_seconds=36_000, seconds=36_000), **how)
    return answer.trips[0].with_g or float("inf")


def main() -> None:
    """Print both, a line each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--grid", type=int, default=10_000)
    parser.add_argument("--starts", type=int, default=20)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--only", choices=list(CASES))
    asked = parser.parse_args()
    for name in CASES if asked.only is None else [asked.only]:
        if asked.grid:
            grid, found = of_grid(name, asked.grid)
            print(f"{name}: grid of {asked.grid}: {grid:g} g, search of {OF_TWO}: {found:g} g", flush=True)
        design, trip = drawn(name)
        runs = []
        for seed in range(asked.first, asked.first + asked.starts):
            runs.append(grams(design, trip, tries=OF_ALL, seed=seed))
            print(f"{name}: all measures, {OF_ALL} tries, seed {seed}: {runs[-1]:g} g", flush=True)
        if runs:
            print(f"{name}: first seed {runs[0]:g} g, best of {len(runs)} {min(runs):g} g", flush=True)


if __name__ == "__main__":
    main()
