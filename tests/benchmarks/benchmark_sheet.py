"""What a cell costs: time per WEBSERVICE cell in the spreadsheet program beside one plain GET of the same kind.

Run by hand: `python tests benchmark_sheet`. Prints figures, holds none: no test has a time limit.
"""

import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

import httpx
from calc import calc
from server import Server, served

CELLS = 100


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


def main() -> None:
    """Print the figures, of trips solved for the first time and of trips that the service has in memory."""
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as server, httpx.Client(timeout=60) as client:
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


if __name__ == "__main__":
    sys.exit(main())
