"""What the pages cost a browser: requests and bytes to the first answer, and times as multiples of an empty page's.

Run by hand: `python tests benchmark_page [ROUNDS]`. Each round opens an empty page of the same service, the planner and
the bench in fresh profiles, in turn, so that a busy machine slows all of them. Prints medians, over the rounds, of each
time over that of the empty page in the same round; holds none: no test has a time limit.
"""

import sys
import tempfile
from pathlib import Path
from statistics import median

from browser import chromium, profile
from empty_page import PATH
from playwright.sync_api import Browser
from server import running

ROUNDS = 20
SERVICE = ("empty_page:app", "--factory", "--port", "0", "--no-access-log")
PROTOCOL = ("--http", "api.middleware.slow_client:SlowClientProtocol", "--ws", "none")
# First paint of text, and when what is typed is heard: a page with modules marks it; one without waits for nothing.
TIMES = """() => {
  const [paint] = performance.getEntriesByName("first-contentful-paint");
  const [navigation] = performance.getEntriesByType("navigation");
  const [heard] = performance.getEntriesByName("heard");
  return { paint: paint.startTime, interactive: heard?.startTime ?? navigation.domContentLoadedEventEnd };
}"""
SENT = """() => {
  const all = [...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")];
  const answer = all.find(({ name }) => name.includes("/v1/"));
  const first = all.filter(({ startTime }) => startTime <= (answer?.startTime ?? Infinity));
  return { requests: first.length, bytes: first.reduce((sum, one) => sum + one.transferSize, 0) };
}"""
PAINTED = """() => new Promise((done) => {
  const told = (list) => list.getEntriesByName("first-contentful-paint").length && done();
  new PerformanceObserver(told).observe({ type: "paint", buffered: true });
})"""


def opened(browser: Browser, address: str, answered: str) -> dict[str, float]:
    """The times [ms] of an address in a fresh profile, once a part of the page is there, and what was sent [bytes]."""
    context = profile(browser, locale="en-GB", service_workers="block")
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector(answered)
    page.evaluate(PAINTED)
    found: dict[str, float] = page.evaluate(TIMES) | page.evaluate(SENT)
    context.close()
    return found


def main() -> None:
    """Print requests, bytes, and the median of each time over that of the empty page."""
    asked = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "uvicorn", *SERVICE, *PROTOCOL]
        with running(command, Path(folder, "service.log"), cwd=folder) as server, chromium() as browser:
            empty = "empty page"
            pages = {empty: (PATH, "p"), "planner": ("/", "#pack"), "bench": ("/bench", "#verdict .big")}
            opened(browser, server.url, "#pack")  # the first of a browser is slower than all others
            rounds = []
            for place in range(asked):
                order = list(pages)[:: 1 if place % 2 else -1]
                rounds.append({name: opened(browser, server.url + pages[name][0], pages[name][1]) for name in order})
    print(f"{'page':<12}{'requests':>9}{'kB':>7}{'first paint':>13}{'interactive':>13}")
    for name in pages:
        paint, ready = (median(one[name][key] / one[empty][key] for one in rounds) for key in ("paint", "interactive"))
        requests, kilobytes = (median(one[name][key] for one in rounds) for key in ("requests", "bytes"))
        print(f"{name:<12}{requests:>9.0f}{kilobytes / 1000:>7.0f}{paint:>12.2f}x{ready:>12.2f}x")


if __name__ == "__main__":
    main()
