"""The element in real Chromium, on pages of another origin under a strict Content-Security-Policy."""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import Host, host, profile
from playwright.sync_api import Browser, Page, Route, expect
from server import Server, served
from waiting import LONG_S, until

from api.examples.invented import example_trips

Row = dict[str, Any]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
GRAMS_PER_OUNCE = 28.349523125  # international avoirdupois ounce, 1959
LEAST: Row = {"tasks": [{"task": "split", "diameter_mm": 140}], "detail": "kit"}
FIRE: Row = {  # invented
    "people": 3,
    "nights": 5,
    "tasks": [{"task": "saw", "diameter_mm": 120}, {"task": "split", "diameter_mm": 900}],
    "fire": {"hot_water_l_per_person": 2, "warmth_h": 2},
    "wood": {"state": "dead-wet"},
    "detail": "kit",
}
LISTEN = """
window.heard = [];
for (const name of ["kitwright-trip", "kitwright-answer", "kitwright-problem"])
  document.addEventListener(name, (event) => heard.push({ name, composed: event.composed, ...event.detail }));
document.addEventListener("securitypolicyviolation", (event) =>
  heard.push({ name: "violation", what: event.violatedDirective }));
"""
METRIC = re.compile(r"\d (?:mm|cm|cm2|cm3|m|km|g|kg|l|litres)\b|\u00b0?C\b")
SURVEY = example_trips()["stream-survey"]


@dataclass
class Place:
    """A service that lets one other origin in, and that origin."""

    service: Server
    host: Host
    browser: Browser
    open_pages: list[Page] = field(default_factory=list)

    def policy(self) -> str:
        """What the strictest host page has to allow, and no more."""
        url = self.service.url
        return (
            f"default-src 'none'; script-src {url}/embed/v1.5.0/; connect-src {url}; base-uri 'none'; "
            "form-action 'none'; frame-ancestors 'none'; require-trusted-types-for 'script'; trusted-types 'none'"
        )

    def html(self, tag: str, *, script: str = "", html: str = "") -> str:
        """A page around the element."""
        source = f'src="{self.service.url}/embed/v1.5.0/kitwright.js" crossorigin="anonymous"'
        return (
            f'<meta name="viewport" content="width=device-width"><script type="module" {source} {script}></script>'
            f"</head><body {html}><main><h1>A club's page</h1>{tag}</main></body>"
        )

    def page(self, **options: Any) -> Page:
        """A page in a window of its own that notes events and everything that goes wrong."""
        page = profile(self.browser, **options).new_page()
        self.open_pages.append(page)
        page.add_init_script(LISTEN)
        return page

    def show(
        self, tag: str = "<kitwright-kit></kitwright-kit>", *, script: str = "", html: str = "", **options: Any
    ) -> Page:
        """A strict page with the element in it."""
        page = self.page(**options)
        page.goto(self.host.put("/strict", self.html(tag, script=script, html=html), policy=self.policy()))
        return page

    def answer(self, trip: Row, **query: str) -> Row:
        """What the service says to a program."""
        found: Row = httpx.post(f"{self.service.url}/v1/kits", json=trip, params=query, timeout=LONG_S).json()
        return found


