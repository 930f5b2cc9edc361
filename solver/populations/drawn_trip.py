"""Trips drawn from a population by a seed: the first of many are the same as where fewer are drawn."""

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from hashlib import sha256
from statistics import NormalDist
from typing import Any

import numpy as np
from pydantic import ValidationError
from pydantic_core import to_jsonable_python

from catalog.tables.number import Floats
from catalog.tables.wrong_value import sentence_of
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError
from solver.populations.population import Population, PopulationGroup, Variation

_GROUP = "group"  # the stream that tells of which group a trip is; no field is called so
_MIDDLE = 0.5
_BETWEEN = 0.38  # judged: a share at which a figure without steps is seldom whole
_DIGITS = 9  # judged: no binary crumbs
_NORMAL = NormalDist()
_MOST_FAULTS = 20  # judged: nobody reads on
_LONGEST, _MOST_TOLD, _MOST_SHOWN = 60, 3, 8  # judged: letters of a value, faults and values in a sentence


@dataclass(frozen=True)
class DrawnTrip:
    """A trip of a population: the name of its group, and the value of each field that varies there."""

    group: str
    values: dict[str, Any]
    trip: Trip


def drawn_trips(
    population: Population, *, count: int, seed: int, check: Callable[[Trip], None] | None = None
) -> Iterator[DrawnTrip]:
    """Yield trips of a population, each of equal weight.

    The group and each field have streams of random numbers of their own, by the seed and the field's path alone: a
    field more changes no other, and a trip is the same however many are drawn.

    Args:
        population: how trips vary.
        count: how many to draw.
        seed: one seed gives the same trips.
        check: what else each trip must pass; its faults are told of the group.

    Raises:
        TripError: what a group says makes no trip, by its place in the population.
    """
    _check_values(population, check)
    paths = {one.field for group in population.groups for one in group.vary}
    streams = {path: _uniform(path, count=count, seed=seed) for path in sorted(paths)}
    weights = np.array([group.weight for group in population.groups])
    ends = np.cumsum(weights) / weights.sum()
    of_groups = np.minimum(np.searchsorted(ends, _uniform(_GROUP, count=count, seed=seed), side="right"), len(ends) - 1)
    for number, place in enumerate(of_groups.tolist()):
        group = population.groups[place]
        values = {one.field: _value_at(one, float(streams[one.field][number])) for one in _in_order(group)}
        yield DrawnTrip(group.name, values, _checked(group, place, values, number, check))


def _uniform(name: str, *, count: int, seed: int) -> Floats:
    """Return random numbers from 0 to below 1 of a stream of its own, float[count]."""
    # judged: so many bytes seed the generator in full
    key = int.from_bytes(sha256(f"population:{seed}:{name}".encode()).digest()[:16], "big")
    return np.random.Generator(np.random.PCG64(key)).random(count)


def _in_order(group: PopulationGroup) -> list[Variation]:
    """Return what varies, shorter paths first."""
    return sorted(group.vary, key=lambda one: (one.field.count("."), one.field))


def _value_at(variation: Variation, share: float) -> Any:
    """Return the value of a field at a share of its distribution, from 0 to 1."""
    if variation.values is not None:
        weights = np.array(variation.weights or [1.0] * len(variation.values))
        ends = np.cumsum(weights) / weights.sum()
        place = min(int(np.searchsorted(ends, share, side="right")), int(np.flatnonzero(weights)[-1]))
        return variation.values[place]
    assert variation.low is not None
    assert variation.high is not None
    found = _figure_at(variation, variation.low, variation.high, share)
    counts = variation.step is not None and variation.step.is_integer() and variation.low.is_integer()
    return int(found) if counts else found


def _figure_at(variation: Variation, low: float, high: float, share: float) -> float:
    """Return a figure at a share of its distribution, which is cut at its ends."""
    step, most = variation.step, 0
    if step is not None:
        most = int(round((high - low) / step, _DIGITS))  # steps that fit
        if variation.shape == "even":
            return round(low + min(int(share * (most + 1)), most) * step, _DIGITS)
    found = _between(variation, low, high, share)
    if step is not None:
        found = low + min(round((found - low) / step), most) * step
    return round(min(max(found, low), high), _DIGITS)


def _between(variation: Variation, low: float, high: float, share: float) -> float:
    """Return a figure at a share of its distribution, before it is brought to a step."""
    if variation.middle is None or variation.spread is None:
        return low + share * (high - low)
    log = variation.shape == "log_normal"
    scale = NormalDist(
        float(np.log(variation.middle)) if log else variation.middle,
        float(np.log(variation.spread)) if log else variation.spread,
    )
    ends = [scale.cdf(float(np.log(end)) if log else end) for end in (low, high)]
    inner = ends[0] + share * (ends[1] - ends[0])
    if not 0 < inner < 1:
        return low if share < _MIDDLE else high  # so far out that floats tell no share
    found = scale.inv_cdf(inner)
    return float(np.exp(found)) if log else found


