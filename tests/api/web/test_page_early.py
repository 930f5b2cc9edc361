"""The planner in real Chromium while a full answer is told early, and once its last line comes or does not."""

import json
from typing import Any

import pytest
from browser import profile
from page_trips import fragment
from playwright.sync_api import Browser, expect
from server import Server

from api.examples.invented import example_trips

# Lets all lines but the last through, and that one, or another in its place, once the test says so.
HELD = """
const whole = window.fetch;
window.fetch = async (path, options) => {
  const response = await whole(path, options);
  if (options?.headers?.Accept !== "application/x-ndjson") return response;
  const lines = (await response.text()).trimEnd().split("\\n");
  const last = lines.pop();
  const told = new Promise((go) => { window.letOn = (other) => go(other ?? last); });
  window.early = lines.filter((line) => line.startsWith('{"early":')).length;
  const bytes = (text) => new TextEncoder().encode(text);
  const stream = new ReadableStream({
    async start(to) {
      for (const line of lines) to.enqueue(bytes(`${line}\\n`));
      to.enqueue(bytes(`${await told}\\n`));
      to.close();
    },
  });
  return new Response(stream, { headers: response.headers });
};
"""
PROBLEM = json.dumps({"problem": {"title": "The answer takes too long", "detail": "", "errors": []}})


@pytest.mark.parametrize(
    ("last", "says"),
    [
        ("undefined", "assumptions"),
        (json.dumps(PROBLEM), "What the assumptions change is not known. The answer takes too long."),
        ("''", "What the assumptions change is not known. The answer of the service can\u2019t be read."),
    ],
    ids=["answer", "problem", "cut off"],
)
def test_what_is_told_early_is_shown_at_once_and_completed(
    last: str, says: str, browser: Browser, server: Server
) -> None:
    """Next kits and pins stand there before the ends of assumptions do, and what the reader opened stays open."""
    trip: dict[str, Any] = example_trips()["stream-survey"] | {"name": f"Invented: held back, {says[-20:]}"}
    context = profile(browser, locale="en-GB")
    context.add_init_script(HELD)
    page = context.new_page()
    page.goto(f"{server.url}/{fragment(trip)}")
    page.get_by_text("What would change this answer").click()
    pins = page.locator("#pins")
    expect(pins).to_contain_text("Checking what the assumptions change")
    assert page.evaluate("window.early") == 1
    expect(page.locator("#next .kits li")).not_to_have_count(0)
    expect(page.locator("#unsettled")).to_be_hidden()
    pins.get_by_text("Why no lighter kit works").click()
    page.evaluate(f"window.letOn({last})")
    expect(pins).not_to_contain_text("Checking what the assumptions change")
    expect(pins).to_contain_text(says)
    expect(pins.locator("details[open]", has_text="Why no lighter kit works")).to_have_count(1)
    context.close()
