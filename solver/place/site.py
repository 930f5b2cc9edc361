"""The place of work: its wood, and how that wood and the party's skill change every rate."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Generic

from catalog import State
from catalog.equipment.camp_work import camp_items
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, maximum, somewhere
from catalog.tables.remembered import tabled
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
    burns = hearth_of(trip) is not None
    found, used = _site_in(
        trip.wood.species,
        state=trip.wood.state,
        frozen=trip.wood.frozen,
        knotty=trip.wood.knotty,
        air_c=trip.air_c,
        skill=trip.skill,
        breaking=_is_broken(trip, burns=burns),
        burns=burns,
        changed=ledger.changed,
    )
    ledger.note(used)
    return replace(
        found,
        snow=trip.fire is not None and trip.fire.melt_snow,
        wedging=wedging_of(trip, _split_mm(trip), frozen=found.frozen, ledger=ledger),
    )


@tabled
def _site_in(
    species_id: str,
    *,
    state: State,
    frozen: bool | None,
    knotty: bool,
    air_c: float,
    skill: str,
    breaking: bool,
    burns: bool,
    changed: Mapping[str, N] | None = None,
) -> tuple[Site[N], frozenset[str]]:
    """Return the place of work as far as it hangs on its wood, air and skill, and the assumptions that were read.

    Args:
        species_id: of the wood.
        state: of the wood.
        frozen: whether the wood is, where the trip says so.
        knotty: whether the wood is.
        air_c: of the air [C].
        skill: of the party.
        breaking: whether anybody breaks dead wood.
        burns: whether a fire is lit.
        changed: assumptions tried instead of the table's.
    """
    ledger: Ledger[N] = Ledger(changed)
    species = species_of(species_id)
    icy = _is_frozen(state, frozen, air_c, ledger)
    moisture = _fuel_moisture_pct(species, state, ledger)
    rupture = _rupture_mpa(species, state, air_c, ledger) if breaking else 0.0
    broken: dict[str, N] = dict.fromkeys(breaks(), 0.0)
    for name in breaks() if somewhere(rupture > 0) else ():
        broken[name] = broken_mm(name, rupture_mpa=rupture, ledger=ledger)
    gravity = specific_gravity_at(species, moisture_pct=moisture)
    if burns:
        ledger.note(("dry_net_heat_broadleaf",))
        ledger.note(("conifer_heat_gain",) if species.group == "conifer" else ())
    found = Site(
        wood=species,
        state=state,
        frozen=icy,
        knotty=knotty,
        snow=False,
        factor=_factors(species, ledger, state=state, air_c=air_c, frozen=icy, knotty=knotty),
        pace=ledger("pace") * (1.0 if skill == "practised" else ledger(f"skill_{skill}")),
        split_share=ledger("split_max_knotty") if knotty else 1.0,
        baton_slowing=baton_slowing(ledger.changed),
        burnable_mm=ledger("burnable_dry" if state == "dead-dry" else "burnable_wet"),
        split_from_mm=ledger("split_wet_least_mm") if state == "dead-wet" else math.inf,
        moisture_pct=moisture,
        density_kg_m3=density_kg_m3(specific_gravity=gravity, moisture_pct=moisture),
        net_mj_kg=net_heat_mj_kg(
            dry_net_mj_kg=dry_net_heat_mj_kg(species.group, ledger.changed),
            moisture_wet_pct=wet_basis_pct(dry_basis_pct=moisture),
        ),
        wedging=None,
        rupture_mpa=rupture,
        broken_mm=broken,
        cold_steel=air_c < 0 and air_c < ledger("steel_brittle_below"),
    )
    return found, frozenset(ledger.used)


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


def _is_broken(trip: Trip, *, burns: bool) -> bool:
    """Tell whether anybody breaks dead wood: green wood bends."""
    if trip.wood.state == "green" or not trip.field_methods:
        return False
    items = camp_items()
    tasks = {task.task for task in trip.tasks} | {items[work.id].task for work in trip.camp_work}
    return burns or "buck" in tasks


def _rupture_mpa(species: Wood, state: State, air_c: float, ledger: Ledger[N]) -> N:
    """Return the bending strength by which dead wood breaks [MPa].

    What is wet outside breaks no thicker than what is dry: it is weaker there, but bends further before it parts, and
    is dry within (common practice, no source). So rain leaves no saw at home.
    """
    ledger.note(("dead_strength_share", *(("dead_wet_moisture",) if state == "dead-wet" else ())))
    dry = dead_rupture_mpa(species, state="dead-dry", air_c=air_c, changed=ledger.changed)
    if state == "dead-dry":
        return dry
    return maximum(dry, dead_rupture_mpa(species, state=state, air_c=air_c, changed=ledger.changed))


def _is_frozen(state: State, said: bool | None, air_c: float, ledger: Ledger[N]) -> Truth:
    """Return whether the wood is frozen: as the trip says, else by the air."""
    return state != "dead-dry" and air_c < ledger("frozen_below") if said is None else said


def _fuel_moisture_pct(species: Wood, state: State, ledger: Ledger[N]) -> N:
    """Return the moisture of the wood that is burned [% dry basis]."""
    if state == "dead-wet":
        return ledger("dead_wet_fuel_moisture")
    if state == "green":
        ledger.note(green_moisture_assumptions(species))
    return state_moisture_pct(species, state, ledger.changed)


def _factors(
    species: Wood, ledger: Ledger[N], *, state: State, air_c: float, frozen: Truth, knotty: bool
) -> dict[str, N]:
    """Return the time factors by way of working; breaking follows sawing, carving has none."""
    found: dict[str, N] = {"carve": 1.0}
    tasks: tuple[CuttingTask, ...] = ("saw", "chop", "split")
    for task in tasks:
        one = time_factor(
            species,
            task,
            state=state,
            air_c=air_c,
            frozen=frozen,
            knotty=knotty,
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
