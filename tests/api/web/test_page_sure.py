"""The planner in real Chromium: how sure a kit is, where the reader asks for it; the trips are invented."""

from browser import profile
from page_trips import fragment
from playwright.sync_api import Browser, Route, expect
from server import Server

from api.examples.invented import example_trips


def test_how_sure_the_kit_is_comes_by_itself(browser: Browser, server: Server) -> None:
    """Both lines of grams, the unknowns and the curve; left out where something else than mass is the aim."""
    page = profile(browser, locale="en-GB").new_page()
    least = example_trips()["least"]
    page.goto(f"{server.url}/{fragment(least)}")
    expect(page.locator("#as-assumed")).to_contain_text("suffices on 49 trips in 100")
    expect(page.locator("#sure-enough")).to_contain_text("300")
    page.get_by_text("How sure is it?").click()
    part = page.locator("#sure")
    expect(part).to_contain_text("Sure enough: 300")
    for title in ("Biggest unknowns", "Grams against how often they do"):
        expect(part.get_by_role("heading", name=title)).to_be_visible()
    page.goto(f"{server.url}/{fragment(least | {'aim': 'work_time'})}")
    expect(part).to_contain_text("It is told where grams are made least")
    expect(page.locator("#sure-enough")).to_have_count(0)
    page.goto(f"{server.url}/{fragment(example_trips()['stream-survey'])}")
    longer, enough = page.locator("#sure-longer"), page.locator("#sure-enough")
    expect(longer).to_contain_text("of work a day")  # half an hour more, told before the heavy kit
    expect(enough).to_contain_text("without a longer day")
    assert page.locator("#sure-longer ~ #sure-enough").count() == 1
    longer.get_by_role("button", name="Take it").click()
    expect(page.locator("#as-assumed")).to_contain_text("suffices on")


def test_where_the_curve_ends_is_said(browser: Browser, server: Server) -> None:
    """Only where heavier kits may be surer; the mass is put into an answer that has none, as the contract tells it."""
    page = profile(browser, locale="en-GB").new_page()
    told = page.locator("#sure").get_by_text("not every kit was looked at")

    def cut(route: Route) -> None:
        response = route.fetch()
        answer = response.json()
        assert answer["curve_exact_to_g"] is None
        route.fulfill(response=response, json=answer | {"curve_exact_to_g": 950.5})

    least = example_trips()["least"]
    page.goto(f"{server.url}/{fragment(least)}")
    page.get_by_text("How sure is it?").click()
    expect(page.locator("#sure")).to_contain_text("Grams against how often they do")
    expect(told).to_have_count(0)
    page.route("**/v1/kits/sure", cut)
    page.goto(f"{server.url}/{fragment(least | {'name': 'again'})}")
    expect(told).to_have_text("Beyond 951 g not every kit was looked at: a heavier one may do more often.")
