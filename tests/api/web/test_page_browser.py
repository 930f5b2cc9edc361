"""The planner at / in real Chromium: each way a hiker uses it, against what the service says to a program."""

import json
import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import profile, watched_pages
from page_trips import fragment, linked
from playwright.sync_api import Browser, Page, expect
from server import Server, served
from waiting import until

from api.examples.invented import example_trips

Row = dict[str, Any]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SURVEY = example_trips()["stream-survey"]
GRAMS_PER_OUNCE = 28.349523125  # international avoirdupois ounce, 1959
Open = Callable[..., Page]


@pytest.fixture
def opened(browser: Browser, server: Server) -> Iterator[Open]:
    """Opens the planner in a fresh profile; a test fails on any console error."""
    with watched_pages(browser) as opening:

        def open_page(*, fragment: str = "", **options: Any) -> Page:
            return loaded(opening(f"{server.url}/{fragment}", **options))

        yield open_page


def loaded(page: Page) -> Page:
    """The page with its first kit and the service's tables."""
    expect(page.locator("#pack")).to_be_visible()
    expect(page.locator("#species option").nth(20)).to_be_attached()
    return page


def settled(page: Page) -> Page:
    """The page once the kit, the next kits, how sure it is and the front are there."""
    expect(page.locator("#front tbody tr")).not_to_have_count(0)
    return page


def planned(page: Page, change: Callable[[], object]) -> Row:
    """What the service says to a program of the trip that a change leads to; the page shows its mass."""
    with page.expect_response(lambda answer: answer.url.endswith("/v1/kits") and answer.status == 200) as waited:
        change()
    sent = json.loads(waited.value.request.post_data or "")
    found: Row = waited.value.json()
    expect(page.locator("#line")).not_to_have_attribute("data-old", "")
    assert linked(page) == {key: value for key, value in sent.items() if key != "detail"}
    return found


def unfold(page: Page, *titles: str) -> None:
    """Open folds by what they are called."""
    for title in titles:
        page.locator("summary", has_text=title).first.click()


def grams(text: str) -> float:
    """Grams of a text as `1,010 g`."""
    return float(re.findall(r"[\d,.]+", text)[0].replace(",", ""))


def test_a_real_answer_stands_beside_the_first_sentence_on_one_phone_screen(opened: Open, server: Server) -> None:
    """Saw and knife, both lines of grams, why each goes, minutes each, a step up, this kit's cautions: in 740 px."""
    page = settled(opened(viewport={"width": 360, "height": 740}))
    trip = linked(page)
    answer, sure = server.ask("/v1/kits", trip), server.ask("/v1/kits/sure", {"trip": trip, "sure": {"draws": 64}})
    kinds = {tool["kind"] for tool in answer["kit"]["tools"]}
    assert len(kinds) == 2, "a first trip where a saw and a knife both earn their place"
    assert grams(page.locator("#mass").inner_text()) == answer["kit"]["mass_g"]
    expect(page.locator("#line")).to_contain_text(f"{answer['kit']['mass_g']:,.0f} g")
    enough = sure["at_confidence"]
    assert grams(page.locator("#sure-enough").inner_text()) == enough["kit"]["mass_g"]
    expect(page.locator("#sure-enough")).to_contain_text(f"{enough['fresh']['probability']:.0%}".rstrip("%"))
    rows = [grams(text) for text in page.locator("#pack .grams").all_inner_texts()]
    assert rows == sorted((tool["mass_g"] for tool in answer["kit"]["tools"]), reverse=True)
    assert all("to spare" in text for text in page.locator("#pack .name .help").all_inner_texts())
    expect(page.locator("#day")).to_contain_text(
        f"{answer['kit']['work_min_per_day'] / 2:.0f} min of wood work a day each"
    )
    best = max(answer["upgrades"], key=lambda one: one["saves_min_per_day"])
    expect(page.locator("#better")).to_contain_text(
        f"{best['more_g']:.0f} g more saves {best['saves_min_per_day']:.0f} min"
    )
    assert page.locator("#care > ul li").count() >= 2
    page.locator("#line").click()
    box = "document.querySelector('{}').getBoundingClientRect().{}"
    top, bottom = (page.evaluate(box.format(*one)) for one in (("#head", "top"), ("#care", "bottom")))
    assert top >= 0
    assert bottom <= 740
    unfold(page, "More about the trip")
    page.get_by_text("Play safe").scroll_into_view_if_needed()
    expect(page.locator("#line")).to_be_in_viewport()


