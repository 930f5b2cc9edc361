"""The rows of needs and workings in an answer: their minutes add up to the kit's."""

from solver.forms.answer import Because, NeedAnswer, Share, WorkerAmount, Working
from solver.needs.build_case import ANSWER_DIGITS, minutes
from solver.needs.fire_use import FireUse
from solver.needs.need import Need
from solver.telling.solution_view import Piece, SolutionView


def need_rows(story: SolutionView) -> list[NeedAnswer]:
    """Return stated needs in the order asked, the uses of the fire, derived needs, then gathering."""
    needs = list(enumerate(story.question.needs))
    stated = [_fixed_row(story, n, need) for n, need in needs if need.facts["stated"]]
    derived = [_fixed_row(story, n, need) for n, need in needs if not need.facts["stated"]]
    fire = [_fire_row(story, use) for use in story.question.uses]
    return stated + fire + derived + _gather_rows(story)


def _fixed_row(story: SolutionView, n: int, need: Need) -> NeedAnswer:
    """Return the row of a need with a fixed amount."""
    pieces = story.of_need(n)
    able = story.question.ability.able[n]
    return NeedAnswer(
        id=need.id,
        task=need.job.task,
        diameter_mm=need.job.diameter_mm,
        per_day=need.per_day,
        because=Because(text=need.text, facts=need.facts),
        done_with=_shares(story, pieces),
        able_carried=[story.row(w).id for w in story.chosen_workers if able[w]],
        minutes_per_day=minutes(sum(piece.time for piece in pieces)) if pieces else None,
        spare_mm=min((story.spare(piece) for piece in pieces), default=None),
        price_g=story.price(need.id),
    )


def _shares(story: SolutionView, pieces: list[Piece]) -> list[Share]:
    """Return who does what share of some work."""
    total = sum(piece.amount for piece in pieces)
    by_id: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_id.setdefault(story.row(piece.worker).id, []).append(piece)
    return [
        Share(
            id=name,
            share=round(sum(piece.amount for piece in mine) / total, ANSWER_DIGITS),
            spare_mm=min(story.spare(piece) for piece in mine),
        )
        for name, mine in by_id.items()
    ]


def _fire_row(story: SolutionView, use: FireUse) -> NeedAnswer:
    """Return the row of a use of the fire: its part of cutting and splitting goes by its kilograms."""
    pieces = story.on_firewood
    part = use.kg / story.question.demand_kg
    done = story.firewood_kg > 0
    return NeedAnswer(
        id=use.id,
        task=use.id,
        diameter_mm=None,
        per_day=round(use.kg, ANSWER_DIGITS),
        because=Because(
            text=f"fire: {use.text}: {use.heat_mj:.1f} MJ, {use.kg:.1f} kg of wood a day",
            facts={
                "stated": False,
                "heat_mj_per_day": round(use.heat_mj, ANSWER_DIGITS),
                "efficiency": use.efficiency,
                "net_mj_per_kg": round(story.question.site.net_mj_kg, ANSWER_DIGITS),
                "kg_per_day": round(use.kg, ANSWER_DIGITS),
            },
        ),
        done_with=_shares(story, pieces),
        able_carried=[],
        minutes_per_day=minutes(part * sum(piece.time for piece in pieces)) if done else None,
        spare_mm=min((story.spare(piece) for piece in pieces), default=None),
        price_g=story.price(use.id),
    )


def _gather_rows(story: SolutionView) -> list[NeedAnswer]:
    """Return the row of gathering, where firewood is gathered."""
    if not story.firewood_kg:
        return []
    kg = round(story.firewood_kg, ANSWER_DIGITS)
    return [
        NeedAnswer(
            id="gather",
            task="gather",
            diameter_mm=None,
            per_day=kg,
            because=Because(text=f"gathering {kg:.1f} kg of firewood a day", facts={"stated": False, "kg_per_day": kg}),
            done_with=[],
            able_carried=[],
            minutes_per_day=minutes(story.gather_ms),
            spare_mm=None,
            price_g=None,
        )
    ]


def working_rows(story: SolutionView) -> list[Working]:
    """Return each class of firewood as it is used, thinnest first."""
    return [_working(story, c, kg) for c, kg in sorted(story.settled.load.kg.items())]


def _working(story: SolutionView, c: int, kg: float) -> Working:
    """Return one class of firewood as it is used."""
    one = story.question.classes[c]
    firewood = story.settled.case.firewood
    assert firewood is not None
    rounds = kg / one.round_kg
    pieces = [piece for piece in story.on_firewood if story.class_of(piece) == c]
    return Working(
        diameter_mm=one.diameter_mm,
        kg_per_day=round(kg, ANSWER_DIGITS),
        reach_kg_per_day=round(one.reach_kg, ANSWER_DIGITS),
        rounds_per_day=round(rounds, ANSWER_DIGITS),
        cuts_per_day=round(rounds, ANSWER_DIGITS),
        clefts_per_day=round(rounds * one.clefts, ANSWER_DIGITS),
        buck=_amounts(story, [piece for piece in pieces if story.jobs[piece.job].task == "buck"]),
        split=_amounts(story, [piece for piece in pieces if story.jobs[piece.job].task == "split"]),
        gather_min_per_day=minutes(kg * float(firewood.gather[c])),
    )


def _amounts(story: SolutionView, pieces: list[Piece]) -> list[WorkerAmount]:
    """Return what each worker does of a class."""
    return [
        WorkerAmount(
            id=story.row(piece.worker).id,
            kg_per_day=round(piece.amount, ANSWER_DIGITS),
            minutes_per_day=minutes(piece.time),
            spare_mm=story.spare(piece),
        )
        for piece in pieces
    ]
