"""How long the firewood around one camp lasts: what lies within reach does not grow again over the nights."""

from fractions import Fraction

from catalog import assumptions
from catalog.tables.assumption import assumed
from solver.telling.solution_view import SolutionView

_NIGHTS = "reach_nights"


def used_up(view: SolutionView) -> list[str]:
    """Return a sentence where the kit burns more wood of a thickness than lies around one camp; of the usual reach.

    The figure is not read where the wood lasts whatever it is within its band.
    """
    trip = view.question.trip
    if trip.wood.diameters is not None:
        return []
    burned = {c: kg for c, kg in view.settled.load.kg.items() if kg > 0}
    lasting = {c: Fraction(view.question.classes[c].reach_kg) / Fraction(kg) for c, kg in burned.items()}
    if not lasting:
        return []
    soonest = min(lasting, key=lambda c: lasting[c])
    ledger = view.question.ledger
    least = min(assumptions()[_NIGHTS].low, assumed(_NIGHTS, ledger.changed))
    if trip.nights <= lasting[soonest] * Fraction(least):
        return []
    days = ledger(_NIGHTS)
    nights = int(lasting[soonest] * Fraction(days))
    if trip.nights <= nights:
        return []
    return [
        f"At one camp the wood of {view.question.classes[soonest].diameter_mm:g} mm that this kit burns is used up "
        f"after some {nights} of the {trip.nights} nights: it is assumed that what lies near is the reach of {days:g} "
        "days. Then it is fetched from farther, or thicker wood is cut: more minutes, perhaps more tools than told "
        "here. Move camp, or plan with the wood that is left."
    ]
