"""The bench on the command line: what the service answers, printed or as JSON, and pictures in files."""

import json
from pathlib import Path

import pytest
from service import post

from api.cli.command import main
from api.examples.invented import design_examples

pytestmark = pytest.mark.quick

OK, WRONG_INPUT = 0, 2
HEADER = "tool,task,wood,diameter_mm,state,count,minutes\n"


def test_json_is_the_answer_of_the_service(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, design in design_examples().items():
        assert main(["design", "--example", name, "--json"]) == OK
        told = json.loads(capsys.readouterr().out)
        assert told == post(design, address="/v1/designs/score").json()
        file = tmp_path / "design.json"
        file.write_text(json.dumps(design), encoding="utf-8")
        assert main(["design", str(file), "--json"]) == OK
        assert json.loads(capsys.readouterr().out) == told


def test_pictures_are_those_of_the_service(tmp_path: Path) -> None:
    drawing, plot = tmp_path / "drawing.svg", tmp_path / "mass.svg"
    assert main(["design", "--example", "belt-axe", "--drawing", str(drawing), "--plot", str(plot)]) == OK
    for file, name in ((drawing, "drawing"), (plot, "mass")):
        answer = post(design_examples()["belt-axe"], address=f"/v1/designs/{name}.svg")
        assert file.read_text("utf-8") == answer.text


def test_every_example_prints_its_cautions(capsys: pytest.CaptureFixture[str]) -> None:
    for name in design_examples():
        assert main(["design", "--example", name]) == OK
        text = capsys.readouterr().out
        assert "Hardening means" in text and "Dust of" in text and "not yet tested" in text


def test_a_wrong_design_is_refused_at_its_field(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "design.json"
    design = design_examples()["belt-axe"]
    file.write_text(json.dumps(design | {"drawing": design["drawing"] | {"head_mass_g": 1}}), encoding="utf-8")
    assert main(["design", str(file)]) == WRONG_INPUT
    assert "#/drawing/head_mass_g" in capsys.readouterr().err


def test_records_print_their_score_and_what_is_far_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "times.csv"
    minutes = (1.2, 1.1, 1.3, 1.15, 2.9, 1.25)
    table.write_text(HEADER + "".join(f"folding-saw-210,saw,,80,,3,{one}\n" for one in minutes), encoding="utf-8")
    assert main(["trials", str(table)]) == OK
    text = capsys.readouterr().out
    assert "record 5 of the table lies far" in text and "saw_rate" in text
    assert "measured" in text and "weight" in text
    assert main(["trials", str(table), "--json"]) == OK
    told = json.loads(capsys.readouterr().out)
    assert told == post({"csv": table.read_text("utf-8")}, address="/v1/trials").json()


def test_a_table_that_cannot_be_read_names_row_and_column(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "times.csv"
    table.write_text(HEADER + "folding-saw-210,saw,,80,,3,soon\n", encoding="utf-8")
    assert main(["trials", str(table)]) == WRONG_INPUT
    assert "row 2, column minutes" in capsys.readouterr().err
