"""Bodies of at most 100 kB that ask for much, each drawn from some genes; invented.

A gene is how much there is of something, or how it is: tools, their wear, tasks, nights, scenarios, limits. A body
follows from its genes alone. Who seeks the worst request changes some genes of a bad one.
"""

import json
from collections.abc import Mapping, Sequence
from random import Random
from typing import Any

from api.examples.invented import design_examples

Row = dict[str, Any]
Genes = dict[str, Any]

MOST_BYTES = 100_000
STORED = "worst"  # the stored catalog of as many tools as one may have
STORED_TOOLS = 20_000
TASKS = ("split", "saw", "carve", "chop")
KINDS = ("fixed knife", "folding saw", "bow saw", "hatchet", "axe", "other")
SPECIES = ("white-spruce", "paper-birch", "lodgepole-pine", "quaking-aspen", "white-oak", "subalpine-fir")

ADDRESSES = {
    "plan": "/v1/kits",
    "batch": "/v1/kits/batch",
    "check": "/v1/kits/check",
    "front": "/v1/kits/front",
    "bad-night": "/v1/kits/bad-night",
    "confidence": "/v1/kits/confidence",
    "sure": "/v1/kits/sure",
    "season": "/v1/kits/season",
    "allowance": "/v1/designs/allowance",
    "sweep": "/v1/designs/sweep",
    "trials": "/v1/trials",
}

GENES: Mapping[str, Sequence[Any]] = {
    "seed": range(1000),
    "tools": (0, 8, 30, 100, 250, 600, 1000, "stored"),
    "ways": (1, 2, 4),
    "life": (0, 0, 0.3, 1),
    "life_nights": (0.02, 0.2, 1, 5),  # how many nights' work an edge lasts
    "sharpened": (0, 0.5, 1),
    "grows": (False, True, True),  # mass with ability, so that hardly any tool dominates another
    "fine": (False, True),
    "companions": (0, 0, 0.1, 0.5),
    "priced": (False, True),
    "tasks": (0, 1, 3, 10, 30, 100),
    "diameters": ("one", "few", "many"),
    "per_day": (1, 5, 50),
    "critical": (0, 0.3, 1),
    "fire": ("none", "none", "water", "all"),
    "hearth": ("open", "tent-stove"),
    "thicknesses": (0, 3, 20),
    "reach": (False, True),
    "wet": (False, True),
    "camp_work": (0, 0, 3, 40),
    "nights": (1, 2, 5, 20, 90, 365),
    "people": (1, 2, 4, 12, 50),
    "members": ("none", "none", "none", "loose", "tight"),
    "knife": ("one", "each", "none"),
    "work": (0.05, 0.2, 1, 1, 4, 16),  # of 90 minutes
    "mass_g": (None, None, None, None, 400, 1500),
    "price": (None, None, None, None, 100),
    "tools_at_most": (None, None, None, None, 2, 4, 12),
    "field_methods": (True, False),
    "backup": ("none", "none", "critical", "all"),
    "robust": (None, None, "critical", "all"),
    "aim": ("mass", "mass", "effort", "work_time"),
    "alternatives": (0, 3, 20),
    "ask_about": (0, 5, 100),
    "must_carry": (0, 0, 0, 0, 2, 30),
    "records": (0, 0, 0, 20, 400),
    "sure": (None, None, 64, 256, 4096),
    "confidence": (0.3, 0.8, 0.95, 1),
    "detail": ("full", "full", "kit"),
    "against": ("minutes", "price"),
    "kit": (None, 0, 3, 15, 600),
    "scenarios": (1, 4, 16, 64, 256, 1000, 2500),
    "of_scenario": ("wood", "tasks", "both"),
    "parts": (0, 4, 16),
    "trips": (1, 2, 4, 16, 50),
    "own_at_most": (None, 3, 10),
    "lines": (1, 4, 20, 200),
    "vary": (1, 2, 3),
}
SIZES = ("tools", "tasks", "scenarios", "trips", "lines", "records", "ask_about", "camp_work", "kit", "must_carry")


def drawn_genes(rng: Random) -> Genes:
    """Genes of a body that nobody knows yet."""
    return {name: rng.choice(values) for name, values in GENES.items()}


def mutated(genes: Genes, rng: Random) -> Genes:
    """Genes of which one to four are drawn anew."""
    names = rng.sample(list(GENES), rng.choice((1, 1, 2, 3, 4)))
    return genes | {name: rng.choice(GENES[name]) for name in names}


