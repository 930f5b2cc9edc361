"""The plain form at /plain: it plans without a script, as a program is told, and tells faults beside their inputs."""

import re

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import profile
from playwright.sync_api import Browser, expect
from server import Server
from service import ask
from waiting import LONG_S

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
TRIP = {
    "people": 2,
    "nights": 3,
    "fire": {"hot_water_l_per_person": 2.5, "warmth_h": 3},
    "wood": {"state": "dead-wet", "diameters_mm": [40, 75, 100]},
    "limits": {"work_min_per_day": 45},
    "detail": "kit",
}


@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("fire_allowed=no&warmth_h=2", "for the rest of the work"),
        ("split_mm=140&mass_g=1", "Not covered"),
        ("split_mm=140&mass_g=1", "No kit keeps the grams that you allow: the least that works needs "),
        ("saw_mm=100&saw_per_day=30&work_min_per_day=1&nights=1", '<p class="total">No kit is quick enough</p>'),
        ("split_mm=900", "Split 900: the closest that may go, Splitting maul, 2,700 g head, falls short by 400 mm"),
        ("warmth_h=2&diameters_mm=900", "Firewood of 900 mm: the closest that may go, "),
        ("peoples=2", "there is no parameter peoples"),
        ("name=%3Cscript%3E&split_mm=%3Cscript%3E", "&lt;script&gt;"),
        ("split_mm=140&nights=1000", "at most 365"),
        ("", "What stays empty has its usual value."),
    ],
)
def test_what_is_missing_or_wrong_is_said_in_words(query: str, said: str) -> None:
    """As HTML, in which nothing that was typed runs."""
    answer = ask("GET", f"/plain?{query}")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "text/html; charset=utf-8")
    assert said in answer.text
    assert not re.search("<script", answer.text)


def test_the_form_is_in_us_units_by_a_link_that_carries_the_trip(browser: Browser, server: Server) -> None:
    """Inches and degrees Fahrenheit in, ounces out, as the metric twin; and back to the figures that were typed."""
    page = profile(browser, java_script_enabled=False, viewport={"width": 360, "height": 740}).new_page()
    page.goto(f"{server.url}/plain?saw_mm=100&air_c=-5&mass_g=500&split_mm=lots")
    page.get_by_role("link", name="Use ounces, inches").click()
    expect(page.get_by_label("Other cuts to saw: thickness [inches]")).to_have_value("3.937")
    expect(page.get_by_label("Air [°F]")).to_have_value("23")
    expect(page.get_by_label("Tools at most [ounces]")).to_have_value("17.637")
    expect(page.get_by_label("Other rounds to split")).to_have_value("lots")
    page.get_by_label("Other rounds to split").fill("400")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.locator("#split_mm-fault")).to_contain_text("400 in (10160 mm) is outside")
    page.get_by_label("Other rounds to split").fill("")
    page.get_by_role("button", name="Find the lightest kit").click()
    trip = {"tasks": [{"task": "saw", "diameter_mm": 100}], "air_c": -5, "limits": {"mass_g": 500}, "detail": "kit"}
    kit = httpx.post(f"{server.url}/v1/kits", json=trip, timeout=LONG_S).json()["kit"]
    expect(page.locator(".total")).to_have_text(f"{kit['mass_oz']:g} oz ({kit['mass_g']:g} g)")
    page.get_by_role("link", name="Use grams").click()
    expect(page.get_by_label("Other cuts to saw: thickness [mm]")).to_have_value("100")
    expect(page.locator(".total")).to_have_text(f"{kit['mass_g']:g} g ({kit['mass_oz']:g} oz)")
    page.context.close()


def test_a_trip_is_planned_without_a_script(browser: Browser, server: Server) -> None:
    """From the link that the planner shows without JavaScript to the kit that POST /v1/kits gives."""
    page = profile(browser, java_script_enabled=False, viewport={"width": 360, "height": 740}).new_page()
    page.goto(server.url)
    page.get_by_role("link", name="a plain form").click()
    page.get_by_label("People").fill("2")
    page.get_by_label("Nights").fill("3")
    page.get_by_label("Boiled water").fill("2,5")
    page.get_by_label("Fire for warmth").fill("3")
    page.get_by_label("State of the wood").select_option(label="dead, wet outside")
    page.get_by_label("Thickness of firewood").fill("40, 75 100")
    page.get_by_label("Wood work at most").fill("lots")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.locator("#work_min_per_day-fault")).to_contain_text("lots")
    expect(page.get_by_label("Thickness of firewood")).to_have_value("40 75 100")
    page.get_by_label("Wood work at most").fill("45")
    page.get_by_role("button", name="Find the lightest kit").click()
    kit = httpx.post(f"{server.url}/v1/kits", json=TRIP, timeout=LONG_S).json()["kit"]
    expect(page.locator(".total")).to_have_text(f"{kit['mass_g']:g} g ({kit['mass_oz']:g} oz)")
    for tool in kit["tools"]:
        expect(page.get_by_role("cell", name=tool["name"])).to_be_visible()
    address = page.url
    page.context.close()
    seen = profile(browser).new_page()
    seen.goto(address)
    found = Axe().run(seen, options={"runOnly": {"type": "tag", "values": RULES}}).response["violations"]
    assert [one["id"] for one in found] == []
    seen.context.close()
