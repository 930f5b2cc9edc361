"""Numbers that formulas reckon with: a plain one, or an array of many draws, each element for itself.

Every formula takes either for each figure that is measured or assumed; arrays broadcast as numpy's do. Of plain
numbers it gives a plain one; with an array among them, a float array in the shape that its figures have together. An
assumption that plays no part (the frost of wood that is not frozen) adds no shape. Powers and functions of ``math``
are those of the C library, as numpy's fast ones differ from them in the last digit, and among processors: an element
comes to the very bits that the plain number comes to.
"""

from __future__ import annotations

import math
import operator
from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import fields
from typing import Any, cast

import numpy as np
from numpy import ndarray
from numpy.typing import NDArray
from typing_extensions import TypeVar

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Places = NDArray[np.signedinteger[Any]]  # in a table of few rows, a byte each where there are many
Bools = NDArray[np.bool_]
Number = float | Floats
Truth = bool | Bools

# all plain, or any: formulas are generic in it, and so are the records that they return
N = TypeVar("N", float, float | NDArray[np.float64], default=float)

_power = np.frompyfunc(operator.pow, 2, 1)
_of_one = ("exp", "log", "sin", "cos", "sqrt", "degrees", "radians")
_of_two = ("atan2", "hypot")
_plain: dict[str, Callable[..., float]] = {name: getattr(math, name) for name in (*_of_one, *_of_two)}
_of_each = {name: np.frompyfunc(one, 2 if name in _of_two else 1, 1) for name, one in _plain.items()}

_MODERATE = 700.0  # derived: the exponential of what is no larger is neither infinite nor denormal


def _is_array(*values: object) -> bool:
    """Tell whether any of these is an array."""
    return any(isinstance(value, ndarray) for value in values)


def power(base: N, exponent: N) -> N:
    """Return base^exponent, any units."""
    if isinstance(base, ndarray) or isinstance(exponent, ndarray):
        with np.errstate(all="ignore"):
            each = np.float_power(base, exponent)  # numpy has no fast one of its own for it
        return cast(N, each if np.isfinite(each).all() else np.asarray(_power(base, exponent), dtype=np.float64))
    found: N = base**exponent
    return found


def of_math(name: str, *numbers: N) -> N:
    """Return what a function of ``math`` comes to.

    Args:
        name: ``exp``, ``log``, ``sin``, ``cos``, ``sqrt``, ``degrees``, ``radians``, ``atan2`` or ``hypot``.
        *numbers: its arguments, in its units.

    Raises:
        KeyError: another function.
    """
    for number in numbers:
        if isinstance(number, ndarray):
            if name == "exp" and number.size and np.abs(number).max() <= _MODERATE:
                return cast(N, np.exp(number.astype(np.complex128)).real.copy())  # numpy has no fast one of its own
            return cast(N, np.asarray(_of_each[name](*numbers), dtype=np.float64))
    return _plain[name](*numbers)


def minimum(one: N, other: N) -> N:
    """Return the smaller of two numbers of one unit."""
    if isinstance(one, ndarray) or isinstance(other, ndarray):
        return cast(N, np.minimum(one, other))
    return min(one, other)


def maximum(one: N, other: N) -> N:
    """Return the larger of two numbers of one unit."""
    if isinstance(one, ndarray) or isinstance(other, ndarray):
        return cast(N, np.maximum(one, other))
    return max(one, other)


def absolute(value: N) -> N:
    """Return a number without its sign."""
    if isinstance(value, ndarray):
        return cast(N, np.abs(value))
    return abs(value)


def where(condition: Truth, then: Callable[[], N], otherwise: Callable[[], N]) -> N:
    """Return what one of two formulas comes to, as a condition says.

    Of one condition only the formula in question is reckoned. Of an array of them both are, and each element is taken
    from its own: what the other comes to there may be anything, infinite too, but neither may refuse it.
    """
    if isinstance(condition, ndarray):
        with np.errstate(all="ignore"):
            return cast(N, np.asarray(np.where(condition, then(), otherwise()), dtype=np.float64))
    return then() if condition else otherwise()


def negated(condition: Truth) -> Truth:
    """Return whether a condition does not hold, of an array for each element."""
    return ~condition if isinstance(condition, ndarray) else not condition


def upright(value: N) -> N:
    """Return a number, or the elements of an array one below the other, to reckon with rows of figures: [E, 1]."""
    return cast(N, value[:, None]) if isinstance(value, ndarray) else value


