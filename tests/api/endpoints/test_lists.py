"""Lists over HTTP: {items, next}, a page at a time, filtered; single rows by their id."""

from typing import Any

import pytest
from service import HOST, ask, faults_of, problem_of

from catalog import assumptions, methods, sources, tools

pytestmark = pytest.mark.quick

Row = dict[str, Any]

LISTS = {"/v1/tools": len(tools()), "/v1/methods": len(methods()), "/v1/assumptions": len(assumptions())}
DEFAULT_LIMIT, LARGEST_LIMIT = 100, 1000


def page(address: str) -> Row:
    """One page."""
    answer = ask("GET", address)
    assert answer.status_code == 200, answer.text
    found: Row = answer.json()
    assert set(found) == {"items", "next"}
    return found


def walk(address: str) -> list[list[Row]]:
    """All pages, each reached by the address that the one before gives."""
    pages = []
    following: str | None = address
    while following is not None:
        found = page(following)
        pages.append(found["items"])
        following = found["next"]
        assert len(pages) <= 1000, "a walk must end"
    return pages


@pytest.mark.parametrize("address", LISTS)
def test_a_list_is_whole_sorted_and_without_repeats(address: str) -> None:
    """By id, each once; the default page holds them all or ends at 100."""
    rows = [row["id"] for rows in walk(address) for row in rows]
    assert rows == sorted(set(rows))
    assert len(rows) == LISTS[address]
    assert len(page(address)["items"]) == min(DEFAULT_LIMIT, LISTS[address])


@pytest.mark.parametrize("address", LISTS)
@pytest.mark.parametrize("limit", [1, 3, 7, LARGEST_LIMIT])
def test_pages_of_any_length_give_the_same_list(address: str, limit: int) -> None:
    """Every page but the last is full, and `next` can be used as it is given."""
    pages = walk(f"{address}?limit={limit}")
    assert [row for rows in pages for row in rows] == page(f"{address}?limit={LARGEST_LIMIT}")["items"]
    assert all(len(rows) == limit for rows in pages[:-1])
    assert 0 < len(pages[-1]) <= limit


def test_next_keeps_the_filters_and_starts_after_the_last_row() -> None:
    """An address of this service, with the limit, the filters and the cursor."""
    first = page("/v1/tools?limit=2&task=split&kind=long%20knife")
    assert first["next"].startswith(f"{HOST}/v1/tools?")
    second = page(first["next"])
    assert {row["kind"] for row in first["items"] + second["items"]} == {"long knife"}
    assert first["items"][-1]["id"] < second["items"][0]["id"]


def test_a_cursor_needs_no_row_of_its_id() -> None:
    """It is a place in the order: past the end there is nothing, and no next."""
    assert page("/v1/tools?cursor=zzzz") == {"items": [], "next": None}
    assert page("/v1/tools?cursor=0&limit=1000")["items"] == page("/v1/tools?limit=1000")["items"]
    ids = [row["id"] for row in page("/v1/tools?limit=1000")["items"]]
    assert page(f"/v1/tools?cursor={ids[-2]}")["items"][0]["id"] == ids[-1]


@pytest.mark.parametrize("task", ["split", "saw", "chop", "carve"])
def test_tools_of_a_task_are_those_with_a_score_at_it(task: str) -> None:
    """All of them, and no other."""
    rows = page("/v1/tools?limit=1000")["items"]
    able = page(f"/v1/tools?limit=1000&task={task}")["items"]
    assert able == [row for row in rows if row[f"{task}_score"] > 0]
    assert 0 < len(able) < len(rows)


def test_to_buck_is_to_saw_or_to_chop() -> None:
    """Cut to length by either."""
    rows = page("/v1/tools?limit=1000")["items"]
    able = page("/v1/tools?limit=1000&task=buck")["items"]
    assert able == [row for row in rows if row["saw_score"] > 0 or row["chop_score"] > 0]


def test_tools_of_a_kind() -> None:
    """By the whole name of the kind; an unknown kind has none."""
    rows = page("/v1/tools?limit=1000")["items"]
    for kind in {row["kind"] for row in rows}:
        assert page(f"/v1/tools?kind={kind}")["items"] == [row for row in rows if row["kind"] == kind]
    assert page("/v1/tools?kind=no%20such%20kind") == {"items": [], "next": None}
    assert page("/v1/tools?kind=hatchet&task=saw")["items"] == []


def test_a_row_by_its_id_is_the_row_of_the_list() -> None:
    """Flat, with the names of the table's columns."""
    for row in page("/v1/tools?limit=1000")["items"]:
        assert ask("GET", f"/v1/tools/{row['id']}").json() == row
    assert "axe-of-gold" in problem_of(ask("GET", "/v1/tools/axe-of-gold"), 404)["detail"]


def test_methods_weigh_nothing_and_say_where_they_work() -> None:
    """Rows of the tool's form with what they buck, in which wood."""
    for row in page("/v1/methods")["items"]:
        assert row["mass_g"] == row["cover_g"] == 0
        assert {"buck_score", "buck_max_mm", "own_fire"} <= set(row)
        assert set(row["states"]) <= {"dead-dry", "dead-wet", "green"}
        assert row["states"]


