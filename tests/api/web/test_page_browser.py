"""The planner at / in real Chromium: each way a hiker uses it, against what the service says to a program."""

import base64
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import profile
from playwright.sync_api import Browser, Page, expect
from server import Server, served
from waiting import LONG_S

from api.examples.invented import example_trips

Row = dict[str, Any]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SURVEY = example_trips()["stream-survey"]
GRAMS_PER_OUNCE = 28.349523125  # international avoirdupois ounce, 1959
Open = Callable[..., Page]


def ask(server: Server, path: str, body: Row) -> Row:
    """What the service says to a program."""
    answer = httpx.post(f"{server.url}{path}", json=body, timeout=LONG_S)
    assert answer.status_code == 200, answer.text
    found: Row = answer.json()
    return found


@pytest.fixture
def opened(browser: Browser, server: Server) -> Iterator[Open]:
    """Opens the planner in a fresh profile; a test fails on any console error, as of the page's own strict policy."""
    contexts, wrong = [], []

    def open_page(*, fragment: str = "", **options: Any) -> Page:
        context = profile(browser, locale="en-GB", **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda told: wrong.append(told.text) if told.type == "error" else None)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(f"{server.url}/{fragment}")
        return loaded(page)

    yield open_page
    for context in contexts:
        context.close()
    refused = [line for line in wrong if "status of 422" not in line]  # the console notes every refused request
    assert refused == []


def loaded(page: Page) -> Page:
    """The page with its examples and the service's tables."""
    expect(page.get_by_role("button", name="Wet autumn")).to_be_visible()
    expect(page.locator("#species option").nth(20)).to_be_attached()
    return page


def settled(page: Page) -> Page:
    """The page once the kit, the next kits and the front are there."""
    expect(page.locator("#front .dot.chosen")).to_be_visible()
    expect(page.locator("#next .kits")).to_be_visible()
    return page


def planned(page: Page, name: str = "stream survey") -> Page:
    """The page with an example planned."""
    page.get_by_role("button", name=name).click()
    return settled(page)


def total(page: Page) -> str:
    """The mass that the kit is headed by."""
    return page.locator("kitwright-kit [part~=mass]").inner_text()


def grams(text: str) -> float:
    """Grams of a text as `1,010 g`."""
    return float(re.findall(r"[\d,.]+", text)[0].replace(",", ""))


def test_an_example_is_planned_and_its_figures_are_the_services(opened: Open, server: Server) -> None:
    """Mass, tools, next kits, reach and front are those that a program gets."""
    page = planned(opened())
    answer = ask(server, "/v1/kits", SURVEY)
    assert grams(total(page)) == answer["kit"]["mass_g"]
    for tool in answer["kit"]["tools"]:
        expect(page.get_by_role("heading", name=tool["name"])).to_be_visible()
    shown = page.locator("#next li strong").all_inner_texts()
    assert [grams(text) for text in shown] == [kit["mass_g"] for kit in answer["alternatives"]]
    points = ask(server, "/v1/kits/front", {"trip": SURVEY})["points"]
    page.locator("#front summary").click()
    masses = page.locator("#front tbody td:nth-child(2)").all_inner_texts()
    assert [grams(text) for text in masses] == [point["mass_g"] for point in points]
    assert page.locator("#front .dot").count() == len(points)
    page.locator("#reach summary").click()
    (saw,) = [need for need in answer["needs"] if need["id"] == "buck-110"]
    cells = page.locator("#reach tr", has_text="Cut 110").locator("td").all_inner_texts()
    assert [grams(text) for text in cells[2:]] == [110, 110 + saw["spare_mm"]]


