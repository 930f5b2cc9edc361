"""A sweep over designs as callers see it: the best, the front, and what stops it from getting lighter."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, Literal

from catalog import Tool
from catalog.bench.design import Design
from catalog.bench.design_limit import loosened
from catalog.bench.feasibility import LIMIT_NAMES, LimitName
from catalog.bench.variation import Candidate, Range, combinations, drawn, figure_words
from catalog.drawings.steel import ToughnessOrder, order_by_toughness, steels
from catalog.making.making_caution import MakingCaution, making_cautions
from solver.answers.allowance import NOTHING_KNOWN, lightest_known
from solver.answers.sweep import (
    DesignLimits,
    Sweep,
    best_of,
    margin_front,
    minutes_front,
    price_front,
    sweep_gaps,
    unknown_gaps,
)
from solver.forms.answer import FigureInForce
from solver.forms.arguments import Argument, TripGiven, effort_given, form_given, forms_given, trip_given
from solver.forms.barring import BARS, Bar
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Gap, KitBrief, Output
from solver.forms.limit import LIMITS, WORK
from solver.forms.trip import Trip
from solver.forms.validation import Fault, TripError
from solver.makers.weighed_design import free_prefix
from solver.needs.candidates import packed_units
from solver.needs.case_builder import grams
from solver.needs.knife import originals
from solver.needs.question import times_of
from solver.programs.engine import Status
from solver.reports.allowance_report import allowance
from solver.reports.holding_limit import HoldingLimit, add_holding
from solver.search.choice import Choice
from solver.search.front import Point, point_of
from solver.search.settling import Parts
from solver.telling.stated_figure import figures_in_force

_FOR_DRAWING, _FOR_THE_BEST = 1 / 2, 1 / 2  # judged: of the time that is left
_FOR_DRAWING_BESIDE_MANY = 1 / 8  # judged: where the question of the trip takes long too
_MANY = 1_000_000  # judged: times of tools at jobs, from which a question takes about a second
_MOST_DESIGNS = 400  # each takes about ten milliseconds to rate
_DESIGN_LIMITS = ("margin", "slenderness", "tip_deflection_mm", "price")
_Against = Literal["margin", "minutes", "price"]
_AGAINST: Argument[_Against] = Argument("against", _Against, "margin, minutes or price")
_FRONTS = {"margin": margin_front, "minutes": minutes_front, "price": price_front}
_LOOSEN: Argument[list[LimitName]] = Argument("loosen", list[LimitName], f"a list of {', '.join(LIMIT_NAMES)}")


class DesignPoint(Output):
    """A design and the lightest kit with it.

    `margin` is the lesser of two: against bending, at the lower yield strength, and against snapping; null = no figure.
    `price` is what a piece of the design costs its maker; null where neither `bill` nor `making` is stated.
    """

    id: str
    values: dict[str, float | str]
    design_g: float
    ids: list[str]
    mass_g: float
    work_min_per_day: float
    margin: float | None
    price: float | None


class Stop(Output):
    """A limit that prevents a lighter kit: its field, its value, and the grams saved without it.

    A range that ends at the best design is tried one step further. `saves_g` is null if there is a kit only without
    the limit.
    """

    field: str
    value: float | str | None
    tried: float | None
    saves_g: float | None
    text: str


class SweepAnswer(Output):
    """The best of many designs for a trip. Its row can be sent in `tools` or `extra_tools`.

    Designs keep the usual limits, but for those that are loosened: `holding` tells which of them hold the mass up.
    If `gaps` is not empty, no kit with one of the designs covers the trip, and `best` is for what can be had.
    `checked`: whole numbers alone prove the best kit, the kit without a design, and each of the front. Where the time
    or the effort allowed ended first, the status is `feasible` with the best kit known, or `not_settled` without any;
    `not_settled` names what is not told in full: designs (not all were tried), best, kit_without, gaps, front, stops,
    holding, allowance.
    `allowance_g` is the most that the best design may weigh, packed, and still be in a lightest kit of the trip
    without the other designs, and `allowance_p20_g` what four in five joint draws of all scores allow: null where there
    is no best design, no end, or it never is in one.
    No kit with one of the designs tried weighs less than `bound_g` (null = not known, or there is none).
    """

    name: str | None
    status: Literal["optimal", "feasible", "uncovered", "not_settled"]
    designs: int
    not_drawable: int
    not_drawable_because: str
    outside_limits: int
    best: DesignPoint | None
    tool: Tool | None
    allowance_g: float | None
    allowance_p20_g: float | None
    kit_without: KitBrief | None
    earns_its_place: bool
    against: Literal["margin", "minutes", "price"]
    front: list[DesignPoint]
    stops: list[Stop]
    loosened: list[LimitName]
    holding: list[HoldingLimit]
    gaps: list[Gap]
    toughness: list[ToughnessOrder]
    warnings: list[str]
    cautions: list[MakingCaution]
    assumptions: list[FigureInForce]
    checked: bool
    bound_g: float | None
    not_settled: list[str]


def sweep(
    design: Design | Mapping[str, Any],
    vary: Iterable[Range | Mapping[str, Any]],
    trip: TripGiven,
    *,
    limits: DesignLimits | Mapping[str, Any] | None = None,
    against: _Against = "margin",
    loosen: Iterable[LimitName] = (),
    effort: Effort | None = None,
) -> SweepAnswer:
    """Return the design, of every combination of the ranges, whose kit for a trip is lightest.

    Every form may be a dict of its fields instead.

    Args:
        design: what is drawn.
        vary: what of it varies: one or more ranges.
        trip: what it is for.
        limits: what the design must keep within, or None.
        against: what the front weighs grams against: margin, minutes, or price of the design.
        loosen: names of the usual limits that designs need not keep.
        effort: what each solve may cost.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: fields that don't go together, too many designs, or none that can be drawn.
        Cancelled: nobody waits for it.
    """
    effort, trip, design = effort_given(effort), trip_given(trip), form_given("design", design, Design)
    vary, against = forms_given("vary", vary, Range, least=1), _AGAINST.of(against)
    limits = form_given("limits", {} if limits is None else limits, DesignLimits)
    free = list(dict.fromkeys(_LOOSEN.of(loosen)))
    _check_sweep(design, vary, trip, against)
    prefix = free_prefix(design, [trip])
    share = _FOR_DRAWING if times_of(trip) < _MANY else _FOR_DRAWING_BESIDE_MANY
    found = drawn(design, vary, prefix=prefix, spent=effort.portion(share).spent)
    if not found.candidates:
        raise TripError([Fault("#/vary", found.refused, "at least one design that can be drawn", found.why)])
    asked = Sweep(trip, found.candidates, limits, loosened(free), effort)
    best = best_of(asked, effort=effort, share=_FOR_THE_BEST)
    parts = Parts(["kit_without", "gaps", "front", "stops", "holding", "allowance"], effort=effort)
    bare = parts.settle_in_time(
        "kit_without", lambda part: lightest_known(asked.without(), None, effort=part), NOTHING_KNOWN
    )
    gaps = parts.settle("gaps", lambda part: sweep_gaps(asked, best, effort=part), unknown_gaps(asked))
    points: list[Point] = []
    parts.settle("front", lambda part: _FRONTS[against](asked, points, effort=part), None)
    stops: list[Stop] = []
    parts.settle("stops", lambda part: _add_stops(stops, asked, design, vary, best, prefix, effort=part), None)
    holding: list[HoldingLimit] = []
    parts.settle("holding", lambda part: add_holding(holding, asked, best, effort=part), None)
    chosen = None if best.ids is None else asked.design_in(best)
    unknown: tuple[float | None, float | None] = None, None
    worth = parts.settle("allowance", lambda part: _allowance(asked, chosen, effort=part), unknown)
    left = [*(["designs"] if found.left else []), *([] if best.checked else ["best"]), *parts.unsettled]
    if not bare.checked and "kit_without" not in left:
        left.append("kit_without")
    bare_least = None if bare.status is Status.INFEASIBLE else bare.bound or 0
    return SweepAnswer(
        name=trip.name,
        status="uncovered" if gaps else _status_of(best, all_drawn=not found.left),
        designs=len(found.candidates),
        not_drawable=found.refused,
        not_drawable_because=found.why,
        outside_limits=len(found.candidates) - len(asked.allowed),
        best=None
        if best.ids is None
        else _to_answer(asked, point_of(asked.with_one(asked.allowed), best, effort=effort)),
        tool=None if chosen is None else chosen.rating.tool,
        allowance_g=worth[0],
        allowance_p20_g=worth[1],
        kit_without=None if bare.ids is None else KitBrief(ids=originals(bare.ids), mass_g=grams(bare.mass)),
        earns_its_place=best.ids is not None and (bare_least is None or best.mass <= bare_least),
        against=against,
        front=[_to_answer(asked, point) for point in points],
        stops=sorted(stops, key=lambda stop: -(stop.saves_g or float("inf"))),
        loosened=free,
        holding=sorted(holding, key=lambda one: -(one.saves_g or float("inf"))),
        gaps=gaps,
        toughness=_toughness(found.candidates),
        warnings=[] if chosen is None else list(chosen.rating.warnings),
        cautions=list(making_cautions()),
        assumptions=_assumptions_of(asked, chosen),
        checked=best.checked and bare.checked and not left and all(point.choice.checked for point in points),
        bound_g=None if best.bound is None else grams(best.bound),
        not_settled=left,
    )


def _status_of(best: Choice, *, all_drawn: bool) -> Literal["optimal", "feasible", "not_settled"]:
    """Return how far the best kit is known."""
    if best.ids is None:
        return "not_settled"
    return "optimal" if best.checked and all_drawn else "feasible"


def _allowance(asked: Sweep, chosen: Candidate | None, *, effort: Effort) -> tuple[float | None, float | None]:
    """Return what the best design may weigh [g] without the others, and what four in five draws of all scores allow.

    Raises:
        Unfinished: the effort ran out.
    """
    if chosen is None:
        return None, None
    tool, trip = chosen.rating.tool, asked.trip
    only = None if trip.only is None else [*trip.only, tool.id]
    found = allowance(tool, trip.model_copy(update={"only": only, "aim": "mass"}), effort=effort)
    if not found.checked or "allowance_p20_g" in found.trips[0].not_settled:
        raise Unfinished
    return found.allowance_g, found.allowance_p20_g


def _check_sweep(design: Design, vary: Sequence[Range], trip: Trip, against: _Against) -> None:
    """Check what ties the fields of a sweep together.

    Raises:
        TripError: every fault found.
    """
    faults = []
    count = combinations(vary)
    if count > _MOST_DESIGNS:
        detail = f"the ranges give {count} designs; a sweep takes at most {_MOST_DESIGNS}"
        faults.append(Fault("#/vary", count, f"at most {_MOST_DESIGNS} designs", detail))
    fields = [one.field for one in vary]
    for place, field in enumerate(fields):
        if field in fields[:place]:
            faults.append(Fault(f"#/vary/{place}/field", field, "each field once", f"{field} is varied twice"))
    if trip.robust is not None:
        faults.append(
            Fault("#/trip/robust", True, "null", "a sweep does not consider the loss of a tool; leave robust out")
        )
    if against == "margin" and design.drawing.form != "knife":
        detail = "only a knife has a margin of safety; ask for minutes instead"
        faults.append(Fault("#/against", against, "minutes", detail))
    if against == "price" and design.bill is None and design.making is None:
        detail = "only a design with making or a bill has a price; state `making`, {} for the usual workshop"
        faults.append(Fault("#/design/making", None, "an object", detail))
    if faults:
        raise TripError(faults)


def _to_answer(asked: Sweep, point: Point) -> DesignPoint:
    """Return a kit with a design as callers see it."""
    one = asked.design_in(point.choice)
    return DesignPoint(
        id=one.rating.tool.id,
        values=one.values,
        design_g=grams(int(packed_units([one.rating.tool])[0])),
        ids=originals(point.choice.ids or ()),
        mass_g=grams(point.choice.mass),
        work_min_per_day=asked.question.case.told(WORK, point.load.work),
        margin=None if one.margin is None else round(one.margin, 6),
        price=one.price,
    )


def _add_stops(
    found: list[Stop], asked: Sweep, design: Design, vary: Sequence[Range], best: Choice, prefix: str, *, effort: Effort
) -> None:
    """Add the limits without which the kit would be lighter.

    Raises:
        Unfinished: the best kit is not known, or there may be more of them.
    """
    if not best.checked:
        raise Unfinished
    for stop, other in (*_limit_stops(asked), *_range_stops(asked, design, vary, best, prefix, effort=effort)):
        effort.go_on()
        choice = best_of(other, effort=effort)
        if choice.status is Status.STOPPED:
            raise Unfinished
        if choice.ids is None:
            continue
        saved = None if best.ids is None else grams(best.mass - choice.mass)
        if saved is None or saved > 0:
            less = "there is a kit" if saved is None else f"the kit weighs {saved:g} g less"
            found.append(stop.model_copy(update={"saves_g": saved, "text": f"{stop.text}, {less}."}))


def _limit_stops(asked: Sweep) -> Iterable[tuple[Stop, Sweep]]:
    """Return each limit stated, with the sweep that leaves it out."""
    trip = asked.trip
    for field in _DESIGN_LIMITS:
        if (value := getattr(asked.limits, field)) is not None:
            words = f"the limit of {figure_words(field, value)} on the design"
            yield (
                _stop(f"limits.{field}", value, words),
                replace(asked, limits=asked.limits.model_copy(update={field: None})),
            )
    free: dict[str, tuple[Any, Callable[[Any], str]]] = {
        limit.field: (limit.off(trip.people), limit.held_at) for limit in LIMITS
    } | {bar.field: (bar.off, partial(_bar_words, bar)) for bar in BARS if bar.figure}
    for field, (off, words_of) in free.items():
        if (value := getattr(trip.limits, field)) is not None:
            limits = trip.limits.model_copy(update={field: off})
            yield (
                _stop(f"trip.limits.{field}", value, words_of(value)),
                replace(asked, trip=trip.model_copy(update={"limits": limits})),
            )
    if trip.members:
        free_trip = trip.model_copy(update={"members": []})
        words = "the limits on what each member carries"
        yield _stop("trip.members", len(trip.members), words), replace(asked, trip=free_trip)
    for place, task in enumerate(trip.tasks):
        if len(trip.tasks) > 1:
            rest = [one for other, one in enumerate(trip.tasks) if other != place]
            yield (
                _stop(f"trip.tasks.{place}", named := f"{task.task} {task.diameter_mm:g} mm", f"the task {named}"),
                replace(asked, trip=trip.model_copy(update={"tasks": rest})),
            )


def _range_stops(
    asked: Sweep, design: Design, vary: Sequence[Range], best: Choice, prefix: str, *, effort: Effort
) -> Iterable[tuple[Stop, Sweep]]:
    """Return each range at whose end the best design lies, with the sweep that goes one step further there.

    Raises:
        Unfinished: the effort ran out.
    """
    if best.ids is None:
        return
    values = asked.design_in(best).values
    for place, one in enumerate(vary):
        ends: dict[Any, float] = {one.low: -one.step, one.high: one.step} if one.step else {}
        if (step := ends.get(values[one.field])) is None:
            continue
        end = float(values[one.field])
        wider = [*vary[:place], Range(field=one.field, values=[round(end + step, 9)]), *vary[place + 1 :]]
        drawn_further = drawn(design, wider, prefix=f"{prefix}-{place}", spent=effort.spent)
        further = drawn_further.candidates
        if drawn_further.left:
            raise Unfinished
        if further:
            side = "low" if step < 0 else "high"
            text = f"With {figure_words(one.field, round(end + step, 9))}, beyond the range"
            told_end = Stop(field=f"vary.{place}.{side}", value=end, tried=end + step, saves_g=None, text=text)
            yield told_end, replace(asked, candidates=[*asked.candidates, *further])


def _stop(field: str, value: Any, words: str) -> Stop:
    """Return a limit under trial, and how a sentence about it begins."""
    return Stop(field=field, value=value, tried=None, saves_g=None, text=f"Without {words}")


def _bar_words(bar: Bar, value: float) -> str:
    """Return a rule that keeps tools home by a figure, in a sentence."""
    return f"the limit of {value:g} mm on {bar.noun}"


def _toughness(candidates: Sequence[Candidate]) -> list[ToughnessOrder]:
    """Return the order of the grades varied, for each kind of impact test on its own; none for one grade."""
    named = (one.values.get("drawing.steel") for one in candidates)
    grades = list(dict.fromkeys(grade for grade in named if isinstance(grade, str)))
    tests = sorted({test.test for grade in grades if grade in steels() for test in steels()[grade].toughness})
    return [order_by_toughness(grades, test=test) for test in tests] if len(grades) > 1 else []


def _assumptions_of(asked: Sweep, chosen: Candidate | None) -> list[FigureInForce]:
    """Return the assumptions of the trip and of the best design."""
    return figures_in_force(asked.question, more=[one.id for one in (chosen.rating.assumptions if chosen else ())])
