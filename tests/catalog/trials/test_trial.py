import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from catalog.tables.errors import TableError
from catalog.trials.trial import Trial, parse_trials, reference_minutes, trial_csv, wood_factor

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
def test_minutes_of_a_reference_tool(task: str, minutes: float) -> None:
    assert reference_minutes(timed(task)) == pytest.approx(minutes)


def test_a_trial_under_a_baton_counts_as_the_solver_counts_it() -> None:
    """A knife's cleft grows by (d/100)^2.1, an axe's by the root (judged)."""
    thin = timed("split", diameter_mm=50.0)
    assert reference_minutes(thin, batoned=True) == pytest.approx(0.5**2.1 / 6)
    assert reference_minutes(thin) == pytest.approx(0.5**0.5 / 6)


def test_published_cut_of_a_beginner_scores_low() -> None:
    # second-hand, an amateur: a small two-hand axe through a 68 mm stick in 82 s
    usual = reference_minutes(timed("chop", diameter_mm=68.0))
    assert usual == pytest.approx(6.8**3 / 3 / 800)
    assert 10 * usual / (82 / 60) < 1.5


def test_harder_wood_takes_longer_and_carving_has_no_factor() -> None:
    assert wood_factor(timed(wood="white-oak")) > 1.2
    assert wood_factor(timed("carve", wood="white-oak")) == 1
    assert wood_factor(timed()) == pytest.approx(1)


def test_sawing_slows_beyond_half_the_largest_diameter_and_where_a_log_is_turned() -> None:
    """Half the rate at the saw's largest log, 0.85 (judged) of that beyond it."""
    whole = reference_minutes(timed(diameter_mm=120.0))
    assert reference_minutes(timed(diameter_mm=120.0), largest_mm=120) == pytest.approx(2 * whole)
    assert reference_minutes(timed(diameter_mm=120.0), largest_mm=100) == pytest.approx(2 * whole / 0.85)


trials = st.builds(
    Trial,
    tool=st.from_regex(r"[a-z0-9][a-z0-9.-]{0,11}", fullmatch=True),
    task=st.sampled_from(["split", "saw", "chop", "carve"]),
    wood=st.sampled_from(["lodgepole-pine", "douglas-fir-coast"]),
    diameter_mm=st.floats(1, 3000),
    state=st.sampled_from(["dead-dry", "dead-wet", "green"]),
    count=st.integers(1, 1000),
    minutes=st.floats(1e-3, 1e5),
    person=st.none() | st.sampled_from(["ann", "ben.2"]),
    skill=st.none() | st.sampled_from(["novice", "expert"]),
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
