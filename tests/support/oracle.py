"""Reference answer for small kit problems: every subset of the allowed tools is looked at.

Plain on purpose and written from the rules alone, so that it shares nothing with the program it judges.
Works on plain dicts: a trip as a caller sends it, field methods as rows with the tools' columns.
Masses are whole 0.01 g, times whole milliseconds per day.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from fractions import Fraction
from itertools import combinations_with_replacement
from typing import Any

import numpy as np

Row = dict[str, Any]
CUTTING_TASKS = ("split", "saw", "carve", "chop")
CM = 10  # mm in a cm
HUNDREDTHS = 100  # 0.01 g in a gram
MS_PER_MIN = 60_000
NEVER = 2**50  # longer than any day, and a hundred of them still fit an int64

# Judged values, no source; bands and notes belong to the catalog's assumptions.
SAW_CM2_PER_MIN = 300.0
CHOP_CM3_PER_MIN = 800.0
THIN_CHOP_CM3_PER_MIN = 800.0
THIN_CHOP_MM = 150.0
CLEFTS_PER_MIN = 6.0
CLEFT_REFERENCE_MM = 100.0
CLEFT_EXPONENT = 0.5
BATON_EXPONENT = 2.1
TANGS = ("full", "hidden")  # a baton drives a blade with one of these
CUT_HANDLING_MIN = 0.25
ROUND_HANDLING_MIN = 0.12
BREAK_HANDLING_MIN = 0.05
REST_SHARE = 0.2
REST_FREE_MIN = 30.0
BURNABLE_MM = 75.0
CARVE_MIN_PER_PIECE = 3.0
# Wedges carved in camp: thinnest round, how thick a round a tool starts as a multiple of its splitting and a share of
# its chopping size, minutes to start a round, wedges carved for a round, minutes to carve one at score 10.
WEDGE_LEAST_MM = 90.0
WEDGE_START_SPLIT, WEDGE_START_CHOP = 2.0, 0.5
WEDGE_START_MIN = 0.5
WEDGES_A_ROUND, WEDGE_LASTS = 2.0, 6.0
WEDGE_CARVE_MIN = 4.0
FULL_SCORE = 10.0
TURNED_SHARE = 0.85  # of the rate at the largest log, where a log too thick for the frame is turned
PACE = 1.0  # of these people against the mean of their skill
PAIR = 2
# The knife that stays in the pack (common practice, no source), and which kinds serve in frost and wet (judged).
HARDY_KNIVES, DRY_KNIVES = ("fixed knife", "long knife"), ("folding knife",)
KNIFE_NIGHTS = 2
# Families of the kinds that random trips have.
FAMILIES = {
    "knives": ("fixed knife", "folding knife", "long knife", "carving knife", "hook knife"),
    "saws": ("folding saw", "bow saw"),
    "axes": ("hatchet", "axe"),
}
# Stated defaults of the service: 90 minutes of work a day, wood dead and dry.
DEFAULT_WORK_MIN = 90
DEFAULT_STATE = "dead-dry"


@dataclass(frozen=True)
class Outcome:
    """What the best kit is; with ``blocked`` set there is none inside the traveller's own limits."""

    status: str
    ids: list[str]
    mass_cg: int
    ms: int
    ms_by_need: dict[int, int]
    gaps: list[int]
    blocked: str | None
    people: int = 1

    @property
    def mass_g(self) -> float:
        """Packed mass [g]."""
        return self.mass_cg / HUNDREDTHS

    @property
    def minutes(self) -> float:
        """Work of the whole party with its rest [min/day]."""
        return told_ms(self.ms, self.people) / MS_PER_MIN


def told_ms(work_ms: float, people: int) -> float:
    """A day's work with the rest that all of it beyond the free minutes of each person asks for [ms]."""
    free_ms = REST_FREE_MIN * MS_PER_MIN * people
    return work_ms if work_ms <= free_ms else free_ms + (work_ms - free_ms) * (1 + REST_SHARE)


