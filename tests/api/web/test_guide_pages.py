"""The guide at /guide: every link is right on the site and in the Markdown, and nothing runs over a narrow screen."""

import re

import pytest
from browser import profile
from playwright.sync_api import Browser
from server import Server
from service import ask, problem_of

from api.web.guide_pages import guide_texts

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


def test_every_page_fits_a_narrow_screen_and_breaks_no_policy(browser: Browser, server: Server) -> None:
    """Tables and code scroll by themselves; the page does not."""
    page, told = profile(browser, viewport={"width": NARROW_PX, "height": 800}).new_page(), []
    page.on("console", lambda line: told.append(line.text))
    for name in guide_texts():
        page.goto(f"{server.url}{address(name)}")
        assert page.evaluate("document.documentElement.scrollWidth") == NARROW_PX, name
    page.context.close()
    assert told == []
