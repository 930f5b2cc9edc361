"""The work of a trip with a fire, worked out again from the stated rules: jobs, workers, time, energy, wear.

Works on plain dicts, as oracle.py does. Formulas of wood, heat and water, and every judged figure, are the
catalog's, which have tests of their own; how they make needs, work and wear is worked out here. Times are
milliseconds a day, or per kilogram.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import pairwise
from typing import Any, cast

from oracle import (
    CUTTING_TASKS,
    HUNDREDTHS,
    MS_PER_MIN,
    TANGS,
    Row,
    any_serves,
    can,
    largest_mm,
    need_groups,
    reach_mm,
    score,
    stroke_share,
    usable_tools,
)

from catalog import assumed, methods
from catalog.equipment.camp_work import camp_items
from catalog.walking.labour import activity_of, net_kcal_per_min
from catalog.walking.route import carrying_cost
from catalog.wood.bending import dead_rupture_mpa
from catalog.wood.fuel import dry_net_heat_mj_kg, net_heat_mj_kg
from catalog.wood.moisture import density_kg_m3, green_moisture_pct, specific_gravity_at, wet_basis_pct
from catalog.wood.species import species_of
from catalog.wood.water import boiling_point_c, melting_kj, warming_kj
from catalog.wood.work import CuttingTask, WoodState, time_factor

MILLIONTH_DIGITS = 6  # lives and kcal count in whole millionths
FULL_SCORE = 10
MJ_PER_KWH = 3.6
KJ_PER_MJ = 1000
MM_PER_M = 1000
THIN_CHOP_MM = 150  # below it chopping has a rate of its own
REFERENCE_MM = 100  # the round that cleft times are stated at
AIR_DRY_PCT = 12  # usda-fpl-gtr-190-2010, Table 5-3: the air-dry column
# Bands of thickness as the assumptions on reach and gathering state them.
TWIGS_MM, THIN_MM, MIDDLE_MM = 30, 50, 80
USUAL_MM = {"pot-stove": (20, 40, 75)}  # thumb limbs, wrist and forearm elsewhere
# What each hearth is judged by: assumptions for the pot, the longest and thickest piece, the most that burns.
HEARTHS: Mapping[str, tuple[str, str | None, str | None, str | None]] = {
    "open": ("fire_efficiency", None, None, None),
    "shielded": ("efficiency_shielded", None, None, None),
    "pot-stove": ("efficiency_pot_stove", "longest_pot_stove", "thickest_pot_stove", "most_pot_stove"),
    "tent-stove": ("efficiency_tent_stove", "longest_tent_stove", "thickest_tent_stove", "most_tent_stove"),
}
# Force and arm of the methods that break wood.
BREAKING = {"break-by-hand": ("break_force", "break_arm"), "lever-between-trees": ("lever_force", "lever_arm")}
W_PER_KW = 1000
KINDLING_MM = 25
PARTS = ("teeth", "edge")  # of a tool, each with a life of its own
WAYS = {"buck": ("saw", "chop", "buck"), "cut": ("saw", "chop")}  # in this order where two take equally long


@cache
def method_rows() -> tuple[Row, ...]:
    """The built-in field methods as plain rows."""
    return tuple(row.model_dump() for row in methods())


@dataclass(frozen=True)
class Job:
    """Work of one sort: a fixed amount a day, or what each kilogram of a class is due."""

    id: str
    task: str
    diameter_mm: float
    amount: float
    min_score: float = 0.0
    each_min: float | None = None
    backup: int = 0
    wood_class: int | None = None
    part: str = ""  # of a split: "open" the rounds, then split their "pieces"
    clefts: int | None = None  # of a round, where that is told
    burnable_mm: float | None = None
    longest_mm: float | None = None

    @property
    def through_mm(self) -> float:
        """What a cleft runs through: the round, then half of it."""
        return self.diameter_mm / 2 if self.part == "pieces" else self.diameter_mm

    @property
    def need(self) -> Row:
        """The job as oracle.can() reads it."""
        return {"diameter_mm": self.through_mm, "min_score": self.min_score}


@dataclass(frozen=True)
class Doing:
    """One worker at one job in one way: time [ms], energy above rest [kcal], share of the part's life over the trip."""

    way: str
    ms: int
    kcal: float
    wear: float

    @property
    def part(self) -> str:
        """What wears: the teeth by sawing, the edge by all else."""
        return "teeth" if self.way == "saw" else "edge"


