"""A day's minutes as decimals: the whole rounded up, and its parts so that they add up to it."""

from collections.abc import Mapping
from fractions import Fraction
from math import floor

from solver.model.rest import DAY_DIGITS

_STEPS = 10**DAY_DIGITS  # in a minute


def shared_minutes(parts: Mapping[str, Fraction], whole_min: float) -> dict[str, float]:
    """Return parts of a day in minutes that add up to the whole as decimals; one of nothing stays nothing.

    Each is rounded down, and the steps that are left go to those that lost most, the first among equals.

    Args:
        parts: what each takes, in any unit.
        whole_min: what they come to [min], in whole steps.
    """
    steps = round(whole_min * _STEPS)
    total = sum(parts.values(), Fraction(0))
    exact = {name: part * steps / total if part else Fraction(0) for name, part in parts.items()}
    found = {name: floor(part) for name, part in exact.items()}
    left = steps - sum(found.values())
    for name in sorted(exact, key=lambda one: found[one] - exact[one])[: left if total else 0]:
        found[name] += 1
    return {name: each / _STEPS for name, each in found.items()}
