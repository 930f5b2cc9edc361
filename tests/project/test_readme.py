"""What README shows is what the commands print."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from api.examples.invented import examples
from solver import Trip, plan

README = (Path(__file__).parent.parent / "README.md").read_text("utf-8")
SHOWN = ("front", "check", "confidence", "season", "allowance")


def printed(*arguments: str) -> str:
    """What the command line prints, 80 columns wide as where no terminal says otherwise."""
    environment = {key: value for key, value in os.environ.items() if key not in ("COLUMNS", "LINES")}
    command = [sys.executable, "-c", "from api.cli.command import main; main()", *arguments]
    done = subprocess.run(command, env=environment, capture_output=True, encoding="utf-8", check=False)
    assert done.returncode in (0, 3), done.stderr
    return done.stdout.rstrip()


def test_the_first_command_prints_what_the_readme_shows() -> None:
    """And how to see the rest."""
    assert "`--full` prints all of it" in README
    assert f"```text\n{printed('plan', '--example', 'stream-survey')}\n```" in README


def test_the_design_is_told_as_the_readme_shows() -> None:
    shown = printed("design", "--example", "long-knife").split("\nCautions\n")[0].rstrip()
    assert f"```text\n{shown}\n```" in README


@pytest.mark.parametrize("name", ["summer-alpine", "wet-autumn", "deep-winter"])
def test_the_invented_trips_have_the_kits_that_the_readme_shows(name: str) -> None:
    shown = printed("plan", "--example", name).split("\nAssumed: ")[0].rstrip()
    assert f"```text\n{shown}\n```" in README


@pytest.mark.parametrize(
    ("name", "minutes", "kit", "mass_g"),
    [("wet-autumn", 90, ["fixed-knife-150"], 300), ("deep-winter", 45, ["folding-saw-240", "long-knife-180"], 590)],
)
def test_what_the_readme_says_of_another_time_limit_holds(
    name: str, minutes: int, kit: list[str], mass_g: float
) -> None:
    trip = {**examples()[name], "limits": {"work_min_per_day": minutes}, "detail": "kit"}
    found = plan(Trip.model_validate(trip)).kit
    assert ([tool.id for tool in found.tools], found.mass_g) == (kit, mass_g)


@pytest.mark.parametrize("name", SHOWN)
def test_the_further_questions_print_what_the_readme_shows(name: str) -> None:
    """A line of three dots stands for rows left out."""
    start = README.index(f"`kitwright {name} --example`")
    shown = README[start:].split("```text\n")[1].split("\n```")[0].splitlines()
    lines = iter(printed(name, "--example").splitlines())
    assert len(shown) > 2
    assert all(line == "..." or line in lines for line in shown), "each line stands in the print, in this order"


def test_what_the_readme_says_of_fields_of_a_plan_holds() -> None:
    survey = examples()["stream-survey"]
    asked = plan(Trip.model_validate(survey | {"ask_about": ["hatchet-600"]})).why_not[0]
    assert "the hatchet of 940 g would have to weigh 375 g" in README
    assert (asked.mass_g, asked.allowance_g) == (940, 375)
    safe = plan(Trip.model_validate(survey | {"robust": {"needs": "all", "work_multiple": 2}, "detail": "kit"}))
    assert "that safety costs 515 g, for 1180 g in all" in README
    assert safe.robust is not None
    assert (safe.robust.extra_g, safe.kit.mass_g) == (515, 1180)
    assert all(loss.work_min_per_day <= 2 * 60 for loss in safe.robust.losses)
    short = plan(Trip.model_validate(survey | {"limits": {"work_min_per_day": 60, "mass_g": 500}}))
    assert "665 g with an hour, or 210 min with 500 g, do" in README
    assert {member.pointer: round(member.least or 0) for member in short.conflict} == {
        "#/limits/mass_g": 665,
        "#/limits/work_min_per_day": 210,
    }
    assert survey["people"] == 3