@dataclass(frozen=True)
class Klass:
    """Firewood of one thickness: reach [kg a day], gathering [ms/kg and kcal/kg], whether it is split.

    `longest_mm` is the longest that a piece may stay once it is broken; None where it may stay long.
    """

    diameter_mm: float
    reach_kg: float
    gather_ms: int
    gather_kcal: float
    split: bool
    burnable_mm: float
    longest_mm: float | None


def fire_of(trip: Row) -> Row:
    """The fire of a trip, empty where none may be lit."""
    fire: Row = trip.get("fire") or {}
    return fire if fire.get("allowed", True) else {}


class Place:
    """The wood of the place: how it is worked and how it burns."""

    def __init__(self, trip: Row) -> None:
        form = trip.get("wood", {})
        self.trip, self.form = trip, form
        self.species = species_of(form.get("species", "lodgepole-pine"))
        self.state: WoodState = form.get("state", "dead-dry")
        self.knotty: bool = form.get("knotty", False)
        self.air_c: float = trip.get("air_c", 10)
        told = form.get("frozen")
        cold = self.state != "dead-dry" and self.air_c < assumed("frozen_below")
        self.frozen: bool = cold if told is None else told
        self.burnable_mm = assumed("burnable_dry" if self.state == "dead-dry" else "burnable_wet")

    def factor(self, way: str) -> float:
        """Time against the reference wood; breaking and burning go as sawing does, carving as it is."""
        if way == "carve":
            return 1.0
        task = cast(CuttingTask, "saw" if way == "buck" else way)
        by_law = time_factor(
            self.species, task, state=self.state, air_c=self.air_c, frozen=self.frozen, knotty=self.knotty
        ).factor
        return by_law * (1.0 if self.species.id == "lodgepole-pine" else assumed(f"residual_{task}"))

    @cached_property
    def pace(self) -> float:
        """Rate of the party against a practised adult."""
        skill = self.trip.get("skill", "practised")
        return assumed("pace") * (1.0 if skill == "practised" else assumed(f"skill_{skill}"))

    @cached_property
    def fuel_moisture_pct(self) -> float:
        """Moisture as burned [% dry basis]."""
        if self.state == "dead-dry":
            return AIR_DRY_PCT
        return assumed("dead_wet_fuel_moisture") if self.state == "dead-wet" else green_moisture_pct(self.species)

    @cached_property
    def net_mj_kg(self) -> float:
        """Net heat as burned."""
        wet = wet_basis_pct(dry_basis_pct=self.fuel_moisture_pct)
        return net_heat_mj_kg(dry_net_mj_kg=dry_net_heat_mj_kg(self.species.group), moisture_wet_pct=wet)

    def rounds_per_kg(self, diameter_mm: float) -> float:
        """Rounds in a kilogram of firewood, as long as the hearth takes them."""
        gravity = specific_gravity_at(self.species, moisture_pct=self.fuel_moisture_pct)
        density = density_kg_m3(specific_gravity=gravity, moisture_pct=self.fuel_moisture_pct)
        fits_mm = self.stove("longest")
        length_mm = assumed("round_length") if fits_mm is None else min(assumed("round_length"), fits_mm)
        radius_m, length_m = diameter_mm / MM_PER_M / 2, length_mm / MM_PER_M
        return 1 / (density * math.pi * radius_m**2 * length_m)

    @property
    def hearth(self) -> str:
        """What the fire burns in."""
        name: str = fire_of(self.trip).get("hearth", "open")
        return name

    def stove(self, what: str) -> float | None:
        """A figure of the hearth: longest or thickest piece [mm], the most that burns [kg/h]; None without limit."""
        name = dict(zip(("pot", "longest", "thickest", "most"), HEARTHS[self.hearth], strict=True))[what]
        return None if name is None else assumed(name)

    @property
    def pieces_mm(self) -> float:
        """Thickness down to which the hearth's rounds are split."""
        thickest = self.stove("thickest")
        return self.burnable_mm if thickest is None else min(self.burnable_mm, thickest)

    def broken_mm(self, method: str, longest_mm: float | None) -> float:
        """The round whose section modulus times its strength is the moment: force times arm, at most half a piece."""
        if self.state == "green" or (longest_mm is not None and method == "lever-between-trees"):
            return 0.0  # green wood bends, and a short lever is none
        force, arm = (assumed(name) for name in BREAKING[method])
        moment_nm = force * (arm if longest_mm is None else min(arm, longest_mm / MM_PER_M / 2))
        states: tuple[WoodState, ...] = ("dead-dry", self.state)  # wet wood breaks no thicker than dry (judged)
        strength_pa = 1e6 * max(dead_rupture_mpa(self.species, state=one, air_c=self.air_c) for one in states)
        return float(MM_PER_M * (moment_nm / strength_pa * 32 / math.pi) ** (1 / 3))

    def largest_mm(self, row: Row, way: str, longest_mm: float | None = None) -> float:
        """Largest diameter of a row; knots leave a share of it to splitting, strength sets that of breaking."""
        if way == "buck" and row["id"] in BREAKING:
            return self.broken_mm(row["id"], longest_mm)
        share = assumed("split_max_knotty") if self.knotty and way == "split" else 1.0
        return reach_mm(row, way) * share