def test_assumptions_have_a_band_a_source_and_what_would_replace_them() -> None:
    """The value lies in its band, and the source is one that the catalog names."""
    for row in page("/v1/assumptions")["items"]:
        assert row["low"] <= row["value"] <= row["high"]
        assert row["source"] in sources()
        assert row["unit"]
        assert row["replaced_by"]


@pytest.mark.parametrize("address", LISTS)
def test_an_unknown_parameter_is_refused(address: str) -> None:
    """A slip in a filter must not give the whole list."""
    faults = faults_of(ask("GET", f"{address}?limt=3&Kind=axe"))
    assert set(faults) == {"#/query/limt", "#/query/Kind"}
    assert faults["#/query/limt"]["value"] == "3"
    assert faults["#/query/limt"]["range"] == "no such field"


@pytest.mark.parametrize(
    ("query", "pointer", "value", "allowed"),
    [
        ("limit=0", "#/query/limit", "0", ">= 1"),
        ("limit=-5", "#/query/limit", "-5", ">= 1"),
        ("limit=1001", "#/query/limit", "1001", "<= 1000"),
        ("limit=ten", "#/query/limit", "ten", "a whole number"),
        ("limit=1.5", "#/query/limit", "1.5", "a whole number"),
        ("limit=", "#/query/limit", "", "a whole number"),
        ("limit=%D9%A3", "#/query/limit", "\u0663", "a whole number"),
        ("task=fell", "#/query/task", "fell", "one of"),
        (f"kind={'x' * 121}", "#/query/kind", "x" * 121, "max length 120"),
        (f"cursor={'x' * 161}", "#/query/cursor", "x" * 161, "max length 160"),
    ],
)
def test_a_wrong_parameter_is_refused_with_its_range(query: str, pointer: str, value: str, allowed: str) -> None:
    """Pointer, value, range, as for the fields of a body."""
    fault = faults_of(ask("GET", f"/v1/tools?{query}"))[pointer]
    assert fault["value"] == value
    assert allowed in fault["range"]


def test_the_service_says_that_it_lives() -> None:
    """For whoever watches it."""
    answer = ask("GET", "/healthz")
    assert (answer.status_code, answer.json()) == (200, {"status": "ok"})


def test_a_tool_tells_what_its_scores_are_made_of() -> None:
    """Beside the row, which can be sent back as it is: each part with its interval and its weight."""
    row = ask("GET", "/v1/tools/hatchet-454").json()
    told = ask("GET", "/v1/tools/hatchet-454/scores").json()
    assert told["id"] == "hatchet-454"
    assert [one["task"] for one in told["scores"]] == ["split", "carve", "chop"]
    for one in told["scores"]:
        task = one["task"]
        ends = [row[f"{task}_score_low"], row[f"{task}_score"], row[f"{task}_score_high"]]
        assert [one["low"], one["median"], one["high"]] == ends
        assert [part["source"] for part in one["parts"]] == ["judged", "drawn"]
        assert sum(part["weight"] for part in one["parts"]) == pytest.approx(1)
        assert all(0 < part["low"] <= part["median"] <= part["high"] for part in one["parts"])
    problem = problem_of(ask("GET", "/v1/tools/no-such-tool/scores"), 404)
    assert "no-such-tool" in problem["detail"]


@pytest.mark.parametrize("name", ["tools", "woods", "assumptions", "designs", "methods", "camp-work"])
def test_a_list_is_packed_and_tagged(name: str) -> None:
    """RFC 9110: the same rows in gzip, another strong tag (8.8.3), Vary (12.5.5), and 304 to who holds it (15.4.5)."""
    address = f"/v1/{name}?limit=1000" if name != "designs" else f"/v1/{name}"
    plain, packed = (ask("GET", address, headers={"Accept-Encoding": how}) for how in ("identity", "gzip"))
    assert plain.json() == packed.json()
    assert "content-encoding" not in plain.headers
    long = len(plain.content) >= 1000
    assert (packed.headers.get("content-encoding") == "gzip") == long
    if long:
        assert int(packed.headers["content-length"]) < len(plain.content)
        assert plain.headers["etag"] != packed.headers["etag"]
    assert "Accept-Encoding" in packed.headers["vary"]
    held = {"Accept-Encoding": "gzip", "If-None-Match": packed.headers["etag"]}
    again = ask("GET", address, headers=held)
    assert (again.status_code, again.content) == (304, b"")
    assert again.headers["cache-control"] == "no-cache"
    refused = ask("GET", f"/v1/{name}?nothing=1", headers=held)
    assert refused.status_code == 422


def test_the_contract_is_packed_and_tagged() -> None:
    """As the lists are (RFC 9110, 8.8.3 and 15.4.5)."""
    plain, packed = (ask("GET", "/openapi.json", headers={"Accept-Encoding": how}) for how in ("identity", "gzip"))
    assert plain.json() == packed.json()
    assert int(packed.headers["content-length"]) < len(plain.content)
    assert plain.headers["etag"] != packed.headers["etag"]
    for answer, how in ((plain, "identity"), (packed, "gzip")):
        held = {"Accept-Encoding": how, "If-None-Match": answer.headers["etag"]}
        assert ask("GET", "/openapi.json", headers=held).status_code == 304
