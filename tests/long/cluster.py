"""Adoption on a cluster of local workers beside plain processes: `python tests cluster [--trips N] [--workers N]`.

The answers must be the same byte for byte: on one process, on several, on the cluster, on the cluster while one of its
workers is killed, and where a run is stopped and gone on with. Then cluster and processes take turns (`--rounds`), and
two ratios are told, medians: by the clock, which on a busy machine tells little, and by processor time, that of this
process (client and scheduler) with it. Processes are begun anew each time and the cluster is not, so both are told with
the start of the processes and, by processor time, from the first trip on ("steady"). Needs the extra `cluster`.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
from itertools import islice
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from threading import Thread
from time import perf_counter, process_time, sleep
from typing import Any

from timed_trips import ProcessorTime, timed

from api.examples.invented import design_examples, population_examples
from api.questions.settled_trips import settled_by_processes, settled_on_cluster
from api.solving.cluster import Cluster, done_by_cluster
from api.solving.processes import done_by_processes
from solver import AdoptionForm, Effort, OfferedTrips

PROGRAM = [sys.executable, "-c", "from api.cli.command import main; raise SystemExit(main())", "adoption"]
SOME = 12  # trips of the run that is stopped


def certified(folder: str) -> dict[str, str]:
    """A key and a certificate that signs itself, made by openssl, as both sides show them."""
    key, own = f"{folder}/own.key", f"{folder}/own.pem"
    made = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "1", "-subj", "/CN=localhost"]
    subprocess.run([*made, "-keyout", key, "-out", own], check=True, capture_output=True)
    return {"ca": own, "certificate": own, "key": key}


def kill_one(cluster: Any, before: set[int]) -> None:
    """Kill a worker once it works."""
    while not any(state.processing for state in cluster.scheduler.workers.values()):
        sleep(0.05)
    os.kill(min(before), signal.SIGKILL)


def pids(cluster: Any) -> set[int]:
    """The processes of the workers, each under a nanny that replaces it."""
    return {worker.process.process.pid for worker in cluster.workers.values()}


def beside(form: AdoptionForm, place: Cluster, *, workers: int, rounds: int) -> None:
    """Tell how long the cluster takes beside processes, in turns."""
    ways = {
        "cluster": lambda asked, jobs: done_by_cluster(timed, asked, jobs, cluster=place),
        "processes": lambda asked, jobs: done_by_processes(timed, asked, jobs, workers=workers),
    }
    ratios: dict[str, list[float]] = {"clock": [], "processor time": [], "processor time, steady": []}
    for _ in range(rounds):
        found: dict[str, tuple[float, float, float]] = {}
        for name, way in ways.items():
            others, begun, own = ProcessorTime(), perf_counter(), process_time()
            form.answer(
                Effort(), lambda asked, way=way, others=others: others.noted(way(asked, range(len(asked.trips))))
            )
            clock, own = perf_counter() - begun, process_time() - own
            steady = own + others.steady_s()
            found[name] = (clock, steady if name == "cluster" else own + others.whole_s(), steady)
        for what, (one, other) in zip(ratios, zip(*(found[name] for name in ways), strict=True), strict=True):
            ratios[what].append(one / other)
    told = ", ".join(f"{median(runs):.2f} by {what}" for what, runs in ratios.items())
    print(f"cluster over processes: {told}", flush=True)


def main() -> None:
    """Compare."""
    from distributed import LocalCluster, Security  # late: an extra

    parser = argparse.ArgumentParser(prog="cluster", description=__doc__)
    parser.add_argument("--trips", type=int, default=200)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--population", default="weekend-open-fire")
    asked = parser.parse_args()
    people = population_examples()[asked.population]
    body = {"design": design_examples()["light-knife"], "population": people, "count": asked.trips}
    form = AdoptionForm.model_validate(body)
    expected = form.answer(Effort()).model_dump_json()

    def same(name: str, **how: Any) -> None:
        start = perf_counter()
        settle = settled_by_processes(form, **({"workers": None, "kept": None, "tell": None} | how))
        assert form.answer(Effort(), settle).model_dump_json() == expected, name
        print(f"{name}: the same bytes, {perf_counter() - start:.1f} s", flush=True)

    same(f"{asked.workers} processes", workers=asked.workers)
    with TemporaryDirectory() as folder:
        mine = certified(folder)
        shown = {"tls_ca_file": mine["ca"]}
        for side in ("scheduler", "worker", "client"):
            shown |= {f"tls_{side}_cert": mine["certificate"], f"tls_{side}_key": mine["key"]}
        secret = Security(require_encryption=True, **shown)
        with LocalCluster(
            n_workers=1, threads_per_worker=1, protocol="tls://", security=secret, dashboard_address=None
        ) as cluster:
            settle = settled_on_cluster(Cluster(cluster.scheduler_address, **mine), Effort().begun())
            assert cluster.scheduler_address.startswith("tls://")
            assert form.answer(Effort(), settle).model_dump_json() == expected
            print("cluster by TLS, as a job asks it: the same bytes", flush=True)
    with LocalCluster(n_workers=asked.workers, threads_per_worker=1, dashboard_address=None) as cluster:
        place = Cluster(cluster.scheduler_address)
        same("cluster, workers just begun", cluster=place)
        same("cluster", cluster=place)
        beside(form, place, workers=asked.workers, rounds=asked.rounds)
        killing = Thread(target=kill_one, args=(cluster, pids(cluster)))
        killing.start()
        same("cluster, a worker killed", cluster=place)
        killing.join()
        with TemporaryDirectory() as folder:
            kept = Path(folder) / "settled"
            settle = settled_by_processes(form, workers=None, kept=kept, tell=None, cluster=place)

            def stopped(trips: OfferedTrips) -> Any:
                return list(islice(settle(trips), SOME))

            form.answer(Effort(), stopped)
            lines = len(kept.read_text("utf-8").splitlines()) - 1
            assert SOME <= lines < asked.trips, lines
            same(f"cluster, gone on with after {lines} trips", cluster=place, kept=kept)
            file = Path(folder) / "asked.json"
            file.write_text(json.dumps(body), encoding="utf-8")
            told = subprocess.run(
                [*PROGRAM, str(file), "--json", "--cluster", place.address], capture_output=True, text=True, check=True
            )
            assert json.loads(told.stdout) == json.loads(expected)
            print("command line: the same answer", flush=True)


if __name__ == "__main__":
    main()
