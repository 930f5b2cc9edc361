"""The workshop over HTTP and on the command line."""

import json
from pathlib import Path

import ezdxf
import pytest
from service import JSON, ask, problem_of

from api.cli.command import main
from api.contract.operation_examples import example_answers
from api.endpoints.designs import typical_designs
from api.examples.invented import design_examples
from api.workshop import outline_file
from api.workshop.outline_example import EXAMPLE_SVG, LIKE

pytestmark = pytest.mark.quick

SVG, DXF = {"Content-Type": "image/svg+xml"}, {"Content-Type": "image/vnd.dxf"}
KNIFE = design_examples()["light-knife"]


def test_a_sheet_is_a_file_that_reads_back() -> None:
    """The DXF, sent back, is the blade that it was drawn of; the PDF is one."""
    pdf = ask("POST", "/v1/designs/sheet.pdf?paper=letter", json=KNIFE)
    assert (pdf.status_code, pdf.headers["content-type"]) == (200, "application/pdf")
    assert pdf.content.startswith(b"%PDF-") and 'filename="light-knife-170.pdf"' in pdf.headers["content-disposition"]
    dxf = ask("POST", "/v1/designs/sheet.dxf?process=by machine", json=KNIFE)
    assert (dxf.status_code, dxf.headers["content-type"]) == (200, "image/vnd.dxf")
    read = ask("POST", f"/v1/designs/outline.dxf?like={LIKE}", content=dxf.content, headers=DXF).json()
    assert read["changes"]["drawing.blade.length_mm"] == 170
    scored = ask("POST", "/v1/designs/score", json=read["design"]).json()
    assert scored["tool"]["mass_g"] == pytest.approx(read["mass_g"], abs=0.1)


def test_an_outline_is_read_as_the_contract_shows() -> None:
    """The body that the contract shows has the answer that it shows."""
    answer = ask("POST", f"/v1/designs/outline.svg?like={LIKE}", content=EXAMPLE_SVG.encode(), headers=SVG)
    assert answer.json() == example_answers()["post /v1/designs/outline.svg"]


def test_what_is_wrong_is_a_problem() -> None:
    """A file with its place, a drawing that there is not, a parameter out of range, another type of body."""
    address = f"/v1/designs/outline.svg?like={LIKE}"
    crossing = EXAMPLE_SVG.replace("M0 2H70L95 14L80 26H0Z", "M0 0L80 26H0L80 0Z").encode()
    (fault,) = problem_of(ask("POST", address, content=crossing, headers=SVG), 422)["errors"]
    assert "(40.00, 13.00) mm" in fault["detail"]
    (fault,) = problem_of(ask("POST", "/v1/designs/outline.svg?like=none", content=b"", headers=SVG), 422)["errors"]
    assert fault["pointer"] == "#/query/like"
    (fault,) = problem_of(ask("POST", f"{address}&flatten_mm=9", content=b"", headers=SVG), 422)["errors"]
    assert fault["pointer"] == "#/query/flatten_mm"
    problem_of(ask("POST", address, content=EXAMPLE_SVG.encode(), headers=JSON), 415)


def test_without_its_libraries_the_workshop_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """The service starts without the extra: these addresses name it."""

    def missing(name: str) -> object:
        raise ModuleNotFoundError(name)

    monkeypatch.setattr(outline_file, "import_module", missing)
    problem = problem_of(ask("POST", "/v1/designs/sheet.dxf", json=KNIFE), 503)
    assert "pip install 'kitwright[workshop]'" in problem["detail"]
    assert problem["type"].endswith("/not-installed")
    address = f"/v1/designs/outline.svg?like={LIKE}"
    problem_of(ask("POST", address, content=EXAMPLE_SVG.encode(), headers=SVG), 503)


def test_the_commands_write_and_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From an example to a sheet, and from the sheet to a design file that is like it."""
    pdf, dxf, design, like = (tmp_path / name for name in ("a.pdf", "a.dxf", "a.json", "like.json"))
    assert main(["workshop-sheet", "--example", "light-knife", "--pdf", str(pdf), "--dxf", str(dxf)]) == 0
    assert pdf.read_bytes().startswith(b"%PDF-") and ezdxf.readfile(dxf).units == 4
    like.write_text(json.dumps(KNIFE), encoding="utf-8")
    assert main(["outline", str(dxf), "--like", str(like), "--out", str(design)]) == 0
    assert "170 by 30 mm" in capsys.readouterr().out
    assert main(["outline", str(dxf), "--like", LIKE, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["outline"]["length_mm"] == 170
    assert main(["design", str(design), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["tool"]["mass_g"] == pytest.approx(230.4, rel=1e-3)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["workshop-sheet", "--example", "belt-axe"], "name a file to write"),
        (["outline", "a.png", "--like", LIKE], "no .svg and no .dxf"),
        (["outline", __file__ + ".svg", "--like", "no-such-knife"], "no typical drawing: " + typical_designs()[0].id),
        (["outline", "no-such-file.svg", "--like", LIKE], "no such file"),
        (["outline", "a.svg", "--like", LIKE, "--join-mm", "7"], "join_mm"),
    ],
)
def test_the_commands_refuse(arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With exit code 2 and what is wrong."""
    assert main(arguments) == 2
    assert told in capsys.readouterr().err
