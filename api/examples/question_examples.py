"""Example bodies of the questions, all invented; read without any library, since the command line lists their names."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from api.examples.invented import design_examples, example_trips, population_examples

ExampleBody = dict[str, Any]

_LONG_KNIFE = {
    "id": "one-purpose-knife",
    "kind": "long knife",
    "split_score": 3,
    "split_max_mm": 180,
    "carve_score": 8,
    "carve_max_mm": 80,
}
_HATCHET = {
    "id": "rival-hatchet",
    "name": "Hatchet",
    "kind": "hatchet",
    "mass_g": 850,
    "cover_g": 90,
    "split_score": 5,
    "split_max_mm": 200,
    "carve_score": 4,
    "carve_max_mm": 80,
    "chop_score": 4,
    "chop_max_mm": 150,
}
_SMALL_KNIFE = {
    "id": "rival-knife",
    "name": "Small knife",
    "kind": "fixed knife",
    "mass_g": 90,
    "cover_g": 30,
    "carve_score": 9,
    "carve_max_mm": 80,
}


@dataclass(frozen=True)
class Example:
    """An example body, and what the contract says of it."""

    summary: str
    body: ExampleBody


def in_document(examples: Mapping[str, Example]) -> dict[str, Any]:
    """Return examples as an OpenAPI document shows them."""
    return {name: {"summary": one.summary, "value": one.body} for name, one in examples.items()}


def _light_pair() -> list[ExampleBody]:
    """Return an invented light knife to baton with, and an invented light folding saw."""
    return [{"design": design_examples()[name]} for name in ("light-knife", "folding-saw")]


def _heavy_pair() -> list[ExampleBody]:
    """Return a hatchet and a small knife, rows of their classes, invented."""
    return [{"tool": _HATCHET}, {"tool": _SMALL_KNIFE}]


def _invented(body: ExampleBody) -> dict[str, Example]:
    """Return the one example of a question."""
    return {"invented": Example("An invented case", body)}


def plan_examples() -> dict[str, Example]:
    """Return the example trips."""
    return {name: Example(trip["name"], trip) for name, trip in example_trips().items()}


def least_trip() -> ExampleBody:
    """Return the trip that asks for least, quickly answered."""
    least: ExampleBody = example_trips()["least"]
    return least


def front_examples() -> dict[str, Example]:
    """Return a front asked for."""
    return _invented({"trip": example_trips()["stream-survey"], "against": "minutes"})


def short_front() -> ExampleBody:
    """Return a front of few kits."""
    return {"trip": example_trips()["least"]}


def check_examples() -> dict[str, Example]:
    """Return a check that fails."""
    return _invented({"kit": ["hatchet-600", "fixed-knife-90"], "trip": example_trips()["stream-survey"]})


def passing_check() -> ExampleBody:
    """Return a check that passes."""
    return {"kit": ["fixed-knife-90"], "trip": example_trips()["least"]}


def bad_night_examples() -> dict[str, Example]:
    """Return a small summer kit on a bad night, and a kit of one's own."""
    return {
        "invented": Example("The lightest kit of an invented trip", {"trip": example_trips()["summer-alpine"]}),
        "own-kit": Example(
            "An invented kit of one's own",
            {"trip": example_trips()["stream-survey"], "kit": ["folding-saw-240", "hatchet-600", "long-knife-180"]},
        ),
    }


def short_night() -> ExampleBody:
    """Return a bad night of the trip that asks for least."""
    return {"trip": example_trips()["least"]}


def confidence_examples() -> dict[str, Example]:
    """Return uncertain wood."""
    body = {
        "trip": example_trips()["least"],
        "scenarios": [
            {"weight": 7, "wood": {"species": "white-spruce"}},
            {"weight": 3, "wood": {"species": "paper-birch", "knotty": True}},
        ],
        "diameter_range": {"low_factor": 0.7, "high_factor": 1.3, "parts": 3},
        "confidence": 0.8,
    }
    return _invented(body)


def certain_wood() -> ExampleBody:
    """Return wood that is certain."""
    return {"trip": example_trips()["least"], "confidence": 1.0}


def sure_examples() -> dict[str, Example]:
    """Return a trip whose kit must be sure."""
    return _invented({"trip": example_trips()["least"], "sure": {"confidence": 0.9, "draws": 256}})


def quick_sure() -> ExampleBody:
    """Return a trip whose kit must be sure in few draws."""
    return {"trip": example_trips()["least"], "sure": {"confidence": 0.9, "draws": 64}}


def season_examples() -> dict[str, Example]:
    """Return a season of two trips."""
    trips = [{"weight": 3, "trip": example_trips()["stream-survey"]}, {"weight": 1, "trip": example_trips()["least"]}]
    return _invented({"trips": trips, "own_at_most": 4})


def short_season() -> ExampleBody:
    """Return another season of two trips."""
    trips = [{"weight": 1, "trip": example_trips()["least"]}, {"weight": 2, "trip": example_trips()["stream-survey"]}]
    return {"trips": trips, "own_at_most": 4}