@pytest.fixture(scope="module")
def serving(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    """One service and one other origin for all tests here."""
    with (
        host() as other,
        served(tmp_path_factory.mktemp("embed"), cors_origins=other.url, frame_ancestors=other.url) as service,
    ):
        yield Place(service, other, browser)


@pytest.fixture
def place(serving: Place) -> Iterator[Place]:
    """The same, with every page closed after the test."""
    yield serving
    while serving.open_pages:
        serving.open_pages.pop().context.close()


def plan(page: Page, trip: Row) -> Row | None:
    """The answer to a trip set from a script."""
    script = (
        "async (trip) => { const kit = document.querySelector('kitwright-kit'); kit.trip = trip; return kit.plan(); }"
    )
    answer: Row | None = page.evaluate(script, trip)
    return answer


def heard(page: Page, name: str) -> list[Row]:
    """The events of a name that reached the document."""
    events: list[Row] = page.evaluate("heard")
    return [event for event in events if event["name"] == name]


def violations(page: Page) -> list[str]:
    """What axe finds, in the page and in the element."""
    options = {"runOnly": RULES, "resultTypes": ["violations"]}
    found = Axe().run(page, options=options).response["violations"]
    return [f"{one['id']}: {[node['html'] for node in one['nodes']]}" for one in found]


def answering(body: str) -> Callable[[Route], None]:
    """Something in place of the service that says the same to everything."""
    return lambda route: route.fulfill(body=body, headers={"Access-Control-Allow-Origin": "*"})


def width(page: Page) -> int:
    """How wide the page wants to be [px]."""
    wide: int = page.evaluate("document.documentElement.scrollWidth")
    return wide


def test_a_trip_is_planned_with_the_keyboard_alone_on_a_strict_page(place: Place) -> None:
    """Tab, type, Enter; the answer is the one that programs get; nothing breaks the page's policy."""
    page = place.show()
    page.keyboard.press("Tab")
    page.keyboard.type("Saw")
    page.keyboard.press("Tab")
    page.keyboard.press("Control+a")
    page.keyboard.type("95")
    outline = "getComputedStyle(document.querySelector('kitwright-kit').shadowRoot.activeElement).outline"
    assert "solid 3px" in page.evaluate(outline)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="In the pack")).to_be_visible()
    (event,) = heard(page, "kitwright-answer")
    assert event["composed"]
    assert event["trip"]["tasks"][0] == {"task": "saw", "diameter_mm": 95, "per_day": 8}
    assert heard(page, "kitwright-trip")[-1]["trip"] == event["trip"]
    expected = place.answer(event["trip"])
    assert event["answer"] == expected
    assert page.evaluate("document.querySelector('kitwright-kit').answer") == expected
    expect(page.get_by_role("status")).to_contain_text(f"{expected['kit']['mass_g']:g} g")
    for tool in expected["kit"]["tools"]:
        expect(page.get_by_role("heading", name=tool["name"])).to_be_visible()
    for caution in expected["cautions"]:
        expect(page.get_by_text(caution["text"])).to_be_visible()
    assert heard(page, "violation") == []
    place.service.logged("OPTIONS /v1/kits")  # the browser asks first whether the page may


def test_the_first_things_told_are_the_mass_the_minutes_and_whether_it_is_proven(place: Place) -> None:
    """And an uncovered trip says so, with its gaps, and no mass as if it were the answer."""
    page = place.show()
    for trip, first, word in (
        (LEAST, "MASS", "The lightest, proven"),
        (FIRE, "Not all covered", "Not all of it can be covered"),
    ):
        answer = plan(page, trip)
        assert answer == place.answer(trip)
        told = page.locator("[part=total]").inner_text()
        assert told.startswith(first.replace("MASS", f"{answer['kit']['mass_g']:g} g"))
        assert f"{answer['kit']['work_min_per_day']:.0f} min" in told
        assert word in told
    for gap in answer["gaps"]:
        expect(page.locator("[part=gaps]")).to_contain_text(gap["text"])
    shown = page.locator("[part=result]").inner_text()
    for working in answer["workings"]:
        for part in working["split"]:
            assert f"Firewood split: {working['diameter_mm']:g} mm" in shown
            assert f"{part['spare_mm']:g} mm to spare" in shown or part["spare_mm"] == 0


def test_a_tool_that_only_serves_another_way_of_working_says_so(place: Place) -> None:
    """A knife that only stays in the pack: the reason of the service stands where its own work would."""
    page = place.show()
    answer = plan(page, LEAST | {"nights": 2, "only": ["folding-knife-60", "hatchet-600"]})
    (tool,) = [one for one in answer["kit"]["tools"] if one["does"] == ["knife"]]
    (reason,) = [one["text"] for one in answer["reasons"] if one["tool"] == tool["id"]]
    expect(page.locator("[part=tool]", has_text=tool["name"])).to_contain_text(reason)


