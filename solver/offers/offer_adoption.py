"""From what many trips say of an offer to shares: how often it is wanted, against mass and price, and why it is not."""

import json
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from catalog import Tool
from solver.forms.quantity import UNITS_PER_GRAM, UNITS_PER_PRICE
from solver.needs.case_builder import grams
from solver.offers.adoption_answer import (
    AdoptionClass,
    AdoptionGroup,
    AdoptionMap,
    AdoptionPoint,
    AdoptionReason,
    HeldTools,
    OfferAdoption,
    PricePoint,
    ReplacedTool,
    ScoreAdoption,
    SureAdoption,
    TripFigure,
)
from solver.offers.adoption_map import CellShares, maps_of
from solver.offers.offer import Offer
from solver.offers.sure_wish import SURE_DRAWS
from solver.offers.verdict import Verdict, WhyNotWanted, offer_mass
from solver.offers.weighted_share import ShareSteps, share_interval, share_of, weighted_median

_MOST_POINTS = 101  # judged: as many as a plot shows
_MOST_CLASSES, _FIGURES, _THIRDS = 12, 6, 3  # judged: classes of a field, figures that make thirds
_TAIL, _DIGITS = 0.05, 9  # of draws beyond each end that is told; no binary crumbs
_MOST_REPLACED = 20  # judged: tools that a reader looks at
_TEXTS: dict[WhyNotWanted, str] = {
    "other_mass": "They would want it lighter: half of them at {median:g} g or less.",
    "barred": "A rule of the trip keeps it home.",
    "no_kit": "No kit covers the trip, with it or without it.",
    "no_kit_with_it": "No kit with it keeps the limits of the trip; kits without it do.",
    "no_work": "It can do nothing that the trip asks for.",
    "nothing_carried": "Hands and field methods do all the work, so any tool is too heavy.",
    "one_alone": "One of the two alone leaves a lighter kit.",
    "others_stay": "Tools that must go anyway do what it could do.",
}


@dataclass(frozen=True)
class WeighedTrip:
    """A trip as it counts: weight, group, values of the fields that vary, place on the maps, money per gram."""

    weight: float
    group: str | None
    values: dict[str, Any]
    figures: dict[TripFigure, float]
    money: float | None = None


class _Verdicts:
    """What the settled trips say of an offer."""

    def __init__(self, offer: Offer, trips: Sequence[WeighedTrip], verdicts: Sequence[Verdict | None]) -> None:
        """Keep the trips that are settled.

        Args:
            offer: what is offered.
            trips: the trips.
            verdicts: what each says; None of a trip that was not reached.
        """
        kept = [(trip, one) for trip, one in zip(trips, verdicts, strict=True) if one is not None and one.settled]
        self.rows: tuple[Tool, ...] = offer.rows
        self.mass = offer_mass(self.rows).total
        self.trips, self.told = [trip for trip, _ in kept], [one for _, one in kept]
        self.weights = [trip.weight for trip in self.trips]
        self.left = sum(one is not None and not one.settled for one in verdicts)
        self.wants = [one.wants(self.mass) for one in self.told]
        self.nearly = [one.nearly_wants(self.mass) for one in self.told]

    def share(self, marks: Iterable[bool]) -> float:
        """Return the share of the trips marked."""
        return share_of(list(marks), self.weights)

    def some(self, marks: Sequence[bool]) -> "tuple[list[Verdict], list[float]]":
        """Return what the trips marked say, with their weights."""
        chosen = [place for place, mark in enumerate(marks) if mark]
        return [self.told[place] for place in chosen], [self.weights[place] for place in chosen]


