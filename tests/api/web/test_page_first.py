"""What a new reader meets on the planner in real Chromium: a trip in whole figures of the reader's own units."""

import pytest
from browser import profile, watched_pages
from page_trips import linked
from playwright.sync_api import Browser, expect
from server import Server

# A frame so late that the timer that does not wait for it runs between the frame and what follows it.
LATE_FRAME = """
const timer = window.setTimeout.bind(window);
window.setTimeout = (run, wait = 20, ...rest) => timer(run, wait, ...rest);
const frame = window.requestAnimationFrame.bind(window);
window.requestAnimationFrame = (run) => frame((now) => {
  for (const until = performance.now() + 400; performance.now() < until; );
  run(now);
});
"""


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


def test_a_late_first_frame_starts_the_planner_once(browser: Browser, server: Server) -> None:
    """Each list stands there once, and no error is told."""
    context = profile(browser, locale="en-GB")
    context.add_init_script(LATE_FRAME)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(server.url)
    expect(page.locator("#mass")).to_be_visible()
    expect(page.locator("#species option").nth(20)).to_be_attached()
    page.get_by_text("My tools").click()
    expect(page.locator("[data-path=extra_tools]")).to_have_count(1)
    assert not errors, errors
    context.close()