def test_several_of_a_tool_the_parts_of_a_day_the_hearth_and_own_figures_are_shown(place: Place) -> None:
    """A knife each: their number, the grams of one and of all; a stove with grams of its own; a figure of the trip."""
    page = place.show()
    fire = {"warmth_h": 2, "hearth": "tent-stove"}
    work = {"tasks": [{"task": "saw", "diameter_mm": 100, "per_day": 60}], "fire": fire}
    party = {"people": 2, "nights": 2, "knife": "each", "only": ["folding-knife-60", "folding-saw-240"]}
    answer = plan(page, work | party | {"assumptions": {"saw_rate": 240}, "detail": "kit"})
    (knife,) = [tool for tool in answer["kit"]["tools"] if tool["count"] == 2]
    row = page.locator("[part=tool]", has_text=f"2 \u00d7 {knife['name']}, {knife['mass_g']:g} g each")
    expect(row).to_contain_text(f"{2 * knife['mass_g']:g} g")
    expect(page.get_by_role("status")).to_contain_text("3 tools")
    minutes = answer["kit"]["minutes"]
    assert minutes["rest"] > 0
    for part, text in re.findall(r"(\w+) ([\d.]+) min", page.locator("[part=minutes]").inner_text()):
        assert float(text) == pytest.approx(minutes.pop(part.lower()), abs=0.5)
    assert minutes == {}
    stove = page.locator("[part=hearth]")
    expect(stove).to_contain_text(f"{answer['hearth']['thickest_mm']:g} mm thick")
    expect(stove).to_contain_text(f"Some {answer['hearth']['mass_g']:,.0f} g of its own")
    page.locator("[part=assumptions] summary").click()
    expect(page.locator("[part=assumptions] li", has_text="yours; assumed")).to_contain_text("240")


def test_a_kit_that_is_not_proven_says_so(place: Place) -> None:
    """The words of the status feasible, with what a better kit could still save; a real answer, its status changed."""
    page = place.show()
    answer = place.answer(LEAST)
    open_proof = answer["proof"] | {"gap_g": 30.0}
    page.route("**/v1/kits", answering(json.dumps(answer | {"status": "feasible", "proof": open_proof})))
    assert plan(page, LEAST)
    expect(page.locator("[part=total]")).to_contain_text(
        re.compile("Best found, not proven.*30 g less is not ruled out")
    )


def test_a_switch_of_units_asks_nobody_again(place: Place) -> None:
    """Ounces as the service works them out itself; millimetres typed in inches (25.4 mm by definition)."""
    page = place.show()
    answer = plan(page, LEAST)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.evaluate("document.querySelector('kitwright-kit').units = 'us'")
    assert page.locator("[part=mass]").inner_text() == f"{answer['kit']['mass_g'] / GRAMS_PER_OUNCE:.1f} oz"
    thickness = page.get_by_label("Thickness, in")
    assert thickness.input_value() == "5.51"
    people = page.get_by_label("People")
    people.fill("3")
    assert heard(page, "kitwright-trip")[-1]["trip"]["tasks"] == LEAST["tasks"], "what is not touched stays exact"
    thickness.fill("4")
    assert heard(page, "kitwright-trip")[-1]["trip"]["tasks"][0]["diameter_mm"] == 101.6
    assert asked == []
    expect(page.get_by_role("status")).to_contain_text("has changed")
    page.evaluate("document.querySelector('kitwright-kit').units = 'metric'")
    assert page.get_by_label("Thickness, mm").input_value() == "101.6"


