"""What a new reader meets on the planner in real Chromium: a trip in whole figures of the reader's own units."""

import pytest
from browser import watched_pages
from page_trips import linked
from playwright.sync_api import Browser, expect
from server import Server


@pytest.mark.parametrize(
    ("locale", "figures", "millimetres"),
    [("en-US", ("45", "1", "4"), 101.6), ("en-GB", ("8", "1", "100"), 100)],
)
def test_the_first_trip_is_in_whole_figures(
    browser: Browser, server: Server, locale: str, figures: tuple[str, ...], millimetres: float
) -> None:
    """Degrees, a quart or a litre, and inches or millimetres; the trip that is planned says the same."""
    with watched_pages(browser) as opening:
        page = opening(server.url, locale=locale)
        expect(page.locator("#mass")).to_be_visible()
        for name, figure in zip(("air", "water", "thick"), figures, strict=True):
            expect(page.locator(f"#{name}")).to_have_value(figure)
        assert linked(page)["wood"]["diameters_mm"] == [millimetres]