def test_a_banned_fire_says_what_is_not_covered(opened: Open) -> None:
    """Where nothing is left to cut, no mass of 0 g stands there as the answer; where something is, its kit is shown."""
    page = opened()
    page.get_by_label("Wood fires are allowed").uncheck()
    page.get_by_label("Knife that stays in the pack").select_option("none")
    told = page.locator("kitwright-kit [part=total]")
    for pegs in ("6", None):
        if pegs is None:
            page.locator("#camp-work").get_by_role("button", name="Remove").click()
        page.get_by_role("button", name="Find the lightest kit").click()
        expect(page.locator("kitwright-kit [part=tools]")).to_contain_text("No tool." if pegs is None else "knife")
        assert total(page) == "No fire allowed: not all covered"
        expect(page.locator("kitwright-kit [part=gaps]")).to_contain_text("hot water (4 l a day), warmth (1 h a day)")
        expect(told).not_to_contain_text("The lightest, proven")
    own = page.get_by_role("region", name="Check a kit of your own")
    own.get_by_role("button", name="Check my kit").click()
    expect(own.locator(".verdict")).to_contain_text("It covers what needs no fire")
    expect(own.locator(".verdict")).to_contain_text("hot water (4 l a day)")


def test_the_picture_of_the_reach_is_to_scale(opened: Open) -> None:
    """On each bar the wood lies as far along as its diameter is of the reach."""
    page = planned(opened(viewport={"width": 1280, "height": 900}))
    page.locator("#reach summary").click()
    rows = [row.locator("td").all_inner_texts() for row in page.locator("#reach tbody tr").all()]
    drawn = page.evaluate(
        """() => [...document.querySelectorAll("#reach .ct-bar")].map((bar) => ({
          length: bar.x2.baseVal.value - bar.x1.baseVal.value,
          y: bar.y1.baseVal.value,
          wood: [...bar.parentNode.querySelectorAll(".wood")].filter((c) => c.cy.baseVal.value === bar.y1.baseVal.value)
            .map((c) => c.cx.baseVal.value - bar.x1.baseVal.value),
        })).sort((a, b) => a.y - b.y)"""
    )
    told = [(grams(row[2]), grams(row[3])) for row in rows]
    shares = [along / bar["length"] for bar in drawn for along in bar["wood"]]
    assert len(shares) == len(told) >= 4
    for share, (wood_mm, reach_mm) in zip(shares, told, strict=True):
        assert share == pytest.approx(wood_mm / reach_mm, abs=0.01)


def test_a_reach_that_is_cut_off_is_told(opened: Open) -> None:
    """A tool that reaches far beyond the wood: its bar ends at the edge and says where it would end."""
    page = opened(viewport={"width": 1280, "height": 900})
    page.get_by_role("button", name="Add cutting").click()
    page.get_by_label("Thickness, mm").fill("40")
    page.get_by_text("Only tools that I tick").click()
    page.locator("#own-tools").get_by_role("checkbox", name="Bow saw, 760 mm blade").check()
    page.get_by_label("Boiled water").fill("")
    page.get_by_label("Fire for warmth").fill("")
    page.get_by_role("button", name="Remove camp work 1").click()
    page.get_by_label("What", exact=True).select_option("saw")
    page.get_by_role("button", name="Find the lightest kit").click()
    page.locator("#reach summary").click()
    (reach,) = page.locator("#reach td:last-child").all_inner_texts()
    assert grams(reach) > 3 * 40
    expect(page.locator("#reach .farther")).to_have_text(f"{reach} →")


def test_a_point_of_the_front_is_picked_by_keyboard(opened: Open, server: Server) -> None:
    """Arrow keys walk from the chosen kit to the next heavier one; the button plans it."""
    page = planned(opened())
    points = ask(server, "/v1/kits/front", {"trip": SURVEY})["points"]
    chosen = [point["mass_g"] for point in points].index(grams(total(page)))
    slider = page.get_by_role("slider")
    slider.focus()
    page.keyboard.press("ArrowRight")
    aim = points[chosen + 1]
    assert grams(slider.get_attribute("aria-valuetext") or "") == aim["mass_g"]
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    expect(page.locator("kitwright-kit [part~=mass]")).to_have_text(f"{aim['mass_g']:,.0f} g")
    settled(page)


