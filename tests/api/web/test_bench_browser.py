"""The bench at /bench in real Chromium, as a maker uses it, against what the service says to a program."""

import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import profile, watched_pages
from playwright.sync_api import Browser, Page, Route, expect
from server import Server
from waiting import LONG_S, until

from catalog.drawings.blade import BladeDrawing, tips

Row = dict[str, Any]
Open = Callable[..., Page]

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PHONE = {"width": 360, "height": 740}  # common practice, no source: a small phone held upright
NARROW_PX = 320  # WCAG 2.2, 1.4.10 Reflow
TABLES = "new URL(document.querySelector('link[href$=\"tables.json\"]').href).pathname"
AREA = """() => {
  const points = [...document.querySelector('.picture svg .steel').points];
  const next = i => points[(i + 1) % points.length];
  return Math.abs(points.reduce((sum, p, i) => sum + p.x * next(i).y - next(i).x * p.y, 0)) / 2;
}"""


@pytest.fixture
def opened(browser: Browser, server: Server) -> Iterator[Open]:
    """Opens the bench in a fresh profile; a test fails on any console error."""
    with watched_pages(browser, known=("ERR_INTERNET_DISCONNECTED",)) as opening:

        def open_page(*, address: str = "/bench", **options: Any) -> Page:
            return answered(opening(f"{server.url}{address}", **options))

        yield open_page


def answered(page: Page) -> Page:
    """The page once the kits are told."""
    expect(page.locator("#kits .two")).to_be_visible()
    return page


def kept(page: Page) -> Row:
    """What the device keeps."""
    found: Row = json.loads(page.evaluate("localStorage.getItem('kitwright-bench')"))
    return found


def grams(text: str) -> float:
    """The first figure of a text."""
    return float(re.findall(r"[\d,.]*\d", text)[0].replace(",", ""))


def test_what_is_done_before_the_tables_come_is_not_lost(browser: Browser, server: Server) -> None:
    """A tool is added, units are chosen and a name is typed while the tables are on their way."""
    context = profile(browser, locale="en-GB")
    page = context.new_page()
    held: list[Route] = []
    let_on: list[bool] = []  # once it holds something, requests pass
    page.route("**/tables.json", lambda route: route.continue_() if let_on else held.append(route))
    page.goto(f"{server.url}/bench", wait_until="domcontentloaded")
    until(lambda: held, "the request for the tables", pause=lambda: page.wait_for_timeout(20))
    page.get_by_role("button", name="+ axe").click()
    page.get_by_label("oz, in").check()
    page.get_by_label("Its name").fill("Invented: my first axe")
    let_on.append(True)
    for route in held:
        route.continue_()
    answered(page)
    expect(page.locator("#tabs button")).to_have_count(3)
    expect(page.locator("#tabs [aria-pressed=true]")).to_contain_text(re.compile(r"^Axe, [\d.]+ oz$"))
    expect(page.get_by_label("Its name")).to_have_value("Invented: my first axe")
    assert kept(page)["tools"][2]["name"] == "Invented: my first axe"
    context.close()


def test_inches_with_a_fraction_are_read_as_in_the_planner(opened: Open) -> None:
    """An international inch is 25.4 mm; without a sign a fraction is of inches where the fields are."""
    page = opened()
    length = page.get_by_label("Length, handle to tip", exact=True)

    def is_kept(mm: float) -> None:
        def has() -> bool:
            return bool(kept(page)["tools"][0]["drawing"]["blade"]["length_mm"] == mm)

        until(has, f"{mm} mm kept", pause=lambda: page.wait_for_timeout(20))

    length.fill('4 1/2"')
    is_kept(114.3)
    page.get_by_label("oz, in").check()
    length.fill("3\u00be")
    is_kept(95.25)
    length.fill("4 1/4")
    is_kept(107.95)