def test_the_first_answer_takes_few_requests(browser: Browser, server: Server) -> None:
    """At most 12 requests and 120 kB, as the browser counts what comes over the wire."""
    context = profile(browser, service_workers="block")
    page = context.new_page()
    told = context.new_cdp_session(page)
    told.send("Network.enable")
    sent, sizes = {}, {}
    told.on("Network.requestWillBeSent", lambda event: sent.setdefault(event["requestId"], event["request"]["url"]))
    told.on("Network.loadingFinished", lambda event: sizes.setdefault(event["requestId"], event["encodedDataLength"]))
    page.goto(server.url)
    expect(page.locator("#pack")).to_be_visible()
    asked = list(sent.values())
    needed = list(sent)[
        : asked.index(f"{server.url}/v1/kits") + 1
    ]  # what is asked for later, the kit does not wait for
    assert len(needed) <= 12, asked
    assert sum(sizes[name] for name in needed) <= 120_000
    context.close()


def test_it_plans_while_one_types_and_keeps_every_word(opened: Open) -> None:
    """Steps back and forth, the link and a reload carry what was typed, also a text that is no figure."""
    page = opened()
    thick = page.get_by_label("Thickness of firewood, mm")
    masses = [grams(page.locator("#mass").inner_text())]
    for text, mm in (("60, 70 100", [60, 70, 100]), ("15 cm", [150])):
        answer = planned(page, partial(thick.fill, text))  # in one go: the pauses of a slow typist are steps as well
        assert linked(page)["wood"]["diameters_mm"] == mm
        masses.append(grams(page.locator("#mass").inner_text()))
        assert masses[-1] == answer["kit"]["mass_g"]
        left = [one for one in mm if one not in {working["diameter_mm"] for working in answer["workings"]}]
        told = [expect(page.locator("#left-lying"))] if left else []
        for line in told:
            line.to_contain_text(f"{left[-1]} mm stays where it lies")
        expect(page.locator("#left-lying")).to_have_count(len(told))
    assert len(set(masses)) == 3
    for button, mass in (("Undo", masses[1]), ("Undo", masses[0]), ("Redo", masses[1])):
        page.get_by_role("button", name=button).click()
        expect(page.locator("#mass")).to_have_text(f"{mass:,.0f} g")
    page.get_by_label("Air, °C").fill("mild")
    page.reload()
    expect(page.get_by_label("Air, °C")).to_have_value("mild")
    expect(page.locator("#line")).to_contain_text("mild is no number")
    answer = planned(page, lambda: page.get_by_label("Air, °C").fill("-5 °C"))
    assert linked(page)["air_c"] == -5
    expect(thick).to_have_value("60 70 100")


def test_nothing_is_lost_before_the_modules_come_or_without_a_network(browser: Browser, server: Server) -> None:
    """What is typed into the bare page stays; offline it says so, keeps the trip, and plans once there is a network."""
    context = profile(browser, locale="en-GB", service_workers="block")
    page = context.new_page()
    held: list[Any] = []
    page.route("**/planner.js", lambda route: held.append(route))
    page.goto(server.url, wait_until="commit")
    page.get_by_label("People").fill("4")
    page.get_by_label("State of the wood").select_option("green")
    until(lambda: held, "the module", pause=lambda: page.wait_for_timeout(20))
    for route in held:
        route.continue_()
    loaded(page)
    expect(page.get_by_label("People")).to_have_value("4")
    assert (linked(page)["people"], linked(page)["wood"]["state"]) == (4, "green")
    context.set_offline(True)
    page.get_by_label("Nights").fill("6")
    expect(page.locator("#line")).to_contain_text("can\u2019t be reached")
    planned(page, lambda: context.set_offline(False))
    assert linked(page)["nights"] == 6
    context.close()


