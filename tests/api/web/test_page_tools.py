"""Tools of one's own on the planner in real Chromium: by stopwatch, must carry, only some, and a stored catalog."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest
from browser import profile, watched_pages
from page_trips import linked
from playwright.sync_api import Browser, Page, expect
from server import Server, served
from waiting import LONG_S

from api.cli.command import main
from api.examples.catalog_bodies import HUT

Row = dict[str, Any]
PHONE = {"width": 360, "height": 740}  # common practice, no source: a small phone held upright


def opened(opening: Callable[..., Page], server: Server) -> Page:
    """The planner with its first kit, its tables, and the tools of one's own unfolded."""
    page = opening(server.url, viewport=PHONE)
    expect(page.locator("#species option").nth(20)).to_be_attached()
    expect(page.locator("#pack")).to_be_visible()
    page.get_by_text("More about the trip").click()
    page.locator("summary", has_text="My tools").click()
    return page


def test_a_stopwatch_tells_how_quick_a_tool_of_ones_own_is(browser: Browser, server: Server) -> None:
    """The record goes with the trip, in minutes; the score is the service's; a tool that must go goes; only mine."""
    with watched_pages(browser) as opening:
        page = opened(opening, server)
        page.get_by_text("A tool that the table lacks").click()
        page.get_by_label("Name", exact=True).fill("Red saw")
        page.get_by_label("Mass with its cover, g").fill("150")
        page.get_by_label("It works like").select_option("folding-saw-210")
        page.get_by_role("button", name="Add this tool").click()
        page.get_by_text("Timed with a stopwatch").click()
        expect(page.get_by_label("Tool", exact=True).locator("option:checked")).to_have_text("Red saw")
        page.get_by_role("button", name="Add this time").click()
        expect(page.get_by_role("alert").filter(has_text="write a figure")).to_have_text(
            "Thickness of the wood, mm: write a figure."
        )
        page.get_by_label("Thickness of the wood, mm").fill("90")
        page.get_by_label("How many cuts").fill("4")
        page.get_by_role("button", name="Start the stopwatch").click()
        page.get_by_role("button", name="Stop at").click()
        assert 0 <= float(page.get_by_label("Seconds in all").input_value()) < LONG_S
        page.get_by_label("Seconds in all").fill("1:20")
        page.get_by_role("button", name="Add this time").click()
        expect(page.locator("#timed li")).to_contain_text("Red saw, saw: score")
        trip = linked(page)
        (record,) = trip["trials"]
        (row,) = trip["extra_tools"]
        assert (record["tool"], record["count"], record["diameter_mm"]) == (row["id"], 4, 90)
        assert record["minutes"] == pytest.approx(80 / 60)
        assert record["state"] == trip["wood"]["state"], "timed in wood like that of the trip"
        (told,) = server.ask("/v1/kits", {**trip, "detail": "kit"})["trials"]
        expect(page.locator("#timed li")).to_contain_text(f"score {told['score']:.1f} ({told['low']:.1f} to")
        (stateless,) = server.ask("/v1/trials", {"trials": [record], "tools": [row]})["estimates"]
        assert stateless["score"] == pytest.approx(told["score"])
        page.get_by_text("Must come along", exact=True).click()
        must = page.locator("[data-path=must_carry]")
        must.get_by_role("searchbox").fill("hatchet 600")
        must.get_by_role("checkbox", name="Hatchet, 600 g head").check()
        expect(page.locator("#pack")).to_contain_text("Hatchet, 600 g")
        assert linked(page)["must_carry"] == ["hatchet-600"]
        expect(page.locator("#mine-count")).to_have_text("1 must go, 1 added, 1 timed")
        page.get_by_text("Only tools that I tick").click()
        expect(page.locator("[data-path=only]").get_by_role("checkbox", name="Red saw")).to_be_visible()
        none = page.get_by_text("Until you tick a tool, any may go.")
        expect(none).to_be_visible()
        page.get_by_label("Name", exact=True).fill("Blue saw")
        page.get_by_label("Mass with its cover, g").fill("90")
        page.get_by_label("It works like").select_option("folding-saw-180")
        page.get_by_role("button", name="Add this tool").click()
        expect(none).to_be_hidden()
        assert linked(page)["only"] == [linked(page)["extra_tools"][1]["id"]], "what one adds is ticked"
        page.reload()
        expect(page.locator("#timed li")).to_contain_text("Red saw, saw: score")


def test_what_is_half_typed_outlives_a_reload(browser: Browser, server: Server) -> None:
    """A tool not added yet, with what it works like, and a stopwatch that runs; once added, it is not typed twice."""
    with watched_pages(browser) as opening:
        page = opened(opening, server)
        page.get_by_text("A tool that the table lacks").click()
        page.get_by_label("Name", exact=True).fill("Red saw")
        page.get_by_label("It works like").select_option("folding-saw-210")
        page.get_by_text("Timed with a stopwatch").click()
        page.get_by_role("button", name="Start the stopwatch").click()
        page.reload()
        page.get_by_text("More about the trip").click()
        page.locator("summary", has_text="My tools").click()
        expect(page.get_by_label("Name", exact=True)).to_have_value("Red saw")
        expect(page.get_by_label("It works like")).to_have_value("folding-saw-210")
        page.get_by_label("Mass with its cover, g").fill("150")
        page.get_by_role("button", name="Add this tool").click()
        expect(page.locator("#mine-count")).to_have_text("1 added")
        page.get_by_text("Timed with a stopwatch").click()
        page.get_by_role("button", name="Stop at").click()
        assert 0 <= float(page.get_by_label("Seconds in all").input_value()) < LONG_S
        page.reload()
        expect(page.locator("#mine-count")).to_have_text("1 added")
        expect(page.locator("#mine-name")).to_have_value("")
        expect(page.locator("#timed-seconds")).not_to_have_value("")