def work_cap_ms(limit_min: float, people: int) -> int:
    """The most work [whole ms] of a day that is within a limit with its rest, the limit read as a decimal."""
    limit_ms, free_ms = Decimal(str(limit_min)) * MS_PER_MIN, Decimal(str(REST_FREE_MIN)) * MS_PER_MIN * people
    work_ms = Fraction(limit_ms)
    if limit_ms > free_ms:
        work_ms = Fraction(free_ms) + Fraction(limit_ms - free_ms) / (1 + Fraction(Decimal(str(REST_SHARE))))
    return math.floor(work_ms)


def packed_cg(tool: Row) -> int:
    """Bare mass and cover, summed as decimals, then rounded half-even to 0.01 g."""
    total = Decimal(str(tool["mass_g"])) + Decimal(str(tool.get("cover_g") or 0))
    return int((total * HUNDREDTHS).quantize(Decimal(1), rounding=ROUND_HALF_EVEN))


def need_groups(row: Row) -> list[list[str]]:
    """Companion groups of a row, from text ``a|b;c`` or from lists."""
    needs = row.get("needs") or []
    if isinstance(needs, str):
        needs = [group.split("|") for group in needs.split(";")]
    return [[member.strip() for member in group] for group in needs]


def score(row: Row, task: str) -> float:
    """Score of a row at a task; a missing one is 0."""
    return float(row.get(f"{task}_score") or 0)


# Field methods that break wood: force [N] and arm [m] (judged).
BREAK_FORCE_N, BREAK_ARM_M = 550.0, 0.4
LEVER_FORCE_N, LEVER_ARM_M = 700.0, 3.0
# The service's own wood is dry lodgepole pine at 10 C: 65 MPa (Wood Handbook, Table 5-3a); by Table 5-15 35 % more at
# -50 C than at 20 C, so 5 % more at 10 C; decay leaves 0.45 of it (judged).
SOUND_MPA = 65 * 1.05
DEAD_SHARE = 0.45


def largest_mm(row: Row, task: str) -> float:
    """Largest diameter [mm] of a row at a task."""
    return float(row.get(f"{task}_max_mm") or 0)


def reach_mm(row: Row, task: str) -> float:
    """Largest diameter [mm] of a row at a task; a frame saw that clears some log may have thicker ones turned."""
    within = largest_mm(row, task)
    return max(within, float(row.get("turned_max_mm") or 0)) if task == "saw" and within else within


def for_party(tool: Row, people: int) -> Row:
    """The tool in a party: idle where one person can't use it, else with the rate of a person and minute at a saw."""
    alone = tool.get("one_person", True)
    if people < PAIR:
        return tool if alone else tool | {"idle": True}
    each = (tool.get("second_worker_gain") or (1 if alone else PAIR)) / PAIR
    return tool | {"each": max(each, 1) if alone else each}


def people_at_work(trip: Row) -> int:
    """People who can work: all of the party, unless a variant of a trip says how many."""
    return int(trip.get("at_work", trip.get("people", 1)))


def serves(member: str, tool: Row) -> bool:
    """Whether a carried tool satisfies one member of a companion group."""
    if member == "can:buck":
        return score(tool, "saw") > 0 or score(tool, "chop") > 0
    if member.startswith("can:"):
        return score(tool, member.removeprefix("can:")) > 0
    return bool(tool["id"] == member)


def face_minutes(d_mm: float, at_score: float) -> float:
    """Minutes to part a face of pi d^2 / 4 at the full sawing rate."""
    return math.pi * (d_mm / CM) ** 2 / 4 / (at_score / FULL_SCORE * SAW_CM2_PER_MIN)


def stroke_share(d_mm: float, limit_mm: float) -> float:
    """Share of the sawing rate left: 1 up to half the largest diameter, falling evenly to 1/2 at it.

    Beyond it the log is turned: a share of that half.
    """
    if d_mm > limit_mm:
        return TURNED_SHARE / 2
    return 1.0 if d_mm <= limit_mm / 2 else 1.5 - d_mm / limit_mm


