"""What README shows is what the commands print."""

import re

import pytest
from printed_pages import orders, wanted
from tree import ROOT

from api.examples.invented import example_trips
from api.questions.registry import QUESTIONS as REGISTRY
from api.web.guide_pages import guide_texts
from solver import Trip, plan

README = (ROOT / "README.md").read_text("utf-8")
QUESTIONS = guide_texts()["questions"]


@pytest.mark.parametrize("order", sorted({order for _, order, _ in orders()}))
def test_a_page_shows_what_the_command_prints(order: str) -> None:
    """`python tests write_prints` writes them anew."""
    expected = wanted(order)
    for page, one, shown in orders():
        assert one != order or shown == expected, page


def test_the_pages_show_the_prints_that_a_newcomer_meets() -> None:
    """The first command and the further questions are among them."""
    commands = {order.split(" ")[0] for _, order, _ in orders()}
    assert {"design", *REGISTRY} - {"sweep"} <= commands


def test_readme_is_as_short_as_a_newcomer_reads() -> None:
    """About 9 kB, as the house wants it."""
    assert len(README.encode()) < 10_000
    assert len((ROOT / "DEVELOPERS.md").read_bytes()) < 13_500


def test_every_page_that_readme_names_is_there() -> None:
    for name in re.findall(r"\]\(([^)#]+)\)", README):
        assert (ROOT / name).exists(), name


@pytest.mark.parametrize(
    "page", [README, *(guide_texts()[name] for name in ("python", "makers"))], ids=["README", "python", "makers"]
)
def test_the_lines_of_python_print_what_stands_beside_them(page: str, capsys: pytest.CaptureFixture[str]) -> None:
    (code,) = re.findall(r"<!-- python -->\n```python\n(.*?)```", page, re.DOTALL)
    exec(compile(code, "page", "exec"), {})
    said = [line.split("  # ")[1] for line in code.splitlines() if line.startswith("print(")]
    assert said
    assert capsys.readouterr().out.splitlines() == said


def test_what_the_readme_says_of_fields_of_a_plan_holds() -> None:
    survey = example_trips()["stream-survey"]
    asked = plan(Trip.model_validate(survey | {"ask_about": ["hatchet-600"]})).why_not[0]
    assert "the hatchet of 940 g would have to weigh 300 g" in QUESTIONS
    assert (asked.mass_g, asked.allowance_g) == (940, 300)
    safe = plan(Trip.model_validate(survey | {"robust": {"needs": "all", "work_multiple": 2}, "detail": "kit"}))
    assert "this costs 590 g, for 1180 g in all" in QUESTIONS
    assert safe.robust is not None
    assert (safe.robust.extra_g, safe.kit.mass_g) == (590, 1180)
    assert all(loss.work_min_per_day <= 2 * 60 for loss in safe.robust.losses)
    short = plan(Trip.model_validate(survey | {"limits": {"work_min_per_day": 60, "mass_g": 500}}))
    assert "590 g with an hour, or 127 min with 500 g, do" in QUESTIONS
    assert {member.pointer: round(member.least or 0) for member in short.conflict} == {
        "#/limits/mass_g": 590,
        "#/limits/work_min_per_day": 127,
    }
    assert survey["people"] == 3