def tool_row(rng: Random, genes: Genes, number: int) -> Row:
    """A tool of one's own."""
    digits = 3 if genes["fine"] else 0
    row: Row = {"id": f"t{number}", "kind": rng.choice(KINDS)}
    worth = 0.0
    for task in rng.sample(TASKS, genes["ways"]):
        score, largest = round(rng.uniform(1, 12), digits), rng.randint(30, 300)
        row |= {f"{task}_score": score, f"{task}_max_mm": largest}
        worth += score * largest / 10
        if rng.random() < genes["life"]:
            row[f"{task}_life"] = max(0.1, round(genes["life_nights"] * rng.choice((20, 60, 200)), 2))
            if rng.random() < genes["sharpened"]:
                row["sharpened_by"] = "t0"
    row["mass_g"] = round((40 + worth * rng.uniform(0.9, 1.1)) if genes["grows"] else rng.uniform(40, 900), digits)
    if genes["priced"]:
        row["price"] = rng.randint(1, 90)
    if rng.random() < genes["companions"]:
        row["needs"] = f"t{rng.randint(0, 5)}|can:{rng.choice(TASKS)}"
    return row


def tasks_of(rng: Random, genes: Genes, count: int) -> list[Row]:
    """Stated tasks."""
    most = {"one": 1, "few": 4, "many": 100}[genes["diameters"]]
    sizes = [rng.randint(15, 160) for _ in range(most)]
    found = []
    for _ in range(count):
        task = rng.choice((*TASKS, "buck"))
        row: Row = {"task": task, "diameter_mm": min(rng.choice(sizes), 60 if task == "carve" else 200)}
        if genes["per_day"] > 1:
            row["per_day"] = rng.randint(1, genes["per_day"])
        if rng.random() < genes["critical"]:
            row["critical"] = True
        found.append(row)
    return found


def wood_of(rng: Random, genes: Genes, *, varied: bool) -> Row:
    """The wood of a place."""
    wood: Row = {"species": rng.choice(SPECIES)} if varied else {}
    if genes["wet"]:
        wood["state"] = "dead-wet"
    sizes = [round(rng.uniform(15, 220), 1) for _ in range(genes["thicknesses"])]
    if sizes and genes["reach"]:
        wood["diameters"] = [{"mm": size, "reach_kg_per_day": rng.choice((1, 3, 10))} for size in sizes]
    elif sizes:
        wood["diameters_mm"] = sizes
    return wood


def trip_of(rng: Random, genes: Genes, *, tools: bool = True) -> Row:
    """A trip."""
    people = genes["people"]
    trip: Row = {"people": people, "nights": genes["nights"], "detail": genes["detail"], "aim": genes["aim"]}
    trip |= {"knife": genes["knife"], "backup": genes["backup"], "field_methods": genes["field_methods"]}
    trip |= {"tasks": tasks_of(rng, genes, genes["tasks"]), "wood": wood_of(rng, genes, varied=True)}
    if genes["fire"] != "none":
        trip["fire"] = {"hot_water_l_per_person": 1.5, "hearth": genes["hearth"]}
    if genes["fire"] == "all":
        trip["fire"] |= {"warmth_h": 3, "drying_h": 1}
    if genes["camp_work"]:
        trip["camp_work"] = [{"id": rng.choice(("peg", "pot-hanger")), "per_day": 2} for _ in range(genes["camp_work"])]
    if not trip["tasks"] and not genes["camp_work"] and genes["fire"] == "none":
        trip["tasks"] = tasks_of(rng, genes, 1)
    limits: Row = {"work_min_per_day": max(1.0, min(90.0 * genes["work"], 1440.0 * people))}
    limits |= {name: genes[name] for name in ("mass_g", "price", "tools_at_most") if genes[name] is not None}
    trip["limits"] = limits
    ids = ["folding-saw-240", "long-knife-180", "hatchet-600", "fixed-knife-90"]
    if genes["tools"] == "stored":
        ids = [f"t{number}" for number in range(STORED_TOOLS)]
        trip["catalog"] = STORED
    elif tools and genes["tools"]:
        rows = [{"id": "t0", "kind": "sharpening stone", "mass_g": 60}]
        rows += [tool_row(rng, genes, number) for number in range(1, genes["tools"])]
        ids, trip["tools"] = [row["id"] for row in rows], rows
    if genes["members"] != "none":
        most = 250 if genes["members"] == "tight" else 5000
        trip["members"] = [{"name": f"m{n}", "carries_at_most_g": rng.randint(100, most)} for n in range(people)]
    if genes["robust"] is not None:
        trip["robust"] = {"needs": genes["robust"], "work_multiple": 2}
    if genes["sure"] is not None:
        trip["sure"] = {"draws": genes["sure"], "confidence": genes["confidence"]}
    trip["alternatives"] = genes["alternatives"]
    for name in ("ask_about", "must_carry"):
        if genes[name]:
            trip[name] = rng.sample(ids, min(len(ids), genes[name]))
    if genes["records"]:
        trip["trials"] = records_of(rng, ids, genes["records"])
    return trip


def records_of(rng: Random, ids: Sequence[str], count: int) -> list[Row]:
    """Stopwatch records, of any task: some are of tools that can't do it, and refused."""
    task = rng.choice(("saw", "carve"))
    return [
        {"tool": rng.choice(ids[:40]), "task": task, "diameter_mm": 40, "count": rng.randint(1, 20), "minutes": 3}
        for _ in range(count)
    ]