def clefts(d_mm: float) -> int:
    """Clefts that bring a round down to burnable pieces."""
    return max(1, math.ceil((d_mm / BURNABLE_MM) ** 2) - 1)


def task_minutes(row: Row, task: str, d_mm: float) -> float:
    """Minutes for one cut, cleft or piece by one of the four cutting tasks, a cut with its handling."""
    s = score(row, task)
    if task == "saw":
        at_rate = face_minutes(d_mm, s) / stroke_share(d_mm, largest_mm(row, "saw"))
        return at_rate / row.get("each", 1) + CUT_HANDLING_MIN
    share = s / FULL_SCORE
    if task == "chop":
        rate = THIN_CHOP_CM3_PER_MIN if d_mm < THIN_CHOP_MM else CHOP_CM3_PER_MIN
        return (d_mm / CM) ** 3 / 3 / (share * rate) + CUT_HANDLING_MIN
    if task == "split":
        exponent = BATON_EXPONENT if row.get("tang") in TANGS else CLEFT_EXPONENT
        return (d_mm / CLEFT_REFERENCE_MM) ** exponent / (share * CLEFTS_PER_MIN)
    return CARVE_MIN_PER_PIECE / share


def round_handling_min(part: Row) -> float:
    """Minutes to set up a round and pick its pieces, once, where it is opened."""
    return ROUND_HANDLING_MIN if part["task"] == "split" and part.get("opens", True) else 0.0


def can(row: Row, column: str, need: Row) -> bool:
    """Whether a row's score and largest diameter in one column suffice for a need."""
    s = score(row, column)
    fit = s > 0 and s >= need.get("min_score", 0) and reach_mm(row, column) >= need["diameter_mm"]
    return fit and not row.get("idle", False)


def parts(need: Row) -> list[Row]:
    """A need as single jobs: a split is one cleft through each round, then those through half of it, per_day each."""
    if need["task"] != "split":
        return [need]
    rounds, later = need.get("per_day", 1), clefts(need["diameter_mm"]) - 1
    found = [need | {"per_day": rounds, "opens": True}]
    rest = need | {"per_day": rounds * later, "diameter_mm": need["diameter_mm"] / 2, "opens": False}
    return found + [rest] * (later > 0)


def tool_ms(tool: Row, part: Row) -> int | None:
    """Milliseconds a day a tool takes for a part of a need by itself; None where it cannot do it."""
    columns = ("saw", "chop") if part["task"] == "buck" else (part["task"],)
    times = [task_minutes(tool, c, part["diameter_mm"]) for c in columns if can(tool, c, part)]
    if not times:
        return None
    return round((min(times) + round_handling_min(part)) * part.get("per_day", 1) * MS_PER_MIN / PACE)


def wedging_ms(tool: Row, wedges: Row, part: Row) -> int | None:
    """Milliseconds a day a tool takes to open rounds with wedges that it carves; None where it cannot."""
    d_mm = part["diameter_mm"]
    shares = {"split": WEDGE_START_SPLIT, "chop": WEDGE_START_CHOP}
    starts = max(largest_mm(tool, task) * share if score(tool, task) else 0.0 for task, share in shares.items())
    if not part.get("opens") or d_mm < WEDGE_LEAST_MM or d_mm > starts or not score(tool, "carve"):
        return None
    if not can(wedges, "split", part) or tool.get("idle", False):
        return None
    carving = WEDGES_A_ROUND / WEDGE_LASTS * WEDGE_CARVE_MIN / (score(tool, "carve") / FULL_SCORE)
    each = WEDGE_START_MIN + task_minutes(wedges, "split", d_mm) + carving + round_handling_min(part)
    return round(each * part.get("per_day", 1) * MS_PER_MIN / PACE)


def fastest_ms_of(tool: Row, methods: Sequence[Row], part: Row) -> int | None:
    """Milliseconds a day a tool takes for a part of a need, by itself or with wedges."""
    wedges = [row for row in methods if row.get("with_tools") and DEFAULT_STATE in (row.get("states") or DEFAULT_STATE)]
    times = [tool_ms(tool, part), *(wedging_ms(tool, row, part) for row in wedges)]
    return min((ms for ms in times if ms is not None), default=None)


