"""From what the fire is for to kilograms of wood a day, each use with its energy."""

from dataclasses import dataclass

from catalog.tables.ledger import Ledger
from catalog.wood.fuel import wood_kg
from catalog.wood.water import boiling_point_c, melting_kj, warming_kj
from solver.forms.trip import Fire, Trip
from solver.needs.site import Site

_MJ_PER_KWH = 3.6  # Unit factor: kilowatt hours
_KJ_PER_MJ = 1000


@dataclass(frozen=True)
class FireUse:
    """One use of the fire: heat wanted [MJ a day], share of the fire that reaches it, wood [kg a day]."""

    id: str
    text: str
    heat_mj: float
    efficiency: float
    kg: float


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
    fire = trip.fire
    if fire is None or not fire.allowed:
        return []
    found = [*_water_uses(trip, fire, site, ledger), *_open_uses(trip, fire, site, ledger)]
    return [use for use in found if use.kg > 0]


def _water_uses(trip: Trip, fire: Fire, site: Site, ledger: Ledger) -> list[FireUse]:
    """Return the wood to heat water and to melt the snow it comes from."""
    litres = fire.hot_water_l_per_person * trip.people
    if not litres:
        return []
    target = boiling_point_c(elevation_m=trip.elevation_m)
    start = 0.0 if fire.melt_snow else min(max(trip.air_c, 0.0), ledger("water_warmest"))
    uses = []
    if fire.melt_snow:
        snow_c = max(min(trip.air_c, 0.0), ledger("snow_coldest"))
        melting = melting_kj(snow_kg=litres, snow_c=snow_c, target_c=0.0) / _KJ_PER_MJ
        uses.append(_use("snow-melt", f"{litres:g} l of water melted from snow at {snow_c:g} C", melting, site, ledger))
    heating = warming_kj(litres=litres, start_c=start, target_c=target) / _KJ_PER_MJ
    text = f"{litres:g} l of water heated from {start:g} C to boiling at {target:.1f} C"
    return [_use("hot-water", text, heating, site, ledger), *uses]


def _open_uses(trip: Trip, fire: Fire, site: Site, ledger: Ledger) -> list[FireUse]:
    """Return the wood to warm the party and to dry its clothing."""
    uses = []
    if fire.warmth_h:
        fires = max(1.0, trip.people / ledger("people_per_fire"))
        cold = max(0.0, ledger("warmth_comfort") - trip.air_c)
        power = ledger("warmth_kw_per_degree") * cold * fires
        text = f"{fire.warmth_h:g} h of warmth at {trip.air_c:g} C, {power:.1f} kW"
        uses.append(_open_use("warmth", text, power * fire.warmth_h * _MJ_PER_KWH, site))
    if fire.drying_h:
        fires = max(1.0, trip.people / ledger("people_per_fire"))
        power = ledger("drying_kw") * fires
        text = f"{fire.drying_h:g} h of drying, {power:.1f} kW"
        uses.append(_open_use("drying", text, power * fire.drying_h * _MJ_PER_KWH, site))
    return uses


def _use(name: str, text: str, heat_mj: float, site: Site, ledger: Ledger) -> FireUse:
    """Return a use whose heat must arrive in a pot."""
    share = ledger("fire_efficiency")
    return FireUse(name, text, heat_mj, share, _kilograms(heat_mj, share, site))


def _open_use(name: str, text: str, heat_mj: float, site: Site) -> FireUse:
    """Return a use for which the fire's own heat counts."""
    return FireUse(name, text, heat_mj, 1.0, heat_mj / site.net_mj_kg)


def _kilograms(heat_mj: float, efficiency: float, site: Site) -> float:
    """Return the wood for a heat in the pot [kg]."""
    return wood_kg(useful_mj=heat_mj, efficiency=efficiency, net_mj_kg=site.net_mj_kg)
