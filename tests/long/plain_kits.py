"""Hold answers to trips of stated tasks against a second list of all kits, which knows the rules of the design alone.

`python tests plain_kits --seed 7 --count 200` asks so many questions of each kind; `--kinds season check` only those.
It shares no code with the other oracles. Times of tools come from plans of one tool and one task; a kit's day is the
sum of its quickest tools, since nothing wears here and nobody rests. Masses are coarse, so that kits tie; limits are
what a kit comes to, plus or minus one unit. Run by hand.
"""

import argparse
import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from itertools import combinations
from random import Random
from typing import Any

from long_clocks import end_by_nodes

import solver

Row = dict[str, Any]
Kit = frozenset[str]
_TASKS = ("split", "saw", "carve", "chop")
_WHOLE = 100  # hundredths of a gram, or of a price
_MS = 60_000
_HEAVY = 5_000_000  # 50 kg
_PLAIN: Row = {"knife": "none", "field_methods": False, "life": False, "assumptions": {"rest_share": 0}}


@cache
def _time_ms(tool: str, task: str, people: int) -> int | None:
    """Time of a tool at a task by itself [ms]; None where it can't do it."""
    row = {key: value for key, value in json.loads(tool).items() if key != "needs"}
    trip = _PLAIN | {"tools": [row], "tasks": [json.loads(task)], "people": people, "detail": "kit"}
    answer = solver.plan(trip | {"limits": {"work_min_per_day": 1440 * people}})
    return math.floor(Fraction(str(answer.kit.work_min_per_day)) * _MS) if answer.status == "optimal" else None


def _minutes(ms: int) -> float:
    """The least decimal of five digits that holds so many milliseconds."""
    return math.ceil(Fraction(ms * 10**5, _MS)) / 10**5


@dataclass(frozen=True)
class Told:
    """A kit with its figures: 0.01 g, ms, 0.01 of a price."""

    ids: Kit
    mass: int
    ms: int
    cents: int

    @property
    def order(self) -> tuple[int, int, int, list[str]]:
        """The order of aims: mass, minutes, number of tools, ids."""
        return self.mass, self.ms, len(self.ids), sorted(self.ids)


