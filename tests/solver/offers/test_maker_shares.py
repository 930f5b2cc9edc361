"""The guide's table of shares is that of 1,000 trips: counted from what each says, of which a slice is asked anew."""

import pytest
from maker_shares import PAGE, TABLE, TRIPS, kept_marks, marks_of, offers, table_of

from api.examples.invented import population_examples
from solver import adoption


def test_the_table_of_the_guide_is_counted_from_the_trips() -> None:
    """`python tests write_shares` writes both."""
    (shown,) = TABLE.finditer(PAGE.read_text("utf-8"))
    marks = kept_marks()
    assert {len(told) for told in marks.values()} == {TRIPS}
    assert shown["shown"] == table_of(marks)


@pytest.mark.parametrize("name", offers())
def test_a_slice_of_the_trips_says_what_is_kept(name: str) -> None:
    some = range(7, TRIPS, 100)
    assert list(marks_of(offers()[name], some)) == list(kept_marks()[name][some.start :: some.step])


def test_the_first_trips_are_those_of_the_question() -> None:
    """POST /v1/designs/adoption of 20 trips of the same seed counts the same."""
    offer = offers()["the knife alone"]
    answer = adoption(design=offer.design, population=population_examples()["weekend-open-fire"], count=20, seed=1)
    marks = kept_marks()["the knife alone"][:20]
    assert answer.adoption == pytest.approx(marks.count("2") / 20)
    assert answer.within_50_g == pytest.approx((20 - marks.count("0")) / 20)
