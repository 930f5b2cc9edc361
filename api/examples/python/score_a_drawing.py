"""Score a drawing: what a saw not yet made would weigh and be good for, and what it may weigh on a trip. Invented."""

from catalog import Design, FoldingSawDrawing, HandleDrawing, SawBlade, rate
from solver import Task, Trip, allowance

_saw = Design(
    id="folding-saw-200",
    name="Invented: a folding saw of 200 mm",
    drawing=FoldingSawDrawing(
        blade=SawBlade(
            length_mm=200,
            width_mm=34,
            thickness_mm=1.1,
            kerf_mm=1.5,
            tooth_pitch_mm=3.5,
            tooth_depth_mm=4,
            teeth="pull, triple ground",
        ),
        handle=HandleDrawing(length_mm=235, width_mm=29, thickness_mm=18, material="nylon-glass"),
        handle_hollow_pct=30,
    ),
)
_rating = rate(_saw)
print(f"{_rating.tool.name}: {_rating.tool.mass_g:g} g")
for score in _rating.scores:
    print(f"- {score.name} {score.value:.3g} ({score.low:.3g} to {score.high:.3g})")
_trip = Trip(name="Invented: poles for a shelter", tasks=[Task(task="saw", diameter_mm=80, per_day=20)])
_found = allowance(_saw, _trip)
print(f"may weigh {_found.allowance_g:g} g" if _found.allowance_g is not None else _found.trips[0].text)