class Kits:
    """All kits of a trip, by the rules of the design."""

    def __init__(self, trip: Row) -> None:
        self.trip, self.limits = trip, trip.get("limits", {})
        self.rows = {tool["id"]: tool for tool in trip["tools"]}
        self.tasks, self.people = trip["tasks"], trip.get("people", 1)
        self.must = frozenset(trip.get("must_carry", ()))
        self.time = {
            name: [_time_ms(json.dumps(row), json.dumps(task), self.people) for task in self.tasks]
            for name, row in self.rows.items()
        }
        self.mass = {name: round(row["mass_g"] * _WHOLE) for name, row in self.rows.items()}
        self.cents = {name: round(row.get("price", 0) * _WHOLE) for name, row in self.rows.items()}

    def groups(self, name: str) -> Iterator[list[str]]:
        """The companion groups of a tool."""
        for group in filter(None, self.rows[name].get("needs", "").split(";")):
            yield group.split("|")

    def served(self, kit: Kit) -> Kit:
        """The tools of a kit that can be used: those without a companion can't, nor those that need them."""
        while True:
            left = frozenset(one for one in kit if all(kit & {*group} for group in self.groups(one)))
            if left == kit:
                return kit
            kit = left

    def day(self, kit: Kit, wanted: Iterable[int] | None = None) -> int | None:
        """The day of a kit at some tasks, or at all [ms]; None where it can't do one."""
        total = 0
        for place in range(len(self.tasks)) if wanted is None else wanted:
            times = [time for name in kit if (time := self.time[name][place]) is not None]
            if not times:
                return None
            total += min(times)
        return total

    def backed(self, kit: Kit) -> bool:
        """Whether two carried tools can do each task that asks for a backup."""
        which = self.trip.get("backup", "none")
        return all(
            sum(self.time[name][place] is not None for name in kit) >= 2
            for place, task in enumerate(self.tasks)
            if which == "all" or (which == "critical" and task.get("critical"))
        )

    def dealt(self, kit: Kit, mass: Mapping[str, int]) -> bool:
        """Whether each tool finds a member who may still carry it."""
        rooms = [round(one["carries_at_most_g"] * _WHOLE) for one in self.trip.get("members", ())]
        tools = sorted((mass[name] for name in kit), reverse=True)

        def fits(place: int, left: tuple[int, ...]) -> bool:
            if place == len(tools):
                return True
            return any(
                fits(place + 1, (*left[:who], room - tools[place], *left[who + 1 :]))
                for who, room in enumerate(left)
                if room >= tools[place] and room not in left[:who]
            )

        return not rooms or fits(0, tuple(rooms))

    @cached_property
    def cap_ms(self) -> int:
        """The work limit [ms]."""
        return math.floor(Fraction(str(self.limits.get("work_min_per_day", 90))) * _MS)

    def bears(self, kit: Kit, multiple: float, wanted: Sequence[int]) -> bool:
        """Whether a kit, any one of its tools lost, still does some tasks in a day so many times as long."""
        days = [self.day(self.served(kit - {one}), wanted) for one in kit]
        most = math.floor(Fraction(str(multiple)) * self.cap_ms)
        return all(day is not None and day <= most for day in days)

    @cached_property
    def working(self) -> list[Kit]:
        """The kits that keep all rules but those of grams, prices, members and time; must and home too."""
        home, found = {*self.trip.get("leave_home", ())}, list[Kit]()
        names, robust = sorted(set(self.rows) - home), self.trip.get("robust")
        for size in range(len(names) + 1):
            for some in combinations(names, size):
                kit = frozenset(some)
                if self.served(kit) == kit and self.backed(kit) and self.day(kit) is not None:
                    found.append(kit)
        if robust:
            wanted = [p for p, task in enumerate(self.tasks) if robust["needs"] == "all" or task.get("critical")]
            found = [kit for kit in found if self.bears(kit, robust["work_multiple"], wanted)]
        return found

    def keeping(self, mass: Mapping[str, int] | None = None, *, free: str = "", forced: str = "") -> list[Told]:
        """The kits that keep every rule, the best first.

        Args:
            mass: what tools weigh [0.01 g].
            free: a tool let off going, or a limit that is not held.
            forced: a tool that must go.
        """
        mass, found = mass or self.mass, list[Told]()
        caps = {
            name: math.floor(Fraction(str(cap)) * (1 if name == "tools_at_most" else _WHOLE))
            for name, cap in self.limits.items()
            if name != "work_min_per_day"
        }
        for kit in self.working:
            ms = self.day(kit)
            assert ms is not None
            one = Told(kit, sum(mass[name] for name in kit), ms, sum(self.cents[name] for name in kit))
            figures = {"mass_g": one.mass, "price": one.cents, "tools_at_most": len(kit)}
            if (
                kit >= (self.must | ({forced} if forced else frozenset())) - {free}
                and all(figures[name] <= cap for name, cap in caps.items())
                and (free == "work" or ms <= self.cap_ms)
                and self.dealt(kit, mass)
            ):
                found.append(one)
        return sorted(found, key=lambda one: one.order)

    @cached_property
    def best(self) -> list[Told]:
        """The kits that keep every rule, the best first."""
        return self.keeping()

    def earns(self, name: str, mass: int) -> bool:
        """Whether a tool of a mass [0.01 g] is in some lightest kit."""
        kits = self.keeping(self.mass | {name: mass})
        return any(name in one.ids for one in kits if one.mass == kits[0].mass)


def _tool(rng: Random, name: str, tasks: Sequence[str]) -> Row:
    row: Row = {"id": name, "kind": "other", "mass_g": rng.choice((50, 100, 150, 150, 200, 300.5, 420))}
    for task in rng.sample(tasks, rng.choice((1, 1, 2, 2, 3)) if len(tasks) > 2 else 1):
        row |= {f"{task}_score": rng.choice((1, 2, 3.5, 5, 8)), f"{task}_max_mm": rng.choice((40, 60, 90, 200))}
    return row | ({"price": rng.choice((5, 9.5, 20, 20, 45))} if rng.random() < 0.7 else {})


