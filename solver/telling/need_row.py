"""The rows of needs and workings in an answer: their minutes add up to the kit's."""

from collections.abc import Callable, Hashable
from typing import Literal, cast

from solver.forms.kit_answer import Because, NeedAnswer, NeedPart, Share, WayShare, WorkerAmount, Working
from solver.forms.quantity import GRAMS_PER_KG
from solver.needs.case_builder import ANSWER_DIGITS, minutes
from solver.needs.job import KNIFE
from solver.needs.knife import knife_kinds
from solver.needs.need import Need, whole_needs
from solver.place.fire_use import FireUse
from solver.telling.solution_view import GATHER, REST, Piece, SolutionView

_Way = Literal["split", "saw", "carve", "chop", "buck", "wedge"]


def need_rows(view: SolutionView) -> list[NeedAnswer]:
    """Return stated needs in the order asked, the uses of the fire, derived needs, then gathering and rest."""
    needs = view.question.needs
    wholes = whole_needs(needs)
    stated = [_fixed_row(view, places) for places in wholes if needs[places[0]].facts["stated"]]
    derived = [_fixed_row(view, places) for places in wholes if not needs[places[0]].facts["stated"]]
    fire = [_fire_row(view, use) for use in view.question.uses]
    return stated + fire + derived + _gather_rows(view) + _rest_rows(view)


def _fixed_row(view: SolutionView, places: list[int]) -> NeedAnswer:
    """Return the row of a need with a fixed amount, from its parts."""
    need = view.question.needs[places[0]]
    if need.job.task == KNIFE:
        return _knife_row(view, need)
    pieces = [piece for n in places for piece in view.of_need(n)]
    able = view.question.ability.able[places[0]]
    return NeedAnswer(
        id=need.id,
        task=need.job.task,
        diameter_mm=need.diameter_mm,
        per_day=need.per_day,
        because=need.because(),
        done_with=_shares(view, pieces),
        parts=[_part(view, n) for n in places if view.question.needs[n].part is not None],
        able_carried=[view.row(w).id for w in view.chosen_workers if able[w]],
        minutes_per_day=view.minutes_of[need.id] if pieces or need.standby else None,
        spare_mm=min((view.spare(piece) for piece in pieces), default=None),
        price_g=view.price(need.id),
    )


def _part(view: SolutionView, n: int) -> NeedPart:
    """Return a part of a split."""
    need, pieces = view.question.needs[n], view.of_need(n)
    assert need.part is not None
    return NeedPart(
        part=need.part,
        diameter_mm=need.job.diameter_mm,
        clefts_per_day=round(need.weight, ANSWER_DIGITS),
        done_with=_shares(view, pieces),
        minutes_per_day=minutes(sum(piece.time for piece in pieces)) if pieces else None,
    )


def _knife_row(view: SolutionView, need: Need) -> NeedAnswer:
    """Return the row of the knife that stays in the pack: it takes no time, and no wood has to fit it."""
    number = sum(view.count(tool.id) for tool in view.knives)
    return NeedAnswer(
        id=need.id,
        task=KNIFE,
        diameter_mm=None,
        per_day=need.per_day,
        because=need.because(),
        done_with=[
            Share(id=tool.id, share=round(view.count(tool.id) / number, ANSWER_DIGITS), spare_mm=0.0, ways=[])
            for tool in view.knives
        ]
        if need.backup
        else [Share(id=tool.id, share=1.0, spare_mm=0.0, ways=[]) for tool in view.knives],
        parts=[],
        able_carried=[tool.id for tool in view.carried if tool.kind in knife_kinds(need.job)],
        minutes_per_day=0.0 if view.knives else None,
        spare_mm=None,
        price_g=view.price(need.id),
    )


def _shares(view: SolutionView, pieces: list[Piece]) -> list[Share]:
    """Return who does what share of some work."""
    total = _weighed(view, pieces)
    return [
        Share(
            id=view.row(mine[0].worker).id,
            share=round(_weighed(view, mine) / total, ANSWER_DIGITS),
            spare_mm=min(view.spare(piece) for piece in mine),
            ways=_ways(view, mine),
        )
        for mine in _together(pieces, lambda piece: piece.worker)
    ]


def _weighed(view: SolutionView, pieces: list[Piece]) -> float:
    """Return how much work pieces are, by the weights of their needs."""
    return sum(float(piece.amount) * view.weight(piece) for piece in pieces)


def _together(pieces: list[Piece], key: Callable[[Piece], Hashable]) -> list[list[Piece]]:
    """Return pieces of work in groups of one key, in the order of their first ones."""
    groups: dict[Hashable, list[Piece]] = {}
    for piece in pieces:
        groups.setdefault(key(piece), []).append(piece)
    return list(groups.values())


def _ways(view: SolutionView, mine: list[Piece]) -> list[WayShare]:
    """Return what share of its pieces of work a worker does in each way."""
    total = _weighed(view, mine)
    return [
        WayShare(way=cast(_Way, group[0].way), share=round(_weighed(view, group) / total, ANSWER_DIGITS))
        for group in _together(mine, lambda piece: piece.way)
    ]


