"""What a sheet costs: a cell and a tab of the spreadsheet program beside a plain GET, a file beside trips one by one.

Run by hand: `python tests benchmark_sheet [cells] [tabs] [table]`. Prints figures: no test has a time limit.
"""

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter, process_time

import httpx
from calc import calc
from server import Server, served
from waiting import LONG_S

COMMAND = [sys.executable, "-c", "from api.cli.command import main; main()"]
CELLS, TABS, ROUNDS, TRIPS = 100, 50, 3, 1000
ASK_AGAIN, CLIMB = "B7", "B44"  # cells of a tab


def addresses(server: Server, *, people: int) -> list[str]:
    """As many distinct addresses as there are cells."""
    start = f"{server.url}/v1/sheet/value?field=kit.mass_g&saw_per_day=3&people={people}&saw_mm="
    return [f"{start}{size}" for size in range(31, 31 + CELLS)]


def get_s(client: httpx.Client, address: str) -> float:
    """Seconds of one plain GET."""
    start = perf_counter()
    client.get(address).raise_for_status()
    return perf_counter() - start


def calc_s(formulas: list[str]) -> float:
    """Seconds of a whole run of the program that fills formulas in and reads them."""
    start = perf_counter()
    filled = ["fill", "Sheet1", 0, 0, formulas]
    calc(None, "", [filled, ["read", "Sheet1", f"A1:A{CELLS}"]])
    return perf_counter() - start


def cells_against_gets(server: Server, client: httpx.Client) -> None:
    """Print what a cell takes, of trips solved for the first time and of trips that the service has in memory."""
    plain = calc_s([f"={number}" for number in range(CELLS)])
    for people, state in ((1, "solved anew"), (2, "in memory")):
        asked = addresses(server, people=people)
        if state == "in memory":
            for address in asked:
                client.get(address)
            single = median(get_s(client, address) for address in asked)
        else:
            single = median(get_s(client, address) for address in addresses(server, people=3))
        cell = (calc_s([f'=WEBSERVICE("{address}")' for address in asked]) - plain) / CELLS
        print(f"{state}: {1000 * single:.1f} ms a GET, {1000 * cell:.1f} ms a cell, ratio {cell / single:.1f}")


def tabs_against_gets(server: Server, client: httpx.Client) -> None:
    """Print how long tabs of the workbook take to be reckoned anew, beside as many GETs of the same address.

    Rounds of both come in turn, so that a busy machine slows both; their GETs are of trips that no tab has asked.
    """
    book = client.get(f"{server.url}/v1/sheet/workbook.ods").content
    made = [["tabs", "Trip", TABS], ["get", "50", "T5"]]
    address: str = calc(book, "ods", [*made, ["timed", ASK_AGAIN, [1] * TABS]])[1]
    for cell, state in ((CLIMB, "solved anew"), (ASK_AGAIN, "in memory")):
        turns = [[1 + turn * TABS + place for place in range(TABS)] for turn in range(1 + ROUNDS)]
        found = calc(book, "ods", [*made, *(["timed", cell, values] for values in turns)])[3:]
        name = "climb_m_per_day" if cell == CLIMB else "_"
        singles = []
        for values in turns[1:]:
            asked = [f"{address}&{name}={value + 0.5}" for value in values]
            singles.append(sum(get_s(client, one) for one in asked))
        ratio = median(found) / median(singles)
        told = f"{TABS} tabs {state}: {median(found):.2f} s, as many GETs {median(singles):.2f} s"
        print(f"{told}, ratio {ratio:.1f}")


def processor_s(pid: int) -> float:
    """Seconds of the processor that a process has taken, as proc(5) tells them."""
    fields = Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def table_against_client(server: Server, client: httpx.Client, folder: Path) -> None:
    """Print what a file of trips takes of the processor beside one client that asks trip by trip, with the service.

    The command runs in one process here: on free cores it is as many times as quick as there are cores.
    """
    rows = [f"{31 + place % 97},{1 + place // 97},{place % 5 + 2}" for place in range(TRIPS)]
    columns = "saw_mm,nights,people"
    table = "\n".join([columns, *rows, ""])
    path = folder / "trips.csv"
    path.write_text(table, "utf-8")
    before = children_s()
    subprocess.run([*COMMAND, "trips", str(path), "--workers", "1"], check=True, stdout=subprocess.DEVNULL)
    by_command, before = children_s() - before, processor_s(server.pid)
    kind = {"Content-Type": "text/csv"}
    client.post(f"{server.url}/v1/sheet/trips.csv", content=table, headers=kind, timeout=LONG_S).raise_for_status()
    by_file = processor_s(server.pid) - before
    before = processor_s(server.pid) + process_time()
    wanted = "status,kit(mass_g,work_min_per_day,tools,methods),gaps"
    for row in rows:
        said = "&".join(f"{name}={cell}" for name, cell in zip(columns.split(","), row.split(","), strict=True))
        # Another temperature, so that the service has none of them in memory.
        get_s(client, f"{server.url}/v1/sheet/values?fields={wanted}&{said}&air_c=20.5")
    single = processor_s(server.pid) + process_time() - before
    told = f"{single / by_command:.2f} times the command's on one core, {single / by_file:.2f} times the file's"
    print(f"{TRIPS} trips one by one: {1000 * single / TRIPS:.1f} ms of the processor a trip, {told}")


def children_s() -> float:
    """Seconds of the processor that ended programs have taken, which this one began."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def main() -> None:
    """Print the figures."""
    wanted = sys.argv[1:] or ["cells", "tabs", "table"]
    with tempfile.TemporaryDirectory() as name, served(Path(name)) as server, httpx.Client(timeout=60) as client:
        if "cells" in wanted:
            cells_against_gets(server, client)
        if "tabs" in wanted:
            tabs_against_gets(server, client)
        if "table" in wanted:
            table_against_client(server, client, Path(name))


if __name__ == "__main__":
    sys.exit(main())
