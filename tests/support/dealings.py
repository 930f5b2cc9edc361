"""Every way to deal a kit's tools out to the members of a party, one by one: what their rule is judged by."""

import math
from collections.abc import Iterator, Sequence
from fractions import Fraction
from random import Random

from oracle import HUNDREDTHS, Row, counts_as_knife, knives_asked, packed_cg

Loads = tuple[int, ...]  # of each member, packed 0.01 g


def limits_cg(trip: Row) -> Loads:
    """What each member carries at most, whole 0.01 g; finer is cut off."""
    return tuple(math.floor(Fraction(str(one["carries_at_most_g"])) * HUNDREDTHS) for one in trip["members"])


def dealings(tools: Sequence[Row], trip: Row) -> Iterator[Loads]:
    """What members carry, each way once: where each is to have a knife and there are enough, nobody is without."""
    people = trip.get("people", 1)
    knives = [counts_as_knife(tool, trip) for tool in tools]
    each = knives_asked(trip) > 1 and sum(knives) >= people
    ways = {((0,) * people, frozenset[int]())}
    for tool, knife in zip(tools, knives, strict=True):
        ways = {
            (
                tuple(load + packed_cg(tool) * (who == hand) for who, load in enumerate(loads)),
                armed | {hand} if knife else armed,
            )
            for loads, armed in ways
            for hand in range(people)
        }
    yield from (loads for loads, armed in ways if not each or len(armed) == people)


def lack_cg(tools: Sequence[Row], trip: Row) -> int:
    """By how much each member must be able to carry more, at least; 0 where they can carry the tools."""
    if not trip.get("members"):
        return 0
    most = limits_cg(trip)
    over = (max(load - limit for load, limit in zip(loads, most, strict=True)) for loads in dealings(tools, trip))
    return max(0, min(over))


def heaviest_cg(tools: Sequence[Row], trip: Row) -> int:
    """The heaviest share of the evenest way that members can carry; of any way where none are named."""
    most = limits_cg(trip) if trip.get("members") else (math.inf,) * trip.get("people", 1)
    kept = (loads for loads in dealings(tools, trip) if all(a <= b for a, b in zip(loads, most, strict=True)))
    return min(max(loads) for loads in kept)


def grown(trip: Row, more_g: float) -> Row:
    """The trip whose members each carry so much more."""
    more = Fraction(str(round(more_g, 2)))
    members = [
        one | {"carries_at_most_g": float(Fraction(str(one["carries_at_most_g"])) + more)} for one in trip["members"]
    ]
    return trip | {"members": members}


def with_members(rng: Random, trip: Row, kits: Sequence[Sequence[Row]]) -> Row:
    """A trip whose members can just carry some kit, or just not, or something else.

    Args:
        rng: source of all choices.
        trip: the trip.
        kits: the tools of kits that might go.
    """
    people = trip.get("people", 1)
    loads = [0] * people
    for tool in rng.choice(kits) if kits else []:
        loads[rng.randrange(people)] += packed_cg(tool)
    near = rng.choice(((0,), (0,), (0, 0, -1, 1), (-1, 0), (-5000, 0, 5000), (-10_000, 10_000)))
    most = [max(0, load + rng.choice(near)) for load in loads]
    return trip | {
        "members": [{"name": f"member {who}", "carries_at_most_g": one / HUNDREDTHS} for who, one in enumerate(most)]
    }