def _fire_row(view: SolutionView, use: FireUse) -> NeedAnswer:
    """Return the row of a use of the fire: its part of cutting and splitting goes by its kilograms."""
    pieces = view.on_firewood
    done = view.firewood_kg > 0
    return NeedAnswer(
        id=use.id,
        task=use.id,
        diameter_mm=None,
        per_day=round(use.kg, ANSWER_DIGITS),
        because=Because(
            text=f"fire: {use.text}: {use.heat_mj:.1f} MJ, {_wood_text(use)}",
            facts={
                "stated": False,
                "heat_mj_per_day": round(use.heat_mj, ANSWER_DIGITS),
                "efficiency": use.efficiency,
                "net_mj_per_kg": round(view.question.site.net_mj_kg, ANSWER_DIGITS),
                "kg_per_day": round(use.kg, ANSWER_DIGITS),
                "kg_alone_per_day": round(use.alone_kg, ANSWER_DIGITS),
                "hours_per_day": round(use.hours, ANSWER_DIGITS),
                "kg_per_hour": round(use.kg_h, ANSWER_DIGITS),
                "shares_hours_with": ", ".join(use.with_uses),
            },
        ),
        done_with=_shares(view, pieces),
        parts=[],
        able_carried=[],
        minutes_per_day=view.minutes_of[use.id] if done else None,
        spare_mm=min((view.spare(piece) for piece in pieces), default=None),
        price_g=view.price(use.id),
    )


def _wood_text(use: FireUse) -> str:
    """Return the wood that a use takes, and what it shares, in words."""
    shared = use.alone_kg - use.kg
    if not use.with_uses or round(shared, 1) <= 0:
        return f"{wood_in_words(use.kg)} of wood a day"
    others = " and ".join(use.with_uses)
    return f"{wood_in_words(use.alone_kg)} of wood a day, {shared:.1f} kg of it burned for {others} in the same hours"


def wood_in_words(kg: float) -> str:
    """Return an amount of wood in words: kilograms to the tenth; grams of so little that it would be told as none."""
    if round(kg, 1) > 0 or kg == 0:
        return f"{kg:.1f} kg"
    return f"{max(1.0, kg * GRAMS_PER_KG):.0f} g"


def _gather_rows(view: SolutionView) -> list[NeedAnswer]:
    """Return the row of gathering, where firewood is gathered."""
    if not view.firewood_kg:
        return []
    kg = round(view.firewood_kg, ANSWER_DIGITS)
    return [
        NeedAnswer(
            id=GATHER,
            task="gather",
            diameter_mm=None,
            per_day=kg,
            because=Because(
                text=f"gathering {wood_in_words(kg)} of firewood a day", facts={"stated": False, "kg_per_day": kg}
            ),
            done_with=[],
            parts=[],
            able_carried=[],
            minutes_per_day=view.minutes_of[GATHER],
            spare_mm=None,
            price_g=None,
        )
    ]


def _rest_rows(view: SolutionView) -> list[NeedAnswer]:
    """Return the row of rest, where the day's work asks for any."""
    told = view.minutes_of[REST]
    if not told:
        return []
    rest = view.settled.case.rest
    free, share = minutes(float(rest.free_ms)), float(rest.share)
    return [
        NeedAnswer(
            id=REST,
            task="rest",
            diameter_mm=None,
            per_day=told,
            because=Because(
                text=f"rest: {100 * share:g} % of the work beyond {free:g} minutes a day for the whole party",
                facts={"stated": False, "share": share, "free_min_per_day": free},
            ),
            done_with=[],
            able_carried=[],
            minutes_per_day=told,
            spare_mm=None,
            price_g=None,
            parts=[],
        )
    ]


def working_rows(view: SolutionView) -> list[Working]:
    """Return each class of firewood as it is used, thinnest first."""
    return [_working(view, c, float(kg)) for c, kg in sorted(view.settled.load.kg.items())]


def _working(view: SolutionView, c: int, kg: float) -> Working:
    """Return one class of firewood as it is used."""
    one = view.question.classes[c]
    firewood = view.settled.case.firewood
    assert firewood is not None
    rounds = kg / one.round_kg
    pieces = [piece for piece in view.on_firewood if view.class_of(piece) == c]
    return Working(
        diameter_mm=one.diameter_mm,
        kg_per_day=round(kg, ANSWER_DIGITS),
        reach_kg_per_day=round(one.reach_kg, ANSWER_DIGITS),
        rounds_per_day=round(rounds, ANSWER_DIGITS),
        cuts_per_day=round(rounds, ANSWER_DIGITS),
        clefts_per_day=round(rounds * one.clefts, ANSWER_DIGITS),
        buck=_amounts(view, [piece for piece in pieces if view.jobs[piece.job].task == "buck"]),
        split=_amounts(view, [piece for piece in pieces if view.jobs[piece.job].task == "split"]),
        gather_min_per_day=minutes(kg * float(firewood.gather[c])),
    )


def _amounts(view: SolutionView, pieces: list[Piece]) -> list[WorkerAmount]:
    """Return what each worker does of a class."""
    return [
        WorkerAmount(
            id=view.row(mine[0].worker).id,
            kg_per_day=round(float(sum(piece.amount for piece in mine)), ANSWER_DIGITS),
            part=view.jobs[mine[0].job].part,
            minutes_per_day=minutes(sum(piece.time for piece in mine)),
            spare_mm=min(view.spare(piece) for piece in mine),
            ways=_ways(view, mine),
        )
        for mine in _together(pieces, lambda piece: (piece.job, piece.worker))
    ]
