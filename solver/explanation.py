"""From the chosen kit to an answer that reads: who does what, why each tool goes, what to beware of."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog import GRAMS_PER_OUNCE, Assumption, Tool, assumptions, cautions, kinds, mass_slips
from solver.ability import ASSUMPTIONS, Ability, Workers
from solver.answer import (
    Answer,
    Because,
    CautionAnswer,
    Kit,
    KitTool,
    NeedAnswer,
    Proof,
    Reason,
    Share,
)
from solver.case import NEVER, fastest
from solver.engine import default_solver
from solver.framing import UNITS_PER_GRAM, grams, minutes
from solver.kit import Settled
from solver.need import Need
from solver.rule import unknown_lengths
from solver.trip import Trip

VERBS = {"split": "splits", "saw": "saws", "chop": "chops", "carve": "carves", "buck": "cuts to length"}


@dataclass(frozen=True)
class Done:
    """How one need is done: worker (index into the workers), way of working, time [ms]."""

    worker: int
    mode: str
    time: int


@dataclass(frozen=True)
class Story:
    """All that the answer is told from."""

    trip: Trip
    tools: Sequence[Tool]
    needs: Sequence[Need]
    workers: Workers
    ability: Ability
    settled: Settled

    @property
    def carried(self) -> list[Tool]:
        """The tools of the kit, in the order of their ids."""
        chosen = set(self.settled.choice.ids or ())
        return [tool for tool in self.workers.rows[: self.workers.carried] if tool.id in chosen]


def tell(story: Story) -> Answer:
    """Return the answer."""
    done = who_does(story)
    return Answer(
        name=story.trip.name,
        status=story.settled.status,  # type: ignore[arg-type]  # a property, narrowed by Settled
        kit=kit_of(story, done),
        needs=[need_answer(story, n, done.get(n)) for n in range(len(story.needs))],
        gaps=story.settled.gaps,
        proof=proof_of(story),
        reasons=reasons_of(story, done),
        cautions=cautions_of(story, done),
        assumptions=used_assumptions(story),
    )


def who_does(story: Story) -> dict[int, Done]:
    """Return for each need that can be met the worker that does it."""
    case = story.settled.case
    place = {name: index for index, name in enumerate(case.ids)}
    chosen = frozenset(place[name] for name in story.settled.choice.ids or ())
    worker, times = fastest(case, chosen)
    return {
        n: Done(int(w), story.ability.mode[n][int(w)], int(t))
        for n, w, t in zip(story.settled.met, worker, times, strict=True)
        if t < NEVER
    }


def kit_of(story: Story, done: dict[int, Done]) -> Kit:
    """Return the kit list with its totals."""
    does: dict[str, list[str]] = {}
    for n, how in done.items():
        does.setdefault(story.workers.rows[how.worker].id, []).append(story.needs[n].id)
    methods = [row.id for row in story.workers.rows[story.workers.carried :] if row.id in does]
    prices = [tool.price for tool in story.carried if tool.price is not None]
    mass_g = grams(story.settled.choice.mass)
    return Kit(
        tools=[kit_tool(tool, does.get(tool.id, [])) for tool in story.carried],
        methods=methods,
        mass_g=mass_g,
        mass_oz=round(mass_g / GRAMS_PER_OUNCE, 2),
        price=round(sum(prices), 2) if prices else None,
        work_min_per_day=minutes(sum(how.time for how in done.values())),
    )


def kit_tool(tool: Tool, does: list[str]) -> KitTool:
    """Return one line of the kit list."""
    mass_g = round(tool.packed_mass_g * UNITS_PER_GRAM) / UNITS_PER_GRAM
    return KitTool(id=tool.id, name=tool.title, kind=tool.kind, mass_g=mass_g, does=does)


def need_answer(story: Story, n: int, how: Done | None) -> NeedAnswer:
    """Return one need with who does it."""
    need, workers = story.needs[n], story.workers
    chosen = set(story.settled.choice.ids or ())
    able = [workers.rows[w].id for w in np.flatnonzero(story.ability.able[n]) if workers.rows[w].id in chosen]
    return NeedAnswer(
        id=need.id,
        task=need.task,
        diameter_mm=need.diameter_mm,
        per_day=need.per_day,
        because=Because(text=need.text, facts={"min_score": need.min_score, "critical": need.critical}),
        done_with=[] if how is None else [Share(id=workers.rows[how.worker].id, share=1.0)],
        able_carried=able,
        minutes_per_day=None if how is None else minutes(how.time),
        spare_mm=None if how is None else spare(need, how, workers),
    )


def spare(need: Need, how: Done, workers: Workers) -> float:
    """Return the diameter to spare [mm]."""
    return round(float(workers.largest[how.mode][how.worker]) - need.diameter_mm, 2)


def proof_of(story: Story) -> Proof:
    """Return how far the kit is proven."""
    choice = story.settled.choice
    return Proof(
        bound_g=None if choice.bound is None else grams(choice.bound),
        gap_g=None if choice.bound is None else grams(choice.mass - choice.bound),
        solver=default_solver(),
        tools_considered=len(story.tools),
        tools_set_aside=len(story.tools) - choice.considered + choice.set_aside,
    )


def reasons_of(story: Story, done: dict[int, Done]) -> list[Reason]:
    """Return why each tool goes, and each method that is used."""
    reasons = [tool_reason(story, tool, done) for tool in story.carried]
    used = sorted({how.worker for how in done.values() if how.worker >= story.workers.carried})
    return reasons + [work_reason(story, story.workers.rows[w], done, "method") for w in used]


def tool_reason(story: Story, tool: Tool, done: dict[int, Done]) -> Reason:
    """Return why one tool goes: the work it does, or the rule that wants it along."""
    if any(story.workers.rows[how.worker].id == tool.id for how in done.values()):
        return work_reason(story, tool, done, "does-work")
    if tool.id in story.trip.must_carry:
        return Reason(code="must-carry", tool=tool.id, needs=[], text=f"{tool.title}: you asked for it.", facts={})
    backs = [
        story.needs[n].id
        for n in range(len(story.needs))
        if story.needs[n].backup and story.ability.able[n][story.workers.rows.index(tool)]
    ]
    if backs:
        text = f"{tool.title}: second able tool for {', '.join(backs)}."
        return Reason(code="backup", tool=tool.id, needs=backs, text=text, facts={})
    wanted = [row.title for row in story.carried if any(serves(story, tool, group) for group in row.needs)]
    text = f"{tool.title}: companion of {', '.join(wanted) or 'a field method'}."
    return Reason(code="companion", tool=tool.id, needs=[], text=text, facts={})


def serves(story: Story, tool: Tool, group: Sequence[str]) -> bool:
    """Tell whether a tool serves a companion group."""
    index = story.workers.rows.index(tool)
    return any(
        story.workers.score[member.removeprefix("can:")][index] > 0 if member.startswith("can:") else member == tool.id
        for member in group
    )


def work_reason(story: Story, row: Tool, done: dict[int, Done], code: str) -> Reason:
    """Return the work that a tool or method does, with times and diameters to spare."""
    mine = [(story.needs[n], how) for n, how in done.items() if story.workers.rows[how.worker].id == row.id]
    parts = [
        f"{VERBS[how.mode]} {need.diameter_mm:g} mm in {how.time / 60_000:.1f} min a day, "  # ms in a minute
        f"{spare(need, how, story.workers):g} mm to spare"
        for need, how in mine
    ]
    return Reason(
        code=code,
        tool=row.id,
        needs=[need.id for need, _ in mine],
        text=f"{row.title}: {'; '.join(parts)}.",
        facts={
            "minutes_per_day": minutes(sum(how.time for _, how in mine)),
            "least_spare_mm": min(spare(need, how, story.workers) for need, how in mine),
        },
    )


def cautions_of(story: Story, done: dict[int, Done]) -> list[CautionAnswer]:
    """Return what can hurt or is forbidden, what a limit could not check, and figures that look wrong."""
    work = {"always"} | {how.mode for how in done.values()} | {"break" for how in done.values() if how.mode == "buck"}
    if any(how.mode == "split" and "knife" in story.workers.rows[how.worker].kind for how in done.values()):
        work.add("baton")
    return (
        [CautionAnswer(code=c.id, text=c.text, source=c.source) for c in cautions() if c.applies in work]
        + [note("unknown-figure", text) for text in unknown_lengths(story.carried, story.trip.limits)]
        + [note("unknown-kind", text) for text in unknown_kinds(story)]
        + [note("unit-slip", slip.text) for slip in mass_slips(story.trip.tools or [])]
    )


def note(code: str, text: str) -> CautionAnswer:
    """Return a caution that comes from the trip's own figures."""
    return CautionAnswer(code=code, text=text, source=None)


def unknown_kinds(story: Story) -> list[str]:
    """Return a sentence for each banned kind that no tool has and no table knows."""
    known = {tool.kind for tool in story.tools} | set(kinds())
    return [
        f"No tool is of the banned kind {kind!r}: is it spelt as in the catalog?"
        for kind in story.trip.limits.banned_kinds
        if kind not in known
    ]


def used_assumptions(story: Story) -> list[Assumption]:
    """Return the assumptions that the times of this answer rest on."""
    used = {name for need in story.needs for name in ASSUMPTIONS[need.task]}
    used |= {"chop-rate" for modes in story.ability.mode for mode in modes if mode == "chop"}
    return [row for name, row in assumptions().items() if name in used]
