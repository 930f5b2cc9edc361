"""What the pages cost a browser: requests and bytes to the first answer, and times as multiples of an empty page's.

Run by hand: `python tests benchmark_page`. Each round opens an empty page, the planner and the bench in fresh profiles,
in turn, so that a busy machine slows all of them. Prints medians, holds none: no test has a time limit.
"""

import tempfile
from pathlib import Path
from statistics import median

from browser import chromium, host, profile
from playwright.sync_api import Browser
from server import served

ROUNDS = 11
# First paint, and the end of its scripts: then what is typed is heard.
TIMES = """() => {
  const [paint] = performance.getEntriesByName("first-contentful-paint");
  const [navigation] = performance.getEntriesByType("navigation");
  return { paint: paint?.startTime ?? 0, interactive: navigation.domContentLoadedEventEnd };
}"""
SENT = """() => {
  const all = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
  const answer = all.find(({ name }) => name.includes("/v1/"));
  const first = all.filter(({ startTime }) => startTime <= (answer?.startTime ?? Infinity));
  return { requests: first.length, bytes: first.reduce((sum, one) => sum + one.transferSize, 0) };
}"""


def opened(browser: Browser, address: str, answered: str) -> dict[str, float]:
    """The times [ms] of an address in a fresh profile, once a part of the page is there, and what was sent [bytes]."""
    context = profile(browser, locale="en-GB", service_workers="block")
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector(answered)
    found: dict[str, float] = page.evaluate(TIMES) | page.evaluate(SENT)
    context.close()
    return found


def main() -> None:
    """Print requests, bytes, and the median of each time over that of the empty page."""
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder)) as server,
        host() as other,
        chromium() as browser,
    ):
        empty = other.put("/empty", "<body><p>Nothing but a line of text.</p></body>")
        pages = {
            "empty page": (empty, "p"),
            "planner": (server.url, "#mass"),
            "bench": (f"{server.url}/bench", "#verdict .big"),
        }
        rounds = [{name: opened(browser, *page) for name, page in pages.items()} for _ in range(ROUNDS)][1:]
        middle = {name: {key: median(one[name][key] for one in rounds) for key in rounds[0][name]} for name in pages}
        print(f"{'page':<12}{'requests':>9}{'kB':>7}{'first paint':>13}{'interactive':>13}")
        for name, one in middle.items():
            paint, ready = (one[key] / middle["empty page"][key] for key in ("paint", "interactive"))
            print(f"{name:<12}{one['requests']:>9.0f}{one['bytes'] / 1000:>7.0f}{paint:>12.2f}x{ready:>12.2f}x")


if __name__ == "__main__":
    main()
