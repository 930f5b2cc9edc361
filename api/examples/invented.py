"""Example trips, designs and populations of trips, all invented."""

import json
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def example_trips() -> dict[str, Any]:
    """Return the example trips by name."""
    return _read_folder("")


@cache
def design_examples() -> dict[str, Any]:
    """Return the example designs by name."""
    return _read_folder("designs")


@cache
def population_examples() -> dict[str, Any]:
    """Return the example populations by name, which is their id."""
    return _read_folder("populations")


@cache
def first_trips() -> dict[str, Any]:
    """Return the invented trip that a reader without one begins with, by the units in which its figures are whole."""
    return _read_folder("first_sight")


def _read_folder(name: str) -> dict[str, Any]:
    """Return the values of the JSON files of a folder by name."""
    folder = files("api.examples") / name
    found = sorted(item.name for item in folder.iterdir() if item.name.endswith(".json"))
    return {name.removesuffix(".json"): json.loads((folder / name).read_text("utf-8")) for name in found}


def as_openapi(values: dict[str, Any]) -> dict[str, Any]:
    """Return named bodies as OpenAPI examples."""
    return {name: {"summary": value["name"], "value": value} for name, value in values.items()}
