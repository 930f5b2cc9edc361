"""Answers held against every kit in whole numbers: each judge returns in words what differs, nothing where all agrees.

An answer is a dict as JSON has it; who asks is handed in, so that a library or a service can be judged. What is told in
minutes must be the exact day with its rest, in five decimals, rounded up.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

from exact_choice import (
    LIFE_FIELD,
    LIMITS,
    Best,
    after_loss_of,
    allowance,
    bears,
    best,
    covering,
    day_after,
    fractions_of,
    front,
    robust_kits,
)
from exact_trip import ExactTrip, Ids, decimal
from oracle import CUTTING_TASKS, HUNDREDTHS, MS_PER_MIN, Row, score
from own_limits import pointers_of, relaxed, set_to

Ask = Callable[[str, Row], Row]


def cg(grams: float) -> int:
    """0.01 g."""
    return round(grams * HUNDREDTHS)


def kit_ids(kit: Row) -> Ids:
    """The ids of a kit as an answer tells it, each as often as it goes."""
    return tuple(sorted(tool["id"] for tool in kit["tools"] for _ in range(tool["count"])))


def minutes_differ(exact: ExactTrip, told_min: float, ms: int, *, where: str) -> list[str]:
    """Whether told minutes are not those of a day; by less than a tenth of a ms it is the way of telling."""
    wanted = exact.told_min(ms)
    told = decimal(told_min)
    if told == wanted:
        return []
    near = abs(told - wanted) * MS_PER_MIN < 1
    return [f"{where} minutes told otherwise" if near else f"{where} minutes {float(told)} for {float(wanted)}"]


def judge_plan(ask: Ask, trip: Row) -> list[str]:
    """The kit, its day, the status and the limits that give way; of a lightest kit its prices and allowances too."""
    answer = ask("plan", trip)
    exact = ExactTrip(trip)
    if trip.get("robust"):
        return _judge_robust(answer, trip)
    aim = trip.get("aim", "mass")
    found = best(exact, aim)
    wrong = _judge_kit(answer, exact, found)
    if found.status == "optimal" and not wrong and trip.get("detail", "full") == "full" and aim == "mass":
        wrong += _judge_prices(answer, trip) + _judge_why_not(answer, trip)
        wrong += _judge_next(answer, exact)
    return wrong


def _judge_kit(answer: Row, exact: ExactTrip, found: Best) -> list[str]:
    wrong = [] if answer["status"] == found.status else [f"status {answer['status']} for {found.status}"]
    gaps = {gap["field"]: gap["short_by"] for gap in answer["gaps"] if gap["kind"] == "limit"}
    gaps.pop("must_carry", None)
    if set(gaps) != set(found.given):
        return [*wrong, f"limits that give way {sorted(gaps)} for {sorted(found.given)}"]
    for field, needed in found.given.items():
        wrong += _short_by_differs(exact, field, needed, gaps[field])
    if found.kit is None:
        return wrong
    ids, mass = kit_ids(answer["kit"]), cg(answer["kit"]["mass_g"])
    if ids != found.kit.ids:
        worse = "of equal mass" if mass == found.kit.mass_cg else f"of {mass}"
        return [*wrong, f"kit {ids} {worse} for {found.kit.ids} of {found.kit.mass_cg}"]
    if mass != found.kit.mass_cg:
        wrong.append(f"mass {mass} for {found.kit.mass_cg}")
    return wrong + minutes_differ(exact, answer["kit"]["work_min_per_day"], found.ms, where="kit")


def _short_by_differs(exact: ExactTrip, field: str, needed: int, told: float | None) -> list[str]:
    if field == LIFE_FIELD:
        return []
    if field == "work_min_per_day":
        wanted = exact.told_min(needed) - exact.limit_min
        near, unit = Fraction(4, 100_000), "min"
    elif field == "members":
        wanted, near, unit = Fraction(needed, HUNDREDTHS), Fraction(1, 10**6), "g"
    else:
        per = {"mass_g": HUNDREDTHS, "price": HUNDREDTHS, "tools_at_most": 1}[field]
        wanted, near, unit = Fraction(needed, per) - decimal(exact.limits[field]), Fraction(1, 10**6), field
    if told is None or abs(decimal(told) - wanted) > near:
        return [f"gap of {field} {told} for {float(wanted)} {unit}"]
    return []


def _judge_prices(answer: Row, trip: Row) -> list[str]:
    """A tool's price is the lightest without it less the lightest; a need's is that of the trip without it."""
    least, wrong = cg(answer["kit"]["mass_g"]), []
    for tool in answer["kit"]["tools"]:
        if tool["count"] > 1:
            continue
        must = [one for one in trip.get("must_carry", []) if one != tool["id"]]
        others = ExactTrip(trip | {"must_carry": must})
        rest = [kit.mass_cg for kit in others.within if tool["id"] not in kit.ids]
        if (
            trip.get("knife") != "none"
            and others.board.needs_knife
            and not ExactTrip(
                trip | {"must_carry": must, "leave_home": [*trip.get("leave_home", []), tool["id"]]}
            ).board.needs_knife
        ):
            rest = []  # the last knife that may go: the need of one stays
        wanted = min(rest) - least if rest else None
        told = None if tool["price_g"] is None else cg(tool["price_g"])
        if told != wanted:
            wrong.append(f"price of a tool {told} for {wanted}")
    for number in range(len(trip["tasks"])):
        rest_trip = trip | {"tasks": trip["tasks"][:number] + trip["tasks"][number + 1 :]}
        masses = [kit.mass_cg for kit in ExactTrip(rest_trip).within]
        told = answer["needs"][number]["price_g"]
        wanted = least - min(masses)
        if told is None or cg(told) != wanted:
            wrong.append(f"price of a need {told} for {wanted}")
    return wrong


def _judge_why_not(answer: Row, trip: Row) -> list[str]:
    wrong = []
    for one in answer["why_not"]:
        wrong += allowance_differs(one, trip, one["id"])
    return wrong


def allowance_differs(told: Row, trip: Row, name: str) -> list[str]:
    """Whether an allowance and its reason are not those of every kit without a tool and with it."""
    wanted = allowance(trip, name)
    mass = None if told["allowance_g"] is None else cg(told["allowance_g"])
    if (mass, told["reason"]) != (wanted.mass_cg, wanted.reason):
        return [f"allowance {mass} {told['reason']} for {wanted.mass_cg} {wanted.reason}"]
    return []


def _judge_next(answer: Row, exact: ExactTrip) -> list[str]:
    """Next kits cover the trip, rise in mass, and none holds the cutting tools of one before.

    One that bears a loss may hold those of the chosen kit.
    """
    kits = {kit.ids: kit for kit in exact.covering}
    listed, mass, wrong = [cutting(exact, kit_ids(answer["kit"]))], cg(answer["kit"]["mass_g"]), []
    for one in answer["alternatives"]:
        ids = kit_ids(one)
        if ids not in kits or kits[ids].mass_cg != cg(one["mass_g"]):
            wrong.append(f"next kit {ids} does not cover the trip")
            continue
        wrong += minutes_differ(exact, one["work_min_per_day"], kits[ids].ms, where="next kit")
        mine = cutting(exact, ids)
        others = listed[1:] if "loss" in one["better_in"] else listed
        if any(told <= mine if told else not mine for told in others) or kits[ids].mass_cg < mass:
            wrong.append(f"next kit {ids} is not another, or out of order")
        mass = kits[ids].mass_cg
        listed.append(mine)
    return wrong


def cutting(exact: ExactTrip, ids: Ids) -> frozenset[str]:
    """The tools of a kit that cut at all."""
    return frozenset(name for name in ids if any(score(exact.rows[name], task) > 0 for task in CUTTING_TASKS))


def _judge_robust(answer: Row, trip: Row) -> list[str]:
    plain = ExactTrip(trip | {"robust": None})
    if not plain.covering:
        return [] if answer["status"] == "uncovered" else ["status of a trip that no kit covers"]
    kits = robust_kits(plain, trip["robust"])
    if not kits:
        fields = [gap["field"] for gap in answer["gaps"]]
        return [] if fields == ["robust"] else [f"robust gaps {fields}"]
    first = kits[0]
    ids = kit_ids(answer["kit"])
    if (answer["status"], ids) != ("optimal", first.ids):
        return [f"robust {answer['status']} {ids} {cg(answer['kit']['mass_g'])} for {first.ids} {first.mass_cg}"]
    asked, wrong = after_loss_of(plain, trip["robust"]), []
    for loss in answer["robust"]["losses"]:
        ms = day_after(plain, ids, loss["tool"], asked)
        assert ms is not None
        wrong += minutes_differ(plain, loss["work_min_per_day"], ms, where="after a loss")
    return wrong


def judge_check(ask: Ask, trip: Row, kit: Sequence[str]) -> list[str]:
    """Whether a kit covers the trip, its mass and its day, and the limits that it goes over."""
    answer = ask("check", {"trip": trip, "kit": list(kit)})
    exact, ids = ExactTrip(trip), tuple(sorted(kit))
    every = {one.ids: one for one in exact.kits(every=True)}
    own = every.get(ids)
    covers = own is not None and not exact.lacking and exact.keeps(own)
    wrong = [] if answer["covered"] == covers else [f"covered {answer['covered']} for {covers}"]
    if own is not None and not exact.lacking:
        over = {field for field, cap in exact.caps.items() if exact.figure(own, field) > cap}
        told = {gap["field"] for gap in answer["gaps"]}
        if told != over:
            wrong.append(f"gaps of a kit {sorted(told)} for {sorted(over)}")
        wrong += minutes_differ(exact, answer["kit"]["work_min_per_day"], own.ms, where="checked")
    least = exact.covering[0].mass_cg if exact.covering else None
    told_least = None if answer["lightest"] is None else cg(answer["lightest"]["mass_g"])
    return wrong if told_least == least else [*wrong, f"lightest beside a kit {told_least} for {least}"]


def judge_front(ask: Ask, trip: Row, against: str) -> list[str]:
    """The points are those kits that no other beats, with their figures."""
    answer = ask("front", {"trip": trip, "against": against})
    limits = {"work_min_per_day": 10**9} if against == "minutes" else {}
    exact = ExactTrip(trip | {"limits": trip.get("limits", {}) | limits})
    points, given = front(exact, against)
    status = "uncovered" if given or exact.lacking else "optimal"
    wrong = [] if answer["status"] == status else [f"front {answer['status']} for {status}"]
    told = [tuple(sorted(point["ids"])) for point in answer["points"]]
    if told != [kit.ids for kit in points]:
        known = {kit.ids: kit for kit in exact.all_kits}
        figures = [(known[ids].mass_cg, known[ids].ms, known[ids].cents) if ids in known else ids for ids in told]
        return [*wrong, f"front {figures} for {[(kit.mass_cg, kit.ms, kit.cents) for kit in points]}"]
    for point, kit in zip(answer["points"], points, strict=True):
        wrong += minutes_differ(exact, point["work_min_per_day"], kit.ms, where="point")
        if (cg(point["mass_g"]), round(point["price"] * HUNDREDTHS)) != (kit.mass_cg, kit.cents):
            wrong.append("figures of a point")
    return wrong


def judge_confidence(ask: Ask, body: Row) -> list[str]:
    """The kit, its probability and scenarios, each step, and the gaps of each scenario that no kit covers."""
    answer = ask("confidence", body)
    worlds = [body["trip"] | {k: one[k] for k in ("wood", "tasks") if k in one} for one in body["scenarios"]]
    odds = fractions_of([one["weight"] for one in body["scenarios"]])
    good: dict[Ids, set[int]] = {}
    mass: dict[Ids, int] = {}
    covered = set()
    for place, world in enumerate(worlds):
        for kit in ExactTrip(world).covering:
            good.setdefault(kit.ids, set()).add(place)
            mass[kit.ids] = kit.mass_cg
            covered.add(place)
    chance = {ids: sum((odds[s] for s in places), Fraction(0)) for ids, places in good.items()}
    enough = [ids for ids in good if chance[ids] >= decimal(body["confidence"]) - Fraction(1, 10**9)]
    least = min((mass[ids] for ids in enough), default=None)
    status = "uncovered" if least is None else "optimal"
    wrong = [] if answer["status"] == status else [f"confidence {answer['status']} for {status}"]
    if answer["kit"] is not None and least is not None:
        ids = tuple(sorted(answer["kit"]["ids"]))
        if cg(answer["kit"]["mass_g"]) != least or ids not in enough:
            wrong.append(f"confidence kit {ids} {cg(answer['kit']['mass_g'])} for {least}")
        elif set(answer["suffices_in"]) != good[ids]:
            wrong.append(f"scenarios {answer['suffices_in']} for {sorted(good[ids])}")
    steps = [(cg(one["mass_g"]), round(one["probability"], 6)) for one in answer["steps"]]
    wanted = _steps([(mass[ids], chance[ids]) for ids in good])
    if steps != wanted:
        wrong.append(f"steps {steps} for {wanted}")
    named = {one["scenario"] for one in answer["beyond"] if one["gaps"]}
    beyond = {place for place in range(len(worlds)) if place not in covered} if least is None else set()
    if named != beyond:
        wrong.append(f"gaps of scenarios {sorted(named)} for {sorted(beyond)}")
    asked = decimal(body["confidence"]) - Fraction(1, 10**9)
    explained = least is not None or sum((odds[s] for s in covered), Fraction(0)) < asked
    if explained or "gaps" not in answer:
        return wrong if explained and not answer.get("gaps") else [*wrong, "confidence names no gap"]
    return wrong + _likely_gaps_differ(answer["gaps"], [ExactTrip(world) for world in worlds], odds, asked)


def _likely_gaps_differ(
    gaps: Sequence[Row], worlds: Sequence[ExactTrip], odds: Sequence[Fraction], asked: Fraction
) -> list[str]:
    """Whether the one limit that gives way, or its least, is not that of every kit; of several whether any are told."""
    for field in LIMITS:
        others = {name: cap for name, cap in worlds[0].caps.items() if name != field}
        if field not in worlds[0].caps:
            continue
        needs: dict[Ids, list[tuple[int, int]]] = {}
        for place, exact in enumerate(worlds):
            for kit in exact.all_kits if not exact.lacking else ():
                if exact.keeps(kit, others):
                    needs.setdefault(kit.ids, []).append((exact.figure(kit, field), place))
        enough = [value for each in needs.values() if (value := _reached(sorted(each), odds, asked)) is not None]
        if enough:
            if [gap["field"] for gap in gaps] != [field]:
                return [f"limits that give way {[gap['field'] for gap in gaps]} for {field}"]
            return _short_by_differs(worlds[0], field, min(enough), gaps[0]["short_by"])
    return [] if len(gaps) > 1 else ["confidence names no gap"]


def _reached(values: Sequence[tuple[int, int]], odds: Sequence[Fraction], asked: Fraction) -> int | None:
    """The least value at which scenarios of enough probability are served."""
    total = Fraction(0)
    for value, place in values:
        total += odds[place]
        if total >= asked:
            return value
    return None


def _steps(kits: Iterable[tuple[int, Fraction]]) -> list[tuple[int, float]]:
    """The lightest kit for each probability, by rising mass."""
    found: list[tuple[int, Fraction]] = []
    for mass, odds in sorted(kits, key=lambda one: (one[0], -one[1])):
        if not found or odds > found[-1][1]:
            found.append((mass, odds))
    return [(mass, round(float(odds), 6)) for mass, odds in found]


def judge_season(ask: Ask, body: Row) -> list[str]:
    """The weighted grams, the tools to own, each trip's mass, and a gap wherever nothing does for all trips."""
    answer = ask("season", body)
    trips = [ExactTrip(one["trip"]) for one in body["trips"]]
    weights = [decimal(one["weight"]) for one in body["trips"]]
    if not all(exact.covering for exact in trips):
        wrong = [] if answer["status"] == "uncovered" else ["season of a trip that no kit covers"]
        told = [bool(one["gaps"]) for one in answer["trips"]]
        wanted = [not exact.covering for exact in trips]
        return wrong if told == wanted else [*wrong, f"gaps of trips {told} for {wanted}"]
    names = sorted({name for exact in trips for kit in exact.covering for name in numbered(kit.ids)})
    cents = {name: max(_cents(exact, name) for exact in trips) for name in names}
    masses = [{frozenset(numbered(kit.ids)): kit.mass_cg for kit in exact.covering} for exact in trips]
    most = math.inf if body.get("own_at_most") is None else body["own_at_most"]
    money = math.inf if body.get("money") is None else math.floor(decimal(body["money"]) * HUNDREDTHS)
    found: list[tuple[Fraction, int, tuple[str, ...]]] = []
    for bits in range(1 << len(names)):
        own = [name for place, name in enumerate(names) if bits >> place & 1]
        if len(own) > most or sum(cents[name] for name in own) > money:
            continue
        each = [min((m for kit, m in kits.items() if kit <= {*own}), default=None) for kits in masses]
        if None not in each:
            total = sum((w * m for w, m in zip(weights, each, strict=True) if m is not None), Fraction(0))
            found.append((total, len(own), tuple(own)))
    if not found:
        wrong = [] if answer["status"] == "uncovered" else ["season without tools"]
        return wrong if answer["gaps"] else [*wrong, "season names no gap"]
    total, _, own_ids = min(found)
    told_own = tuple(sorted(answer["own"]))
    wanted_own = tuple(sorted(name.partition("#")[0] for name in own_ids))
    if answer["status"] != "optimal" or abs(decimal(answer["weighted_g"]) * HUNDREDTHS - total) > Fraction(1, 10**3):
        return [f"season {answer['status']} {answer['weighted_g']} for {float(total) / HUNDREDTHS}"]
    return [] if told_own == wanted_own else [f"season owns {told_own} for {wanted_own}"]


