"""Formulas of arrays: each element comes to the very bits that the plain numbers come to."""

import ast
import importlib
import inspect
import math
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any, get_type_hints

import numpy as np
import pytest
from array_bench_formulas import of_bench
from array_drawing_formulas import of_drawings
from array_formulas import MODULES, Formula, by_ranges, formulas

import catalog
from catalog import RangeError
from catalog.tables.assumption import assumed, assumptions
from catalog.tables.ledger import Ledger
from catalog.tables.number import N
from catalog.tables.validity import require, validities
from catalog.walking.route import carrying_cost
from catalog.wood.cut import face_area_cm2
from catalog.wood.species import species_of
from catalog.wood.work import time_factor

CATALOG = Path(catalog.__file__).parent
ROWS, COLUMNS = 6, 5
SEEDS = range(4)
FORMULAS = [*formulas(), *of_bench(), *of_drawings()]


def numbers_of(outcome: Any) -> dict[str, Any]:
    """The numbers of what a formula returned, by where they stand in it."""
    if is_dataclass(outcome):
        return numbers_of({one.name: getattr(outcome, one.name) for one in fields(outcome)})
    if isinstance(outcome, dict):
        return {f"{key}.{name}": n for key, value in outcome.items() for name, n in numbers_of(value).items()}
    if isinstance(outcome, tuple):
        return numbers_of(dict(enumerate(outcome)))
    return {} if isinstance(outcome, str) else {"": outcome}


def drawn(formula: Formula, seed: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """Figures and assumptions of a formula: by turns a column, a row, a table and a plain number."""
    rng = np.random.default_rng(seed)
    bands = {name: (assumptions()[name].low, assumptions()[name].high) for name in formula.assumed}
    found = {}
    for place, (name, (low, high)) in enumerate((formula.spans | bands).items()):
        shape = ((ROWS, 1), (COLUMNS,), (ROWS, COLUMNS), ())[(place + seed) % 4]
        values = rng.uniform(low, high, shape)
        visited = [low, high, *formula.places.get(name, ())]
        values = np.where(rng.random(shape) < 0.4, rng.choice(visited, shape), values)
        found[name] = values if shape else float(values)
    return {name: found[name] for name in formula.spans}, {name: found[name] for name in formula.assumed}


def element(given: dict[str, Any], at: tuple[int, int]) -> dict[str, float]:
    """The plain numbers at a place of figures that are spread over one another."""
    return {name: float(np.broadcast_to(value, (ROWS, COLUMNS))[at]) for name, value in given.items()}


def outcome_of(formula: Formula, figures: dict[str, Any], changed: dict[str, Any]) -> dict[str, Any] | RangeError:
    """The numbers that a formula comes to, or its refusal."""
    try:
        return numbers_of(formula.call(figures, changed))
    except RangeError as error:
        return error


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda one: one.name)
def test_an_array_comes_to_the_bits_of_each_element_alone(formula: Formula) -> None:
    reckoned = [agree(formula, *drawn(formula, seed)) for seed in SEEDS]
    assert any(reckoned)


def agree(formula: Formula, figures: dict[str, Any], changed: dict[str, Any]) -> bool:
    """Check arrays against their elements; tell whether they came to numbers, and were not refused alike."""
    alone = {at: outcome_of(formula, element(figures, at), element(changed, at)) for at in np.ndindex(ROWS, COLUMNS)}
    together = outcome_of(formula, figures, changed)
    refused = [one for one in alone.values() if isinstance(one, RangeError)]
    if isinstance(together, RangeError):
        assert (together.quantity, together.low, together.high) in {(e.quantity, e.low, e.high) for e in refused}
        return False
    assert not refused
    shape = np.broadcast_shapes(*(np.shape(one) for one in (figures | changed).values()))
    for name, value in together.items():
        assert type(value) in (np.ndarray, float)
        assert not isinstance(value, np.ndarray) or value.dtype == np.float64
        assert np.shape(value) == shape if formula.whole else np.broadcast_shapes(np.shape(value), shape) == shape
        whole = np.broadcast_to(value, (ROWS, COLUMNS))
        for at, one in alone.items():
            plain = one.get(name, 0.0)  # a leg without length
            assert type(plain) in (float, int)
            assert whole[at] == plain, (name, at)
    return True


def takes_arrays(function: Any) -> bool:
    return any(str(N) in str(hint) for name, hint in get_type_hints(function).items() if name != "ledger")


