"""The best kit of a small trip in whole numbers: by each aim, after a limit gives way, with safety, and allowances."""

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Any

from dealings import limits_cg
from exact_trip import ExactDay, ExactTrip, Packed, decimal
from oracle import HUNDREDTHS, Row, packed_cg

LIMITS = ("work_min_per_day", "mass_g", "price", "tools_at_most", "members")  # one alone gives way in this order
HELD = ("mass_g", "price", "tools_at_most", "work_min_per_day", "members")  # of several, the first are held first
MILLIONTHS = 1_000_000
LIFE_FIELD = "life"


@dataclass(frozen=True)
class Best:
    """What a plan comes to: status, kit with its day, the limits that give way and what each needs at least."""

    status: str
    kit: Packed | None
    ms: int
    given: dict[str, int]


def effort_of(exact: ExactTrip, kit: Packed, day: ExactDay) -> int:
    """Millionths of a kcal a day, carrying each tool and working."""
    carried = sum(round(packed_cg(exact.rows[name]) * (exact.wood.kcal_per_cg * MILLIONTHS)) for name in kit.ids)
    return carried + day.kcal


def ranked(exact: ExactTrip, kits: Sequence[Packed], aim: str) -> Packed | None:
    """The best of kits within their limits."""
    return min(kits, key=lambda kit: rank(exact, kit, aim), default=None)


def rank(exact: ExactTrip, kit: Packed, aim: str) -> tuple[Any, ...]:
    """What orders kits by an aim."""
    if aim == "work_time":
        return kit.ms, kit.mass_cg, kit.count, kit.ids
    if aim == "effort":
        day = exact.day(kit.ids, energy=True)
        assert day is not None
        return effort_of(exact, kit, day), kit.mass_cg, day.ms, kit.count, kit.ids
    return kit.mass_cg, kit.ms, kit.count, kit.ids


def best(exact: ExactTrip, aim: str = "mass") -> Best:
    """The best kit; where the limits leave none, that of the limits which give way as little as they can."""
    kits, given = relieved(exact)
    kit = ranked(exact, kits, aim) if aim != "effort" or not given else None
    covered = not exact.lacking and not given
    ms = 0 if kit is None else kit.ms
    if kit is not None and aim == "effort":
        day = exact.day(kit.ids, energy=True)
        ms = ms if day is None else day.ms
    return Best("optimal" if covered else "uncovered", kit, ms, given)


def relieved(exact: ExactTrip) -> tuple[list[Packed], dict[str, int]]:
    """The kits within the limits, or within those that give way; with what each of these comes to."""
    if exact.within:
        return exact.within, {}
    found = _relief(exact, exact.all_kits)
    if found is not None:
        caps, given = found
        return [kit for kit in exact.all_kits if exact.keeps(kit, caps)], given
    unworn = exact.kits(life=False)
    kept = [kit for kit in unworn if exact.keeps(kit)]
    if kept:
        return kept, {LIFE_FIELD: 1}
    found = _relief(exact, unworn)
    if found is None:
        return [], {}
    caps, given = found
    return [kit for kit in unworn if exact.keeps(kit, caps)], {LIFE_FIELD: 1} | given


def _relief(exact: ExactTrip, kits: Sequence[Packed]) -> tuple[dict[str, int], dict[str, int]] | None:
    """As few limits as possible raised, each as little as possible: all limits, and those raised."""
    fields = [field for field in LIMITS if field in exact.caps]
    for size in range(1, len(fields) + 1):
        ways = []
        for several in combinations(fields, size):
            caps = {field: cap for field, cap in exact.caps.items() if field not in several}
            for field in sorted(several, key=HELD.index):
                left = [exact.figure(kit, field) for kit in kits if exact.keeps(kit, caps)]
                if not left:
                    break
                caps[field] = max(exact.caps[field], min(left))
            else:
                ways.append(caps)
        if ways:
            first = ways[0] if size == 1 else min(ways, key=lambda caps: [caps[one] for one in HELD if one in caps])
            return first, {field: cap for field, cap in first.items() if cap > exact.caps[field]}
    return None


def front(exact: ExactTrip, against: str) -> tuple[list[Packed], dict[str, int]]:
    """Every kit that no other beats in grams and the second figure, the lightest first; and what gives way."""
    kits, given = relieved(exact)
    found: list[Packed] = []
    second: Callable[[Packed], int] = (lambda kit: kit.ms) if against == "minutes" else (lambda kit: kit.cents)
    for kit in sorted(kits, key=lambda kit: (kit.mass_cg, second(kit), kit.ms, kit.count, kit.ids)):
        if not found or second(kit) < second(found[-1]):
            found.append(kit)
    return found, given


# safety against a loss


@dataclass(frozen=True)
class AfterLoss:
    """What must still be done once a tool is lost: the jobs, and the most ms for them."""

    jobs: tuple[int, ...]
    most_ms: int


