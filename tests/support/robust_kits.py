"""Kits that bear the loss of any one tool, by brute force: every rest is looked at, over all of its subsets.

Who loses one of several knives of one sort has the others left.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction
from itertools import product

from every_kit import Kit, covering_kits, with_extra_tools
from oracle import (
    DEFAULT_WORK_MIN,
    DRY_KNIVES,
    HARDY_KNIVES,
    HUNDREDTHS,
    Row,
    counts_as_knife,
    knives_asked,
    packed_cg,
    usable_tools,
)

PACKED = ("mass_g", "price", "tools_at_most")  # limits on what is packed
Serving = Mapping[frozenset[str], float]


def needs_after_a_loss(trip: Row) -> Row:
    """The trip as what is left of a kit faces it: only the needs that matter, in a longer day.

    A knife that stays in the pack is never doubled.

    What the traveller asked of the kit as a whole (what must go, backup, grams, money) was kept when it was
    packed; what stays home stays there.
    """
    asked, limits = trip["robust"], trip.get("limits", {})
    critical = asked.get("needs", "critical") == "critical"
    work_min = limits.get("work_min_per_day", DEFAULT_WORK_MIN) * asked.get("work_multiple", 2)
    rest = trip | {"must_carry": [], "backup": "none", "robust": None, "knife": "none"}
    rest["limits"] = {k: v for k, v in limits.items() if k not in PACKED} | {"work_min_per_day": work_min}
    if critical:
        rest |= {"tasks": [task for task in trip["tasks"] if task.get("critical")], "fire": None, "camp_work": []}
    return rest


def kits_with_copies(trip: Row) -> list[Kit]:
    """The covering kits, the lightest first; each person's knife may be any, so a knife goes up to so many times."""
    if knives_asked(trip) < 2:
        return covering_kits(trip)
    limits = {name: value for name, value in trip.get("limits", {}).items() if name not in PACKED}
    bare = covering_kits(trip | {"knife": "none", "limits": limits})
    return sorted(packed for kit in bare for packed in _copied(kit, with_extra_tools(trip)))


def _copied(kit: Kit, trip: Row) -> Iterator[Kit]:
    """A kit with every number of copies of its knives that keeps the rules and limits of what is packed."""
    rows = {tool["id"]: tool for tool in trip["tools"]}
    asked, limits = knives_asked(trip), trip.get("limits", {})
    needed = asked if any(counts_as_knife(tool, trip) for tool in usable_tools(trip)) else 0
    knives = [name for name in kit.ids if rows[name]["kind"] in (*HARDY_KNIVES, *DRY_KNIVES)]
    for more in product(range(asked), repeat=len(knives)):
        ids = (*kit.ids, *(name for name, number in zip(knives, more, strict=True) for _ in range(number)))
        carried = [rows[name] for name in ids]
        cg, price = sum(map(packed_cg, carried)), sum(Fraction(str(tool.get("price") or 0)) for tool in carried)
        if (
            sum(counts_as_knife(tool, trip) for tool in carried) >= needed
            and (limits.get("mass_g") is None or cg <= math.floor(Fraction(str(limits["mass_g"])) * HUNDREDTHS))
            and (limits.get("price") is None or price <= Fraction(str(limits["price"])))
            and len(ids) <= (limits.get("tools_at_most") or len(ids))
        ):
            yield Kit(cg, kit.ms, len(ids), tuple(sorted(ids)))


def serving(trip: Row) -> Serving:
    """The sets of tools that do what matters, each with its work [ms]."""
    return {frozenset(kit.ids): kit.ms for kit in covering_kits(needs_after_a_loss(trip))}


def work_without(kit: Kit, lost: str, serve: Serving) -> float | None:
    """Least work [ms] of what is left, tools without their companions set aside; None where it can't."""
    rest = frozenset(Counter(kit.ids) - Counter([lost]))
    return min((ms for ids, ms in serve.items() if ids <= rest), default=None)


def bearing_kits(trip: Row) -> list[Kit]:
    """The covering kits that bear any one loss, the lightest first."""
    serve = serving(trip)
    return [
        kit
        for kit in kits_with_copies(trip | {"robust": None})
        if all(work_without(kit, lost, serve) is not None for lost in kit.ids)
    ]