def allowance_examples() -> dict[str, Example]:
    """Return an allowance asked for a row, and for a drawing."""
    survey = example_trips()["stream-survey"]
    return {
        "invented": Example("An invented row", {"tool": _LONG_KNIFE, "trip": survey}),
        "drawn": Example("An invented drawing", {"design": design_examples()["long-knife"], "trip": survey}),
    }


def saw_allowance() -> ExampleBody:
    """Return an allowance asked for a tool of the built-in catalog."""
    from catalog import tools  # late: of all that is here, only the contract's example needs it

    saw = next(tool for tool in tools() if tool.id == "folding-saw-210")
    return {"tool": saw.model_dump(mode="json"), "trip": example_trips()["stream-survey"]}


def adoption_examples() -> dict[str, Example]:
    """Return adoption asked of a pair over two invented trips, and of a drawing over an invented population."""
    trips = [{"weight": 3, "trip": example_trips()["stream-survey"]}, {"weight": 1, "trip": example_trips()["least"]}]
    people = population_examples()["weekend-open-fire"]
    return {
        "invented": Example("An invented pair over two trips", {"pair": _light_pair(), "trips": trips}),
        "population": Example(
            "An invented pair over an invented population, beside a rival",
            {
                "name": "light knife and light saw",
                "pair": _light_pair(),
                "population": people,
                "count": 80,
                "rivals": [{"name": "hatchet and small knife", "pair": _heavy_pair()}],
            },
        ),
    }


def short_adoption() -> ExampleBody:
    """Return adoption asked of a tool over two trips."""
    trips = [{"weight": 2, "trip": example_trips()["least"]}, {"weight": 1, "trip": example_trips()["stream-survey"]}]
    return {"tool": _LONG_KNIFE | {"mass_g": 210, "cover_g": 40}, "trips": trips}


def sweep_examples() -> dict[str, Example]:
    """Return sweeps over a long knife: against its margin, and against what it costs."""
    body = {
        "design": design_examples()["long-knife"],
        "vary": [
            {"field": "drawing.blade.length_mm", "low": 180, "high": 240, "steps": 4},
            {"field": "drawing.blade.spine_mm", "low": 4.5, "high": 6, "steps": 4},
            {"field": "drawing.steel", "values": ["5160", "A2"]},
        ],
        "trip": example_trips()["stream-survey"],
        "limits": {"slenderness": 60, "margin": 0.2},
        "against": "margin",
    }
    knife = {name: value for name, value in design_examples()["long-knife"].items() if name != "bill"}
    priced = {
        "design": knife | {"making": {"pieces": 10}},
        "vary": [
            {"field": "drawing.tang.cutout_pct", "values": [0, 20, 40]},
            {"field": "drawing.steel", "values": ["1095", "5160", "A2"]},
        ],
        "trip": example_trips()["stream-survey"],
        "against": "price",
    }
    return {
        "invented": Example("Invented", body),
        "priced": Example("Invented: grams against what the knife costs its maker", priced),
    }


def best_design_examples() -> dict[str, Example]:
    """Return a search for a long knife to baton with, and for a belt axe; two measures move, so that it ends soon."""
    trips = [{"weight": 1, "trip": example_trips()["stream-survey"]}]
    measures = [
        {"field": "drawing.blade.width_mm", "low": 22, "high": 40},
        {"field": "drawing.handle.width_mm", "low": 20, "high": 34},
    ]
    knife = {"design": design_examples()["long-knife"], "trips": trips, "measures": measures, "tries": 50}
    poles = {
        "name": "Invented: two people cut poles for a shelter on eight cold days",
        "people": 2,
        "nights": 8,
        "air_c": -15,
        "tasks": [
            {"task": "split", "diameter_mm": 110, "per_day": 8},
            {"task": "chop", "diameter_mm": 70, "per_day": 8},
        ],
        "limits": {"work_min_per_day": 45},
    }
    moved = [
        {"field": "drawing.head_mass_g", "low": 200, "high": 1200},
        {"field": "drawing.handle.length_mm", "low": 250, "high": 600},
    ]
    axe = {"design": design_examples()["belt-axe"], "trips": [{"trip": poles}], "measures": moved, "tries": 100}
    return _invented(knife) | {"belt-axe": Example("Invented: a belt axe for poles to cut", axe)}


def short_best_design() -> ExampleBody:
    """Return a search along one measure, which ends soon."""
    measures = [{"field": "drawing.blade.length_mm", "low": 160, "high": 220}]
    trips = [{"weight": 1, "trip": example_trips()["stream-survey"]}]
    return {"design": design_examples()["long-knife"], "trips": trips, "measures": measures, "tries": 50}


def minimum_section_examples() -> dict[str, Example]:
    """Return a long knife whose least section is asked for."""
    return _invented({"design": design_examples()["long-knife"]})


def tolerance_examples() -> dict[str, Example]:
    """Return a light knife of which pieces are made by hand."""
    return _invented({"design": design_examples()["light-knife"], "draws": 100})


def short_tolerance() -> ExampleBody:
    """Return a few pieces of an axe, which end soon."""
    return {"design": design_examples()["belt-axe"], "process": "by machine", "draws": 20}
