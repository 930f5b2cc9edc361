"""The worst request of at most 100 kB: a search over bodies of every question for what takes longest, or most memory.

Run by `python tests worst_request [--seconds 600] [--seed 1] [--only QUESTION ...]`. A real service with three seconds
for an answer, whose clock is the processor time of its own process; one stored catalog of 20,000 tools. Bodies are
drawn at random, then changed a little from those that took longest or most. Counted are answers that take over a fifth
longer than they may, a worker over 512 MB, and answers that are neither an answer nor a refusal. Bodies that break a
bound are kept in the folder of --keep.
"""

import argparse
import json
import os
import sys
import tempfile
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random
from time import monotonic, sleep
from typing import Any

import httpx
import own_clock
import server as service
from server import Server, served
from worst_bodies import ADDRESSES, STORED, STORED_TOOLS, Genes, drawn_genes, mutated, request_of, tool_row

SECONDS, OVER = 3.0, 1.2
MOST_KB = 512 * 1000
MOST_WAIT_S = 600.0
ELITE = 4  # bodies of a question that others are made from
DRAWN = 0.3  # of bodies, that are drawn anew
_TICKS = os.sysconf("SC_CLK_TCK")


@dataclass(frozen=True)
class Cost:
    """What an answer took: processor time [s], the most memory of the worker until its end [kB], and its status."""

    seconds: float
    memory_kb: int
    status: int
    told: str

    @property
    def late(self) -> bool:
        """Whether it took over a fifth longer than it may."""
        return self.seconds > SECONDS * OVER

    @property
    def large(self) -> bool:
        """Whether the worker held more than it may."""
        return self.memory_kb > MOST_KB

    @property
    def failed(self) -> bool:
        """Whether it is neither an answer nor a refusal of what was asked."""
        return self.status not in (200, 413, 422)

    @property
    def broken(self) -> str:
        """What it breaks, in a word or more; empty where it keeps all bounds."""
        told = [("late", self.late), ("large", self.large), ("failed", self.failed)]
        return " ".join(name for name, broken in told if broken)


def worked_s(pid: int) -> float:
    """The processor time of a process so far [s], as proc(5) tells it."""
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / _TICKS


def forget_peak(pid: int) -> None:
    """Let the peak of memory of a process begin anew (proc(5), clear_refs)."""
    Path(f"/proc/{pid}/clear_refs").write_text("5", encoding="utf-8")


def cost_of(server: Server, question: str, body: bytes) -> Cost:
    """Ask, and measure."""
    kind = "application/x-ndjson" if question == "batch" else "application/json"
    forget_peak(server.pid)
    before = worked_s(server.pid)
    try:
        answer = httpx.post(
            server.url + ADDRESSES[question], content=body, headers={"Content-Type": kind}, timeout=MOST_WAIT_S
        )
        status, told = answer.status_code, answer.text[:300]
        if question == "batch" and status == 200:
            lines = [json.loads(line) for line in answer.text.splitlines()]
            wrong = [one for one in lines if one.get("problem", {}).get("status", 200) >= 500]
            told = f"{len(wrong)} of {len(lines)} lines without an answer"
    except httpx.HTTPError as error:
        status, told = 0, repr(error)
    return Cost(worked_s(server.pid) - before, server.peak_kb(), status, told)


