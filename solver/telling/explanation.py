"""From the settled kit to an answer that reads."""

import math
from dataclasses import replace
from typing import Literal, cast

from catalog import GRAMS_PER_OUNCE, Tool
from catalog.walking.labour import activity_of, net_kcal_per_min
from solver.answers.details import Details
from solver.answers.kit import Settled
from solver.forms.answer import Alternative, Answer, EffortAnswer, EffortSide, FactAnswer, Kit, KitTool, Proof, Refund
from solver.forms.quantity import MS_PER_MINUTE, UNITS_PER_GRAM
from solver.model.day_work import Workload
from solver.needs.case_builder import ANSWER_DIGITS, grams, minutes
from solver.search.bound import BOUND_TRACE, Fact, Facts
from solver.search.choice import Choice
from solver.telling.need_row import need_rows, working_rows
from solver.telling.reason import reasons_of
from solver.telling.solution_view import SolutionView
from solver.telling.stated_figure import figures_in_force, trial_scores
from solver.telling.warning import cautions_of

_PARTS = {None: "", "open": " (opening the rounds)", "pieces": " (splitting their pieces)"}
_GRAMS_PER_STEP = 100  # the effort of carrying is given per 100 g


def tell(view: SolutionView, lightest: Settled, details: Details) -> Answer:
    """Return the answer."""
    question, settled = view.question, view.settled
    return Answer(
        name=question.trip.name,
        status=cast(Literal["optimal", "feasible", "uncovered"], settled.status),
        kit=kit_of(view),
        needs=need_rows(view),
        workings=working_rows(view),
        effort=_effort_of(view, lightest),
        gaps=settled.gaps,
        conflict=details.conflict,
        alternatives=[_alternative_of(view, choice, load) for choice, load in details.alternatives],
        pins=details.pins,
        why_not=details.why_not,
        share=details.share,
        robust=details.robust,
        proof=_proof_of(view, details.facts),
        reasons=reasons_of(view),
        cautions=cautions_of(view),
        assumptions=figures_in_force(question),
        trials=trial_scores(question),
    )


def _alternative_of(view: SolutionView, choice: Choice, load: Workload) -> Alternative:
    """Return a next kit against the first."""
    other = SolutionView(view.question, replace(view.settled, choice=choice, load=load))
    kit = kit_of(other)
    more_g = round(kit.mass_g - grams(view.settled.choice.mass), ANSWER_DIGITS)
    more_min = round(kit.work_min_per_day - minutes(view.settled.load.work), ANSWER_DIGITS)
    return Alternative(
        status=choice.status.value,
        tools=kit.tools,
        methods=kit.methods,
        mass_g=kit.mass_g,
        mass_oz=kit.mass_oz,
        work_min_per_day=kit.work_min_per_day,
        more_g=more_g,
        more_min_per_day=more_min,
        gives=_gives(view, other, more_g, more_min),
    )


def _gives(first: SolutionView, other: SolutionView, more_g: float, more_min: float) -> str:
    """Return in words what a next kit changes."""
    out = sorted(first.chosen - other.chosen)
    into = sorted(other.chosen - first.chosen)
    swap = f"{', '.join(into) or 'nothing'} instead of {', '.join(out) or 'nothing'}"
    time = f"{abs(more_min):.0f} min a day {'less' if more_min < 0 else 'more'}"
    return f"{swap}: {more_g:g} g more, {time}"


def kit_of(view: SolutionView) -> Kit:
    """Return the kit list with its totals."""
    settled = view.settled
    prices = [tool.price for tool in view.carried if tool.price is not None]
    mass_g = grams(settled.choice.mass)
    return Kit(
        tools=[_kit_tool(view, tool) for tool in view.carried],
        methods=view.methods_used,
        mass_g=mass_g,
        mass_oz=round(mass_g / GRAMS_PER_OUNCE, 2),
        price=round(sum(prices), 2) if prices else None,
        work_min_per_day=minutes(settled.load.work),
        carry_kcal_per_day=round(settled.case.carry * settled.choice.mass, ANSWER_DIGITS),
        work_kcal_per_day=round(settled.load.kcal, ANSWER_DIGITS),
    )


