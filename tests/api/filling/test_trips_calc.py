"""Files of trips that a real spreadsheet program wrote, filled, and opened in it again."""

from pathlib import Path

import pytest
from calc import calc, office
from service import post

from api.cli.command import main

FILTERS = {"ods": "calc8", "xlsx": "Calc MS Excel 2007 XML"}
COLUMNS = [
    ["name", "Invented A", "Invented B", "sum"],
    ["saw_mm", "60", "=30+60", ""],
    ["twice", "=E2*2", "=E3*2", "=SUM(E2:E3)"],
    ["split_mm", "=60*2", "110", ""],
    ["kit.mass_g"],
]


@pytest.mark.parametrize("kind", list(FILTERS))
def test_a_file_of_calc_is_filled_and_reckoned_anew(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its formulas stay, and those that hang on results are reckoned anew, in German too; it can be filled again."""
    steps = [["fill", "Sheet1", place, 0, cells] for place, cells in enumerate(COLUMNS)]
    made = office("de-DE", None).folder / f"made.{kind}"
    calc(None, "", [*steps, ["store", str(made), FILTERS[kind]]], locale="de-DE")
    path = tmp_path / f"plan.{kind}"
    path.write_bytes(made.read_bytes())
    assert main(["trips", str(path)]) == 0
    masses = [mass_of(120, 60), mass_of(110, 90)]
    stored = office("de-DE", None).folder / f"again.{kind}"
    (shown, error, formula) = calc(
        path.read_bytes(),
        kind,
        [["first", "A1:E4"], ["first", "F1:H4"], ["formula", "C4"], ["store", str(stored), FILTERS[kind]]],
        locale="de-DE",
    )[:3]
    assert [row[4] for row in shown] == ["kit.mass_g", *masses, ""]
    assert [row[2] for row in shown] == ["twice", *(2 * mass for mass in masses), sum(masses)]
    assert [row[3] for row in shown] == ["split_mm", 120, 110, ""]
    assert [row[1] for row in shown] == ["saw_mm", 60, 90, ""]
    assert error[0] == ["error", "answered_at", "trip_key"]
    assert formula == "=SUM(E2:E3)"
    path.write_bytes(stored.read_bytes())
    capsys.readouterr()
    assert main(["trips", str(path)]) == 0
    assert capsys.readouterr().out.startswith("0 answered, 2 unchanged")


def mass_of(split_mm: int, saw_mm: int) -> float:
    """The grams of the kit of a row."""
    tasks = [{"task": "split", "diameter_mm": split_mm}, {"task": "saw", "diameter_mm": saw_mm}]
    mass: float = post({"tasks": tasks, "detail": "kit"}).json()["kit"]["mass_g"]
    return mass
