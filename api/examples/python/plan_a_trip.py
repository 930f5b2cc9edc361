"""Plan a trip: the lightest kit, what each tool is for, and what is lacking where no kit covers it. Invented."""

from solver import Fire, Limits, Task, Trip, TripError, WoodForm, plan

_trip = Trip(
    name="Invented: two people, three nights by a lake",
    people=2,
    nights=3,
    tasks=[Task(task="saw", diameter_mm=90, per_day=4), Task(task="carve", diameter_mm=30, per_day=2)],
    fire=Fire(hot_water_l_per_person=1.5),
    wood=WoodForm(species="white-spruce", diameters_mm=[50, 90]),
    limits=Limits(work_min_per_day=60),
)
try:
    answer = plan(_trip)
except TripError as error:
    raise SystemExit("\n".join(f"{fault.pointer}: {fault.detail}" for fault in error.faults)) from error
print(f"{answer.status}: {answer.kit.mass_g:g} g, {answer.kit.work_min_per_day:.0f} min of wood work a day")
for tool in answer.kit.tools:
    print(f"- {tool.name}: {', '.join(tool.does)}")
for gap in answer.gaps:
    print(f"lacking: {gap.text}")
for caution in answer.cautions[:1]:
    print(f"caution: {caution.text}")