def test_a_reader_of_us_units_meets_no_metric_figure(place: Place) -> None:
    """Names, reasons, gaps, cautions and small prices too: 250 mm is 9.8 in, 2 g are less than 0.1 oz."""
    page = place.show('<kitwright-kit units="us"></kitwright-kit>')
    whole = page.locator("[part=result]")
    plan(page, SURVEY)
    expect(page.locator("[part=tools]")).to_contain_text("Folding saw, 9.4 in blade")  # 240 mm / 25.4
    page.locator("[part=assumptions] summary").click()
    expect(page.locator("[part=assumptions]")).to_contain_text("sq in of cut face a minute")
    assert METRIC.findall(whole.inner_text()) == []
    near = {"saw_score": 5, "saw_max_mm": 300}
    rows = [{"id": "a", "name": "Saw, 1 to 2 kg", "mass_g": 300, **near}, {"id": "b", "mass_g": 301, **near}]
    plan(page, {"tasks": [{"task": "saw", "diameter_mm": 100}], "tools": rows, "knife": "none"})
    expect(whole).to_contain_text("Saw, 2.2 lb to 4.4 lb")
    expect(whole).to_contain_text("the lightest kit weighs less than 0.1 oz more")
    plan(page, {"tasks": [{"task": "saw", "diameter_mm": 500}], "tools": rows, "knife": "none"})
    expect(page.locator("[part=gaps]")).to_contain_text(" in")
    assert METRIC.findall(whole.inner_text()) == []


def test_numbers_are_written_and_read_as_the_language_does(place: Place) -> None:
    """German: 1.250 g, 82,5 (CLDR, from memory); what could mean two numbers is not guessed at."""
    page = place.show('<kitwright-kit lang="de"></kitwright-kit>')
    heavy = LEAST | {"tools": [{"id": "a", "mass_g": 1250, "split_score": 5, "split_max_mm": 300}]}
    assert plan(page, heavy)
    assert page.locator("[part=mass]").inner_text() == "1.250 g"
    thickness = page.get_by_label("Thickness, mm")
    thickness.fill("82,5")
    assert heard(page, "kitwright-trip")[-1]["trip"]["tasks"][0]["diameter_mm"] == 82.5
    thickness.fill("1.250")
    thickness.press("Enter")
    expect(thickness).to_have_attribute("aria-invalid", "true")
    (problem,) = heard(page, "kitwright-problem")
    assert [fault["pointer"] for fault in problem["problem"]["errors"]] == ["#/tasks/0/diameter_mm"]


def test_what_the_service_refuses_stands_beside_its_field(place: Place) -> None:
    """By the pointer of the problem; the first such field gets the focus; a corrected one is clean again."""
    page = place.show()
    page.evaluate(
        "(trip) => { document.querySelector('kitwright-kit').trip = trip; }",
        LEAST | {"people": 99, "wood": {"species": "none"}, "must_carry": ["no-such-tool"], "name": "a\nb"},
    )
    thickness, people = page.get_by_label("Thickness, mm"), page.get_by_label("People")
    thickness.fill("9000")
    thickness.press("Enter")
    expect(thickness).to_be_focused()
    expect(thickness).to_have_accessible_description("9000 is outside 1 to 3000 mm")
    expect(people).to_have_accessible_description(re.compile("50"))
    expect(page.get_by_role("status")).to_contain_text("#/name")
    problem = heard(page, "kitwright-problem")[-1]["problem"]
    assert (problem["status"], problem["type"]) == (422, f"{place.service.url}/problems/invalid-input")
    page.evaluate("(trip) => { document.querySelector('kitwright-kit').trip = trip; }", LEAST)
    people.fill("2")
    people.press("Enter")
    expect(page.locator("[part=mass]")).to_be_visible()
    assert page.locator("[aria-invalid]").count() == 0


def test_us_units_hold_for_water_and_for_what_is_refused(place: Place) -> None:
    """Quarts in the form, litres in the trip (0.946352946 l a US quart, by definition); faults in inches."""
    page = place.show('<kitwright-kit units="us"></kitwright-kit>')
    page.get_by_label("Hot water, quarts each").fill("2")
    assert page.evaluate("document.querySelector('kitwright-kit').trip.fire.hot_water_l_per_person") == 1.893
    thickness = page.get_by_label("Thickness, in").first
    thickness.fill("200")
    thickness.press("Enter")
    told = "200 in (5080 mm) is outside 0.04 to 118.11 in (1 to 3000 mm)"
    expect(thickness).to_have_accessible_description(told)
    page.evaluate("document.querySelector('kitwright-kit').units = 'metric'")
    assert page.get_by_label("Hot water, litres each").input_value() == "1.89"


