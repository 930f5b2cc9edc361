"""How wide scores are: what rows say, what judged ones have, and draws that keep both."""

import itertools
import math
from typing import Any

import numpy as np
import pytest
from pydantic import ValidationError
from residual_fit import known
from scipy.stats import norm
from shared_fit import shared_parts

from catalog import Tool, parse_tools, tools
from catalog.maths.near_field import likeness
from catalog.scores.score_spread import ScoreDraws, score_interval
from catalog.tables.assumption import assumed
from catalog.tables.errors import TableError
from catalog.tables.table import read_rows
from catalog.tables.wrong_value import rule_of
from catalog.trials.measured import measure
from catalog.trials.trial import Trial

pytestmark = pytest.mark.quick

SAW = {"id": "saw", "mass_g": 200, "saw_score": 4.0, "saw_max_mm": 100}
EXACT = {
    ("fixed-knife-90-hidden", "carve"),
    ("bow-saw-610", "saw"),
    ("axe-full-1600", "split"),
    ("axe-full-1600", "chop"),
}
USUAL = {"saw": 1.3, "carve": 1.3, "split": 1.6, "chop": 1.6}  # judged: 30 %, and a factor of 1.6

FAMILY, NEAR = assumed("score_family_share"), assumed("score_near_share")
DRAWS = 4000
BOW_SAW = next(one for one in tools() if one.id == "bow-saw-610")  # exact: the scale's reference


def tool(**fields: Any) -> Tool:
    return Tool.model_validate(SAW | fields)


def test_only_reference_scores_and_none_are_exact() -> None:
    """They are 10 by definition; others are as wide as judged ones are, or less where a drawing says something too."""
    drawn = {(row["tool_id"], row["task"]) for row in read_rows("scores/drawn_scores.csv")}
    for one in tools():
        for task, factor in USUAL.items():
            score = getattr(one, f"{task}_score")
            low, high = score_interval(one, task)
            if (one.id, task) in EXACT:
                assert low == score == high == 10
            elif (one.id, task) in drawn:
                assert 1 < score / low < factor
                assert score / low == pytest.approx(high / score, rel=2e-3)  # rows have four digits
            else:
                assert (low, high) == pytest.approx((score / factor, score * factor))


def test_drawn_scores_share_their_draws_and_rows_do_not() -> None:
    """Whatever they are called: else the luckiest of many drawings would win."""
    one, other = (tool(id=name, score_source="geometry model", saw_score=score) for name, score in (("a", 4), ("b", 7)))
    scores = ScoreDraws(count=64, seed=1)
    assert np.array_equal(*(scores.factors(each, "saw", name=each.id) for each in (one, other)))
    assert not np.array_equal(*(scores.factors(tool(id=name), "saw", name=name) for name in "ab"))


def correlation(one: Tool, other: Tool, task: str = "saw", *, fresh: bool = True) -> float:
    """Of the logarithms of two scores over draws."""
    scores = ScoreDraws(count=DRAWS, seed=5, fresh=fresh)
    logs = [np.log(scores.factors(each, task, name=each.id)) for each in (one, other)]
    return float(np.corrcoef(logs)[0, 1])


def shared(one: Tool, other: Tool) -> float:
    """Correlation of two errors if no score were exact: half the distance in mass, the whole of that in size."""
    apart = math.log(other.mass_g / one.mass_g) / 2, math.log(other.saw_max_mm / one.saw_max_mm)
    return FAMILY + NEAR * likeness((0, 0), tuple(part / 0.5 for part in apart))


@pytest.mark.parametrize("fresh", [False, True])
def test_a_judged_score_near_the_reference_tool_is_known_better(fresh: bool) -> None:
    """By the conditional normal: a twin of the bow saw has what neither family nor nearness shares, twice over."""
    scores = ScoreDraws(count=DRAWS, seed=5, fresh=fresh)
    for fields in ({"mass_g": 800, "saw_max_mm": 150}, {}):
        one = tool(kind="folding saw", **fields)
        logs = np.log(scores.factors(one, "saw", name="one"))
        left = math.sqrt(1 - shared(one, BOW_SAW) ** 2)
        assert np.std(logs) == pytest.approx(math.log(1.3) / norm.ppf(0.95) * left, rel=0.04)


@pytest.mark.parametrize("source", [None, "geometry model", "measured by trials: saw"])
def test_an_interval_that_is_not_judged_holds_near_the_reference_tool_too(source: str | None) -> None:
    """A row that states both ends, trials and drawings say themselves how wide they are."""
    ends = {"saw_score_low": 4 / 1.2, "saw_score_high": 4 * 1.2}
    one = tool(kind="bow saw", mass_g=800, saw_max_mm=150, score_source=source, **ends)
    logs = np.log(ScoreDraws(count=DRAWS, seed=5).factors(one, "saw", name="one"))
    assert np.quantile(logs, [0.05, 0.95]) == pytest.approx([-math.log(1.2), math.log(1.2)], rel=0.01)


