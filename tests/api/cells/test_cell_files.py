"""Functions for cells as files: what is in them, what their Python says where nothing answers, and the commands."""

import io
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Thread
from typing import Any
from xml.etree import ElementTree

import pytest
from service import HOST, ask

from api.cells.calc.pythonpath import kitwright_cells
from api.cells.cell_function import CELL_FUNCTIONS
from api.cli.command import main
from api.web.guide_pages import guide_texts

pytestmark = pytest.mark.quick

USUAL = "http://127.0.0.1:8321"
TRIP = ([["kit.mass_g"]], [["saw_mm"]], [[90]], None)


def test_the_add_in_is_whole_and_asks_the_service_that_it_came_from() -> None:
    """Its XML can be read; what the manifest names is there; each function has its method and is described."""
    answer = ask("GET", "/v1/sheet/functions.oxt")
    assert answer.status_code == 200
    with zipfile.ZipFile(io.BytesIO(answer.content)) as file:
        texts = {name: file.read(name).decode() for name in file.namelist()}
    for name in ("META-INF/manifest.xml", "description.xml", "kitwright.components", "CalcAddIns.xcu"):
        ElementTree.fromstring(texts[name])
    manifest = ElementTree.fromstring(texts["META-INF/manifest.xml"])
    named = {value for entry in manifest for key, value in entry.attrib.items() if key.endswith("full-path")}
    assert named == {"types.idl", "kitwright.components", "CalcAddIns.xcu"} <= set(texts)
    assert f"SERVICE = '{HOST}'" in texts["python/pythonpath/kitwright_service.py"]
    for one in CELL_FUNCTIONS:
        assert f"def {one.method}(self, " in texts["python/component.py"]
        assert f'oor:name="{one.method}"' in texts["CalcAddIns.xcu"]
        assert f" {one.method}([in] " in texts["types.idl"]
        assert f"`{one.name}(" in guide_texts()["spreadsheets"]
        assert f"function {one.name}({', '.join(name for name, *_ in one.arguments)})" in script()


def script() -> str:
    """The script as it is served."""
    answer = ask("GET", "/v1/sheet/functions.js")
    assert answer.headers["content-type"] == "text/javascript; charset=utf-8"
    return answer.text


def test_the_script_asks_the_service_that_it_came_from() -> None:
    assert f'const KITWRIGHT_SERVICE_ = "{HOST}";' in script()
    assert USUAL not in script()


def test_the_command_writes_both(tmp_path: Path, capsys: Any) -> None:
    """And says what to do with them; other names and addresses are refused."""
    for kind, next_step in (("oxt", "unopkg add"), ("js", "script editor")):
        assert main(["functions", str(tmp_path / f"cells.{kind}"), "--service", "https://kit.example/"]) == 0
        assert next_step in capsys.readouterr().out
        assert main(["functions", str(tmp_path / f"cells.{kind}"), "--service", "https://kit.example/", "--json"]) == 0
    assert '"https://kit.example"' in (tmp_path / "cells.js").read_text("utf-8")
    assert main(["functions", str(tmp_path / "cells.ods")]) == 2
    assert main(["functions", str(tmp_path / "cells.js"), "--service", '";evil()//']) == 2
    assert "must end in .oxt or .js" in capsys.readouterr().err


class Strange(BaseHTTPRequestHandler):
    """Something else than the service: it leads elsewhere, or answers what it likes."""

    asked: list[str]

    def do_GET(self) -> None:
        self.asked.append(self.path)
        away = self.path.startswith("/v1/")
        self.send_response(302 if away else 200)
        self.send_header("Location", "/elsewhere")
        self.end_headers()
        self.wfile.write(b"<html>hello</html>")

    def log_message(self, *_: Any) -> None:
        """Write nothing."""


@contextmanager
def strange() -> Iterator[tuple[str, list[str]]]:
    """Such a thing: its address, and what it is asked."""
    asked: list[str] = []
    server = HTTPServer(("127.0.0.1", 0), type("Other", (Strange,), {"asked": asked}))
    thread = Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}", asked
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


def test_what_is_no_service_is_told_and_no_redirect_is_followed() -> None:
    """A trip, and a key in it, goes to one address alone."""
    with strange() as (address, asked):
        service = kitwright_cells.Service(address)
        assert service.one_trip(*TRIP) == [
            ["What came from this address is not an answer of the service. It says 302."]
        ]
        assert service.state() == [[f"{address}: What came from this address is not an answer of the service."]]
        assert [path.partition("?")[0] for path in asked] == ["/v1/sheet/values", "/readyz"]


def test_a_silent_service_is_asked_once_for_many_cells(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a file of fifty cells does not wait fifty times; after some seconds it is asked again."""
    with strange() as (address, _):
        pass
    service, now = kitwright_cells.Service(address), [100.0]
    tried: list[str] = []
    opened = service.opener.open
    monkeypatch.setattr(kitwright_cells.time, "monotonic", lambda: now[0])
    monkeypatch.setattr(service.opener, "open", lambda *about, **more: (tried.append("once"), opened(*about, **more)))
    words = f"No answer from {address}: is it running?"
    assert [service.one_trip(*TRIP) for _ in range(3)] == [[[words]]] * 3
    assert service.many_trips([["status", "kit.mass_g"]], [["saw_mm"]], [[90], [80]], None) == [[words, ""], ["", ""]]
    assert len(tried) == 1
    now[0] += 60
    assert service.state() == [[words]]
    assert len(tried) == 2


@pytest.mark.parametrize(
    ("fields", "names", "values", "words"),
    [
        ([["kit.mass_g"]], [["saw_mm"]], [[90, 80]], "There are 1 names, but 2 values."),
        ([["kit.mass_g"]], [["saw_mm", ""]], [[90, 80]], "A value has no name beside it."),
        ([["kit.mass_g"]], [["saw_mm"]], [[float("nan")]], "A cell holds an error."),
        ([["a", "b,c"]], [["saw_mm"]], [[90]], "Each of several cells of fields holds one field, as kit.mass_g."),
    ],
)
def test_cells_that_make_no_question_are_told_before_anything_is_asked(
    fields: Any, names: Any, values: Any, words: str
) -> None:
    """In the first cell, the others empty."""
    ((first, *others),) = kitwright_cells.Service("http://no.invalid").one_trip(fields, names, values, None)
    assert first == words
    assert set(others) <= {""}