def after_loss_of(exact: ExactTrip, asked: Mapping[str, Any]) -> AfterLoss:
    """What a trip's safety asks for."""
    tasks = exact.trip.get("tasks", [])
    critical = {f"task {n}" for n, task in enumerate(tasks) if task.get("critical")}
    jobs = exact.wood.jobs
    if asked.get("needs", "critical") == "critical":
        mine = [j for j in exact.jobs if jobs[j].id in critical]
    else:
        mine = [j for j in exact.jobs if not jobs[j].id.startswith("second")]
    return AfterLoss(tuple(mine), exact.work_cap(exact.limit_min * decimal(asked.get("work_multiple", 2))))


def rest_of(ids: Sequence[str], lost: str) -> list[str]:
    """What is left of a kit when one of a tool is lost."""
    return list((Counter(ids) - Counter([lost])).elements())


def day_after(exact: ExactTrip, ids: Sequence[str], lost: str, asked: AfterLoss) -> int | None:
    """The ms that what is left takes for what must still be done; None where it can't."""
    day = exact.day(exact.usable(rest_of(ids, lost)), jobs=asked.jobs)
    return None if day is None or day.ms > asked.most_ms else day.ms


def bears(exact: ExactTrip, ids: Sequence[str], asked: AfterLoss) -> bool:
    """Whether a kit bears the loss of any one of its tools."""
    return all(day_after(exact, ids, lost, asked) is not None for lost in dict.fromkeys(ids))


def robust_kits(exact: ExactTrip, asked: Mapping[str, Any]) -> list[Packed]:
    """Kits that keep the limits and bear any loss, the best first, of what can be met of a trip at all."""
    wanted = after_loss_of(exact, asked)
    within = [kit for kit in exact.kits(every=True) if exact.keeps(kit)]
    return [kit for kit in within if bears(exact, kit.ids, wanted)]


def keeping(exact: ExactTrip) -> list[Packed]:
    """Kits with the safety that a trip asks for, the best first, of what can be met of it at all."""
    return robust_kits(exact, exact.trip["robust"]) if exact.trip.get("robust") else exact.within


def covering(trip: Row) -> list[Packed]:
    """Kits that cover a trip with the safety that it asks for, the best first."""
    exact = ExactTrip(trip)
    return [] if exact.lacking else keeping(exact)


# allowances


@dataclass(frozen=True)
class Allowed:
    """The most 0.01 g at which a tool is in some lightest kit; or why there is no such: never, unbounded."""

    mass_cg: int | None
    reason: str | None


def allowance(trip: Row, name: str) -> Allowed:
    """What a tool may weigh to be in some lightest kit, by looking at every kit without it and with it.

    A kit holds several of a knife where each person has one: then each weighs as much.
    """
    weightless = [one | {"mass_g": 0, "cover_g": 0} if one["id"] == name else one for one in trip["tools"]]
    limits = {field: value for field, value in trip.get("limits", {}).items() if field != "mass_g"}
    open_trip = trip | {"tools": weightless, "limits": limits}
    with_it = [kit for kit in keeping(ExactTrip(open_trip)) if name in kit.ids]
    cap = trip.get("limits", {}).get("mass_g")
    most = math.inf if cap is None else math.floor(decimal(cap) * 100)
    without = [kit for kit in keeping(ExactTrip(trip)) if name not in kit.ids]
    if name in trip.get("must_carry", []):
        without = []
    rival = min((kit.mass_cg for kit in without), default=math.inf)
    room = min(rival, most)
    if not with_it or min(kit.mass_cg for kit in with_it) > room:
        return Allowed(None, "never")
    if trip.get("members"):
        top = _carried(trip, name, rival)
    elif room == math.inf:
        return Allowed(None, "unbounded")
    else:
        top = max((int(room) - kit.mass_cg) // kit.ids.count(name) for kit in with_it)
    row = next(one for one in trip["tools"] if one["id"] == name)
    return Allowed(None, "never") if top == 0 and packed_cg(row) else Allowed(top, None)


def _carried(trip: Row, name: str, rival: float) -> int:
    """The most 0.01 g of a tool at which some kit with it weighs no more than a rival and members can carry it."""
    low, high = 0, sum(limits_cg(trip))
    while low < high:
        middle = (low + high + 1) // 2
        tools = [
            one | {"mass_g": middle / HUNDREDTHS, "cover_g": 0} if one["id"] == name else one for one in trip["tools"]
        ]
        masses = [kit.mass_cg for kit in keeping(ExactTrip(trip | {"tools": tools})) if name in kit.ids]
        low, high = (middle, high) if masses and min(masses) <= rival else (low, middle - 1)
    return low


def fractions_of(weights: Sequence[float]) -> list[Fraction]:
    """Weights as shares of their sum."""
    exact = [decimal(one) for one in weights]
    return [one / sum(exact) for one in exact]