def firewood_kg(trip: Row, place: Place) -> dict[str, float]:
    """Kilograms of wood a day by use: each hour's wood goes to the use that wants the biggest fire then."""
    found = wishes(trip, place)
    kg = {name: rate * apart_h for name, rate, begins_h, ends_h, apart_h in found if apart_h or ends_h > begins_h}
    wanted = [use[:4] for use in found if use[3] > use[2]]
    moments = sorted({moment for _, _, begins_h, ends_h in wanted for moment in (begins_h, ends_h)})
    for begins_h, ends_h in pairwise(moments):
        lit = [(rate, name) for name, rate, first_h, last_h in wanted if first_h <= begins_h and ends_h <= last_h]
        rate, name = max(lit, key=lambda one: one[0])  # of equal rates the first
        kg[name] += rate * (ends_h - begins_h)
    return kg


def wishes(trip: Row, place: Place) -> list[tuple[str, float, float, float, float]]:
    """What each use wants of the fire: id, kg an hour, when its shared hours begin and end, and its hours apart."""
    fire, people = fire_of(trip), trip.get("people", 1)
    fires, net = max(1, people / assumed("people_per_fire")), place.net_mj_kg
    most = place.stove("most")
    most_kg_h = math.inf if most is None else most * fires
    litres = fire.get("hot_water_l_per_person", 0) * people
    boil_c = boiling_point_c(elevation_m=trip.get("elevation_m", 0))
    stream_c = min(max(place.air_c, 0), assumed("water_warmest"))
    start_c = 0 if fire.get("melt_snow") else stream_c
    boiling_kg_h = min(assumed("boil_rate"), most_kg_h)

    def pot_h(kilojoules: float) -> float:
        return kilojoules / KJ_PER_MJ / (place.stove("pot") or 1) / net / boiling_kg_h

    heated_h = pot_h(warming_kj(litres=litres, start_c=start_c, target_c=boil_c))
    apart = assumed("water_apart") if fire.get("warmth_h") or fire.get("drying_h") else 0
    shared = 1 - apart
    found = [("hot-water", boiling_kg_h, 0.0, heated_h * shared, heated_h * apart)]
    if fire.get("melt_snow"):
        snow_c = max(min(place.air_c, 0), assumed("snow_coldest"))
        melted_h = pot_h(melting_kj(snow_kg=litres, snow_c=snow_c, target_c=0))
        ends_h = (heated_h + melted_h) * shared
        found.append(("snow-melt", boiling_kg_h, heated_h * shared, ends_h, melted_h * apart))
    cold = max(0, assumed("warmth_comfort") - place.air_c)
    if place.hearth == "tent-stove":
        warm_kw = assumed("tent_m2") * fires * assumed("tent_u") * cold / W_PER_KW / assumed("tent_heat_kept")
    else:
        crowd = max(1, min(people, assumed("people_per_fire")) / assumed("warmth_people"))
        warm_kw = assumed("warmth_kw_per_degree") * cold * crowd ** assumed("warmth_growth") * fires
    for name, power_kw in (("warmth", warm_kw), ("drying", assumed("drying_kw") * fires)):
        kg_h = min(max(power_kw * MJ_PER_KWH / net, assumed("simmer_rate")), most_kg_h)
        found.append((name, kg_h, 0.0, fire.get(f"{name}_h", 0) if power_kw else 0, 0.0))
    return found


