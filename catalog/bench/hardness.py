"""Hardness of a steel to the strength that a bending check may use.

Table: ASTM E140-type conversion, HRC to HV to tensile strength of hardened steel. Two limits are
carried with every figure: the one tool steel whose strength was measured (S7) fell below the table, and
yield lies in a band of shares of the tensile strength.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Generic

from catalog.tables.assumption import assumptions
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, minimum, where
from catalog.tables.table import read_rows
from catalog.tables.validity import tabulated

_SOURCE = "ASTM E140-type hardness conversion"
_FROM_TABLE = "from the conversion table"


@dataclass(frozen=True, slots=True)
class Strength:
    """Strength of a hardened steel, all stresses in MPa.

    Attributes:
        hrc: Rockwell C hardness.
        hv: Vickers hardness.
        tensile_mpa: tensile strength.
        yield_low_mpa: yield that a margin is taken against.
        yield_mpa: middle of the yield band, or the measured value.
        yield_high_mpa: upper end of the band.
        extrapolated: True where no tensile value is tabulated.
        note: how the figures came about, in words.
    """

    hrc: float
    hv: float
    tensile_mpa: float
    yield_low_mpa: float
    yield_mpa: float
    yield_high_mpa: float
    extrapolated: bool
    note: str


@dataclass(frozen=True, slots=True)
class _Row:
    hrc: float
    hv: float
    tensile_mpa: float | None


@lru_cache(maxsize=1)
def _rows() -> tuple[_Row, ...]:
    return tuple(
        _Row(
            hrc=float(row["hrc"]),
            hv=float(row["hv"]),
            tensile_mpa=float(row["tensile_mpa"]) if row["tensile_mpa"] else None,
        )
        for row in read_rows("bench/hardness.csv")
    )


def _converted(points: list[tuple[float, float]], hrc: N) -> N:
    return tabulated(points, hrc, quantity="hardness_hrc", unit="HRC", source=_SOURCE)


def vickers(hrc: N) -> N:
    """Vickers hardness [HV] from Rockwell C hardness, linear between the rows of the table.

    Raises:
        RangeError: outside 40-68 HRC.
    """
    return _converted([(row.hrc, row.hv) for row in _rows()], hrc)


def tabulated_tensile_mpa(hrc: N) -> N:
    """Tensile strength [MPa] from Rockwell C hardness, linear between the rows of the table.

    Raises:
        RangeError: outside 40-59 HRC, where the table has no tensile value.
    """
    return _converted([(row.hrc, row.tensile_mpa) for row in _rows() if row.tensile_mpa is not None], hrc)


def highest_tabulated_hrc() -> float:
    """Hardness above which tensile strength is extrapolated [HRC]."""
    return max(row.hrc for row in _rows() if row.tensile_mpa is not None)


@dataclass(frozen=True, slots=True)
class _Measured:
    """A steel whose strength was measured, and how it compares with the table."""

    grade: str
    hrc: float
    tensile_mpa: float
    yield_mpa: float

    @property
    def tensile_share(self) -> float:
        """Measured tensile strength as a share of the table's at the same hardness."""
        return self.tensile_mpa / tabulated_tensile_mpa(self.hrc)

    @property
    def yield_share(self) -> float:
        """Measured yield as a share of measured tensile strength."""
        return self.yield_mpa / self.tensile_mpa


@lru_cache(maxsize=1)
def _measured() -> dict[str, _Measured]:
    """Measured strengths by grade."""
    return {
        row["grade"]: _Measured(
            grade=row["grade"],
            hrc=float(row["hrc"]),
            tensile_mpa=float(row["tensile_mpa"]),
            yield_mpa=float(row["yield_mpa"]),
        )
        for row in read_rows("bench/measured_strength.csv")
    }


@dataclass(frozen=True, slots=True)
class _Stresses(Generic[N]):
    """Tensile strength, and lower end, middle and upper end of the yield band of a hardened steel [MPa]."""

    tensile_mpa: N
    yield_low_mpa: N
    yield_mpa: N
    yield_high_mpa: N


def stresses(ledger: Ledger[N], *, grade: str, hrc: N) -> _Stresses[N]:
    """Tensile strength and yield band of a steel at a hardness.

    The lower yield takes the lower share of the band and, for every grade, the shortfall that was
    measured on S7, since no other tool steel was: a margin should not rest on the table alone. For S7 the
    middle value is the measured one. Above the last tabulated tensile strength it is 3.3 x HV, flagged;
    that falls below the table's last value (2,300 at 60 HRC against 2,420 at 59), so it errs low.

    Args:
        ledger: reads and notes the assumptions; the ends of the yield band are the table's, whatever it has changed.
        grade: AISI grade.
        hrc: Rockwell C hardness.

    Raises:
        RangeError: outside 40-68 HRC, or a changed assumption outside its band.
    """
    hv, last_hrc = vickers(hrc), highest_tabulated_hrc()
    tensile_mpa = where(
        hrc > last_hrc,
        lambda: ledger("tensile_mpa_per_hv") * hv,
        lambda: tabulated_tensile_mpa(minimum(hrc, last_hrc)),
    )
    band, share = assumptions()["yield_share_of_tensile"], ledger("yield_share_of_tensile")
    shortfall = min(m.tensile_share for m in _measured().values())
    own = _measured().get(grade)
    return _Stresses(
        tensile_mpa=tensile_mpa * (own.tensile_share if own else 1),
        yield_low_mpa=tensile_mpa * shortfall * band.low,
        yield_mpa=tensile_mpa * (own.tensile_share * own.yield_share if own else share),
        yield_high_mpa=tensile_mpa * band.high,
    )


def strength(*, grade: str, hrc: float, ledger: Ledger | None = None) -> Strength:
    """Tensile strength and yield band of a steel at a hardness, as `stresses` has them, with a note in words.

    Args:
        grade: AISI grade.
        hrc: Rockwell C hardness.
        ledger: reads and notes the assumptions, plain numbers.

    Raises:
        RangeError: outside 40-68 HRC.
    """
    ledger = ledger or Ledger()
    found = stresses(ledger, grade=grade, hrc=hrc)
    extrapolated = hrc > highest_tabulated_hrc()
    note = f"{ledger('tensile_mpa_per_hv'):g} x HV beyond the tensile table" if extrapolated else _FROM_TABLE
    own = _measured().get(grade)
    if own:
        note += f", corrected by {grade} as measured at {own.hrc:g} HRC"
    return Strength(
        hrc=hrc,
        hv=vickers(hrc),
        tensile_mpa=found.tensile_mpa,
        yield_low_mpa=found.yield_low_mpa,
        yield_mpa=found.yield_mpa,
        yield_high_mpa=found.yield_high_mpa,
        extrapolated=extrapolated,
        note=note,
    )