def _cents(exact: ExactTrip, name: str) -> int:
    row = exact.rows.get(name.partition("#")[0], {})
    return round((row.get("price") or 0) * HUNDREDTHS)


def numbered(ids: Sequence[str]) -> list[str]:
    """Ids with numbers from the second of one sort on."""
    found: list[str] = []
    for place, name in enumerate(ids):
        before = ids[:place].count(name)
        found.append(f"{name}#{before + 1:02d}" if before else name)
    return found


def judge_allowance(ask: Ask, tool: Row, trip: Row) -> list[str]:
    """What a tool may weigh on a trip; the trip's own word on it where it is asked there."""
    answer = ask("allowance", {"tool": tool, "trip": trip})
    rows = [one for one in trip.get("extra_tools", []) if one["id"] != tool["id"]]
    asked = {one["id"]: one for one in [*trip["tools"], *rows, tool]}
    return allowance_differs(answer["trips"][0], trip | {"tools": [*asked.values()], "extra_tools": []}, tool["id"])


def judge_bad_night(ask: Ask, trip: Row, cases: dict[str, Row | None]) -> list[str]:
    """The planned day, and the lightest kit that bears each thing that goes wrong."""
    answer = ask("bad_night", {"trip": trip})
    planned = ExactTrip(trip)
    wrong = []
    if planned.covering:
        first = planned.covering[0]
        if tuple(sorted(answer["kit"]["ids"])) != first.ids:
            wrong.append(f"bad night kit {answer['kit']['ids']} for {first.ids}")
        else:
            wrong += minutes_differ(planned, answer["planned"]["work_min_per_day"], first.ms, where="bad night")
    for case in answer["cases"]:
        variant = cases[case["case"]]
        if variant is None or not case["applies"]:
            continue
        wrong += _night_differs(case, variant, planned)
    return wrong