def band(diameter_mm: float) -> str:
    """Band of thickness."""
    return "thin" if diameter_mm <= THIN_MM else "middle" if diameter_mm <= MIDDLE_MM else "thick"


def reach_of(form: Row, hearth: str = "open", *, snow: bool = False) -> dict[float, float]:
    """Kilograms within reach by diameter."""
    told: dict[float, float] = {}
    if form.get("diameters"):
        for one in form["diameters"]:
            told[one["mm"]] = told.get(one["mm"], 0) + one["reach_kg_per_day"]
        return told
    sizes = set(form.get("diameters_mm") or USUAL_MM.get(hearth, (40, 75, 120)))
    same = [band(mm) for mm in sizes]
    left = {mm: assumed("reach_snow") if snow and mm <= MIDDLE_MM else 1.0 for mm in sizes}  # the rest is buried
    return {mm: assumed(f"reach_{band(mm)}") * left[mm] / same.count(band(mm)) for mm in sizes}


def in_grams(kg: float) -> float:
    """Wood counts in whole grams, and what there is of it is a gram at least."""
    return max(float(kg > 0), round(kg * 1000)) / 1000


def klasses_of(trip: Row, place: Place, body_kg: float) -> list[Klass]:
    """Classes of firewood, thinnest first."""
    melted = fire_of(trip).get("melt_snow", False)
    snow = assumed("gather_snow") if melted else 1
    rate = net_kcal_per_min(met=activity_of("gather").met, body_kg=body_kg)
    found = []
    for mm, reach_kg in sorted(reach_of(place.form, place.hearth, snow=melted).items()):
        minutes = assumed("gather_twigs" if mm <= TWIGS_MM else f"gather_{band(mm)}") * snow
        wet = place.state == "dead-wet" and mm >= assumed("split_wet_least_mm")
        split = wet or mm > place.pieces_mm
        longest_mm = place.stove("longest")
        if longest_mm is None and split:
            longest_mm = assumed("split_piece_longest")
        gather_ms = round(minutes * MS_PER_MIN)
        gather_kcal = round(minutes * rate, MILLIONTH_DIGITS)
        found.append(Klass(mm, in_grams(reach_kg), gather_ms, gather_kcal, split, place.pieces_mm, longest_mm))
    return found


def fixed_jobs(trip: Row, uses: Mapping[str, float], place: Place) -> list[Job]:
    """Stated tasks, camp work and kindling."""
    everything = trip.get("backup") == "all"
    jobs: list[Job] = []
    for number, task in enumerate(trip.get("tasks", [])):
        backed = everything or (trip.get("backup") == "critical" and task.get("critical", False))
        jobs.append(
            Job(
                f"task {number}",
                task["task"],
                task["diameter_mm"],
                task.get("per_day", 1),
                task.get("min_score", 0),
                backup=2 * backed,
            )
        )
    for number, asked in enumerate(trip.get("camp_work", [])):
        pieces = asked["per_day"] if "per_day" in asked else asked["per_trip"] / trip.get("nights", 1)
        first = camp_items()[asked["id"]]
        for item in [first, *([camp_items()[first.comes_with]] if first.comes_with else [])]:
            carved = item.task == "carve"
            amount, each = (pieces, item.amount) if carved else (pieces * item.amount, None)
            task = item.task if item.task != "buck" or item.broken else "cut"
            name = f"camp {number}" if item is first else f"camp {number} brings"
            once = 1 if item.task == "split" else None  # a board is split off by one cleft
            jobs.append(Job(name, task, item.diameter_mm, amount, item.min_score, each, 2 * everything, clefts=once))
    jobs = [part for job in jobs for part in parts_of(job, place)]
    if uses and place.state != "dead-dry":
        pieces = assumed("kindling_pieces") * (2 if "hot-water" in uses and assumed("water_apart") else 1)
        jobs.append(Job("kindling", "carve", KINDLING_MM, pieces, each_min=assumed("kindling_minutes")))
    return jobs


