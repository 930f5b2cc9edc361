"""What a new reader meets on the planner in real Chromium: a trip in whole figures of the reader's own units."""

from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files

import pytest
from browser import profile, watched_pages
from page_trips import fragment, linked
from playwright.sync_api import Browser, Page, expect
from server import Server

from api.examples.invented import example_trips

# A first frame so late that the timer that does not wait for it is due when the frame is told.
LATE_FRAME = """
const plain = window.requestAnimationFrame.bind(window);
window.requestAnimationFrame = (told) =>
  plain((...given) => {
    for (const until = performance.now() + 1200; performance.now() < until; );
    told(...given);
  });
"""
# Metric is pressed as soon as the page is parsed, before any module runs.
PRESSES = """
const press = () => document.querySelector("[name=units][value=metric]").click();
document.addEventListener("readystatechange", press, { once: true });
"""
NO_FRAME = "window.requestAnimationFrame = () => 0;"


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
        expect(page.locator("#pack")).to_be_visible()
        for name, figure in zip(("air", "water", "thick"), figures, strict=True):
            expect(page.locator(f"#{name}")).to_have_value(figure)
        assert linked(page)["wood"]["diameters_mm"] == [millimetres]


@pytest.mark.parametrize("locale", ["en-US", "en-GB"])
def test_the_first_kit_stands_in_the_page_as_its_modules_tell_it(browser: Browser, server: Server, locale: str) -> None:
    """With no module at all the line, the panel and the sentence read as they do once the modules have planned."""
    told = []
    for scripts in (False, True):
        context = profile(browser, locale=locale, java_script_enabled=scripts)
        context.route("**/v1/kits/sure", lambda _: None)  # what it adds to the panel is for later
        page = context.new_page()
        page.goto(server.url)
        if scripts:
            expect(page.locator("#pack")).to_be_visible()
        told.append([page.locator(part).inner_text() for part in ("#line", "#head", ".sentence")])
        context.close()
    assert told[0] == told[1]
    assert ("oz" if locale == "en-US" else " g") in told[0][1]


def test_units_are_chosen_in_the_page_as_it_comes_and_what_is_pressed_then_counts(
    browser: Browser, server: Server
) -> None:
    """A radio of the reader's country is checked without any module; one pressed before they run is kept."""
    context = profile(browser, locale="en-US", java_script_enabled=False)
    page = context.new_page()
    page.goto(server.url)
    expect(page.get_by_label("oz, in")).to_be_checked()
    context.close()
    context = profile(browser, locale="en-US")
    context.add_init_script(LATE_FRAME)
    page = context.new_page()
    page.add_init_script(PRESSES)
    page.goto(server.url)
    expect(page.locator("#day")).to_contain_text("each")
    expect(page.get_by_label("g, mm")).to_be_checked()
    expect(page.locator("#thick")).to_have_value("100")
    expect(page.locator("#mass")).to_contain_text(" g")
    context.close()


def test_units_that_are_switched_are_told_as_a_person_says_them(browser: Browser, server: Server) -> None:
    """Round figures within 2 % (of a quart 6 %), and the trip as it was; what one types in these units stays."""
    with watched_pages(browser) as opening:
        page = opening(server.url)
        expect(page.locator("#pack")).to_be_visible()
        before = linked(page)
        page.get_by_label("oz, in").check()
        for name, figure in (("air", "46"), ("water", "1"), ("thick", "4"), ("work", "60")):
            expect(page.locator(f"#{name}")).to_have_value(figure)
        assert linked(page) == before, "8 degrees C, 1 l, 100 mm"
        page.locator("#thick").fill("3.3")
        page.locator("#thick").press("Tab")
        expect(page.locator("#thick")).to_have_value("3.3")
        page.get_by_label("g, mm").check()
        for name, figure in (("air", "8"), ("water", "1"), ("thick", "85")):
            expect(page.locator(f"#{name}")).to_have_value(figure)
        page.locator("#thick").fill("97")
        page.locator("#thick").press("Tab")
        expect(page.locator("#thick")).to_have_value("97")