def adoption_of(
    offer: Offer,
    trips: Sequence[WeighedTrip],
    verdicts: Sequence[Verdict | None],
    *,
    confidence: float | None = None,
) -> OfferAdoption:
    """Return how often an offer is wanted.

    Args:
        offer: what is offered.
        trips: the trips.
        verdicts: what each says; None of a trip that was not reached.
        confidence: that at which kits were asked too, if at any.
    """
    found = _Verdicts(offer, trips, verdicts)
    steps = ShareSteps([one.wanted for one in found.told], found.weights)
    near = ShareSteps([one.near for one in found.told], found.weights)
    adoption = found.share(found.wants)
    low, high = share_interval(adoption, found.weights)
    covered = [one.without is not None and one.lightest is not None for one in found.told]
    taken = [mark and wants for mark, wants in zip(covered, found.wants, strict=True)]
    ever = found.share(bool(one.wanted) for one in found.told)
    doubled = steps.most_with(2 * adoption) if adoption else None
    return OfferAdoption(
        name=offer.called,
        ids=[row.id for row in found.rows],
        mass_g=grams(found.mass),
        trips=len(found.told),
        not_settled=found.left,
        adoption=adoption,
        low=low,
        high=high,
        within_50_g=found.share(found.nearly),
        at_any_mass=ever,
        at_every_mass=steps.share_at(math.inf),
        never=found.share(not one.wanted for one in found.told),
        doubles_at_g=None if doubled is None else grams(doubled),
        curve=_curve(found, steps, near),
        price_curve=_price_curve(found),
        held=_held(found),
        replaces=_replaced(found),
        scores=_with_scores(found),
        sure=None if confidence is None else _surely(found, confidence),
        saves_g=_mean_saved(found, covered) or 0.0,
        saves_taken_g=_mean_saved(found, taken),
        only_with_it=found.share(
            one.without is None and wants for one, wants in zip(found.told, found.wants, strict=True)
        ),
        reasons=_reasons(found),
        groups=_groups(found),
        classes=_classes(found),
        maps=_maps(found),
        text=_sentence(found, adoption, low, high, doubled),
    )


def _sentence(found: _Verdicts, adoption: float, low: float, high: float, doubled: int | None) -> str:
    """Return the share in words, as what it is."""
    if not found.told:
        return "No trip was settled in the time allowed."
    count = f"{len(found.told)} trips" if len(found.told) > 1 else "1 trip"
    share = f"{100 * adoption:.3g} % of the kits of {count} ({100 * low:.3g} to {100 * high:.3g} %)"
    more = f" Twice the share takes {grams(doubled):g} g or less." if doubled is not None else ""
    if not adoption and (most := max((one.most or 0.0 for one in found.told), default=0.0)):
        more = f" The heaviest that a trip takes is {grams(most):g} g."
    return f"At {grams(found.mass):g} g it is in {share}.{more} A share of kits, not a sales forecast."


def _with_scores(found: _Verdicts) -> ScoreAdoption | None:
    """Return how the share moves with the scores; None where no draws were settled."""
    marks = [bool(one.drawn) for one in found.told]
    told, weights = found.some(marks)
    if not told:
        return None
    draws = len(told[0].drawn)
    shares = sorted(share_of([one.drawn[draw] for one in told], weights) for draw in range(draws))
    tail = int(_TAIL * draws)
    return ScoreAdoption(
        trips=len(told),
        draws=draws,
        adoption=round(math.fsum(shares) / draws, _DIGITS),
        low=shares[tail],
        high=shares[-1 - tail],
        at_medians=share_of([one.wants(found.mass) for one in told], weights),
    )


def _curve(found: _Verdicts, steps: ShareSteps, near: ShareSteps) -> list[AdoptionPoint]:
    """Return the share at each mass where it changes, or at as many of them as are told, and at the mass as it is."""
    masses = [mass for mass in steps.masses if mass]
    if len(masses) > _MOST_POINTS - 1:
        places = np.unique(np.linspace(0, len(masses) - 1, _MOST_POINTS - 1).round().astype(int))
        masses = [masses[place] for place in places.tolist()]
    points = []
    for mass in sorted({*masses, found.mass}) if found.told else []:
        share = steps.share_at(mass)
        low, high = share_interval(share, found.weights)
        points.append(
            AdoptionPoint(mass_g=grams(mass), adoption=share, low=low, high=high, within_50_g=near.share_at(mass))
        )
    return points