class Worker:
    """A service on its own clock, with a stored catalog, begun anew where it holds too much."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.stack = folder, ExitStack()
        self.settings: dict[str, Any] = {"answer_seconds": SECONDS, "memory_bytes": 0, "solve_wait_seconds": 600}
        self.settings |= {"database_url": f"sqlite:///{folder}/store.sqlite", "one_user": True, "patience_seconds": 600}

    def begin(self) -> None:
        """Begin anew."""
        self.stack.close()
        self.server = self.stack.enter_context(served(self.folder, **self.settings))


@contextmanager
def own_service() -> Iterator[Worker]:
    """The service, with the catalog stored by an earlier one."""
    command, service.COMMAND = service.COMMAND, [sys.executable, own_clock.__file__]
    try:
        with tempfile.TemporaryDirectory() as folder:
            worker = Worker(Path(folder))
            worker.begin()
            store(worker.server)
            worker.begin()
            with worker.stack:
                yield worker
    finally:
        service.COMMAND = command


def store(server: Server) -> None:
    """Put a catalog of as many tools as one may have."""
    rng, genes = Random(1), {"fine": True, "ways": 3, "life": 0.5, "life_nights": 1, "sharpened": 0.5, "grows": True}
    genes |= {"companions": 0.005, "priced": True}
    rows = [{"id": "t0", "kind": "sharpening stone", "mass_g": 60}]
    rows += [tool_row(rng, genes, number) for number in range(1, STORED_TOOLS)]
    answer = httpx.put(
        f"{server.url}/v1/catalogs/{STORED}", json={"tools": rows}, headers={"If-None-Match": "*"}, timeout=MOST_WAIT_S
    )
    assert answer.status_code in (200, 201), answer.text


def quit_s(server: Server, question: str, body: bytes) -> float:
    """Hang up after a second: the processor time that the worker still works on [s], until it is idle."""
    kind = "application/x-ndjson" if question == "batch" else "application/json"
    try:
        httpx.post(server.url + ADDRESSES[question], content=body, headers={"Content-Type": kind}, timeout=1.0)
        return 0.0
    except httpx.TimeoutException:
        pass
    start = worked_s(server.pid)
    while "kitwright_solves_running 0.0" not in server.figures():
        sleep(0.02)
    return worked_s(server.pid) - start


class Search:
    """The worst bodies so far of each question, by time and by memory."""

    def __init__(self, worker: Worker, *, seed: int, keep: Path | None) -> None:
        self.worker, self.rng, self.keep = worker, Random(seed), keep
        self.elite: dict[tuple[str, str], list[tuple[float, Genes]]] = defaultdict(list)
        self.found: dict[str, list[Cost]] = defaultdict(list)
        self.kept = 0

    def step(self, question: str) -> None:
        """Ask once."""
        by = self.rng.choice(("time", "memory"))
        known = self.elite[question, by]
        fresh = not known or self.rng.random() < DRAWN
        genes = drawn_genes(self.rng) if fresh else mutated(self.rng.choice(known)[1], self.rng)
        body, genes = request_of(question, genes)
        cost = cost_of(self.worker.server, question, body)
        self.found[question].append(cost)
        for name, worth in (("time", cost.seconds), ("memory", float(cost.memory_kb))):
            if cost.status == 200 or cost.broken:
                several = self.elite[question, name]
                several.append((worth, genes))
                several.sort(key=lambda one: -one[0])
                del several[ELITE:]
        if cost.broken:
            self.tell(question, genes, body, cost)
        if cost.large or not cost.status:
            self.worker.begin()

    def tell(self, question: str, genes: Genes, body: bytes, cost: Cost) -> None:
        """Print a body that breaks a bound, and keep it."""
        self.kept += 1
        name = f"{self.kept:03d}-{question}-{cost.broken.replace(' ', '-')}.json"
        if self.keep is not None:
            (self.keep / name).write_bytes(body)
        told = "" if cost.status == 200 else cost.told
        print(f"{name}: {cost.seconds:.2f} s, {cost.memory_kb / 1000:.0f} MB, {cost.status} {told}", flush=True)
        print(f"    {json.dumps(genes)}", flush=True)

    def summary(self) -> None:
        """Print a line a question."""
        for question, costs in sorted(self.found.items()):
            late, large, failed = (sum(getattr(one, name) for one in costs) for name in ("late", "large", "failed"))
            answered = sum(one.status == 200 for one in costs)
            print(
                f"{question}: {len(costs)} asked, {answered} answered; {late} late, {large} large, {failed} failed; "
                f"at most {max(one.seconds for one in costs):.2f} s of {SECONDS:.0f}, "
                f"{max(one.memory_kb for one in costs) / 1000:.0f} MB",
                flush=True,
            )

    def hang_ups(self) -> None:
        """Print how long the worker still works on the slowest bodies once their caller has left."""
        slowest = [
            (question, genes) for (question, by), known in self.elite.items() if by == "time" for _, genes in known
        ]
        took = {f"{q}": quit_s(self.worker.server, q, request_of(q, genes)[0]) for q, genes in slowest}
        print("after a hang-up, worked on for: " + ", ".join(f"{q} {s:.2f} s" for q, s in sorted(took.items())))


def asked_again(server: Server, paths: Sequence[Path]) -> int:
    """Ask kept bodies in turn, all of them twice, of one worker; print what each took, and return how many broke."""
    print(f"at rest {server.peak_kb() / 1000:.0f} MB")
    broken = 0
    for path in [*paths, *paths]:
        question = next(one for one in ADDRESSES if path.name.split("-", 1)[1].startswith(one))
        cost = cost_of(server, question, path.read_bytes())
        broken += bool(cost.broken)
        told = f"{path.name}: {cost.seconds:.2f} s, {cost.memory_kb / 1000:.0f} MB, {cost.status} {cost.broken}"
        print(told, flush=True)
    return broken


def main() -> int:
    """Search; the exit code is 1 where a bound is broken."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=600.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="*", default=list(ADDRESSES), choices=list(ADDRESSES))
    parser.add_argument("--keep", type=Path)
    parser.add_argument(
        "--again", nargs="*", type=Path, default=[], help="kept bodies to ask twice of one worker, no search"
    )
    asked = parser.parse_args()
    if asked.keep is not None:
        asked.keep.mkdir(parents=True, exist_ok=True)
    with own_service() as worker:
        if asked.again:
            return 1 if asked_again(worker.server, asked.again) else 0
        search, end = Search(worker, seed=asked.seed, keep=asked.keep), monotonic() + asked.seconds
        while monotonic() < end:
            for question in asked.only:
                search.step(question)
        search.hang_ups()
        search.summary()
    return 1 if search.kept else 0


if __name__ == "__main__":
    sys.exit(main())