def test_a_point_of_the_front_answers_to_the_pointer(opened: Open) -> None:
    """The nearest kit lights up and is told."""
    page = planned(opened(viewport={"width": 1280, "height": 900}))
    dot = page.locator("#front .dot").nth(1)
    dot.hover(force=True)
    expect(page.locator("#front .lit")).to_have_count(1)
    assert dot.evaluate("(dot) => dot.classList.contains('lit')")


def test_a_link_restores_the_trip_and_the_service_never_sees_it(opened: Open, server: Server) -> None:
    """The fragment alone carries the trip: it is shown and planned in a fresh profile."""
    page = planned(opened())
    page.get_by_label("People").fill("5")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.locator("#trip-line")).to_contain_text("5 people")
    fragment = page.evaluate("location.hash")
    other = opened(fragment=fragment)
    expect(other.get_by_label("People")).to_have_value("5")
    settled(other)
    assert total(other) == total(page)
    assert other.get_by_label("Thickness, mm").first.input_value() == str(SURVEY["tasks"][0]["diameter_mm"])
    assert fragment[1:40] not in server.logged()


def test_limits_are_inputs_or_kept(opened: Open, server: Server) -> None:
    """Inputs made from the table of limits go to the service; one that has none here, the price, stays as it came."""
    trip = SURVEY | {"limits": {"work_min_per_day": 240, "price": 500, "tools_at_most": 3, "edge_mm": 700}}
    fragment = "#trip=" + base64.urlsafe_b64encode(json.dumps(trip).encode()).decode().rstrip("=")
    page = settled(opened(fragment=fragment))
    for label, value in (("Wood work a day", "240"), ("Carried tools at most", "3"), ("Longest blade", "700")):
        expect(page.get_by_label(label)).to_have_value(value)
    page.get_by_label("Carried tools at most").fill("2")
    page.get_by_label("Longest blade").fill("")
    page.get_by_role("button", name="Find the lightest kit").click()
    limits = {"work_min_per_day": 240, "price": 500, "tools_at_most": 2}
    answer = ask(server, "/v1/kits", SURVEY | {"limits": limits, "detail": "kit"})
    assert len(answer["kit"]["tools"]) == 2
    expect(page.locator("kitwright-kit [part~=mass]")).to_contain_text(f"{answer['kit']['mass_g']:.0f}")
    sent = "JSON.parse(atob(location.hash.slice(6).replaceAll('-', '+').replaceAll('_', '/'))).limits"
    page.wait_for_function(f"{sent}.tools_at_most === 2")  # the address follows the answer
    assert page.evaluate(sent) == limits


def test_a_knife_each_and_upgrades_are_those_of_the_service_and_own_figures_stay(opened: Open, server: Server) -> None:
    """Three of a knife stand once, with their number; a figure of one's own is sent, kept in the link and said."""
    trip = {
        "people": 3, "nights": 3, "knife": "each", "assumptions": {"saw_rate": 240},
        "tasks": [{"task": task, "diameter_mm": mm, "per_day": 10} for task, mm in (("saw", 90), ("carve", 30))],
        "only": ["carving-knife-60", "fixed-knife-90-hidden", "folding-knife-60", "folding-saw-180", "folding-saw-210"],
    }  # fmt: skip
    answer = ask(server, "/v1/kits", trip)
    (knife,) = [tool for tool in answer["kit"]["tools"] if tool["count"] == 3]
    assert answer["upgrades"]
    page = settled(opened(fragment="#trip=" + base64.urlsafe_b64encode(json.dumps(trip).encode()).decode().rstrip("=")))
    assert grams(total(page)) == answer["kit"]["mass_g"]
    expect(page.locator("kitwright-kit [part=tools]")).to_contain_text(f"3 \u00d7 {knife['name']}")
    expect(page.locator("#front .picked")).to_contain_text(f"3 \u00d7 {knife['name']}")
    offered = page.locator("#upgrades li strong").all_inner_texts()
    assert [[float(one) for one in re.findall(r"[\d.]+", text)] for text in offered] == [
        [one["more_g"], pytest.approx(one["saves_min_per_day"], abs=0.5)] for one in answer["upgrades"]
    ]
    expect(page.locator("#kept")).to_contain_text("your own figures")
    page.get_by_label("People").fill("2")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.locator("#trip-line")).to_contain_text("2 people")
    sent = "JSON.parse(atob(location.hash.slice(6).replaceAll('-', '+').replaceAll('_', '/'))).assumptions"
    assert page.evaluate(sent) == {"saw_rate": 240}