def test_an_uncovered_trip_says_so_and_offers_two_ways_with_their_price(opened: Open, server: Server) -> None:
    """The headline tells it, without raw names; each offered trip has the kit that it promises; one tap takes it."""
    page = opened()
    unfold(page, "What the kit may weigh")
    planned(page, lambda: page.get_by_label("Heaviest kit, g").fill("340"))
    expect(page.locator("#mass")).to_have_text("No kit is light enough")
    ways = page.locator("#relief .ways li")
    expect(ways).to_have_count(2)
    least = server.ask("/v1/kits", linked(page))["conflict"][0]["least"]
    expect(ways.first).to_contain_text(f"Allow {least:.0f} g")
    said = page.locator("#answer").inner_text()
    assert not re.search(r"[a-z]_[a-z]|\d\.\d{3}|#/", said), said
    promised = grams(ways.first.locator(".help").inner_text())
    ways.first.get_by_role("button").click()
    expect(page.locator("#mass")).to_have_text(f"{promised:,.0f} g")
    assert promised == least
    expect(page.locator("#relief")).to_be_hidden()
    page.get_by_label("Wood work a day").fill("5")
    planned(page, lambda: page.get_by_label("Heaviest kit, g").fill(""))
    expect(page.locator("#mass")).to_contain_text("No kit")
    expect(ways).to_have_count(2)
    promised = grams(ways.nth(1).locator(".help").inner_text())
    ways.nth(1).get_by_role("button").click()
    expect(page.locator("#mass")).to_have_text(f"{promised:,.0f} g")


def test_a_kit_that_is_only_the_quickest_is_not_what_the_page_advises(opened: Open, server: Server) -> None:
    """Novices with 40 minutes: the quickest kit has a two-person saw and a maul; first stands the light one."""
    page = opened(fragment=fragment(SURVEY | {"skill": "novice", "limits": {"work_min_per_day": 40}}))
    quickest = server.ask("/v1/kits", linked(page))["kit"]["mass_g"]
    way = page.locator("#relief .ways li").first
    expect(way).to_be_visible()
    light = grams(way.locator(".help").inner_text())
    assert light < quickest / 5
    told = f"{light:,.0f} g is enough. The quickest kit weighs {quickest:,.0f} g."
    expect(page.locator("#head")).to_contain_text(told)
    expect(page.locator("#pack-title")).to_have_text("The quickest kit, whatever it weighs")
    way.get_by_role("button").click()
    expect(page.locator("#mass")).to_have_text(f"{light:,.0f} g")
    expect(page.locator("#pack-title")).to_have_text("In the pack")


def test_what_is_missing_names_the_work_that_no_tool_of_ones_own_does(opened: Open) -> None:
    """Wood that is wet outside is split: a saw and a folding knife cut it to length, and no more."""
    wet = {"nights": 3, "fire": {"warmth_h": 2}, "wood": {"state": "dead-wet", "diameters_mm": [100]}}
    page = opened(fragment=fragment(wet | {"only": ["folding-knife-95", "folding-saw-210"]}))
    told = page.locator("#relief li").first
    expect(told).to_contain_text("Firewood of 100 mm: nothing that may go can split it. Your rules keep home")
    expect(page.locator("#care")).to_contain_text("is not the knife for wet or freezing weather")
    ways = page.locator("#relief .ways li")
    expect(ways).to_have_count(2)
    expect(ways.nth(1)).to_contain_text("Drop your list of tools")
    ways.first.get_by_role("button", name=re.compile("^Let .* come too$")).click()
    expect(page.locator("#relief")).to_be_hidden()
    only = set(linked(page)["only"])
    assert {"folding-knife-95", "folding-saw-210"} < only
    assert len(only) == 3