def test_no_formula_that_takes_arrays_is_left_out() -> None:
    covered = {one.name for one in FORMULAS}
    for module_name in MODULES:
        module = importlib.import_module(f"catalog.{module_name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == module.__name__ and not name.startswith("_") and takes_arrays(function):
                assert f"{module_name}.{name}" in covered
    assert {
        "wood.work.time_factor",
        "walking.route.carrying_cost",
        "wood.water.melting_kj",
    } <= covered


def test_every_module_with_such_a_formula_is_looked_through() -> None:
    # the room of tables holds what formulas are made of; test_number.py and this file look after it
    files = sorted(path.relative_to(CATALOG) for path in CATALOG.glob("*/*.py") if path.parent.name != "tables")
    for name in (".".join(file.with_suffix("").parts) for file in files if file.name != "__init__.py"):
        module = importlib.import_module(f"catalog.{name}")
        own = [one for _, one in inspect.getmembers(module, inspect.isfunction) if one.__module__ == module.__name__]
        assert name in MODULES or not any(takes_arrays(one) for one in own), name


def test_an_assumption_is_read_where_another_value_can_stand() -> None:
    bare = set()
    for path in CATALOG.glob("*/*.py"):
        for call in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "assumed":
                bare |= {path.relative_to(CATALOG).as_posix()} if len(call.args) + len(call.keywords) < 2 else set()
    # what a form shows where nothing is stated, rules of estimation, what an interval leaves where it is, and how draws
    # err together
    shown, estimated = {"bench/load_case.py"}, {"trials/timed_work.py", "trials/asked_back.py"}
    assert bare == {*shown, *estimated, "tables/band.py", "scores/score_spread.py"}


@pytest.mark.parametrize("formula", by_ranges(), ids=lambda one: one.name)
def test_the_element_farthest_outside_is_named_as_a_plain_number_would_be(formula: Formula) -> None:
    for quantity, one in validities()[formula.name].items():
        inside = {name: low + (high - low) / 2 for name, (low, high) in formula.spans.items()}
        span = one.high - one.low
        # the second lies farther out than the first, on its other side
        for out in ((one.high + span, one.low - 2 * span), (one.low - span, one.high + 3 * span)):
            table = np.full((3, 4), inside[quantity])
            table[0, 2], table[2, 1] = out
            with pytest.raises(RangeError) as array:
                formula.call(inside | {quantity: table}, {})
            with pytest.raises(RangeError) as plain:
                formula.call(inside | {quantity: out[1]}, {})
            assert str(array.value) == str(plain.value)
            assert vars(array.value) == vars(plain.value)
            assert type(array.value.value) is float


def test_what_is_not_a_number_is_named_before_what_lies_outside() -> None:
    with pytest.raises(RangeError) as caught:
        require("wood.water.boiling_point_c", elevation_m=np.array([0.0, 1e9, math.nan]))
    assert math.isnan(caught.value.value)
    require("wood.water.boiling_point_c", elevation_m=np.array([]))


def test_a_drawn_assumption_is_held_to_its_hard_limits_element_by_element() -> None:
    draws = np.array([1.0, 1.2, 1.4])
    assert assumed("saw_knots", {"saw_knots": draws}) is draws
    with pytest.raises(RangeError, match="saw_knots 9"):
        assumed("saw_knots", {"saw_knots": np.array([1.2, 8.5, 9.0])})
    with pytest.raises(RangeError, match=r"saw_knots 8\.5"):
        Ledger({"saw_knots": np.array([1.2, 8.5])})("saw_knots")


def test_a_ledger_hands_out_256_draws_and_formulas_reckon_them_at_once() -> None:
    rng = np.random.default_rng(7)
    ids = ("dead_wet_moisture", "saw_hardness_exponent", "saw_knots", "slope_grade", "santee_from_grade", "saw_rate")
    draws = {one: rng.uniform(assumptions()[one].low, assumptions()[one].high, 256) for one in ids}

    def minutes_and_cost(ledger: Ledger[Any]) -> tuple[Any, Any]:
        saw = time_factor(
            species_of("white-oak"), "saw", state="dead-wet", air_c=5, knotty=True, changed=ledger.changed
        )
        day = {"km_per_day": 8, "climb_m_per_day": 700, "terrain": "light-brush", "body_kg": 75, "pack_kg": 12}
        cost = carrying_cost(**day, changed=ledger.changed)
        return face_area_cm2(diameter_mm=90) / ledger("saw_rate") * saw.factor, cost.lcda_kcal_per_g

    together = minutes_and_cost(Ledger(draws))
    alone = [minutes_and_cost(Ledger({one: float(values[at]) for one, values in draws.items()})) for at in range(256)]
    assert np.array_equal(np.array(together).T, np.array(alone))


def test_the_memory_of_formulas_is_not_confused_by_arrays_or_numbers_of_numpy() -> None:
    def asked(air_c: Any) -> Any:
        return time_factor(species_of("white-oak"), "saw", state="green", air_c=air_c, frozen=True).factor

    array = asked(np.array([-17.5, -3.25]))
    assert array.tolist() == [asked(-17.5), asked(-3.25)]
    assert type(asked(np.float64(-11.5))) is not float
    assert type(asked(-11.5)) is float