def _trip(rng: Random, *, most: int = 7, members: bool = False) -> Row:
    """A trip whose rules and limits just leave, or just don't leave, one of its kits."""
    people = rng.choice((2, 3)) if members else 1
    ways = ("split", "carve", "chop") if members else _TASKS  # two at a saw depend on what else there is to do
    tools = [_tool(rng, f"k{number}", ways) for number in rng.sample(range(30), rng.randint(3, most))]
    names = [tool["id"] for tool in tools]
    for tool in tools:
        if rng.random() < 0.2:
            others = [one for one in names if one != tool["id"]]
            tool["needs"] = "|".join(rng.sample(others, rng.choice((1, 2))))
    tasks = []
    for _ in range(rng.randint(1, 4)):
        task = rng.choice(ways if members else (*ways, "buck"))
        one: Row = {"task": task, "diameter_mm": rng.choice((30, 50, 70)), "per_day": rng.choice((1, 3, 8, 20))}
        tasks.append(one | {"critical": rng.random() < 0.5})
    trip = _PLAIN | {"tools": tools, "tasks": tasks, "people": people}
    trip["backup"] = rng.choice(("none", "none", "none", "critical", "all"))
    if rng.random() < 0.2:
        trip["leave_home"] = rng.sample(names, 1)
    if rng.random() < 0.3:
        bound = Kits(trip)
        going = sorted({name for kit in bound.working for name in kit})
        trip["must_carry"] = rng.sample(going, min(len(going), rng.choice((1, 2))))
    return _near(rng, trip, members=members)


def _near(rng: Random, trip: Row, *, members: bool = False) -> Row:
    """The trip with limits at what a kit comes to, plus or minus one unit."""
    kits = Kits(trip | {"limits": {"work_min_per_day": 1440 * trip["people"]}}).keeping()
    if not kits:
        return trip | {"limits": {"work_min_per_day": 1440 * trip["people"]}}
    one, off = rng.choice(kits), lambda: rng.choice((-1, 0, 0, 0, 1))
    limits: Row = {"work_min_per_day": 1440 * trip["people"]}
    if rng.random() < 0.7:
        limits["work_min_per_day"] = max(1.0, _minutes(one.ms + off()))
    if rng.random() < 0.4:
        limits["mass_g"] = max(0, one.mass + off()) / _WHOLE
    if rng.random() < 0.4:
        limits["price"] = max(0, one.cents + off()) / _WHOLE
    if rng.random() < 0.2:
        limits["tools_at_most"] = max(1, len(one.ids))
    if members:
        rooms = [0] * trip["people"]
        for name in one.ids:
            rooms[rng.randrange(len(rooms))] += round(Kits(trip).mass[name])
        rooms[0] = max(0, rooms[0] + off())
        trip = trip | {"members": [{"name": f"m{n}", "carries_at_most_g": r / _WHOLE} for n, r in enumerate(rooms)]}
    return trip | {"limits": limits}


def _cg(told: float | None) -> int | None:
    return None if told is None else round(told * _WHOLE)


def _best_differs(answer: Row, kits: Kits) -> list[str]:
    """Whether the kit told is not the first of all, or one is told where none is."""
    if not kits.best:
        return [] if answer["status"] == "uncovered" else [f"{answer['status']} where no kit keeps the rules"]
    first = kits.best[0]
    told = sorted(tool["id"] for tool in answer["kit"]["tools"])
    if (answer["status"], told) != ("optimal", sorted(first.ids)):
        return [f"{answer['status']} {told} {answer['kit']['mass_g']} for {first}"]
    ms = math.floor(Fraction(str(answer["kit"]["work_min_per_day"])) * _MS)
    return [] if ms == first.ms else [f"day {ms} for {first.ms}"]