def abreast(values: Sequence[Number]) -> Floats:
    """Return numbers of one unit as one array, float[K]; with arrays of E draws among them float[E, K]."""
    if not _is_array(*values):
        return np.array(values, dtype=np.float64)
    return np.stack(np.broadcast_arrays(*values), axis=-1)


def plain_number(value: Number) -> float:
    """Return a number that is told to a person.

    Raises:
        TypeError: it is an array of draws.
    """
    if isinstance(value, ndarray):
        raise TypeError("an array of draws is no plain number")
    return value


def spread(value: N, *others: N) -> N:
    """Return a value in the shape that it has together with others."""
    if _is_array(value, *others):
        return cast(N, np.array(np.broadcast_arrays(value, *others)[0], dtype=np.float64))
    return value


def somewhere(condition: Truth) -> bool:
    """Tell whether a condition holds, of an array whether it holds for any element."""
    return bool(np.any(condition)) if isinstance(condition, ndarray) else condition


def lowest(value: N) -> float:
    """Return a number, of an array its smallest element."""
    return float(np.min(value)) if isinstance(value, ndarray) else value


def farthest_outside(value: Number, *, low: Number, high: Number) -> tuple[float, float, float] | None:
    """Return the value that lies farthest outside its range, with that range; None where all lie within.

    What is not a number lies farthest. All in one unit.
    """
    if (
        isinstance(value, ndarray)
        and value.size
        and not isinstance(low, ndarray)
        and not isinstance(high, ndarray)
        and low <= value.min() <= value.max() <= high
    ):
        return None  # the usual outcome, at a glance
    if bool(np.all(np.greater_equal(value, low) & np.less_equal(value, high))):
        return None
    values, lows, highs = (np.asarray(one, dtype=np.float64) for one in np.broadcast_arrays(value, low, high))
    with np.errstate(invalid="ignore"):
        beyond = np.fmax(lows - values, values - highs)
    worst = int(np.argmax(np.where(np.isnan(values), np.inf, beyond)))
    return float(values.flat[worst]), float(lows.flat[worst]), float(highs.flat[worst])


def largest(found: Sequence[tuple[N, N]]) -> tuple[N, N]:
    """Return the largest of some values with its place, of equal ones the last place.

    Args:
        found: (value, place), values in one unit and places in another.
    """
    if not any(_is_array(*pair) for pair in found):
        return max(found)
    best, where_best = found[0]
    for value, place in found[1:]:
        more = (value > best) | ((value == best) & (place > where_best))
        best, where_best = cast(N, np.where(more, value, best)), cast(N, np.where(more, place, where_best))
    return best, where_best


def each(record_at: Callable[[float], Any], at: Number) -> Any:
    """Return a record of numbers that is reckoned of one plain number; of an array, a record of arrays.

    For what stays a formula of plain numbers, such as the geometry of one drawing: every number costs one call, however
    often it stands in the array.

    Args:
        record_at: makes a dataclass whose fields are numbers.
        at: the number, or an array of one element at least.
    """
    if not isinstance(at, ndarray):
        return record_at(at)
    numbers = at.ravel().tolist()
    found = {one: record_at(one) for one in dict.fromkeys(numbers)}
    records = [found[one] for one in numbers]
    columns = {
        column.name: np.array([getattr(record, column.name) for record in records], dtype=np.float64).reshape(at.shape)
        for column in fields(records[0])
    }
    return type(records[0])(**columns)


def between(knots: Sequence[tuple[float, float]], at: N) -> N:
    """Return the value of a chain of straight lines, and beyond its ends the value there.

    Args:
        knots: (place, value) of its corners, two at least, places rising.
        at: Place, in the unit of the knots'.
    """
    places, values = zip(*knots, strict=True)
    if not isinstance(at, ndarray):
        if at <= places[0]:
            return cast(N, values[0])
        if at >= places[-1]:
            return cast(N, values[-1])
        upper = bisect_left(places, at)
        low, high = places[upper - 1], places[upper]
        return cast(N, values[upper - 1] + (values[upper] - values[upper - 1]) * (at - low) / (high - low))
    uppers = np.clip(np.searchsorted(places, at), 1, len(places) - 1)
    x, y = np.array(places), np.array(values)
    inside = y[uppers - 1] + (y[uppers] - y[uppers - 1]) * (at - x[uppers - 1]) / (x[uppers] - x[uppers - 1])
    return cast(N, np.where(at <= x[0], y[0], np.where(at >= x[-1], y[-1], inside)))