def test_a_catalog_on_the_service_takes_the_place_of_the_table(
    browser: Browser, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its name goes with the trip; its key stays in the tab: neither the link nor what the device keeps holds it."""
    url = f"sqlite:///{tmp_path / 'store.sqlite'}"
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", url)
    assert main(["key", "create", "--owner", "ann", "--scope", "write"]) == 0
    key = capsys.readouterr().out.strip()
    with served(tmp_path, database_url=url) as own:
        headers = {"Authorization": f"Bearer {key}", "If-None-Match": "*"}
        assert httpx.put(f"{own.url}/v1/catalogs/hut", json=HUT, headers=headers, timeout=LONG_S).status_code == 201
        with watched_pages(browser, known=("status of 401",)) as opening:
            page = opened(opening, own)
            page.get_by_text("A catalog of mine on the service").click()
            page.get_by_label("Name of the catalog").fill("hut")
            page.get_by_role("button", name="Use this catalog").click()
            expect(page.get_by_role("alert").filter(has_text="key")).to_have_text(
                "This catalog needs a key. Write it here."
            )
            expect(page.get_by_label("Key, if the service")).to_be_focused()
            page.get_by_label("Key, if the service").fill(key[:-1])
            page.get_by_role("button", name="Use this catalog").click()
            expect(page.get_by_role("alert").filter(has_text="key")).to_have_text(
                "The service does not know this key; it may have expired."
            )
            page.get_by_label("Nights").fill("6")  # the table is planned with all the same
            expect(page.locator("#line")).not_to_have_attribute("data-old", "")
            assert linked(page)["nights"] == 6
            page.get_by_label("Key, if the service").fill(key)
            page.get_by_role("button", name="Use this catalog").click()
            expect(page.get_by_text(f"In use: hut, {len(HUT['tools'])} tools.")).to_be_visible()
            assert linked(page)["catalog"] == "hut"
            page.get_by_text("Only tools that I tick").click()
            boxes = page.locator("[data-path=only]").get_by_role("checkbox")
            expect(boxes).to_have_count(len(HUT["tools"]))
            expect(page.get_by_text("Until you tick a tool, any may go.")).to_be_visible()
            assert "only" not in linked(page)
            kept = page.evaluate("JSON.stringify(localStorage) + location.href")
            assert key not in kept
            page.reload()
            expect(page.locator("#mine-count")).to_contain_text("hut")
            expect(page.locator("#pack")).to_be_visible()
            link = page.url
        other = profile(browser, locale="en-GB", viewport=PHONE).new_page()
        other.goto(link)
        expect(other.locator("#line")).to_contain_text("key")
        other.get_by_text("More about the trip").click()
        other.locator("summary", has_text="My tools").click()
        expect(other.locator("[data-path=catalog] .fault")).to_have_text("This catalog needs a key. Write it here.")
        other.context.close()


def test_a_bad_night_is_asked_when_its_fold_is_opened(browser: Browser, server: Server) -> None:
    """Each case as a program is told it, in the reader's units; the kit that bears all of it can be taken."""
    with watched_pages(browser) as opening:
        page = opening(server.url, viewport=PHONE)
        asked = []
        page.on("request", lambda one: asked.append(one.url) if one.url.endswith("bad-night") else None)
        expect(page.locator("#front tbody tr")).not_to_have_count(0)
        assert asked == []
        page.get_by_text("A bad night").click()
        cases = page.locator("#night .cases > li")
        told = server.ask("/v1/kits/bad-night", {"trip": linked(page)})
        expect(cases).to_have_count(sum(case["applies"] for case in told["cases"]))
        for case in told["cases"]:
            if case["applies"]:
                words = {"covered": "does it", "late": "does it late", "cannot": "not all of it"}[case["status"]]
                expect(page.locator("#night .cases")).to_contain_text(words)
        cases.nth(1).locator("summary").click()
        expect(cases.nth(1)).to_contain_text("-2 \u00b0C instead of 8 \u00b0C")
        page.get_by_text("oz, in").click()
        cases.nth(1).locator("summary").click()
        expect(cases.nth(1)).to_contain_text("28 \u00b0F instead of 46 \u00b0F")
        page.get_by_text("g, mm").click()
        most = told["bears_all"]["kit"]
        expect(page.locator("#bears-all")).to_contain_text(f"{most['mass_g']:,.0f} g")
        page.locator("#bears-all button").click()
        expect(page.locator("#mass")).to_have_text(f"{most['mass_g']:,.0f} g")
        assert sorted(linked(page)["must_carry"]) == sorted(most["ids"])