def method_ms(method: Row, need: Row) -> int | None:
    """Milliseconds a day a field method takes for a stated need; None where it cannot do it.

    Bucking counts the face at the sawing rate; no stroke shortens, so the rate does not fall with the size.
    """
    moments_nm = {"break-by-hand": BREAK_FORCE_N * BREAK_ARM_M, "lever-between-trees": LEVER_FORCE_N * LEVER_ARM_M}
    if method["id"] in moments_nm:  # the round whose strength the moment reaches
        reach_mm_ = 10 * (32 * moments_nm[method["id"]] / (math.pi * SOUND_MPA * DEAD_SHARE)) ** (1 / 3)
        method = method | {"buck_max_mm": reach_mm_}
    states = method.get("states") or DEFAULT_STATE
    if method.get("own_fire") or method.get("with_tools"):
        return None
    if DEFAULT_STATE not in states or not can(method, need["task"], need):
        return None
    if need["task"] == "buck":
        each = face_minutes(need["diameter_mm"], score(method, "buck")) + BREAK_HANDLING_MIN
    else:
        each = task_minutes(method, need["task"], need["diameter_mm"]) + round_handling_min(need)
    return round(each * need.get("per_day", 1) * MS_PER_MIN / PACE)


def is_banned(kind: str, banned: Sequence[str]) -> bool:
    """Whether a kind is banned by its name or by the plural of its family."""
    return kind in banned or any(kind in FAMILIES.get(name, ()) for name in banned)


def counts_as_knife(tool: Row, trip: Row) -> bool:
    """Whether a tool can be the knife that stays in the pack: in frost and wet no folding one, alone none for two."""
    if not tool.get("one_person", True) and trip.get("people", 1) < PAIR:
        return False
    hard = trip.get("air_c", 10) < 0 or trip.get("wood", {}).get("state") == "dead-wet"
    return tool["kind"] in HARDY_KNIVES or (not hard and tool["kind"] in DRY_KNIVES)


def knives_asked(trip: Row) -> int:
    """Knives that a trip asks for, if any may go: where it has a fire, camp work, or nights enough."""
    fire = trip.get("fire")
    burns = fire is not None and fire.get("allowed", True)
    if not (burns or trip.get("camp_work") or trip.get("nights", 1) >= KNIFE_NIGHTS):
        return 0
    return {"one": 1, "none": 0, "each": trip.get("people", 1)}[trip.get("knife", "one")]


def more_knives(carried: Sequence[Row], trip: Row, asked: int) -> list[tuple[Row, ...]]:
    """Every way to make up the knives that a kit lacks by more of those it has; none where it has no knife."""
    knives = sorted((t for t in carried if counts_as_knife(t, trip)), key=lambda t: t["id"])
    if not asked:
        return [()]
    return list(combinations_with_replacement(knives, max(0, asked - len(knives)))) if knives else []


def is_allowed(tool: Row, trip: Row) -> bool:
    """Whether no ban, list of tools or length limit of the trip speaks against a tool."""
    limits = trip.get("limits", {})
    if tool["id"] in trip.get("leave_home", []) or is_banned(tool["kind"], limits.get("banned_kinds", [])):
        return False
    if trip.get("only") is not None and tool["id"] not in trip["only"]:
        return False
    return all(
        limits.get(length) is None or tool.get(length) is None or tool[length] <= limits[length]
        for length in ("edge_mm", "packed_mm")
    )


def usable_tools(trip: Row) -> list[Row]:
    """Allowed tools whose companions, and theirs in turn, can all be carried; sorted by id."""
    allowed = [for_party(t, people_at_work(trip)) for t in trip["tools"] if is_allowed(t, trip)]
    tools = sorted(allowed, key=lambda t: t["id"])
    while True:
        kept = [t for t in tools if all(any_serves(group, tools) for group in need_groups(t))]
        if len(kept) == len(tools):
            return kept
        tools = kept


