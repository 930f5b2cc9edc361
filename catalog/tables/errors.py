"""What can be wrong with data and figures, as typed errors that carry the figures."""

from dataclasses import dataclass


class RangeError(ValueError):
    """A quantity lies outside the range in which its formula or table holds."""

    def __init__(self, *, quantity: str, value: float, low: float, high: float, unit: str, source: str) -> None:
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        self.source = source
        shown = "" if unit == "-" else f" {unit}"
        super().__init__(f"{quantity} {value:g}{shown} is outside {low:g} to {high:g}{shown} ({source})")


@dataclass(frozen=True)
class CellFault:
    """One wrong cell of a table: where it stands, what stands there, and why it can't be taken."""

    file: str
    row: int
    column: str
    value: str
    why: str

    def __str__(self) -> str:
        return f"{self.file}, row {self.row}, column {self.column}: {self.value!r}: {self.why}"


class TableError(ValueError):
    """A table could not be taken; nothing of it was."""

    def __init__(self, faults: list[CellFault]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))
