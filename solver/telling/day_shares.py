"""A day's minutes as decimals: the whole rounded up, and its parts so that they add up to it."""

from collections.abc import Mapping
from fractions import Fraction
from math import lcm

from solver.forms.quantity import DAY_DIGITS

_STEPS = 10**DAY_DIGITS  # in a minute


def shared_minutes(parts: Mapping[str, Fraction], whole_min: float) -> dict[str, float]:
    """Return parts of a day in minutes that add up to the whole as decimals; one of nothing stays nothing.

    Each is rounded down, and the steps that are left go to those that lost most, the first among equals.

    Args:
        parts: what each takes, in any unit.
        whole_min: what they come to [min], in whole steps.
    """
    steps = round(whole_min * _STEPS)
    common = lcm(*(part.denominator for part in parts.values()))
    whole = {name: part.numerator * (common // part.denominator) for name, part in parts.items()}
    total = sum(whole.values())
    if not total:
        return dict.fromkeys(parts, 0.0)
    found = {name: each * steps // total for name, each in whole.items()}
    left = steps - sum(found.values())
    for name in sorted(whole, key=lambda one: found[one] * total - whole[one] * steps)[:left]:
        found[name] += 1
    return {name: each / _STEPS for name, each in found.items()}
