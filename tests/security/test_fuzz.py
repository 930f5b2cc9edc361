"""The API fuzzed from its own OpenAPI document, in every phase that schemathesis has."""

import json
import os
import re
import subprocess
import sys
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread

import httpx
from server import served
from tree import DATA, ROOT
from waiting import LONG_S, RUN_S

from api.app.application import create_app

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


def test_no_failure_in_any_phase(tmp_path: Path) -> None:
    """All checks, on examples, boundaries, random and mutated requests, and sequences of requests."""
    with served(tmp_path) as service:
        run = fuzz(service.url, tmp_path, "--include-path-regex", FUZZED, "--max-examples", MANY)
    assert run.returncode == 0, run.stdout + run.stderr
    for phase in PHASES:
        assert f"✅  {phase}" in run.stdout, f"the phase {phase} ran and passed: {run.stdout[-3000:]}"
    answered = service.logged()
    assert len(re.findall(r"POST /v1/kits\S* 200", answered)) >= MIN_PLANNED
    assert "Traceback" not in answered


def test_no_failure_of_the_further_questions(tmp_path: Path) -> None:
    """The same for fronts, checks, bad nights, confidence, sureness, seasons, allowances; each answers some body."""
    with served(tmp_path) as service:
        run = fuzz(service.url, tmp_path, "--include-path-regex", QUESTIONS, "--max-examples", FEW)
    assert run.returncode == 0, run.stdout + run.stderr
    answered = service.logged()
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
    assert "Traceback" not in answered


def test_no_failure_of_the_sheet_addresses(tmp_path: Path) -> None:
    """The same for cells and tables."""
    with served(tmp_path) as service:
        run = fuzz(service.url, tmp_path, "--include-path-regex", SHEETS)
    assert run.returncode == 0, run.stdout + run.stderr
    answered = service.logged()
    assert len(re.findall(r"/v1/sheet/\S* 200", answered)) >= MIN_TOLD
    assert "Traceback" not in answered


def test_no_failure_of_the_stored_catalogs(tmp_path: Path) -> None:
    """The same for catalogs, their tools and trials, jobs and changes, in a store of their own."""
    with served(tmp_path, database_url=f"sqlite:///{tmp_path / 'store.db'}") as service:
        run = fuzz(service.url, tmp_path, "--include-path-regex", STORED)
    assert run.returncode == 0, run.stdout + run.stderr
    answered = service.logged()
    assert len(re.findall(r"(PUT|POST|PATCH|DELETE) /v1/catalogs/\S* 20[014]", answered)) >= MIN_KEPT
    assert "Traceback" not in answered


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
    Broken.document = json.dumps(create_app().openapi())
    server = HTTPServer(("127.0.0.1", 0), Broken)
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        run = fuzz(f"http://127.0.0.1:{server.server_port}", tmp_path, "--phases", "examples", "--no-shrink")
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
    assert run.returncode == 1
    for sign in ("refused_only_across_fields", "failures_are_problems", "Server error"):
        assert sign in run.stdout