def _kit_tool(view: SolutionView, tool: Tool) -> KitTool:
    """Return one line of the kit list."""
    mass_g = round(tool.packed_mass_g * UNITS_PER_GRAM) / UNITS_PER_GRAM
    return KitTool(
        id=tool.id,
        name=tool.title,
        kind=tool.kind,
        mass_g=mass_g,
        does=view.does(tool.id),
        score_source=tool.score_source,
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
        chosen=_side(view, view.settled),
        lightest=_side(view, lightest),
    )


def _work_rate(view: SolutionView) -> float:
    """Return what a minute of wood work costs above rest [kcal]: of this kit, or of sawing where it has none."""
    load = view.settled.load
    if load.work > 0:
        return load.kcal / (load.work / MS_PER_MINUTE)
    return net_kcal_per_min(met=activity_of("saw").met, body_kg=view.question.body_kg)


def _side(view: SolutionView, settled: Settled) -> EffortSide:
    """Return one kit's carrying and working, per person."""
    people = view.question.trip.people
    return EffortSide(
        ids=list(settled.choice.ids or ()),
        mass_g=grams(settled.choice.mass),
        work_min_per_day=minutes(settled.load.work),
        carry_kcal_per_person_day=round(settled.case.carry * settled.choice.mass / people, ANSWER_DIGITS),
        work_kcal_per_person_day=round(settled.load.kcal / people, ANSWER_DIGITS),
    )


def _proof_of(view: SolutionView, facts: Facts | None) -> Proof:
    """Return how far the kit is proven, in grams where mass was the aim."""
    choice, tools = view.settled.choice, view.question.tools
    assert choice.prover is not None  # only a kit that nobody chose has none, and it is not proven here
    by_mass = view.question.trip.aim == "mass" and choice.bound is not None
    bound_g = grams(choice.bound) if by_mass and choice.bound is not None else None
    told = [_fact_text(view, fact) for fact in facts.facts] if facts else []
    facts_g = None if facts is None else round(grams(facts.bound), 2)
    return Proof(
        bound_g=bound_g,
        gap_g=None if bound_g is None else round(grams(choice.mass) - bound_g, ANSWER_DIGITS),
        solver=choice.prover,
        tools_considered=len(tools),
        tools_set_aside=len(tools) - choice.considered + choice.set_aside,
        facts=told,
        facts_anyhow_g=0.0 if facts is None else grams(facts.must),
        facts_refunds=_refunds_of(facts),
        facts_bound_g=facts_g,
        text=_proof_text(view, told, facts, bound_g),
    )


def _refunds_of(facts: Facts | None) -> list[Refund]:
    """Return what tools give back, by id."""
    refunds = {} if facts is None else facts.refunds
    return [Refund(tool=name, back_g=round(grams(refunds[name]), 2)) for name in sorted(refunds)]


def _fact_text(view: SolutionView, fact: Fact) -> FactAnswer:
    """Return one fact in words and figures."""
    need = view.question.needs[view.settled.met[fact.job]]
    mass_g, charged = grams(fact.lightest_mass), round(grams(fact.charged), 2)
    wanted = "one" if fact.wanted == 1 else f"{fact.wanted}"
    if fact.wanted > 1:
        part = f", and {charged:g} g are counted for each of the {fact.wanted}"
    else:
        part = (
            "" if charged >= mass_g else f", but only {charged:g} g are counted, as some of them also serve other needs"
        )
    return FactAnswer(
        need=need.id,
        wanted_tools=fact.wanted,
        able_tools=fact.able,
        lightest=fact.lightest,
        lightest_g=mass_g,
        charged_g=charged,
        text=f"{need.id}{_PARTS[need.part]} needs {wanted} of {fact.able} tools "
        f"(the lightest is {fact.lightest} at {mass_g:g} g){part}",
    )


def _proof_text(view: SolutionView, told: list[FactAnswer], facts: Facts | None, bound_g: float | None) -> str:
    """Return the proof in a sentence or two."""
    if bound_g is None:
        return "The aim is not mass. The solver proved the kit best for this aim. There is no bound in grams."
    if facts is None:
        return f"The solver proved that no kit weighs less than {bound_g:g} g."
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
    return f"{by_facts}. The solver proved the rest, up to {bound_g:g} g, by branch and bound."
