"""From what the fire is for to kilograms of wood a day, each use with its energy; they share the hours of one fire."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalog.tables.ledger import Ledger
from catalog.wood.fuel import wood_kg
from catalog.wood.hearth import Hearth, tent_loss_kw
from catalog.wood.water import boiling_point_c, melting_kj, warming_kj
from solver.forms.trip import Fire, Trip
from solver.place.site import Site, hearth_of

_MJ_PER_KWH = 3.6  # Unit factor: kilowatt hours
_KJ_PER_MJ = 1000


@dataclass(frozen=True)
class FireUse:
    """One use of the fire.

    Attributes:
        id: names it in the answer.
        text: what it is, for a person.
        heat_mj: heat wanted [MJ a day].
        efficiency: share of the fire's heat that reaches it.
        kg: wood that it adds to what the other uses burn in the same hours [kg a day].
        alone_kg: wood that it would take alone [kg a day].
        hours: hours of fire a day.
        kg_h: wood that it burns in an hour [kg/h].
        with_uses: ids of the uses whose hours it shares.
    """

    id: str
    text: str
    heat_mj: float
    efficiency: float
    kg: float
    alone_kg: float
    hours: float
    kg_h: float
    with_uses: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Wish:
    """A use by itself: heat [MJ], share that reaches it, wood an hour [kg/h], and when it begins and ends [h].

    Hours count from when the fire is lit. Only melting snow begins later: the same pot is heated after it.
    """

    id: str
    text: str
    heat_mj: float
    efficiency: float
    kg_h: float
    begins_h: float
    ends_h: float


def barred_uses(trip: Trip) -> list[str]:
    """Return in words what the trip wants of a fire where none may be lit; nothing where one may."""
    fire = trip.fire
    if fire is None or fire.allowed:
        return []
    water = "hot water from snow" if fire.melt_snow else "hot water"
    litres, uses = fire.hot_water_l_per_person * trip.people, []
    if litres:
        uses.append(f"{water} ({litres:g} l a day)")
    if fire.warmth_h:
        uses.append(f"warmth ({fire.warmth_h:g} h a day)")
    if fire.drying_h:
        uses.append(f"drying ({fire.drying_h:g} h a day)")
    return uses


def fire_uses(trip: Trip, site: Site, ledger: Ledger) -> list[FireUse]:
    """Return the uses of the trip's fire; none where no fire may be lit.

    Raises:
        RangeError: a figure outside the range of its formula.
    """
    fire, hearth = trip.fire, hearth_of(trip)
    if fire is None or hearth is None:
        return []
    wishes = [*_pot(trip, fire, hearth, site, ledger), *_warming(trip, fire, hearth, site, ledger)]
    return _sharing([wish for wish in wishes if wish.ends_h > wish.begins_h])


def _sharing(wishes: Sequence[_Wish]) -> list[FireUse]:
    """Return wishes as uses of one fire, which burns in each hour as much as the use that wants most.

    Uses overlap as far as they can: each burns only in the hours after those of the uses that want more an hour.
    """
    covered, before = 0.0, list[_Wish]()
    added: dict[str, tuple[float, tuple[str, ...]]] = {}
    for wish in sorted(wishes, key=lambda one: -one.kg_h):
        alone = wish.kg_h * (wish.ends_h - wish.begins_h)
        adds = min(alone, wish.kg_h * max(0.0, wish.ends_h - covered))
        shares = tuple(one.id for one in before if one.ends_h > wish.begins_h)
        added[wish.id] = adds, shares
        covered = max(covered, wish.ends_h)
        before.append(wish)
    return [_use(wish, *added[wish.id]) for wish in wishes]


def _use(wish: _Wish, kg: float, shares: tuple[str, ...]) -> FireUse:
    """Return a wish with what it adds to the fire."""
    hours = wish.ends_h - wish.begins_h
    return FireUse(wish.id, wish.text, wish.heat_mj, wish.efficiency, kg, wish.kg_h * hours, hours, wish.kg_h, shares)


def _pot(trip: Trip, fire: Fire, hearth: Hearth, site: Site, ledger: Ledger) -> list[_Wish]:
    """Return what it takes to heat water, and to melt the snow it comes from."""
    litres = fire.hot_water_l_per_person * trip.people
    if not litres:
        return []
    target = boiling_point_c(elevation_m=trip.elevation_m)
    start = 0.0 if fire.melt_snow else min(max(trip.air_c, 0.0), ledger("water_warmest"))
    heating = warming_kj(litres=litres, start_c=start, target_c=target) / _KJ_PER_MJ
    text = f"{litres:g} l of water heated from {start:g} C to boiling at {target:.1f} C"
    rate, share = _within(ledger("boil_rate"), trip, hearth, ledger), ledger(hearth.efficiency)
    hours = _kilograms(heating, share, site) / rate
    wishes = [_Wish("hot-water", text, heating, share, rate, 0.0, hours)]
    if fire.melt_snow:
        snow_c = max(min(trip.air_c, 0.0), ledger("snow_coldest"))
        melting = melting_kj(snow_kg=litres, snow_c=snow_c, target_c=0.0) / _KJ_PER_MJ
        text = f"{litres:g} l of water melted from snow at {snow_c:g} C"
        more = _kilograms(melting, share, site) / rate
        wishes.append(_Wish("snow-melt", text, melting, share, rate, hours, hours + more))
    return wishes


def _warming(trip: Trip, fire: Fire, hearth: Hearth, site: Site, ledger: Ledger) -> list[_Wish]:
    """Return what it takes to warm the party and to dry its clothing."""
    wishes = []
    cold = max(0.0, ledger("warmth_comfort") - trip.air_c) if fire.warmth_h else 0.0
    if cold:
        power, kept = _warmth_kw(cold, trip, hearth, ledger)
        text = f"{fire.warmth_h:g} h of warmth at {trip.air_c:g} C, {power:.1f} kW"
        wishes.append(_warm_wish("warmth", text, power, kept, fire.warmth_h, trip, hearth, site, ledger))
    if fire.drying_h:
        power = ledger("drying_kw") * _fires(trip, ledger)
        text = f"{fire.drying_h:g} h of drying, {power:.1f} kW"
        wishes.append(_warm_wish("drying", text, power, 1.0, fire.drying_h, trip, hearth, site, ledger))
    return wishes


def _warmth_kw(cold: float, trip: Trip, hearth: Hearth, ledger: Ledger) -> tuple[float, float]:
    """Return the heat that warms a party [kW], and the share of the fire's heat that counts for it.

    An open fire grows with the people around it, slower than their number, until there are two. A stove makes up what
    the tent loses.

    Args:
        cold: degrees below comfort [K].
        trip: what the traveller asks.
        hearth: what the wood burns in.
        ledger: reads and notes the assumptions.
    """
    fires = _fires(trip, ledger)
    if hearth.heat_kept is not None:
        loss = tent_loss_kw(surface_m2=ledger("tent_m2"), loss_w_m2k=ledger("tent_u"), degrees=cold)
        return loss * fires, ledger(hearth.heat_kept)
    around = min(float(trip.people), ledger("people_per_fire"))
    size = max(1.0, around / ledger("warmth_people")) ** ledger("warmth_growth")
    return ledger("warmth_kw_per_degree") * cold * size * fires, 1.0


def _fires(trip: Trip, ledger: Ledger) -> float:
    """Return how many fires, or stoves, serve the party."""
    return max(1.0, trip.people / ledger("people_per_fire"))


def _warm_wish(
    name: str,
    text: str,
    power_kw: float,
    share: float,
    hours: float,
    trip: Trip,
    hearth: Hearth,
    site: Site,
    ledger: Ledger,
) -> _Wish:
    """Return a use that wants a power over hours: never less than a fire that stays alive burns, or more than fits."""
    wanted = power_kw * _MJ_PER_KWH / share / site.net_mj_kg
    rate = _within(max(wanted, ledger("simmer_rate")), trip, hearth, ledger)
    if rate < wanted:
        text += f", of which the {hearth.name} gives {rate * site.net_mj_kg * share / _MJ_PER_KWH:.1f} kW"
    return _Wish(name, text, power_kw * hours * _MJ_PER_KWH, share, rate, 0.0, hours)


def _within(kg_h: float, trip: Trip, hearth: Hearth, ledger: Ledger) -> float:
    """Return a rate of burning as far as the hearth takes it [kg/h]."""
    return kg_h if hearth.most is None else min(kg_h, ledger(hearth.most) * _fires(trip, ledger))


def _kilograms(heat_mj: float, efficiency: float, site: Site) -> float:
    """Return the wood for a heat in the pot [kg]."""
    return wood_kg(useful_mj=heat_mj, efficiency=efficiency, net_mj_kg=site.net_mj_kg)