def test_a_banned_fire_says_what_is_not_covered_and_offers_two_ways(opened: Open) -> None:
    """No mass stands there as the answer; a kit of one's own is told the same; without a fire nothing is missing."""
    page = opened()
    unfold(page, "The fire")
    planned(page, lambda: page.get_by_label("Wood fires are allowed").uncheck())
    expect(page.locator("#mass")).to_have_text("No fire is allowed")
    expect(page.locator("#relief")).to_contain_text("hot water (2 l a day), warmth (2 h a day)")
    expect(page.locator("#head")).not_to_contain_text("the lightest, proven")
    unfold(page, "Check a kit of your own")
    own = page.locator("#own-kit")
    own.get_by_role("button", name="Check my kit").click()
    expect(own.locator(".verdict")).to_contain_text("hot water (2 l a day)")
    ways = page.locator("#relief .ways button")
    expect(ways).to_have_count(2)
    planned(page, ways.first.click)
    assert linked(page)["fire"] == {"allowed": False, "warmth_h": 0, "hot_water_l_per_person": 0}
    expect(page.locator("#relief")).to_be_hidden()
    expect(page.locator("#head")).to_contain_text("No wood work by hand is planned.")
    expect(page.locator("#answer")).to_be_focused()
    expect(page.locator("#sheet")).not_to_contain_text("100 mm")


def test_kits_are_set_beside_each_other_taken_and_let_go(opened: Open, server: Server) -> None:
    """By keyboard from the front: both kits' figures are those of a check; one is taken, then chosen freely again."""
    page = settled(opened())
    trip = linked(page)
    points = server.ask("/v1/kits/front", {"trip": trip})["points"]
    if not page.get_by_role("slider").is_visible():
        unfold(page, "Lighter or quicker")
    slider = page.get_by_role("slider")
    slider.focus()
    page.keyboard.press("ArrowRight")
    assert grams(slider.get_attribute("aria-valuetext") or "") == points[1]["mass_g"]
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    cells = page.locator("#beside tbody tr")
    for kit, column in ((points[0], 1), (points[1], 2)):
        check = server.ask("/v1/kits/check", {"kit": kit["ids"], "trip": trip | {"sure": {"draws": 64}}})
        expect(cells.nth(1).locator(f":nth-child({column + 1})")).to_have_text(f"{check['kit']['mass_g']:,.0f} g")
        told = cells.nth(4).locator(f":nth-child({column + 1})").inner_text()
        assert grams(told) == pytest.approx(100 * check["sure"]["fresh"]["probability"], abs=0.51)
    planned(page, lambda: page.get_by_role("button", name="Take the other").click())
    expect(page.locator("#mass")).to_have_text(f"{points[1]['mass_g']:,.0f} g")
    assert sorted(linked(page)["must_carry"]) == sorted(points[1]["ids"])
    planned(page, lambda: page.get_by_role("button", name="Choose freely again").click())
    expect(page.locator("#mass")).to_have_text(f"{points[0]['mass_g']:,.0f} g")
    assert linked(page) == trip


def test_the_front_is_drawn_where_it_bends_and_answers_to_the_pointer(opened: Open, server: Server) -> None:
    """Heavy kits that save little are left out of the picture, not out of the table; the nearest dot lights up."""
    page = settled(opened(viewport={"width": 1280, "height": 900}))
    points = server.ask("/v1/kits/front", {"trip": linked(page)})["points"]
    dots = page.locator("#front .dot")
    drawn = dots.count()
    assert 2 < drawn < len(points)
    times = [point["work_min_per_day"] for point in points]
    assert times[drawn - 1] - times[-1] <= 0.1 * (times[0] - times[-1]), (
        "the picture holds nine tenths of what grams save"
    )
    assert page.locator("#front tbody tr").count() == len(points)
    dots.nth(1).hover(force=True)
    expect(page.locator("#front .lit")).to_have_count(1)
    assert dots.nth(1).evaluate("(dot) => dot.classList.contains('lit')")
    page.get_by_label("Draw the heavy kits too").check()
    expect(dots).to_have_count(len(points))


