"""Stopwatch records over HTTP: scores, intervals, rows with measured scores, CSV in and out."""

import csv
import io
import math
from typing import Any

import pytest
from service import faults_of, kit_of, post

pytestmark = pytest.mark.quick

Row = dict[str, Any]
ADDRESS = "/v1/trials"
SAW = "folding-saw-210"
RATE_CM2 = 300  # assumption saw_rate: cm2 of cut face a minute at score 10
HANDLING_MIN = 0.25  # assumption handling_cut: 15 seconds a cut, which a record of cutting alone leaves out


def minutes_at(score: float, *, diameter_mm: float = 80, count: int = 3) -> float:
    """Minutes of sawing at a score in the reference wood, within half the saw's largest diameter or not.

    From the definition of a score: face / (score/10 x rate x stroke share), the share of a saw of 105 mm.
    """
    share = min(1.0, 1.5 - diameter_mm / 105)
    return count * math.pi * (diameter_mm / 20) ** 2 / (score / 10 * RATE_CM2 * share)


def records(*scores: float, tool: str = SAW, task: str = "saw") -> list[Row]:
    return [
        {"tool": tool, "task": task, "diameter_mm": 80, "count": 3, "minutes": minutes_at(score)} for score in scores
    ]


def answer_to(body: Row) -> Row:
    answer = post(body, address=ADDRESS)
    assert answer.status_code == 200, answer.text
    found: Row = answer.json()
    return found


def test_records_at_one_score_measure_it_and_the_row_says_so() -> None:
    answer = answer_to({"trials": records(4, 4.1, 3.9, 4.05, 3.95, 4)})
    (found,) = answer["estimates"]
    assert found["measured"] and found["low"] <= 4 <= found["high"]
    assert found["score"] == pytest.approx(4, abs=0.03)
    (row,) = answer["tools"]
    assert (row["id"], row["saw_score"], row["saw_max_mm"]) == (SAW, 4.0, 105)
    assert row["score_source"] == "measured by trials: saw"
    assert {"saw_rate", "far_out_z"} <= {one["id"] for one in answer["assumptions"]}


def test_a_kit_says_which_scores_are_measured() -> None:
    (row,) = answer_to({"trials": records(4, 4.1, 3.9, 4.05, 3.95, 4)})["tools"]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 80}], "field_methods": False}
    answer = kit_of(trip | {"extra_tools": [row], "must_carry": [SAW]})
    sources = {tool["id"]: tool["score_source"] for tool in answer["kit"]["tools"]}
    assert sources[SAW] == "measured by trials: saw"
    assert answer["needs"][0]["minutes_per_day"] == pytest.approx(minutes_at(4, count=1) + HANDLING_MIN, rel=1e-3)


def test_a_record_far_out_is_named_and_moves_little() -> None:
    clean = answer_to({"trials": records(4, 4.1, 3.9, 4.05, 3.95, 4, 4.02)})["estimates"][0]
    spoilt = answer_to({"trials": records(4, 4.1, 3.9, 4.05, 3.95, 4, 4.02, 0.5)})["estimates"][0]
    assert spoilt["far_out"] == [7]
    assert spoilt["score"] == pytest.approx(clean["score"], rel=0.03)


def test_few_records_borrow_the_spread_of_their_class_and_one_measures_nothing() -> None:
    pooled = [one for tool in (SAW, "folding-saw-180", "folding-saw-240") for one in records(4, 4.2, 3.8, tool=tool)]
    found = {one["tool"]: one for one in answer_to({"trials": pooled})["estimates"]}
    assert found[SAW]["rule"] == "spread of the class folding saw"
    alone = answer_to({"trials": records(4)})
    assert (alone["estimates"][0]["measured"], alone["tools"]) == (False, [])
    assert "too few records" in alone["estimates"][0]["rule"]


def test_csv_goes_in_and_comes_out() -> None:
    """What comes out is the same records, by the standard library's reader, and goes in again."""
    asked = records(4, 4.1, 3.9, 4.05, 3.95, 4)
    answer = answer_to({"trials": asked})
    rows = list(csv.DictReader(io.StringIO(answer["csv"])))
    assert [(row["tool"], float(row["minutes"])) for row in rows] == [(one["tool"], one["minutes"]) for one in asked]
    assert answer_to({"csv": answer["csv"]}) == answer


def test_a_task_not_in_the_row_is_added_with_the_largest_diameter_tried() -> None:
    tool = {"id": "my-wire", "kind": "wire saw", "mass_g": 20}
    (row,) = answer_to({"trials": records(1, 1.1, 0.9, 1, 1.05, tool="my-wire"), "tools": [tool]})["tools"]
    share = 1.5 - 80 / 105  # the records are slow by the stroke of a saw of 105 mm; of this one nothing is known
    assert (row["saw_score"], row["saw_max_mm"]) == (round(share, 1), 80)


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({}, "#"),
        ({"trials": [], "csv": ""}, "#/trials"),
        ({"trials": records(4, tool="nobody")}, "#/trials/0/tool"),
        ({"trials": [records(4)[0] | {"wood": "balsa-x"}]}, "#/trials/0/wood"),
        ({"trials": [records(4)[0] | {"minutes": 0}]}, "#/trials/0/minutes"),
        ({"trials": records(*[4.0] * 201)}, "#/trials"),
        ({"csv": "tool,task\na,saw\n"}, "#/csv"),
        ({"csv": "tool,task,diameter_mm,count,minutes\n"}, "#/csv"),
        ({"trials": records(4), "confidence": 1}, "#/confidence"),
    ],
)
def test_records_that_cannot_be_are_refused_at_their_field(body: Row, pointer: str) -> None:
    assert pointer in faults_of(post(body, address=ADDRESS))
