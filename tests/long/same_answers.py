"""Hold the answers of two states of the project against each other, byte for byte.

`python tests same_answers record CHECKOUT FILE` starts the service of a checkout and asks it every question: all
invented examples, and seeded random trips. `... compare CHECKOUT FILE` asks the same of another state and prints where
an answer differs. No clock cuts an answer short, so that a busy machine makes no difference. Instead of a checkout's
folder it may be the address of a service that runs: then its own clocks hold. Texts are masked unless `--texts` is
said: they may be reworded, figures may not move. A field that was not there before is no difference: fields may be
added.
Run by hand.
"""

import argparse
import gzip
import json
import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any

import httpx
from long_clocks import end_by_nodes
from server import COMMAND, running
from waiting import RUN_S

Row = dict[str, Any]

MASKED = {
    "text",
    "reasons",
    "cautions",
    "detail",
    "title",
    "warnings",
    "used_for",
    "replaced_by",
    "note",
    "because",
    "derivation",
}
ADDRESSES = {
    "kits": "/v1/kits",
    "front": "/v1/kits/front",
    "check": "/v1/kits/check",
    "bad-night": "/v1/kits/bad-night",
    "confidence": "/v1/kits/confidence",
    "season": "/v1/kits/season",
    "allowance": "/v1/designs/allowance",
    "score": "/v1/designs/score",
    "sweep": "/v1/designs/sweep",
    "trials": "/v1/trials",
}
SCORES = (0.5, 1, 2, 3, 4, 5, 6, 7.5, 8.25, 10)
LARGEST_MM = (40, 62, 80, 100, 125, 150, 200, 300)
KINDS = ("fixed knife", "folding knife", "folding saw", "bow saw", "hatchet", "axe")


def some(rng: Random, percent: float) -> bool:
    """True so many times in a hundred."""
    return rng.random() * 100 < percent


def random_tool(rng: Random, number: int) -> Row:
    """A row of one's own, coarse figures, so that ties come up."""
    row: Row = {
        "id": f"t{number:02d}",
        "kind": rng.choice(KINDS),
        "mass_g": rng.choice((60, 100, 150, 200, 333.33, 700)),
    }
    for task in rng.sample(("split", "saw", "carve", "chop"), rng.randint(1, 3)):
        row |= {f"{task}_score": rng.choice(SCORES), f"{task}_max_mm": rng.choice(LARGEST_MM)}
        if some(rng, 30):
            row[f"{task}_life"] = rng.choice((20, 150, 2_000))
    for field, values in {"price": (10, 20, 60), "edge_mm": (80, 200), "packed_mm": (200, 400)}.items():
        if some(rng, 60):
            row[field] = rng.choice(values)
    if some(rng, 15):
        row["needs"] = f"t{rng.randint(0, 12):02d}|can:{rng.choice(('split', 'carve'))}"
    return row


def random_task(rng: Random) -> Row:
    """A stated task."""
    task: Row = {
        "task": rng.choice(("split", "saw", "chop", "buck", "carve")),
        "diameter_mm": rng.choice(range(15, 180, 5)),
    }
    if task["task"] == "carve":
        task["diameter_mm"] = min(60, task["diameter_mm"])
    for field, values in {"per_day": (1, 2, 4.5, 12), "min_score": (0, 0, 1, 3), "critical": (True, False)}.items():
        if some(rng, 60):
            task[field] = rng.choice(values)
    return task