def test_the_picture_of_the_reach_is_to_scale_and_tells_where_it_is_cut_off(opened: Open) -> None:
    """On each bar the wood lies as far along as its diameter is of the reach; a bar that ends at the edge says so."""
    cutting = [{"task": "saw", "diameter_mm": 40}]
    page = opened(viewport={"width": 1280, "height": 900})
    unfold(page, "How thick the wood may be")
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
    assert len(shares) == len(told) >= 3
    for share, (wood_mm, reach_mm) in zip(shares, told, strict=True):
        assert share == pytest.approx(wood_mm / reach_mm, abs=0.01)
    page = opened(fragment=fragment({"tasks": cutting, "only": ["bow-saw-760"], "knife": "none"}))
    unfold(page, "How thick the wood may be")
    page.locator("#reach summary").click()
    (reach,) = page.locator("#reach td:last-child").all_inner_texts()
    assert grams(reach) > 3 * 40
    expect(page.locator("#reach .farther")).to_have_text(f"{reach} →")


def test_effort_and_time_as_aims_show_what_they_make_least_and_the_lightest_kit(opened: Open, server: Server) -> None:
    """Kilocalories and minutes of both kits are the service's; a lighter next kit is told as lighter."""
    page = opened()
    unfold(page, "Play safe")
    for aim in ("effort", "work_time"):
        answer = planned(page, partial(page.get_by_label("What to save").select_option, aim))
        effort = answer["effort"]
        told = page.locator("#aim-told")
        for one in (effort["chosen"], effort["lightest"]):
            kcal = one["carry_kcal_per_person_day"] + one["work_kcal_per_person_day"]
            expect(told).to_contain_text(f"{kcal:.0f} kcal each a day")
            expect(told).to_contain_text(f"{one['mass_g']:,.0f} g")
        chosen, work = effort["chosen"], answer["kit"]["work_min_per_day"]
        kcal = chosen["carry_kcal_per_person_day"] + chosen["work_kcal_per_person_day"]
        big = f"{kcal:.0f} kcal each a day" if aim == "effort" else f"{work:.0f} min a day"
        expect(page.locator("#mass")).to_have_text(big)
        expect(page.locator("#packed")).to_have_text(f"{chosen['mass_g']:,.0f} g packed")
    full = server.ask("/v1/kits", linked(page))
    unfold(page, "The next lightest kits")
    lighter = [kit for kit in full["alternatives"] if kit["more_g"] < 0]
    expect(page.locator("#next .kits li").first).to_contain_text(f"{-lighter[0]['more_g']:,.0f} g less")


def test_trips_with_a_name_and_tools_of_ones_own_stay_on_the_device(opened: Open) -> None:
    """A tool that works like one of the table is planned with its own mass; the named trip comes back whole."""
    page = opened()
    unfold(page, "My tools", "A tool that the table lacks")
    page.get_by_label("Name", exact=True).fill("My chain")
    page.get_by_label("Mass with its cover, g").fill("-4")
    page.get_by_role("button", name="Add this tool").click()
    expect(page.get_by_text("-4 must be at least 0")).to_be_visible()
    page.get_by_label("Mass with its cover, g").fill("0,12 kg")
    page.get_by_role("button", name="Add this tool").click()
    expect(page.get_by_text("Say which tool of the table it works like.")).to_be_visible()
    page.get_by_label("It works like").select_option("hand-chain-saw-600")
    planned(page, lambda: page.get_by_role("button", name="Add this tool").click())
    expect(page.locator("#pack")).to_contain_text("My chain")
    (own,) = linked(page)["extra_tools"]
    assert (own["name"], own["mass_g"]) == ("My chain", 120)
    unfold(page, "Other trips")
    page.get_by_label("A name for this trip").fill("Invented: with my chain")
    page.get_by_role("button", name="Keep this trip").click()
    expect(page.locator("#trips")).to_contain_text("Kept on this device: Invented: with my chain.")
    planned(page, lambda: page.get_by_role("button", name="stream survey").click())
    assert linked(page) == SURVEY
    stated = SURVEY["tasks"][0]
    expect(page.locator("#sheet")).to_contain_text(
        f"{stated['per_day']} \u00d7 cut to length {stated['diameter_mm']} mm a day"
    )
    page.reload()
    loaded(page)
    unfold(page, "Other trips")
    planned(page, lambda: page.get_by_role("button", name="Invented: with my chain", exact=True).click())
    assert linked(page)["extra_tools"] == [own]
    page.get_by_role("button", name="Remove Invented: with my chain").click()
    expect(page.locator("#trips li")).to_have_count(0)