def _filled(group: PopulationGroup, values: dict[str, Any]) -> Trip:
    """Return the trip of a group with the values of its fields.

    Raises:
        ValidationError: a field can't be taken.
    """
    base = group.trip
    fields = sorted({path.partition(".")[0] for path in values})
    form: dict[str, Any] = base.model_dump(include=set(fields), exclude_unset=True)
    for path in sorted(values, key=lambda one: (one.count("."), one)):
        _put(form, path.split("."), deepcopy(values[path]))
    made = Trip.model_validate(form)
    return base.model_copy(update={field: getattr(made, field) for field in fields})


def _put(into: Any, steps: list[str], value: Any) -> None:
    """Put a value at its place; what holds it and is not there yet is made.

    Raises:
        _NoPlace: there is no such place.
    """
    *above, last = steps
    for step in above:
        if isinstance(into, list):
            into = _member(into, step)
            continue
        if into.get(step) is None:
            into[step] = {}
        into = into[step]
        if not isinstance(into, dict | list):
            raise _NoPlace(step)
    if isinstance(into, list):
        _member(into, last)
        into[int(last)] = value
    else:
        into[last] = value


def _member(of: list[Any], step: str) -> Any:
    """Return a member of a list by its number.

    Raises:
        _NoPlace: there is none.
    """
    if not step.isdecimal() or int(step) >= len(of):
        raise _NoPlace(step)
    return of[int(step)]


class _NoPlace(ValueError):
    """A path leads nowhere."""


def _checked(
    group: PopulationGroup, place: int, values: dict[str, Any], number: int, check: Callable[[Trip], None] | None
) -> Trip:
    """Return a drawn trip.

    Raises:
        TripError: its values do not go together.
    """
    try:
        trip = _filled(group, values)
        if check is not None:
            check(trip)
    except (ValidationError, TripError, _NoPlace) as error:
        told = f"trip {number} as drawn, {_shown(values)}: {_sentences(error)}"
        raise TripError([Fault(f"#/groups/{place}", group.name, "values that go together", told)]) from error
    return trip


def _check_values(population: Population, check: Callable[[Trip], None] | None) -> None:
    """Try each end and each value of every field that varies, the others at their middle.

    Raises:
        TripError: every value that can't be, by its place.
    """
    faults: list[Fault] = []
    for place, group in enumerate(population.groups):
        usual = {one.field: _value_at(one, _MIDDLE) for one in _in_order(group)}
        for index, one in enumerate(group.vary):
            for name, value in _ends(one):
                if len(faults) < _MOST_FAULTS and (why := _why_not(group, usual | {one.field: value}, one, check)):
                    pointer = f"#/groups/{place}/vary/{index}/{name}"
                    faults.append(Fault(pointer, value, f"what {one.field} of a trip takes", why))
    if faults:
        raise TripError(faults)


def _ends(variation: Variation) -> Iterator[tuple[str, Any]]:
    """Yield the values that a field can have at all, or the ends of its figures, each with its place."""
    if variation.values is not None:
        weights = variation.weights or [1.0] * len(variation.values)
        yield from ((f"values/{n}", one) for n, one in enumerate(variation.values) if weights[n])
        return
    yield "low", _value_at(variation, 0.0)
    yield "high", _value_at(variation, 1.0)
    if variation.step is None:
        yield "step", _value_at(variation, _BETWEEN)


def _why_not(
    group: PopulationGroup, values: dict[str, Any], one: Variation, check: Callable[[Trip], None] | None
) -> str | None:
    """Return what is wrong with a value of a field, None where nothing of it is."""
    try:
        trip = _filled(group, values)
        if check is not None:
            check(trip)
    except _NoPlace as error:
        return f"{one.field}: the trip of the group has no {error}"
    except (ValidationError, TripError) as error:
        return _sentences(error, of=one.field.partition(".")[0]) or None
    return None


def _sentences(error: Exception, *, of: str | None = None) -> str:
    """Return what is wrong, field by field, or only with one field and what stands in it."""
    if isinstance(error, ValidationError):
        told = [
            f"{'.'.join(map(str, one['loc']))}: {sentence_of(one, to_jsonable_python(one['input'], fallback=str))}"
            for one in error.errors()
            if of in (None, *one["loc"][:1])
        ]
        return "; ".join(told[:_MOST_TOLD])
    if isinstance(error, TripError):
        return "; ".join([fault.detail for fault in error.faults if of in (None, fault.field)][:_MOST_TOLD])
    return f"there is no {error}"


def _shown(values: dict[str, Any]) -> str:
    """Return values in words, as many as a sentence bears."""
    told = [f"{path} {value}" for path, value in values.items()]
    return (
        ", ".join(one if len(one) <= _LONGEST else f"{one[:_LONGEST]}..." for one in told[:_MOST_SHOWN])
        or "nothing varied"
    )
