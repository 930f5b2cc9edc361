"""What an answer gives beyond the kit: next kits, prices, pins, facts, shares, and what was asked about."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil, floor

import numpy as np

from solver.answers.allowance import allowance_of, weighing_of
from solver.answers.bearing import doubled_of
from solver.answers.breakpoints import pins_of
from solver.answers.conflict import conflict_of
from solver.answers.kit import Settled, load_of
from solver.answers.limit_gap import no_robust_gap
from solver.answers.pricing import LongerDay, growths_of_several, lighter_in_longer_day, need_prices, tool_prices
from solver.answers.robust import AnyLoss, RobustKit, robust_kit, safety_of
from solver.answers.sensitivity import assumption_pins
from solver.forms.answer import (
    AssumptionPin,
    ConflictMember,
    DoubledKit,
    LossAnswer,
    Pins,
    RobustAnswer,
    WhyNot,
)
from solver.forms.barring import bars
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import PersonShare, ShareProof
from solver.forms.limit import MEMBERS, WORK
from solver.forms.quantity import MS_PER_MINUTE, UNITS_PER_GRAM, as_told, decimal_of
from solver.forms.trip import Member, Robust
from solver.model.case import Case
from solver.model.copies import is_copy
from solver.model.reduction import reduce_for_prices
from solver.needs.case_builder import ANSWER_DIGITS, cap, grams
from solver.needs.knife import originals
from solver.needs.need import whole_needs
from solver.needs.question import Question
from solver.needs.sawing import PAIR
from solver.programs.engine import Status
from solver.search.bound import Facts, facts_of
from solver.search.carry_share import shares_of
from solver.search.front import Point, front_of
from solver.search.settling import Parts
from solver.siblings.alternative import NextKit, next_kits
from solver.siblings.regard import Margins


@dataclass(frozen=True)
class Details:
    """The parts of an answer beyond the kit; `detail: kit` leaves out all but the safety asked for and the share.

    Attributes:
        not_settled: the parts that the effort did not suffice for.
        read: ids of the assumptions that the kit and its pins rest on.
    """

    robust: RobustAnswer | None = None
    conflict: list[ConflictMember] = field(default_factory=list)
    alternatives: list[NextKit] = field(default_factory=list)
    upgrades: list[Point] = field(default_factory=list)
    longer_day: LongerDay | None = None
    need_prices: Mapping[str, int] = field(default_factory=dict)
    tool_prices: Mapping[str, int | None] = field(default_factory=dict)
    pins: Pins | None = None
    why_not: list[WhyNot] = field(default_factory=list)
    share: list[PersonShare] = field(default_factory=list)
    share_proof: ShareProof | None = None
    facts: Facts | None = None
    not_settled: list[str] = field(default_factory=list)
    read: frozenset[str] = frozenset()


_Ends = Callable[[], tuple[list[AssumptionPin], list[str]]]  # the pins of assumptions, and what is left of them


def details_of(
    question: Question, settled: Settled, robust: RobustAnswer | None, *, effort: Effort
) -> tuple[Details, _Ends | None]:
    """Return the details of a settled trip, as far as its detail asks for them and its status bears them.

    Prices, pins and facts are of the lightest kit: where the trip is uncovered, not proven, or asks for a
    robust kit, or aims at something else, those that would not hold are left out.

    Returns:
        The details, and what works out the ends of assumptions, which take longest; None where they are not asked for.
    """
    parts = Parts(_wanted_parts(question, settled, robust), effort=effort)
    no_share: tuple[list[PersonShare], ShareProof | None] = ([], None)
    share, share_proof = parts.settle("share", lambda effort: _share_of(question, settled, effort=effort), no_share)
    told = Details(robust=robust, share=share, share_proof=share_proof)
    if parts.wants("longer_day"):
        limit = question.trip.limits.work_min_per_day
        if _late(settled):  # the day that the quickest kit takes, in whole minutes
            limit = float(ceil(round(limit + (settled.gaps[0].short_by or 0.0), ANSWER_DIGITS)))
        longer = parts.settle(
            "longer_day", lambda effort: lighter_in_longer_day(settled, limit_min=limit, effort=effort), None
        )
        told = replace(told, longer_day=longer)
    if parts.wants("tool_prices"):
        told = _priced(question, settled, told, parts)
    told = _compared(question, settled, told, parts)
    if told.pins is None and parts.wants("assumption_pins"):
        parts.leave("assumption_pins")
    left = list(parts.unsettled)

    def ends() -> tuple[list[AssumptionPin], list[str]]:
        found = parts.settle(
            "assumption_pins",
            lambda effort: assumption_pins(question, settled, told.read, effort=effort),
            list[AssumptionPin](),
        )
        late = parts.unsettled[len(left) :]
        return [] if late else found, late

    return replace(told, not_settled=left), ends if parts.wants("assumption_pins") else None


def _late(settled: Settled) -> bool:
    """Tell whether all that is missing is time: no kit keeps the limit on a day's work, and nothing else gives way."""
    return [gap.field for gap in settled.gaps if gap.kind == "limit"] == [WORK.field] and len(settled.gaps) == 1


