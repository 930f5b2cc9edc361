"""Rest: a day's work as it is told, with the rest that it takes, and the work that a told day leaves room for."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from solver.forms.quantity import DAY_DIGITS, MS_PER_MINUTE


@dataclass(frozen=True)
class Rest:
    """A share of all work beyond a time that asks for none [ms a day, whole party]; exact.

    Work is reckoned without rest everywhere; only what is told to callers, and what they limit, has it.
    """

    share: Fraction = Fraction(0)
    free_ms: Fraction = Fraction(0)

    def told(self, work: Fraction | float) -> Fraction:
        """Return a day's work with its rest [ms]; more work is always told as more."""
        exact = Fraction(work)
        return exact if exact <= self.free_ms else exact + self.share * (exact - self.free_ms)

    def work(self, told: Fraction | float) -> Fraction:
        """Return the work of a day that is told with its rest [ms], the inverse of `told`."""
        exact = Fraction(told)
        return exact if exact <= self.free_ms else (exact + self.share * self.free_ms) / (1 + self.share)


NO_REST = Rest()


def limit_minutes(least_ms: Fraction, beyond_ms: Fraction) -> float:
    """Return the shortest decimal of minutes from a day with its rest up to one that is too long [ms]."""
    for steps in (10**digits for digits in range(DAY_DIGITS)):
        whole = ceil(least_ms * steps / MS_PER_MINUTE)
        if whole * MS_PER_MINUTE < beyond_ms * steps:
            return float(Fraction(whole, steps))
    return day_minutes(least_ms)


def day_minutes(told_ms: Fraction) -> float:
    """Return a day with its rest [ms] in minutes as it is told, rounded up."""
    steps = 10**DAY_DIGITS
    whole = -(-told_ms.numerator * steps // (told_ms.denominator * MS_PER_MINUTE))
    minutes: float = whole / steps  # of whole numbers the nearest float
    return minutes
