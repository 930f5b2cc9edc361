"""Small integer programs of every kind that the model makes, and their optima by looking at every kit in whole numbers.

The rows are the model's own (`solver/model/program.py`); the optima are not: they are worked out here from the rules,
with fractions where work is shared out. Masses run over four decades, and half of the limits are within one unit of
what some kit comes to.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from random import Random

import numpy as np

from solver.forms.quantity import Objective
from solver.model.case import EDGE, FIXED, NEVER, TEETH, Case, Renewal
from solver.model.firewood import Firewood
from solver.model.program import Program, build
from solver.programs.linear_model import Model

Kit = frozenset[int]
Worth = Callable[[Sequence[float]], int | None]
Day = Callable[[Case, Kit], Fraction | None]

TOOLS, JOBS = 7, 4
LIGHTEST, HEAVIEST = 1_000, 10_000_000  # 0.01 g: from a blade to a loaded cart, four decades
QUICKEST_MS, SLOWEST_MS = 5_000, 20_000_000
LIFE = 1_000_000
NEAR = 50  # of a hundred limits, so many are within one unit of what some kit comes to
MASS, WORK, PRICE, COUNT = "mass_g", "work_min_per_day", "price", "tools_at_most"


@dataclass(frozen=True)
class Asked:
    """A program, what is least of it (None where there is nothing), and what a point's whole columns come to exactly.

    None is also what a point comes to whose kit breaks a rule.
    """

    model: Model
    cost: Objective
    least: int | None
    worth: Worth


def decades(rng: Random, low: int, high: int) -> int:
    """A whole number, each decade as likely as the next."""
    return round(low * (high / low) ** rng.random())


def plain_case(rng: Random, *, tools: int = TOOLS, jobs: int = JOBS) -> Case:
    """Tools able at some of the jobs, in times over more than three decades, without limits."""
    times = [[decades(rng, QUICKEST_MS, SLOWEST_MS) if rng.random() < 1 / 2 else int(NEVER) for _ in range(tools)]]
    times += [[decades(rng, QUICKEST_MS, SLOWEST_MS) for _ in range(tools)] for _ in range(jobs - 1)]
    work = np.array(times, dtype=np.int64)
    for job in range(1, jobs):
        work[job, [tool for tool in range(tools) if rng.random() < 1 / 2]] = NEVER
    shape = work.shape
    return Case(
        ids=tuple(f"t{tool}" for tool in range(tools)),
        mass=np.array([decades(rng, LIGHTEST, HEAVIEST) for _ in range(tools)], dtype=np.int64),
        price=np.array([decades(rng, 100, 100_000) for _ in range(tools)], dtype=np.int64),
        work=work,
        able=work < NEVER,
        backup=np.zeros(jobs, dtype=np.int64),
        wood_class=np.full(jobs, FIXED, dtype=np.int64),
        wear=np.zeros(shape, dtype=np.int64),
        kcal=np.zeros(shape, dtype=np.int64),
        part=np.full(shape, EDGE, dtype=np.int64),
    )


def kits_of(case: Case) -> Iterator[Kit]:
    """Every set of its tools."""
    for ones in product((False, True), repeat=case.tools):
        yield frozenset(tool for tool, one in enumerate(ones) if one)


def near(rng: Random, figure: int, *, low: int) -> int:
    """A limit: half of them within one unit of a figure, the others anywhere up to twice it."""
    found = figure + rng.choice((-1, 0, 1)) if rng.randrange(100) < NEAR else rng.randint(0, 2 * figure)
    return max(low, found)


def total(each: np.ndarray, kit: Kit) -> int:
    """What the tools of a kit add up to."""
    return sum(int(each[tool]) for tool in kit)


def fixed_day(case: Case, kit: Kit) -> Fraction | None:
    """The least time of fixed jobs that nothing wears."""
    if not kit:
        return None
    times = case.work[:, sorted(kit)].min(axis=1).tolist()
    return None if max(times) >= NEVER else Fraction(sum(times))


def worn_day(case: Case, kit: Kit) -> Fraction | None:
    """The least time where each tool is able at one job only, so that the quickest do what their lives bear first."""
    day = Fraction(0)
    for job, row in enumerate(case.work):
        left = Fraction(1)
        for tool in sorted((t for t in kit if row[t] < NEVER), key=lambda t: int(row[t])):
            lives = life_in(case, kit, tool)
            wear = int(case.wear[job, tool])
            part = left if lives is None or not wear else min(left, Fraction(lives, wear))
            day += part * int(row[tool])
            left -= part
        if left:
            return None
    return day


def life_in(case: Case, kit: Kit, tool: int) -> int | None:
    """The life of a tool in a kit, in millionths; None without end."""
    life = LIFE
    for one in case.renewals:
        if one.tool == tool:
            if any(one.sharpeners[other] for other in kit):
                return None
            life += sum(more for spare, more in one.spares.items() if spare in kit)
    return life


def fire_day(case: Case, kit: Kit) -> Fraction | None:
    """The least time of a day's grams: the classes that take least time a gram first, as far as each reaches."""
    assert case.firewood is not None
    open_classes = []
    for wood_class, gather in enumerate(case.firewood.gather.tolist()):
        jobs = np.flatnonzero(case.wood_class == wood_class)
        times = [min((int(case.work[job, tool]) for tool in kit), default=int(NEVER)) for job in jobs]
        if max(times) < NEVER:
            open_classes.append((gather + sum(times), int(case.firewood.reach_g[wood_class])))
    left, day = case.firewood.demand_g, Fraction(0)
    for each, reach in sorted(open_classes):
        grams = min(left, reach)
        day += Fraction(grams * each, 1000)
        left -= grams
    return None if left else day


