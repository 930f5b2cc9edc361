"""Every formula that a trip asks and that takes arrays, with the figures it is given: for the tests of arrays.

Where ranges.csv names each quantity of a formula, its rows are taken as they stand. The others stand here by hand, with
the assumptions that they read drawn from their bands.
"""

import importlib
import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from itertools import product
from typing import Any

from catalog.tables.ledger import Ledger
from catalog.tables.validity import validities
from catalog.walking import labour, route
from catalog.walking import load_carriage as walking
from catalog.wood import bending, cold, cut, fuel, moisture, regression, water, work
from catalog.wood.species import Wood, species_of

Given = Mapping[str, Any]
Span = tuple[float, float]

# Modules whose formulas take arrays; test_arrays.py looks them through for one that the table lacks.
MODULES = (
    "scores.arm",
    "drawings.axe_drawing",
    "drawings.blade",
    "drawings.handle",
    "drawings.knife",
    "drawings.outline",
    "drawings.rigid_body",
    "drawings.section",
    "drawings.tang",
    "scores.carve_model",
    "scores.chop_model",
    "wood.bending",
    "wood.cold",
    "wood.cut",
    "wood.fuel",
    "wood.hearth",
    "bench.hardness",
    "bench.load_case",
    "bench.strength",
    "maths.quadrature",
    "walking.labour",
    "wood.moisture",
    "walking.pace",
    "wood.regression",
    "walking.route",
    "scores.physical_score",
    "scores.plate",
    "scores.saw_model",
    "scores.split_model",
    "scores.wedge",
    "trials.trial",
    "walking.load_carriage",
    "wood.water",
    "wood.work",
)


@dataclass(frozen=True)
class Formula:
    """A formula, called by figures and assumptions: the ends between which each figure is drawn, places worth a visit.

    `whole` says that every figure plays a part in every case, so that arrays come out in the shape of all together.
    """

    name: str
    call: Callable[[Given, Given], Any]
    spans: Mapping[str, Span]
    assumed: tuple[str, ...] = ()
    places: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    whole: bool = True


def function_of(name: str) -> Callable[..., Any]:
    """The function that a row of ranges.csv names: room.module.function."""
    room, module, function = name.split(".")[:3]
    found: Callable[..., Any] = getattr(importlib.import_module(f"catalog.{room}.{module}"), function)
    return found


def by_ranges() -> list[Formula]:
    """The formulas whose arguments are all rows of ranges.csv."""
    found = []
    for name, ranges in validities().items():
        parameters = set(inspect.signature(function_of(name)).parameters)
        if parameters - {"changed"} == set(ranges) and name != "wood.cut.stroke_share":
            changed = "changed" in parameters

            def call(figures: Given, changes: Given, *, name: str = name, changed: bool = changed) -> Any:
                return function_of(name)(**figures, **({"changed": changes} if changed else {}))

            spans = {quantity: (one.low, one.high) for quantity, one in ranges.items()}
            found.append(Formula(name, call, spans, ASSUMED.get(name, ()), PLACES.get(name, {})))
    return found


ASSUMED = {
    "wood.work.sawing_time": ("saw_hardness_exponent",),
    "wood.work.chopping_time": ("chop_hardness_exponent",),
    "wood.work.splitting_time": ("split_tension_exponent",),
    "wood.fuel.cord_oven_dry_kg": ("cord_solid_volume",),
}
PLACES = {
    "wood.cut.clefts_per_round": {"diameter_mm": (75, 150, 300), "burnable_mm": (75, 50, 100)},
    "wood.water.warming_kj": {"start_c": (15, 40), "target_c": (15, 40)},
    "wood.moisture.dead_standing_moisture_pct": {"air_c": (-1.1, 0)},
    "walking.pace.langmuir_s": {"rise_m": (0, -100, -50), "distance_m": (0, 1000, 500)},
}
STATES: tuple[work.WoodState, ...] = ("dead-dry", "dead-wet", "green")
WALK: dict[str, Span] = {"body_kg": (45, 120), "load_kg": (0, 40), "speed_m_s": (0.3, 1.9), "terrain": (1, 3)}
GRADE: dict[str, Span] = {"grade_pct": (-18, 38)}
SLOPES = {"grade_pct": (0, -0.5, -1, -1.5, -2)}
# too short for its climb at the usual grade in some draws, without any climb in others
ROUTE: dict[str, Span] = {"km_per_day": (10, 40), "climb_m_per_day": (0, 1900)}
CLIMBS = {"climb_m_per_day": (0, 500)}
FLAT: dict[str, Span] = {"km_per_day": (0, 40), "climb_m_per_day": (0, 0)}
CARRIER: dict[str, Span] = {"body_kg": (45, 120), "pack_kg": (0, 40)}
LEGS = ("slope_grade", "loaded_pace")
GREEN = ("green_moisture_broadleaf", "green_moisture_conifer")
HEAT = ("dry_net_heat_broadleaf", "conifer_heat_gain")
# the handbook has gaps for the last two
WOODS = ("lodgepole-pine", "white-oak", "balsam-poplar", "subalpine-fir")


