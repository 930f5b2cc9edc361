"""The service under load, beside an empty endpoint of the same framework, in one run.

Run by hand: `python tests benchmark_load [--seconds 8] [--workers 2] [--seed 1]`. It starts the real service and,
in turns with it, the empty endpoint, both with the same workers, loop and parser, and asks them from a third process
(load.py) over loopback. Prints figures, holds none. Plans: `detail: kit`, built-in catalog, no two alike; so nothing
kept from one of them helps with another. Full load: each connection asks again as soon as it is answered; half load:
half of that rate, at even steps of time. Core ms: processor time of all workers for one request, as proc(5) tells it,
which a busy machine blurs less than the rest. Last, one worker with a store: reads and plans beside writes, a long
solve and a job.
"""

import argparse
import os
import random
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from statistics import median
from threading import Thread
from time import sleep
from typing import Any

from load import order
from server import Server, running, served
from steiner import bose, steiner_trip, tripled
from tree import SUPPORT

from api.examples.catalog_bodies import HUT

CONNECTIONS = 16
TASKS = {"split": (40, 200), "saw": (30, 150), "chop": (30, 150), "carve": (10, 50), "buck": (40, 160)}
WOODS = ("dead-dry", "dead-wet", "green")


def plan_of(random_: random.Random) -> dict[str, Any]:
    """A trip of one to four tasks, a work limit in every second one; invented."""
    tasks = [
        {
            "task": task,
            "diameter_mm": round(random_.uniform(*TASKS[task]), 1),
            "per_day": round(random_.uniform(0.5, 6), 1),
        }
        for task in random_.sample(sorted(TASKS), random_.randint(1, 4))
    ]
    trip: dict[str, Any] = {"tasks": tasks, "wood": {"state": random_.choice(WOODS)}, "detail": "kit"}
    if random_.random() < 0.5:
        trip["limits"] = {"work_min_per_day": round(random_.uniform(30, 240), 1)}
    return trip


def fire_of(random_: random.Random) -> dict[str, Any]:
    """A trip that lives by its fire; invented."""
    fire = {"hot_water_l_per_person": round(random_.uniform(0.5, 3), 2), "warmth_h": round(random_.uniform(0, 3), 2)}
    wood = {"state": random_.choice(WOODS)}
    air_c = round(random_.uniform(-10, 15), 1)
    return {"people": random_.randint(1, 4), "fire": fire, "wood": wood, "air_c": air_c, "detail": "kit"}