def test_rows_of_work_are_added_and_taken_away(place: Place) -> None:
    """The focus stays where the person works; without any work the service's word is shown with the list."""
    page = place.show()
    page.get_by_role("button", name="Add work").click()
    expect(page.get_by_label("Kind of work").nth(3)).to_be_focused()
    assert len(heard(page, "kitwright-trip")[-1]["trip"]["tasks"]) == 4
    for _ in range(4):
        page.get_by_role("button", name="Remove work 1").click()
    expect(page.get_by_role("button", name="Add work")).to_be_focused()
    page.keyboard.press("Tab")
    page.get_by_label("Nights").press("Enter")
    expect(page.get_by_role("group", name="Wood work each day")).to_have_accessible_description(re.compile("fire|task"))
    page.get_by_label("Warmth, hours").fill("1")
    page.get_by_label("Warmth, hours").press("Enter")
    expect(page.locator("[part=mass]")).to_be_visible()
    assert heard(page, "kitwright-answer")[0]["trip"]["fire"] == {"warmth_h": 1}


def test_a_host_page_brings_its_own_form_and_its_own_look(place: Place) -> None:
    """form="none" plans the attribute's trip at once; custom properties and parts reach inside."""
    trip = json.dumps(LEAST).replace('"', "&quot;")
    page = place.page()
    rules = "kitwright-kit { --kitwright-slate: rgb(1, 2, 3); } kitwright-kit::part(mass) { font-size: 77px; }"
    tag = f'<kitwright-kit form="none" trip="{trip}"></kitwright-kit>'
    page.goto(place.host.put("/own", f"<style>{rules}</style>{place.html(tag)}"))
    total = page.locator("[part=total]")
    expect(total).to_have_css("background-color", "rgb(1, 2, 3)")
    expect(page.locator("[part=mass]")).to_have_css("font-size", "77px")
    expect(page.get_by_role("form", name="Trip")).to_be_hidden()
    assert page.evaluate("document.querySelector('kitwright-kit').trip") == LEAST
    page.evaluate("document.querySelector('kitwright-kit').setAttribute('trip', '[1]')")
    expect(page.get_by_role("status")).to_contain_text("JSON object")
    assert "object" in page.evaluate("try { document.querySelector('kitwright-kit').trip = 3 } catch (e) { e.message }")


STYLES = """() => JSON.stringify(
  [...document.querySelector("kitwright-kit").shadowRoot.querySelectorAll("*")].map((one) => {
    const style = getComputedStyle(one);
    return [one.outerHTML.slice(0, 80), Object.fromEntries([...style].map((name) => [name, style[name]]))];
  }))"""
NARROW = "kitwright-kit { inline-size: 600px; position: absolute; inset: 0 auto auto 0; }"
RUDE = """
html { font-size: 62.5%; }
body { cursor: wait; font: italic 900 40px/3 cursive; hyphens: auto; letter-spacing: 0.3em; text-align: center;
  text-indent: 3em; text-shadow: 1px 1px red; text-transform: uppercase; white-space: pre; word-break: break-all; }
* { border: 3px solid red; box-sizing: content-box; margin: 9px; padding: 9px; }
button, input, select, h2, li { background: red !important; color: blue !important; font: 50px cursive !important; }
kitwright-kit { border: 0; margin: 0; padding: 0; }
"""


