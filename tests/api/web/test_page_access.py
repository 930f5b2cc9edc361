"""The planner in real Chromium for every reader: zoomed, narrow, right to left, forced colours, keyboard, states."""

from collections.abc import Iterator
from typing import Any, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import watched_pages
from page_trips import fragment, linked
from playwright.sync_api import Browser, Page, expect
from server import Server

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
ZOOMED = {"width": 640, "height": 450}  # WCAG 2.2, 1.4.4: 1280 by 900 at 200 %, in CSS pixels
NARROW = {"width": 320, "height": 640}  # WCAG 2.2, 1.4.10 Reflow
TOO_LIGHT: dict[str, Any] = {
    "people": 2, "nights": 3, "fire": {"warmth_h": 2}, "wood": {"diameters_mm": [100]}, "limits": {"mass_g": 100},
}  # fmt: skip
# What stands out of the page to the side, but for what is hidden on purpose, or scrolls by itself.
BEYOND = """() => {
  const width = document.documentElement.clientWidth;
  const past = ({ width: wide, right, left }) => wide && (right > width + 1 || left < -1);
  const out = (one) => one.checkVisibility() && past(one.getBoundingClientRect());
  const own = (one) => one.closest(".quiet, .scroll, svg, .skip");
  const found = [...document.querySelectorAll("body *")].filter((one) => out(one) && !own(one));
  return found.map((one) => one.outerHTML.slice(0, 90));
}"""

# What is written before something else: the figure before its unit, and labels of plots within their plots.
IN_ORDER = """() => {
  const { firstChild: text } = document.querySelector("#mass");
  const left = (at) => {
    const range = document.createRange();
    range.setStart(text, at);
    range.setEnd(text, at + 1);
    return range.getBoundingClientRect().left;
  };
  const labels = [...document.querySelectorAll(".front .said")].filter((one) => one.checkVisibility());
  const outside = labels.filter((one) => {
    const [own, plot] = [one, one.closest(".plot")].map((part) => part.getBoundingClientRect());
    return own.left < plot.left - 1 || own.right > plot.right + 1;
  });
  return { figureFirst: left(0) < left(text.length - 1), labelled: labels.length > 0, outside: outside.length };
}"""


@pytest.fixture
def page(browser: Browser, server: Server) -> Iterator[Page]:
    """The planner with everything that it shows by itself; a test fails on any console error."""
    with watched_pages(browser, known=("ERR_FAILED",)) as opening:
        found = opening(server.url, viewport=NARROW, reduced_motion="reduce")
        expect(found.locator("#front tbody tr")).not_to_have_count(0)
        expect(found.locator("#species option").nth(20)).to_be_attached()
        yield found


def faults_of_axe(page: Page, *, within: str | None = None) -> list[str]:
    """What axe finds in light and in dark, contrast included."""
    found = []
    schemes: tuple[Literal["light", "dark"], ...] = ("light", "dark")
    for scheme in schemes:
        page.emulate_media(color_scheme=scheme)
        told = Axe().run(page, within, options={"runOnly": RULES}).response
        found += [f"{scheme} {one['id']}: {one['nodes'][0]['html'][:120]}" for one in told["violations"]]
    return found