def random_trip(rng: Random, ids: list[str], species: list[str], *, heavy: bool) -> Row:
    """A trip as a caller would send it; `heavy` ones may have a fire and last long."""
    trip: Row = {"tasks": [random_task(rng) for _ in range(rng.randint(0 if heavy else 1, 4))]}
    trip |= {
        "people": rng.randint(1, 5),
        "nights": rng.choice((1, 2, 4, 7)),
        "skill": rng.choice(("novice", "practised", "expert")),
    }
    trip["air_c"] = rng.choice((-18, -3, 4, 10, 21))
    if heavy:
        fire: Row = {"hot_water_l_per_person": rng.choice((0.5, 1.5, 2.5)), "warmth_h": rng.choice((0, 1, 2))}
        trip["fire"] = (
            fire | ({"melt_snow": True} if some(rng, 15) else {}) | ({"drying_h": 1} if some(rng, 20) else {})
        )
    if some(rng, 60):
        trip["wood"] = {"species": rng.choice(species), "state": rng.choice(("dead-dry", "dead-wet", "green"))}
        if some(rng, 30):
            trip["wood"]["knotty"] = True
    if some(rng, 30):
        trip["camp_work"] = [{"id": rng.choice(("peg", "pot-hanger")), rng.choice(("per_day", "per_trip")): 2}]
    limits: Row = {"work_min_per_day": rng.choice((15, 30, 60, 90, 240))}
    for field, values, percent in (
        ("mass_g", (300, 600, 1500), 20),
        ("price", (30, 120), 12),
        ("edge_mm", (120, 240), 8),
    ):
        if some(rng, percent):
            limits[field] = rng.choice(values)
    if some(rng, 8):
        limits["banned_kinds"] = [rng.choice(KINDS)]
    trip["limits"] = limits
    if some(rng, 50):
        trip["tools"] = [random_tool(rng, n) for n in rng.sample(range(40), rng.randint(2, 9))]
        ids = [row["id"] for row in trip["tools"]]
    elif some(rng, 25):
        trip["extra_tools"] = [random_tool(rng, n) for n in rng.sample(range(40), 2)]
    for field, percent in (("must_carry", 8), ("leave_home", 15), ("ask_about", 15)):
        if some(rng, percent):
            trip[field] = [rng.choice(ids)]
    trip["aim"] = rng.choice(("mass", "mass", "mass", "effort", "work_time"))
    trip["backup"] = rng.choice(("none", "none", "critical", "all"))
    for field in ("field_methods", "life", "upkeep"):
        if some(rng, 12):
            trip[field] = False
    if some(rng, 8):
        trip["robust"] = {"needs": rng.choice(("critical", "all")), "work_multiple": rng.choice((1.5, 3))}
    if not heavy and some(rng, 30):
        trip["route"] = {"km_per_day": 9, "climb_m_per_day": rng.choice((0, 800)), "body_kg": 68}
    return trip


def wanted(trips: int, seed: int, ids: list[str], species: list[str]) -> Iterator[tuple[str, Row]]:
    """Yield so many bodies of each question, each from a seed of its own."""
    for number in range(trips):
        for question in ("kits", "front", "check", "bad-night", "confidence", "season", "allowance"):
            rng = Random(f"{seed} {question} {number}")
            trip = random_trip(rng, ids, species, heavy=some(rng, {"kits": 35}.get(question, 12)))
            own = [row["id"] for row in trip.get("tools", [])] or ids
            plain = {key: value for key, value in trip.items() if key != "robust"}
            if question == "kits":
                yield question, trip
            elif question == "front":
                yield question, {"trip": plain, "against": rng.choice(("minutes", "minutes", "price"))}
            elif question == "check":
                yield question, {"kit": rng.sample(own, min(len(own), rng.randint(1, 4))), "trip": plain}
            elif question == "bad-night":
                kits = (None, rng.sample(own, min(len(own), rng.randint(1, 4))))
                yield question, {"trip": plain, "kit": rng.choice(kits)}
            elif question == "confidence":
                woods = [{"weight": rng.randint(1, 5), "wood": {"species": rng.choice(species)}} for _ in range(2)]
                body = {"trip": plain, "scenarios": woods, "confidence": rng.choice((0.5, 0.8, 1))}
                yield (
                    question,
                    body
                    | (
                        {"diameter_range": {"low_factor": 0.8, "high_factor": 1.2, "parts": 2}} if some(rng, 30) else {}
                    ),
                )
            elif question == "season":
                other = random_trip(rng, ids, species, heavy=False)
                other.pop("robust", None)
                body = {"trips": [{"weight": 3, "trip": plain}, {"weight": 1, "trip": other}]}
                yield question, body | rng.choice(({}, {"own_at_most": rng.randint(1, 5)}, {"money": 100}))
            else:
                yield question, {"tool": random_tool(rng, 50) | {"id": "new-tool"}, "trip": plain}


def examples(client: httpx.Client) -> Iterator[tuple[str, Row]]:
    """Yield the bodies of the examples that the service's own document shows."""
    document = client.get("/openapi.json").json()
    for question, address in ADDRESSES.items():
        content = document["paths"][address]["post"]["requestBody"]["content"]["application/json"]
        for example in content.get("examples", {}).values():
            yield question, example["value"]


def masked(value: Any, *, texts: bool) -> Any:
    """Return an answer without the fields that hold sentences."""
    if isinstance(value, dict):
        return {key: masked(one, texts=texts) for key, one in value.items() if texts or key not in MASKED}
    return [masked(one, texts=texts) for one in value] if isinstance(value, list) else value