def settled(rng: Random, case: Case, day: Day, fields: Sequence[str]) -> Asked:
    """The program of a case with limits, and its optimum by every kit."""
    days = every_day(case, day)
    case = limited(rng, case, days, fields)
    program = build(case, with_minutes=WORK in case.caps)

    def mass_if_kept(kit: Kit) -> int | None:
        mass = total(case.mass, kit)
        if mass > case.caps.get(MASS, mass) or total(case.price, kit) > case.caps.get(PRICE, 2**62):
            return None
        if len(kit) > case.caps.get(COUNT, case.tools):
            return None
        if any(int(able[sorted(kit)].sum()) < wanted for able, wanted in zip(case.able, case.backup, strict=True)):
            return None
        time = days[kit]
        return None if time is None or time > case.caps.get(WORK, 2**62) else mass

    worths = [worth for kit in kits_of(case) if (worth := mass_if_kept(kit)) is not None]
    return Asked(
        program.model, program.mass, min(worths, default=None), lambda values: mass_if_kept(program.kit(values))
    )


def every_day(case: Case, day: Day) -> dict[Kit, Fraction | None]:
    """The day of every kit."""
    return {kit: day(case, kit) for kit in kits_of(case)}


def limited(rng: Random, case: Case, days: dict[Kit, Fraction | None], fields: Sequence[str]) -> Case:
    """The case with limits about what some kit that does all its work comes to."""
    doing = [kit for kit, time in days.items() if time is not None]
    if not doing:
        return case
    caps = {}
    for field in fields:
        kit = rng.choice(doing)
        time = days[kit]
        assert time is not None
        figures = {
            MASS: total(case.mass, kit),
            PRICE: total(case.price, kit),
            COUNT: len(kit),
            WORK: -(-time.numerator // time.denominator),
        }
        caps[field] = near(rng, figures[field], low=1 if field == WORK else 0)
    return replace(case, caps=caps)


def cover(rng: Random) -> Asked:
    """A worker for every job, within a limit on grams."""
    return settled(rng, plain_case(rng), fixed_day, [MASS])


def backup(rng: Random) -> Asked:
    """Two able tools for some of the jobs, three for one."""
    case = plain_case(rng)
    wanted = np.array([rng.choice((0, 1, 2, 2, 3)) for _ in case.backup], dtype=np.int64)
    return settled(rng, replace(case, backup=wanted), fixed_day, [MASS])


def work_limit(rng: Random) -> Asked:
    """A day within a limit."""
    return settled(rng, plain_case(rng), fixed_day, [WORK])


def wear(rng: Random) -> Asked:
    """Tools that wear out before a job is done, with a sharpener and a spare, within a limit on the day."""
    case = plain_case(rng, jobs=2)
    work, wears = np.full_like(case.work, NEVER), np.zeros_like(case.wear)
    for tool in range(TOOLS - 2):
        job = rng.randrange(2)
        work[job, tool] = decades(rng, QUICKEST_MS, SLOWEST_MS)
        wears[job, tool] = decades(rng, 200_000, 5_000_000)
    sharpened, spared = rng.sample(range(TOOLS - 2), 2)
    sharpeners = np.zeros(TOOLS, dtype=bool)
    sharpeners[TOOLS - 1] = True
    renewals = (
        Renewal(sharpened, TEETH, sharpeners),
        Renewal(spared, TEETH, np.zeros(TOOLS, dtype=bool), {TOOLS - 2: decades(rng, 100_000, 2_000_000)}),
    )
    parts = np.full_like(case.part, TEETH)
    case = replace(case, work=work, able=work < NEVER, wear=wears, part=parts, renewals=renewals)
    return settled(rng, case, worn_day, [WORK])


def firewood(rng: Random) -> Asked:
    """Grams a day from two classes of wood, each with two jobs, within a limit on the day."""
    case = replace(plain_case(rng), wood_class=np.array([0, 0, 1, 1], dtype=np.int64))
    reach = np.array([decades(rng, 2_000, 200_000) for _ in range(2)], dtype=np.int64)
    case = replace(
        case,
        firewood=Firewood(
            demand_g=near(rng, int(rng.choice([reach[0], reach[1], reach.sum()])), low=1),
            reach_g=reach,
            gather=np.array([decades(rng, 1_000, 1_000_000) for _ in range(2)], dtype=np.int64),
            gather_kcal=np.zeros(2, dtype=np.int64),
        ),
    )
    return settled(rng, case, fire_day, [WORK])


def sums(rng: Random) -> Asked:
    """Limits on the price and the number of tools."""
    return settled(rng, plain_case(rng), fixed_day, [PRICE, COUNT])


def share(rng: Random) -> Asked:
    """Six items over three people, the heaviest share least: its rows have 0 on the right."""
    masses = [decades(rng, LIGHTEST, HEAVIEST) for _ in range(6)]
    if rng.randrange(100) < NEAR:
        masses = [rng.randint(50_000, 1_000_000) for _ in masses]
    model, people = Model(), 3
    columns = [[model.column(whole=True) for _ in range(people)] for _ in masses]
    heaviest = model.column(high=float(sum(masses)))
    for row in columns:
        model.row([(column, 1.0) for column in row], low=1.0, high=1.0)
    for hand in range(people):
        terms = [(row[hand], float(mass)) for row, mass in zip(columns, masses, strict=True)]
        model.row([*terms, (heaviest, -1.0)], high=0.0)

    def carried(hands: Sequence[int]) -> int:
        return max(sum(mass for mass, its in zip(masses, hands, strict=True) if its == one) for one in range(people))

    def worth(values: Sequence[float]) -> int | None:
        hands = [[hand for hand, column in enumerate(row) if values[column] > 1 / 2] for row in columns]
        return carried([one[0] for one in hands]) if all(len(one) == 1 for one in hands) else None

    return Asked(model, {heaviest: 1.0}, min(map(carried, product(range(people), repeat=len(masses)))), worth)


def confidence(rng: Random) -> Asked:
    """Four scenarios over one kit, each switched on or off, of which so many hundredths must hold."""
    first = plain_case(rng)
    cases = [replace(plain_case(rng), mass=first.mass) for _ in range(4)]
    days = [every_day(case, fixed_day) for case in cases]
    cases = [limited(rng, case, its, [WORK]) for case, its in zip(cases, days, strict=True)]
    weights = [rng.randint(1, 50) for _ in cases]
    model = Model()
    x = tuple(model.column(whole=True) for _ in range(first.tools))
    switches = [model.column(whole=True) for _ in cases]
    programs = [
        build(case, with_minutes=True, model=model, x=x, switch=switch)
        for case, switch in zip(cases, switches, strict=True)
    ]
    low = near(rng, sum(rng.sample(weights, 2)), low=1)
    model.row(zip(switches, map(float, weights), strict=True), low=float(low))

    def mass_if_kept(kit: Kit) -> int | None:
        times = [(its[kit], case.caps.get(WORK, 2**62)) for case, its in zip(cases, days, strict=True)]
        held = sum(w for w, (time, cap) in zip(weights, times, strict=True) if time is not None and time <= cap)
        return total(first.mass, kit) if held >= low else None

    worths = [worth for kit in kits_of(first) if (worth := mass_if_kept(kit)) is not None]
    return Asked(
        model, programs[0].mass, min(worths, default=None), lambda values: mass_if_kept(programs[0].kit(values))
    )


def season(rng: Random) -> Asked:
    """Three trips out of one set of six tools owned, of which there may be so many, for so much money."""
    cases = [plain_case(rng, tools=6, jobs=2) for _ in range(3)]
    cases = [replace(case, mass=cases[0].mass, price=cases[0].price) for case in cases]
    cases = [limited(rng, case, every_day(case, fixed_day), [WORK]) for case in cases]
    weights = [rng.randint(1, 20) for _ in cases]
    model = Model()
    owned = [model.column(whole=True) for _ in range(6)]
    programs = [build(case, with_minutes=True, model=model) for case in cases]
    for program in programs:
        for tool, column in enumerate(program.carried):
            model.row([(column, 1.0), (owned[tool], -1.0)], high=0.0)
    lights = [sorted((total(c.mass, kit), sorted(kit)) for kit in kits_of(c) if keeps(c, kit)) for c in cases]
    doing = [own for own in kits_of(cases[0]) if all(any(own.issuperset(kit) for _, kit in one) for one in lights)]
    about, price = rng.choice(doing) if doing else frozenset(range(6)), cases[0].price
    most, money = max(1, len(about) + rng.choice((-1, 0, 0, 1))), near(rng, total(price, about), low=0)
    model.row([(column, 1.0) for column in owned], high=float(most))
    model.row([(column, float(each)) for column, each in zip(owned, price.tolist(), strict=True)], high=float(money))
    every = [kit for kit in kits_of(cases[0]) if len(kit) <= most and total(price, kit) <= money]
    worths = []
    for own in every:
        found = [next((mass for mass, kit in light if own.issuperset(kit)), None) for light in lights]
        if None not in found:
            worths.append(sum(weight * (mass or 0) for weight, mass in zip(weights, found, strict=True)))
    cost = {
        column: weight * grams
        for program, weight in zip(programs, weights, strict=True)
        for column, grams in program.mass.items()
    }

    def worth(values: Sequence[float]) -> int | None:
        return season_worth(values, cases, programs, weights, frozenset(every))

    return Asked(model, cost, min(worths, default=None), worth)


def keeps(case: Case, kit: Kit) -> bool:
    """Whether a kit does its work within the limit on the day."""
    day = fixed_day(case, kit)
    return day is not None and day <= case.caps.get(WORK, 2**62)


def season_worth(
    values: Sequence[float],
    cases: Sequence[Case],
    programs: Sequence[Program],
    weights: Sequence[int],
    may: frozenset[Kit],
) -> int | None:
    """The weighted grams of the kits at a point, where they keep their rules and their tools may all be owned."""
    kits = [program.kit(values) for program in programs]
    if not all(keeps(case, kit) for case, kit in zip(cases, kits, strict=True)):
        return None
    if frozenset().union(*kits) not in may:
        return None
    return sum(w * total(case.mass, kit) for w, case, kit in zip(weights, cases, kits, strict=True))


KINDS: dict[str, Callable[[Random], Asked]] = {
    one.__name__: one for one in (cover, backup, work_limit, wear, firewood, sums, share, confidence, season)
}


def asked(kind: str, number: int) -> Asked:
    """A program of a kind, the same for a number in every run."""
    return KINDS[kind](Random(f"{kind}-{number}"))