@pytest.mark.parametrize("fresh", [False, True])
def test_scores_err_together_by_family_and_nearness(fresh: bool) -> None:
    """Each pair of a few rows by the formula of the model, within four standard errors and what its waves miss."""
    rows = [
        tool(id="a", kind="folding saw"),
        tool(id="twin", kind="folding saw"),
        tool(id="heavier", kind="bow saw", mass_g=800),
        tool(id="deeper", kind="folding saw", saw_max_mm=180),
        tool(id="of-another-family", kind="machete"),
    ]
    for one, other in itertools.combinations(rows, 2):
        wanted = 0.0
        if other.kind != "machete":
            to_reference, to_other = shared(one, BOW_SAW), shared(other, BOW_SAW)
            left = math.sqrt((1 - to_reference**2) * (1 - to_other**2))
            wanted = (shared(one, other) - to_reference * to_other) / left
        found = correlation(one, other, fresh=fresh)
        assert found == pytest.approx(wanted, abs=4 * (1 - wanted**2) / math.sqrt(DRAWS) + 0.06)


def test_what_trials_leave_open_of_a_score_is_hardly_shared() -> None:
    """A measured interval a third as wide as a judged one: correlations fall with the root of what is left."""
    narrow = {"saw_score_low": 4 / 1.3 ** (1 / 3), "saw_score_high": 4 * 1.3 ** (1 / 3)}
    timed = tool(id="timed", score_source="measured by trials: saw", **narrow)
    stated = tool(id="stated", **narrow)
    shared = FAMILY + NEAR
    assert correlation(tool(id="a"), stated) == pytest.approx(shared, abs=0.05)
    assert correlation(tool(id="a"), timed) == pytest.approx(shared / 3, abs=0.05)


def test_no_tool_moves_the_draws_of_another() -> None:
    alone, among = ScoreDraws(count=64, seed=1), ScoreDraws(count=64, seed=1)
    for place in range(5):
        among.factors(tool(id=f"other-{place}", mass_g=100 + place), "saw", name=f"other-{place}")
    both = [scores.factors(tool(), "saw", name="saw") for scores in (alone, among)]
    assert np.array_equal(*both)


def test_shares_are_those_of_the_class_drawings() -> None:
    """The table has what the greatest likelihood gives, by scipy; scores that share nothing are far less likely."""
    common, near, _, gain = shared_parts(known())
    assert (common, near) == pytest.approx((FAMILY, NEAR), abs=0.01)
    assert gain > 10


@pytest.mark.parametrize(
    ("fields", "interval"),
    [({}, (4 / 1.3, 5.2)), ({"saw_score_low": 1}, (1, 5.2)), ({"saw_score_high": 20.5}, (4 / 1.3, 20.5)),
     ({"saw_score_low": 4, "saw_score_high": 4}, (4, 4))],
)  # fmt: skip
def test_a_row_says_how_wide_it_is(fields: dict[str, float], interval: tuple[float, float]) -> None:
    assert score_interval(tool(**fields), "saw") == pytest.approx(interval)


@pytest.mark.parametrize(
    ("fields", "place", "words"),
    [
        ({"saw_score_low": 4.5}, "saw_score_low", "at most 4"),
        ({"saw_score_high": 3.5}, "saw_score_high", "at least 4"),
        ({"carve_score_low": 1}, "carve_score_low", "exact"),
        ({"carve_score_high": 1}, "carve_score_high", "exact"),
        ({"saw_score_low": 0}, "saw_score_low", "above 0"),
        ({"saw_score_high": 301}, "saw_score_high", "300"),
        ({"saw_score_high": math.inf}, "saw_score_high", "finite"),
    ],
)
def test_an_end_that_does_not_hold_its_score_is_refused(fields: dict[str, float], place: str, words: str) -> None:
    with pytest.raises(ValidationError) as refused:
        tool(**fields)
    (fault,) = refused.value.errors()
    assert fault["loc"] == (place,)
    assert words in rule_of(fault)


def test_a_table_names_the_cell() -> None:
    with pytest.raises(TableError) as refused:
        parse_tools("id,mass_g,saw_score,saw_max_mm,saw_score_low\nsaw,200,4,100,5\n", file="own.csv")
    (fault,) = refused.value.faults
    assert (fault.row, fault.column) == (2, "saw_score_low")


@pytest.mark.parametrize("fields", [{}, {"saw_score_low": 1, "saw_score_high": 5}, {"saw_score_high": 4}])
def test_draws_have_the_row_s_median_and_interval(fields: dict[str, float]) -> None:
    """A twentieth lies beyond each end; on either side the logarithm is normal, by scipy.stats.norm."""
    one, count = tool(**fields), 2000
    drawn = np.sort(4 * ScoreDraws(count=count, seed=3).factors(one, "saw", name="a"))
    low, high = score_interval(one, "saw")
    middles = (np.arange(count) + 0.5) / count
    z = norm.ppf(middles) / norm.ppf(0.95)
    wanted = np.where(z < 0, 4 * (low / 4) ** -z, 4 * (high / 4) ** z)
    assert np.allclose(drawn, wanted, rtol=1e-9)


def test_a_measured_row_has_the_interval_of_its_trials() -> None:
    """Six records that scatter by a fifth: the row tells the estimate's interval, and no judged one."""
    records = [
        Trial(tool="saw", task="saw", diameter_mm=50, count=10, minutes=minutes)
        for minutes in (1.2, 1.1, 1.3, 1, 1.4, 1.25)
    ]
    found = measure(records, [tool()], confidence=0.9)
    (estimate,), (row,) = found.estimates, found.tools
    assert (row.saw_score_low, row.saw_score_high) == pytest.approx(
        (estimate.low, estimate.high), rel=1e-5
    )  # six digits
    assert row.saw_score_low < row.saw_score < row.saw_score_high
