"""What the page of the bench offers: drawings to start from, trips, tools to compare with, and choices."""

import json
from importlib.resources import files
from typing import Any, get_args

from api.endpoints.designs import typical_designs
from api.examples.invented import design_examples, example_trips, population_examples
from catalog.drawings.blade import tips
from catalog.drawings.material_table import materials
from catalog.drawings.saw_drawing import Teeth
from catalog.drawings.section import Grind
from catalog.drawings.steel import steels
from catalog.scores.built_in import tools

_USES = ("handle", "frame", "pin", "sheath")


def bench_offers() -> dict[str, Any]:
    """Return what the page needs to know before it asks the service anything."""
    trip = json.loads(files("api").joinpath("web", "bench", "trip.json").read_text("utf-8"))
    trips = {"bench": trip} | {name: one for name, one in example_trips().items() if "nights" in one}
    return {
        "typical": [one.model_dump(mode="json", exclude_unset=True) for one in typical_designs()],
        "examples": list(design_examples().values()),
        "trips": [{"id": name, "name": one["name"], "trip": one} for name, one in trips.items()],
        "populations": list(population_examples().values()),
        "tools": [{"id": one.id, "name": one.name or one.id, "kind": one.kind} for one in tools()],
        "tips": {
            name: {"power": tip.power, "share": tip.spine_share, "widths": tip.length_in_widths}
            for name, tip in tips().items()
        },
        "choices": {
            "tip": [[name, name] for name in tips()],
            "grind": [[name, name] for name in get_args(Grind)],
            "teeth": [[name, name] for name in get_args(Teeth)],
            "steel": [[name, name] for name in steels()],
            **{
                use: [[one.id, one.name.partition(" at ")[0]] for one in materials().values() if use in one.used_for]
                for use in _USES
            },
        },
        "hardness": {
            grade: [one.hardness_low_hrc, one.hardness_high_hrc]
            for grade, one in steels().items()
            if one.hardness_low_hrc is not None
        },
    }
