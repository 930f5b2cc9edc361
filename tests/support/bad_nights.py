"""What may go wrong on a small trip, by brute force: every kit on every variant of the trip.

The variants are written from the stated rules: one night more at as much work a day, ten degrees colder, dead wood wet
outside, one worker fewer of those who share the work limit; the loss of a tool is one of a kit. A loss
leaves neither backup nor a knife in the pack to ask for, a night more asks for no knife where the plan asks for none.
"""

from collections import Counter
from collections.abc import Iterable

from every_kit import Kit, covering_kits, with_extra_tools
from oracle import DEFAULT_STATE, DEFAULT_WORK_MIN, Row, counts_as_knife, knives_asked, usable_tools
from robust_kits import bearing_kits, kits_with_copies

NIGHTS_MORE, DEGREES = 1, 10
COLDEST_C, MOST_NIGHTS = -50, 365
DEFAULT_AIR_C = 10
WEATHER = ("longer", "colder", "wet")


def variants(trip: Row) -> dict[str, Row | None]:
    """The trip as each case has it; None where the case does not apply."""
    trip = {"wood": {"state": DEFAULT_STATE}} | trip  # so that the wood oracle tells them all
    found: dict[str, Row | None] = {name: change(trip, name) for name in WEATHER}
    found |= {"lost": trip, "hurt": hurt(trip)}
    weather = [name for name in WEATHER if found[name] is not None]
    together: Row | None = trip if weather else None
    for name in weather:
        together = change(together or trip, name)
    return found | {"all-weather": together}


def change(trip: Row, name: str) -> Row | None:
    """The trip with one kind of weather."""
    if name == "longer":
        nights = trip.get("nights", 1)
        work = [
            one | ({"per_trip": one["per_trip"] / nights * (nights + NIGHTS_MORE)} if "per_trip" in one else {})
            for one in trip.get("camp_work", [])
        ]
        knife = {} if knives_asked(trip) else {"knife": "none"}
        more = {"nights": nights + NIGHTS_MORE, "camp_work": work}
        return None if nights == MOST_NIGHTS else trip | more | knife
    if name == "colder":
        air_c = trip.get("air_c", DEFAULT_AIR_C) - DEGREES
        return None if air_c < COLDEST_C else trip | {"air_c": air_c}
    dry = trip["wood"].get("state", DEFAULT_STATE) == "dead-dry"
    return trip | {"wood": trip["wood"] | {"state": "dead-wet"}} if dry else None


def hurt(trip: Row) -> Row | None:
    """The trip with one worker fewer, at saws and in the rest of a day too."""
    people = trip.get("people", 1)
    limits = trip.get("limits", {})
    minutes = limits.get("work_min_per_day", DEFAULT_WORK_MIN) / people * (people - 1)
    fewer = {"limits": limits | {"work_min_per_day": minutes}, "at_work": people - 1}
    return None if people == 1 else trip | fewer


def kits_that_bear(trip: Row, name: str) -> list[Kit]:
    """The kits that bear a case, the lightest first; of a loss, that of any one tool of the kit."""
    if name == "lost":
        return bearing_kits(trip | {"robust": {"needs": "all", "work_multiple": 1}})
    return kits_with_copies(trip)


def lacks_knife(trip: Row, ids: Iterable[str]) -> bool:
    """Whether a kit has too few knives in the pack; none are wanted where none that counts may go."""
    trip = with_extra_tools(trip)
    have = Counter(ids)
    knives = sum(have[tool["id"]] for tool in trip["tools"] if counts_as_knife(tool, trip))
    return knives < knives_asked(trip) and any(counts_as_knife(tool, trip) for tool in usable_tools(trip))


def work_of(trip: Row, ids: Iterable[str], *, lost: bool = False) -> float | None:
    """Least work [ms] of these tools on a trip whatever the limits; None where they can't do all of it."""
    ids = list(ids)
    if not lost and lacks_knife(trip, ids):
        return None
    carried = [tool for tool in trip["tools"] if tool["id"] in set(ids)]
    free = trip | {"must_carry": [], "leave_home": [], "only": None, "knife": "none"}
    free["limits"] = {"work_min_per_day": 1440 * trip.get("people", 1)}
    free |= {"backup": "none"} if lost else {}
    return min((kit.ms for kit in covering_kits(free | {"tools": carried})), default=None)
