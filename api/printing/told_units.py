"""The units of a print: metric, or US figures beside the metric ones in every sentence and table."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from api.settings.units import Units

_UNITS: ContextVar[Units] = ContextVar("_UNITS", default="metric")


@contextmanager
def printed_in(units: Units) -> Iterator[None]:
    """Print in units as long as this lasts."""
    before = _UNITS.set(units)
    try:
        yield
    finally:
        _UNITS.reset(before)


def units_of_print() -> Units:
    """Return the units in which is printed now."""
    return _UNITS.get()


def told_text(text: str) -> str:
    """Return a text in the units of the print."""
    if _UNITS.get() == "metric":
        return text
    from api.settings.us_text import beside_us  # late: it needs the solver, which a metric table does not

    return beside_us(text)
