"""Adoption over a cluster: the same answer, wherever trips are settled. A real cluster is `python tests cluster`.

Here a stand-in of the engine does the tasks in this process, the last first, since no order may matter.
"""

import json
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import httpx
import pytest
from jobs import ASYNC, state_of, working
from pydantic import ValidationError
from service import small_app

from api.cli.command import main
from api.examples.invented import design_examples, population_examples
from api.settings.settings import Settings
from api.solving import cluster
from solver import Effort, adoption

OK, WRONG_INPUT = 0, 2
BODY = {"design": design_examples()["light-knife"], "population": population_examples()["long-distance"], "count": 20}
PLACE = "tls://127.0.0.1:8786"
FILES = {"cluster_ca": "ca.pem", "cluster_certificate": "own.pem", "cluster_key": "own.key"}


class Done:
    """Tasks that are done, the last first."""

    def __init__(self, tasks: list[Any], **_: Any) -> None:
        self.left = list(tasks)

    def is_empty(self) -> bool:
        return not self.left

    def has_ready(self) -> bool:
        return True

    def __next__(self) -> tuple[None, Any]:
        return None, self.left.pop()


class InThisProcess:
    """A client whose tasks are done as they are handed in."""

    loop = None

    def __init__(self, address: str, **_: Any) -> None:
        self.address = address

    def __enter__(self) -> "InThisProcess":
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing is open."""

    def wait_for_workers(self, _number: int, **_: Any) -> None:
        """There is one."""

    def nthreads(self) -> dict[str, int]:
        return {self.address: 1}

    def submit(self, work: Any, *given: Any, **_: Any) -> Any:
        return work(*given)

    def cancel(self, tasks: list[Any]) -> None:
        """All are done."""


@pytest.fixture
def engine(monkeypatch: pytest.MonkeyPatch) -> None:
    """The stand-in, in the place of the extra."""
    made = SimpleNamespace(Client=InThisProcess, as_completed=Done, KilledWorker=KeyError, Security=dict)
    monkeypatch.setitem(sys.modules, "distributed", made)


def asked(tmp_path: Path, place: str) -> list[str]:
    """The command line of a question that goes to a cluster."""
    file = tmp_path / "asked.json"
    file.write_text(json.dumps(BODY), encoding="utf-8")
    return ["adoption", str(file), "--json", "--cluster", place]


@pytest.mark.usefixtures("engine")
def test_a_cluster_changes_no_byte(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(asked(tmp_path, PLACE)) == OK
    expected = adoption(**BODY, effort=Effort())
    assert json.loads(capsys.readouterr().out) == expected.model_dump(mode="json")


@pytest.mark.usefixtures("engine")
def test_a_worker_of_another_release_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    releases = iter(["0.1.0"])
    monkeypatch.setattr(cluster, "version", lambda _: next(releases, "9.9.9"))
    assert main(asked(tmp_path, PLACE)) == WRONG_INPUT
    assert "has release 0.1.0, not 9.9.9" in capsys.readouterr().err


def test_what_is_missing_or_no_address_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert main(asked(tmp_path, PLACE)) == WRONG_INPUT
    assert "install kitwright[cluster]" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(asked(tmp_path, "http://127.0.0.1:8786"))
    assert "is no address as tls://host:8786" in capsys.readouterr().err


def test_a_service_names_a_cluster_with_tls_alone() -> None:
    for wrong in ({"cluster": "tcp://127.0.0.1:8786", **FILES}, {"cluster": PLACE}):
        with pytest.raises(ValidationError, match="cluster"):
            Settings(**wrong)
    assert Settings(cluster=PLACE, **FILES).cluster == PLACE


@pytest.mark.parametrize("there", [True, False], ids=["there", "not there"])
def test_a_job_goes_to_the_cluster_of_the_settings_and_is_answered_without_it(
    there: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """One answer, straight and as a job; the log says where a cluster can't be used."""
    seen: list[str] = []

    class Watched(InThisProcess):
        def __init__(self, address: str, **how: Any) -> None:
            super().__init__(address, **how)
            seen.append(address)

    made = SimpleNamespace(Client=Watched, as_completed=Done, KilledWorker=KeyError, Security=dict)
    monkeypatch.setitem(sys.modules, "distributed", made if there else None)
    app = small_app(one_user=True, memory_bytes=0, database_url=f"sqlite:///{tmp_path}/store", cluster=PLACE, **FILES)

    async def talk(client: httpx.AsyncClient) -> tuple[bytes, bytes]:
        straight = await client.post("/v1/designs/adoption", json=BODY)
        assert straight.status_code == 200, straight.text
        assert seen == []
        place = (await client.post("/v1/designs/adoption", json=BODY, headers=ASYNC)).headers["location"]
        await state_of(client, place, "done", "failed")
        return straight.content, (await client.get(f"{place}/result")).content

    straight, later = working(app, talk)
    assert later == straight
    assert seen == ([PLACE] if there else [])
    assert ("settled without the cluster" in caplog.text) is not there
