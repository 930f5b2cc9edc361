"""Every kind of failure over HTTP: one shape (RFC 9457), the right status, and the field with its value and range."""

import json
import logging
from difflib import get_close_matches
from typing import Any

import pytest
from service import LEAST, ask, faults_of, post, problem_of, send, small_app

from api.http.json_reader import MOST_OF_ONE, single_keys

pytestmark = pytest.mark.quick

DEEP = 100_000
LEAST_BODY = json.dumps(LEAST).encode()

UNREADABLE = {
    "cut short": b'{"tasks": [',
    "trailing comma": b'{"tasks": [],}',
    "two values": b"{} {}",
    "blank": b"   ",
    "not UTF-8": b'{"name": "caf\xe9"}',
    "UTF-16": json.dumps(LEAST).encode("utf-16"),
    "byte order mark": b"\xef\xbb\xbf" + LEAST_BODY,
    "key twice": b'{"people": 1, "people": 2}',
    "key twice, deeper": b'{"tasks": [{"task": "split", "task": "saw", "diameter_mm": 90}]}',
    "key twice, a lone surrogate": b'{"\\ud800": 1, "\\ud800": 2}',
    "NaN": b'{"people": NaN}',
    "Infinity": b'{"people": Infinity}',
    "-Infinity": b'{"people": -Infinity}',
    "deep lists": b"[" * DEEP + b"]" * DEEP,
    "deep lists, open": b"[" * DEEP,
    "deep objects": b'{"a":' * DEEP + b"1" + b"}" * DEEP,
    "whole number of 5,000 digits": b'{"people": ' + b"9" * 5000 + b"}",
    "control character": b'{"name": "a\x01b"}',
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_a_body_that_is_no_json_is_a_400(name: str) -> None:
    """Whatever keeps a body from being JSON with each key once; nothing of it is guessed at."""
    problem = problem_of(send(UNREADABLE[name]), 400)
    assert problem["type"].endswith("/problems/unreadable-body")
    assert problem["detail"].startswith("not JSON: ")


def test_a_400_says_where_and_which() -> None:
    """The place of a slip, the key that stands twice, the number that is none."""
    assert problem_of(send(b'{"a" 1}'), 400)["detail"].endswith("(at character 5)")
    assert "'people' is given twice" in problem_of(send(UNREADABLE["key twice"]), 400)["detail"]
    assert "NaN" in problem_of(send(UNREADABLE["NaN"]), 400)["detail"]
    told = problem_of(send(UNREADABLE["whole number of 5,000 digits"]), 400)["detail"]
    assert told == "not JSON: a whole number has more than 4300 digits"  # Python's limit


@pytest.mark.parametrize("depth", range(930, 1000))
def test_no_depth_of_nesting_breaks_the_service(depth: int) -> None:
    """Around the depth at which reading gives up, both sides of it answer in order."""
    answer = send(b'{"name": ' + b"[" * depth + b"]" * depth + b"}")
    assert answer.status_code in (400, 422)
    problem_of(answer, answer.status_code)


def test_keys_are_told_apart_in_one_pass() -> None:
    """A key that stands twice is found by its hash: no key is compared with more than a few others."""
    compared = [0]

    class Key(str):
        __slots__ = ()

        def __eq__(self, other: object) -> bool:
            compared[0] += 1
            return str.__eq__(self, str(other))

        __hash__ = str.__hash__

    keys = [(Key(f"a{number}"), 1) for number in range(MOST_OF_ONE)]
    assert single_keys(keys) == dict(keys)
    assert compared[0] < 5 * MOST_OF_ONE


WRONG: dict[str, tuple[Any, str, Any, str]] = {
    "no body": (b"", "#", None, "required"),
    "null": (b"null", "#", None, "an object"),
    "a list": (b"[]", "#", "[]", "an object"),
    "a text": (b'"trip"', "#", "trip", "an object"),
    "a number": (b"3", "#", 3, "an object"),
    "unknown field": ({**LEAST, "colour": "red"}, "#/colour", "red", "no such field"),
    "field of a later version": ({**LEAST, "gear": {}}, "#/gear", "{}", "no such field"),
    "unknown field of a task": ({"tasks": [{**LEAST["tasks"][0], "x": 1}]}, "#/tasks/0/x", 1, "no such field"),
    "unknown field, escaped": ({**LEAST, "a/b~c": 1}, "#/a~1b~0c", 1, "no such field"),
    "unknown field called body": ({**LEAST, "body": 1}, "#/body", 1, "no such field"),
    "unknown limit": ({**LEAST, "limits": {"mass_kg": 1}}, "#/limits/mass_kg", 1, "no such field"),
    "text for a number": ({"tasks": [{"task": "saw", "diameter_mm": "9"}]}, "#/tasks/0/diameter_mm", "9", "a number"),
    "truth for a number": ({**LEAST, "people": True}, "#/people", True, "a whole number"),
    "fraction of a person": ({**LEAST, "people": 1.5}, "#/people", 1.5, "a whole number"),
    "number for a truth": ({**LEAST, "field_methods": 1}, "#/field_methods", 1, "true or false"),
    "null for a number": ({**LEAST, "nights": None}, "#/nights", None, "a whole number"),
    "object for a list": ({"tasks": {}}, "#/tasks", "{}", "a list"),
    "unknown task": ({"tasks": [{"task": "fell", "diameter_mm": 90}]}, "#/tasks/0/task", "fell", "one of"),
    "task missing": ({"tasks": [{"diameter_mm": 90}]}, "#/tasks/0/task", '{"diameter_mm": 90}', "required"),
    "unknown backup": ({**LEAST, "backup": "some"}, "#/backup", "some", "one of"),
    "too thin": ({"tasks": [{"task": "saw", "diameter_mm": 0.9}]}, "#/tasks/0/diameter_mm", 0.9, ">= 1"),
    "too thick": ({"tasks": [{"task": "saw", "diameter_mm": 3001}]}, "#/tasks/0/diameter_mm", 3001, "<= 3000"),
    "none a day": ({"tasks": [{"task": "saw", "diameter_mm": 9, "per_day": 0}]}, "#/tasks/0/per_day", 0, "> 0"),
    "score 31": ({"tasks": [{"task": "saw", "diameter_mm": 9, "min_score": 31}]}, "#/tasks/0/min_score", 31, "<= 30"),
    "nobody": ({**LEAST, "people": 0}, "#/people", 0, ">= 1"),
    "51 people": ({**LEAST, "people": 51}, "#/people", 51, "<= 50"),
    "366 nights": ({**LEAST, "nights": 366}, "#/nights", 366, "<= 365"),
    "no work allowed": ({**LEAST, "limits": {"work_min_per_day": 0}}, "#/limits/work_min_per_day", 0, ">= 1"),
    "mass below nothing": ({**LEAST, "limits": {"mass_g": -1}}, "#/limits/mass_g", -1, ">= 0"),
    "1e999": (b'{"tasks": [{"task": "saw", "diameter_mm": 1e999}]}', "#/tasks/0/diameter_mm", "inf", "a finite number"),
    "400 digits": (b'{"people": ' + b"9" * 400 + b"}", "#/people", "9" * 200, "<= 50"),
    "lone surrogate": (b'{"name": "\\ud800"}', "#/name", "\ud800", "text of whole"),
    "lone surrogate as an id": (b'{"must_carry": ["\\udfff"]}', "#/must_carry/0", "\udfff", "text of whole"),
    "lone surrogate as a task": (b'{"tasks": [{"task": "\\ud800"}]}', "#/tasks/0/task", "\ud800", "text of whole"),
    "NUL in a name": ({**LEAST, "name": "a\0b"}, "#/name", "a\0b", "pattern"),
    "a name of two lines": ({**LEAST, "name": "a\nb"}, "#/name", "a\nb", "pattern"),
    "101 tasks": ({"tasks": LEAST["tasks"] * 101}, "#/tasks", None, "max length 100"),
    "no tools": ({**LEAST, "tools": []}, "#/tools", "[]", "min length 1"),
    "tool without mass": ({**LEAST, "tools": [{"id": "a"}]}, "#/tools/0/mass_g", '{"id": "a"}', "required"),
    "heavy tool": ({**LEAST, "tools": [{"id": "a", "mass_g": 50_001}]}, "#/tools/0/mass_g", 50_001, "<= 50000"),
    "id with a space": ({**LEAST, "tools": [{"id": "a b", "mass_g": 1}]}, "#/tools/0/id", "a b", "pattern"),
    "id with a line end": ({**LEAST, "tools": [{"id": "a\n", "mass_g": 1}]}, "#/tools/0/id", "a\n", "pattern"),
    "formula as a name": (
        {**LEAST, "tools": [{"id": "a", "mass_g": 1, "name": "=1+1"}]}, "#/tools/0/name", "=1+1", "pattern",
    ),
    "camp work without an amount": (
        {"camp_work": [{"id": "peg"}]}, "#/camp_work/0", '{"id": "peg"}', "give exactly one of per_day and per_trip",
    ),
    "two lists of thicknesses": (
        {**LEAST, "wood": {"diameters_mm": [40], "diameters": [{"mm": 40, "reach_kg_per_day": 1}]}},
        "#/wood", None, "give only one of",
    ),
    "companions that aren't": (
        {**LEAST, "tools": [{"id": "a", "mass_g": 1, "needs": "b||c"}]}, "#/tools/0/needs", "b||c", "one of a|b;c",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_field_is_a_422_with_pointer_value_and_range(name: str) -> None:
    """The JSON pointer of the field (RFC 6901), what stood there, and what is allowed."""
    body, pointer, value, allowed = WRONG[name]
    fault = faults_of(send(body) if isinstance(body, bytes) else post(body))[pointer]
    assert allowed in fault["range"]
    if value is not None:
        assert fault["value"] == value


@pytest.mark.parametrize(
    ("body", "pointer", "both"),
    [
        ({**LEAST, "people": 0}, "#/people", ">= 1; <= 50"),
        ({**LEAST, "nights": 366}, "#/nights", ">= 1; <= 365"),
        ({"tasks": LEAST["tasks"] * 101}, "#/tasks", "max length 100"),
        ({**LEAST, "wood": {"diameters_mm": []}}, "#/wood/diameters_mm", "min length 1; max length 20"),
        ({**LEAST, "tools": [{"id": "a", "mass_g": -1}]}, "#/tools/0/mass_g", ">= 0; <= 50000"),
        ({**LEAST, "tools": [{"id": "a", "mass_g": 1, "saw_score": 31}]}, "#/tools/0/saw_score", ">= 0; <= 30"),
        ({**LEAST, "sure": {"draws": 63}}, "#/sure/draws", ">= 64; <= 4096"),
        ({**LEAST, "sure": {"confidence": 1.5}}, "#/sure/confidence", "> 0; <= 1"),
        ({**LEAST, "limits": {"work_min_per_day": 0}}, "#/limits/work_min_per_day", ">= 1"),
    ],
)
def test_a_range_is_told_with_both_its_ends(body: dict[str, Any], pointer: str, both: str) -> None:
    """Whichever end was passed, as the contract has them; one that depends on the party's size has but one."""
    assert faults_of(post(body))[pointer]["range"] == both


def test_a_range_of_a_query_is_told_with_both_its_ends() -> None:
    """As of a body."""
    for limit in (0, 1001):
        answer = ask("GET", f"/v1/tools?limit={limit}")
        assert faults_of(answer)["#/query/limit"]["range"] == ">= 1; <= 1000"


def test_every_wrong_field_is_listed() -> None:
    """Not the first alone."""
    trip = {"people": 0, "nights": 0, "tasks": [{"task": "saw", "diameter_mm": 0}, {"task": "x", "diameter_mm": 1}]}
    assert set(faults_of(post(trip))) == {"#/people", "#/nights", "#/tasks/0/diameter_mm", "#/tasks/1/task"}


def test_of_very_many_wrong_fields_the_first_hundred_are_listed() -> None:
    """So that a small request can't ask for a huge answer; the count is whole."""
    answer = post({**LEAST, "tools": [{"x": 1}] * 20_000})
    problem = problem_of(answer, 422)
    assert len(problem["errors"]) == 100
    assert problem["detail"] == "at least 501 wrong field(s); the first 100 are listed"
    assert len(answer.content) < 100_000


def test_a_long_value_is_cut_in_the_answer() -> None:
    """A field of a megabyte does not come back whole."""
    long, cut = "a" * 2**20, "a" * 200 + "..."
    fault = faults_of(post({**LEAST, "name": long}))["#/name"]
    assert fault["value"] == cut
    named: dict[str, dict[str, Any]] = {"": {long: 1}, "/fire": {"fire": {long: 1}}}
    for pointer, body in (named | {"/assumptions": {"assumptions": {long: 1}}}).items():
        answer = post(LEAST | body)
        assert f"#{pointer}/{cut}" in faults_of(answer)
        assert len(answer.content) < 2000
    twice = problem_of(send(b'{"%s":1,"%s":2}' % (long.encode(), long.encode())), 400)["detail"]
    assert len(twice) < 200


def test_an_empty_trip_is_refused_at_its_tasks() -> None:
    """No task, or none named: the trip asks for nothing."""
    for trip in ({}, {"tasks": []}, {"people": 3}):
        fault = faults_of(post(trip))["#/tasks"]
        assert (fault["value"], fault["range"]) == ("[]", "at least one task, a fire or camp work")


@pytest.mark.parametrize(("people", "minutes"), [(1, 1440.5), (3, 4321), (50, 1e6)])
def test_the_work_limit_is_at_most_the_minutes_of_the_party(people: int, minutes: float) -> None:
    """1,440 minutes a day for each; exactly that many are taken."""
    pointer = "#/limits/work_min_per_day"
    fault = faults_of(post({**LEAST, "people": people, "limits": {"work_min_per_day": minutes}}))[pointer]
    assert (fault["value"], fault["range"]) == (minutes, f"1 to {1440 * people}")
    assert post({**LEAST, "people": people, "limits": {"work_min_per_day": 1440 * people}}).status_code == 200


def test_an_unknown_id_comes_with_the_ids_near_it() -> None:
    """A slip in must_carry or leave_home, against the built-in tools or one's own."""
    faults = faults_of(post({**LEAST, "must_carry": ["folding-saw-210", "foldin-saw-210"], "leave_home": ["zzz"]}))
    assert set(faults) == {"#/must_carry/1", "#/leave_home/0"}
    assert "folding-saw-210" in faults["#/must_carry/1"]["detail"]
    assert "similar ids" not in faults["#/leave_home/0"]["detail"]
    own = {**LEAST, "tools": [{"id": "my-knife", "mass_g": 1}], "must_carry": ["folding-saw-210", "my-knive"]}
    faults = faults_of(post(own))
    assert set(faults) == {"#/must_carry/0", "#/must_carry/1"}
    assert "my-knife" in faults["#/must_carry/1"]["detail"]


def test_thousands_of_unknown_ids_among_thousands_of_tools_are_told_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Near ids are sought for the first few only: sought for all, this would take minutes."""
    sought: list[str] = []

    def sought_near(name: str, candidates: list[str], n: int) -> list[str]:
        if candidates:
            sought.append(name)
        return get_close_matches(name, candidates, n=n)

    monkeypatch.setattr("solver.forms.validation.get_close_matches", sought_near)
    tools = [{"id": f"tool-{number}", "mass_g": 1} for number in range(20_000)]
    rules = {"must_carry": [f"toul-{n}" for n in range(1000)], "leave_home": [f"tuul-{n}" for n in range(1000)]}
    problem = problem_of(post({**LEAST, "tools": tools, **rules}), 422)
    assert 0 < len(sought) <= 20
    assert problem["detail"].startswith("2000 wrong field(s)")
    assert "similar ids" in problem["errors"][0]["detail"]


def test_an_id_stands_once_among_ones_own_tools() -> None:
    """The fault is at the second, and says where the first is; a field method's id is taken too."""
    tools = [{"id": name, "mass_g": 1} for name in ("a", "b", "a", "break-by-hand")]
    faults = faults_of(post({**LEAST, "tools": tools}))
    assert set(faults) == {"#/tools/2/id", "#/tools/3/id"}
    assert "#/tools/0" in faults["#/tools/2/id"]["detail"]
    assert "field method" in faults["#/tools/3/id"]["detail"]


def test_more_companions_than_memory_holds_are_refused() -> None:
    """Each group is weighed against each tool: 20,000 groups over 20,000 tools would take gigabytes."""
    tools = [{"id": f"t{number}", "mass_g": 1, "needs": [[f"t{number // 2}"]]} for number in range(20_000)]
    fault = faults_of(post({**LEAST, "tools": tools}))["#/tools"]
    assert (fault["value"], fault["range"]) == (20_000, "at most 200 companion groups")
    assert post({**LEAST, "tools": [tool | {"needs": []} for tool in tools]}).status_code == 200


def test_a_parameter_that_is_unknown_or_wrong_is_a_422() -> None:
    """A slip in ?units= must not give metric figures in silence."""
    fault = faults_of(post(LEAST, address="/v1/kits?unit=us"))["#/query/unit"]
    assert (fault["value"], fault["range"]) == ("us", "no such field")
    assert faults_of(post(LEAST, address="/v1/kits?units=uk"))["#/query/units"]["range"] == "one of 'metric' or 'us'"
    assert set(faults_of(ask("GET", f"/v1/tools/{'x' * 200}"))) == {"#/path/id"}


@pytest.mark.parametrize(
    ("method", "address", "name"),
    [
        ("GET", "/v1/tools?limit=1&limit=2", "#/query/limit"),
        ("GET", "/v1/tools.csv?kind=axe&%6bind=hatchet", "#/query/kind"),
        ("GET", "/v1/tools/hatchet-600?x=&x=", "#/query/x"),
        ("POST", "/v1/kits?units=us&units=metric", "#/query/units"),
        ("GET", "/v1/sheet/value?field=kit.mass_g&saw_mm=90&saw_mm=60", "#/saw_mm"),
    ],
)
def test_a_parameter_that_stands_twice_is_a_422(method: str, address: str, name: str) -> None:
    """Neither of the two counts without a word; pages, whose links may carry anything, do not mind."""
    fault = faults_of(ask(method, address, json=LEAST if method == "POST" else None))[name]
    assert fault["range"] == "once"
    assert ask("GET", "/docs?a=1&a=2").status_code == 200


@pytest.mark.parametrize("error", [KeyError, StopIteration])
def test_an_error_inside_is_a_500_without_its_trace(
    error: type[Exception], monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """The caller learns nothing of the inside, and at once; the operator's log holds it."""

    def broken(*_: object, **__: object) -> None:
        raise error("inner secret")

    monkeypatch.setattr("api.questions.kit_questions.plan", broken)
    with caplog.at_level(logging.ERROR, logger="kitwright"):
        answer = post(LEAST)
    problem = problem_of(answer, 500)
    assert problem["type"].endswith("/problems/internal-error")
    assert problem["errors"] == []
    for inner in ("secret", error.__name__, "Traceback", ".py"):
        assert inner not in answer.text
    assert "inner secret" in caplog.text


def test_effort_that_runs_out_before_any_kit_is_a_503() -> None:
    """Before a trip was read no kit can be spoken of: neither one, nor that there is none."""
    answer = post(LEAST, app=small_app(answer_seconds=1e-9))
    assert problem_of(answer, 503)["type"].endswith("/problems/unfinished")
    assert int(answer.headers["retry-after"]) > 0


def test_every_problem_type_has_a_page() -> None:
    """The address in `type` answers with what it means."""
    for answer in (send(b"{"), post({}), ask("GET", "/nowhere"), ask("PUT", "/v1/kits"), send(b"{}", headers={})):
        problem = answer.json()
        page = ask("GET", problem["type"])
        assert page.status_code == 200
        assert (page.json()["status"], page.json()["title"]) == (problem["status"], problem["title"])


def test_nothing_of_a_refused_request_stays(caplog: pytest.LogCaptureFixture) -> None:
    """After all sorts of failures the same trip has the same answer, and the log no error."""
    first = post(LEAST).content
    for body in UNREADABLE.values():
        send(body)
    assert post(LEAST).content == first
    assert not [record for record in caplog.records if record.levelno >= logging.WARNING]