def _plan(rng: Random) -> Iterator[str]:
    """Kit, prices of tools and needs, growth of masses, and what tools may weigh."""
    trip = _trip(rng, members=rng.random() < 0.3)
    kits = Kits(trip)
    answer = solver.plan(trip | {"ask_about": sorted(kits.rows)}).model_dump()
    yield from _best_differs(answer, kits)
    if not kits.best:
        return
    least = kits.best[0].mass
    for tool in answer["kit"]["tools"]:
        without = [one.mass for one in kits.keeping(free=tool["id"]) if tool["id"] not in one.ids]
        wanted = min(without) - least if without else None
        if _cg(tool["price_g"]) != wanted:
            yield f"price of {tool['id']} {tool['price_g']} for {wanted}"
    for place, need in enumerate(answer["needs"][: len(kits.tasks)] if len(kits.tasks) > 1 else []):
        rest = Kits(trip | {"tasks": [task for n, task in enumerate(trip["tasks"]) if n != place]}).best
        if _cg(need["price_g"]) != least - rest[0].mass:
            yield f"price of need {place} {need['price_g']} for {least - rest[0].mass}"
    for pin in answer["pins"]["tools"] if "members" not in trip else []:
        grows, name = _cg(pin["mass_may_grow_g"]), pin["id"]
        told = frozenset(tool["id"] for tool in answer["kit"]["tools"])
        for more, stays in [(_HEAVY, True)] if grows is None else [(grows, True), (grows + 1, False)]:
            grown = kits.keeping(kits.mass | {name: kits.mass[name] + more})
            if any(one.ids == told for one in grown if one.mass == grown[0].mass) != stays:
                yield f"{name} may grow by {grows}, not so at {more}"
    yield from _why_not(answer["why_not"], kits)


def _why_not(told: Sequence[Row], kits: Kits) -> Iterator[str]:
    for one in told:
        name = one["id"]
        if name in kits.trip.get("leave_home", ()):
            continue
        yield from _allowance_differs(kits, name, _cg(one["allowance_g"]), one["reason"])


def _allowance_differs(kits: Kits, name: str, mass: int | None, reason: str | None) -> Iterator[str]:
    """Whether a tool is not in a lightest kit at its allowance, or is at one unit more."""
    tries = {"never": [(1, False)], "unbounded": [(_HEAVY, True)]}.get(reason or "", [])
    for at, earns in tries or ([(mass, True), (mass + 1, False)] if mass else []):
        if kits.earns(name, at) != earns:
            yield f"allowance of {name} {mass} {reason}, not so at {at}"
    if not tries and not mass:
        yield f"allowance of {name} {mass} {reason}"


def _robust(rng: Random) -> Iterator[str]:
    trip = _trip(rng, most=6)
    kits = Kits(trip | {"robust": {"needs": rng.choice(("all", "critical")), "work_multiple": rng.choice((1, 1.5, 2))}})
    answer = solver.plan(kits.trip | {"detail": "kit"}).model_dump()
    if kits.best:
        yield from _best_differs(answer, kits)
    elif answer["status"] != "uncovered":
        yield f"robust {answer['status']} where no kit keeps the rules"


def _allowance(rng: Random) -> Iterator[str]:
    trip = _trip(rng, most=6, members=rng.random() < 0.3)
    name = rng.choice(trip["tools"])["id"]
    kits = Kits({key: value for key, value in trip.items() if key != "leave_home"})
    if rng.random() < 0.3:
        kits.trip["robust"] = {"needs": "all", "work_multiple": 2}
    tool = next(solver.UnmadeTool.model_validate(row) for row in trip["tools"] if row["id"] == name)
    found = solver.allowance(tool, kits.trip).trips[0]
    if kits.keeping(kits.mass | {name: 0}):
        yield from _allowance_differs(kits, name, _cg(found.allowance_g), found.reason)


def _front(rng: Random) -> Iterator[str]:
    trip, against = _trip(rng, members=rng.random() < 0.3), rng.choice(("minutes", "price"))
    kits = Kits(trip)
    answer = solver.front(trip, against=against).model_dump()
    every = kits.keeping(free="work") if against == "minutes" else kits.best

    def figures(one: Told) -> tuple[int, int]:
        return one.mass, one.ms if against == "minutes" else one.cents

    wanted = list[tuple[int, int]]()
    for pair in sorted(map(figures, every)):
        if not wanted or pair[1] < wanted[-1][1]:
            wanted.append(pair)
    known = {tuple(sorted(one.ids)): figures(one) for one in every}
    told = [known.get(tuple(sorted(point["ids"]))) for point in answer["points"]]
    if every and told != wanted:
        yield f"front against {against} {told} for {wanted}"
    if not every and answer["status"] != "uncovered":
        yield f"front {answer['status']} where no kit keeps the rules"


