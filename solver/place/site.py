"""The place of work: its wood, and how that wood and the party's skill change every rate."""

import math
from dataclasses import dataclass
from typing import Generic

from catalog import State
from catalog.equipment.camp_work import camp_items
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, somewhere
from catalog.wood.bending import breaks, broken_mm, dead_rupture_mpa
from catalog.wood.cut import baton_slowing
from catalog.wood.fuel import dry_net_heat_mj_kg, net_heat_mj_kg
from catalog.wood.hearth import Hearth, hearths
from catalog.wood.moisture import density_kg_m3, green_moisture_assumptions, specific_gravity_at, wet_basis_pct
from catalog.wood.species import REFERENCE_WOOD, Wood, species_of
from catalog.wood.work import CuttingTask, state_moisture_pct, time_factor
from solver.forms.trip import Trip
from solver.place.wedging import Wedging, wedging_of


@dataclass(frozen=True)
class Site(Generic[N]):
    """The wood as it is worked and burned; figures are numbers, or arrays of draws.

    Attributes:
        factor: time against the reference wood, by way of working [-].
        pace: rate of the party against a practised adult [-].
        split_share: share of a tool's largest splitting diameter that is left [-].
        baton_slowing: exponent of a cleft under a baton, less that of an axe's [-].
        burnable_mm: thickness down to which rounds are split [mm].
        split_from_mm: thickness from which rounds are split, since the outside is wet [mm].
        moisture_pct: moisture as burned [% dry basis].
        density_kg_m3: mass of a cubic metre as burned [kg/m3].
        net_mj_kg: net heat as burned [MJ/kg].
        wedging: how wedges open rounds; None where they open none.
        rupture_mpa: bending strength of dead limbs and poles [MPa]; 0 where nothing is broken.
        broken_mm: thickest round that each field method breaks where the pieces may stay long [mm].
        cold_steel: whether it is so cold that steel is brittle.
    """

    wood: Wood
    state: State
    frozen: Truth
    knotty: bool
    snow: bool
    factor: dict[str, N]
    pace: N
    split_share: N
    baton_slowing: N
    burnable_mm: N
    split_from_mm: N
    moisture_pct: N
    density_kg_m3: N
    net_mj_kg: N
    wedging: Wedging[N] | None
    rupture_mpa: N
    broken_mm: dict[str, N]
    cold_steel: Truth


def site_of(trip: Trip, ledger: Ledger[N]) -> Site[N]:
    """Return the place of work of a trip.

    Raises:
        RangeError: a figure outside the range of its formula.
        KeyError: no such species.
    """
    species, state = species_of(trip.wood.species), trip.wood.state
    frozen = _is_frozen(trip, ledger)
    moisture = _fuel_moisture_pct(species, state, ledger)
    rupture = _rupture_mpa(species, trip, ledger)
    broken: dict[str, N] = dict.fromkeys(breaks(), 0.0)
    for name in breaks() if somewhere(rupture > 0) else ():
        broken[name] = broken_mm(name, rupture_mpa=rupture, ledger=ledger)
    gravity = specific_gravity_at(species, moisture_pct=moisture)
    if hearth_of(trip) is not None:
        ledger.note(("dry_net_heat_broadleaf",))
        ledger.note(("conifer_heat_gain",) if species.group == "conifer" else ())
    return Site(
        wood=species,
        state=state,
        frozen=frozen,
        knotty=trip.wood.knotty,
        snow=trip.fire is not None and trip.fire.melt_snow,
        factor=_factors(species, trip, frozen, ledger),
        pace=ledger("pace") * (1.0 if trip.skill == "practised" else ledger(f"skill_{trip.skill}")),
        split_share=ledger("split_max_knotty") if trip.wood.knotty else 1.0,
        baton_slowing=baton_slowing(ledger.changed),
        burnable_mm=ledger("burnable_dry" if state == "dead-dry" else "burnable_wet"),
        split_from_mm=ledger("split_wet_least_mm") if state == "dead-wet" else math.inf,
        moisture_pct=moisture,
        density_kg_m3=density_kg_m3(specific_gravity=gravity, moisture_pct=moisture),
        net_mj_kg=net_heat_mj_kg(
            dry_net_mj_kg=dry_net_heat_mj_kg(species.group, ledger.changed),
            moisture_wet_pct=wet_basis_pct(dry_basis_pct=moisture),
        ),
        wedging=wedging_of(trip, _split_mm(trip), frozen=frozen, ledger=ledger),
        rupture_mpa=rupture,
        broken_mm=broken,
        cold_steel=trip.air_c < 0 and trip.air_c < ledger("steel_brittle_below"),
    )


