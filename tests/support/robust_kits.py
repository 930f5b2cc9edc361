"""Kits that bear the loss of any one tool, by brute force: every rest is looked at, over all of its subsets."""

from collections.abc import Mapping

from every_kit import Kit, covering_kits
from oracle import DEFAULT_WORK_MIN, Row

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


def serving(trip: Row) -> Serving:
    """The sets of tools that do what matters, each with its work [ms]."""
    return {frozenset(kit.ids): kit.ms for kit in covering_kits(needs_after_a_loss(trip))}


def work_without(kit: Kit, lost: str, serve: Serving) -> float | None:
    """Least work [ms] of what is left, tools without their companions set aside; None where it can't."""
    rest = frozenset(kit.ids) - {lost}
    return min((ms for ids, ms in serve.items() if ids <= rest), default=None)


def bearing_kits(trip: Row) -> list[Kit]:
    """The covering kits that bear any one loss, the lightest first."""
    serve = serving(trip)
    return [
        kit
        for kit in covering_kits(trip | {"robust": None})
        if all(work_without(kit, lost, serve) is not None for lost in kit.ids)
    ]
