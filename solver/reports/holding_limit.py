"""Which of the usual limits of a design holds the mass of a kit up, and what a step of it would give."""

from dataclasses import replace

from catalog.bench.design_limit import left_out, loosened, step_words
from catalog.bench.feasibility import LimitName
from solver.answers.sweep import Sweep, best_of
from solver.forms.effort import Effort, Unfinished
from solver.forms.kit_answer import Output
from solver.needs.case_builder import grams
from solver.programs.engine import Status
from solver.search.choice import Choice


class HoldingLimit(Output):
    """A usual limit without which a kit would be lighter, or would be at all.

    `saves_g`: grams saved when `limit` is named in `loosen`; null if there is a kit only then. `step_saves_g`: grams
    saved when it is one step looser, as `step` has it; null if there is still no kit. Only designs of the ranges count.
    """

    limit: LimitName
    designs: int
    saves_g: float | None
    step: str
    step_saves_g: float | None
    text: str


def add_holding(found: list[HoldingLimit], asked: Sweep, best: Choice, *, effort: Effort) -> None:
    """Add the usual limits that hold the mass up.

    Raises:
        Unfinished: the best kit is not known, or there may be more of them.
    """
    if not best.checked:
        raise Unfinished
    for name, designs in left_out(asked.candidates, asked.looser).items():
        effort.go_on()
        free = best_of(replace(asked, looser={**asked.looser, **loosened([name])}), effort=effort)
        if free.status is Status.STOPPED:
            raise Unfinished
        if free.ids is None or (best.ids is not None and free.mass >= best.mass):
            continue
        a_step = best_of(replace(asked, looser={**asked.looser, name: 1}), effort=effort)
        if a_step.status is Status.STOPPED:
            raise Unfinished
        step = step_words(asked.candidates, name)
        saves, step_saves = (_saved(best, other) for other in (free, a_step))
        found.append(
            HoldingLimit(
                limit=name,
                designs=designs,
                saves_g=saves,
                step=step,
                step_saves_g=step_saves,
                text=_text(name, designs, saves, step, step_saves, helps=a_step.ids is not None),
            )
        )


def _saved(best: Choice, other: Choice) -> float | None:
    """Return the grams by which another kit is lighter; None where one of the two is none."""
    return None if best.ids is None or other.ids is None else grams(best.mass - other.mass)


def _text(
    name: LimitName, designs: int, saves: float | None, step: str, step_saves: float | None, *, helps: bool
) -> str:
    """Return it in words."""
    given = "gives a kit" if saves is None else f"saves {saves:g} g"
    if not helps:
        by_step = "there is still no kit"
    else:
        by_step = "there is a kit" if step_saves is None else f"that saves {step_saves:g} g"
    return f"{name} leaves out {designs} designs; loosened it {given}. One step ({step}): {by_step}."