def faults_of_axe(page: Page) -> list[str]:
    """What axe finds, contrast included."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": RULES}}).response
    return [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in found["violations"]]


def test_a_maker_sees_at_once_whether_a_knife_and_a_saw_replace_hatchet_and_knife(opened: Open, server: Server) -> None:
    """By how many grams, what the drawn knife may weigh, the lightest kit without and with: as a program is told."""
    page = opened()
    (knife, saw), rivals = kept(page)["tools"], kept(page)["rivals"]
    assert rivals == ["hatchet-600", "fixed-knife-90"]
    trip = json.loads(httpx.get(f"{server.url}{page.evaluate(TABLES)}", timeout=LONG_S).text)["trips"][0]["trip"]
    rows = [server.ask("/v1/designs/score", one)["tool"] for one in (knife, saw)]
    theirs = server.ask("/v1/kits/check", {"kit": rivals, "trip": trip})
    ours = server.ask("/v1/kits/check", {"kit": [one["id"] for one in rows], "trip": trip | {"extra_tools": rows}})
    assert theirs["covered"] and ours["covered"]
    less = theirs["kit"]["mass_g"] - ours["kit"]["mass_g"]
    assert less > 0
    expect(page.locator("#verdict .big")).to_have_text(f"{less:.0f} g lighter")
    may = server.ask("/v1/designs/allowance", {"design": knife, "trip": trip | {"extra_tools": rows[1:]}})
    expect(page.locator("#allowance")).to_contain_text(f"Up to {may['allowance_g']:.0f} g packed")
    expect(page.locator("#allowance")).to_contain_text(f"{may['allowance_p20_g']:.0f} g in four of five")
    for column, tools in (("Without yours", []), ("With yours", rows)):
        kit = server.ask("/v1/kits", trip | {"extra_tools": tools, "detail": "kit"})["kit"]
        assert grams(page.locator("#kits .two div", has_text=column).locator("p").inner_text()) == round(kit["mass_g"])
    least = server.ask("/v1/designs/minimum-section", {"design": knife})["spine"]["least"]
    page.get_by_role("button", name=f"Draw {least:g} mm").click()
    expect(page.get_by_label("Spine at the handle", exact=True)).to_have_value(f"{least:g}")
    expect(page.locator("#tool")).to_contain_text("First to fail: ")
    expect(page.locator("#tool")).to_contain_text(", as drawn.")


def test_what_is_drawn_moves_with_slider_and_number_and_faults_stand_at_their_fields(opened: Open) -> None:
    """A comma is a point; what cannot be drawn keeps the last answer, and says so beside the field that is wrong."""
    page = opened()
    spine, slider = (
        page.get_by_label("Spine at the handle", exact=True),
        page.get_by_label("Spine at the handle, slider"),
    )
    before = grams(page.locator("#tabs button").first.inner_text().partition(", ")[2])
    spine.fill("3,5")
    expect(slider).to_have_value("3.5")
    expect(page.locator("#tabs button").first).not_to_have_text(re.compile(f"{before:.0f} g"))
    slider.focus()
    slider.press("ArrowRight")
    expect(spine).to_have_value("3.55")
    spine.fill("20")
    fault = page.locator("#f-drawing-blade-spine_mm-fault")
    expect(fault).to_have_text("20 must be at most 12")
    assert spine.get_attribute("aria-invalid") == "true"
    expect(page.locator("#told")).to_contain_text("cannot be drawn")
    assert faults_of_axe(page) == []
    spine.fill("4")
    expect(fault).to_be_hidden()
    expect(page.locator("#told")).to_be_hidden()
    page.get_by_label("Tang", exact=True).select_option("hidden")
    expect(page.get_by_label("Length of the tang", exact=True)).to_be_visible()
    page.get_by_label("Grind", exact=True).select_option("saber")
    expect(page.get_by_label("Height of the grind", exact=True)).to_be_visible()
    page.get_by_label("Grade").select_option("A2")
    expect(page.locator("#hardness-hint")).to_have_text("A2 is usually 57 to 62 HRC.")
    expect(page.locator("#tool")).not_to_contain_text("1095")


def test_nothing_is_lost(opened: Open, server: Server) -> None:
    """Reload, an address in a fresh profile, a file, and a service that cannot be reached."""
    page = opened()
    page.get_by_role("button", name="Folding saw").click()
    page.get_by_label("Toothed length", exact=True).fill("195")
    page.get_by_label("Its name").fill("Invented: a saw")
    answered(page.reload() and page)
    expect(page.get_by_label("Toothed length", exact=True)).to_have_value("195")
    other = opened(address=page.url.removeprefix(server.url))
    assert kept(other) == kept(page)
    with other.expect_download() as waiting:
        other.get_by_role("button", name="Download this design (JSON)").click()
    design = json.loads(waiting.value.path().read_text("utf-8"))
    assert design == kept(page)["tools"][1]
    assert server.ask("/v1/designs/score", design)["tool"]["edge_mm"] == 195
    file = {"name": "axe.json", "mimeType": "application/json"}
    axe = {
        "id": "x",
        "drawing": {"form": "axe", "head_mass_g": 500, "bit_width_mm": 80, "handle": design["drawing"]["handle"]},
    }
    other.locator("#open").set_input_files({**file, "buffer": json.dumps(axe).encode()})
    expect(other.get_by_label("Mass of the bare head", exact=True)).to_have_value("500")
    other.locator("#open").set_input_files({**file, "buffer": b'{"drawing": {"form": "knife"}}'})
    expect(other.locator("#told")).to_contain_text("axe.json holds no drawing")
    other.set_viewport_size(PHONE)
    other.context.set_offline(True)
    other.get_by_label("Mass of the bare head", exact=True).fill("450")
    expect(other.locator("#told")).to_contain_text("You can go on drawing: the picture follows")
    expect(other.locator("#bar")).to_contain_text("be reached")
    expect(other.locator("#bar")).to_be_in_viewport()
    assert kept(other)["tools"][1]["drawing"]["head_mass_g"] == 450


def test_every_tool_can_be_drawn_taken_away_and_compared(opened: Open, server: Server) -> None:
    """Up to four drawings; the chips of other tools; the planner's own trip; a link that plans with what is drawn."""
    page = opened()
    own = json.dumps({"name": "Mine", "tasks": [{"task": "saw", "diameter_mm": 60}]})
    page.evaluate("trip => localStorage.setItem('kitwright-trip', trip)", own)
    page.goto(server.url)
    page.get_by_role("link", name="Draw a tool", exact=True).click()  # says so of the trip that is planned there
    answered(page)
    expect(page.get_by_label("On which trip")).to_have_value("planner")
    expect(page.locator("#kits")).to_contain_text("With yours")
    answered(page.reload() and page)
    assert "?" not in page.url
    expect(page.get_by_label("On which trip")).to_have_value("planner")
    page.get_by_label("Do not compare with hatchet 600 g head").click()
    expect(page.locator("#verdict")).to_contain_text("Yours alone")
    page.get_by_label("Compared with").select_option("bow-saw-530")
    expect(page.locator("#verdict .big")).to_contain_text("lighter")
    page.get_by_role("button", name="+ axe").click()
    expect(page.get_by_label("Mass of the bare head", exact=True)).to_have_value("454")
    expect(page.locator("#tabs button")).to_have_count(3)
    page.get_by_label("Start again from").select_option("bow-saw-530")
    expect(page.get_by_label("Blade to stretcher", exact=True)).to_have_value("120")
    expect(page.locator("#tabs")).to_contain_text("Frame saw, ")
    expect(page.locator(".picture svg")).to_have_count(2)
    page.get_by_role("button", name="Remove this one").click()
    expect(page.locator("#tabs button")).to_have_count(2)
    expect(page.locator("#tabs button[aria-pressed=true]")).to_be_focused()
    page.get_by_text("oz, in").click()
    expect(page.get_by_label("Toothed length", exact=True)).to_have_value("8.2677")  # 210 mm / 25.4
    expect(page.locator("#verdict .big")).to_contain_text(" oz lighter")
    assert re.findall(r"\d (?:mm|g)\b", page.locator("main").text_content() or "") == []  # names and sentences too
    assert "Hatchet, 21.2 oz head" in page.get_by_label("Start again from").locator("option").all_text_contents()
    with page.expect_navigation():
        page.get_by_role("link", name="Plan this trip with yours added").click()
    assert page.url.startswith(f"{server.url}/#trip=")