def parts_of(job: Job, place: Place) -> list[Job]:
    """A job, or the two of a split: a cleft that opens each round, then those of its pieces."""
    if job.task != "split":
        return [job]
    burnable_mm = job.burnable_mm or place.burnable_mm
    clefts = job.clefts or max(1, math.ceil((job.diameter_mm / burnable_mm) ** 2) - 1)
    later = replace(job, part="pieces", amount=job.amount * (clefts - 1), backup=0)  # who opens them splits them too
    return [replace(job, part="open")] + [later] * (clefts > 1)


def enough_mm(klasses: Sequence[Klass], wanted_kg: float, done: Sequence[bool]) -> float | None:
    """The least size of a tool with which there is enough wood, counting what is done without; None if none is needed.

    Tried for each size in turn, as a tool of that size takes all that is as thin.
    """
    for mm in (0.0, *(one.diameter_mm for one in klasses)):
        pairs = zip(klasses, done, strict=True)
        if sum(one.reach_kg for one, free in pairs if free or one.diameter_mm <= mm) >= wanted_kg - 1e-9:
            return mm or None
    return None


class Wood:
    """A trip as jobs against workers."""

    def __init__(self, trip: Row) -> None:
        self.trip, self.place = trip, Place(trip)
        route = trip.get("route", {})
        self.body_kg = route.get("body_kg", assumed("body_kg"))
        self.kg = firewood_kg(trip, self.place)
        self.demand_kg = in_grams(sum(self.kg.values()))
        self.klasses = klasses_of(trip, self.place, self.body_kg) if self.kg else []
        self.jobs = fixed_jobs(trip, self.kg, self.place)
        on = trip.get("field_methods", True)
        rows = [row for row in method_rows() if on and self.place.state in row["states"]]
        self.methods = [row for row in rows if not row["with_tools"]]
        driven = not self.place.knotty and not self.place.frozen and self.place.air_c >= assumed("wedge_coldest_c")
        self.wedges = next((row for row in rows if row["with_tools"] and driven), None)
        self.jobs += self.second_tools()
        for c, one in enumerate(self.klasses):
            rounds = self.place.rounds_per_kg(one.diameter_mm)
            due = ("buck", "split") if one.split else ("buck",)
            burns, longest = one.burnable_mm, one.longest_mm
            mine = [
                Job(f"class {c}", task, one.diameter_mm, rounds, wood_class=c, burnable_mm=burns, longest_mm=longest)
                for task in due
            ]
            self.jobs += [part for job in mine for part in parts_of(job, self.place)]
        self.tools = usable_tools(trip)
        self.methods = [m for m in self.methods if all(any_serves(g, self.tools) for g in need_groups(m))]
        self.doings = [self._doings(job) for job in self.jobs]
        own = [[*WAYS.get(job.task, (job.task,))] for job in self.jobs]
        self.able = [  # by itself, without wedges: what a backup counts
            {tool["id"] for tool in self.tools if any(self._doing(tool, job, way) for way in ways)}
            for job, ways in zip(self.jobs, own, strict=True)
        ]

    @cached_property
    def kcal_per_cg(self) -> float:
        """What 0.01 g costs on a day's way, by Pandolf and Santee."""
        route = self.trip.get("route", {})
        cost = carrying_cost(
            km_per_day=route.get("km_per_day", assumed("route_km")),
            climb_m_per_day=route.get("climb_m_per_day", assumed("route_climb")),
            terrain=route.get("terrain", "dirt-road"),
            body_kg=self.body_kg,
            pack_kg=route.get("pack_kg", assumed("pack_kg")),
        )
        return cost.pandolf_santee_kcal_per_g / HUNDREDTHS

    def second_tools(self) -> list[Job]:
        """Where everything is backed up: jobs of no work at the size that a second tool must take."""
        if self.trip.get("backup") != "all":
            return []
        wanted = min(self.demand_kg, sum(one.reach_kg for one in self.klasses))
        by_hand = [any(self._leaves_short(row, one) for row in self.methods) for one in self.klasses]
        whole = [not one.split for one in self.klasses]
        sizes = {task: enough_mm(self.klasses, wanted, done) for task, done in (("buck", by_hand), ("split", whole))}
        found = [Job(f"second to {task}", task, mm, 0.0, backup=2) for task, mm in sizes.items() if mm is not None]
        return [replace(job, part="open") if job.task == "split" else job for job in found]

    def _leaves_short(self, row: Row, one: Klass) -> bool:
        """Whether a method cuts a class to length, as short as it must be."""
        if row.get("own_fire"):
            return one.longest_mm is None
        return score(row, "buck") > 0 and self.place.largest_mm(row, "buck", one.longest_mm) >= one.diameter_mm

    def _doings(self, job: Job) -> dict[str, list[Doing]]:
        """Every way of every worker, the fastest first."""
        found = {}
        for row in [*self.tools, *self.methods]:
            if not row.get("own_fire") or self._burns_through(job):
                ways = [self._doing(row, job, way) for way in WAYS.get(job.task, (job.task,))]
                ways.append(self._wedging(row, job))
                able = [one for one in ways if one is not None]
                if able:
                    found[row["id"]] = sorted(able, key=lambda one: one.ms)
        return found

    def _burns_through(self, job: Job) -> bool:
        return job.wood_class is not None and self.klasses[job.wood_class].longest_mm is None

    def _doing(self, row: Row, job: Job, way: str) -> Doing | None:
        largest = self.place.largest_mm(row, way, job.longest_mm)
        sized = row | {f"{way}_max_mm": largest}
        if not can(sized, way, job.need):
            return None
        base_min, load = load_of(job, way)
        minutes = base_min * self.place.factor(way) / self.place.pace * FULL_SCORE / score(row, way)
        if way == "saw":
            minutes /= stroke_share(job.diameter_mm, largest_mm(row, "saw")) * row.get("each", 1)
        if way == "split" and row.get("tang") in TANGS:
            minutes *= (job.through_mm / REFERENCE_MM) ** (assumed("baton_exponent") - assumed("cleft_exponent"))
        minutes += handling_min(job, way) / self.place.pace
        ms = round(minutes * MS_PER_MIN)
        met = activity_of("gather" if way == "buck" else way).met
        kcal = round(ms / MS_PER_MIN * net_kcal_per_min(met=met, body_kg=self.body_kg), MILLIONTH_DIGITS)
        life = row.get(f"{way}_life") if self.trip.get("life", True) and way in CUTTING_TASKS else None
        wear = round(self.trip.get("nights", 1) * load / life, MILLIONTH_DIGITS) if life else 0.0
        return Doing(way, ms, kcal, wear)

    def starts_mm(self, row: Row) -> float:
        """Largest round in which a row starts a cleft for wedges, as far as these go."""
        if self.wedges is None or row.get("idle", False):
            return 0.0
        reach = {"split": assumed("wedge_start_split"), "chop": assumed("wedge_start_chop")}
        starts = max(self.place.largest_mm(row, way) * reach[way] if score(row, way) else 0.0 for way in reach)
        return min(starts, largest_mm(self.wedges, "split"))

    def _wedging(self, row: Row, job: Job) -> Doing | None:
        """Rounds opened with wedges that the tool carves, once it has started the cleft."""
        starts = self.starts_mm(row)
        if self.wedges is None or row not in self.tools or job.part != "open" or not score(row, "carve"):
            return None
        if not assumed("wedge_least_mm") <= job.diameter_mm <= starts or not can(self.wedges, "split", job.need):
            return None
        carved = assumed("wedges_a_round") / assumed("wedge_lasts")
        driving = load_of(job, "split")[0] * self.place.factor("split")
        driving *= FULL_SCORE / score(self.wedges, "split")
        carving = job.amount * carved * assumed("wedge_minutes") * FULL_SCORE / score(row, "carve")
        minutes = driving + job.amount * assumed("wedge_start_min") + carving + handling_min(job, "split")
        minutes /= self.place.pace
        ms = round(minutes * MS_PER_MIN)
        kcal = round(
            ms / MS_PER_MIN * net_kcal_per_min(met=activity_of("split").met, body_kg=self.body_kg), MILLIONTH_DIGITS
        )
        split, chop, carve = (row.get(f"{way}_life") for way in ("split", "chop", "carve"))
        start = 1 / split if split else assumed("wedge_start_cm3") / chop if chop else 0.0
        spent = start + (carved / carve if carve else 0.0)
        wear = self.trip.get("nights", 1) * job.amount * spent if self.trip.get("life", True) else 0.0
        return Doing("wedge", ms, kcal, round(wear, MILLIONTH_DIGITS))

    def lasting(self, tool: Row, carried: Sequence[Row], part: str) -> float:
        """Lives that a part of a tool has on the trip, with what the kit carries to renew it."""
        renewers = ids_in(tool.get("sharpened_by"))
        told = {row["id"]: row for row in self.trip.get("known", self.trip.get("tools", []))}
        if not self.trip.get("upkeep", True) and any(renews(told.get(name, {}), part) for name in renewers):
            return math.inf
        lives = 1.0
        for other in carried:
            if other["id"] in renewers and renews(other, part):
                share = spare_share(tool, other, part)
                lives += math.inf if share is None else share
        return lives