def with_gravity(figures: Given) -> Wood:
    """A wood with gaps, whose specific gravity is drawn."""
    drawn = {"sg_green": figures["gravity"], "sg_12pct": figures["gravity"]}
    return replace(species_of("balsam-poplar"), **drawn)


def leg_of(figures: Given) -> route.Leg[Any]:
    """A leg whose every figure is drawn."""
    return route.Leg("any", figures["km"], figures["grade_pct"], figures["speed_m_s"], 3600 * figures["km"])


def of_trips() -> list[Formula]:
    """Formulas that a trip asks, with a wood, a walk or assumptions."""
    pine, poplar = species_of("lodgepole-pine"), species_of("balsam-poplar")
    moist: dict[str, Span] = {"moisture_pct": (5, 120)}
    ends = {"moisture_pct": (12, pine.intersection_mc_pct, poplar.intersection_mc_pct, 30)}
    classes = {"moisture_pct": (0, 4, 11, 12, 15, 18, 20, 30)}
    hauled: dict[str, Span] = {"km": (0, 10)} | GRADE | {"speed_m_s": (0.3, 1.9)} | CARRIER
    found = [
        Formula(
            "wood.moisture.property_at",
            lambda f, _: moisture.property_at(pine, "side_hardness", **f),
            moist,
            places=ends,
        ),
        Formula(
            "wood.moisture.specific_gravity_at",
            lambda f, _: moisture.specific_gravity_at(pine, **f),
            moist,
            places=ends,
        ),
        Formula(
            "wood.moisture.specific_gravity_at",
            lambda f, _: moisture.specific_gravity_at(with_gravity(f), moisture_pct=f["moisture_pct"]),
            moist | {"gravity": (0.3, 0.9)},
        ),
        Formula("wood.moisture.green_moisture_pct", lambda _, c: moisture.green_moisture_pct(poplar, c), {}, GREEN[:1]),
        Formula(
            "wood.cold.printed_change_pct",
            lambda f, _: cold.printed_change_pct("bending", **f),
            {"moisture_pct": (0, 60)},
            places=classes,
        ),
        Formula(
            "wood.cold.printed_change_pct",
            lambda f, _: cold.printed_change_pct("compression_par", **f),
            {"moisture_pct": (0, 45)},
            places=classes,
        ),
        Formula(
            "wood.cold.change_pct",
            lambda f, _: cold.change_pct("bending", **f),
            {"wood_c": (-50, 20), "moisture_pct": (0, 60)},
        ),
        Formula(
            "wood.bending.broken_mm",
            lambda f, c: bending.broken_mm("break-by-hand", ledger=Ledger(c), **f),
            {"rupture_mpa": (20, 150), "longest_mm": (200, 1000)},
            ("break_force", "break_arm"),
        ),
        Formula(
            "wood.cut.stroke_share",
            lambda f, _: cut.stroke_share(diameter_mm=f["mm"], largest_mm=f["mm"] + f["more_mm"]),
            {"mm": (20, 300), "more_mm": (0, 600)},
            places={"more_mm": (0,)},
        ),
        Formula(
            "wood.cut.sawing_share",
            lambda f, _: cut.sawing_share(diameter_mm=f["mm"], largest_mm=f["largest"], turned=f["turned"]),
            {"mm": (20, 300), "largest": (20, 300), "turned": (0.2, 1)},
            places={"mm": (150,), "largest": (150,)},
        ),
        Formula("wood.cut.baton_slowing", lambda _, c: cut.baton_slowing(c), {}, ("baton_exponent", "cleft_exponent")),
        Formula("wood.fuel.dry_net_heat_mj_kg", lambda _, c: fuel.dry_net_heat_mj_kg("conifer", c), {}, HEAT),
        Formula(
            "wood.fuel.dry_net_heat_mj_kg", lambda _, c: fuel.dry_net_heat_mj_kg("broadleaf", c), {}, HEAT, whole=False
        ),
        Formula(
            "wood.fuel.cord_gross_heat_mj",
            lambda f, c: fuel.cord_gross_heat_mj(**f, changed=c),
            {"basic_sg": (0.3, 0.9)},
            ("cord_solid_volume", "gross_heat"),
        ),
        Formula(
            "wood.fuel.cord_mass_kg",
            lambda f, c: fuel.cord_mass_kg(**f, changed=c),
            {"basic_sg": (0.3, 0.9), "moisture_pct": (0, 120)},
            ("cord_solid_volume",),
        ),
        Formula(
            "walking.labour.net_kcal_per_min",
            lambda f, _: labour.net_kcal_per_min(**f),
            {"met": (1, 12), "body_kg": (45, 120)},
        ),
        Formula(
            "wood.moisture.strength_at_moisture",
            lambda f, _: moisture.strength_at_moisture(**f),
            {"green": (500, 9000), "air_dry": (900, 15000), "moisture_pct": (5, 60), "intersection_pct": (20, 30)},
            places={"moisture_pct": (12, 20, 25, 30), "intersection_pct": (25,)},
        ),
        Formula(
            "wood.water.boiling_kj",
            lambda f, _: water.boiling_kj(**f),
            {"litres": (0, 30), "start_c": (0, 90), "elevation_m": (0, 5000)},
        ),
        Formula(
            "wood.regression.estimate",
            lambda f, _: regression.estimated_property("side_hardness_12pct_n", with_gravity(f)),
            {"gravity": (0.3, 0.9)},
        ),
        Formula(
            "walking.load_carriage.walking_w",
            lambda f, c: walking.walking_w(**f, changed=c),
            WALK | GRADE,
            ("santee_from_grade",),
            SLOPES,
        ),
        Formula(
            "walking.load_carriage.walking_w_per_kg",
            lambda f, c: walking.walking_w_per_kg(**f, changed=c),
            WALK | GRADE,
            ("santee_from_grade",),
            SLOPES,
        ),
        Formula("walking.load_carriage.lcda_w_per_kg", lambda f, _: walking.lcda_w_per_kg(**f), WALK | GRADE),
        Formula(
            "walking.route.legs_of_day",
            lambda f, c: {leg.name: (leg.way_km, leg.seconds) for leg in route.legs_of_day(**f, changed=c)},
            ROUTE,
            LEGS,
            CLIMBS,
            whole=False,
        ),
        Formula(
            "walking.route.cost_on_legs",
            lambda f, c: route.cost_on_legs(
                (leg_of(f),), body_kg=f["body_kg"], pack_kg=f["pack_kg"], terrain=f["terrain"], changed=c
            ),
            hauled | {"terrain": (1, 3)},
            ("santee_from_grade",),
            SLOPES,
            whole=False,
        ),
        Formula(
            "walking.route.carrying_cost",
            lambda f, c: route.carrying_cost(terrain="light-brush", **f, changed=c),
            ROUTE | CARRIER,
            (*LEGS, "santee_from_grade"),
            CLIMBS,
            whole=False,
        ),
    ]
    found += [replace(one, spans=dict(one.spans) | FLAT) for one in found if "km_per_day" in one.spans]
    return found + of_work()


