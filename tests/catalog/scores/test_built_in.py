"""Rows of built-in tools: what was judged and what is drawn, by precision."""

import math

import pytest
from scipy.stats import norm

from catalog import Tool, tools
from catalog.equipment.tool import TASKS
from catalog.scores.built_in import scores_of
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick

Z = norm.ppf(0.95)
JUDGED = {row["id"]: row for row in read_rows("equipment/tools.csv")}
DRAWN = {(row["tool_id"], row["task"]): row for row in read_rows("scores/drawn_scores.csv")}
USUAL = {"saw": 1.3, "carve": 1.3, "split": 1.6, "chop": 1.6}  # judged: 30 %, and a factor of 1.6
REFERENCES = {
    ("fixed-knife-90-hidden", "carve"),
    ("bow-saw-610", "saw"),
    ("axe-full-1600", "split"),
    ("axe-full-1600", "chop"),
}


def combined(judged: float, factor: float, row: dict[str, str]) -> tuple[float, float, float]:
    """Median and interval of two log-normal parts, by their precisions."""
    logs = math.log(judged), math.log(float(row["median"]))
    sizes = math.log(factor) / Z, math.log(float(row["high"]) / float(row["low"])) / (2 * Z)
    precisions = [size**-2 for size in sizes]
    middle = sum(p * log for p, log in zip(precisions, logs, strict=True)) / sum(precisions)
    reach = Z / math.sqrt(sum(precisions))
    return math.exp(middle - reach), math.exp(middle), math.exp(middle + reach)


def test_a_row_is_what_was_judged_and_what_is_drawn_by_precision() -> None:
    for tool in tools():
        for task in TASKS:
            judged = float(JUDGED[tool.id][f"{task}_score"] or 0)
            found = tuple(getattr(tool, f"{task}_score{end}") for end in ("_low", "", "_high"))
            if (tool.id, task) in REFERENCES:
                assert found == (10, 10, 10)
            elif (tool.id, task) in DRAWN:
                assert found == pytest.approx(combined(judged, USUAL[task], DRAWN[tool.id, task]), rel=1e-3)
            else:
                assert found == (None, judged, None)


def test_drawn_parts_belong_to_judged_scores_and_nothing_else_of_a_row_changes() -> None:
    """A score of 0 stays 0: whoever judged it saw more than a drawing shows. Sizes stay the judged ones."""
    assert all(float(JUDGED[tool][f"{task}_score"]) > 0 for tool, task in DRAWN)
    for tool in tools():
        for size in (f"{task}_max_mm" for task in TASKS):
            assert getattr(tool, size) == float(JUDGED[tool.id][size] or 0)
        joined = any((tool.id, task) in DRAWN and (tool.id, task) not in REFERENCES for task in TASKS)
        assert tool.score_source == ("judged; class-drawings" if joined else JUDGED[tool.id]["score_source"])


def test_parts_tell_their_weights() -> None:
    for tool in tools():
        told = scores_of(tool.id)
        assert [one.task for one in told] == [task for task in TASKS if getattr(tool, f"{task}_score")]
        for one in told:
            assert sum(part.weight for part in one.parts) == pytest.approx(1)
            assert one.median == getattr(tool, f"{one.task}_score")
            drawn = (tool.id, one.task) in DRAWN
            assert [part.source for part in one.parts] == ["judged", "drawn"][: 1 + drawn]
            assert one.low < one.median < one.high or ((tool.id, one.task) in REFERENCES and one.parts[0].weight == 1)
    with pytest.raises(KeyError):
        scores_of("no-such-tool")


def test_a_row_sent_back_is_the_same_row() -> None:
    for tool in tools():
        assert Tool.model_validate(tool.model_dump(mode="json")) == tool