def test_a_page_gives_the_element_nothing_but_what_is_documented(place: Place) -> None:
    """Every computed style inside is the same on a bare page and on one with rude rules; what is documented counts."""
    found = {}
    for name, rules in (("bare", ""), ("rude", RUDE)):
        page = place.page(viewport={"width": 700, "height": 900})
        tag = "<kitwright-kit></kitwright-kit>"
        page.goto(place.host.put(f"/{name}", f"<style>{rules}{NARROW}</style>{place.html(tag)}"))
        assert plan(page, LEAST)
        found[name] = json.loads(page.evaluate(STYLES))
    bare, rude = found["bare"], found["rude"]
    assert len(bare) == len(rude) > 100
    for (one, plain), (_, dressed) in zip(bare, rude, strict=True):
        assert {key: (plain[key], dressed[key]) for key in plain if plain[key] != dressed[key]} == {}, one
    page.evaluate(
        "const { style } = document.querySelector('kitwright-kit');"
        "style.setProperty('--kitwright-font', 'Georgia, serif'); style.setProperty('--kitwright-size', '20px')"
    )
    styles = [style for _, style in json.loads(page.evaluate(STYLES))]
    assert {style["font-family"] for style in styles} == {"Georgia, serif"}
    assert {style["font-size"] for style in styles if "px" in style["font-size"]} >= {"20px", "17.5px", "21px"}
    assert brightness(styles[0]["background-color"]) > 192


def test_words_are_of_one_language_whatever_the_page_speaks(place: Place) -> None:
    """Only the signs of a number follow the page's language: the words are those that an English page has."""

    def told(language: str) -> str:
        page = place.show(f'<kitwright-kit lang="{language}"></kitwright-kit>')
        assert plan(page, FIRE)
        text = page.evaluate("document.querySelector('kitwright-kit').shadowRoot.querySelector('.whole').innerText")
        return re.sub(r"[\d.,'\u2019\s]", "", text)

    english = told("en")
    assert "minofwoodworkaday" in english
    for language in ("de", "ar-EG", "fa-IR", "fr-CH"):
        assert told(language) == english, language


def test_what_was_set_before_the_module_came_counts(place: Place) -> None:
    """Properties on an element that is not defined yet."""
    page = place.page()
    script = f"kit = document.querySelector('kitwright-kit'); kit.trip = {json.dumps(FIRE)}; kit.units = 'us'"
    page.goto(place.host.put("/early", place.html(f"<kitwright-kit></kitwright-kit><script>{script}</script>")))
    expect(page.get_by_label("Thickness, in").first).to_have_value("4.72")
    assert page.evaluate("[kit.units, kit.trip.people]") == ["us", 3]


def test_a_wrong_hash_keeps_the_module_out(place: Place) -> None:
    """W3C Subresource Integrity, judged by the browser; the inventory's hash lets it in."""
    *_, one = httpx.get(f"{place.service.url}/embed/", timeout=LONG_S).json()["items"]
    tag = "<kitwright-kit>No module, no kit.</kitwright-kit>"
    page = place.show(tag, script=f'integrity="{one["integrity"]}"')
    expect(page.get_by_role("button", name="Find the lightest kit")).to_be_visible()
    page = place.show(tag, script=f'integrity="sha384-{"A" * 64}"')
    expect(page.get_by_text("No module, no kit.")).to_be_visible()
    assert not page.evaluate("Boolean(customElements.get('kitwright-kit'))")


def test_a_page_outside_the_list_is_refused(place: Place) -> None:
    """CORS, enforced by the browser; the element says what happened."""
    with host() as stranger:
        page = place.page()
        page.goto(stranger.put("/", place.html("<kitwright-kit></kitwright-kit>")))
        assert plan(page, LEAST) is None
        expect(page.get_by_role("status")).to_contain_text(f"does not let pages of {stranger.url} ask it")
        assert heard(page, "kitwright-problem")[0]["problem"]["title"] == "The service cannot be reached"


def test_a_service_that_is_gone_is_told(place: Place) -> None:
    """And so is one whose answer is no answer; the form stays usable."""
    page = place.page()
    page.goto(place.host.put("/gone", place.html('<kitwright-kit service="http://127.0.0.1:9"></kitwright-kit>')))
    assert plan(page, LEAST) is None
    expect(page.get_by_role("status")).to_contain_text("http://127.0.0.1:9/ does not answer")
    for body in ("<p>", "[]", '{"status": "optimal"}', "null"):
        page.route("**/v1/kits", answering(body))
        assert plan(page, LEAST) is None
        expect(page.get_by_role("status")).to_contain_text("no readable answer")
        page.unroute("**/v1/kits")
    page.evaluate("document.querySelector('kitwright-kit').removeAttribute('service')")
    assert plan(page, LEAST)


