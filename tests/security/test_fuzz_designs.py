"""The maker's bench fuzzed from its own OpenAPI document: no drawing, bill or record makes the service fail."""

import re
from pathlib import Path

from server import served
from test_fuzz import fuzz

FUZZED = r"^/v1/(designs/(score|drawing\.svg|mass\.svg)|trials)$"
MOST_S = "20"
SLOWEST_S = "60"  # the plotting library reads every font of the machine when it is first used
MIN_ANSWERED = 8  # bodies that got as far as an answer, the examples among them


def test_no_failure_on_drawings_and_records(tmp_path: Path) -> None:
    """All checks of the API, in every phase, within a bound."""
    with served(tmp_path) as service:
        bounds = ["--max-time", MOST_S, "--request-timeout", SLOWEST_S]
        run = fuzz(service.url, tmp_path, "--include-path-regex", FUZZED, *bounds)
    assert run.returncode == 0, run.stdout + run.stderr
    answered = service.logged()
    assert len(re.findall(r"POST /v1/(designs|trials)\S* 200", answered)) >= MIN_ANSWERED
    assert "Traceback" not in answered
