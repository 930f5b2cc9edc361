"""What the planner's address gives: policy, addresses that change with the bytes, gzip, and nothing else."""

import gzip
import re

import pytest
from inline_parts import inline_sources
from service import ask, problem_of

from api.examples.invented import example_trips

pytestmark = pytest.mark.quick


def assets() -> list[str]:
    """Addresses of the files that the page names."""
    return sorted(set(re.findall(r'(?:src|href)="(/page/[^"]+)"', ask("GET", "/").text)))


def test_the_page_allows_only_its_own_files() -> None:
    """W3C CSP 3: one script and the styles inside, by hash, no eval, Trusted Types; never framed, no referrer."""
    answer = ask("GET", "/")
    policy = answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self' 'sha256-")
    assert all(source in policy for source in inline_sources(answer.text))
    assert not re.search(r"unsafe|\*|https?:|data:", policy)
    for part in ("frame-ancestors 'none'", "base-uri 'none'", "require-trusted-types-for 'script'"):
        assert part in policy
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert answer.headers["referrer-policy"] == "no-referrer"
    assert answer.headers["cache-control"] == "no-cache"
    assert not re.search(r"\sstyle=|\son[a-z]+=", answer.text)


def test_files_are_kept_for_ever_under_the_name_of_their_bytes() -> None:
    """RFC 8246: immutable; another edition or file is not there."""
    found = assets()
    assert {address.rsplit("/", 1)[1] for address in found} >= {"planner.js", "mark.svg"}
    for address in found:
        answer = ask("GET", address)
        assert answer.status_code == 200
        assert answer.headers["cache-control"] == "public, max-age=31536000, immutable"
    edition = found[0].split("/")[2]
    for address in (
        f"/page/{'0' * len(edition)}/mark.svg",
        f"/page/{edition}/other.js",
        f"/page/{edition}/..%2fframe.html",
    ):
        problem_of(ask("GET", address), 404)


@pytest.mark.parametrize(
    ("accepted", "packed"),
    [("gzip", True), ("br, gzip;q=0.5", True), ("gzip;q=0", False), ("gzip; q=0.0", False), ("identity", False)],
)
def test_files_go_out_in_gzip_where_it_is_taken(accepted: str, packed: bool) -> None:
    """RFC 9110, 12.5.3: a quality of 0 means not acceptable; 8.8.3: other bytes, another strong tag."""
    answer = ask("GET", "/", headers={"Accept-Encoding": accepted})
    assert (answer.headers.get("content-encoding") == "gzip") == packed
    assert "Accept-Encoding" in answer.headers["vary"]
    other = ask("GET", "/", headers={"Accept-Encoding": "identity" if packed else "gzip"})
    assert answer.text == other.text
    assert answer.headers["etag"] != other.headers["etag"]
    if packed:
        assert int(answer.headers["content-length"]) < len(gzip.compress(answer.content)) * 1.1


def test_the_worker_may_stand_before_the_whole_service_and_keeps_what_the_page_needs() -> None:
    """W3C Service Workers: Service-Worker-Allowed widens the scope beyond its own folder."""
    answer = ask("GET", "/page/worker.js")
    assert (answer.headers["service-worker-allowed"], answer.headers["cache-control"]) == ("/", "no-cache")
    for address in assets():
        assert f'"{address}"' in answer.text


def test_the_page_lets_one_choose_from_what_the_service_has_and_its_library_has_its_licence() -> None:
    """Whole example trips, each called invented; rows as the service lists them; MIT's text goes with every copy."""
    folder = assets()[0].rsplit("/", 1)[0]
    tables = ask("GET", f"{folder}/tables.json").json()
    trips = {one["id"]: one["trip"] for one in tables["examples"]}
    assert trips == {name: trip for name, trip in example_trips().items() if trip.get("nights")}
    assert all(trip["name"].startswith("Invented") for trip in trips.values())
    for table in ("woods", "camp_work", "tools"):
        assert tables[table] == ask("GET", f"/v1/{table.replace('_', '-')}?limit=1000").json()["items"]
    assert "Permission is hereby granted" in ask("GET", f"{folder}/chartist-1.5.0.LICENSE.txt").text
