"""The maker's bench fuzzed from its own OpenAPI document: no drawing, bill or record makes the service fail."""

import re
from pathlib import Path

from server import served
from test_fuzz import fuzz

FUZZED = r"^/v1/(designs/(score|drawing\.svg|mass\.svg)|trials)$"
MIN_ANSWERED = 8  # bodies that got as far as an answer, the examples among them


def test_no_failure_on_drawings_and_records(tmp_path: Path) -> None:
    """All checks of the API, in every phase."""
    with served(tmp_path) as service:
        run = fuzz(service.url, tmp_path, "--include-path-regex", FUZZED)
    assert run.returncode == 0, run.stdout + run.stderr
    answered = service.logged()
    assert len(re.findall(r"POST /v1/(designs|trials)\S* 200", answered)) >= MIN_ANSWERED
    assert "Traceback" not in answered
