"""A season by brute force: every set of tools that may be owned, and each trip's lightest kit out of it."""

from fractions import Fraction

from kit_space import Ids, Space, cents_of, subsets
from oracle import HUNDREDTHS, Row


class Wardrobe:
    """Every set of tools that may be owned, with the lightest kit of each trip out of it."""

    def __init__(self, body: Row) -> None:
        self.body = body
        self.weights = [Fraction(str(one["weight"])) for one in body["trips"]]
        self.spaces = [Space(one["trip"]) for one in body["trips"]]
        self.tools = {tool["id"]: tool for tool in body["trips"][0]["trip"]["tools"]}
        self.sets = list(subsets([*self.tools]))

    def weighted_cg(self, own: Ids) -> Fraction | None:
        """Weighted 0.01 g of a set of tools owned; None where it does not do for every trip."""
        total = Fraction(0)
        for weight, space in zip(self.weights, self.spaces, strict=True):
            masses = [one.mass_cg for kit, one in space.covering.items() if {*kit} <= {*own}]
            if not masses:
                return None
            total += weight * min(masses)
        return total

    def best(self) -> tuple[Fraction, int, Ids] | None:
        """The least weighted grams, then the fewest tools, then the first ids."""
        most, money = self.body.get("own_at_most"), self.body.get("money")
        found = []
        for own in self.sets:
            fits = (most is None or len(own) <= most) and (
                money is None or self.cents(own) <= round(money * HUNDREDTHS)
            )
            weighted = self.weighted_cg(own) if fits else None
            if weighted is not None:
                found.append((weighted, len(own), own))
        return min(found, default=None)

    def cents(self, own: Ids) -> int:
        """Price of what is owned."""
        return cents_of([self.tools[name] for name in own])

    def next_best(self, own: Ids) -> Fraction:
        """The least weighted grams with one more tool, whatever it costs."""
        sets = [tuple(sorted({*own, name})) for name in self.tools]
        found = [weighted for one in sets if (weighted := self.weighted_cg(one)) is not None]
        return min(found)

    def doing(self) -> list[tuple[int, int]]:
        """Number and price of every set of tools that does for every trip."""
        return [(len(own), self.cents(own)) for own in self.sets if self.weighted_cg(own) is not None]


def lacking(doing: list[tuple[int, int]], most: int | None, money: float | None) -> dict[str, float]:
    """What falls short: the number if more of it does alone, else the money if more of it does, else both."""
    cap = None if money is None else round(money * HUNDREDTHS)
    cheap = [number for number, cents in doing if cap is None or cents <= cap]
    if most is not None and cheap:
        return {"own_at_most": min(cheap) - most}
    few = [cents for number, cents in doing if most is None or number <= most]
    if cap is not None and few:
        return {"money": (min(few) - cap) / HUNDREDTHS}
    assert most is not None
    assert cap is not None
    number = min(number for number, _ in doing)
    price = min(cents for n, cents in doing if n == number)
    return {"own_at_most": number - most, "money": (price - cap) / HUNDREDTHS}
