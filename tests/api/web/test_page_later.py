"""The planner in real Chromium before what is beyond the sentence and the kit has come, and where it does not come."""

from browser import profile
from page_trips import fragment, linked
from playwright.sync_api import Browser, Route, expect
from server import Server

from api.examples.invented import example_trips

PHONE = {"width": 390, "height": 844}
LATER = "**/beyond.js*"


def test_the_sentence_plans_and_nothing_is_lost_before_the_rest_has_come(browser: Browser, server: Server) -> None:
    """What the folds would hold stays in the trip, what is typed meanwhile too; undo and redo go on from there."""
    held: list[Route] = []
    page = profile(browser, locale="en-GB", viewport=PHONE).new_page()
    page.route(LATER, lambda route: held.append(route))
    page.goto(f"{server.url}/{fragment(example_trips()['wet-autumn'])}")
    expect(page.locator("#pack")).to_be_visible()
    first = linked(page)
    page.locator("#nights").fill("4")
    expect(page.locator("#undo")).to_be_enabled()
    assert linked(page) == {name: value for name, value in first.items() if name != "name"} | {"nights": 4}
    before = page.url
    page.locator("#people").fill("2")
    assert held
    held[0].continue_()
    expect(page.locator("#beyond summary").first).to_be_visible()
    expect(page.locator("#people")).to_have_value("2")
    expect(page.locator("#people")).to_be_focused()
    expect(page).not_to_have_url(before)
    page.locator("#undo").click()
    page.locator("#undo").click()
    expect(page.locator("#nights")).to_have_value(str(first["nights"]))
    page.locator("#redo").click()
    expect(page.locator("#nights")).to_have_value("4")
    expect(page.locator("#redo")).to_be_enabled()
    page.context.close()


def test_what_did_not_come_is_asked_for_again_with_the_next_plan(browser: Browser, server: Server) -> None:
    """The kit stands there all the same, and the page says what is missing."""
    page = profile(browser, locale="en-GB", viewport=PHONE, service_workers="block").new_page()
    page.route(LATER, lambda route: route.abort())
    page.goto(server.url)
    expect(page.locator("#pack")).to_be_visible()
    expect(page.locator("#unsettled")).to_contain_text("The rest of this page did not come.")
    page.unroute(LATER)
    page.locator("#nights").fill("4")
    expect(page.locator("#beyond summary").first).to_be_visible()
    page.get_by_text("More about the trip").click()
    page.get_by_text("Other trips").click()
    expect(page.locator("#examples button")).not_to_have_count(0)
    expect(page.locator("#unsettled")).to_be_hidden()
    page.context.close()
