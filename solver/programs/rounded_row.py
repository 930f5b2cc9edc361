"""Rows that hold for whole numbers only: some rows added up, halved, and rounded up (Chvatal 1973).

Rows that a point just keeps are broken by half a unit where together they count every column of the point an even
number of times, and ask for an odd number; such sets come out of elimination modulo 2 (Caprara, Fischetti 1996).
"""

from solver.programs.linear_model import Row, make_row
from solver.programs.safe_bound import WholeRows

_HALF = 2
_TRACE = 1e-6  # of a column or a row: below it is a solver's tolerance
_BROKEN = 1e-3  # judged: a row broken by less is no help


def rounded_rows(rows: WholeRows, binaries: frozenset[int], values: list[float]) -> list[Row]:
    """Return rows over binaries that a point breaks and no whole point does that keeps the rows.

    Args:
        rows: those from which they follow.
        binaries: the columns that are 0 or 1.
        values: the point.
    """
    found = {}
    for several in _even_sets(rows, binaries, values):
        terms: dict[int, int] = {}
        for row in several:
            for column, weight in zip(*rows.terms[row], strict=True):
                terms[column] = terms.get(column, 0) + weight
        halves = {column: -(-weight // _HALF) for column, weight in terms.items()}
        least = -(-sum(rows.low[row] or 0 for row in several) // _HALF)
        if sum(weight * values[column] for column, weight in halves.items()) < least - _BROKEN:
            found[tuple(sorted(halves.items()))] = make_row(halves.items(), low=least)
    return list(found.values())


def _even_sets(rows: WholeRows, binaries: frozenset[int], values: list[float]) -> list[list[int]]:
    """Return sets of rows that together count each column of a point evenly, and ask for an odd number."""
    pivots: dict[int, tuple[int, int]] = {}  # highest column -> columns counted oddly, and the rows added up
    found = []
    for row, ((columns, weights), low) in enumerate(zip(rows.terms, rows.low, strict=True)):
        if low is None or low <= 0 or min(weights, default=0) <= 0 or not binaries.issuperset(columns):
            continue
        if sum(weight * values[column] for column, weight in zip(columns, weights, strict=True)) > low + _TRACE:
            continue
        odd = sum(1 << c for c, weight in zip(columns, weights, strict=True) if weight % _HALF and values[c] > _TRACE)
        several = 1 << row
        while odd and odd.bit_length() in pivots:
            other, those = pivots[odd.bit_length()]
            odd, several = odd ^ other, several ^ those
        if odd:
            pivots[odd.bit_length()] = odd, several
            continue
        members = [place for place in range(several.bit_length()) if several >> place & 1]
        if sum(rows.low[place] or 0 for place in members) % _HALF:
            found.append(members)
    return found
