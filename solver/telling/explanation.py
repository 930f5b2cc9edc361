"""From the settled kit to an answer that reads."""

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Literal, cast

from catalog import GRAMS_PER_OUNCE, Tool
from catalog.walking.labour import activity_of, net_kcal_per_min
from solver.answers.details import Details
from solver.answers.kit import Settled
from solver.forms.aim import AimBound
from solver.forms.answer import (
    AimProof,
    Alternative,
    Answer,
    EffortAnswer,
    EffortSide,
    FactAnswer,
    Proof,
    Refund,
)
from solver.forms.kit_answer import Kit, KitMinutes, KitTool
from solver.forms.limit import WORK
from solver.forms.quantity import DAY_DIGITS, EFFORT, MASS, MILLIONTHS, MINUTES, MS_PER_MINUTE, sum_of
from solver.model.case import EDGE, TEETH
from solver.model.copies import is_copy, original_of
from solver.needs.ability import way_kcal_per_min
from solver.needs.case_builder import ANSWER_DIGITS, grams
from solver.needs.knife import originals
from solver.search.bound import BOUND_TRACE, Fact, Facts
from solver.siblings.alternative import NextKit
from solver.telling.hearth_row import hearth_answer
from solver.telling.need_row import need_rows, working_rows
from solver.telling.reason import reasons_of
from solver.telling.solution_view import GATHER, REST, SolutionView
from solver.telling.stated_figure import figures_in_force, trial_scores
from solver.telling.upgrade import comparisons_of, upgrade_of
from solver.telling.warning import cautions_of

_PARTS = {None: "", "open": " (opening the rounds)", "pieces": " (splitting their pieces)"}
_GRAMS_PER_STEP = 100  # the effort of carrying is given per 100 g


def tell(view: SolutionView, lightest: Settled, details: Details) -> Answer:
    """Return the answer."""
    question, settled, effort = view.question, view.settled, _effort_of(view, lightest)
    return Answer(
        name=question.trip.name,
        status=cast(Literal["optimal", "feasible", "uncovered"], settled.status),
        kit=kit_of(view),
        needs=need_rows(view),
        workings=working_rows(view),
        effort=effort,
        gaps=settled.gaps,
        conflict=details.conflict,
        alternatives=[_alternative_of(view, one) for one in details.alternatives],
        upgrades=[upgrade_of(view, point) for point in details.upgrades],
        pins=details.pins,
        sure=None,
        why_not=details.why_not,
        share=details.share,
        share_proof=details.share_proof,
        robust=details.robust,
        hearth=hearth_answer(view),
        proof=_proof_of(view, details.facts),
        reasons=reasons_of(view) + comparisons_of(view, details, lightest, effort),
        cautions=cautions_of(view),
        assumptions=figures_in_force(question),
        trials=trial_scores(question),
        not_settled=details.not_settled,
    )


def _alternative_of(view: SolutionView, one: NextKit) -> Alternative:
    """Return a next kit against the first."""
    other = SolutionView(view.question, replace(view.settled, choice=one.choice, load=one.load))
    kit = kit_of(other)
    more_g = round(kit.mass_g - grams(view.settled.choice.mass), ANSWER_DIGITS)
    more_min = round(kit.work_min_per_day - view.told_min, ANSWER_DIGITS)
    return Alternative(
        status=one.choice.status.value,
        tools=kit.tools,
        methods=kit.methods,
        mass_g=kit.mass_g,
        mass_oz=kit.mass_oz,
        work_min_per_day=kit.work_min_per_day,
        more_g=more_g,
        more_min_per_day=more_min,
        gives=_gives(view, other, more_g, more_min),
        better_in=list(one.better_in),
    )


def _gives(first: SolutionView, other: SolutionView, more_g: float, more_min: float) -> str:
    """Return in words what a next kit changes."""
    out = originals(sorted(first.chosen - other.chosen))
    into = originals(sorted(other.chosen - first.chosen))
    added, left = ", ".join(into) or "nothing", ", ".join(out)
    swap = f"{added} instead of {left}" if left else f"{added} too"
    whole = f"{abs(more_min):.0f}"
    time = "the same time" if whole == "0" else f"{whole} min a day {'less' if more_min < 0 else 'more'}"
    return f"{swap}: {more_g:g} g more, {time}"


