"""What makes large catalogs quick, against plain counts, full enumeration and the textbook model by another solver.

Small trips never reach the steps that only pay among hundreds of tools; here they are met either because the catalog
is large or because the sizes at which they begin are set down.
"""

from dataclasses import replace

import numpy as np
import pytest
from case_axis import every_kit
from generated_cases import LIMITS, instance
from rival_solvers import by_kitwright, by_scipy, textbook

from catalog.tables.number import Bools, Floats, Ints
from solver.forms.effort import Effort
from solver.model.case import EDGE, FIXED, NEVER, Case
from solver.model.companion_group import CompanionGroup
from solver.model.reduction import reduce_for_prices, skyline
from solver.search.branching_data import ENDLESS
from solver.search.choice import choose
from solver.search.dual import Dual, dual_of

TABLES, CASES = 150, 150
LARGE = 300


def dominated_by(signature: Floats, mass: Ints, unfit: Bools) -> Ints:
    """By how many others each tool is dominated, pair by pair."""
    first = np.lexsort((np.arange(len(mass)), mass)).argsort()
    before = first[:, None] < first[None, :]
    below = (signature[:, :, None] <= signature[:, None, :]).all(axis=0)
    return np.asarray((before & below & ~unfit[:, None]).sum(axis=0))


@pytest.mark.parametrize("kind", ["hundreds of tools", "all steps among few tools"])
def test_the_skyline_keeps_what_too_few_others_dominate(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Coarse figures, equal rows, tools that must stay and tools that stand in for none."""
    aside = 0
    for number in range(TABLES if kind.startswith("all") else TABLES // 10):
        rng = np.random.default_rng([number, len(kind)])
        if kind.startswith("all"):
            monkeypatch.setattr("solver.model.reduction.ALL_AGAINST_ALL", int(rng.integers(0, 8)))
            monkeypatch.setattr("solver.model.reduction.BETWEEN_LOOKS", int(rng.integers(1, 9)))
        tools = int(rng.integers(1, 50)) if kind.startswith("all") else int(rng.integers(257, 700))
        signature = rng.integers(0, int(rng.choice([2, 4, 20, 200])), (int(rng.integers(1, 7)), tools)).astype(float)
        signature[rng.random(signature.shape) < rng.choice([0, 0.2])] = float(NEVER)
        twins = np.flatnonzero(rng.random(tools) < rng.choice([0, 0.5]))
        signature[:, twins] = signature[:, rng.integers(0, tools, len(twins))]
        mass = rng.integers(0, int(rng.choice([2, 50, 1000])), tools)
        always, unfit = rng.random(tools) < rng.choice([0, 0.1]), rng.random(tools) < rng.choice([0, 0.4])
        wanted = int(rng.integers(1, 5))
        stays = np.flatnonzero((dominated_by(signature, mass, unfit) < wanted) | always)
        assert skyline(signature.copy(), mass, always, unfit, wanted).tolist() == stays.tolist(), number
        aside += tools - len(stays)
    assert aside > TABLES


@pytest.mark.parametrize("by_ability", [True, False])
@pytest.mark.parametrize("limit", LIMITS)
def test_a_large_catalog_gets_the_kit_of_the_textbook_model(limit: str, *, by_ability: bool) -> None:
    """Grams and milliseconds by scipy's solver, one share for each tool and need, nothing set aside."""
    one = instance(LARGE, 7, limit, by_ability=by_ability)
    assert by_kitwright(one) == by_scipy(textbook(one))


def random_case(rng: np.random.Generator) -> Case:
    """Up to ten tools, coarse, with every rule between tools and every limit now and then; nothing wears."""
    tools, methods, jobs = int(rng.integers(2, 11)), int(rng.integers(0, 3)), int(rng.integers(1, 6))
    can = rng.random((jobs, tools + methods)) < rng.choice([0.35, 0.6, 0.9])
    can[:, tools:] &= rng.random((jobs, methods)) < 0.4
    work = np.where(can, rng.integers(1, 12, can.shape) * 1000, NEVER)
    twins = np.flatnonzero(rng.random(tools) < 0.2)
    work[:, twins] = work[:, rng.integers(0, tools, len(twins))]
    fastest = work.min(axis=1)
    day = int(fastest[fastest < NEVER].sum())

    def some(share: float) -> Bools:
        return np.asarray(rng.random(tools) < share)

    rivals = (some(0.5),) if rng.random() < 0.5 else ()

    def now_and_then(share: float, field: str, cap: int) -> dict[str, int]:
        return {field: cap} if rng.random() < share else {}

    return Case(
        ids=tuple(f"t{tool:02d}" for tool in range(tools)),
        mass=rng.integers(0, int(rng.choice([4, 40])), tools) * 50,
        price=rng.integers(0, 6, tools),
        work=work,
        able=work < NEVER,
        backup=np.where(rng.random(jobs) < 0.25, rng.integers(1, 3, jobs), 0),
        wood_class=np.full(jobs, FIXED),
        wear=np.zeros(work.shape, dtype=np.int64),
        kcal=np.zeros(work.shape, dtype=np.int64),
        part=np.full(work.shape, EDGE),
        methods=tuple(f"m{method}" for method in range(methods)),
        groups=tuple(
            CompanionGroup(worker, some(0.3))
            for worker in range(tools + methods)
            if rng.random() < (0.15 if worker < tools else 0.6)
        ),
        must=frozenset(np.flatnonzero(some(0.05)).tolist()),
        forbidden=tuple(frozenset(np.flatnonzero(some(0.3)).tolist() or [0]) for _ in range(int(rng.integers(0, 3)))),
        some_of=rivals if rng.random() < 0.5 else (some(0.4),),
        one_of=rivals,
        caps=now_and_then(0.3, "price", int(rng.integers(3, 20)))
        | now_and_then(0.6, "work_min_per_day", int(day * rng.uniform(1, 2.2)) // 1000 * 1000)
        | now_and_then(0.4, "tools_at_most", int(rng.integers(1, 5))),
    )


def least_mass(case: Case) -> int | None:
    """Mass of the lightest kit by full enumeration, None without one."""
    kits, there, keeps = every_kit(case)
    day = quickest_days(case, there)
    keeps &= (day < float(NEVER)) & (day <= case.caps.get("work_min_per_day", NEVER))
    return int((kits @ case.mass)[keeps].min()) if keeps.any() else None


def quickest_days(case: Case, there: Bools) -> Floats:
    """The least time of each kit; NEVER and more where a job has nobody."""
    return np.asarray(sum(np.where(there, work, NEVER).min(axis=1).astype(float) for work in case.work))


def found_mass(case: Case, *, reduced: bool) -> int | None:
    """Mass of the lightest kit by the project."""
    found = choose(case, ties=False, reduced=reduced)
    return None if found.ids is None else found.mass


def test_one_reduced_case_serves_the_plan_and_every_price() -> None:
    """All kinds of rules at once: the case itself, without each need in turn, without each tool that it kept.

    The first two jobs are parts of one need.
    """
    covered = 0
    for number in range(CASES):
        case = random_case(np.random.default_rng([19, number]))
        parts = min(1 + number % 2, len(case.work))
        wholes = [np.arange(parts), *(np.array([job]) for job in range(parts, len(case.work)))]
        small = reduce_for_prices(case, wholes)
        least = least_mass(case)
        assert found_mass(case, reduced=True) == found_mass(small, reduced=False) == least, number
        covered += least is not None
        for jobs in wholes:
            rest = np.delete(np.arange(len(case.work)), jobs)
            assert found_mass(small.only_jobs(rest), reduced=False) == least_mass(case.only_jobs(rest)), number
        for name in small.ids:
            home = case.without(case.place[name])
            assert found_mass(small.without(small.place[name]), reduced=False) == least_mass(home), number
            assert found_mass(case.barring(case.place[name]), reduced=True) == least_mass(home), number
        capped = case.capped("mass_g", None if least is None else least - 1)
        assert least is None or found_mass(capped, reduced=True) is None
    assert covered > CASES / 3


def priced(case: Case) -> Dual:
    """A bound by prices of a case whose work is limited."""
    times = np.minimum(case.work, ENDLESS).astype(float)
    start = times[:, case.tools :].min(axis=1, initial=ENDLESS)
    cap = float(max(case.work_cap or 0, 1))
    return dual_of(case.mass, times[:, : case.tools], cap, start, endless=ENDLESS, effort=Effort())


def test_no_kit_is_lighter_than_its_prices_say() -> None:
    """The bound, and every tool's reduced mass, held against all kits that keep the work limit."""
    bounded = tight = 0
    for number in range(CASES):
        case = replace(random_case(np.random.default_rng([23, number])), groups=())
        if case.work_cap is None:
            continue
        dual, mass = priced(case), case.mass
        assert (dual.reduced >= 0).all()
        kits, there, _ = every_kit(case)
        kept = kits[quickest_days(case, there) <= case.work_cap]
        told = dual.base + kept @ dual.reduced
        assert (told <= kept @ mass * dual.unit).all(), number
        bounded += len(kept) > 0 and dual.base > 0
        tight += len(kept) > 0 and dual.base > 0.8 * (kept @ mass).min() * dual.unit > 0
    assert bounded > CASES / 5
    assert tight > CASES / 10


@pytest.mark.parametrize("most", [10_000, 12])
@pytest.mark.parametrize("sooner", [1, 2, 5])
def test_prices_never_change_the_kit(sooner: int, most: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for after a few kits, with the program called in or not: the least mass by full enumeration."""
    monkeypatch.setattr("solver.search.tree.PRICED_NODES", sooner)
    monkeypatch.setattr("solver.search.choice.MOST_NODES", most)
    for number in range(CASES // 2):
        case = random_case(np.random.default_rng([29, sooner, number]))
        least = least_mass(case)
        assert found_mass(case, reduced=True) == found_mass(case, reduced=False) == least, number


@pytest.mark.parametrize("limit", LIMITS)
def test_prices_never_change_the_kit_of_a_large_catalog(limit: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Grams and milliseconds as without them, and by the program after a few kits."""
    one = instance(LARGE, 8, limit, by_ability=True)
    plain = by_kitwright(one)
    monkeypatch.setattr("solver.search.tree.PRICED_NODES", 20)
    assert by_kitwright(one) == plain
    monkeypatch.setattr("solver.search.choice.MOST_NODES", 40)
    assert by_kitwright(one) == plain


def test_a_rival_never_sets_aside_a_tool_that_may_go_with_another_rival() -> None:
    """t00 (100) and t02 are rivals; t01 (150) does what t00 does and may go with t02, which alone does the rest."""
    never, no = int(NEVER), np.zeros((2, 3), dtype=np.int64)
    work = np.array([[60_000, 60_000, never], [never, never, 60_000]])
    case = Case(
        ids=("t00", "t01", "t02"),
        mass=np.array([100, 150, 300]),
        price=np.zeros(3, dtype=np.int64),
        work=work,
        able=work < NEVER,
        backup=np.zeros(2, dtype=np.int64),
        wood_class=np.full(2, FIXED),
        wear=no,
        kcal=no,
        part=np.full_like(no, EDGE),
        one_of=(np.array([True, False, True]),),
    )
    assert found_mass(case, reduced=True) == least_mass(case) == 450