def test_a_broken_link_is_told(opened: Open) -> None:
    """What is no trip is said, and the form stays usable."""
    for fragment in ("#trip=%%%", "#trip=WzFd", "#trip=bnVsbA"):
        page = opened(fragment=fragment)
        expect(page.get_by_role("alert")).to_contain_text("no readable trip")
        expect(page.get_by_label("People")).to_have_value("2")


def test_a_kit_of_ones_own_is_checked(opened: Open, server: Server) -> None:
    """The verdict, the distance and the first swap are the service's."""
    page = planned(opened())
    own = page.get_by_role("region", name="Check a kit of your own")
    own.get_by_role("searchbox").fill("hatchet 600")
    own.get_by_role("checkbox", name="Hatchet, 600 g head").check()
    own.get_by_role("searchbox").fill("90 mm full tang")
    own.get_by_role("checkbox", name="Fixed knife, 90 mm blade, full tang").check()
    own.get_by_role("button", name="Check my kit").click()
    answer = ask(server, "/v1/kits/check", {"kit": ["hatchet-600", "fixed-knife-90"], "trip": SURVEY})
    verdict = own.locator(".verdict")
    expect(verdict).to_contain_text("It covers the trip" if answer["covered"] else "It does not cover the trip")
    expect(verdict).to_contain_text(f"{answer['kit']['mass_g']:,.0f} g")
    if answer["over_lightest_g"]:
        expect(verdict).to_contain_text(f"{answer['over_lightest_g']:,.0f} g less")


def test_us_units_are_shown_and_taken(opened: Open, server: Server) -> None:
    """The same trip in ounces and inches: no figure moves by changing units back and forth."""
    page = planned(opened())
    before = page.evaluate("location.hash")
    page.get_by_label("oz, in").check()
    assert page.get_by_label("Thickness, in").first.input_value() == "4.33"  # 110 mm / 25.4
    mass_g = ask(server, "/v1/kits", SURVEY)["kit"]["mass_g"]
    pounds, ounces = divmod(round(mass_g / GRAMS_PER_OUNCE, 1), 16)
    expect(page.locator("kitwright-kit [part~=mass]")).to_have_text(f"{pounds:.0f} lb {ounces:.1f} oz")
    page.get_by_label("Heaviest kit, oz").fill("40")
    page.get_by_label("g, mm").check()
    assert page.get_by_label("Heaviest kit, g").input_value() == "1133.98"
    page.get_by_label("Heaviest kit, g").fill("")
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.locator("#trip-line")).not_to_contain_text("Invented")  # a changed trip loses the example's name
    (named, plain) = (
        page.evaluate(f"JSON.parse(atob('{part[6:]}'.replaceAll('-', '+').replaceAll('_', '/')))")
        for part in (before, page.evaluate("location.hash"))
    )
    assert {key: value for key, value in named.items() if key != "name"} == plain


