from collections.abc import Callable

from catalog.tables.number import N, lowest, somewhere

# Enough panels that halving them moves no mass, stress or deflection of a drawing by 0.01 %
# (held by tests/catalog/drawings/test_blade.py); composite Simpson is exact for the cubic moments of flat faces.
# judged: panels after which a halving changes no digit that is told
PANELS = 32


def simpson(integrand: Callable[[N], N], *, low: N, high: N, panels: int = PANELS) -> N:
    """Integrate by the composite Simpson rule.

    Args:
        integrand: function of one variable, finite on both ends; it is given an array where a limit is one.
        low: lower limit, in the unit of the variable.
        high: upper limit, not below ``low``.
        panels: number of panels, even.

    Returns:
        The integral; 0 when the limits coincide.

    Raises:
        ValueError: an odd number of panels, or limits in the wrong order.

    Source: Abramowitz and Stegun 1964, 25.4.6 (from memory).
    """
    if panels < 2 or panels % 2 or somewhere(high < low):
        raise ValueError(
            f"low {lowest(low):g} is above high {lowest(high):g}, "
            f"or panels {panels} is not an even number of at least 2"
        )
    step = (high - low) / panels
    odd = sum(integrand(low + step * i) for i in range(1, panels, 2))
    even = sum(integrand(low + step * i) for i in range(2, panels, 2))
    # weights 1-4-2-...-4-1 over 3, as in the source named above
    # derived: Simpson's rule
    return step / 3 * (integrand(low) + 4 * odd + 2 * even + integrand(high))
