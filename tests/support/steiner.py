"""Steiner triple systems, the classic hard covers: pick points so that every triple holds a picked one."""

from itertools import combinations, product
from typing import Any

import numpy as np
from numpy.typing import NDArray

Triples = list[tuple[int, int, int]]


def affine_plane_9() -> Triples:
    """The 12 lines of the affine plane of order 3, on points 0..8."""
    points = list(product(range(3), repeat=2))
    return [
        (a, b, c)
        for a, b, c in combinations(range(9), 3)
        if all((points[a][axis] + points[b][axis] + points[c][axis]) % 3 == 0 for axis in range(2))
    ]


def bose(points: int) -> Triples:
    """Bose's system (1939) on 6t + 3 points: three copies of the cyclic group of odd order 2t + 1.

    Raises:
        ValueError: if the number of points is not 6t + 3.
    """
    if points % 6 != 3:
        raise ValueError(f"Bose's construction wants 6t + 3 points, not {points}")
    order = points // 3
    half = (order + 1) // 2  # the inverse of 2, so that x o y = (x + y) / 2 is idempotent
    upright = [(x, order + x, 2 * order + x) for x in range(order)]
    slanted = [
        (level * order + x, level * order + y, (level + 1) % 3 * order + (x + y) * half % order)
        for x, y in combinations(range(order), 2)
        for level in range(3)
    ]
    return upright + slanted


def tripled(triples: Triples) -> Triples:
    """Product of a system with the one triple on three points: v points become 3v.

    Three copies; each point with its copies, and each triple in the nine ways whose levels sum to 0 mod 3.
    """
    size = 1 + max(max(triple) for triple in triples)
    upright = [(p, size + p, 2 * size + p) for p in range(size)]
    levels = [(i, j, -(i + j) % 3) for i, j in product(range(3), repeat=2)]
    lifted = [(i * size + a, j * size + b, k * size + c) for a, b, c in triples for i, j, k in levels]
    return upright + lifted


def projective_15() -> Triples:
    """The 35 lines of the projective space of dimension 3 over two elements: a xor b xor c = 0."""
    return [(a - 1, b - 1, (a ^ b) - 1) for a, b in combinations(range(1, 16), 2) if b < a ^ b]


def incidence(triples: Triples) -> NDArray[np.bool_]:
    """Rows are triples, columns points."""
    able = np.zeros((len(triples), 1 + max(max(triple) for triple in triples)), dtype=bool)
    for row, triple in enumerate(triples):
        able[row, list(triple)] = True
    return able


def steiner_trip(triples: Triples) -> dict[str, Any]:
    """A trip whose lightest kit is the least cover: each triple is a tool of no mass that must go and needs a point."""
    points = 1 + max(max(triple) for triple in triples)
    tools: list[dict[str, Any]] = [{"id": f"p{point:02d}", "mass_g": 100} for point in range(points)]
    for number, triple in enumerate(triples):
        tools.append({"id": f"r{number:03d}", "mass_g": 0, "needs": "|".join(f"p{point:02d}" for point in triple)})
    tools[-1] |= {"split_score": 5, "split_max_mm": 200}
    must = [tool["id"] for tool in tools[points:]]
    return {
        "tasks": [{"task": "split", "diameter_mm": 140}],
        "tools": tools,
        "must_carry": must,
        "field_methods": False,
    }
