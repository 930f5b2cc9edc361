"""Adoption on one process and on several: what more processes cost, and what a million trips would take.

Run by `python tests benchmark_adoption [--trips N] [--workers N ...] [--population NAME]`. The offer is the invented
light knife. Each run is told by its clock time and by the processor time of all its processes, their start and the
drawing of the trips with it. On a machine with other work the clock tells little: then processor time of one process
over that of N, times N (`reach`), is what N free cores would reach. The answers of all runs are compared byte for byte.
"""

import argparse
import os
from collections.abc import Iterator
from time import perf_counter, process_time

from rich.console import Console
from rich.table import Table
from timed_trips import ProcessorTime, timed

from api.examples.invented import design_examples, population_examples
from api.solving.processes import done_by_processes
from solver import AdoptionForm, Effort, OfferedTrips, Verdict
from solver.offers.adoption_report import Settle

_MILLION = 1_000_000
_HOUR_S = 3600


def settled(workers: int, spent: ProcessorTime) -> Settle:
    """What settles trips by several processes; it notes what each has spent."""

    def settle(asked: OfferedTrips) -> Iterator[tuple[int, tuple[Verdict, ...]]]:
        places = range(len(asked.trips))
        yield from spent.noted(done_by_processes(timed, asked, places, workers=workers))

    return settle


def main() -> None:
    """Measure."""
    parser = argparse.ArgumentParser(prog="benchmark_adoption")
    parser.add_argument("--trips", type=int, default=1_000)
    parser.add_argument("--workers", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--population", choices=sorted(population_examples()), default="weekend-open-fire")
    asked = parser.parse_args()
    people = population_examples()[asked.population]
    form = AdoptionForm.model_validate(
        {"design": design_examples()["light-knife"], "population": people, "count": asked.trips}
    )
    table = Table("processes", "clock s", "processor s", "reach", "trips a processor second", "a million trips, core h")
    answers, first = set(), 0.0
    for workers in asked.workers:
        others = ProcessorTime()
        begun, own = perf_counter(), process_time()
        answers.add(form.answer(Effort(), settled(workers, others)).model_dump_json())
        clock = perf_counter() - begun
        spent = process_time() - own + others.whole_s()
        first = first or spent
        rate = asked.trips / spent
        hours = _MILLION / rate / _HOUR_S
        reach = f"{workers * first / spent:.2f}"
        table.add_row(str(workers), f"{clock:.1f}", f"{spent:.1f}", reach, f"{rate:.1f}", f"{hours:.1f}")
    Console().print(table)
    alike = "byte-equal" if len(answers) == 1 else "NOT EQUAL"
    print(f"{asked.trips} trips of {asked.population}: answers {alike}; load {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
