"""Who carries what, on the planner in real Chromium: members are typed in one line, shares are told by name."""

from collections.abc import Iterator

import httpx
import pytest
from browser import profile
from member_lines import READ, REFUSED
from playwright.sync_api import Browser, Page, expect
from server import Server
from waiting import LONG_S


@pytest.fixture
def page(browser: Browser, server: Server) -> Iterator[Page]:
    """The planner in a fresh profile."""
    context = profile(browser, locale="en-GB")
    opened = context.new_page()
    opened.goto(f"{server.url}/")
    expect(opened.get_by_role("button", name="Wet autumn")).to_be_visible()
    expect(opened.locator("#species option").nth(20)).to_be_attached()
    yield opened
    context.close()


def test_shares_are_told_by_name(page: Page, server: Server) -> None:
    """As the service says them; without members nameless, and none for one person alone."""
    shares = page.get_by_role("region", name="Who carries what")
    page.get_by_role("button", name="stream survey").click()
    expect(shares.locator("li")).to_have_count(3)
    expect(shares.locator("li").first).to_contain_text("Person 1: ")
    page.get_by_label("Who carries at most, g").fill("Ann 900.25; Ben Oak 500;Cy 300")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(shares.locator("li").nth(1)).to_contain_text("Ben Oak: ")
    trip = page.evaluate("JSON.parse(JSON.stringify(document.querySelector('kitwright-kit').trip))")
    assert trip["members"] == [
        {"name": "Ann", "carries_at_most_g": 900.25},
        {"name": "Ben Oak", "carries_at_most_g": 500},
        {"name": "Cy", "carries_at_most_g": 300},
    ]
    told = httpx.post(f"{server.url}/v1/kits", json=trip, timeout=LONG_S).json()["share"]
    for place, one in enumerate(told):
        expect(shares.locator("li").nth(place)).to_contain_text(f"{one['name']}: {one['mass_g']:,.0f} g")
        expect(shares.locator("li").nth(place)).to_contain_text(f"could carry {one['spare_g']:,.0f} g more")
    page.get_by_label("People").fill("1")
    page.get_by_label("Who carries at most").fill("")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(shares).to_be_hidden()


def test_wrong_members_are_told_beside_their_field(page: Page) -> None:
    """Too few of them, or one without what they carry; in ounces where that is the unit."""
    page.get_by_role("button", name="stream survey").click()
    field = page.get_by_label("Who carries at most")
    field.fill("Ann 900; Ben 500")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.locator(".field", has=field).locator(".fault")).to_contain_text("members has 2 entries")
    for line, told in (
        ("Ann:900|Ben:500|Cy", "Cy does not end with grams; write Ann 4000; Ben 2500"),
        ("Ann:900|Ben:500|Cy:60000", "Cy: 60000 must be at most 50000"),
    ):
        field.fill(line)
        page.get_by_role("button", name="Find the lightest kit").click()
        expect(page.locator(".field", has=field).locator(".fault")).to_have_text(told)
    field.fill("Ann 900; Ben 500; Cy 283.5")
    page.get_by_label("oz, in").check()
    expect(field).to_have_value("Ann 31.75; Ben 17.64; Cy 10")


def test_the_page_reads_members_as_cells_do(page: Page) -> None:
    """With colons and bars, or spaces and semicolons; what it can't read it names."""
    script = page.evaluate("document.querySelector('[rel=modulepreload]').href").replace("kitwright.js", "party.js")
    read = """async ([script, line]) => {
        const { partyIn } = await import(script);
        const figure = (text) => (/^\\d+(\\.\\d+)?$/.test(text.trim()) ? Number(text) : text);
        try {
            return partyIn(line, { figure, unit: "grams", form: "Ann 4000; Ben 2500" });
        } catch (error) {
            return error.message;
        }
    }"""
    for line, told in READ.items():
        expected = [{"name": name, "carries_at_most_g": most} for name, most in told]
        assert page.evaluate(read, [script, line]) == expected, line
    for line, (part, why) in REFUSED.items():
        assert page.evaluate(read, [script, line]).startswith(f"{part} {why}"), line