def of_work() -> list[Formula]:
    """Formulas of wood work: each wood and state that takes another path, frozen where a drawn air says so."""
    air: dict[str, Span] = {"air_c": (-45, 15)}
    found = [
        Formula(
            "wood.work.frozen_hardness_ratio",
            lambda f, c: work.frozen_hardness_ratio(**f, changed=c),
            air | {"moisture_pct": (5, 120)},
            ("frozen_hardness_share",),
            {"air_c": (0,)},
        ),
        Formula(
            "wood.work.knot_time", lambda _, c: work.knot_time("split", knotty=True, changed=c), {}, ("split_knots",)
        ),
    ]
    found += [
        Formula(
            "wood.work.splitting_frost",
            lambda _, c, knotty=knotty: work.splitting_frost(knotty=knotty, changed=c),
            {},
            ("split_frozen_knotty", "split_frozen_straight"),
            whole=False,
        )
        for knotty in (True, False)
    ]
    found += [
        Formula(
            "wood.work.splitting_moisture",
            lambda _, c, group=group: work.splitting_moisture(group, "dead-dry", c),
            {},
            ("split_green_conifer", "split_green_broadleaf"),
            whole=False,
        )
        for group in ("conifer", "broadleaf")
    ]
    for species, dead in product(map(species_of, WOODS), ("dead-dry", "dead-wet")):
        found.append(
            Formula(
                "wood.bending.dead_rupture_mpa",
                lambda f, c, species=species, dead=dead: bending.dead_rupture_mpa(species, state=dead, **f, changed=c),
                {"air_c": (-60, 40)},
                ("dead_strength_share", "dead_wet_moisture"),
                {"air_c": (-50, 20)},
                whole=False,
            )
        )
    for species, state in product(map(species_of, WOODS), STATES):
        found.append(
            Formula(
                "wood.work.state_moisture_pct",
                lambda _, c, species=species, state=state: work.state_moisture_pct(species, state, c),
                {},
                (*GREEN, "dead_wet_moisture"),
                whole=False,
            )
        )
        found.append(
            Formula(
                "wood.work.side_hardness",
                lambda f, _, species=species: work.side_hardness(species, **f),
                {"moisture_pct": (5, 60)},
                places={"moisture_pct": (12, species.intersection_mc_pct)},
            )
        )
        for task, knotty in product(("saw", "chop", "split"), (True, False)):
            found.append(
                Formula(
                    "wood.work.time_factor",
                    lambda f, c, species=species, task=task, state=state, knotty=knotty: work.time_factor(
                        species, task, state=state, **f, frozen=f["air_c"] < c["frozen_below"], knotty=knotty, changed=c
                    ),
                    air,
                    (
                        *("frozen_below", "frozen_hardness_share", "dead_wet_moisture", *GREEN),
                        *("split_frozen_knotty", "split_frozen_straight", "split_tension_exponent"),
                        *("split_green_conifer", "split_green_broadleaf"),
                        *(f"{task}_hardness_exponent",) * (task != "split"),
                        f"{task}_knots",
                    ),
                    whole=False,
                )
            )
    return found


def formulas() -> list[Formula]:
    """Those that trips ask."""
    return [*by_ranges(), *of_trips()]
