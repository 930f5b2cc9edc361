"""What one trip says of an offer: at which masses it wants it, what it would replace, or why it does not want it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from catalog import Tool
from solver.answers.allowance import price_allowance_of, weighing_of
from solver.forms.effort import Effort, Unfinished
from solver.forms.quantity import UNITS_PER_PRICE
from solver.forms.trip import Trip
from solver.needs.candidates import packed_units
from solver.needs.case_axis import drawn_questions
from solver.needs.question import question_of
from solver.offers.kit_lines import KitLines, lines_of_question, lines_of_trip, trip_with
from solver.offers.sure_wish import SureWish, wished_surely
from solver.offers.wanted_mass import Interval, OfferMass, holds, lightest_line, priced_out_at, wanted_intervals

NEAR_CG = 5_000  # 50 g: a kit so near the lightest may be taken for other reasons than its mass
WhyNotWanted = Literal[
    "other_mass", "barred", "no_kit", "no_kit_with_it", "no_work", "nothing_carried", "one_alone", "others_stay"
]


@dataclass(frozen=True)
class Verdict:
    """What one trip says of an offer; masses in 0.01 g.

    Attributes:
        settled: whether all of it is proven; where it is not, nothing else is told.
        wanted: total masses at which it is in some lightest kit.
        near: total masses at which a kit with it weighs at most 50 g more than the lightest.
        lightest: what the lightest kit weighs, with the tools at their masses; None where there is none.
        without: what the lightest kit without any of them weighs; None where there is none.
        held: which of the tools offered the lightest kit holds.
        replaces: tools of the kit without it that the kit with it does not hold, where it is wanted as it is.
        reason: why it is not wanted as it is; None where it is.
        rule: the rule of the trip that keeps it home.
        priced: whether the trip limits the price of a kit.
        price_most: the most that the offer may cost [0.01] at its mass; None where no price is low enough.
        drawn: whether it is wanted as it is in each joint draw of the scores; empty where none was asked or settled.
        sure: whether a lightest kit at the confidence asked for holds it; None where none was asked or settled.
        spare: how many grams a price of the offer may stand for [0.01 g] before a kit without all of it is lighter,
            below 0 where it is too heavy as it is; None where there is no end.
    """

    settled: bool
    wanted: tuple[Interval, ...] = ()
    near: tuple[Interval, ...] = ()
    lightest: int | None = None
    without: int | None = None
    held: tuple[bool, ...] = ()
    replaces: tuple[str, ...] = ()
    reason: WhyNotWanted | None = None
    rule: str | None = None
    priced: bool = False
    price_most: int | None = None
    drawn: tuple[bool, ...] = ()
    sure: SureWish | None = None
    spare: int | None = None

    @property
    def most(self) -> float | None:
        """The most that it may weigh [0.01 g], inf where there is no end; None where it is never wanted."""
        ends = [float("inf") if high is None else float(high) for _, high in self.wanted]
        return max(ends, default=None)

    @property
    def saves(self) -> int:
        """What the offer takes off the lightest kit [0.01 g]; 0 where no kit covers the trip without it."""
        return 0 if self.without is None or self.lightest is None else self.without - self.lightest

    def wants(self, mass: int) -> bool:
        """Tell whether it is wanted at a mass [0.01 g]."""
        return holds(self.wanted, mass)

    def nearly_wants(self, mass: int) -> bool:
        """Tell whether a kit with it is within 50 g of the lightest at a mass [0.01 g]."""
        return holds(self.near, mass)


def offer_mass(rows: Sequence[Tool]) -> OfferMass:
    """Return the masses of what is offered, packed."""
    return OfferMass(tuple(packed_units(rows).tolist()))


def verdict_of(
    trip: Trip,
    rows: Sequence[Tool],
    *,
    effort: Effort,
    draws: int = 0,
    seed: int = 1,
    confidence: float | None = None,
) -> Verdict:
    """Return what a trip says of an offer.

    Args:
        trip: the trip.
        rows: the tools offered.
        effort: what each solve may cost.
        draws: joint draws of all scores in which it is asked too.
        seed: of these draws; equal seeds draw a tool's scores alike on every trip.
        confidence: the share of joint draws of all figures in which a kit must suffice, where that is asked too.

    Raises:
        TripError: fields that don't go together.
        Cancelled: nobody waits for it.
    """
    offer, found = offer_mass(rows), lines_of_trip(trip, rows, effort=effort)
    priced, price_most = trip.limits.price is not None, None
    try:
        if priced and not found.barred and found.settled:
            price_most = _price_most(trip, rows, effort=effort)
    except Unfinished:
        return Verdict(settled=False)
    if not found.settled:
        return Verdict(settled=False)
    wanted = tuple(wanted_intervals(found, offer))
    lightest, bare = lightest_line(found, offer), lightest_line(found, offer, without=True)
    wants = holds(wanted, offer.total)
    replaces: tuple[str, ...] = ()
    if wants and bare is not None and lightest is not None:
        replaces = tuple(sorted((Counter(bare.ids) - Counter(lightest.ids)).elements()))
    return Verdict(
        settled=True,
        wanted=wanted,
        near=tuple(wanted_intervals(found, offer, within=NEAR_CG)),
        lightest=None if lightest is None else offer.weigh(lightest),
        without=None if bare is None else offer.weigh(bare),
        held=() if lightest is None else tuple(map(bool, lightest.counts)),
        replaces=replaces,
        reason=None if wants else _why_not(found, offer, bool(wanted)),
        rule=next(iter(found.barred.values()), None),
        priced=priced,
        price_most=price_most,
        drawn=_wanted_in_draws(trip, rows, draws, seed, effort=effort) if draws and not found.barred else (),
        sure=None if confidence is None else wished_surely(trip, rows, confidence, effort=effort),
        spare=priced_out_at(found, offer, _price_shares(rows)),
    )


def _wanted_in_draws(trip: Trip, rows: Sequence[Tool], draws: int, seed: int, *, effort: Effort) -> tuple[bool, ...]:
    """Tell of each joint draw of the scores whether the offer is wanted as it is; nothing where one is not settled."""
    offer, wants = offer_mass(rows), list[bool]()
    question = question_of(trip_with(trip, rows))
    try:
        for block in drawn_questions(question, count=draws, seed=seed, effort=effort):
            for one in block:
                found = lines_of_question(one, rows, effort=effort)
                if not found.settled:
                    return ()
                wants.append(holds(wanted_intervals(found, offer), offer.total))
    except Unfinished:
        return ()
    return tuple(wants)


def _price_shares(rows: Sequence[Tool]) -> tuple[int, ...]:
    """Return what each tool has of the price of all: as their own prices stand, else as their masses."""
    prices = tuple(round((row.price or 0) * UNITS_PER_PRICE) for row in rows)
    return prices if sum(prices) else offer_mass(rows).shares


def _price_most(trip: Trip, rows: Sequence[Tool], *, effort: Effort) -> int | None:
    """Return the most that an offer may cost on a trip that limits the price of a kit [0.01]; None where no price does.

    Raises:
        Unfinished: the effort ran out.
    """
    question = question_of(trip_with(trip, rows))
    weighings = [weighing_of(question, row.id) for row in rows]
    return price_allowance_of(weighings, shares=_price_shares(rows), effort=effort)


def _why_not(found: KitLines, offer: OfferMass, ever: bool) -> WhyNotWanted:
    """Return why an offer is not wanted as it is."""
    if ever:
        return "other_mass"
    if found.barred:
        return "barred"
    if not found.lines:
        return "no_kit"
    if all(found.idle):
        return "no_work"
    if not any(all(line.counts) for line in found.lines):
        return "no_kit_with_it"
    if any(not line.base and not any(line.counts) for line in found.lines):
        return "nothing_carried"
    whole_or_none = tuple(line for line in found.lines if all(line.counts) or not any(line.counts))
    alone = KitLines(whole_or_none, found.cap, found.barred, found.idle, found.settled)
    return "one_alone" if wanted_intervals(alone, offer) else "others_stay"
