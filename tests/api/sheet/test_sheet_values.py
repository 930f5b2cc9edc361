"""GET /v1/sheet/values: many fields in one answer. What GET /v1/sheet/value tells of each is what it is held to."""

import re
from typing import Any

import pytest
from service import ask, post, small_app
from sheet_trips import query

pytestmark = pytest.mark.quick

APP = small_app(one_user=False)
SAW = {"split_mm": "120|90", "saw_mm": "90"}
LIST = "status,kit(mass_g,tools.*(name,count,mass_g)),needs.*.id|gaps.count,name,front.points.*(mass_g,ids)"
PATHS = ["status", "kit.mass_g", "kit.tools.*.name", "kit.tools.*.count", "kit.tools.*.mass_g", "needs.*.id",
         "gaps.count", "name", "front.points.*.mass_g", "front.points.*.ids"]  # fmt: skip
UNITS = ("metric", "us")
LONGEST_CELL = 32_767  # support.microsoft.com, WEBSERVICE


def told(address: str, cells: dict[str, str], app: Any = APP, **more: Any) -> str:
    """The text that an address gives."""
    answer = ask("GET", f"/v1/sheet/{address}?{query(cells, **more)}", app=app)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    return answer.text


def test_lines_are_what_single_cells_say_and_the_last_line_says_that_it_is_whole() -> None:
    """In the order asked; brackets stand for what is before them; a text that a program would run begins with '."""
    cells = {**SAW, "name": "=1+1"}
    *lines, last = told("values", cells, fields=LIST).split("\n")
    assert lines == [told("value", cells, field=path) for path in PATHS]
    assert (last, lines[PATHS.index("name")]) == ("end", "'=1+1")


@pytest.mark.parametrize("wrong", ["a)", "kit(mass_g", "kit(mass_g)status", "(mass_g)", "kit((mass_g))", ",", "",
                                   "kit.nothing", ",".join(["status"] * 101), "a" * 2001,
                                   "a(b(c(d(e(f(g))))))"])  # fmt: skip
def test_a_list_that_is_none_is_refused(wrong: str) -> None:
    """With its own name, as words where these are asked for."""
    assert told("values", SAW, fields=wrong, errors="text").startswith("wrong fields: ")
    assert ask("GET", f"/v1/sheet/values?{query(SAW, fields=wrong)}", app=APP).status_code == 422


def test_what_no_cell_holds_is_refused() -> None:
    """The longest field is named."""
    words = told("values", SAW, fields="status," + ",".join(["cautions.*.text"] * 60), errors="text")
    assert f"a cell {LONGEST_CELL}" in words
    assert "cautions.*.text" in words


def test_every_failure_of_a_cell_is_words_where_these_are_asked_for() -> None:
    """A key that is none, a stored catalog without one, too many requests, and a HEAD before the GET."""
    assert told("values", {**SAW, "catalog": "mine"}, fields="status", errors="text").startswith("key: ")
    assert told("value", {**SAW, "catalog": "mine", "key": "kw_x"}, field="status", errors="text").startswith("key: ")
    app = small_app(rate_limit=1)
    assert told("value", SAW, app, field="status", errors="text") == "optimal"
    answer = ask("GET", f"/v1/sheet/value?{query(SAW, field='status', errors='text')}", app=app)
    assert (answer.status_code, answer.text[:18]) == (200, "too many requests:")
    assert int(answer.headers["retry-after"]) > 0
    assert "no-store" in answer.headers["cache-control"]
    assert ask("HEAD", f"/v1/sheet/value?{query(SAW, field='none', errors='text')}", app=APP).status_code == 200
    assert ask("GET", f"/v1/sheet/value?{query(SAW, field='status')}", app=app).status_code == 429


def test_sentences_have_us_figures_beside_the_metric_ones() -> None:
    """Where they are asked for; names stay as tables have them."""
    cells = {"split_mm": "140", "mass_g": "1"}
    metric, us = (told("values", cells, fields="gaps.*.text,kit.tools.1.name", units=units) for units in UNITS)
    (gap,) = post({"tasks": [{"task": "split", "diameter_mm": 140}], "limits": {"mass_g": 1}}).json()["gaps"]
    assert metric.split("\n")[0] == gap["text"]
    assert re.search(r"\d g \(\d[\d.]* oz\)", us.split("\n")[0])
    assert us.split("\n")[1] == metric.split("\n")[1]