def posts(path: str, bodies: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Bodies as requests."""
    return [{"method": "POST", "path": path, "body": body} for body in bodies]


def core_s(parent: int) -> float:
    """Processor time so far of a process and its children [s]."""
    ticks = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if parent in (int(stat.parent.name), int(fields[1])):
            ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def measured(service: Server, requests: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """The report of an order, with the processor time of the service for one request."""
    before = core_s(service.pid)
    report = order(service.url, requests, **more)
    return report | {"core_ms": 1000 * (core_s(service.pid) - before) / sum(report["statuses"].values())}


@contextmanager
def empty_service(folder: Path, *, workers: int) -> Iterator[Server]:
    """The empty endpoint, served as the service is."""
    command = [sys.executable, "-m", "uvicorn", "empty_service:app", "--port", "0", "--no-access-log"]
    command += ["--workers", str(workers), "--loop", "uvloop", "--http", "httptools", "--app-dir", "."]
    with running(command, folder / "empty.log", workers=workers, cwd=SUPPORT) as server:
        yield server


def line(name: str, report: dict[str, Any], against: float | None = None) -> None:
    """Print one row of the table."""
    core = f"{report['core_ms']:.2f}" if "core_ms" in report else ""
    ratio = "" if against is None else f"{report['rate'] / against:.3f}"
    odd = {status: count for status, count in report["statuses"].items() if status != "200"}
    print(
        f"{name:39} {report['rate']:8.0f} {report['p50_ms']:8.2f} {report['p99_ms']:8.2f} {report['worst_ms']:8.1f}"
        f" {core:>8}   {ratio:>6} {odd or ''}",
        flush=True,
    )


def middle(reports: list[dict[str, Any]]) -> dict[str, Any]:
    """The report of the middle rate."""
    return sorted(reports, key=lambda report: report["rate"])[len(reports) // 2]


def loads(own: Server, empty: Server, *, seconds: float, seed: int, rounds: int) -> None:
    """Print what the service carries beside the empty endpoint, in turns."""
    rng = random.Random(seed)
    enough = int(2500 * seconds)
    same = posts("/v1/kits", [plan_of(rng)])
    nothing = posts("/empty", [{"tasks": same[0]["body"]["tasks"], "detail": "kit"}])
    found: dict[str, list[dict[str, Any]]] = {name: [] for name in ("empty", "again", "plan", "fire")}
    for service, requests in ((own, same), (empty, nothing)):
        measured(service, requests, connections=CONNECTIONS, seconds=2)  # warm
    for _ in range(rounds):
        distinct = posts("/v1/kits", [plan_of(rng) for _ in range(enough)])
        fires = posts("/v1/kits", [fire_of(rng) for _ in range(enough)])
        for name, service, requests in (
            ("empty", empty, nothing),
            ("again", own, same),
            ("plan", own, distinct),
            ("fire", own, fires),
        ):
            found[name].append(measured(service, requests, connections=CONNECTIONS, seconds=seconds))
    floor = median(report["rate"] for report in found["empty"])
    plans = middle(found["plan"])
    assert all(report["distinct"] for report in found["plan"] + found["fire"])
    line("empty endpoint, full load", middle(found["empty"]), floor)
    line("one plan again and again", middle(found["again"]), floor)
    line("distinct plans, full load", plans, floor)
    distinct = posts("/v1/kits", [plan_of(rng) for _ in range(enough)])
    half = measured(own, distinct, connections=4 * CONNECTIONS, seconds=2 * seconds, rate=plans["rate"] / 2)
    line("distinct plans, half load", half, floor)
    empty_half = measured(empty, nothing, connections=4 * CONNECTIONS, seconds=seconds, rate=floor / 2)
    line("empty endpoint, half load", empty_half, floor)
    line("distinct firewood trips, full load", middle(found["fire"]), floor)
    print(f"\nhalf load: p99 is {half['p99_ms'] / half['p50_ms']:.1f} times the median of plans", end="")
    print(f" ({empty_half['p99_ms'] / empty_half['p50_ms']:.1f} times that of the empty endpoint)")


def reads(own: Server, *, workers: int, seconds: float) -> None:
    """Print what health and catalog reads take while every place for a solve is taken, and more wait."""
    hard = {**steiner_trip(tripled(bose(15))), "detail": "kit"}
    busy = posts("/v1/kits", [hard | {"name": str(number)} for number in range(8 * workers)])
    paths = ("/healthz", "/v1/tools?limit=1", "/v1/tools/hatchet-600", "/v1/tools?limit=100")
    asked = [{"method": "GET", "path": path} for path in paths]
    order(own.url, asked, connections=8, seconds=1)  # warm
    for request in asked:
        idle = measured(own, [request], connections=8, seconds=seconds / 2, rate=100)
        line(f"GET {request['path']}, idle", idle)
    with ThreadedOrder(own.url, busy, connections=8 * workers, seconds=3 * seconds):
        sleep(1)
        for request in asked:
            taken = order(own.url, [request], connections=8, seconds=seconds / 2, rate=100)
            line(f"GET {request['path']}, places taken", taken)


def beside(own: Server, *, seconds: float, seed: int) -> None:
    """Print what reads of the store and plans take at an even rate: alone, then beside writes, a long solve, a job."""
    rng = random.Random(seed)
    new = {"If-None-Match": "*"}
    writes = [
        {"method": "PUT", "path": f"/v1/catalogs/c{number}", "body": HUT, "headers": new} for number in range(5000)
    ]
    hard = {**steiner_trip(tripled(bose(15))), "detail": "kit"}
    job = posts("/v1/kits", [hard])
    job[0]["headers"] = {"Prefer": "respond-async"}
    others: dict[str, list[dict[str, Any]]] = {
        "alone": [],
        "beside writes": writes,
        "beside one long solve": posts("/v1/kits", [hard]),
        "beside a job": job,
    }
    read = [{"method": "GET", "path": "/v1/catalogs?limit=10"}]
    alone: dict[str, float] = {}
    for name, requests in others.items():
        if name == "beside a job":
            order(own.url, requests, connections=1, each_once=True)
        busy = ThreadedOrder(own.url, requests, connections=1, seconds=2 * seconds + 2)
        with busy if requests and name != "beside a job" else nullcontext():
            sleep(1)
            for what, asked in (("reads", read), ("plans", posts("/v1/kits", [plan_of(rng) for _ in range(5000)]))):
                report = order(own.url, asked, connections=8, seconds=seconds, rate=25)
                line(f"{what} at 25 a second, {name}", report)
                ratio = report["p99_ms"] / alone.setdefault(what, report["p99_ms"])
                print(f"{'':39} p99 is {ratio:.1f} times that alone, {report['p99_ms'] / report['p50_ms']:.1f} medians")


class ThreadedOrder:
    """An order that goes on beside others."""

    def __init__(self, url: str, requests: list[dict[str, Any]], *, connections: int, seconds: float) -> None:
        self.thread = Thread(
            target=order, args=(url, requests), kwargs={"connections": connections, "seconds": seconds}
        )

    def __enter__(self) -> None:
        self.thread.start()

    def __exit__(self, *_: object) -> None:
        self.thread.join()


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=float, default=8)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--seed", type=int, default=random.SystemRandom().randrange(10**6))
    asked = parser.parse_args()
    print(f"{os.cpu_count()} cores, load before {os.getloadavg()[0]:.2f}, {asked.workers} workers, seed {asked.seed}")
    print(f"{'':39} {'a second':>8} {'p50 ms':>8} {'p99 ms':>8} {'worst':>8} {'core ms':>8}   to empty")
    with tempfile.TemporaryDirectory() as name, empty_service(Path(name), workers=asked.workers) as empty:
        folder = Path(name)
        with served(folder, workers=asked.workers) as server:
            loads(server, empty, seconds=asked.seconds, seed=asked.seed, rounds=asked.rounds)
        with served(folder, workers=asked.workers, solve_seconds=5, solve_nodes=10**9) as server:
            reads(server, workers=asked.workers, seconds=asked.seconds)
        more = {"database_url": f"sqlite:///{folder / 'store.db'}", "most_catalogs": 5000, "job_nodes": 10**9}
        with served(folder, workers=1, solve_seconds=60, solve_nodes=10**9, solves=2, **more) as server:
            beside(server, seconds=asked.seconds, seed=asked.seed)


if __name__ == "__main__":
    main()