def body_of(question: str, genes: Genes) -> Any:
    """The body of a question as its genes have it, however long; the lines of a batch as a list."""
    rng = Random(f"{question} {genes['seed']}")
    if question == "trials":
        rows = [{"id": "t0", "kind": "sharpening stone", "mass_g": 60}]
        rows += [
            tool_row(rng, genes, number) for number in range(1, genes["tools"] if genes["tools"] != "stored" else 2)
        ]
        ids = [row["id"] for row in rows[1:]] or ["folding-saw-240"]
        return {"tools": rows[1:], "trials": records_of(rng, ids, max(1, genes["records"]))}
    trip = trip_of(rng, genes)
    if question == "plan":
        return trip
    if question == "batch":
        return [trip, *(trip_of(rng, genes, tools=False) for _ in range(genes["lines"] - 1))]
    if question != "check":
        trip.pop("sure", None)
    if question in ("front", "bad-night", "confidence", "season", "sure"):
        trip.pop("robust", None)
    own = [row["id"] for row in trip.get("tools", [])] or ["folding-saw-240", "long-knife-180", "hatchet-600"]
    own = ["t1", "t2", "t3", "t4"] if genes["tools"] == "stored" else own
    kit = None if genes["kit"] is None else rng.sample(own, min(len(own), genes["kit"]))
    if question == "front":
        return {"trip": trip, "against": genes["against"]}
    if question == "check":
        return {"trip": trip, "kit": kit or own[:3]}
    if question == "bad-night":
        return {"trip": trip, "kit": kit}
    if question == "sure":
        return {"trip": trip, "sure": {"draws": genes["sure"] or 256, "confidence": genes["confidence"]}}
    if question == "confidence":
        return confidence_of(rng, genes, trip)
    if question == "season":
        trips = [trip, *(trip_of(rng, genes) for _ in range(genes["trips"] - 1))]
        rows = trip.get("tools")
        for one in trips:
            for name in ("sure", "robust"):
                one.pop(name, None)
            if rows is not None:
                one["tools"] = rows
        body: Row = {"trips": [{"weight": rng.randint(1, 9), "trip": one} for one in trips]}
        return body if genes["own_at_most"] is None else body | {"own_at_most": genes["own_at_most"]}
    if question == "allowance":
        tool = {name: value for name, value in tool_row(rng, genes, 0).items() if name != "mass_g"} | {"id": "new"}
        return {"tool": tool, "trip": trip}
    return sweep_of(genes, trip)


def confidence_of(rng: Random, genes: Genes, trip: Row) -> Row:
    """A question of uncertain wood."""
    found = []
    for _ in range(genes["scenarios"]):
        one: Row = {"weight": rng.randint(1, 9)}
        if genes["of_scenario"] != "tasks":
            one["wood"] = wood_of(rng, genes, varied=True)
        if genes["of_scenario"] != "wood" and trip["tasks"]:
            one["tasks"] = tasks_of(rng, genes, max(1, min(len(trip["tasks"]), 5)))
        found.append(one)
    body: Row = {"trip": trip, "scenarios": found, "confidence": genes["confidence"]}
    if genes["parts"] and trip["tasks"] and len(found) * genes["parts"] <= 4096:
        body["diameter_range"] = {"low_factor": 0.7, "high_factor": 1.3, "parts": genes["parts"]}
    return body


def sweep_of(genes: Genes, trip: Row) -> Row:
    """A sweep over a long knife."""
    steps = {1: (100,), 2: (20, 20), 3: (7, 7, 8)}[genes["vary"]]
    ranges = (
        ("drawing.blade.length_mm", 120, 300),
        ("drawing.blade.spine_mm", 4.5, 7),
        ("drawing.blade.width_mm", 33, 45),
    )
    vary = [
        {"field": field, "low": low, "high": high, "steps": count}
        for count, (field, low, high) in zip(steps, ranges, strict=False)
    ]
    return {"design": design_examples()["long-knife"], "vary": vary, "trip": trip}


def request_of(question: str, genes: Genes) -> tuple[bytes, Genes]:
    """The bytes of a body of at most 100 kB, and the genes as they are once its largest list was cut until it fits."""
    while True:
        body = body_of(question, genes)
        lines = body if question == "batch" else [body]
        told = b"".join(json.dumps(line, separators=(",", ":")).encode() + b"\n" for line in lines)
        if len(told) <= MOST_BYTES:
            return told, genes
        sizes = {name: value for name, value in genes.items() if name in SIZES and isinstance(value, int)}
        sizes = {name: value for name, value in sizes.items() if _counts(question, name) and value > 1}
        name = max(sizes, key=lambda name: sizes[name] * _BYTES.get(name, 60))
        genes = genes | {name: max(1, int(sizes[name] * min(0.95, (MOST_BYTES / len(told)) ** 0.5)))}


_BYTES = {"tools": 130, "tasks": 60, "scenarios": 60, "trips": 700, "lines": 600, "ask_about": 8, "kit": 8}


def _counts(question: str, name: str) -> bool:
    """Tell whether a size matters to a question."""
    only = {"scenarios": "confidence", "trips": "season", "lines": "batch"}
    return only.get(name, question) == question