def test_a_link_restores_the_trip_and_the_service_never_sees_it(opened: Open, server: Server) -> None:
    """The fragment alone carries the trip: it is shown and planned in a fresh profile; limits without a field stay."""
    trip = SURVEY | {"limits": {"work_min_per_day": 240, "price": 500, "tools_at_most": 3, "edge_mm": 700}}
    page = opened(fragment=fragment(trip))
    assert linked(page) == trip
    unfold(page, "What the kit may weigh")
    for label, value in (("Wood work a day", "240"), ("Carried tools at most", "3"), ("Longest blade", "700")):
        expect(page.get_by_label(label)).to_have_value(value)
    answer = planned(page, lambda: page.get_by_label("Carried tools at most").fill("2"))
    assert linked(page)["limits"] == trip["limits"] | {"tools_at_most": 2}
    assert len(answer["kit"]["tools"]) == 2
    assert page.evaluate("location.hash")[6:40] not in server.logged()


def test_a_knife_each_and_figures_of_ones_own_stay(opened: Open, server: Server) -> None:
    """Three of a knife stand once, with their number; a figure of one's own is sent, kept in the link and said."""
    trip = {
        "people": 3, "nights": 3, "knife": "each", "assumptions": {"saw_rate": 240},
        "tasks": [{"task": task, "diameter_mm": mm, "per_day": 10} for task, mm in (("saw", 90), ("carve", 30))],
        "only": ["carving-knife-60", "fixed-knife-90-hidden", "folding-knife-60", "folding-saw-180", "folding-saw-210"],
    }  # fmt: skip
    answer = server.ask("/v1/kits", trip)
    (knife,) = [tool for tool in answer["kit"]["tools"] if tool["count"] == 3]
    page = opened(fragment=fragment(trip))
    assert grams(page.locator("#mass").inner_text()) == answer["kit"]["mass_g"]
    expect(page.locator("#pack")).to_contain_text(f"3 \u00d7 {knife['name'].split(',')[0]}")
    page.locator("#who-how summary").click()
    expect(page.locator("#shares li")).to_have_count(3)
    unfold(page, "Play safe")
    expect(page.locator("#kept")).to_contain_text("your own figures")
    planned(page, lambda: page.get_by_label("People").fill("2"))
    assert linked(page)["assumptions"] == {"saw_rate": 240}


def test_a_broken_link_is_told(opened: Open) -> None:
    """What is no trip is said, and the form stays usable."""
    for broken in ("#trip=%%%", "#trip=WzFd", "#trip=bnVsbA"):
        page = opened(fragment=broken)
        expect(page.get_by_role("alert")).to_contain_text("no readable trip")
        expect(page.get_by_label("People")).to_have_value("2")


def test_a_kit_of_ones_own_is_checked(opened: Open, server: Server) -> None:
    """The verdict, the distance and the first swap are the service's."""
    page = opened(fragment=fragment(SURVEY))
    unfold(page, "Check a kit of your own")
    own = page.locator("#own-kit")
    own.get_by_role("searchbox").fill("hatchet 600")
    own.get_by_role("checkbox", name="Hatchet, 600 g head").check()
    own.get_by_role("searchbox").fill("90 mm full tang")
    own.get_by_role("checkbox", name="Fixed knife, 90 mm blade, full tang").check()
    own.get_by_role("button", name="Check my kit").click()
    answer = server.ask("/v1/kits/check", {"kit": ["hatchet-600", "fixed-knife-90"], "trip": SURVEY})
    verdict = own.locator(".verdict")
    expect(verdict).to_contain_text("It covers the trip" if answer["covered"] else "It does not cover the trip")
    expect(verdict).to_contain_text(f"{answer['kit']['mass_g']:,.0f} g")
    if answer["over_lightest_g"]:
        expect(verdict).to_contain_text(f"{answer['over_lightest_g']:,.0f} g less")
    own.get_by_role("checkbox", name="Fixed knife, 90 mm blade, full tang").uncheck()
    own.get_by_role("searchbox").fill("hatchet 600")
    own.get_by_role("checkbox", name="Hatchet, 600 g head").uncheck()
    own.get_by_role("searchbox").fill("pocket knife")
    own.get_by_role("checkbox", name="Pocket knife, 60 mm blade").check()
    own.get_by_role("button", name="Check my kit").click()
    more = -server.ask("/v1/kits/check", {"kit": ["folding-knife-60"], "trip": SURVEY})["over_lightest_g"]
    expect(verdict).to_contain_text(f"The lightest kit that covers the trip weighs {more:,.0f} g more")


