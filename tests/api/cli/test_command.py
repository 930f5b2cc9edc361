"""The command line: what it prints, and its exit codes (0 done, 2 wrong input, 3 planned but uncovered)."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from service import kit_of
from tree import ROOT
from waiting import RUN_S

from api.cli.command import main
from api.examples.invented import example_trips
from catalog import tools

OK, WRONG_INPUT, UNCOVERED = 0, 2, 3
LEAST = example_trips()["least"]
TABLE = "id;name;kind;mass_g;cover_g;split_score;split_max_mm\nmy-knife;My knife;long knife;300,5;40;3;170\n"


def trip_file(folder: Path, trip: Any) -> str:
    """A trip written to a file; its name."""
    path = folder / "trip.json"
    path.write_bytes(trip if isinstance(trip, bytes) else json.dumps(trip).encode())
    return str(path)


def table_file(folder: Path, text: str = TABLE) -> str:
    """A table of tools written to a file; its name."""
    path = folder / "tools.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


@pytest.fixture(autouse=True)
def wide(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal in which no cell of a table is broken."""
    monkeypatch.setenv("COLUMNS", "160")


@pytest.fixture
def stdin(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Puts bytes on standard input."""

    def put(body: bytes) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(body)))

    return put


@pytest.mark.parametrize("name", example_trips())
def test_every_example_prints_in_full_kit_reasons_cautions_and_assumptions(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Packed grams and ounces, what each tool is for, minutes, millimetres to spare."""
    assert main(["plan", "--example", name, "--full", "--as-assumed"]) == OK
    printed, wrong = capsys.readouterr()
    assert wrong == ""
    answer = kit_of(example_trips()[name])
    assert answer["name"] in printed
    kit = answer["kit"]
    assert f"optimal: {kit['mass_g']:g} g ({kit['mass_oz']:g} oz) packed, {kit['work_min_per_day']:.0f} min" in printed
    assert f"proof: no kit for this under {kit['mass_g']:g} g" in printed
    for tool in kit["tools"]:
        row = next(line for line in printed.splitlines() if f"[{tool['id']}]" in line)
        assert f" {tool['mass_g']:g} " in row
        assert f" {tool['mass_g'] / (453.59237 / 16):.1f} " in row, "ounces by the international pound"
        assert all(need in printed for need in tool["does"])
    table = printed[printed.index("\nNeeds") :].splitlines()
    for need in answer["needs"]:
        row = next(line for line in table if f" {need['id']} " in line)
        assert need["spare_mm"] is None or f" {need['spare_mm']:g} " in row
        assert f" {need['minutes_per_day']:.1f} " in row
    for part in ("reasons", "cautions"):
        assert f"\n{part.capitalize()}\n" in printed
        assert all(f"- {item['text']}\n" in printed for item in answer[part])
    assert "\nAssumed, not known\n" in printed
    assert all(f"- {item['id']} = " in printed for item in answer["assumptions"])
    assert "Gaps" not in printed


def test_a_plan_tells_how_sure_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As the question of that name tells it."""
    assert main(["plan", "--example", "least"]) == OK
    told = " ".join(capsys.readouterr().out.split())
    assert main(["sure", trip_file(tmp_path, {"trip": dict(LEAST)}), "--json"]) == OK
    assert json.loads(capsys.readouterr().out)["text"] in told


@pytest.mark.parametrize(
    ("changes", "more"),
    [
        ({}, ["--as-assumed"]),
        ({"sure": None}, []),
        ({"detail": "kit"}, []),
        ({"aim": "work_time"}, []),
        ({"robust": {}}, ["--full"]),
    ],
)
def test_a_plan_is_not_told_how_sure_it_is_where_that_is_not_asked(
    changes: dict[str, Any], more: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["plan", trip_file(tmp_path, LEAST | changes), *more]) == OK
    printed = " ".join(capsys.readouterr().out.split())
    assert printed
    assert "suffices with probability" not in printed


def test_an_uncovered_trip_prints_its_gaps(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And has an exit code of its own."""
    trip = {"tasks": [{"task": "split", "diameter_mm": 2000}]}
    assert main(["plan", trip_file(tmp_path, trip), "--full"]) == UNCOVERED
    printed = capsys.readouterr().out
    (gap,) = kit_of(trip)["gaps"]
    assert printed.startswith("uncovered: not all of it can be covered; 0 g (0 oz) packed for the rest")
    assert f"\nGaps\n- {gap['text']}\n" in printed
    assert main(["plan", "--json", trip_file(tmp_path, trip)]) == UNCOVERED


def test_a_banned_fire_is_told_before_any_mass(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is wanted of it and not covered; the kit is that of the rest."""
    file = tmp_path / "trip.json"
    fire = {"hot_water_l_per_person": 2, "drying_h": 1, "allowed": False}
    file.write_text(json.dumps({"people": 3, "fire": fire}), encoding="utf-8")
    assert main(["plan", str(file), "--full"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == (
        "No wood fire is allowed, so this kit does not cover: hot water (6 l a day), drying (1 h a day). "
        "Hot water needs another stove with its fuel, whose grams are not counted here."
    )
    assert lines[1].startswith("optimal: 0 g (0 oz) packed for the rest")
    assert lines[2].startswith("proof: no kit for the rest under 0 g")


def test_json_is_the_answer_of_the_service(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From a file, in both units."""
    name = trip_file(tmp_path, example_trips()["stream-survey"])
    for units in ("metric", "us"):
        assert main(["plan", name, "--json", "--units", units]) == OK
        assert json.loads(capsys.readouterr().out) == kit_of(
            example_trips()["stream-survey"], address=f"/v1/kits?units={units}"
        )


def test_a_trip_from_standard_input(stdin: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """A dash stands for it; a byte order mark is no fault of the traveller's."""
    for mark in (b"", b"\xef\xbb\xbf"):
        stdin(mark + json.dumps(LEAST).encode())
        assert main(["plan", "-", "--json"]) == OK
        assert json.loads(capsys.readouterr().out) == kit_of(LEAST)


def test_ones_own_table_replaces_the_built_in_tools(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As `tools` in a trip does; a decimal comma between semicolons."""
    assert main(["plan", "--example", "least", "--tools", table_file(tmp_path), "--json"]) == OK
    answer = json.loads(capsys.readouterr().out)
    assert [tool["id"] for tool in answer["kit"]["tools"]] == ["my-knife"]
    assert answer["kit"]["mass_g"] == 340.5
    assert answer["proof"]["tools_considered"] == 1


def test_what_looks_like_markup_is_printed_as_it_stands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Brackets, emoji codes and backslashes in names of trips and tools."""
    names = ["[/x] a", "[bold]b[/bold]", ":axe: c", "d [red]", "e \\", "f \\[g"]
    for name in names:
        tool = {"id": "a", "name": name, "mass_g": 1, "split_score": 5, "split_max_mm": 200}
        assert main(["plan", trip_file(tmp_path, LEAST | {"name": name, "tools": [tool]}), "--full"]) == OK
        printed = capsys.readouterr().out
        assert printed.startswith(f"{name}\n")
        assert f" {name} [a] " in printed
        assert f"- {name}: splits" in printed


WRONG_TRIPS: dict[str, tuple[Any, list[str]]] = {
    "no JSON": (b"{", ["trip.json is no JSON: Expecting property name"]),
    "not UTF-8": (b'{"name": "\xe9"}', ["utf-8"]),
    "a key twice": (b'{"people": 1, "people": 2}', ["'people' is given twice"]),
    "NaN": (b'{"people": NaN}', ["trip.json is no JSON: NaN is not a JSON number"]),
    "too deep": (b"[" * 100_000, ["nested too deep"]),
    "a list": ([], ["#: "]),
    "wrong fields": ({"people": 0, "body": 1, **LEAST}, ["#/people: ", "#/body: "]),
    "empty": ({}, ["#/tasks: the trip has no work"]),
    "unknown id": ({**LEAST, "must_carry": ["folding-saw-21"]}, ["#/must_carry/0: ", "folding-saw-210"]),
}


@pytest.mark.parametrize("name", WRONG_TRIPS)
def test_a_trip_that_cannot_be_taken_says_why(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On the error stream, with the pointer of each field, and no trace."""
    body, signs = WRONG_TRIPS[name]
    assert main(["plan", trip_file(tmp_path, body)]) == WRONG_INPUT
    printed, wrong = capsys.readouterr()
    assert printed == ""
    assert wrong.startswith("kitwright: ")
    assert all(sign in wrong for sign in signs), wrong


def test_a_file_that_cannot_be_read_says_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Missing files and folders, of trips and of tables."""
    missing = str(tmp_path / "missing")
    for arguments in (
        ["plan", missing],
        ["plan", str(tmp_path)],
        ["plan", "--example", "least", "--tools", missing],
        ["tools", missing],
        ["contract", missing],
    ):
        assert main(arguments) == WRONG_INPUT
        printed, wrong = capsys.readouterr()
        assert printed == ""
        assert str(tmp_path) in wrong


@pytest.mark.parametrize("name", ["plan.xlsx", "plan.ods"])
def test_a_workbook_in_the_place_of_a_trip_or_a_table_is_told(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """In words, with what to do."""
    file = str(tmp_path / name)
    assert main(["workbook", file]) == OK
    for arguments, told in (
        (["plan", file], "is a workbook or another packed file\nkitwright trips answers a workbook of trips"),
        (["tools", file], "a workbook or another packed file, not a CSV: save the sheet as CSV UTF-8"),
        (["plan", "--example", "least", "--tools", file], "not a CSV"),
    ):
        assert main(arguments) == WRONG_INPUT
        assert told in capsys.readouterr().err


def test_a_table_that_cannot_be_taken_says_where(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """File, row, column and why, for the plan and for the check."""
    name = table_file(tmp_path, TABLE.replace("300,5", "heavy"))
    for arguments in (["plan", "--example", "least", "--tools", name], ["tools", name]):
        assert main(arguments) == WRONG_INPUT
        assert "tools.csv, row 2, column mass_g: 'heavy': " in capsys.readouterr().err


def test_the_check_of_a_table_warns_of_slips(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A long knife of 12 g weighs 12 oz; the table is readable all the same."""
    assert main(["tools", table_file(tmp_path, TABLE.replace("300,5", "12"))]) == OK
    printed, warned = capsys.readouterr()
    assert printed == "1 tool, all readable\n"
    assert warned.startswith("warning: my-knife: 12 g")
    assert "ounces" in warned
    assert main(["tools", table_file(tmp_path)]) == OK
    assert capsys.readouterr() == ("1 tool, all readable\n", "")


def test_the_built_in_table_passes_its_own_check(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a warning."""
    built_in = ROOT / "catalog" / "data" / "equipment" / "tools.csv"
    assert main(["tools", str(built_in)]) == OK
    assert capsys.readouterr() == (f"{len(tools())} tools, all readable\n", "")


def test_a_table_without_tools_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As an empty list of tools is over HTTP."""
    assert main(["plan", "--example", "least", "--tools", table_file(tmp_path, "id,mass_g\n")]) == WRONG_INPUT
    assert "there is no tool below the header" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [["plan"], ["plan", "--example", "none-such"], ["plan", "a.json", "--example", "least"], ["fell"],
     ["plan", "--example", "least", "--units", "uk"], ["serve", "--port", "http"]],
)  # fmt: skip
def test_wrong_arguments_are_wrong_input(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """With how the command is used."""
    with pytest.raises(SystemExit) as stop:
        main(arguments)
    assert stop.value.code == WRONG_INPUT
    assert "usage: kitwright" in capsys.readouterr().err


def test_a_wrong_setting_is_told_and_stops_only_what_it_touches(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Environment variables with a wrong value, and a port that no machine has."""
    monkeypatch.setenv("KITWRIGHT_SOLVER", "abacus")
    assert main(["plan", "--example", "least"]) == WRONG_INPUT
    assert "kitwright: the settings can't be taken\n#/solver: " in capsys.readouterr().err
    assert main(["tools", table_file(tmp_path)]) == OK
    monkeypatch.delenv("KITWRIGHT_SOLVER")
    assert main(["serve", "--port", "99999"]) == WRONG_INPUT
    assert "#/port: " in capsys.readouterr().err


def test_serving_takes_host_and_port(monkeypatch: pytest.MonkeyPatch) -> None:
    """As given, else from the environment, else the defaults."""
    calls = []
    monkeypatch.setattr(
        "api.cli.serve_command.serve_port", lambda config: calls.append((config.host, config.port)) or True
    )
    assert main(["serve"]) == OK
    monkeypatch.setenv("KITWRIGHT_PORT", "8400")
    assert main(["serve"]) == OK
    assert main(["serve", "--host", "0.0.0.0", "--port", "0"]) == OK
    assert calls == [("127.0.0.1", 8321), ("127.0.0.1", 8400), ("0.0.0.0", 0)]


def test_effort_that_runs_out_is_told(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The same settings as the service's hold for the command line."""
    monkeypatch.setenv("KITWRIGHT_SOLVE_SECONDS", "1e-9")
    too_light = example_trips()["least"] | {"limits": {"mass_g": 1}}
    assert main(["plan", trip_file(tmp_path, too_light)]) == UNCOVERED
    told = " ".join(capsys.readouterr().out.split())
    assert "No kit found within the allowed effort keeps the limit of 1 g on packed mass" in told


def test_the_contract_is_written_and_promises_only_grow(tmp_path: Path) -> None:
    """What is committed, to the byte; a promise that is listed already stays listed."""
    committed = ROOT / "openapi"
    listed = (committed / "promises.txt").read_text(encoding="utf-8")
    assert "\nKit.mass_g\n" in listed
    (tmp_path / "promises.txt").write_text("Aaa.kept\n" + listed.replace("\nKit.mass_g\n", "\n"), encoding="utf-8")
    assert main(["contract", str(tmp_path)]) == OK
    assert (tmp_path / "openapi.json").read_bytes() == (committed / "openapi.json").read_bytes()
    assert (tmp_path / "promises.txt").read_text(encoding="utf-8") == "Aaa.kept\n" + listed


def test_the_console_script_runs() -> None:
    """As it is installed: the exit code goes to the shell, the kit to a pipe."""
    script = Path(sys.executable).parent / "kitwright"
    run = subprocess.run(
        [script, "plan", "-"],
        input=json.dumps({"tasks": [{"task": "split", "diameter_mm": 2000}]}),
        capture_output=True,
        encoding="utf-8",
        env=os.environ | {"PYTHONIOENCODING": "utf-8"},
        check=False,
        timeout=RUN_S,
    )
    assert (run.returncode, run.stderr) == (UNCOVERED, "")
    assert run.stdout.startswith("Not covered: ")


@pytest.mark.parametrize("order", ["plan --example least", "assumptions"])
def test_a_reader_that_leaves_ends_the_print_without_a_word(order: str) -> None:
    """As `kitwright assumptions | head`; exit code 1 as in Python's library reference on SIGPIPE."""
    read, write = os.pipe()
    os.close(read)
    program = f"import sys; from api.cli.command import main; sys.exit(main({order.split()}))"
    run = subprocess.run(
        [sys.executable, "-c", program], stdout=write, stderr=subprocess.PIPE, check=False, timeout=RUN_S
    )
    os.close(write)
    assert (run.returncode, run.stderr) == (1, b"")


@pytest.mark.parametrize("order", ["plan --example least", "plan --example least --full", "assumptions"])
def test_a_caller_without_an_output_gets_the_exit_code_alone(order: str) -> None:
    """As `kitwright plan ... >&-`: the code is that of the answer, and nothing is said."""
    command = f'"{sys.executable}" -c "from api.cli.command import main; raise SystemExit(main({order.split()}))"'
    run = subprocess.run(f"{command} >&-", shell=True, stderr=subprocess.PIPE, check=False, timeout=RUN_S)
    assert (run.returncode, run.stderr) == (0, b"")