def _wanted_parts(question: Question, settled: Settled, robust: RobustAnswer | None) -> list[str]:
    """Return the parts that a settled trip asks for and its status bears."""
    trip = question.trip
    proven = settled.choice.status is Status.OPTIMAL and not settled.gaps
    by_mass = proven and robust is None and trip.aim == "mass"
    assumed = by_mass and "work_min_per_day" not in trip.limits.model_fields_set
    alone = trip.aim == "mass" and robust is None and settled.known
    quickest = alone and settled.choice.status is Status.OPTIMAL and _late(settled)
    full = trip.detail == "full"
    wanted = {
        "share": True,
        "longer_day": assumed or quickest,
        "tool_prices": full and by_mass,
        "pins": full and by_mass,
        "need_prices": full and by_mass,
        "facts": full and by_mass,
        "conflict": full and bool(settled.gaps),
        "alternatives": full and robust is None and trip.alternatives > 0,
        "upgrades": full and proven and robust is None,
        "why_not": full and bool(trip.ask_about),
        "assumption_pins": full and by_mass,
    }
    return [name for name, wants in wanted.items() if wants]


def _priced(question: Question, settled: Settled, told: Details, parts: Parts) -> Details:
    """Return the details of a proven lightest kit with its prices, pins and facts."""
    wholes = [np.flatnonzero(np.isin(settled.met, places)) for places in whole_needs(question.needs)]
    case = reduce_for_prices(settled.case, wholes)
    tools: dict[str, int | None] = {}
    parts.settle("tool_prices", lambda effort: tools.update(tool_prices(settled, case, effort=effort)), None)
    pins = None
    if "tool_prices" in parts.unsettled:
        parts.leave("pins")
    else:
        pins = parts.settle("pins", lambda effort: _pins(question, settled, case, tools, effort=effort), None)
    read = frozenset(question.ledger.used)  # before others read of the ledger
    return replace(
        told,
        tool_prices=tools,
        pins=pins,
        read=read,
        need_prices=parts.settle("need_prices", lambda effort: need_prices(question, settled, case, effort=effort), {}),
        facts=parts.settle("facts", lambda effort: facts_of(settled.case, effort=effort), None),
    )


def _pins(
    question: Question, settled: Settled, case: Case, prices: Mapping[str, int | None], *, effort: Effort
) -> Pins:
    """Return the pins of a proven lightest kit, of several tools of one sort too."""
    return pins_of(question, settled, prices, growths_of_several(settled, case, effort=effort), effort=effort)


def _compared(question: Question, settled: Settled, told: Details, parts: Parts) -> Details:
    """Return the details with what else there is: other kits, what rules the kit out, and the tools asked about."""
    conflict: list[ConflictMember] = []
    others: list[NextKit] = []
    upgrades: list[Point] = []
    why_not: list[WhyNot] = []
    names = question.trip.ask_about
    lists: dict[str, Callable[[Effort], None]] = {
        "conflict": lambda effort: conflict.extend(conflict_of(question.trip, effort=effort)),
        "alternatives": lambda effort: others.extend(_alternatives(question, settled, effort=effort)),
        "upgrades": lambda effort: upgrades.extend(_upgrades(question, settled, effort=effort)),
        "why_not": lambda effort: why_not.extend(_why_not(question, settled, one, effort=effort) for one in names),
    }
    for name, add in lists.items():
        if parts.wants(name):
            parts.settle(name, add, None)
    return replace(told, conflict=conflict, alternatives=others, upgrades=upgrades, why_not=why_not)