def test_a_slow_answer_never_replaces_a_newer_one(place: Place) -> None:
    """The first request is held back until the second has answered; both callers get the newer answer."""
    page = place.page()
    held: list[Route] = []

    def hold_the_first(route: Route) -> None:
        if route.request.method == "POST" and not held:
            held.append(route)
        else:
            route.continue_()

    page.route("**/v1/kits", hold_the_first)
    page.goto(place.host.put("/slow", place.html("<kitwright-kit></kitwright-kit>")))
    failed: list[str] = []
    page.on("requestfailed", lambda request: failed.append(request.failure or ""))
    start = """(trip) => {
        const kit = document.querySelector('kitwright-kit');
        kit.trip = trip;
        (window.both ??= []).push(kit.plan());
    }"""
    page.evaluate(start, FIRE)
    until(lambda: held, "the first request", pause=lambda: page.wait_for_timeout(20))
    page.evaluate(start, LEAST)
    mass = f"{place.answer(LEAST)['kit']['mass_g']:g} g"
    expect(page.locator("[part=mass]")).to_have_text(mass)
    until(lambda: failed, "an end to the first request", pause=lambda: page.wait_for_timeout(20))
    assert failed == ["net::ERR_ABORTED"], "the service is not kept busy with what nobody waits for"
    (late,) = held
    late.fulfill(json=place.answer(FIRE), headers={"Access-Control-Allow-Origin": "*"})
    page.wait_for_timeout(200)  # for what must not come: a busy machine lets it pass, never fail
    assert page.locator("[part=mass]").inner_text() == mass
    first, second = page.evaluate("Promise.all(both)")
    assert first == second == place.answer(LEAST)
    assert len(heard(page, "kitwright-answer")) == 1


def test_text_of_the_service_stays_text(place: Place) -> None:
    """A tool of the user's own whose name is markup."""
    page = place.show()
    name = "<img src=x onerror=heard.push(1)><script>heard.push(2)</script>"
    tool = {"id": "a", "name": name, "mass_g": 1, "split_score": 5, "split_max_mm": 300}
    assert plan(page, LEAST | {"tools": [tool]})
    assert page.get_by_role("heading", level=3).first.inner_text() == name
    assert page.locator("kitwright-kit img, kitwright-kit script").count() == 0


@pytest.mark.parametrize("html", ["", 'dir="rtl" lang="ar"'], ids=["left to right", "right to left"])
def test_it_fits_a_window_of_320_pixels(place: Place, html: str) -> None:
    """WCAG 2.2, 1.4.10 Reflow: no scrolling sideways, before and after, with words that never break."""
    page = place.show(html=html, viewport={"width": 320, "height": 640})
    assert width(page) == 320
    tool = {"id": "a" * 60, "name": "w" * 120, "mass_g": 49_999.99, "split_score": 5, "split_max_mm": 300}
    assert plan(page, LEAST | {"tools": [tool]})
    assert width(page) == 320
    assert plan(page, FIRE | {"must_carry": ["x" * 60]}) is None
    assert width(page) == 320


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(place: Place, scheme: str) -> None:
    """axe-core by WCAG 2.2 A and AA and its best practice: empty, answered, uncovered, out of date, refused."""
    page = place.show(color_scheme=scheme)
    assert violations(page) == []
    plan(page, LEAST | {"detail": "full", "alternatives": 0})
    assert violations(page) == []
    plan(page, FIRE)
    page.get_by_text("Assumed, not known").click()
    assert violations(page) == []
    page.get_by_label("People").fill("99")
    assert violations(page) == []
    page.get_by_label("People").press("Enter")
    expect(page.locator("[aria-invalid]")).to_have_count(1)
    assert violations(page) == []