def test_a_figure_is_tried_over_a_range_by_keyboard_alone(opened: Open, server: Server) -> None:
    """The service's sweep, drawn to scale; the best is drawn on a press, undone and done again."""
    page = opened()
    (knife, saw), ends = kept(page)["tools"], (90, 200)
    trip = json.loads(httpx.get(f"{server.url}{page.evaluate(TABLES)}", timeout=LONG_S).text)["trips"][0]["trip"]
    row = server.ask("/v1/designs/score", saw)["tool"]
    vary = [{"field": "drawing.blade.length_mm", "low": ends[0], "high": ends[1], "steps": 12}]
    told = server.ask("/v1/designs/sweep", {"design": knife, "trip": trip | {"extra_tools": [row]}, "vary": vary})
    page.get_by_label("Figure", exact=True).focus()
    page.keyboard.type("Length, h")
    for end in ends:
        page.keyboard.press("Tab")
        page.keyboard.press("Control+a")
        page.keyboard.type(f"{end}")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    best = told["best"]["values"]["drawing.blade.length_mm"]
    expect(page.locator("#sweep [role=status]")).to_contain_text(f"a kit of {told['best']['mass_g']:.0f} g")
    holds = []
    for place in range(12):
        one = [{"field": vary[0]["field"], "values": [round(ends[0] + place * (ends[1] - ends[0]) / 11, 6)]}]
        asked = {"design": knife, "trip": trip | {"extra_tools": [row]}, "vary": one}
        holds += one if server.ask("/v1/designs/sweep", asked)["best"] else []
    expect(page.locator("#sweep .dot")).to_have_count(len(holds))
    assert len(holds) > len(told["front"])
    expect(page.locator("#sweep .dot:not(.beaten)")).to_have_count(len(told["front"]))
    dots = sorted(page.locator("#sweep .dot").evaluate_all("all => all.map((dot) => dot.cx.baseVal.value)"))
    values = [one["values"][0] for one in holds]
    assert len(dots) == len(values) >= 3
    shares = [(dot - dots[0]) / (dots[-1] - dots[0]) for dot in dots]
    assert shares == pytest.approx([(one - values[0]) / (values[-1] - values[0]) for one in values], abs=0.01)
    assert faults_of_axe(page) == []
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    length = page.get_by_label("Length, handle to tip", exact=True)
    expect(length).not_to_have_value(f"{knife['drawing']['blade']['length_mm']:g}")
    assert kept(page)["tools"][0]["drawing"]["blade"]["length_mm"] == best
    expect(page.locator("#sweep [role=status]")).to_contain_text("Try the range again.")
    page.get_by_role("button", name="Undo").press("Enter")
    expect(length).to_have_value(f"{knife['drawing']['blade']['length_mm']:g}")
    page.get_by_role("button", name="Redo").press("Enter")
    assert kept(page)["tools"][0]["drawing"]["blade"]["length_mm"] == best


