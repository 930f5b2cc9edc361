"""Modules of the page joined into one: order, names that two modules use, and what can't be joined."""

import pytest
from browser import chromium
from playwright.sync_api import Browser, Route

from api.web.page_files import filled
from api.web.script_bundle import bundled, bundled_later

START = """import { twice } from "./rooms/twice.js";
import { one } from "./one.js";
let own = 5;
globalThis.said = twice(one) + own;
"""
TWICE = """import { one } from "../one.js";
const own = 2;
const twice = (value) => own * value + one;

export { twice };
"""
ONE = """const own = 1;
const one = own;

export { one };
"""
MODULES = {"start.js": START, "rooms/twice.js": TWICE, "one.js": ONE, "unused.js": "throw new Error();\n"}


@pytest.mark.quick
def test_what_cannot_be_joined_is_refused() -> None:
    """A module that is not there, one that imports itself by way of another, and other kinds of import and export."""
    for broken, why in (
        ({"start.js": 'import { a } from "./gone.js";\n'}, "start.js imports gone.js, which is not there"),
        (
            {"start.js": 'import { b } from "./b.js";\n', "b.js": 'import { a } from "./start.js";\n'},
            "start.js imports itself by way of start.js, b.js",
        ),
        ({"start.js": 'import a from "./b.js";\n', "b.js": ""}, "a way that can't be joined"),
        ({"start.js": "export const a = 1;\n"}, "a way that can't be joined"),
    ):
        with pytest.raises(ValueError, match=why):
            bundled(broken, "start.js")
    assert 'type="module"' in filled("metric", None).body.decode()


def test_joined_modules_do_what_they_do_apart() -> None:
    """Each runs once, before those that need it; equal names stay apart; what nobody imports stays out."""
    joined = bundled(MODULES, "start.js")
    assert "unused" not in joined
    with chromium() as browser:
        page = browser.new_page()
        page.add_script_tag(content=joined, type="module")
        page.wait_for_function("globalThis.said !== undefined")
        assert page.evaluate("globalThis.said") == 8


LATER = {
    "start.js": """import { one } from "./one.js";
const later = import("./later.js");
later.then(({ sum }) => {
  globalThis.said = [one, runs, sum];
});
""",
    "one.js": """globalThis.runs = (globalThis.runs ?? 0) + 1;
const one = 1;

export { one };
""",
    "later.js": """import { one } from "./one.js";
import { two } from "./two.js";
const sum = one + two;

export { sum, two };
""",
    "two.js": "const two = 2;\n\nexport { two };\n",
}


def test_a_later_bundle_uses_the_modules_of_the_first(browser: Browser) -> None:
    """What the first holds is neither sent nor run again; a module of the first takes what the second exports."""
    files = {"start.js": bundled(LATER, "start.js"), "later.js": bundled_later(LATER, "later.js", "start.js")}
    assert "runs" not in files["later.js"]

    def answer(route: Route) -> None:
        name = route.request.url.rsplit("/", 1)[1]
        page_itself = '<script type="module" src="/start.js"></script>'
        kind = "text/javascript" if name in files else "text/html"
        route.fulfill(body=files.get(name, page_itself), content_type=kind)

    page = browser.new_page()
    page.route("**/*", answer)
    page.goto("http://localhost/page")
    page.wait_for_function("globalThis.said !== undefined")
    assert page.evaluate("said") == [1, 1, 3]
    page.close()
