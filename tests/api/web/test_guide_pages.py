"""The guide at /guide: every link is right on the site and in the Markdown, and nothing runs over a narrow screen."""

import re
from html import unescape

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import profile
from playwright.sync_api import Browser, expect
from server import Server
from service import ask, problem_of
from tree import ROOT
from waiting import until

from api.web.guide_pages import guide_texts
from catalog import assumptions, camp_items, methods, sources, tools, woods

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
# What scrolls sideways without a shadow at its edges, or cannot be reached by keyboard.
UNHINTED = """() => {
  const past = (one) => one.clientWidth && one.scrollWidth > one.clientWidth;
  const scrolls = (one) => past(one) && getComputedStyle(one).overflowX === "auto";
  const wide = [...document.querySelectorAll("main *")].filter(scrolls);
  const hinted = (one) => one.tabIndex === 0 && getComputedStyle(one).backgroundAttachment.includes("local, scroll");
  return wide.filter((one) => !hinted(one)).map((one) => one.outerHTML.slice(0, 90));
}"""
NARROW_PX = 360  # common practice, no source: a small phone held upright


def address(name: str) -> str:
    """Where the service shows a page."""
    return "/guide" if name == "index" else f"/guide/{name}"


def test_the_first_page_names_every_other_and_the_planner_the_guide() -> None:
    named = set(re.findall(r"\]\((\w+)\.md\)", guide_texts()["index"]))
    assert named == set(guide_texts()) - {"index"}
    assert 'href="/guide"' in ask("GET", "/").text


@pytest.mark.parametrize("name", guide_texts())
def test_links_lead_to_pages_on_the_site_and_in_the_markdown(name: str) -> None:
    """A reader of the Markdown follows the name of a file beside it, a reader of the site an address."""
    for target in re.findall(r"\]\(([^)]+)\)", guide_texts()[name]):
        assert target.removesuffix(".md") in guide_texts(), target
        assert target.endswith(".md"), target
    shown = ask("GET", address(name)).text
    links = re.findall(r'<a href="([^"]+)"', shown)
    assert {"/", "/guide"} <= set(links)
    assert all(ask("GET", link).status_code == 200 for link in links)
    assert "<!-- " not in shown


def test_a_page_that_the_guide_lacks_is_a_404_that_names_those_it_has() -> None:
    assert "trips" in problem_of(ask("GET", "/guide/trip"), 404)["detail"]


def rows_of(page: str) -> list[list[str]]:
    """The cells of a table's rows, as a reader sees them."""
    body = re.search(r"<tbody>(.*?)</tbody>", page, re.DOTALL)
    assert body
    rows = re.findall(r"<tr>(.*?)</tr>", body[1])
    return [[unescape(cell) for cell in re.findall(r"<td>(.*?)</td>", row)] for row in rows]


def test_tables_are_whole_and_are_searched_without_a_script() -> None:
    """Every row that the catalog's own lists have; words in any case, all of them in one row; nothing runs as HTML."""
    listed = {
        "tools": [one.id for one in tools()],
        "woods": list(woods()),
        "methods": [one.id for one in methods()],
        "camp-work": list(camp_items()),
        "assumptions": sorted(assumptions()),
        "sources": list(sources()),
    }
    links = re.findall(r'href="/guide/tables/([^"]+)"', ask("GET", "/guide/tables").text)
    assert links == list(listed)
    for name, ids in listed.items():
        assert [row[0] for row in rows_of(ask("GET", f"/guide/tables/{name}").text)] == ids
    found = rows_of(ask("GET", "/guide/tables/tools?q=FOLDING+saw").text)
    wanted = [one.id for one in tools() if one.kind == "folding saw"]
    assert set(wanted) <= {row[0] for row in found}
    assert all("folding" in " ".join(row).lower() and "saw" in " ".join(row).lower() for row in found)
    hostile = ask("GET", "/guide/tables/woods", params={"q": '"><script>x</script>'}).text
    assert "<script>" not in hostile
    assert rows_of(hostile) == []
    problem_of(ask("GET", "/guide/tables/nope"), 404)
    problem_of(ask("GET", "/guide/tables/tools?q=" + "x" * 121), 422)


def test_the_contract_is_shown_by_a_viewer_of_the_package(browser: Browser, server: Server) -> None:
    """Nothing is asked of another host, and an operation can be read; the guide is one step away."""
    page, asked = profile(browser).new_page(), []
    page.on("request", lambda request: asked.append(request.url))
    contract = (ROOT / "openapi" / "openapi.json").read_text("utf-8")  # as the service gives it: test_contract
    page.route("**/openapi.json", lambda route: route.fulfill(body=contract, content_type="application/json"))
    page.goto(f"{server.url}/docs")
    expect(page.get_by_text("Plan the lightest kit for a trip").first).to_be_visible()
    assert all(url.startswith((server.url, "data:", "blob:")) for url in asked), asked
    page.get_by_role("link", name="Guide: start here").click()
    expect(page.get_by_role("heading", name="Guide")).to_be_visible()
    page.context.close()


def test_the_contract_lists_its_operations_on_a_narrow_screen_and_is_dark_where_asked(
    browser: Browser, server: Server
) -> None:
    """The viewer hides its list there. Its colours are those of the guide."""
    page = profile(browser, viewport={"width": NARROW_PX, "height": 800}, color_scheme="dark").new_page()
    page.goto(f"{server.url}/docs")
    expect(page.get_by_text("/v1/kits/front").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") == NARROW_PX
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(27, 33, 36)"
    expect(page.locator("rapi-doc")).to_have_attribute("bg-color", "#1b2124")
    page.context.close()


def test_every_page_fits_a_narrow_screen_and_breaks_no_policy(browser: Browser, server: Server) -> None:
    """Tables and code scroll by themselves; the page does not."""
    page, told = profile(browser, viewport={"width": NARROW_PX, "height": 800}).new_page(), []
    page.on("console", lambda line: told.append(line.text))
    tables = [f"tables/{name}" for name in ("tools", "assumptions", "sources")]
    for name in (*guide_texts(), *tables):
        page.goto(f"{server.url}{address(name)}")
        assert page.evaluate("document.documentElement.scrollWidth") == NARROW_PX, name
        assert page.evaluate(UNHINTED) == [], name
    page.context.close()
    assert told == []


def test_a_wide_table_is_scrolled_by_keyboard_and_axe_finds_nothing(browser: Browser, server: Server) -> None:
    """WCAG 2.2, 2.1.1: the box of the table takes the focus, says what it holds, and the arrow keys move it."""
    page = profile(browser, viewport={"width": NARROW_PX, "height": 800}, reduced_motion="reduce").new_page()
    for name, held in (("trips", "Trips"), ("tables/assumptions", "Assumptions")):
        page.goto(f"{server.url}{address(name)}")
        found = Axe().run(page, options={"runOnly": RULES}).response["violations"]
        assert [one["id"] for one in found] == []
        box = page.locator(".scroll").first
        expect(box).to_have_attribute("aria-label", held)
        box.focus()
        page.keyboard.press("ArrowRight")
        until(lambda: page.evaluate("document.querySelector('.scroll').scrollLeft > 0"), "a table that moves")
    page.context.close()
