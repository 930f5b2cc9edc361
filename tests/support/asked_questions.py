"""Generated questions of every kind: the body that the service takes, and the same as arrays for other solvers.

The arrays come from the rules alone (`oracle.py`). `told` reads the figures of the textbook's list from an answer.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
from oracle import CUTTING_TASKS, HUNDREDTHS, MS_PER_MIN, Row, packed_cg, parts, tool_ms, work_cap_ms
from textbook_questions import NEVER, UNABLE, Asked, Figures

TOOLS = 60
TASKS = 3
LARGEST_MM = (80, 100, 150, 200, 300)
DIAMETERS_MM = (40, 60, 80, 100)
PRICES = range(5, 100, 5)
MOST_COMPANIONS = 20  # that a tool may name
LEAST_MIN, MOST_MIN = 1, 1440  # a day's limit that the service takes


@dataclass(frozen=True)
class Question:
    """A question: its kind, its size, where and how it is asked, and as arrays."""

    kind: str
    size: int
    address: str
    body: Row
    asked: Asked

    def stored(self, file: Path) -> Path:
        """Write the question where another process reads it."""
        asked = self.asked
        arrays = {f"work{number}": one for number, one in enumerate(asked.work)}
        told = {"kind": self.kind, "size": self.size, "address": self.address, "body": self.body}
        told |= {"caps": asked.caps, "weights": asked.weights, "stated": dict(asked.stated), "needs": asked.needs}
        np.savez(file, mass=asked.mass, price=asked.price, told=json.dumps(told), **arrays)
        return file


def read_question(file: Path) -> Question:
    """The question of a file."""
    held = np.load(file)
    told = json.loads(str(held["told"]))
    work = [held[f"work{number}"] for number in range(len(told["caps"]))]
    asked = Asked(held["mass"], held["price"], work, told["caps"], told["weights"], told["stated"], told["needs"])
    return Question(told["kind"], told["size"], told["address"], told["body"], asked)


def drawn_tool(rng: Random, tool_id: str) -> Row:
    """A tool able at one to three tasks; who can do more weighs more, by and large."""
    tool: Row = {"id": tool_id, "kind": "tool", "price": rng.choice(PRICES)}
    bulk = 0.0
    for task in rng.sample(CUTTING_TASKS, rng.randint(1, 3)):
        score, largest = rng.randint(10, 100) / 10, rng.choice(LARGEST_MM)
        tool |= {f"{task}_score": score, f"{task}_max_mm": largest}
        bulk += score * largest
    return tool | {"mass_g": round(30 + bulk * rng.uniform(0.1, 1.0), 1)}


def drawn_tasks(rng: Random, number: int) -> list[Row]:
    """So many tasks, of which each is stated once."""
    kinds = [(task, mm) for task in CUTTING_TASKS for mm in DIAMETERS_MM]
    return [{"task": t, "diameter_mm": mm, "per_day": rng.randint(1, 8)} for t, mm in rng.sample(kinds, number)]


def work_of(tools: list[Row], tasks: list[Row]) -> np.ndarray:
    """What each tool takes over each part of each need [ms]."""
    times = [[tool_ms(tool, part) for tool in tools] for task in tasks for part in parts(task)]
    return np.array([[NEVER if ms is None else ms for ms in row] for row in times], dtype=np.int64)


def limit_min(works: list[np.ndarray]) -> float:
    """A work limit that every trip can keep, and that binds in some: once and a half the longest fastest day."""
    fastest = max(int(work.min(axis=1).sum()) for work in works)
    return float(min(max(LEAST_MIN, round(1.5 * fastest / MS_PER_MIN, 2)), MOST_MIN))


def drawn(
    seed: str, variants: int, *, tools: int = TOOLS, tasks: int = TASKS, binding: bool = True
) -> tuple[list[Row], list[Row], Asked]:
    """Tools, trips with a work limit (one that binds, or a whole day), and both as arrays; every need can be met."""
    rng = Random(seed)
    while True:
        rows = [drawn_tool(rng, f"t{number:03d}") for number in range(tools)]
        needs = [drawn_tasks(rng, tasks) for _ in range(variants)]
        works = [work_of(rows, one) for one in needs]
        if all((work < NEVER).any(axis=1).all() for work in works):
            break
    minutes = limit_min(works) if binding else float(MOST_MIN)
    base = {"field_methods": False, "life": False, "limits": {"work_min_per_day": minutes}, "detail": "kit"}
    trips = [base | {"tools": rows, "tasks": one} for one in needs]
    mass = np.array([packed_cg(row) for row in rows], dtype=np.int64)
    price = np.array([round(row["price"] * HUNDREDTHS) for row in rows], dtype=np.int64)
    weights = [rng.randint(1, 9) for _ in range(variants)]
    return rows, trips, Asked(mass, price, works, [work_cap_ms(minutes, 1)] * variants, weights)


def _plan(size: int, seed: int) -> Question:
    _, trips, asked = drawn(f"plan {size} {seed}", 1, tools=size, tasks=12)
    return Question("plan", size, "/v1/kits", trips[0], asked)


def _full(size: int, seed: int) -> Question:
    _, trips, asked = drawn(f"full {size} {seed}", 1, tools=size, tasks=6)
    numbers = [number for number, task in enumerate(trips[0]["tasks"]) for _ in parts(task)]
    asked = replace(asked, needs=numbers)
    return Question("full", size, "/v1/kits", trips[0] | {"detail": "full"}, asked)


def _front(against: str) -> Callable[[int, int], Question]:
    kind = {"minutes": "front", "price": "front by price"}[against]

    def made(size: int, seed: int) -> Question:
        _, trips, asked = drawn(f"front {size} {seed}", 1, tools=size, tasks=6)
        asked = replace(asked, caps=[NEVER]) if against == "minutes" else asked  # that front has no work limit
        return Question(kind, size, "/v1/kits/front", {"trip": trips[0], "against": against}, asked)

    return made


def _confidence(size: int, seed: int, *, binding: bool = True) -> Question:
    """So many scenarios of three tasks each, 0.8 asked."""
    _, trips, asked = drawn(f"confidence {size} {seed}", size, binding=binding)
    scenarios = [{"weight": w, "tasks": trip["tasks"]} for w, trip in zip(asked.weights, trips, strict=True)]
    body = {"trip": trips[0], "scenarios": scenarios, "confidence": 0.8}
    asked = replace(asked, stated={"confidence_percent": 80, "alternatives": 3})
    return Question("confidence" + (", loose" if not binding else ""), size, "/v1/kits/confidence", body, asked)


def _season(size: int, seed: int, *, binding: bool = True) -> Question:
    """So many trips of three tasks each; one seed in four may own too few tools for all."""
    _, trips, asked = drawn(f"season {size} {seed}", size, binding=binding)
    most = 1 if seed % 4 == 3 else 4
    body = {"trips": [{"weight": w, "trip": trip} for w, trip in zip(asked.weights, trips, strict=True)]}
    asked = replace(asked, stated={"own_at_most": most})
    kind = "season" + (", loose" if not binding else "")
    return Question(kind, size, "/v1/kits/season", body | {"own_at_most": most}, asked)


def _robust(size: int, seed: int) -> Question:
    """A kit of which any one tool may be lost."""
    _, trips, asked = drawn(f"robust {size} {seed}", 1, tools=size, tasks=6)
    longer = work_cap_ms(3 * trips[0]["limits"]["work_min_per_day"], 1)
    asked = replace(asked, stated={"longer_cap": longer})
    body = trips[0] | {"robust": {"needs": "all", "work_multiple": 3}}
    return Question("robust", size, "/v1/kits", body, asked)


def _share(size: int, seed: int) -> Question:
    """So many tools that must go, of like mass, over three people."""
    rng = Random(f"share {size} {seed}")
    saw = {"saw_score": 5, "saw_max_mm": 300, "kind": "saw"}
    rows = [
        saw | {"id": f"t{number:02d}", "mass_g": rng.randint(30_000, 90_000) / HUNDREDTHS} for number in range(size)
    ]
    body = {"tools": rows, "tasks": [{"task": "saw", "diameter_mm": 60}], "people": 3, "detail": "kit"}
    body |= {"must_carry": [row["id"] for row in rows], "field_methods": False, "life": False}
    mass = np.array([packed_cg(row) for row in rows], dtype=np.int64)
    asked = Asked(mass, np.zeros_like(mass), [], [], [], {"people": 3})
    return Question("share", size, "/v1/kits", body, asked)


DRAWN: Mapping[str, Callable[[int, int], Question]] = {
    "plan": _plan,
    "full": _full,
    "front": _front("minutes"),
    "front by price": _front("price"),
    "confidence": _confidence,
    "season": _season,
    "robust": _robust,
    "share": _share,
    "confidence, loose": partial(_confidence, binding=False),
    "season, loose": partial(_season, binding=False),
}
SIZES: Mapping[str, tuple[int, ...]] = {
    "plan": (60, 600),
    "full": (60,),
    "front": (60,),
    "front by price": (60,),
    "confidence": (2, 8, 16, 32, 64, 256),
    "season": (2, 4, 8, 16),
    "robust": (30,),
    "share": (8, 14),
    "confidence, loose": (2, 8, 16, 32, 64, 256),
    "season, loose": (2, 4, 8, 16),
}


def published_cover(name: str, text: str) -> Question:
    """A bi-objective set cover as a front by price: a column is a tool, and tools that must go need one of each row.

    Args:
        name: of the instance.
        text: its file: rows, columns, two costs of each column, and each row's columns behind their number.
    """
    numbers = [int(one) for one in text.split()]
    rows, columns = numbers[:2]
    grams, prices = (np.array(numbers[2 + k * columns : 2 + (k + 1) * columns], dtype=np.int64) for k in range(2))
    place, able = 2 + 2 * columns, np.full((rows, columns), NEVER, dtype=np.int64)
    for row in range(rows):
        number = numbers[place]
        able[row, [one - 1 for one in numbers[place + 1 : place + 1 + number]]] = 0
        place += 1 + number
    tools: list[Row] = [
        {"id": f"t{n}", "kind": "column", "mass_g": int(g), "price": int(p)}
        for n, (g, p) in enumerate(zip(grams, prices, strict=True))
    ]
    needs = [[f"t{c}" for c in np.flatnonzero(row < NEVER)] for row in able]
    anchors = [
        {"id": f"anchor{n}", "kind": "anchor", "mass_g": 0, "price": 0, "needs": needs[n : n + MOST_COMPANIONS]}
        for n in range(0, rows, MOST_COMPANIONS)
    ]
    tools += [one | {"carve_score": 10, "carve_max_mm": 100} for one in anchors]
    trip = {"tools": tools, "must_carry": [one["id"] for one in anchors], "field_methods": False}
    trip |= {"tasks": [{"task": "carve", "diameter_mm": 20}]}
    body = {"trip": trip, "against": "price"}
    asked = Asked(grams, prices, [able], [2**60], [1], {"unit": HUNDREDTHS})
    return Question(f"front by price, {name}", columns, "/v1/kits/front", body, asked)


def told(question: Question, answer: Row) -> Figures:
    """The figures of an answer of the service, in the order of the textbook's."""
    return _TOLD[question.kind.split(",")[0]](question, answer)


