"""From what the fire is for to kilograms of wood a day, each use with its energy; they share the hours of one fire."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Generic

from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, maximum, minimum, power, somewhere, where
from catalog.wood.fuel import wood_kg
from catalog.wood.hearth import Hearth, tent_loss_kw
from catalog.wood.water import boiling_point_c, melting_kj, warming_kj
from solver.forms.trip import Fire, Trip
from solver.place.site import Site, hearth_of

_MJ_PER_KWH = 3.6  # Unit factor: kilowatt hours
_KJ_PER_MJ = 1000


@dataclass(frozen=True)
class FireUse(Generic[N]):
    """One use of the fire; figures are numbers, or arrays of draws.

    Attributes:
        id: names it in the answer.
        words: what it is, for a person.
        heat_mj: heat wanted [MJ a day].
        efficiency: share of the fire's heat that reaches it.
        kg: wood that it adds to what the other uses burn in the same hours [kg a day].
        alone_kg: wood that it would take alone [kg a day].
        hours: hours of fire a day.
        kg_h: wood that it burns in an hour [kg/h].
        sharing: the uses whose hours it shares.
        there: whether it wants any fire; of draws, in which. Elsewhere it burns nothing.
    """

    id: str
    words: Callable[[], str] = field(compare=False)
    heat_mj: N
    efficiency: N
    kg: N
    alone_kg: N
    hours: N
    kg_h: N
    sharing: Callable[[], tuple[str, ...]] = field(compare=False)
    there: Truth = True

    @property
    def text(self) -> str:
        """What it is, for a person."""
        return self.words()

    @property
    def with_uses(self) -> tuple[str, ...]:
        """Ids of the uses whose hours it shares."""
        return self.sharing()


@dataclass(frozen=True)
class _Wish(Generic[N]):
    """A use by itself: heat [MJ], share that reaches it, wood an hour [kg/h], and when it begins and ends [h].

    Hours count from when the fire of the evening is lit. Only melting snow begins later: the same pot is heated after
    it. A pot has hours apart as well, at a fire of the morning that serves nothing else.
    """

    id: str
    words: Callable[[], str]
    heat_mj: N
    efficiency: N
    kg_h: N
    begins_h: N
    ends_h: N
    apart_h: N = 0.0

    @property
    def there(self) -> Truth:
        """Whether it wants any fire."""
        return (self.ends_h > self.begins_h) | (self.apart_h > 0)


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


def fire_uses(trip: Trip, site: Site[N], ledger: Ledger[N]) -> list[FireUse[N]]:
    """Return the uses of the trip's fire; none where no fire may be lit.

    Raises:
        RangeError: a figure outside the range of its formula.
    """
    fire, hearth = trip.fire, hearth_of(trip)
    if fire is None or hearth is None:
        return []
    wishes = _pot(trip, fire, hearth, site, ledger) + _warming(trip, fire, hearth, site, ledger)
    return _sharing([wish for wish in wishes if somewhere(wish.there)])


def _sharing(wishes: Sequence[_Wish[N]]) -> list[FireUse[N]]:
    """Return wishes as uses of one fire, which burns in each hour as much as the use that wants most.

    Uses overlap as far as they can: each burns only in the hours after those of the uses that want more an hour.
    """
    return [_use(wish, _before(wishes, place)) for place, wish in enumerate(wishes)]


def _before(wishes: Sequence[_Wish[N]], place: int) -> list[tuple[_Wish[N], Truth]]:
    """Return the wishes that want more an hour than one, or as much and come first, each with where it does so."""
    wish = wishes[place]
    found = [
        (one, one.there & (one.kg_h >= wish.kg_h if other < place else one.kg_h > wish.kg_h))
        for other, one in enumerate(wishes)
        if other != place
    ]
    return [(one, wants) for one, wants in found if somewhere(wants)]


def _use(wish: _Wish[N], before: Sequence[tuple[_Wish[N], Truth]]) -> FireUse[N]:
    """Return a wish with what it adds to the fire, beside the wishes that come before it."""
    covered: N = 0.0
    for one, wants in before:
        covered = maximum(covered, _where_there(wants, one.ends_h))
    shared_h = wish.ends_h - wish.begins_h
    hours = shared_h + wish.apart_h
    adds = wish.kg_h * (wish.apart_h + minimum(shared_h, maximum(0.0, wish.ends_h - covered)))
    return FireUse(
        id=wish.id,
        words=wish.words,
        heat_mj=wish.heat_mj,
        efficiency=wish.efficiency,
        kg=_where_there(wish.there, adds),
        alone_kg=wish.kg_h * hours,
        hours=hours,
        kg_h=wish.kg_h,
        sharing=lambda: tuple(
            one.id
            for one, _ in sorted(before, key=lambda pair: -pair[0].kg_h)
            if shared_h > 0 and one.ends_h > wish.begins_h
        ),
        there=wish.there,
    )


def _where_there(there: Truth, figure: N) -> N:
    """Return a figure where a use is there, and 0 elsewhere."""
    return where(there, lambda: figure, lambda: 0.0)


def _pot(trip: Trip, fire: Fire, hearth: Hearth, site: Site[N], ledger: Ledger[N]) -> list[_Wish[N]]:
    """Return what it takes to heat water, and to melt the snow it comes from."""
    litres = fire.hot_water_l_per_person * trip.people
    if not litres:
        return []
    target = boiling_point_c(elevation_m=trip.elevation_m)
    start: N = 0.0 if fire.melt_snow else minimum(max(trip.air_c, 0.0), ledger("water_warmest"))
    heating = warming_kj(litres=litres, start_c=start, target_c=target) / _KJ_PER_MJ
    rate, share = _within(ledger("boil_rate"), trip, hearth, ledger), ledger(hearth.efficiency)
    hours = _kilograms(heating, share, site) / rate
    apart: N = ledger("water_apart") if fire.warmth_h or fire.drying_h else 0.0
    wishes = [
        _Wish(
            "hot-water",
            lambda: f"{litres:g} l of water heated from {start:g} C to boiling at {target:.1f} C",
            heating,
            share,
            rate,
            0.0,
            hours * (1 - apart),
            hours * apart,
        )
    ]
    if fire.melt_snow:
        snow_c = maximum(min(trip.air_c, 0.0), ledger("snow_coldest"))
        melting = melting_kj(snow_kg=litres, snow_c=snow_c, target_c=0.0) / _KJ_PER_MJ
        more = _kilograms(melting, share, site) / rate
        wishes.append(
            _Wish(
                "snow-melt",
                lambda: f"{litres:g} l of water melted from snow at {snow_c:g} C",
                melting,
                share,
                rate,
                hours * (1 - apart),
                (hours + more) * (1 - apart),
                more * apart,
            )
        )
    return wishes


def _warming(trip: Trip, fire: Fire, hearth: Hearth, site: Site[N], ledger: Ledger[N]) -> list[_Wish[N]]:
    """Return what it takes to warm the party and to dry its clothing."""
    wishes = []
    cold: N = maximum(0.0, ledger("warmth_comfort") - trip.air_c) if fire.warmth_h else 0.0
    if somewhere(cold > 0):
        power_kw, kept = _warmth_kw(cold, trip, hearth, ledger)
        hours = _where_there(cold > 0, fire.warmth_h)
        begun = f"{fire.warmth_h:g} h of warmth at {trip.air_c:g} C"
        wishes.append(_warm_wish("warmth", begun, power_kw, kept, hours, trip, hearth, site, ledger))
    if fire.drying_h:
        power_kw = ledger("drying_kw") * _fires(trip, ledger)
        begun = f"{fire.drying_h:g} h of drying"
        wishes.append(_warm_wish("drying", begun, power_kw, 1.0, fire.drying_h, trip, hearth, site, ledger))
    return wishes


def _warmth_kw(cold: N, trip: Trip, hearth: Hearth, ledger: Ledger[N]) -> tuple[N, N]:
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
    around = minimum(float(trip.people), ledger("people_per_fire"))
    size = power(maximum(1.0, around / ledger("warmth_people")), ledger("warmth_growth"))
    return ledger("warmth_kw_per_degree") * cold * size * fires, 1.0


def _fires(trip: Trip, ledger: Ledger[N]) -> N:
    """Return how many fires, or stoves, serve the party."""
    return maximum(1.0, trip.people / ledger("people_per_fire"))


def _warm_wish(
    name: str,
    begun: str,
    power_kw: N,
    share: N,
    hours: N,
    trip: Trip,
    hearth: Hearth,
    site: Site[N],
    ledger: Ledger[N],
) -> _Wish[N]:
    """Return a use that wants a power over hours: never less than a fire that stays alive burns, or more than fits."""
    wanted = power_kw * _MJ_PER_KWH / share / site.net_mj_kg
    rate = _within(maximum(wanted, ledger("simmer_rate")), trip, hearth, ledger)

    def words() -> str:
        text = f"{begun}, {power_kw:.1f} kW"
        if rate < wanted:
            text += f", of which the {hearth.name} gives {rate * site.net_mj_kg * share / _MJ_PER_KWH:.1f} kW"
        return text

    return _Wish(name, words, power_kw * hours * _MJ_PER_KWH, share, rate, 0.0, hours)


def _within(kg_h: N, trip: Trip, hearth: Hearth, ledger: Ledger[N]) -> N:
    """Return a rate of burning as far as the hearth takes it [kg/h]."""
    return kg_h if hearth.most is None else minimum(kg_h, ledger(hearth.most) * _fires(trip, ledger))


def _kilograms(heat_mj: N, efficiency: N, site: Site[N]) -> N:
    """Return the wood for a heat in the pot [kg]."""
    return wood_kg(useful_mj=heat_mj, efficiency=efficiency, net_mj_kg=site.net_mj_kg)
