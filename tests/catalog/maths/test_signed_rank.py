import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import wilcoxon

from catalog.maths.signed_rank import centre, rank_sum_counts, walsh_averages
from catalog.tables.errors import RangeError

pytestmark = pytest.mark.quick


def test_counts_are_all_sign_patterns() -> None:
    assert rank_sum_counts(3) == (1, 1, 1, 2, 1, 1, 1)  # by hand: subsets of {1, 2, 3}
    for n in (5, 12, 30):
        counts = rank_sum_counts(n)
        assert sum(counts) == 2**n
        assert counts == counts[::-1]


@pytest.mark.parametrize("n", [6, 10, 15])
def test_tail_is_that_of_an_independent_signed_rank_test(n: int) -> None:
    # all ranks positive but the smallest: W- = 1, two-sided p = 2 (c0 + c1) / 2^n
    values = [-1.0, *(float(k) for k in range(2, n + 1))]
    counts = rank_sum_counts(n)
    expected = float(wilcoxon(values, method="exact").pvalue)
    assert 2 * (counts[0] + counts[1]) / 2**n == pytest.approx(expected)


def test_hand_example() -> None:
    found = centre([1, 2, 3, 4, 10], confidence=0.9)
    assert found is not None
    # 15 averages in order: 1 1.5 2 2 2.5 2.5 3 3 3.5 4 5.5 6 6.5 7 10
    assert found.value == 3
    assert (found.low, found.high) == (1, 10)  # five values: one end each at 0.9375
    assert found.confidence == pytest.approx(1 - 2 / 32)


def test_too_few_values_give_no_interval() -> None:
    assert centre([1, 2, 3, 4], confidence=0.9) is None
    assert centre([1, 2, 3, 4, 5], confidence=0.95) is None
    assert centre([1, 2, 3, 4, 5, 6], confidence=0.95) is not None


@given(st.lists(st.floats(-3, 3), min_size=8, max_size=25))
def test_interval_duality_with_the_signed_rank_test(values: list[float]) -> None:
    found = centre(values, confidence=0.9)
    assert found is not None
    assert found.low <= found.value <= found.high
    assert found.confidence >= 0.9


def test_one_wild_value_among_ten_moves_the_centre_little() -> None:
    calm = [0.1 * k for k in range(10)]
    wild = [*calm[:-1], 1e6]
    one, other = centre(calm, confidence=0.9), centre(wild, confidence=0.9)
    assert one is not None
    assert other is not None
    assert abs(one.value - other.value) < 0.1
    assert other.high < 1


def test_walsh_averages_are_all_pairs() -> None:
    assert walsh_averages([3.0, 1.0]) == [1, 2, 3]


@pytest.mark.parametrize("n", [0, 201])
def test_number_of_values_has_a_range(n: int) -> None:
    with pytest.raises(RangeError, match="observations"):
        centre([1.0] * n, confidence=0.9)


def test_the_most_values_are_handled() -> None:
    found = centre([float(k) for k in range(200)], confidence=0.9)
    assert found is not None
    assert found.value == pytest.approx(99.5)
    assert 85 < found.low < 99.5 < found.high < 114