def _whole(value: float) -> int:
    return round(value * HUNDREDTHS)


def _told_plan(_: Question, answer: Row) -> Figures:
    return [_whole(answer["kit"]["mass_g"]) if answer["status"] == "optimal" else UNABLE]


def _told_full(_: Question, answer: Row) -> Figures:
    homes = [UNABLE if tool["price_g"] is None else _whole(tool["price_g"]) for tool in answer["kit"]["tools"]]
    prices = [_whole(need["price_g"]) for need in answer["needs"] if need["id"] != "rest"]
    return [_whole(answer["kit"]["mass_g"]), *prices, *sorted(homes)]


def _told_front(question: Question, answer: Row) -> Figures:
    unit = question.asked.stated.get("unit", 1)
    by_price = question.kind.startswith("front by price")
    fields = ("mass_g", "price") if by_price else ("mass_g",)
    return [_whole(point[name]) // unit for point in answer["points"] for name in fields]


def _told_confidence(question: Question, answer: Row) -> Figures:
    total, kit = sum(question.asked.weights), answer["kit"]
    mine = [UNABLE] if kit is None else [_whole(kit["mass_g"]), *(_whole(o["mass_g"]) for o in answer["alternatives"])]
    steps = [(_whole(step["mass_g"]), round(step["probability"] * total)) for step in answer["steps"]]
    return [*mine, *(figure for step in steps for figure in step)]


def _told_season(question: Question, answer: Row) -> Figures:
    if answer["status"] == "uncovered":
        stated = question.asked.stated
        needed = {gap["field"]: round(gap["short_by"] + stated[gap["field"]]) for gap in answer["gaps"]}
        return [UNABLE, *needed.values()]
    return [_whole(answer["weighted_g"]), _whole(answer["weighted_g"]) - _whole(answer["next_tool_saves_g"])]


def _told_share(_: Question, answer: Row) -> Figures:
    return [max(_whole(one["mass_g"]) for one in answer["share"])]


_TOLD: Mapping[str, Callable[[Question, Any], Figures]] = {
    "plan": _told_plan,
    "full": _told_full,
    "front": _told_front,
    "front by price": _told_front,
    "confidence": _told_confidence,
    "season": _told_season,
    "robust": _told_plan,
    "share": _told_share,
}