def test_what_the_service_refuses_stands_beside_its_field(opened: Open) -> None:
    """The service's own words, bound to the field that gets the focus."""
    page = opened()
    page.get_by_label("People").fill("99")
    page.get_by_label("Fire for warmth, hours").fill("a few")
    page.get_by_role("button", name="Find the lightest kit").click()
    people = page.get_by_label("People")
    expect(people).to_be_focused()
    expect(people).to_have_accessible_description("99 must be at most 50")
    expect(page.get_by_label("Fire for warmth, hours")).to_have_accessible_description('"a few" must be a number')
    people.fill("2")
    page.get_by_label("Fire for warmth, hours").fill("1")
    page.get_by_role("button", name="Find the lightest kit").click()
    settled(page)
    expect(page.locator(".fault")).to_have_count(0)


def test_us_faults_are_told_in_us_units_and_a_checked_kit_marks_the_trip(opened: Open) -> None:
    """Ounces and Fahrenheit as typed, with the service's own figures beside; the trip of a check is the form's."""
    page = opened()
    page.get_by_label("oz, in").check()
    page.get_by_label("Air, °F").fill("-76")
    page.get_by_role("button", name="Find the lightest kit").click()
    air = page.get_by_label("Air, °F")
    expect(air).to_have_accessible_description("-76 F (-60 C) is outside -58 to 113 F (-50 to 45 C)")
    air.fill("50")
    page.get_by_label("Longest packed tool, in").fill("200")
    page.get_by_role("button", name="Check my kit").click()
    told = "200 in (5080 mm) must be at most 118.11 in (3000 mm)"
    expect(page.get_by_label("Longest packed tool, in")).to_have_accessible_description(told)
    expect(page.locator("#strays")).to_be_hidden()


@pytest.mark.parametrize("width", [390, 1280])
def test_every_choice_is_shown_whole(opened: Open, width: int) -> None:
    """A field is as wide as its longest choice on a phone too; names of camp work may end in an ellipsis."""
    page = opened(viewport={"width": width, "height": 844})
    page.get_by_role("button", name="Add cutting").click()
    cut = page.evaluate("""() => [...document.querySelectorAll('select:not([data-path*="camp_work"][data-path$="id"])')]
        .filter((select) => {
            const { width } = select.getBoundingClientRect();
            select.style.cssText = "inline-size: max-content; min-inline-size: max-content";
            return select.getBoundingClientRect().width > width + 0.5;
        }).map(({ id, dataset }) => dataset.path ?? id)""")
    assert cut == []


def test_it_opens_without_a_network_once_loaded(browser: Browser, tmp_path: Path) -> None:
    """The service is gone: the page and its tables still open, and planning says what is the matter."""
    context = profile(browser, locale="en-GB")
    with served(tmp_path) as own:
        page = context.new_page()
        page.goto(own.url)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.reload()
        loaded(page)
    page.reload()
    loaded(page)
    page.get_by_role("button", name="Find the lightest kit").click()
    expect(page.get_by_role("alert")).to_contain_text("be reached")
    context.close()


def test_it_prints_on_one_page(opened: Open) -> None:
    """A full example on a page of A4; counted by the page objects of the PDF (ISO 32000-1, 7.7.3.3)."""
    page = planned(opened(viewport={"width": 1280, "height": 900}), "wet autumn")
    printed = page.pdf(prefer_css_page_size=True, print_background=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 1


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_320_px_need_no_sideways_scroll(opened: Open, scheme: str) -> None:
    """WCAG 2.2 A and AA and best practice by axe, before and after the answer; reflow by WCAG 1.4.10."""
    page = opened(color_scheme=scheme, viewport={"width": 320, "height": 640})
    axe = Axe()

    def sound() -> None:
        found = axe.run(page, options={"runOnly": RULES})
        assert found.violations_count == 0, found.generate_report()
        assert page.evaluate("document.documentElement.scrollWidth") <= 320

    page.get_by_text("Only tools that I tick").click()
    page.get_by_text("Kinds that must stay at home").click()
    sound()
    page.get_by_text("Any tool of the table").click()
    planned(page)
    for summary in page.locator("#beyond summary").all():
        summary.click()
    sound()
