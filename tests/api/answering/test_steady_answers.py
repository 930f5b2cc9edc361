"""Built-in tables and health from memory: the same answers as without it, and for each asking its own."""

from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from service import ask, small_app

from api.solving.bounded_memory import Memory, key_of
from catalog import tools

pytestmark = pytest.mark.quick

FIRST = tools()[0].id
ADDRESSES = (
    "/healthz",
    "/v1/assumptions",
    "/v1/camp-work",
    "/v1/designs?form=knife",
    "/v1/methods",
    "/v1/tools",
    "/v1/tools?limit=1",
    f"/v1/tools?limit=1&cursor={FIRST}",
    f"/v1/tools/{FIRST}",
    f"/v1/tools/{FIRST}/scores",
    "/v1/woods",
)
REFUSED = ("/v1/tools?limit=0", "/v1/tools?colour=red", "/v1/tools/none", "/v1/tools/", "/healthz/")
PLAIN = {"Accept-Encoding": "identity"}
NAMED = {"X-Request-ID": "same"}


def told(address: str, app: FastAPI, *, method: str = "GET", headers: dict[str, str] | None = None) -> tuple[Any, ...]:
    """All that an answer says: its status, its headers and its body."""
    answer = ask(method, address, app=app, headers={**NAMED, **(headers or {})})
    return answer.status_code, answer.headers.multi_items(), answer.content


@pytest.mark.parametrize("address", [*ADDRESSES, *REFUSED])
@pytest.mark.parametrize("headers", [{}, PLAIN, {"Host": "wood.example:8000"}, {"Origin": "https://a.example"}])
def test_memory_changes_no_answer(address: str, headers: dict[str, str]) -> None:
    """Asked twice of a service with memory, and once of one without: every byte and header is the same."""
    app, without = small_app(), small_app(memory_bytes=0)
    wanted = told(address, without, headers=headers)
    assert [told(address, app, headers=headers) for _ in range(3)] == [wanted] * 3
    head = told(address, app, method="HEAD", headers=headers)
    assert (head[0], head[2]) == (wanted[0], b"")
    assert told(address, app, headers=headers) == wanted
    assert bool(app.state.memory.kept) is (address in ADDRESSES and not head[0] >= 400)


def test_each_host_has_its_own_next_page() -> None:
    """RFC 9110, 7.2: an address in an answer is of the host that was asked."""
    app = small_app()
    pages = [ask("GET", "/v1/tools?limit=1", app=app, headers={"Host": host}).json()["next"] for host in "aba"]
    assert [httpx.URL(page).host for page in pages] == ["a", "b", "a"]


def test_who_holds_an_answer_is_told_so_and_no_one_else() -> None:
    """RFC 9110, 13.1.2: a 304 for a tag that is held, the whole answer for another; memory keeps them apart."""
    app = small_app()
    tag = ask("GET", "/v1/tools", app=app, headers=PLAIN).headers["etag"]
    for held, status in ((tag, 304), ('"other"', 200), (tag, 304), ("", 200), ('"other"', 200)):
        answer = ask("GET", "/v1/tools", app=app, headers=PLAIN | ({"If-None-Match": held} if held else {}))
        assert (answer.status_code, bool(answer.content)) == (status, status == 200)
        assert answer.headers["etag"] == tag


def test_figures_know_an_answer_from_memory_by_its_route() -> None:
    """As they know it from the endpoint; the id of a tool is no route of its own."""
    app = small_app()
    for _ in range(3):
        ask("GET", f"/v1/tools/{FIRST}", app=app)
    counted = 'kitwright_request_seconds_count{method="GET",route="/v1/tools/{id}",status="200"} 3.0'
    assert counted in ask("GET", "/metrics", app=app).text


def test_what_is_too_long_or_asks_for_the_unknown_is_not_kept() -> None:
    """So nobody fills the memory with texts of their own; what is kept has the bound of all that is kept."""
    app = small_app()
    for headers in ({"Host": "a" * 1001}, {"If-None-Match": f'"{"a" * 1001}"'}):
        assert ask("GET", "/v1/tools", app=app, headers=headers).status_code == 200
    assert not app.state.memory.kept
    least = small_app(memory_bytes=100_000)
    for number in range(30):
        assert ask("GET", "/v1/woods", app=least, headers={"Host": f"h{number}.example"}).status_code == 200
    assert 0 < least.state.memory.bytes <= 100_000


def test_keys_of_answers_and_questions_never_meet() -> None:
    """A key of other parts is another key: what a caller posts can't stand where a table is kept."""
    memory = Memory(most_bytes=100_000)
    memory.keep(key_of(b"a", b"b", b"c"), b"posted")
    assert memory.find(key_of(b"a", b"b", b"c", b"")) is None
    assert memory.find(key_of(b"a", b"bc")) is None