def test_us_units_are_shown_and_taken(opened: Open, server: Server) -> None:
    """The same trip in ounces and inches: no figure moves by changing units; faults are told in them."""
    page = opened(fragment=fragment(SURVEY))
    page.get_by_label("oz, in").check()
    unfold(page, "Other cutting")
    assert page.get_by_label("Thickness, in").first.input_value() == "4.3"  # 110 mm / 25.4 is 4.33
    mass_g = server.ask("/v1/kits", SURVEY)["kit"]["mass_g"]
    pounds, ounces = divmod(round(mass_g / GRAMS_PER_OUNCE, 1), 16)
    expect(page.locator("#mass")).to_have_text(f"{pounds:.0f} lb {ounces:.1f} oz")
    settled(page)
    said = page.locator("body").text_content() or ""
    assert re.search(r"\d\.\d in blade", said)
    assert not re.search(r"\d\.\d\d in (blade|chain)", said), "a name tells its size to a tenth, also in a sentence"
    unfold(page, "What the kit may weigh")
    planned(page, lambda: page.get_by_label("Heaviest kit, oz").fill("3 lb"))
    page.get_by_label("Air, °F").fill("-76")
    told = "-76 F (-60 C) is outside -58 to 113 F (-50 to 45 C)"
    expect(page.get_by_label("Air, °F")).to_have_accessible_description(told)
    planned(page, lambda: page.get_by_label("Air, °F").fill("41"))
    assert linked(page)["air_c"] == 5
    page.get_by_label("g, mm").check()
    assert page.get_by_label("Heaviest kit, g").input_value() == "1360.78"
    planned(page, lambda: page.get_by_label("Heaviest kit, g").fill(""))
    assert {key: value for key, value in SURVEY.items() if key != "name"} == {
        key: value for key, value in linked(page).items() if key != "air_c"
    }


def test_what_is_wrong_stands_beside_its_field_and_the_focus_stays(opened: Open) -> None:
    """The service's words and the page's own, bound to their fields, also where there is no work at all."""
    page = opened()
    people, warmth = page.get_by_label("People"), page.get_by_label("Fire for warmth, hours")
    people.fill("99")
    expect(people).to_have_accessible_description("99 must be at most 50")
    expect(people).to_be_focused()
    assert page.locator(".say", has=people).locator(".fault").count() == 1
    for label in ("Fire for warmth", "Boiled water"):
        page.get_by_label(label).fill("")
    page.get_by_label("Boiled water").press("Tab")
    people.fill("2")
    expect(warmth).to_have_accessible_description(re.compile("^There is nothing to cut"))
    warmth.fill("a few")
    warmth.press("Tab")
    expect(warmth).to_have_accessible_description("a few is no number; write it as 12 or 1.5")
    planned(page, lambda: warmth.fill("1,5"))
    assert linked(page)["fire"]["warmth_h"] == 1.5
    expect(page.locator(".fault")).to_have_count(0)


@pytest.mark.parametrize("width", [360, 1280])
def test_every_choice_is_shown_whole(opened: Open, width: int) -> None:
    """A field is as wide as its longest choice on a phone too; names of camp work and tools may end in an ellipsis."""
    page = opened(viewport={"width": width, "height": 844})
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    page.get_by_role("button", name="Add cutting").click()
    # A new row counts as it stands: the trip of the address has it.
    page.wait_for_function("() => atob(location.hash.split('=')[1].replaceAll('-', '+')).includes('tasks')")
    cut = page.evaluate("""() => [...document.querySelectorAll("select")]
        .filter(({ id, dataset }) => !["mine-like", "timed-tool"].includes(id) && !/camp_work.*id$/.test(dataset.path))
        .filter((select) => {
            const { width } = select.getBoundingClientRect();
            select.style.cssText = "inline-size: max-content; min-inline-size: max-content; max-inline-size: none";
            return select.getBoundingClientRect().width > width + 0.5;
        }).map(({ id, dataset }) => dataset.path ?? id)""")
    assert cut == []