def _surely(found: _Verdicts, confidence: float) -> SureAdoption | None:
    """Return the share of trips whose lightest kits at a confidence hold the offer; None where none was settled."""
    marks = [one.sure is not None for one in found.told]
    told, weights = found.some(marks)
    if not told:
        return None
    share = share_of([one.sure == "held" for one in told], weights)
    low, high = share_interval(share, weights)
    return SureAdoption(
        confidence=confidence,
        draws=SURE_DRAWS,
        trips=len(told),
        adoption=share,
        low=low,
        high=high,
        no_kit=share_of([one.sure == "no_kit" for one in told], weights),
        at_medians=share_of([one.wants(found.mass) for one in told], weights),
    )


def _price_curve(found: _Verdicts) -> list[PricePoint]:
    """Return the share at each price where it changes; nothing where no trip limits or weighs the price."""
    told = zip(found.told, found.wants, found.trips, strict=True)
    ends = [_price_end(one, wants, trip.money) for one, wants, trip in told]
    prices = sorted({end for end in ends if 0 <= end < math.inf})
    return [
        PricePoint(price=price / UNITS_PER_PRICE, adoption=found.share(end >= price for end in ends))
        for price in prices[:: max(1, -(-len(prices) // _MOST_POINTS))]
    ]


def _price_end(one: Verdict, wants: bool, money: float | None) -> float:
    """Return the most that the offer may cost on a trip, as it weighs [0.01]; below 0 = it is not wanted at all."""
    if one.priced and one.price_most is None:
        return -1
    limit = float(one.price_most) if one.priced and one.price_most is not None else math.inf if wants else -1.0
    if money is None or one.spare is None or limit < 0:
        return limit
    return min(limit, math.floor(one.spare * money * UNITS_PER_PRICE / UNITS_PER_GRAM))


def _held(found: _Verdicts) -> list[HeldTools]:
    """Return which tools of the offer the lightest kits hold, the most frequent first."""
    sets = Counter(one.held for one in found.told if one.held)
    told = [
        HeldTools(
            ids=[row.id for row, held in zip(found.rows, chosen, strict=True) if held],
            share=found.share(one.held == chosen for one in found.told),
        )
        for chosen in sets
    ]
    return sorted(told, key=lambda one: (-one.share, one.ids))


def _replaced(found: _Verdicts) -> list[ReplacedTool]:
    """Return what the offer replaces where it is taken, the most frequent first."""
    takers, weights = found.some(found.wants)
    names = sorted({name for one in takers for name in one.replaces})
    told = [ReplacedTool(id=name, share=share_of([name in one.replaces for one in takers], weights)) for name in names]
    return sorted(told, key=lambda one: (-one.share, one.id))[:_MOST_REPLACED]


def _mean_saved(found: _Verdicts, marks: Sequence[bool]) -> float | None:
    """Return what the offer takes off the lightest kit on average of some trips [g]; None of no trip."""
    told, weights = found.some(marks)
    whole = math.fsum(weights)
    if not whole:
        return None
    return round(math.fsum(one.saves * weight for one, weight in zip(told, weights, strict=True)) / whole) / 100


def _reasons(found: _Verdicts) -> list[AdoptionReason]:
    """Return why trips do not want the offer as it is, the most frequent first."""
    told = []
    for reason, text in _TEXTS.items():
        marks = [one.reason == reason for one in found.told]
        if not any(marks):
            continue
        some, weights = found.some(marks)
        median = _median_allowance(some, weights) if reason == "other_mass" else None
        rules = sorted({one.rule for one in some if one.rule is not None and reason == "barred"})
        words = text.format(median=median) + (f" ({', '.join(rules[:5])})" if rules else "")
        told.append(
            AdoptionReason(
                reason=reason, share=found.share(marks), trips=len(some), median_allowance_g=median, text=words
            )
        )
    return sorted(told, key=lambda one: (-one.share, one.reason))


def _median_allowance(told: Sequence[Verdict], weights: Sequence[float]) -> float | None:
    """Return what half of some trips allow [g]: 0 where more never want it, None where half or more have no end."""
    median = weighted_median([one.most or 0.0 for one in told], weights)
    return None if median is None or math.isinf(median) else grams(median)


def _groups(found: _Verdicts) -> list[AdoptionGroup]:
    """Return the share in each group of the population, in the order in which they first come."""
    names = dict.fromkeys(trip.group for trip in found.trips)
    told = []
    for name in sorted(one for one in names if one is not None):
        marks = [trip.group == name for trip in found.trips]
        some, weights = found.some(marks)
        share = share_of([one.wants(found.mass) for one in some], weights)
        low, high = share_interval(share, weights)
        told.append(
            AdoptionGroup(
                name=name,
                trips=len(some),
                adoption=share,
                low=low,
                high=high,
                within_50_g=share_of([one.nearly_wants(found.mass) for one in some], weights),
                median_allowance_g=_median_allowance(some, weights),
            )
        )
    return told


def _classes(found: _Verdicts) -> list[AdoptionClass]:
    """Return the share by classes of each field that varies; fields that part trips most come first."""
    fields = sorted({field for trip in found.trips for field in trip.values})
    by_field = [told for field in fields if len(told := _classes_of(found, field)) > 1]
    by_field.sort(
        key=lambda told: (-_width([one.adoption for one in told]), -_width([one.within_50_g for one in told]))
    )
    return [one for told in by_field for one in told]


def _maps(found: _Verdicts) -> list[AdoptionMap]:
    """Return the share of kits over two figures of the trips."""

    def share(marks: Sequence[bool]) -> Callable[[Sequence[int]], float]:
        return lambda places: share_of([marks[place] for place in places], [found.weights[place] for place in places])

    def median(places: Sequence[int]) -> float | None:
        return _median_allowance([found.told[place] for place in places], [found.weights[place] for place in places])

    shares = CellShares(share(found.wants), share(found.nearly), median)
    return maps_of([trip.figures for trip in found.trips], shares)


def _width(shares: Sequence[float]) -> float:
    """Return how far shares lie apart."""
    return max(shares) - min(shares)


def _classes_of(found: _Verdicts, field: str) -> list[AdoptionClass]:
    """Return the share by classes of one field."""
    here = [(place, trip.values[field]) for place, trip in enumerate(found.trips) if field in trip.values]
    figures = sorted({value for _, value in here if isinstance(value, int | float) and not isinstance(value, bool)})
    if len(figures) < _FIGURES or len(figures) < len({_value_text(value) for _, value in here}):
        texts = [(place, _value_text(value)) for place, value in here]
        names = [name for name, _ in Counter(text for _, text in texts).most_common(_MOST_CLASSES)]
        return [
            _class_of(found, [place for place, text in texts if text == name], field=field, value=name)
            for name in sorted(names)
        ]
    ends = np.quantile([value for _, value in here], [part / _THIRDS for part in range(1, _THIRDS)])
    parts: list[list[tuple[int, float]]] = [[] for _ in range(_THIRDS)]
    for place, value in here:
        parts[int(np.searchsorted(ends, value, side="left"))].append((place, value))
    return [
        _class_of(
            found,
            [place for place, _ in part],
            field=field,
            low=min(value for _, value in part),
            high=max(value for _, value in part),
        )
        for part in parts
        if part
    ]


def _class_of(
    found: _Verdicts,
    places: Sequence[int],
    *,
    field: str,
    value: str | None = None,
    low: float | None = None,
    high: float | None = None,
) -> AdoptionClass:
    """Return the share of some trips."""
    weights = [found.weights[place] for place in places]

    def share(marks: Sequence[bool]) -> float:
        return share_of([marks[place] for place in places], weights)

    return AdoptionClass(
        field=field,
        value=value,
        low=low,
        high=high,
        trips=len(places),
        adoption=share(found.wants),
        within_50_g=share(found.nearly),
    )


def _value_text(value: Any) -> str:
    """Return a value as the name of a class."""
    text = value if isinstance(value, str) else json.dumps(value, sort_keys=True)
    return text if len(text) <= 120 else f"{text[:117]}..."
