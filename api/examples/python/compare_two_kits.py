"""Compare two kits of one's own on the same trip: grams, minutes, and what either lacks. Invented."""

from solver import Limits, Task, Trip, check

_trip = Trip(
    name="Invented: a weekend of carving, with logs to cut to length and to split",
    tasks=[
        Task(task="split", diameter_mm=100, per_day=10),
        Task(task="buck", diameter_mm=100, per_day=10),
        Task(task="carve", diameter_mm=40, per_day=3),
    ],
    limits=Limits(work_min_per_day=45),
)
_kits = {
    "knife and saw": ["long-knife-200", "folding-saw-210"],
    "hatchet alone": ["hatchet-600"],
}
for name, kit in _kits.items():
    found = check(_trip, kit)
    print(f"{name}: {found.kit.mass_g:g} g, {found.kit.work_min_per_day:.0f} min of wood work a day")
    if found.covered:
        print(f"- covers the trip, {found.over_lightest_g:g} g above the lightest kit that does")
    for gap in found.gaps:
        print(f"- {gap.text}")