def _night_differs(case: Row, variant: Row, planned: ExactTrip) -> list[str]:
    exact = ExactTrip(variant)
    if case["case"] == "lost":
        asked = after_loss_of(exact, {"needs": "all", "work_multiple": 1})
        kits = [kit for kit in exact.kits(every=True) if exact.keeps(kit) and bears(exact, kit.ids, asked)]
        kits = kits if planned.covering else []
    else:
        kits = exact.covering
    wanted = kits[0].mass_cg if kits else None
    told = None if case["lightest"] is None else cg(case["lightest"]["mass_g"])
    return [] if told == wanted else [f"{case['case']}: lightest that bears it {told} for {wanted}"]


def judge_sweep(ask: Ask, body: Row, rows: Sequence[Row]) -> list[str]:
    """The best of some designs makes the lightest of the kits with one each, and a gap is named where none does."""
    answer, trip = ask("sweep", body), body["trip"]
    must = trip.get("must_carry", [])
    masses = []
    for row in rows:
        only = None if trip.get("only") is None else [*trip["only"], row["id"]]
        kits = covering(trip | {"extra_tools": [row], "must_carry": [*must, row["id"]], "only": only})
        masses += [kits[0].mass_cg] if kits else []
    if (answer["status"] == "optimal") != bool(masses):
        return [f"sweep {answer['status']} for {masses}"]
    if not masses:
        return [] if answer["gaps"] else ["sweep names no gap"]
    told = cg(answer["best"]["mass_g"])
    return [] if told == min(masses) else [f"sweep {told} for {min(masses)}"]