def _alternatives(question: Question, settled: Settled, *, effort: Effort) -> Iterator[NextKit]:
    """Yield the next kits with their day's work, and in what each is better."""
    rows, ledger = question.workers.rows[: question.workers.carried], question.ledger
    yield from next_kits(
        settled.case,
        settled.choice,
        settled.load,
        rows,
        number=question.trip.alternatives,
        aim=question.trip.aim,
        margins=Margins(decimal_of(ledger("next_kit_quicker")) * MS_PER_MINUTE, ledger("next_kit_shorter")),
        losses=AnyLoss(settled.case, Robust().work_multiple, effort),
        effort=effort,
    )


def _upgrades(question: Question, settled: Settled, *, effort: Effort) -> Iterator[Point]:
    """Yield the kits of the front that save much work for few grams, the lightest first.

    Raises:
        Unfinished: there may be more.
    """
    ledger, told = question.ledger, settled.case.told_ms(settled.load.work)
    saved_ms = max(decimal_of(ledger("upgrade_min")) * MS_PER_MINUTE, decimal_of(ledger("upgrade_share")) * told)
    most_mass = settled.choice.mass + floor(ledger("upgrade_g") * UNITS_PER_GRAM)
    if told < saved_ms:
        return
    most_ms = floor(settled.case.rest.work(told - saved_ms))
    case = settled.case.lighter_than(most_mass + 1).capped(WORK.field, most_ms)
    front = front_of(case, against="minutes", effort=effort)
    yield from (point for point in front.points if point.choice.ids != settled.choice.ids)
    if not front.complete:
        raise Unfinished


def _why_not(question: Question, settled: Settled, name: str, *, effort: Effort) -> WhyNot:
    """Return why a tool is not in the kit: its allowance, and what holds it out.

    Raises:
        Unfinished: the effort ran out.
    """
    tool = next(one for one in question.tools if one.id == name)
    home = bars([tool], question.trip)
    in_kit = name in (settled.choice.ids or ())
    if home:
        text = f"{home[name]} excludes it."
        return WhyNot(id=name, in_kit=False, mass_g=tool.packed_mass_g, allowance_g=None, reason="never", text=text)
    idle = question.trip.people < PAIR and not tool.one_person
    mass_g = grams(int(settled.case.mass[settled.case.place[name]]))
    found = allowance_of(weighing_of(question, name), weightless=not mass_g, effort=effort)
    if not found.checked:
        raise Unfinished
    allowance_g = None if found.mass is None else grams(found.mass)
    limited = any(gap.kind == "limit" and gap.field != "must_carry" for gap in settled.gaps)
    return WhyNot(
        id=name,
        in_kit=in_kit,
        mass_g=mass_g,
        allowance_g=allowance_g,
        reason=found.reason,
        text="One person can't use it: it is for two."
        if idle
        else _why_text(in_kit and not limited, mass_g, allowance_g, found.reason),
    )


def _why_text(in_kit: bool, mass_g: float, allowance_g: float | None, reason: str | None) -> str:
    """Return in words what holds a tool out."""
    if reason == "unbounded":
        return "No kit works without it, whatever it weighs."
    if reason == "never" or allowance_g is None:
        return (
            "Even without mass it makes no kit lighter: it replaces nothing, or its companion tools or the limits "
            "exclude it."
        )
    if in_kit:
        return f"It is in the kit, and it stays there up to {as_told(allowance_g)} g."
    if mass_g <= allowance_g:
        return (
            f"At {as_told(mass_g)} g it makes a kit of equal mass. "
            "The chosen kit takes less work, or comes first in the order."
        )
    return (
        f"It would be in a lightest kit at {as_told(allowance_g)} g: {as_told(mass_g - allowance_g)} g less than now."
    )


