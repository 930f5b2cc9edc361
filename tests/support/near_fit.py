"""Kriging of what rows are beyond what all classes teach: exact at each row, by scipy's solver."""

from __future__ import annotations

from collections.abc import Sequence

from scipy.linalg import solve

from catalog.maths.near_field import likeness


def near_weights(places: Sequence[Sequence[float]], rest: Sequence[float]) -> list[float]:
    """The weight of each place under which the sum of likenesses is what is left there."""
    matrix = [[likeness(one, other) for other in places] for one in places]
    return [float(weight) for weight in solve(matrix, rest, assume_a="pos")]
