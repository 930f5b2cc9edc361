"""The API fuzzed from its own OpenAPI document, in every phase that schemathesis has."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import httpx
import pytest
from server import Server, served
from tree import DATA, ROOT
from waiting import LONG_S, RUN_S

PATIENT = ("--request-timeout", str(LONG_S))  # a run is bounded by its number of cases, never by time
PHASES = ("Examples", "Coverage", "Fuzzing", "Stateful")
CONFIG = DATA / "schemathesis.toml"
MANY = "20"  # examples of an operation, where schemathesis.toml has fewer
MIN_PLANNED = 20  # bodies that got as far as a kit: fewer, and the run would show little

# The further questions take many solves each, so they have few bodies and a run of their own.
QUESTIONS, FEW = r"^/v1/(kits/(front|check|bad-night|confidence|sure|sure\.svg|season)|designs/allowance)$", "3"
SHEETS = r"^/v1/sheet/(values?|kit\.csv|trips(\.csv)?)$"  # files of spreadsheets are tried in tests/api/filling
MIN_TOLD = 5  # cells and tables that are answered: most fuzzed ones name no field, or no tool
STORED = "^/v1/(catalogs|jobs|changes)"
MIN_KEPT = 1  # writes that are taken: most fuzzed ones are not based on what is there
EXAMPLES = ("--phases", "examples", "--no-shrink")
FUZZED = r"^/(v1/(kits|tools.*|methods|woods.*|camp-work|assumptions)|healthz|problems.*)$"


def fuzz(
    url: str, folder: Path, *more: str, config: Path = CONFIG, patience_s: float = RUN_S
) -> subprocess.CompletedProcess[str]:
    """A run of schemathesis against the document at an address."""
    httpx.get(f"{url}/openapi.json", timeout=RUN_S)  # made by now, so that a busy machine tells it within ten seconds
    return subprocess.run(
        [
            sys.executable,
            "-m",
            "schemathesis.cli",
            "--no-color",
            "--config-file",
            str(config),
            "run",
            f"{url}/openapi.json",
            *PATIENT,
            *more,
        ],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(ROOT / "tests" / "support"), "PYTHONIOENCODING": "utf-8", "COLUMNS": "200"},
        capture_output=True,
        encoding="utf-8",
        timeout=patience_s,
        check=False,
    )


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """One service for all runs, with a store of its own: each run has its addresses."""
    folder = tmp_path_factory.mktemp("fuzzed")
    with served(folder, database_url=f"sqlite:///{folder / 'store.db'}") as running:
        yield running


def fuzzed(service: Server, folder: Path, *more: str) -> tuple[str, str]:
    """What a run that must pass says, and what the service logs meanwhile."""
    before = len(service.logged())
    run = fuzz(service.url, folder, *more)
    assert run.returncode == 0, run.stdout + run.stderr
    answered = service.logged()[before:]
    assert "Traceback" not in answered
    return run.stdout, answered


def test_no_failure_in_any_phase(service: Server, tmp_path: Path) -> None:
    """All checks, on examples, boundaries, random and mutated requests, and sequences of requests."""
    said, answered = fuzzed(service, tmp_path, "--include-path-regex", FUZZED, "--max-examples", MANY)
    for phase in PHASES:
        assert f"✅  {phase}" in said, f"the phase {phase} ran and passed: {said[-3000:]}"
    assert len(re.findall(r"POST /v1/kits\S* 200", answered)) >= MIN_PLANNED


def test_no_failure_of_the_further_questions(service: Server, tmp_path: Path) -> None:
    """The same for fronts, checks, bad nights, confidence, sureness, seasons, allowances; each answers some body."""
    _, answered = fuzzed(service, tmp_path, "--include-path-regex", QUESTIONS, "--max-examples", FEW)
    for address in (
        "kits/front",
        "kits/check",
        "kits/bad-night",
        "kits/confidence",
        "kits/sure",
        "kits/season",
        "designs/allowance",
    ):
        assert re.search(rf"POST /v1/{address}\S* 200", answered), address


def test_no_failure_of_the_sheet_addresses(service: Server, tmp_path: Path) -> None:
    """The same for cells and tables."""
    _, answered = fuzzed(service, tmp_path, "--include-path-regex", SHEETS)
    assert len(re.findall(r"/v1/sheet/\S* 200", answered)) >= MIN_TOLD


def test_no_failure_of_the_stored_catalogs(service: Server, tmp_path: Path) -> None:
    """The same for catalogs, their tools and trials, jobs and changes."""
    _, answered = fuzzed(service, tmp_path, "--include-path-regex", STORED)
    assert len(re.findall(r"(PUT|POST|PATCH|DELETE) /v1/catalogs/\S* 20[014]", answered)) >= MIN_KEPT


class Broken(BaseHTTPRequestHandler):
    """The document of the service, above a service that fails at everything."""

    document: str

    def do_GET(self) -> None:
        if self.path == "/openapi.json":
            self.reply(200, "application/json", self.document)
        else:
            self.reply(500, "text/plain", "Internal Server Error")

    def do_POST(self) -> None:
        self.rfile.read(int(self.headers["Content-Length"]))
        self.reply(422, "application/problem+json", json.dumps({"status": 422, "errors": [{"pointer": "#/name"}]}))

    def reply(self, status: int, media: str, text: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", media)
        self.end_headers()
        self.wfile.write(text.encode())

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


def test_fuzzing_sees_a_broken_service(tmp_path: Path) -> None:
    """The same run finds the failures of a service that has them, so that its silence means something."""
    Broken.document = (ROOT / "openapi" / "openapi.json").read_text("utf-8")
    server = HTTPServer(("127.0.0.1", 0), Broken)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        run = fuzz(f"http://127.0.0.1:{server.server_port}", tmp_path, "--include-path-regex", FUZZED, *EXAMPLES)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
    assert run.returncode == 1
    for sign in ("refused_only_across_fields", "failures_are_problems", "Server error"):
        assert sign in run.stdout