def _check(rng: Random) -> Iterator[str]:
    trip = _trip(rng)
    kits = Kits(trip)
    near = [one.ids for one in kits.keeping(free="work")] or [frozenset(kits.rows)]
    kit = set(rng.choice(near))
    if rng.random() < 0.5 and kit:
        kit ^= {rng.choice(sorted(kits.rows))}
    answer = solver.check(trip, sorted(kit)).model_dump()
    covering = {one.ids: one for one in kits.best}
    covered = frozenset(kit) in covering
    if answer["covered"] != covered:
        yield f"covered {answer['covered']} for {covered}"
    mass, swaps = sum(kits.mass[name] for name in kit), list[int]()
    changes = [({out}, {into}) for out in kit for into in set(kits.rows) - kit]
    changes += [({out}, set()) for out in kit] + [(set(), {into}) for into in set(kits.rows) - kit]
    swaps = [one.mass for out, into in changes if (one := covering.get(frozenset(kit - out | into)))]
    best = min(swaps, default=None)
    best = None if best is None or (covered and best >= mass) else mass - best
    told = answer["first_swap"]
    if (None if told is None else _cg(told["saves_g"])) != best:
        yield f"first swap {told} for {best}"


def _season(rng: Random) -> Iterator[str]:
    first = _trip(rng, most=6)
    trips = [first]
    for _ in range(rng.randint(0, 2)):
        other = {key: value for key, value in _trip(rng).items() if key in ("tasks", "backup")}
        trips.append(_near(rng, {**first, **other, "must_carry": []}))
    weights, each = [rng.choice((0.5, 1, 3)) for _ in trips], [Kits(trip).best for trip in trips]
    body = [(weight, trip) for weight, trip in zip(weights, trips, strict=True)]
    most, names = rng.choice((None, 1, 2, 3, 4)), sorted(Kits(first).rows)
    answer = solver.season(body, own_at_most=most).model_dump()
    found = list[tuple[Fraction, int, tuple[str, ...]]]()
    for size in range(len(names) + 1 if most is None else min(most, len(names)) + 1):
        for own in combinations(names, size):
            masses = [min((one.mass for one in kits if one.ids <= {*own}), default=None) for kits in each]
            if None not in masses:
                total = sum(
                    (Fraction(w) * m for w, m in zip(weights, masses, strict=True) if m is not None), Fraction()
                )
                found.append((total, size, own))
    if not found:
        if answer["status"] != "uncovered":
            yield f"season {answer['status']} where nothing does"
        return
    total, _, own_ids = min(found)
    told = Fraction(str(answer["weighted_g"])) * _WHOLE
    if answer["status"] != "optimal" or abs(told - total) > Fraction(1, 1000) or tuple(answer["own"]) != own_ids:
        yield f"season {answer['status']} {answer['own']} {answer['weighted_g']} for {own_ids} {float(total / _WHOLE)}"


def _bad_night(rng: Random) -> Iterator[str]:
    """The lightest kit that bears any loss within the work limit."""
    kits = Kits(_trip(rng, most=6))
    answer = solver.bad_night(kits.trip).model_dump()
    lost = next(case for case in answer["cases"] if case["case"] == "lost")
    if not kits.best or not lost["applies"]:
        return
    every = range(len(kits.tasks))
    bearing = [one.mass for one in kits.best if kits.bears(one.ids, 1, every)]
    told = None if lost["lightest"] is None else _cg(lost["lightest"]["mass_g"])
    if told != min(bearing, default=None):
        yield f"lightest that bears a loss {told} for {min(bearing, default=None)}"


KINDS: Mapping[str, Callable[[Random], Iterator[str]]] = {
    "plan": _plan,
    "robust": _robust,
    "allowance": _allowance,
    "front": _front,
    "check": _check,
    "season": _season,
    "bad-night": _bad_night,
}


def main() -> None:
    """Ask, judge, print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", default="0")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--kinds", nargs="*", default=list(KINDS), choices=list(KINDS))
    told = parser.parse_args()
    end_by_nodes()
    for kind in told.kinds:
        differing = 0
        for number in range(told.first, told.first + told.count):
            wrong = list(KINDS[kind](Random(f"{told.seed} {kind} {number}")))
            differing += bool(wrong)
            for one in wrong:
                print(f"{kind} --seed {told.seed} --first {number}: {one}", flush=True)
        print(f"{kind}: {told.count} asked, {differing} differ", flush=True)


if __name__ == "__main__":
    main()
