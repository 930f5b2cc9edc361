"""Who carries what, on the planner in real Chromium: members are typed in one line, shares are told by name."""

import httpx
from browser import profile
from member_lines import READ, REFUSED
from page_trips import fragment
from playwright.sync_api import Browser, expect
from server import Server
from waiting import LONG_S

from api.examples.invented import example_trips
from api.web.web_file import packaged

SURVEY = example_trips()["stream-survey"]


def test_shares_are_told_by_name_and_wrong_members_beside_their_field(browser: Browser, server: Server) -> None:
    """As the service says them, nameless without members; too few of them, or one without what they carry, is told."""
    context = profile(browser, locale="en-GB")
    page = context.new_page()
    page.goto(f"{server.url}/{fragment(SURVEY)}")
    shares = page.locator("#shares")
    page.locator("#who-how summary").click()
    expect(shares.locator("li")).to_have_count(3)
    expect(shares.locator("li").first).to_contain_text("Person 1: ")
    page.get_by_text("Who goes").click()
    field = page.get_by_label("Who carries at most")
    field.fill("Ann 900.25; Ben Oak 500;Cy 300")
    expect(shares.locator("li").nth(1)).to_contain_text("Ben Oak: ")
    members = [("Ann", 900.25), ("Ben Oak", 500), ("Cy", 300)]
    trip = SURVEY | {"members": [{"name": name, "carries_at_most_g": most} for name, most in members]}
    told = httpx.post(f"{server.url}/v1/kits", json=trip, timeout=LONG_S).json()["share"]
    for place, one in enumerate(told):
        expect(shares.locator("li").nth(place)).to_contain_text(f"{one['name']}: {one['mass_g']:,.0f} g")
        expect(shares.locator("li").nth(place)).to_contain_text(f"could carry {one['spare_g']:,.0f} g more")
    fault = page.locator(".field", has=field).locator(".fault")
    field.fill("Ann 900; Ben 500")
    expect(fault).to_contain_text("members has 2 entries")
    for line, why in (
        ("Ann:900|Ben:500|Cy", "Cy does not end with grams; write Ann 4000; Ben 2500"),
        ("Ann:900|Ben:500|Cy:60000", "Cy: 60000 must be at most 50000"),
    ):
        field.fill(line)
        field.press("Tab")
        expect(fault).to_have_text(why)
    field.fill("Ann 900; Ben 500; Cy 283.5")
    page.get_by_label("oz, in").check()
    expect(field).to_have_value("Ann 31.75; Ben 17.64; Cy 10")
    context.close()


def test_the_page_reads_members_as_cells_do(browser: Browser) -> None:
    """With colons and bars, or spaces and semicolons; commas too; what it can't read it names."""
    page = browser.new_page()
    read = """async ([source, lines]) => {
        const { partyIn } = await import(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
        const figure = (text) => (/^\\d+(\\.\\d+)?$/.test(text.trim()) ? Number(text) : text);
        return lines.map((line) => {
            try {
                return partyIn(line, { figure, unit: "grams", form: "Ann 4000; Ben 2500" });
            } catch (error) {
                return error.message;
            }
        });
    }"""
    source = packaged("page/trip/party.js").body.decode()
    said = dict(zip([*READ, *REFUSED], page.evaluate(read, [source, [*READ, *REFUSED]]), strict=True))
    for line, told in READ.items():
        assert said[line] == [{"name": name, "carries_at_most_g": most} for name, most in told], line
    for line, (part, why) in REFUSED.items():
        assert said[line].startswith(f"{part} {why}"), line
    page.close()