def kit_of(view: SolutionView) -> Kit:
    """Return the kit list with its totals."""
    settled = view.settled
    prices = [tool.price * view.count(tool.id) for tool in view.carried if tool.price is not None]
    mass_g = grams(settled.choice.mass)
    return Kit(
        tools=[_kit_tool(view, tool) for tool in view.carried],
        methods=view.methods_used,
        mass_g=mass_g,
        mass_oz=round(mass_g / GRAMS_PER_OUNCE, 2),
        price=round(sum(prices), 2) if prices else None,
        work_min_per_day=view.told_min,
        minutes=_minutes_of(view),
        carry_kcal_per_day=_carried(settled) / MILLIONTHS,
        work_kcal_per_day=settled.load.kcal / MILLIONTHS,
    )


def _carried(settled: Settled) -> int:
    """Return what carrying a kit costs a day [millionths of a kcal]."""
    return sum_of(settled.case.carried_kcal, settled.case.kit(settled.choice.ids or ()))


def _minutes_of(view: SolutionView) -> KitMinutes:
    """Return the parts that a day's minutes are made of: rounded, so that they add up to them."""
    gathering, rest = view.minutes_of[GATHER], view.minutes_of[REST]
    worked = round(view.told_min - gathering - rest, DAY_DIGITS)
    handling = min(worked, round(view.handling_ms / MS_PER_MINUTE, DAY_DIGITS))
    return KitMinutes(cutting=round(worked - handling, DAY_DIGITS), handling=handling, gathering=gathering, rest=rest)


def _kit_tool(view: SolutionView, tool: Tool) -> KitTool:
    """Return one line of the kit list."""
    case = view.settled.case
    mass_g = grams(int(case.mass[case.place[tool.id]]))
    teeth, edge = (round(view.lives_spent(tool.id, part), ANSWER_DIGITS) for part in (TEETH, EDGE))
    return KitTool(
        id=tool.id,
        name=tool.title,
        kind=tool.kind,
        count=view.count(tool.id),
        mass_g=mass_g,
        does=view.does(tool.id),
        score_source=tool.score_source,
        lives_spent=max(teeth, edge),
        lives_spent_teeth=teeth,
        lives_spent_edge=edge,
        price_g=view.tool_price(tool.id),
    )


def _effort_of(view: SolutionView, lightest: Settled) -> EffortAnswer:
    """Return carrying against working, for the chosen kit and the lightest."""
    carrying = view.question.carrying
    per_step = carrying.pandolf_santee_kcal_per_g * _GRAMS_PER_STEP
    return EffortAnswer(
        aim=view.question.trip.aim,
        walking_h_per_day=round(carrying.walking_h, ANSWER_DIGITS),
        kcal_per_100g_day=round(per_step, ANSWER_DIGITS),
        kcal_per_100g_day_lcda=round(carrying.lcda_kcal_per_g * _GRAMS_PER_STEP, ANSWER_DIGITS),
        break_even_min_per_100g=round(per_step / _work_rate(view), ANSWER_DIGITS),
        chosen=(chosen := _side(view)),
        lightest=chosen if lightest is view.settled else _side(SolutionView(view.question, lightest)),
    )


def _work_rate(view: SolutionView) -> float:
    """Return what a told minute of wood work costs above rest [kcal]: of this kit, or of sawing where it has none."""
    load = view.settled.load
    if load.time > 0:
        return float(load.energy / MILLIONTHS / (view.settled.case.rest.told(load.time) / MS_PER_MINUTE))
    return net_kcal_per_min(met=activity_of("saw").met, body_kg=view.question.body_kg)


def _side(view: SolutionView) -> EffortSide:
    """Return one kit's carrying and working, per person."""
    people, settled = view.question.trip.people, view.settled
    return EffortSide(
        ids=originals(settled.choice.ids or ()),
        mass_g=grams(settled.choice.mass),
        work_min_per_day=view.told_min,
        carry_kcal_per_person_day=round(_carried(settled) / MILLIONTHS / people, ANSWER_DIGITS),
        work_kcal_per_person_day=round(settled.load.kcal / MILLIONTHS / people, ANSWER_DIGITS),
        work_kcal_low=_work_kcal(view, "met_low"),
        work_kcal_high=_work_kcal(view, "met_high"),
    )


def _work_kcal(view: SolutionView, met: Literal["met_low", "met_high"]) -> float:
    """Return the energy of a kit's work per person at an end of the bands of METs [kcal]."""
    body_kg = view.question.body_kg
    kcal = sum([spent * way_kcal_per_min(way, met, body_kg=body_kg) for way, spent in view.minutes_spent])
    return round(kcal / view.question.trip.people, ANSWER_DIGITS)


