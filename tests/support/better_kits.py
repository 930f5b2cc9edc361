"""In what one kit is better than another, and which kits of a front are worth their grams: by enumeration.

Written from the stated rules: 5 minutes a day count as quicker, 50 mm as shorter; an upgrade saves 10 minutes and a
quarter for at most 150 g (judged, no source).
"""

from collections.abc import Sequence

from every_kit import Kit, covering_kits, cutting
from oracle import MS_PER_MIN, Row, told_ms
from robust_kits import Serving, serving, work_without
from wood_oracle import TRACE_KG, Kits

QUICKER_MS = 5 * MS_PER_MIN
SHORTER_MM = 50
SAVED_MS, SAVED_SHARE, MORE_CG = 10 * MS_PER_MIN, 0.25, 15_000
ANY_LOSS = {"needs": "all", "work_multiple": 2}


class Compared:
    """A trip, and its kits compared."""

    def __init__(self, trip: Row) -> None:
        self.trip = trip
        self.rows = {tool["id"]: tool for tool in trip["tools"]}
        self.kits = Kits(trip)
        self.serve: Serving = serving(trip | {"robust": ANY_LOSS})

    def told_ms(self, kit: Kit) -> float:
        """The day's work with its rest [ms]."""
        return told_ms(kit.ms, self.trip.get("people", 1))

    def prices(self, kit: Kit) -> list[float] | None:
        """The prices of a kit's tools; None where one is unknown."""
        prices = [self.rows[name].get("price") for name in kit.ids]
        return None if None in prices else [float(one) for one in prices if one is not None]

    def longest_mm(self, kit: Kit) -> float | None:
        """The longest packed tool; None where a length is unknown or no tool goes."""
        lengths = [self.rows[name].get("packed_mm") for name in kit.ids]
        return max(lengths) if lengths and None not in lengths else None

    def bears(self, kit: Kit) -> bool:
        """Whether it still does all the work in twice the limit, whichever tool is lost."""
        return all(work_without(kit, lost, self.serve) is not None for lost in kit.ids)

    def backed(self, kit: Kit) -> bool:
        """Whether two tools are able at every need by themselves, without wedges; not told where there is firewood."""
        wood = self.kits.wood
        if wood.demand_kg > TRACE_KG:
            return False
        return all(sum(name in able for name in kit.ids) >= 2 for able in wood.able)

    def better_in(self, told: Kit, other: Kit) -> list[str]:
        """In what a kit is better than the told one."""
        prices, longest = [self.prices(one) for one in (told, other)], [self.longest_mm(one) for one in (told, other)]
        found = {
            "mass": other.mass_cg < told.mass_cg,
            "time": self.told_ms(other) <= self.told_ms(told) - QUICKER_MS,
            "tools": other.count < told.count,
            "price": None not in prices and round(100 * sum(prices[1] or [])) < round(100 * sum(prices[0] or [])),
            "length": None not in longest and (longest[1] or 0) <= (longest[0] or 0) - SHORTER_MM,
            "loss": self.bears(other) and not self.bears(told),
            "backup": self.backed(other) and not self.backed(told),
        }
        return [name for name, better in found.items() if better]

    def differs(self, kit: Kit, listed: Kit) -> bool:
        """Whether the cutting tools of a kit hold not all of a listed one's; one without any cuts out its like."""
        mine, its = cutting(self.trip, kit.ids), cutting(self.trip, listed.ids)
        return not its <= mine if its else bool(mine)

    def next_kits(self, told: Kit, kits: Sequence[Kit], number: int) -> list[tuple[Kit, list[str]]]:
        """The next kits: each the first of those better in something that hold no listed kit's cutting tools.

        Those that bear a loss may hold the told kit's.
        """
        left = [kit for kit in kits if self.differs(kit, told) or "loss" in self.better_in(told, kit)]
        found: list[tuple[Kit, list[str]]] = []
        while len(found) < number:
            better = ((kit, self.better_in(told, kit)) for kit in left)
            first = next((one for one in better if one[1]), None)
            if first is None:
                break
            found.append(first)
            left = [kit for kit in left if self.differs(kit, first[0])]
        return found


def worth_their_grams(trip: Row) -> list[Kit]:
    """The kits of the front that save much for few grams, the lightest first."""
    told, *others = covering_kits(trip)
    day_ms = told_ms(told.ms, trip.get("people", 1))
    most_ms = day_ms - max(SAVED_MS, SAVED_SHARE * day_ms)
    found: list[Kit] = []
    for kit in others:
        quicker = not found or kit.ms < found[-1].ms - 0.5  # days within half a millisecond are equally long
        if kit.mass_cg <= told.mass_cg + MORE_CG and told_ms(kit.ms, trip.get("people", 1)) <= most_ms + 1 and quicker:
            found.append(kit)
    return found
