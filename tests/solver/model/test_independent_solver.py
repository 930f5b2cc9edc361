"""The kit program on catalogs too large to enumerate, against a textbook model in scipy.optimize.milp."""

from typing import Any

import numpy as np
import pytest
from oracle import CUTTING_TASKS, MS_PER_MIN, Row, told_ms
from textbook_model import Optimum, Textbook, least_mass

from solver import Trip, lightest, plan

SEED = 20
# Tools, and which rules are on.
CASES: list[tuple[int, tuple[str, ...]]] = [
    (50, ()),
    (50, ("work",)),
    (50, ("companions", "work")),
    (100, ("work",)),
    (100, ("backup",)),
    (100, ("companions", "backup")),
    (200, ("work", "price")),
    (200, ("backup", "must_carry")),
    (500, ("work",)),
    (500, ("companions", "price")),
    (1000, ("work",)),
    (2000, ()),
    (2000, ("work",)),
]
DIAMETERS_MM = (40, 60, 80, 100, 120, 140, 160)
LARGEST_MM = (60, 80, 100, 120, 150, 200, 250, 300)


def random_row(rng: np.random.Generator, number: int) -> Row:
    """A tool able at some tasks; abler ones are as a rule heavier and dearer."""
    row: Row = {"id": f"t{number:04d}", "name": f"Tool {number}", "kind": "axe"}
    worth = 0.0
    for task in CUTTING_TASKS:
        if rng.random() < 0.45:
            s, largest_mm = int(rng.integers(1, 21)) / 2, int(rng.choice(LARGEST_MM))
            row |= {f"{task}_score": s, f"{task}_max_mm": largest_mm}
            worth += s * largest_mm / 10
    row["mass_g"] = round(20 + worth * rng.uniform(0.5, 1.5))
    row["cover_g"] = float(rng.choice([0, 12.5, 30]))
    row["price"] = round(5 + worth * rng.uniform(0.1, 0.4))
    return row


def random_tasks(rng: np.random.Generator) -> list[Row]:
    """Eight stated tasks of all sorts, two of them critical."""
    tasks = ("saw", "buck", "split", "split", "chop", "carve", "buck", "saw")
    return [
        {
            "task": task,
            "diameter_mm": 40 if task == "carve" else int(rng.choice(DIAMETERS_MM)),
            "per_day": int(rng.integers(1, 6)),
            "min_score": int(rng.integers(0, 3)),
            "critical": i < 2,
        }
        for i, task in enumerate(tasks)
    ]


def free_trip(rng: np.random.Generator, tools: int) -> Row:
    """A random trip of so many tools, no rule on and with time enough."""
    return {
        "tasks": random_tasks(rng),
        "tools": [random_row(rng, number) for number in range(tools)],
        "field_methods": False,
        "people": 3,
        "limits": {"work_min_per_day": 1440},
    }


def with_rule(rng: np.random.Generator, rule: str, trip: Row, free: Optimum) -> Row:
    """The trip with one more rule, aimed at the kit that is best without it."""
    tools, limits = trip["tools"], trip["limits"]
    if rule == "work":
        told_min = told_ms(free.ms * 0.6, trip["people"]) / MS_PER_MIN
        return trip | {"limits": limits | {"work_min_per_day": max(1.0, round(told_min, 2))}}
    if rule == "price":
        price = sum(tool["price"] for tool in tools if tool["id"] in free.ids)
        return trip | {"limits": limits | {"price": round(price * 0.8)}}
    if rule == "backup":
        return trip | {"backup": "critical"}
    others = [tool["id"] for tool in tools if tool["id"] not in free.ids]
    if rule == "must_carry":
        return trip | {"must_carry": [str(rng.choice(others))]}
    needs = {str(i): "can:chop;can:split" for i in rng.choice(others, len(others) // 3, replace=False)}
    needs |= {i: "|".join(rng.choice(others, 2)) for i in [*free.ids, *list(needs)[::2]]}
    return trip | {"tools": [t | {"needs": needs[t["id"]]} if t["id"] in needs else t for t in tools]}


@pytest.mark.parametrize(("tools", "rules"), CASES)
def test_plan_agrees_with_the_textbook_model(tools: int, rules: tuple[str, ...]) -> None:
    """Grams to the hundredth and minutes to the millisecond; each rule makes the kit heavier."""
    rng = np.random.default_rng([SEED, tools, *map(ord, "".join(rules))])
    trip = free_trip(rng, tools)
    truth = Textbook(trip).optimum()
    for rule in rules:
        free, trip = truth, with_rule(rng, rule, trip, truth)
        truth = Textbook(trip).optimum()
        assert truth.mass_cg > free.mass_cg, f"{rule} must bind"
    expect(plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json"), truth, trip["people"])


def expect(answer: Row, truth: Optimum, people: int) -> None:
    """The same mass and the same minutes; kits of equal worth may differ."""
    kit = answer["kit"]
    assert answer["status"] == "optimal"
    assert round(kit["mass_g"] * 100) == truth.mass_cg
    assert kit["work_min_per_day"] == pytest.approx(told_ms(truth.ms, people) / MS_PER_MIN, abs=1e-3)


@pytest.mark.parametrize("tools", [50, 100, 200, 500, 1000, 2000])
@pytest.mark.parametrize("backup", [False, True])
def test_lightest_agrees_with_the_textbook_model(tools: int, backup: bool) -> None:
    """The bare cover program, one able column a row or a random one or two."""
    rng = np.random.default_rng([SEED, tools, backup])
    mass_g = rng.integers(2_000, 150_000, tools) / 100
    able = rng.random((12, tools)) < rng.uniform(0.1, 0.4, (12, 1))
    at_least: Any = rng.integers(1, 3, 12) if backup else 1
    cover = lightest(mass_g, able, at_least=at_least)
    assert cover.status == "optimal"
    assert round(cover.mass, 2) == round(least_mass(mass_g, able, at_least), 2)
    picked = list(cover.columns)
    assert round(float(mass_g[picked].sum()), 2) == round(cover.mass, 2)
    assert (able[:, picked].sum(axis=1) >= at_least).all()
