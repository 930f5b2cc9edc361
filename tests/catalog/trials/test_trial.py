import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from catalog.tables.errors import TableError
from catalog.trials.trial import (
    Trial,
    estimate,
    far_from_rest,
    observed_score,
    parse_trials,
    reference_minutes,
    trial_csv,
)
from catalog.wood.species import species_of
from catalog.wood.work import time_factor

pytestmark = pytest.mark.quick

HEADER = "tool,task,wood,diameter_mm,state,count,minutes\n"


def timed(task: str = "saw", minutes: float = 1.0, **more: object) -> Trial:
    return Trial.model_validate(
        {"tool": "a", "task": task, "diameter_mm": 100.0, "count": 1, "minutes": minutes} | more
    )


# reference rates: assumptions (judged) 300 cm2/min, 800 cm3/min, 6 clefts/min at 100 mm, 3 min a piece
@pytest.mark.parametrize(
    ("task", "minutes"),
    [
        ("saw", math.pi * 25 / 300),  # face of 100 mm: 78.5 cm2
        ("chop", 1000 / 3 / 800),  # two notches hold d3 / 3
        ("split", 1 / 6),
        ("carve", 3),
    ],
)
def test_reference_tool_scores_ten(task: str, minutes: float) -> None:
    assert reference_minutes(timed(task)) == pytest.approx(minutes)
    assert observed_score(timed(task, minutes)) == pytest.approx(10)
    assert observed_score(timed(task, 4 * minutes)) == pytest.approx(2.5)


def test_published_cut_of_a_beginner_scores_low() -> None:
    # second-hand, an amateur: a small two-hand axe through a 68 mm stick in 82 s
    trial = timed("chop", 82 / 60, diameter_mm=68.0)
    assert observed_score(trial) == pytest.approx(10 * (6.8**3 / 3) / 800 / (82 / 60))
    assert observed_score(trial) < 1.5


def test_work_in_hard_wood_counts_for_more() -> None:
    assert observed_score(timed(), wood_factor=2) == pytest.approx(2 * observed_score(timed()))


def test_sawing_slows_beyond_half_the_largest_diameter() -> None:
    slow = observed_score(timed(diameter_mm=120.0), largest_mm=120)
    assert slow == pytest.approx(2 * observed_score(timed(diameter_mm=120.0)))


def record(tool: str, score: float) -> Trial:
    return timed("split", 10 / 6 / score, tool=tool)


def test_own_records_give_centre_interval_and_rule() -> None:
    trials = [record("a", s) for s in (3.8, 4.0, 4.1, 4.3, 3.9, 4.2)]
    (found,) = estimate(trials, kinds={"a": "hatchet"})
    assert found.measured
    assert found.score == pytest.approx(4.05, abs=0.03)
    # exact signed-rank: three of 64 sign patterns at each end, so the third average from each end
    assert found.low == pytest.approx(math.sqrt(3.8 * 4.0))
    assert found.high == pytest.approx(4.2)
    assert found.confidence == pytest.approx(1 - 6 / 64)
    assert found.rule == "own records"
    assert found.records == 6


def test_few_records_borrow_the_spread_of_their_class() -> None:
    trials = [record(t, s) for t in "abc" for s in (4.0, 4.2, 3.8)]
    found = estimate(trials, kinds=dict.fromkeys("abc", "hatchet"))
    assert [e.rule for e in found] == ["spread of the class hatchet"] * 3
    assert all(e.low is not None and e.low < 4 < (e.high or 0) for e in found)


def test_another_class_or_task_lends_nothing() -> None:
    trials = [record("a", s) for s in (4.0, 4.2, 3.8)]
    others = [record(t, s) for t in "bcd" for s in (4.0, 4.2, 3.8)]
    (alone, *_) = estimate(trials + others, kinds={"a": "axe", "b": "saw", "c": "saw", "d": "saw"})
    assert not alone.measured
    assert alone.score is None
    assert "too few records: 3 own" in alone.rule


def test_another_task_of_the_class_lends_nothing() -> None:
    splits = [record("a", s) for s in (4.0, 4.2, 3.8)]
    carvings = [timed("carve", 3.0, tool=t) for t in "bcd" for _ in range(3)]
    found = {(e.tool, e.task): e for e in estimate(splits + carvings, kinds=dict.fromkeys("abcd", "hatchet"))}
    assert not found[("a", "split")].measured
    assert found[("b", "carve")].measured


def test_two_records_measure_nothing_even_in_a_full_class() -> None:
    trials = [record(t, s) for t in "abc" for s in (4.0, 4.2, 3.8)] + [record("d", 4.0), record("d", 4.1)]
    found = {e.tool: e for e in estimate(trials, kinds=dict.fromkeys("abcd", "hatchet"))}
    assert not found["d"].measured
    assert found["a"].measured


def test_a_spoilt_record_is_named_and_moves_the_score_little() -> None:
    good = [record("a", s) for s in (3.8, 4.0, 4.1, 4.3, 3.9, 4.2, 4.0, 4.1)]
    (clean,) = estimate(good, kinds={})
    (spoilt,) = estimate([record("a", 0.4), *good], kinds={})
    assert spoilt.far_out == (0,)
    assert clean.far_out == ()
    assert clean.score is not None
    assert spoilt.score == pytest.approx(clean.score, rel=0.03)


