import random

import pytest
from scipy.stats import t as student

from catalog.maths.spread import pooled_spread, student_quantile

pytestmark = pytest.mark.quick


@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.99])
@pytest.mark.parametrize("freedom", [1, 2, 5, 12, 60, 400])
def test_student_quantile_is_that_of_an_independent_library(confidence: float, freedom: int) -> None:
    expected = float(student.ppf((1 + confidence) / 2, freedom))
    assert student_quantile(confidence=confidence, freedom=freedom) == pytest.approx(expected, rel=1e-4)


def test_quantile_of_the_printed_tables() -> None:
    assert student_quantile(confidence=0.9, freedom=10) == pytest.approx(1.812, abs=5e-4)  # any t table


@pytest.mark.parametrize(("confidence", "freedom"), [(0.4, 5), (0.9999, 5), (0.9, 0.5)])
def test_quantile_has_a_range(confidence: float, freedom: float) -> None:
    with pytest.raises(ValueError, match="confidence"):
        student_quantile(confidence=confidence, freedom=freedom)


def test_spread_of_normal_groups_is_found_whatever_their_centres() -> None:
    rng = random.Random(5)
    groups = [[rng.gauss(centre, 0.2) for _ in range(4)] for centre in range(300)]
    spread, freedom = pooled_spread(groups)
    assert spread == pytest.approx(0.2, rel=0.06)
    assert freedom == 900


def test_a_few_wild_values_do_not_set_the_spread() -> None:
    rng = random.Random(6)
    groups = [[rng.gauss(0, 0.2) for _ in range(4)] for _ in range(50)]
    for group in groups[:5]:
        group[0] = 50.0
    assert pooled_spread(groups)[0] < 0.3


def test_single_values_have_no_spread() -> None:
    with pytest.raises(ValueError, match="two values"):
        pooled_spread([[1.0], [2.0]])