def test_axe_finds_nothing_in_any_state(page: Page) -> None:
    """Busy, two kits side by side, no kit, no service, and the packing sheet on the screen."""
    page.route("**/v1/kits", lambda _: None)  # never answered, so that the sign of waiting stays
    page.get_by_label("Nights").fill("4")
    page.get_by_label("Nights").press("Tab")
    expect(page.locator("#head")).to_have_attribute("aria-busy", "true")
    page.evaluate("document.querySelector('#line').removeAttribute('data-seen')")
    assert faults_of_axe(page, within="#line") == []
    assert faults_of_axe(page, within="#head") == []
    page.unroute("**/v1/kits")
    page.get_by_label("Nights").fill("3")
    page.get_by_label("Nights").press("Tab")
    expect(page.locator("#next .kits li")).not_to_have_count(0)
    page.get_by_text("The next lightest kits").click()
    page.locator("#next").get_by_role("button", name="Set beside").first.click()
    expect(page.locator("#beside table")).to_be_visible()
    assert faults_of_axe(page, within="#beside") == []
    page.emulate_media(color_scheme="light", media="print")
    expect(page.locator("#sheet table")).to_be_visible()
    page.evaluate("document.querySelector('#sheet').removeAttribute('aria-hidden')")
    assert faults_of_axe(page, within="#sheet") == []
    page.emulate_media(media="screen")
    page.route("**/v1/kits", lambda route: route.abort())
    page.get_by_label("Nights").fill("5")
    page.get_by_label("Nights").press("Tab")
    expect(page.locator("#strays")).to_contain_text("be reached")
    assert faults_of_axe(page, within="#strays") == []
    page.unroute("**/v1/kits")
    page.evaluate(f"location.hash = '{fragment(TOO_LIGHT)}'")
    expect(page.locator("#relief .ways li")).not_to_have_count(0)
    assert faults_of_axe(page, within="#answer") == []


def test_nothing_is_cut_off_zoomed_narrow_or_right_to_left(page: Page) -> None:
    """WCAG 2.2, 1.4.4 and 1.4.10: no sideways scroll at 200 % and at 320 px, in either direction, all folds open."""
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    for size in (NARROW, ZOOMED):
        page.set_viewport_size(size)
        for direction in ("ltr", "rtl"):
            page.evaluate(f"document.documentElement.dir = '{direction}'")
            assert page.evaluate("document.documentElement.scrollWidth") <= size["width"], (size, direction)
            assert page.evaluate(BEYOND) == [], (size, direction)
            assert page.evaluate(IN_ORDER) == {"figureFirst": True, "labelled": True, "outside": 0}, (size, direction)


def test_forced_colours_keep_what_is_drawn_and_still_motion_stays_still(page: Page) -> None:
    """CSS Color Adjust: shapes of the plots and the state of a choice differ from their ground; WCAG 2.2, 2.3.3."""
    moving = """() => [...document.querySelectorAll("*")].filter((one) => {
      const { transitionDuration, animationName } = getComputedStyle(one);
      return animationName !== "none" || transitionDuration.split(", ").some((time) => time !== "0s");
    }).length"""
    assert page.evaluate(moving) == 0
    page.emulate_media(forced_colors="active")
    page.get_by_text("Lighter or quicker").click()
    expect(page.locator("#front .dot").first).to_be_attached()
    colours = page.evaluate(
        "['.front .dot', '.front .ct-line', '.log-ring'].map((name) => { const { fill, stroke } ="
        " getComputedStyle(document.querySelector(name)); return [fill, stroke]; })"
    )
    ground = page.evaluate("getComputedStyle(document.querySelector('.plot')).backgroundColor")
    for fill, stroke in colours:
        assert {fill, stroke} - {ground, "none"}, colours
    edge = page.locator("#head").evaluate("one => getComputedStyle(one).borderTopStyle")
    assert edge == "solid", "the panel is told apart by a line where colours are not its own"


def test_a_trip_is_planned_and_a_kit_is_taken_by_keyboard_alone(page: Page) -> None:
    """From the first Tab to a kit beside the answer that is taken; each step has a focus that can be seen."""
    page.keyboard.press("Tab")
    expect(page.get_by_text("Skip to the kit")).to_be_focused()
    while page.evaluate("document.activeElement.id") != "nights":
        page.keyboard.press("Tab")
    outline = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(outline) == "solid"
    page.keyboard.press("Control+a")
    page.keyboard.type("4")
    page.keyboard.press("Tab")
    expect(page.locator("#line")).not_to_have_attribute("data-old", "")
    assert linked(page)["nights"] == 4
    expect(page.locator("#front .front-inside")).to_have_js_property("hidden", False)
    for _ in range(120):
        if page.evaluate("document.activeElement.textContent") == "Lighter or quicker":
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    expect(page.get_by_label("Move through the kits, lightest first")).to_be_focused()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Tab")
    expect(page.get_by_role("button", name="Take this kit")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#taken")).to_contain_text("You carry in any case")
    assert linked(page)["must_carry"]