def test_the_picture_is_to_scale(opened: Open) -> None:
    """The blade's outline on the screen has the area of the drawing's own outline, whatever its tip."""
    page = opened()
    page.get_by_label("Grind", exact=True).select_option("scandi")
    for tip in tips():
        page.get_by_label("Tip", exact=True).select_option(tip)
        blade = BladeDrawing.model_validate(kept(page)["tools"][0]["drawing"]["blade"])
        assert blade.tip == tip
        corners = blade.outline_mm()
        pairs = zip(corners, [*corners[1:], corners[0]], strict=True)
        drawn = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2
        assert page.evaluate(AREA) == pytest.approx(drawn, rel=0.003), tip


def test_axe_finds_nothing_and_nothing_runs_over_a_narrow_screen(opened: Open) -> None:
    """On a phone the answer stays in sight; every group open; in forced colours the drawing still stands out."""
    page = opened(viewport=PHONE)
    expect(page.locator("#bar")).to_be_in_viewport()
    expect(page.locator("#bar")).to_contain_text(page.locator("#verdict .big").inner_text())
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    page.get_by_label("Edge angle, both sides together", exact=True).scroll_into_view_if_needed()
    expect(page.locator("#picture")).to_be_in_viewport()
    assert faults_of_axe(page) == []
    page.emulate_media(color_scheme="dark")
    assert faults_of_axe(page) == []
    page.set_viewport_size({"width": NARROW_PX, "height": 740})
    assert page.evaluate("document.documentElement.scrollWidth") == NARROW_PX
    page.emulate_media(forced_colors="active")
    steel, ground = page.evaluate(
        "[['.steel', 'stroke'], ['.picture', 'backgroundColor']]"
        ".map(([name, part]) => getComputedStyle(document.querySelector(name))[part])"
    )
    assert steel != ground