def handling_min(job: Job, way: str) -> float:
    """Minutes of setting up and moving the cuts, breaks or rounds of a job; carving has it in it."""
    if way == "buck":
        return job.amount * assumed("handling_break")
    if way in ("saw", "chop"):
        return job.amount * assumed("handling_cut")
    return job.amount * assumed("handling_round") if job.part == "open" else 0.0


def load_of(job: Job, way: str) -> tuple[float, float]:
    """Minutes at score 10 in the reference wood, and clefts, cut face, pieces or notch that wear counts."""
    if way == "split":
        factor = (job.through_mm / REFERENCE_MM) ** assumed("cleft_exponent")
        return job.amount * factor / assumed("cleave_rate"), job.amount
    if way == "carve":
        each = assumed("carve_minutes") if job.each_min is None else job.each_min
        return job.amount * each, job.amount
    cm = job.diameter_mm / 10
    if way == "chop":
        chips_cm3 = job.amount * cm**3 / 3
        rate = assumed("chop_rate_thin" if job.diameter_mm < THIN_CHOP_MM else "chop_rate")
        return chips_cm3 / rate, chips_cm3
    face_cm2 = job.amount * math.pi * cm**2 / 4
    return face_cm2 / assumed("saw_rate"), face_cm2


def ids_in(cell: Any) -> list[str]:
    """Ids of a list, or of text with bars."""
    return cell.split("|") if isinstance(cell, str) else list(cell or [])


def renews(renewer: Row, part: str) -> bool:
    """Whether a sharpener or spare renews this part of the tools that name it."""
    return (renewer.get("renews") or "both") in ("both", part)


def spare_share(tool: Row, renewer: Row, part: str) -> float | None:
    """Life that a spare adds to a part of a tool, as a share of the tool's; None for what sharpens without end.

    A spare states a life at a task of the tool and can't do that task itself: one of the part's own tasks first.
    """
    own_first = ("saw", "split", "carve", "chop") if part == "teeth" else ("split", "carve", "chop", "saw")
    for way in own_first:
        own, added = tool.get(f"{way}_life"), renewer.get(f"{way}_life")
        if own and added and not score(renewer, way):
            return float(round(added / own, MILLIONTH_DIGITS))
    return None