def judge_conflict(ask: Ask, trip: Row) -> list[str]:
    """Together the members leave no kit; each at its least leaves one, and at one unit less none."""
    answer = ask("plan", trip | {"alternatives": 0})
    if answer["status"] != "uncovered":
        return [] if covering(trip) else ["status of a trip that no kit covers"]
    conflict, pointers = answer["conflict"], pointers_of(trip)
    wrong = []
    if not covering(relaxed(trip, pointers)):
        return [] if not conflict else ["a conflict where no limit is to blame"]
    found = [one["pointer"] for one in conflict]
    alone = relaxed(trip, [one for one in pointers if one not in found])
    if covering(alone):
        return [f"the conflict {found} leaves a kit"]
    for one in conflict:
        field = one["pointer"].rsplit("/", 1)[-1]
        if one["least"] is None or one["pointer"] == "#/robust" or field not in UNITS:
            continue
        least, pointer = decimal(one["least"]), one["pointer"]
        held = trip if covering(relaxed(trip, [pointer])) else alone
        if not covering(set_to(held, pointer, float(least))):
            wrong.append(f"the least of {field} leaves no kit")
        if least >= UNITS[field] and covering(set_to(held, pointer, float(least - UNITS[field]))):
            wrong.append(f"less than the least of {field} leaves a kit")
    return wrong


UNITS = {
    "mass_g": Fraction(1, 100),
    "price": Fraction(1, 100),
    "tools_at_most": Fraction(1),
    "work_min_per_day": Fraction(1, 100_000),
}