def hearth_of(trip: Trip) -> Hearth | None:
    """Return the hearth of a trip's fire, None where none is lit."""
    fire = trip.fire
    return hearths()[fire.hearth] if fire is not None and fire.allowed else None


def firewood_mm(trip: Trip) -> list[float]:
    """Return the diameters of the firewood of a trip, in order: its own, or the usual ones of its hearth [mm]."""
    if trip.wood.diameters is not None:
        return sorted({one.mm for one in trip.wood.diameters})
    hearth = hearth_of(trip)
    return sorted(set(trip.wood.diameters_mm or (() if hearth is None else hearth.usual_mm)))


def _split_mm(trip: Trip) -> list[float]:
    """Return the diameters of the rounds that a trip may have to split [mm]."""
    items = camp_items()
    found = [task.diameter_mm for task in trip.tasks if task.task == "split"]
    found += [items[work.id].diameter_mm for work in trip.camp_work if items[work.id].task == "split"]
    return found + (firewood_mm(trip) if hearth_of(trip) is not None else [])


def _rupture_mpa(species: Wood, trip: Trip, ledger: Ledger[N]) -> N:
    """Return the bending strength of the dead wood [MPa], 0 where nobody breaks any: green wood bends."""
    items = camp_items()
    tasks = {task.task for task in trip.tasks} | {items[work.id].task for work in trip.camp_work}
    burns = hearth_of(trip) is not None
    if trip.wood.state == "green" or not trip.field_methods or not (burns or "buck" in tasks):
        return 0.0
    ledger.note(("dead_strength_share", *(("dead_wet_moisture",) if trip.wood.state == "dead-wet" else ())))
    return dead_rupture_mpa(species, state=trip.wood.state, air_c=trip.air_c, changed=ledger.changed)


def _is_frozen(trip: Trip, ledger: Ledger[N]) -> Truth:
    """Return whether the wood is frozen: as the trip says, else by the air."""
    if trip.wood.frozen is not None:
        return trip.wood.frozen
    return trip.wood.state != "dead-dry" and trip.air_c < ledger("frozen_below")


def _fuel_moisture_pct(species: Wood, state: State, ledger: Ledger[N]) -> N:
    """Return the moisture of the wood that is burned [% dry basis]."""
    if state == "dead-wet":
        return ledger("dead_wet_fuel_moisture")
    if state == "green":
        ledger.note(green_moisture_assumptions(species))
    return state_moisture_pct(species, state, ledger.changed)


def _factors(species: Wood, trip: Trip, frozen: Truth, ledger: Ledger[N]) -> dict[str, N]:
    """Return the time factors by way of working; breaking follows sawing, carving has none."""
    found: dict[str, N] = {"carve": 1.0}
    tasks: tuple[CuttingTask, ...] = ("saw", "chop", "split")
    for task in tasks:
        one = time_factor(
            species,
            task,
            state=trip.wood.state,
            air_c=trip.air_c,
            frozen=frozen,
            knotty=trip.wood.knotty,
            changed=ledger.changed,
        )
        found[task] = one.factor * _residual(species, task, ledger)
        if somewhere(one.factor != 1):
            ledger.note(one.assumptions)
    found["buck"] = found["saw"]
    return found


def _residual(species: Wood, task: str, ledger: Ledger[N]) -> N:
    """Return the time of a task in this species over what the laws of wood say [-]; 1 in the reference wood."""
    return 1.0 if species.id == REFERENCE_WOOD else ledger(f"residual_{task}")