def test_it_opens_without_a_network_once_loaded(browser: Browser, tmp_path: Path) -> None:
    """The service is gone after one visit: the page still opens with what was typed, and says what is the matter.

    The reload names the languages of its reader; the request by which the page was kept named none.
    """
    context = profile(browser, locale="en-GB")
    with served(tmp_path) as own:
        page = context.new_page()
        page.goto(own.url)
        loaded(page)
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        page.get_by_label("Nights").fill("7")
    page.reload()
    expect(page.get_by_label("Nights")).to_have_value("7")
    expect(page.get_by_role("alert").first).to_contain_text("be reached")
    context.close()


def test_a_reload_that_began_before_the_address_changed_loses_nothing(opened: Open) -> None:
    """It comes back to the address before; whoever opens that address anew has the trip that it holds."""
    page = loaded(opened())
    before = page.evaluate("location.hash")
    planned(page, lambda: page.get_by_label("Nights").fill("7"))
    assert linked(page)["nights"] == 7
    page.evaluate("hash => history.replaceState(null, '', hash)", before)
    page.reload()
    expect(page.get_by_label("Nights")).to_have_value("7")
    address = page.url.partition("#")[0] + before
    page.goto("about:blank")
    page.goto(address)
    expect(page.get_by_label("Nights")).not_to_have_value("7")


def test_the_packing_sheet_is_one_page_without_colours(opened: Open, server: Server) -> None:
    """A full example: ticks, carriers, minutes, edges, cautions, link; pages are counted by ISO 32000-1, 7.7.3.3."""
    trip = example_trips()["wet-autumn"]
    page = opened(fragment=fragment(trip))
    for paper in ("A4", "Letter"):
        printed = page.pdf(format=paper, print_background=False)
        assert len(re.findall(rb"/Type\s*/Page[^s]", printed)) == 1, paper
    page.emulate_media(media="print")
    sheet = page.locator("#sheet")
    answer = server.ask("/v1/kits", trip)
    for tool in answer["kit"]["tools"]:
        expect(sheet.locator("tr", has_text=tool["name"])).to_contain_text("☐")
    for words in (
        f"{answer['kit']['mass_g']:,.0f} g packed",
        "min of wood work a day",
        "Person 1",
        "Edges",
        "Take care",
    ):
        expect(sheet).to_contain_text(words)
    expect(sheet.get_by_role("link", include_hidden=True)).to_have_attribute("href", page.url)
    expect(page.locator("main")).to_be_hidden()


def test_axe_finds_nothing_and_320_px_need_no_sideways_scroll(opened: Open) -> None:
    """WCAG 2.2 A and AA and best practice by axe, light and dark: uncovered, wrong, all folds open; WCAG 1.4.10."""
    page = settled(opened(viewport={"width": 320, "height": 640}, reduced_motion="reduce"))
    page.evaluate("for (const fold of document.querySelectorAll('details')) fold.open = true")
    page.get_by_text("Only tools that I tick").click()
    page.get_by_label("Heaviest kit, g").fill("90")
    expect(page.locator("#relief .ways li")).to_have_count(1)
    page.get_by_label("People").fill("none")
    page.get_by_label("People").press("Tab")
    expect(page.locator(".fault").first).to_be_visible()
    long = ".tools .kind:nth-child(n+3), #assumed li:nth-child(n+4), #front tbody tr:nth-child(n+4)"
    page.evaluate(f"for (const more of document.querySelectorAll('{long}')) more.remove()")  # as the ones before them
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    axe = Axe()
    schemes: tuple[Literal["light", "dark"], ...] = ("light", "dark")
    for scheme in schemes:
        page.emulate_media(color_scheme=scheme)
        found = axe.run(page, options={"runOnly": RULES})
        assert found.violations_count == 0, found.generate_report()