def known(before: Any, after: Any) -> Any:
    """Return what is answered now without the fields that were not there before."""
    if isinstance(before, dict) and isinstance(after, dict):
        return {key: known(before[key], one) for key, one in after.items() if key in before}
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        return [known(a, b) for a, b in zip(before, after, strict=True)]
    return after


def answer_of(client: httpx.Client, question: str, body: Row) -> Row:
    """Return status and answer of one body."""
    got = client.post(ADDRESSES[question], json=body)
    return {"status": got.status_code, "answer": json.loads(got.text.replace(str(client.base_url).rstrip("/"), ""))}


def record(client: httpx.Client, file: Path, *, trips: int, seed: int) -> None:
    """Write what the service answers to every body, a line each."""
    ids = [row["id"] for row in client.get("/v1/tools", params={"limit": 1000}).json()["items"]]
    species = [row["id"] for row in client.get("/v1/woods", params={"limit": 1000}).json()["items"]]
    bodies = [*examples(client), *wanted(trips, seed, ids, species)]
    with gzip.open(file, "wt", encoding="utf-8") as lines:
        for count, (question, body) in enumerate(bodies, 1):
            line = {"question": question, "body": body, **answer_of(client, question, body)}
            lines.write(json.dumps(line, sort_keys=True) + "\n")
            show(count, len(bodies), 0)


def compare(client: httpx.Client, file: Path, *, texts: bool, most: int) -> int:
    """Return how many answers differ from those of a file; the first of them are printed."""
    with gzip.open(file, "rt", encoding="utf-8") as lines:
        recorded = [json.loads(line) for line in lines]
    differing = 0
    for count, line in enumerate(recorded, 1):
        now = answer_of(client, line["question"], line["body"])
        before, after = (masked([one["status"], one["answer"]], texts=texts) for one in (line, now))
        after = known(before, after)
        if json.dumps(before, sort_keys=True) != json.dumps(after, sort_keys=True):
            differing += 1
            if differing <= most:
                print(f"\n{line['question']} {json.dumps(line['body'])}\n  " + "\n  ".join(changes(before, after, "#")))
        show(count, len(recorded), differing)
    print(f"\n{len(recorded)} answers, {differing} differ")
    return differing


def changes(before: Any, after: Any, where: str) -> list[str]:
    """Return the first places at which two answers differ."""
    if isinstance(before, dict) and isinstance(after, dict):
        keys = sorted({*before, *after})
        return [c for key in keys for c in changes(before.get(key), after.get(key), f"{where}/{key}")][:8]
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        return [c for n, (a, b) in enumerate(zip(before, after, strict=True)) for c in changes(a, b, f"{where}/{n}")][
            :8
        ]
    return [] if json.dumps(before) == json.dumps(after) else [f"{where}: {str(before)[:200]} -> {str(after)[:200]}"]


def show(count: int, whole: int, differing: int) -> None:
    """Show on the error stream how far it is."""
    if count % 50 == 0 or count == whole:
        print(f"{count} of {whole}, {differing} differ", file=sys.stderr)


@contextmanager
def address_of(state: str) -> Iterator[str]:
    """The address of a service that runs, or of one that is started from a checkout's folder, with clocks of hours."""
    if "://" in state:
        yield state
        return
    end_by_nodes()
    with tempfile.TemporaryDirectory() as folder:
        store = {"KITWRIGHT_DATABASE_URL": f"sqlite:///{folder}/kitwright.sqlite"}
        with running(COMMAND, Path(folder, "service.log"), cwd=state, env=os.environ | store) as server:
            yield server.url


def main() -> int:
    """Record or compare; the exit code is 1 where answers differ."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("record", "compare"))
    parser.add_argument("state", help="the folder of a checkout, or the address of a service")
    parser.add_argument("file", type=Path)
    parser.add_argument("--trips", type=int, default=500, help="random trips of each question")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--texts", action="store_true", help="compare sentences too")
    parser.add_argument("--most", type=int, default=20, help="differing answers to print")
    asked = parser.parse_args()
    with address_of(asked.state) as address, httpx.Client(base_url=address, timeout=RUN_S) as client:
        if asked.what == "record":
            record(client, asked.file, trips=asked.trips, seed=asked.seed)
            return 0
        return 1 if compare(client, asked.file, texts=asked.texts, most=asked.most) else 0


if __name__ == "__main__":
    sys.exit(main())
