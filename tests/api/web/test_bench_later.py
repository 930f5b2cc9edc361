"""The bench in real Chromium before what the service says has come, and where it does not come."""

import json
import re

from browser import profile
from playwright.sync_api import Browser, Page, Route, expect
from server import Server
from waiting import until

PHONE = {"width": 360, "height": 740}  # common practice, no source: a small phone held upright
LATER = "**/beyond.js*"


def spine_mm(page: Page) -> float:
    """What the device keeps of the first drawing."""
    tools = json.loads(page.evaluate("localStorage.getItem('kitwright-bench')"))["tools"]
    return float(tools[0]["drawing"]["blade"]["spine_mm"])


def test_what_is_drawn_before_the_answers_come_is_kept_and_answered(browser: Browser, server: Server) -> None:
    """The picture follows, a step back is there, the field that is typed in keeps the focus, and nothing is lost."""
    held: list[Route] = []
    page = profile(browser, locale="en-GB", viewport=PHONE).new_page()
    page.route(LATER, lambda route: held.append(route))
    page.goto(f"{server.url}/bench")
    until(lambda: held, "the request for the second bundle", pause=lambda: page.wait_for_timeout(20))
    expect(page.locator("#picture svg")).to_have_count(2)
    spine = page.get_by_label("Spine at the handle", exact=True)
    first = spine_mm(page)
    outline = page.locator("#picture svg").last.inner_html()
    spine.fill("3.5")
    assert page.locator("#picture svg").last.inner_html() != outline
    expect(page.get_by_role("button", name="Undo")).to_be_enabled()
    page.get_by_role("button", name="Undo").click()
    expect(spine).to_have_value(f"{first:g}")
    page.get_by_role("button", name="+ axe").click()
    page.locator("#tabs button").first.click()
    page.get_by_text("Handle", exact=True).click()
    page.get_by_label("Corner radius", exact=True).fill("5")
    spine.fill("4")
    expect(page.locator("#tool dl")).to_have_count(0)
    held[0].continue_()
    expect(page.locator("#kits .two")).to_be_visible()
    expect(spine).to_have_value("4")
    expect(spine).to_be_focused()
    expect(page.get_by_label("Corner radius", exact=True)).to_have_value("5")
    assert spine_mm(page) == 4
    expect(page.locator("#tabs button")).to_have_text(
        [re.compile(rf"^{name}, \d+ g$") for name in ("Knife", "Folding saw", "Axe")]
    )
    expect(page.get_by_label("Figure", exact=True)).to_be_visible()
    page.context.close()


def test_answers_that_did_not_come_are_asked_for_again_with_the_next_change(browser: Browser, server: Server) -> None:
    """The page says what is missing, on a phone too, and draws all the same."""
    page = profile(browser, locale="en-GB", viewport=PHONE).new_page()
    page.route(LATER, lambda route: route.abort())
    page.goto(f"{server.url}/bench")
    missing = "The answers of this page did not come."
    expect(page.locator("#told")).to_contain_text(missing)
    expect(page.locator("#bar")).to_contain_text(missing)
    expect(page.locator("#bar")).to_be_in_viewport()
    expect(page.locator("#verdict")).to_have_text("Not asked yet.")
    expect(page.locator("#picture svg")).to_have_count(2)
    page.unroute(LATER)
    page.get_by_label("Spine at the handle", exact=True).fill("4")
    expect(page.locator("#kits .two")).to_be_visible()
    expect(page.locator("#told")).to_be_hidden()
    expect(page.locator("#verdict .big")).to_be_visible()
    page.context.close()
