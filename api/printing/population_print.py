"""Trips drawn from a population, as a person reads them on a terminal."""

from collections import Counter
from collections.abc import Sequence
from statistics import median
from typing import Any

from rich.text import Text

from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
from solver.populations.drawn_trip import DrawnTrip
from solver.populations.population import Population

_MOST_TOLD, _MOST_ROWS = 5, 10  # judged: values of a field, trips
_LONGEST = 100  # letters of a cell


def print_population(population: Population, drawn: Sequence[DrawnTrip], *, seed: int) -> None:
    """Print the groups, how each field came out, and the first trips."""
    console = ToldConsole()
    console.print(Text(population.name or population.id or "a population"))
    console.print(Text(f"{len(drawn)} trips drawn by seed {seed}"))
    for group in population.groups:
        here = [one for one in drawn if one.group == group.name]
        fields = [(one.field, _told([trip.values[one.field] for trip in here])) for one in group.vary if here]
        console.print(table_of(f"{group.name}: {len(here)} trips", ("field", "drawn"), fields))
    trips = [(str(place), one.group, _shown(one.values)) for place, one in enumerate(drawn[:_MOST_ROWS])]
    console.print(table_of("The first of them", ("trip", "group", "values"), trips))


def _told(values: Sequence[Any]) -> str:
    """Return how a field came out: figures by their least, middle and greatest, others by how often they came."""
    figures = [one for one in values if isinstance(one, int | float) and not isinstance(one, bool)]
    if len(figures) == len(values) and len(set(figures)) > _MOST_TOLD:
        return f"{min(figures):g} to {max(figures):g}, half of them up to {median(figures):g}"
    counted = Counter(str(one) for one in values).most_common(_MOST_TOLD)
    told = ", ".join(f"{value} ({100 * number / len(values):.0f} %)" for value, number in counted)
    return told if len(told) <= _LONGEST else f"{told[:_LONGEST]}..."


def _shown(values: dict[str, Any]) -> str:
    """Return the values of a trip in words."""
    told = ", ".join(
        f"{field} {value:g}" if isinstance(value, float) else f"{field} {value}" for field, value in values.items()
    )
    return told if len(told) <= _LONGEST else f"{told[:_LONGEST]}..."
