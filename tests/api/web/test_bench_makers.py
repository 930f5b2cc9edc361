"""Who wants it, and the best measures, on the bench in real Chromium, against what the service says to a program."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import watched_pages
from playwright.sync_api import Browser, Page, expect
from server import Server
from waiting import LONG_S

from api.examples.invented import population_examples

Row = dict[str, Any]
Open = Callable[..., Page]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE = {"width": 360, "height": 740}  # common practice, no source: a small phone held upright
PEOPLE = population_examples()["weekend-open-fire"]
STATUS = "#adoption [role=status]"


@pytest.fixture
def opened(browser: Browser, server: Server) -> Iterator[Open]:
    """Opens the bench in a fresh profile; a test fails on any console error."""
    with watched_pages(browser) as opening:

        def open_page(**options: Any) -> Page:
            page = opening(f"{server.url}/bench", **options)
            expect(page.locator("#kits .two")).to_be_visible()
            return page

        yield open_page


def drawn(page: Page) -> list[Row]:
    """The drawings that the device keeps."""
    found: Row = json.loads(page.evaluate("localStorage.getItem('kitwright-bench')"))
    return list(found["tools"])


def accessible(page: Page) -> bool:
    """Whether axe finds nothing, contrast included, and nothing runs over the screen."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}}).response
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found["violations"]] == []
    return page.evaluate("document.documentElement.scrollWidth === document.documentElement.clientWidth") is True


def test_who_wants_a_drawn_knife_is_told_with_rivals_and_maps(opened: Open, server: Server) -> None:
    """The share, a line an offer, and every cell of the maps, as a program is told; a change makes it old."""
    page = opened(viewport=PHONE)
    page.get_by_label("Do not compare with hatchet 600 g head").click()
    page.get_by_role("button", name="Who wants it?").click()
    expect(page.locator(STATUS)).to_have_text("100 trips planned.")
    row = httpx.get(f"{server.url}/v1/tools/fixed-knife-90", timeout=LONG_S).json()
    rival = {"name": "fixed knife 90 mm blade", "tool": row}
    body = {"design": drawn(page)[0], "population": PEOPLE, "count": 100, "rivals": [rival]}
    told = server.ask("/v1/designs/adoption", body)
    assert 0 < told["adoption"] < 1
    big, *_ = page.locator("#adoption-told .big").all_inner_texts()
    assert float(big.removesuffix(" %")) == pytest.approx(100 * told["adoption"], rel=0.01)
    assert page.locator("#adoption-told .legend li").count() == 2
    for table, one in zip(page.locator("#adoption-told .map").all(), told["maps"], strict=True):
        cells = table.locator("td strong").all_inner_texts()
        shares = sorted(100 * cell["adoption"] for cell in one["cells"])
        assert sorted(float(cell.removesuffix(" %")) for cell in cells) == pytest.approx(shares, rel=0.01)
    assert page.locator("#adoption-told").inner_text().count("each of 100") == 1
    assert accessible(page)
    page.emulate_media(color_scheme="dark")
    assert accessible(page)
    page.emulate_media(color_scheme="light", media="print")
    expect(page.locator("#adoption-told .map")).to_have_count(len(told["maps"]))
    assert all(table.is_visible() for table in page.locator("#adoption-told .map").all())
    assert not page.locator("#best").is_visible()  # nothing is told there
    page.emulate_media(media="screen")
    page.get_by_label("Whose trips").select_option("winter-stove")
    expect(page.locator(STATUS)).to_contain_text("Ask again.")
    assert page.locator("#adoption-told").inner_text() == ""


def test_a_long_question_about_a_pair_can_be_stopped(opened: Open, server: Server) -> None:
    """The first trips are told while more are planned, and stay; a stop frees the service."""
    page = opened()
    page.get_by_label("Of how many trips").select_option("1000")
    page.get_by_label("What you offer").select_option(index=1)
    page.get_by_role("button", name="Who wants it?").click()
    expect(page.locator("#adoption-told .big")).to_be_visible()
    page.get_by_role("button", name="Stop").click()
    expect(page.locator(STATUS)).to_contain_text("Stopped.")
    expect(page.get_by_role("button", name="Who wants it?")).to_be_visible()
    server.working(running=0)
    assert "your knife and your" in page.locator("#adoption-told").inner_text()


def test_the_best_measures_are_told_and_drawn(opened: Open) -> None:
    """What the search found takes the place of what was drawn, and a step back undoes it."""
    page = opened()
    before = drawn(page)[0]["drawing"]
    page.get_by_role("button", name="Search the best measures").click()
    expect(page.locator("#best-told .big")).to_contain_text("off the lightest kit")
    assert page.locator("#best-told circle").count() == 1 + page.locator("#best-told tbody tr").count()
    assert accessible(page)
    page.emulate_media(media="print")
    assert page.locator("#best-told svg").is_visible()
    high = "rows => rows.map((row) => row.getBoundingClientRect().height)"
    assert all(one > 0 for one in page.locator("#best-told tbody tr").evaluate_all(high))  # of a table that is folded
    assert not page.get_by_role("button", name="Draw it").is_visible()
    page.emulate_media(media="screen")
    page.get_by_role("button", name="Draw it").click()
    expect(page.locator("#best [role=status]")).to_contain_text("Search again.")
    assert drawn(page)[0]["drawing"]["blade"] != before["blade"]
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_label("Spine at the handle", exact=True)).to_have_value(f"{before['blade']['spine_mm']:g}")
