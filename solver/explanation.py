"""From the settled kit to an answer that reads."""

from typing import Literal, cast

from catalog import GRAMS_PER_OUNCE, Tool
from catalog.labour import activity_of, net_kcal_per_min
from solver.answer import Answer, EffortAnswer, EffortSide, Kit, KitTool, Proof
from solver.engine import default_solver
from solver.framing import DIGITS, UNITS_PER_GRAM, grams, minutes
from solver.kit import Settled
from solver.need_row import need_rows, working_rows
from solver.question import Question
from solver.reason import reasons_of
from solver.story import Story
from solver.warning import cautions_of

GRAMS_PER_STEP = 100  # the effort of grams is told per 100 g


def tell(question: Question, settled: Settled, lightest: Settled) -> Answer:
    """Return the answer."""
    story = Story(question, settled)
    return Answer(
        name=question.trip.name,
        status=cast(Literal["optimal", "feasible", "uncovered"], settled.status),
        kit=kit_of(story),
        needs=need_rows(story),
        workings=working_rows(story),
        effort=effort_of(story, lightest),
        gaps=settled.gaps,
        proof=proof_of(story),
        reasons=reasons_of(story),
        cautions=cautions_of(story),
        assumptions=question.ledger.listed(),
    )


def kit_of(story: Story) -> Kit:
    """Return the kit list with its totals."""
    settled, workers = story.settled, story.question.workers
    prices = [tool.price for tool in story.carried if tool.price is not None]
    mass_g = grams(settled.choice.mass)
    used = {piece.worker for piece in story.pieces}
    return Kit(
        tools=[kit_tool(tool, story.does(tool.id)) for tool in story.carried],
        methods=[workers.rows[w].id for w in range(workers.carried, len(workers.rows)) if w in used],
        mass_g=mass_g,
        mass_oz=round(mass_g / GRAMS_PER_OUNCE, 2),
        price=round(sum(prices), 2) if prices else None,
        work_min_per_day=minutes(settled.load.work),
        carry_kcal_per_day=round(settled.case.carry * settled.choice.mass, DIGITS),
        work_kcal_per_day=round(settled.load.kcal, DIGITS),
    )


def kit_tool(tool: Tool, does: list[str]) -> KitTool:
    """Return one line of the kit list."""
    mass_g = round(tool.packed_mass_g * UNITS_PER_GRAM) / UNITS_PER_GRAM
    return KitTool(id=tool.id, name=tool.title, kind=tool.kind, mass_g=mass_g, does=does)


def effort_of(story: Story, lightest: Settled) -> EffortAnswer:
    """Return carrying against working, for the chosen kit and the lightest."""
    carrying = story.question.carrying
    per_step = carrying.pandolf_santee_kcal_per_g * GRAMS_PER_STEP
    return EffortAnswer(
        aim=story.question.trip.aim,
        walking_h_per_day=round(carrying.walking_h, DIGITS),
        kcal_per_100g_day=round(per_step, DIGITS),
        kcal_per_100g_day_lcda=round(carrying.lcda_kcal_per_g * GRAMS_PER_STEP, DIGITS),
        break_even_min_per_100g=round(per_step / work_rate(story), DIGITS),
        chosen=side(story, story.settled),
        lightest=side(story, lightest),
    )


def work_rate(story: Story) -> float:
    """Return what a minute of wood work costs above rest [kcal]: of this kit, or of sawing where it has none."""
    load = story.settled.load
    if load.work > 0:
        return load.kcal / minutes(load.work)
    return net_kcal_per_min(met=activity_of("saw").met, body_kg=story.question.body_kg)


def side(story: Story, settled: Settled) -> EffortSide:
    """Return one kit's carrying and working, per person."""
    people = story.question.trip.people
    return EffortSide(
        ids=list(settled.choice.ids or ()),
        mass_g=grams(settled.choice.mass),
        work_min_per_day=minutes(settled.load.work),
        carry_kcal_per_person_day=round(settled.case.carry * settled.choice.mass / people, DIGITS),
        work_kcal_per_person_day=round(settled.load.kcal / people, DIGITS),
    )


def proof_of(story: Story) -> Proof:
    """Return how far the kit is proven, in grams where mass was the aim."""
    choice, tools = story.settled.choice, story.question.tools
    by_mass = story.question.trip.aim == "mass" and choice.bound is not None
    bound_g = grams(choice.bound) if by_mass and choice.bound is not None else None
    return Proof(
        bound_g=bound_g,
        gap_g=None if bound_g is None else round(grams(choice.mass) - bound_g, DIGITS),
        solver=default_solver(),
        tools_considered=len(tools),
        tools_set_aside=len(tools) - choice.considered + choice.set_aside,
    )