def test_a_tool_may_beat_the_reference_and_scores_end_at_thirty() -> None:
    # The bounds of a score are judged: three times the reference tool.
    (found,) = estimate([record("a", s) for s in (13, 13.5, 14, 13.5, 13.4)], kinds={})
    assert found.score == pytest.approx(13.5, abs=0.1)
    (found,) = estimate([record("a", s) for s in (34, 35, 36, 35, 34.5)], kinds={})
    assert (found.score, found.low, found.high) == (30, 30, 30)


def test_a_log_too_thick_for_the_frame_was_turned() -> None:
    # The same minutes: half the rate at the saw's largest log, 0.85 (judged) of that beyond it.
    (at_end,), (turned,) = (
        estimate([timed(diameter_mm=mm, count=n, minutes=1) for n in (1, 1, 1, 1, 1)], kinds={}, largest_mm={"a": 100})
        for mm, n in ((100, 1), (200, 1))
    )
    assert at_end.score is not None and turned.score == pytest.approx(at_end.score * 4 / 0.85, rel=1e-9)


def test_harder_wood_raises_the_score_by_its_sawing_time() -> None:
    # the same minutes in a wood that takes longer: side hardness to the assumed exponent, as the solver has it
    pine = [timed(minutes=m) for m in (0.5, 0.52, 0.48, 0.5, 0.51)]
    oak = [trial.model_copy(update={"wood": "white-oak"}) for trial in pine]
    (soft,), (hard,) = estimate(pine, kinds={}), estimate(oak, kinds={})
    ratio = time_factor(species_of("white-oak"), "saw", state="dead-dry", air_c=10).factor
    assert ratio > 1.2
    assert soft.score is not None and hard.score == pytest.approx(ratio * soft.score)


@pytest.mark.parametrize("confidence", [0.4, 1.0])
def test_confidence_has_a_range(confidence: float) -> None:
    with pytest.raises(ValueError, match="confidence"):
        estimate([record("a", 4)], kinds={}, confidence=confidence)


def test_far_out_begins_at_three_and_a_half_robust_deviations() -> None:
    # median 0, median absolute deviation 1, so one robust deviation is 1 / 0.6745 = 1.4826
    rest = [-2.0, -1.0, -1.0, 0.0, 0.0, 1.0, 1.0, 2.0]
    assert far_from_rest([*rest, 3.4 * 1.4826]) == []
    assert far_from_rest([*rest, 3.6 * 1.4826]) == [8]


def test_equal_values_have_nothing_far_out() -> None:
    assert far_from_rest([1.0, 1.0, 1.0, 5.0]) == []


trials = st.builds(
    Trial,
    tool=st.from_regex(r"[a-z0-9][a-z0-9.-]{0,11}", fullmatch=True),
    task=st.sampled_from(["split", "saw", "chop", "carve"]),
    wood=st.sampled_from(["lodgepole-pine", "douglas-fir-coast"]),
    diameter_mm=st.floats(1, 3000),
    state=st.sampled_from(["dead-dry", "dead-wet", "green"]),
    count=st.integers(1, 1000),
    minutes=st.floats(1e-3, 1e5),
)


@given(st.lists(trials, max_size=8))
def test_records_survive_csv(records: list[Trial]) -> None:
    assert parse_trials(trial_csv(records), file="t.csv") == records


def test_csv_with_defaults_and_byte_order_mark() -> None:
    (found,) = parse_trials("\ufeff" + HEADER + "a,saw,,80,,3,2.5\n", file="t.csv")
    assert (found.wood, found.state, found.count, found.minutes) == ("lodgepole-pine", "dead-dry", 3, 2.5)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("tool,task\na,saw\n", "row 2, column diameter_mm: '': this cell must be filled"),
        ("", "the table is empty"),
        (HEADER + "a,saw,,80,,3,soon\n", "row 2, column minutes"),
        (HEADER + "a,saw,,80,,3,1\na,dig,,80,,3,1\n", "row 3, column task"),
        (HEADER + "a,saw,,80,,3\n", "row 2"),
        (HEADER + "a,saw,,80,,3,1,9\n", "row 2"),
        (HEADER + "a,saw,,0,,3,1\n", "row 2, column diameter_mm"),
        (HEADER + "a,saw,,80,,3,inf\n", "row 2, column minutes"),
        (HEADER + "a,saw,,80,,1.5,1\n", "row 2, column count"),
    ],
)
def test_bad_csv_names_row_and_column(text: str, message: str) -> None:
    with pytest.raises(TableError, match=message):
        parse_trials(text, file="t.csv")


def test_csv_of_a_spreadsheet_with_decimal_commas_is_read() -> None:
    (found,) = parse_trials(HEADER.replace(",", ";") + "a;saw;;80;;3;2,5\n", file="t.csv")
    with pytest.raises(TableError, match=r"1\.250 may be 1250 or 1\.25"):
        parse_trials(HEADER.replace(",", ";") + "a;saw;;80;;3;1.250\n", file="t.csv")
    assert found.minutes == 2.5


@pytest.mark.parametrize("change", [{"minutes": 0.0}, {"count": 0}, {"diameter_mm": 3001.0}, {"helper": 1}])
def test_records_out_of_range_are_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        Trial.model_validate(timed().model_dump() | change)