def any_serves(group: Sequence[str], tools: Sequence[Row]) -> bool:
    """Whether some tool of a set satisfies a companion group."""
    return any(serves(member, tool) for member in group for tool in tools)


def at_least(trip: Row, need: Row) -> int:
    """Able carried tools that the backup rule asks for at a need (0 = a method alone will do)."""
    backup = trip.get("backup", "none")
    return 2 if backup == "all" or (backup == "critical" and need.get("critical", False)) else 0


def over_subsets(values: Sequence[Any], join: Callable[[Any, Any], Any], empty: Any) -> Any:
    """Table over all subsets: bit i of the index says whether ``values[i]`` is in."""
    table = np.array([empty])
    for value in values:
        table = np.concatenate([table, join(table, value)])
    return table


class Board:
    """All subsets of a trip's usable tools, with everything that decides among them."""

    def __init__(self, trip: Row, methods: Sequence[Row]) -> None:
        self.trip = trip
        self.methods = list(methods) if trip.get("field_methods", True) else []
        self.tools = usable_tools(trip)
        self.gaps = [i for i, need in enumerate(trip["tasks"]) if self._is_gap(need)]
        self.unbacked = [i for i, need in enumerate(trip["tasks"]) if self._able(need) < at_least(trip, need)]
        self.mass_cg = self._sums([packed_cg(t) for t in self.tools])
        self.count = self._sums([1] * len(self.tools))
        self.ms_by_need = {i: self._fastest(need) for i, need in enumerate(trip["tasks"]) if i not in self.gaps}
        self.ms = sum(self.ms_by_need.values(), np.zeros_like(self.mass_cg))
        self.more: dict[int, tuple[Row, ...]] = {}
        self.fits = self._companions() & self._must_carry() & self._backups() & (self.ms < NEVER)
        self.fits &= self._knives()
        self.fits &= self._within_limits()

    @staticmethod
    def _sums(values: Sequence[int]) -> Any:
        return over_subsets(values, np.add, 0)

    def _hits(self, wanted: Callable[[Row], bool]) -> Any:
        return over_subsets([wanted(t) for t in self.tools], np.logical_or, False)

    def _group_hit(self, group: Sequence[str]) -> Any:
        return self._hits(lambda tool: any(serves(member, tool) for member in group))

    def _able(self, need: Row) -> int:
        return sum(tool_ms(t, parts(need)[0]) is not None for t in self.tools)

    def _is_gap(self, need: Row) -> bool:
        return any(
            all(fastest_ms_of(t, self.methods, part) is None for t in self.tools)
            and not any(
                method_ms(m, part) is not None and all(any_serves(g, self.tools) for g in need_groups(m))
                for m in self.methods
            )
            for part in parts(need)
        )

    def _fastest(self, need: Row) -> Any:
        return np.minimum(sum(self._fastest_part(part) for part in parts(need)), NEVER)

    def _fastest_part(self, need: Row) -> Any:
        times = [fastest_ms_of(t, self.methods, need) for t in self.tools]
        table = over_subsets([NEVER if ms is None else ms for ms in times], np.minimum, NEVER)
        for method in self.methods:
            ms = method_ms(method, need)
            if ms is not None:
                ready = np.ones_like(table, dtype=bool)
                for group in need_groups(method):
                    ready &= self._group_hit(group)
                table = np.where(ready, np.minimum(table, ms), table)
        return table

    def _companions(self) -> Any:
        ok = np.ones_like(self.mass_cg, dtype=bool)
        for tool in self.tools:
            for group in need_groups(tool):
                ok &= self._group_hit(group) | ~self._hits(lambda t, tool=tool: t is tool)
        return ok

    def _must_carry(self) -> Any:
        must = set(self.trip.get("must_carry", []))
        return self._sums([t["id"] in must for t in self.tools]) == len(must)

    def _backups(self) -> Any:
        ok = np.ones_like(self.mass_cg, dtype=bool)
        for i in self.ms_by_need:
            if i in self.unbacked:
                continue
            need = self.trip["tasks"][i]
            first = parts(need)[0]
            ok &= self._sums([tool_ms(t, first) is not None for t in self.tools]) >= at_least(self.trip, need)
        return ok

    def _within_limits(self) -> Any:
        ok = np.ones_like(self.mass_cg, dtype=bool)
        limits = self.trip.get("limits", {})
        if limits.get("mass_g") is not None:
            ok &= self.mass_cg <= math.floor(Fraction(str(limits["mass_g"])) * HUNDREDTHS)
        if limits.get("price") is not None:
            cents = [round(Fraction(str(t.get("price") or 0)) * HUNDREDTHS) for t in self.tools]
            ok &= self._sums(cents) <= math.floor(Fraction(str(limits["price"])) * HUNDREDTHS)
        if limits.get("tools_at_most") is not None:
            ok &= self.count <= limits["tools_at_most"]
        return ok

    def _knives(self) -> Any:
        """Whether a kit has its knives; where it has too few, the lightest more of them that money allows go too."""
        asked = knives_asked(self.trip)
        ok = self._hits(lambda tool: counts_as_knife(tool, self.trip))
        if not asked or not ok[-1]:
            return np.ones_like(self.mass_cg, dtype=bool)
        most = self.trip.get("limits", {}).get("price")
        for mask in np.flatnonzero(ok) if asked > 1 else ():
            carried = [tool for bit, tool in enumerate(self.tools) if mask >> bit & 1]
            ways = more_knives(carried, self.trip, asked)
            ways = [more for more in ways if most is None or _price([*carried, *more]) <= Fraction(str(most))]
            if not ways:
                ok[mask] = False
                continue
            more = min(ways, key=lambda way: (sum(map(packed_cg, way)), sorted(t["id"] for t in way)))
            self.more[int(mask)] = more
            self.mass_cg[mask] += sum(map(packed_cg, more))
            self.count[mask] += len(more)
        return ok

    def fastest_ms(self) -> int | None:
        """Least time [ms/day] of any kit inside every limit but the day's work; None without one."""
        return int(self.ms[self.fits].min()) if self.fits.any() else None

    def best(self, work_min: float) -> Outcome:
        """Lightest kit inside a day's work [min]; then fastest, then fewest tools, then first ids."""
        people = people_at_work(self.trip)
        fits = self.fits & (self.ms <= work_cap_ms(work_min, people))
        if not fits.any():
            return Outcome("uncovered", [], 0, 0, {}, sorted({*self.gaps, *self.unbacked}), self._blocked_by())
        for aim in (self.mass_cg, self.ms, self.count):
            fits &= aim == aim[fits].min()
        ids, mask = min((self._ids(int(m)), int(m)) for m in np.flatnonzero(fits))
        by_need = {i: int(table[mask]) for i, table in self.ms_by_need.items()}
        status = "uncovered" if self.gaps or self.unbacked else "optimal"
        return Outcome(
            status,
            ids,
            int(self.mass_cg[mask]),
            int(self.ms[mask]),
            by_need,
            sorted({*self.gaps, *self.unbacked}),
            None,
            people,
        )

    def _ids(self, mask: int) -> list[str]:
        carried = [tool for bit, tool in enumerate(self.tools) if mask >> bit & 1]
        return sorted(tool["id"] for tool in [*carried, *self.more.get(mask, ())])

    def _blocked_by(self) -> str:
        return "limits" if self._must_carry().any() else "must_carry"


def _price(tools: Sequence[Row]) -> Fraction:
    """Sum of prices, unknown ones counting nothing."""
    return sum((Fraction(str(tool.get("price") or 0)) for tool in tools), Fraction(0))


def best_kit(trip: Row, methods: Sequence[Row]) -> Outcome:
    """The answer to a trip with inline tools, by looking at every kit."""
    return Board(trip, methods).best(trip.get("limits", {}).get("work_min_per_day", DEFAULT_WORK_MIN))