def _proof_of(view: SolutionView, facts: Facts | None) -> Proof:
    """Return how far the kit is proven, in grams where mass was the aim."""
    choice, tools = view.settled.choice, view.question.tools
    assert choice.prover is not None  # only a kit that nobody chose has none, and it is not proven here
    by_mass = view.question.trip.aim == "mass" and choice.bound is not None
    bound_g = grams(choice.bound) if by_mass and choice.bound is not None else None
    copies = [name for name in view.settled.case.ids if is_copy(name)]
    told = [_fact_text(view, fact) for fact in facts.facts] if facts else []
    facts_g = None if facts is None else round(grams(facts.bound), 2)
    return Proof(
        bound_g=bound_g,
        gap_g=None if bound_g is None else round(grams(choice.mass) - bound_g, ANSWER_DIGITS),
        solver=choice.prover,
        tools_considered=len(tools),
        tools_set_aside=len(tools) + len(copies) - choice.considered + choice.set_aside,
        facts=told,
        facts_anyhow_g=0.0 if facts is None else grams(facts.must),
        facts_refunds=_refunds_of(facts),
        facts_bound_g=facts_g,
        text=_proof_text(view, told, facts, bound_g),
        checked=choice.checked,
        aims=[_aim_of(view, one) for one in choice.aims],
    )


def _aim_of(view: SolutionView, found: AimBound) -> AimProof:
    """Return how far an aim is proven, in the units of callers."""
    case = view.settled.case
    told: dict[str, Callable[[int], float]] = {
        MASS.name: grams,
        MINUTES.name: lambda ms: case.told(WORK, ms),
        EFFORT.name: lambda kcal: round(kcal / MILLIONTHS, ANSWER_DIGITS),
    }
    tell = told.get(found.quantity.name, float)
    value = tell(found.value)
    return AimProof.model_validate(
        {
            "aim": found.quantity.name,
            "value": value,
            "bound": None if found.bound is None else value if found.bound == found.value else tell(found.bound),
            "status": "optimal" if found.proven else "feasible",
            "checked": found.proven,
        }
    )


def _refunds_of(facts: Facts | None) -> list[Refund]:
    """Return what tools give back, by id."""
    refunds: dict[str, float] = {}
    for name, back in ({} if facts is None else facts.refunds).items():
        refunds[original_of(name)] = refunds.get(original_of(name), 0.0) + back
    return [Refund(tool=name, back_g=round(grams(refunds[name]), 2)) for name in sorted(refunds)]


def _fact_text(view: SolutionView, fact: Fact) -> FactAnswer:
    """Return one fact in words and figures."""
    need = view.question.needs[view.settled.met[fact.job]]
    mass_g, charged = grams(fact.lightest_mass), round(grams(fact.charged), 2)
    wanted = "one" if fact.wanted == 1 else f"{fact.wanted}"
    lightest, able = original_of(fact.lightest), fact.able - _copies_among(view, fact)
    if fact.wanted > 1:
        part = f", and {charged:g} g are counted for each of the {fact.wanted}"
    else:
        part = (
            "" if charged >= mass_g else f", but only {charged:g} g are counted, as some of them also serve other needs"
        )
    return FactAnswer(
        need=need.id,
        wanted_tools=fact.wanted,
        able_tools=able,
        lightest=lightest,
        lightest_g=mass_g,
        charged_g=charged,
        text=f"{need.id}{_PARTS[need.part]} needs {wanted} of {able} tools "
        f"(the lightest is {lightest} at {mass_g:g} g){part}",
    )


def _copies_among(view: SolutionView, fact: Fact) -> int:
    """Return how many of the able tools of a fact are copies of others."""
    case = view.settled.case
    return sum(is_copy(name) and bool(case.able[fact.job, tool]) for tool, name in enumerate(case.ids))


def _proof_text(view: SolutionView, told: list[FactAnswer], facts: Facts | None, bound_g: float | None) -> str:
    """Return the proof in a sentence or two."""
    if bound_g is None:
        best = "A search in whole numbers proves the kit best for this aim."
        if not view.settled.choice.checked:
            best = "The effort allowed ended before the kit was proven best for this aim."
        return f"The aim is not mass. {best} There is no bound in grams."
    if facts is None:
        return f"A search in whole numbers proves that no kit weighs less than {bound_g:g} g."
    parts = [one.text for one in told]
    if facts.must:
        parts.insert(0, f"you must carry {grams(facts.must):g} g in any case")
    parts += [
        f"minus {one.back_g:g} g that were counted for {one.tool} beyond what it adds" for one in _refunds_of(facts)
    ]
    by_facts = (
        f"{'; '.join(parts)}; so no kit weighs less than {grams(facts.bound):.6g} g"
        if parts
        else "No need by itself requires a tool"
    )
    if math.ceil(facts.bound - BOUND_TRACE) >= view.settled.choice.mass:
        return f"{by_facts}. This kit weighs no more."
    return f"{by_facts}. A search in whole numbers proves the rest, up to {bound_g:g} g."
