"""Published optima of Steiner triple covering, and that the systems built here are the ones meant.

Optima 5, 9 and 18: Fulkerson, Nemhauser, Trotter 1974, Two computationally difficult set covering problems
that arise in computing the 1-width of incidence matrices of Steiner triple systems, Mathematical
Programming Study 2, 72-81. The system on 45 points (optimum 30) is solved in the benchmark only.

Squares of the cube: the most edges of the 3-, 4- and 5-dimensional cube without a square are 9, 24 and 56, from memory
(the last: Emamy-K., Guan, Rivera-Vega 1992, On the characterization of the maximum squareless subgraphs of 5-cube).

Covering designs C(v, k, t), the fewest k-sets that hold every t-set of v points: from memory, tables of Gordon,
Kuperberg, Patashnik 1995, New constructions for covering designs, Journal of Combinatorial Designs 3, 269-284.

Property B, m(k), the fewest k-sets of which every colouring of the points in two colours leaves one of a single colour:
m(2) = 3 and m(3) = 7, from memory (Erdos 1963, On a combinatorial problem, Nordisk Matematisk Tidskrift 11, 5-10). With
sets of four these are the instances CLR of the OR-Library.
"""

from collections import Counter
from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest
from steiner import Triples, affine_plane_9, bose, incidence, projective_15, tripled

from solver import lightest

pytestmark = pytest.mark.quick

SYSTEMS: dict[str, tuple[Callable[[], Triples], int]] = {
    "A9": (affine_plane_9, 9),
    "A15": (lambda: bose(15), 15),
    "A27": (lambda: tripled(affine_plane_9()), 27),
    "A45": (lambda: tripled(bose(15)), 45),
    "projective 15": (projective_15, 15),
}
PUBLISHED = {"A9": 5, "A15": 9, "A27": 18}  # Fulkerson, Nemhauser, Trotter 1974
SQUARELESS = {3: 9, 4: 24, 5: 56}  # edges of the cube without a square
COVERING = {
    (7, 3, 2): 7,
    (8, 3, 2): 11,
    (9, 3, 2): 12,
    (10, 3, 2): 17,
    (8, 4, 2): 6,
    (7, 4, 3): 12,
    (8, 4, 3): 14,
}
MIXED = {(3, 2): 3, (5, 2): 3, (7, 3): 7, (8, 3): 7}  # m(k) by points and k
PLANE_POINTS = 7  # a plane is the smallest set meeting every line: Bose, Burton 1966 (from memory)


@pytest.mark.parametrize("name", SYSTEMS)
def test_every_pair_of_points_is_in_exactly_one_triple(name: str) -> None:
    """The definition of a Steiner triple system, on the stated number of points."""
    build, points = SYSTEMS[name]
    pairs = Counter(frozenset(pair) for triple in build() for pair in combinations(triple, 2))
    assert set(pairs) == {frozenset(pair) for pair in combinations(range(points), 2)}
    assert set(pairs.values()) == {1}


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_optimum_is_found_and_proven(name: str) -> None:
    """Points of mass 1: the lightest cover has the published number of points, with its proof."""
    able = incidence(SYSTEMS[name][0]())
    cover = lightest(np.ones(able.shape[1]), able)
    assert cover.status == "optimal"
    assert cover.mass == PUBLISHED[name] == len(set(cover.columns))
    assert cover.bound == pytest.approx(PUBLISHED[name])
    assert able[:, list(cover.columns)].any(axis=1).all()


def test_system_on_15_points_must_be_named() -> None:
    """Another system on 15 points has another optimum, so the 9 above belongs to Bose's."""
    able = incidence(projective_15())
    assert lightest(np.ones(15), able).mass == PLANE_POINTS < PUBLISHED["A15"]


def squares(dimensions: int) -> np.ndarray:
    """Which edges of the cube bound which of its squares, bool[squares, edges]."""
    corners, axes = range(2**dimensions), range(dimensions)
    edges = [(corner, axis) for corner in corners for axis in axes if not corner >> axis & 1]
    place = {edge: column for column, edge in enumerate(edges)}
    found = []
    for one, other in combinations(axes, 2):
        for corner in corners:
            if not corner >> one & 1 and not corner >> other & 1:
                sides = [(corner, one), (corner, other), (corner | 1 << other, one), (corner | 1 << one, other)]
                found.append([place[side] for side in sides])
    able = np.zeros((len(found), len(edges)), dtype=bool)
    able[np.arange(len(found))[:, None], found] = True
    return able


@pytest.mark.parametrize(("dimensions", "most"), SQUARELESS.items())
def test_edges_that_hit_every_square_of_the_cube(dimensions: int, most: int) -> None:
    """The least cover leaves the largest subgraph without a square."""
    able = squares(dimensions)
    cover = lightest(np.ones(able.shape[1]), able)
    assert cover.status == "optimal"
    assert able.shape[1] - cover.mass == most
    assert able[:, list(cover.columns)].any(axis=1).all()


@pytest.mark.parametrize(("design", "fewest"), COVERING.items())
def test_covering_designs_have_the_published_number_of_blocks(design: tuple[int, int, int], fewest: int) -> None:
    """Every set of t points lies in a block."""
    points, size, within = design
    blocks = [frozenset(block) for block in combinations(range(points), size)]
    able = np.array([[block >= set(one) for block in blocks] for one in combinations(range(points), within)])
    cover = lightest(np.ones(len(blocks)), able)
    assert (cover.status, cover.mass) == ("optimal", fewest)


@pytest.mark.parametrize(("design", "fewest"), MIXED.items())
def test_sets_that_no_two_colours_can_mix(design: tuple[int, int], fewest: int) -> None:
    """Every colouring in two colours has a set of one colour."""
    points, size = design
    sets = [frozenset(one) for one in combinations(range(points), size)]
    colourings = [{p for p in range(points) if number >> p & 1} for number in range(1, 2 ** (points - 1))]
    able = np.array([[one <= red or not one & red for one in sets] for red in colourings])
    cover = lightest(np.ones(len(sets)), able)
    assert (cover.status, cover.mass) == ("optimal", fewest)


def test_twofold_cover_of_the_affine_plane_by_counting() -> None:
    """Two points on each of 12 lines: leaving out two points p, q would leave their line one point.

    So at most one point may stay out, and 8 points do: derived by counting.
    """
    able = incidence(affine_plane_9())
    cover = lightest(np.ones(9), able, at_least=2)
    assert (cover.status, cover.mass) == ("optimal", 8)
    assert (able[:, list(cover.columns)].sum(axis=1) >= 2).all()


def test_bose_wants_six_t_plus_three_points() -> None:
    """The builder refuses sizes the construction does not have."""
    with pytest.raises(ValueError, match="6t"):
        bose(13)