def _share_of(question: Question, settled: Settled, *, effort: Effort) -> tuple[list[PersonShare], ShareProof | None]:
    """Return who carries what, for a party of two or more or whose members are named, and how far that is proven.

    Raises:
        Unfinished: no way to keep what members carry was found within the effort.
    """
    trip, case = question.trip, settled.case
    if not settled.choice.ids or (trip.people < PAIR and not trip.members):
        return [], None
    kit = sorted(case.kit(settled.choice.ids))
    masses = case.mass[kit].tolist()
    at_most = [] if case.members is None else [one + case.caps.get(MEMBERS.field, 0) for one in case.members.at_most]
    dealt = shares_of(masses, trip.people, one_each=case.one_each(kit), at_most=at_most, effort=effort)
    names = [case.ids[tool] for tool in kit]
    members: Sequence[Member | None] = trip.members or [None] * trip.people
    shares = [
        _person_share([names[i] for i in hand], sum(masses[i] for i in hand), member)
        for hand, member in zip(dealt.hands, members, strict=True)
    ]
    proof = ShareProof(
        status="optimal" if dealt.proven else "feasible",
        heaviest_g=grams(dealt.heaviest),
        bound_g=grams(dealt.bound),
        gap_g=grams(dealt.heaviest - dealt.bound),
        checked=dealt.proven,
    )
    return shares, proof


def _person_share(names: Sequence[str], mass: int, member: Member | None) -> PersonShare:
    """Return what one person carries [0.01 g], and who it is where members are named."""
    most = None if member is None else cap(member.carries_at_most_g, UNITS_PER_GRAM)
    return PersonShare(
        ids=originals(names),
        mass_g=grams(mass),
        name=None if member is None else member.name,
        carries_at_most_g=None if member is None else member.carries_at_most_g,
        spare_g=None if most is None else grams(most - mass),
    )


def made_robust(
    question: Question, settled: Settled, least: int, *, effort: Effort
) -> tuple[Settled, RobustAnswer | None, list[str]]:
    """Return the settled kit made robust where the trip asks for it, what that costs over the least mass, what is left.

    What is left are `doubled` and `losses`, where the time did not suffice for them, or `robust`: then the kit is as it
    was.

    Raises:
        Unfinished: the effort ran out.
    """
    asked, safety = question.trip.robust, safety_of(question, settled.case, settled.met)
    if asked is None or safety is None or settled.gaps:
        return settled, None, []
    plain = settled.choice.ids or ()
    try:
        found = robust_kit(settled.case, jobs=safety.jobs, multiple=safety.multiple, effort=effort, start=plain)
    except Unfinished:
        gap = no_robust_gap(asked.work_multiple, None, ruled_out=False)
        return replace(settled, gaps=[gap], known=False), None, ["robust"]
    below, left = None if found.ids is None else found.mass, list[str]()
    try:
        doubled = doubled_of(settled.case, settled.choice.ids or (), safety, below=below, effort=effort)
    except Unfinished:
        doubled, left = None, ["doubled"]
    if found.ids is None:
        pack = None if doubled is None else (doubled.ids, grams(doubled.mass))
        return replace(settled, gaps=[*settled.gaps, no_robust_gap(asked.work_multiple, pack)]), None, left
    if len(found.losses) < sum(not is_copy(one) for one in found.ids):
        left.append("losses")
    mass = found.mass
    choice = replace(
        settled.choice,
        status=found.status,
        ids=found.ids,
        mass=mass,
        value=mass,
        bound=found.bound,
        aims=found.aims,
    )
    answer = RobustAnswer(
        needs=asked.needs,
        work_multiple=asked.work_multiple,
        extra_g=grams(found.mass - least),
        losses=_losses_of(found, settled.case),
        doubled=None if doubled is None else DoubledKit(ids=list(doubled.ids), mass_g=grams(doubled.mass)),
    )
    return replace(settled, choice=choice, load=load_of(settled.case, choice, effort=effort)), answer, left


def _losses_of(found: RobustKit, case: Case) -> list[LossAnswer]:
    """Return each loss with the day's work of the rest."""
    return [
        LossAnswer(tool=loss.tool, work_min_per_day=case.told(WORK, loss.load.work))
        for loss in found.losses
        if loss.load is not None and not is_copy(loss.tool)
    ]
