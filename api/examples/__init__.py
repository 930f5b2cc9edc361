"""Example trips, all invented."""

import json
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def examples() -> dict[str, Any]:
    """Return the example trips by name."""
    folder = files("api.examples")
    found = sorted(item.name for item in folder.iterdir() if item.name.endswith(".json"))
    return {name.removesuffix(".json"): json.loads((folder / name).read_text("utf-8")) for name in found}


def example_trips() -> dict[str, Any]:
    """Return the example trips as OpenAPI examples."""
    return {name: {"summary": trip["name"], "value": trip} for name, trip in examples().items()}