def test_axe_sees_into_the_element(place: Place) -> None:
    """A label taken away inside is found: the test above can fail."""
    page = place.show()
    page.evaluate("document.querySelector('kitwright-kit').shadowRoot.querySelector('label').remove()")
    assert any(one.startswith("select-name") for one in violations(page))


def test_dark_follows_the_reader_and_the_host_may_hold_it_light(place: Place) -> None:
    """prefers-color-scheme, and color-scheme on the element."""
    page = place.show(color_scheme="dark")
    whole = "getComputedStyle(document.querySelector('kitwright-kit').shadowRoot.querySelector('[part=whole]'))"
    dark, text = page.evaluate(f"[{whole}.backgroundColor, {whole}.color]")
    page.evaluate("document.querySelector('kitwright-kit').style.colorScheme = 'light'")
    assert page.evaluate(f"[{whole}.backgroundColor, {whole}.color]") != [dark, text]
    assert brightness(dark) < 64 < 192 < brightness(text)
    assert brightness(page.evaluate(f"{whole}.backgroundColor")) > 192


def brightness(color: str) -> float:
    """The mean of red, green and blue, 0-255."""
    return sum(int(one) for one in re.findall(r"\d+", color)[:3]) / 3


def test_forced_colors_keep_the_total_in_a_frame(place: Place) -> None:
    """Where backgrounds are taken away, borders say what belongs together."""
    page = place.show(forced_colors="active")
    plan(page, LEAST)
    expect(page.locator("[part=total]")).to_have_css("border-top-style", "solid")
    assert violations(page) == []


FRAME = '<iframe title="Kit" sandbox="{}" src="{}/embed/frame?units=us#trip={}"></iframe>'
NOTES = """<script>
addEventListener("message", ({ data }) => heard.push({ name: data.type, ...data }));
</script>"""


def test_a_sandboxed_frame_plans_and_tells_its_host(place: Place) -> None:
    """sandbox without same-origin would have the origin null, which CORS refuses; heights come by postMessage."""
    page = place.page()
    trip = httpx.QueryParams({"t": json.dumps(LEAST)})
    frame = FRAME.format("allow-scripts allow-same-origin allow-forms", place.service.url, str(trip).removeprefix("t="))
    page.goto(place.host.put("/frame", f"</head><body>{NOTES}<main>{frame}</main></body>"))
    inside = page.frame_locator("iframe")
    expect(inside.get_by_label("Thickness, in")).to_have_value("5.51")
    inside.get_by_label("Thickness, in").press("Enter")
    answer = place.answer(LEAST)
    expect(inside.locator("[part=mass]")).to_have_text(f"{answer['kit']['mass_g'] / GRAMS_PER_OUNCE:.1f} oz")
    page.wait_for_function("heard.some((one) => one.name === 'kitwright-answer')")
    (told,) = heard(page, "kitwright-answer")
    assert told["source"] == "kitwright"
    assert told["detail"]["answer"] == answer
    (frame,) = page.frames[1:]

    def heights() -> list[float]:
        return [one["height"] for one in heard(page, "kitwright-height")]

    def told_height() -> bool:
        height = frame.evaluate("document.body.getBoundingClientRect().height")
        return bool(height == pytest.approx(heights()[-1], abs=1))

    until(told_height, "the height of the frame", pause=lambda: page.wait_for_timeout(20))
    assert heights()[-1] > heights()[0] > 300


def test_another_ancestor_gets_no_frame(place: Place) -> None:
    """frame-ancestors, enforced by the browser."""
    with host() as stranger:
        page = place.page()
        frame = FRAME.format("allow-scripts allow-same-origin allow-forms", place.service.url, "")
        page.goto(stranger.put("/", f"</head><body>{frame}</body>"))
        (inside,) = page.frames[1:]
        refused = "chrome-error://"
        until(lambda: inside.url.startswith(refused), "a refusal", pause=lambda: page.wait_for_timeout(20))
