"""The planner in real Chromium: how sure a kit is, where the reader asks for it; the trips are invented."""

import base64
import json
from typing import Any

from browser import profile
from playwright.sync_api import Browser, expect
from server import Server

from api.examples.invented import example_trips


def link(server: Server, trip: dict[str, Any]) -> str:
    """The address that opens the page with a trip."""
    return f"{server.url}/#trip={base64.urlsafe_b64encode(json.dumps(trip).encode()).decode().rstrip('=')}"


def test_how_sure_the_kit_is_comes_on_request(browser: Browser, server: Server) -> None:
    """Both kits, the unknowns and the curve; not offered where something else than mass is the aim."""
    page = profile(browser, locale="en-GB").new_page()
    least = example_trips()["least"]
    page.goto(link(server, least))
    part = page.locator("#sure")
    part.get_by_role("button", name="Find out").click()
    expect(part).to_contain_text("Sure enough: 300")
    expect(part).to_contain_text("It suffices about 49 times in 100")
    for title in ("Biggest unknowns", "Grams against how often they do"):
        expect(part.get_by_role("heading", name=title)).to_be_visible()
    page.goto(link(server, least | {"aim": "work_time"}))
    page.reload()
    expect(page.locator("#next")).to_be_visible()
    expect(part).to_be_hidden()
