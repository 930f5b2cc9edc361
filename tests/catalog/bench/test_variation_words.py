"""Figures of a design in words, as sweeps tell them."""

import pytest

from catalog.bench.variation import figure_words


@pytest.mark.quick
@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("drawing.blade.spine_mm", 4.5, "blade spine 4.5 mm"),
        ("drawing.head_mass_g", 600, "head mass 600 g"),
        ("drawing.steel", "5160", "steel 5160"),
        ("slenderness", 40.0, "slenderness 40"),
        ("drawing.blade.edge_angle_deg", 25.0, "blade edge angle 25 degrees"),
    ],
)
def test_a_figure_reads_as_a_maker_says_it(field: str, value: float | str, words: str) -> None:
    """The name, then the value with its unit; a word has none."""
    assert figure_words(field, value) == words
