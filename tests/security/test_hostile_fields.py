"""Hostile values in the fields of knives, hearths, own figures, records, saws and bad nights, each at its place.

Refused with a problem that points there, or read and answered: never the service's own failure.
"""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from service import JSON, PROBLEM, ask, small_app
from starlette.datastructures import Headers

from api.http.preference import preferred_wait_s, prefers_async

TRIP: dict[str, Any] = {"tasks": [{"task": "saw", "diameter_mm": 60}], "detail": "kit"}
RECORD = {"tool": "folding-saw-210", "task": "saw", "diameter_mm": 80, "count": 3, "minutes": 2}
SAW = {"id": "t", "kind": "bow saw", "mass_g": 400, "saw_score": 10, "saw_max_mm": 100}
KITS, NIGHT, TRIALS = "/v1/kits", "/v1/kits/bad-night", "/v1/trials"
MOST_NESTED = 80

nested: list[Any] = []
for _ in range(MOST_NESTED):
    nested = [nested]
VALUES: dict[str, Any] = {
    "nothing": "",
    "much text": "x" * 100_000,
    "a zero byte": "\0",
    "half a character": "\ud800",
    "minus one": -1,
    "zero": 0,
    "more than one and a half": 1.5,
    "the largest number": 1e308,
    "400 digits": 10**400,
    "a truth": True,
    "null": None,
    "a list": [],
    "an object": {},
    "a list in a list": [[]],
    "an object in an object": {"a": {}},
    "lists in lists": nested,
    "a word for no number": "NaN",
    "a word in a list": ["one"],
    "a word in capitals": "ONE",
    "a word with a space": " one",
}
UNREADABLE = ("NaN", "Infinity", "-Infinity", "1" + "0" * 5000)  # RFC 8259, 6; Python's longest whole number
MARK = "stands for what JSON can't hold"


def places(value: Any) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """The address, the pointer and the body of each place that holds a value."""
    yield KITS, "#/knife", TRIP | {"knife": value}
    yield KITS, "#/fire/hearth", TRIP | {"fire": {"hearth": value, "warmth_h": 1}}
    yield KITS, "#/assumptions", TRIP | {"assumptions": value}
    yield KITS, "#/assumptions/saw_rate", TRIP | {"assumptions": {"saw_rate": value}}
    yield KITS, "#/trials", TRIP | {"trials": value}
    yield KITS, "#/trials/0", TRIP | {"trials": [value]}
    for field in (*RECORD, "clock", "rounds", "wood"):
        yield KITS, f"#/trials/0/{field}", TRIP | {"trials": [RECORD | {field: value}]}
        yield TRIALS, f"#/trials/0/{field}", {"trials": [RECORD | {field: value}]}
    for field in (
        "second_worker_gain",
        "one_person",
        "turned_max_mm",
        "break_per_cut",
        "renews",
        "saw_score_low",
        "saw_score_high",
    ):
        yield KITS, f"#/tools/0/{field}", TRIP | {"tools": [SAW | {field: value}]}
        yield KITS, f"#/extra_tools/0/{field}", TRIP | {"extra_tools": [SAW | {field: value}]}
    yield KITS, "#/limits/banned_kinds/0", TRIP | {"limits": {"banned_kinds": [value]}}
    yield NIGHT, "#/trip", {"trip": value}
    yield NIGHT, "#/kit", {"trip": TRIP, "kit": value}
    yield NIGHT, "#/kit/0", {"trip": TRIP, "kit": [value]}
    yield NIGHT, "#/trip/knife", {"trip": TRIP | {"knife": value}}
    yield NIGHT, "#/trip/assumptions/saw_rate", {"trip": TRIP | {"assumptions": {"saw_rate": value}}}


PLACES = [f"{address} {pointer}" for address, pointer, _ in places(None)]


def refusal(address: str, body: bytes) -> dict[str, Any] | None:
    """The problem that a body is refused with; None where it is answered."""
    answer = ask("POST", address, content=body, headers=JSON)
    if answer.status_code == 200:
        return None
    assert answer.headers["content-type"] == PROBLEM
    problem: dict[str, Any] = answer.json()
    assert problem["status"] == answer.status_code
    return problem


@pytest.mark.parametrize("name", VALUES)
def test_a_value_of_another_kind_or_size_is_told_at_its_place(name: str) -> None:
    """RFC 6901: the pointer is that of the field, of what holds it, or of what it holds."""
    refused = 0
    for address, pointer, form in places(VALUES[name]):
        problem = refusal(address, json.dumps(form).encode("utf-8", "surrogatepass"))
        if problem is None:
            continue
        refused += 1
        assert problem["status"] in (400, 422), (address, pointer, problem)
        if problem["status"] == 400:
            assert problem["type"].endswith("/unreadable-body")
            continue
        told = [fault["pointer"] for fault in problem["errors"]]
        assert any(one.startswith(pointer) or pointer.startswith(one) for one in told), (address, pointer, told)
    assert refused >= len(PLACES) // 2, "most values fit few places"


@pytest.mark.parametrize("text", UNREADABLE, ids=lambda text: text[:9])
def test_what_is_no_number_of_json_can_not_be_read(text: str) -> None:
    """Wherever it stands."""
    for address, pointer, form in places(MARK):
        problem = refusal(address, json.dumps(form).replace(json.dumps(MARK), text).encode())
        assert problem is not None, (address, pointer)
        assert problem["type"].endswith("/unreadable-body"), (address, pointer, problem)


# What a pattern that tries again and again takes the square of: minutes for one of these, during which nothing else of
# the process runs (OWASP, Regular expression Denial of Service).
LONG = 131_000  # characters of a cell; Python's csv takes 131,072 (field_size_limit)
TABLES: dict[str, tuple[str, str]] = {
    "cells of apostrophes": ("/v1/sheet/trips", f"name,split_mm\n{LONG * chr(39)},120\n"),
    "a figure of apostrophes": ("/v1/sheet/trips", f"name,split_mm\na,{LONG * chr(39)}\n"),
    "a price of digits": ("/v1/catalogs/long", f"id,kind,mass_g,price\na,bow saw,400,{LONG * '1'}x\n"),
    "a head of apostrophes": ("/v1/sheet/trips", f"name,{LONG * chr(39)}\na,120\n"),
}


@pytest.mark.parametrize("name", TABLES)
def test_a_cell_costs_no_more_than_its_length(name: str) -> None:
    """Each is answered; the square of its length would be some 10 thousand million steps."""
    address, table = TABLES[name]
    headers, own = {"Content-Type": "text/csv", "If-None-Match": "*"}, small_app(one_user=True)
    answer = ask("POST" if "sheet" in address else "PUT", address, app=own, content=table.encode(), headers=headers)
    assert answer.status_code in (200, 422)


@pytest.mark.parametrize("text", [f"respond-async, a{' ' * 1900}x", f"respond-async, a{' ' * 900}={' ' * 900}x y"])
def test_a_preference_costs_no_more_than_its_length(text: str) -> None:
    """Read on the way of every POST, before it is known who asks; what can't be read is left out (RFC 7240)."""
    assert prefers_async(Headers({"prefer": text}))
    for _ in range(1000):
        assert preferred_wait_s(Headers({"prefer": f"{text}, wait=5"[:2000]})) in (0, 5)