def test_no_kit_of_another_trip_stands_beside_a_link(browser: Browser, server: Server) -> None:
    """Until the service has answered, the panel is empty and the line has no mass."""
    context = profile(browser, locale="en-GB")
    context.route("**/v1/**", lambda _: None)
    page = context.new_page()
    page.goto(f"{server.url}/{fragment(example_trips()['stream-survey'])}")
    expect(page.locator("#people")).to_have_value("3")
    expect(page.locator("#head")).to_be_empty()
    expect(page.locator("#line-mass")).to_be_empty()
    context.close()


# The first thing that is typed, as soon as the page says that it hears.
TYPES = """
const mark = performance.mark.bind(performance);
performance.mark = (name) => {
  mark(name);
  const people = document.getElementById("people");
  people.value = "5";
  people.dispatchEvent(new InputEvent("input", { bubbles: true }));
};
"""


def test_what_is_typed_as_soon_as_the_page_hears_is_planned(browser: Browser, server: Server) -> None:
    """Hearing comes before the first plan: that plan, or the one after it, is of what was typed."""
    context = profile(browser, locale="en-GB")
    context.add_init_script(LATE_FRAME + TYPES)
    page = context.new_page()
    page.goto(server.url)
    expect(page.locator("#day")).to_contain_text("each")
    assert linked(page)["people"] == 5
    expect(page.locator("#people")).to_have_value("5")
    context.close()


def test_digits_are_those_of_the_browsers_own_formatter(browser: Browser) -> None:
    """ECMA-402's Intl.NumberFormat for English says the same: thousands, decimals, halves, none of a number."""
    module = files("api").joinpath("web/page/parts/digits.js").read_text("utf-8").split("export {")[0]
    values = [0, 7, 0.05, 0.25, 2.5, 9.96, 12.345, 999.5, 1000, 12345.678, 1234567.89, -3.04, -1500, 0.0004]
    ask = """([module, values]) => {
      const digits = new Function(`${module}; return digits;`)();
      const told = (value, most) => new Intl.NumberFormat("en", { maximumFractionDigits: most }).format(value);
      const pairs = values.flatMap((value) => [0, 1, 2, 3].map((most) => [digits(value, most), told(value, most)]));
      return pairs.filter(([ours, theirs]) => ours !== theirs);
    }"""
    context = profile(browser)
    assert context.new_page().evaluate(ask, [module, values]) == []
    context.close()


@contextmanager
def with_frame(browser: Browser, address: str, frame: str) -> Iterator[Page]:
    """A page whose first frame comes as a script has it; at the end it has told no error."""
    context = profile(browser, locale="en-GB")
    context.add_init_script(frame)
    page = context.new_page()
    errors: list[str] = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(address)
    yield page
    assert not errors, errors
    context.close()


@pytest.mark.parametrize("frame", [LATE_FRAME, NO_FRAME], ids=["late", "none"])
def test_the_bench_starts_once_whenever_its_first_frame_comes(browser: Browser, server: Server, frame: str) -> None:
    """Its two drawings lie there once, each choice of a trip stands once, and no error is told."""
    with with_frame(browser, f"{server.url}/bench", frame) as page:
        expect(page.locator("#verdict .big")).to_be_visible()
        expect(page.locator("#tabs button")).to_have_count(2)
        expect(page.locator("#adoption-whose")).to_have_count(1)


@pytest.mark.parametrize("frame", [LATE_FRAME, NO_FRAME], ids=["late", "none"])
def test_the_planner_starts_once_whenever_its_first_frame_comes(browser: Browser, server: Server, frame: str) -> None:
    """Each list stands there once, and no error is told."""
    with with_frame(browser, server.url, frame) as page:
        expect(page.locator("#pack")).to_be_visible()
        expect(page.locator("#species option").nth(20)).to_be_attached()
        page.get_by_text("My tools").click()
        expect(page.locator("[data-path=extra_tools]")).to_have_count(1)
