"""Why each tool goes, and each method that is used; and why no firewood is cut where none is."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from catalog import Tool
from catalog.equipment.tool import TASKS
from solver.forms.answer import Reason
from solver.forms.kit_answer import FactValue
from solver.forms.task import TASK_ROWS
from solver.model.case import EDGE, TEETH
from solver.needs.candidates import RENEWED
from solver.needs.case_builder import minutes
from solver.needs.job import KNIFE, Job
from solver.place.wedging import wedge_method
from solver.telling.hearth_row import hearth_answer
from solver.telling.need_row import wood_in_words
from solver.telling.solution_view import Piece, SolutionView

_SECOND = {"backup-cut": "cutting firewood", "backup-split": "splitting firewood"}


def reasons_of(view: SolutionView) -> list[Reason]:
    """Return the reasons of an answer."""
    rows = view.question.workers.rows
    used = sorted({piece.worker for piece in view.pieces if piece.worker >= view.question.workers.carried})
    return (
        _tool_reasons(view)
        + [_work_reason(view, rows[worker], "method") for worker in used]
        + _wedge_reasons(view)
        + _fire_reasons(view)
        + _blade_reasons(view)
    )


def _tool_reasons(view: SolutionView) -> list[Reason]:
    """Return why each tool goes; which others name it is looked up once for all of them."""
    renewed, wanting = defaultdict[str, list[Tool]](list), defaultdict[str, list[Tool]](list)
    for row in view.carried:
        for name in dict.fromkeys(row.sharpened_by):
            renewed[name].append(row)
        for member in dict.fromkeys(member for group in row.needs for member in group):
            wanting[member].append(row)
    return [
        _tool_reason(view, tool, renewed=renewed[tool.id], wanting=_wanting(view, tool, wanting))
        for tool in view.carried
    ]


def _wanting(view: SolutionView, tool: Tool, by_member: Mapping[str, Sequence[Tool]]) -> list[str]:
    """Return the titles of the carried tools of which a tool serves a companion group, in their order."""
    workers = view.question.workers
    index = workers.candidates.place[tool.id]
    names = [tool.id, *(f"can:{task}" for task in TASKS if workers.score[task][index] > 0)]
    found = {row.id: row.title for name in names for row in by_member.get(name, ())}
    return [found[one] for one in sorted(found)]


def _tool_reason(view: SolutionView, tool: Tool, *, renewed: Sequence[Tool], wanting: Sequence[str]) -> Reason:
    """Return why one tool goes: the work it does, or the rule that wants it along.

    Args:
        view: the settled trip.
        tool: a carried tool.
        renewed: the carried tools that name it among what renews them.
        wanting: the titles of the carried tools of which it is a companion.
    """
    if view.does(tool.id):
        return _work_reason(view, tool, "does-work")
    if tool.id in view.question.trip.must_carry:
        return Reason(
            code="must-carry", tool=tool.id, needs=[], text=f"{tool.title}: your trip says that it must go.", facts={}
        )
    backs = _backed_by(view, tool)
    if backs:
        text = f"{tool.title}: a second tool for {', '.join(_SECOND.get(need, need) for need in backs)}."
        return Reason(code="backup", tool=tool.id, needs=backs, text=text, facts={})
    worn = [row for row in renewed if _wears_out(view, row, tool)]
    if worn:
        return _upkeep_reason(tool, worn, "which would wear out on the trip")
    if not wanting and renewed:
        return _upkeep_reason(tool, renewed, "which may wear out if another tool is lost")
    if not wanting:
        text = f"{tool.title}: takes over if another tool is lost."
        return Reason(code="if-lost", tool=tool.id, needs=[], text=text, facts={})
    text = f"{tool.title}: needed to use {', '.join(wanting)}."
    return Reason(code="companion", tool=tool.id, needs=[], text=text, facts={})


def _wears_out(view: SolutionView, tool: Tool, renewer: Tool) -> bool:
    """Tell whether the trip takes more than a life of a part of a tool that another renews."""
    return any(view.lives_spent(tool.id, part) > 1 for part in RENEWED[renewer.renews])


def _upkeep_reason(tool: Tool, renewed: Sequence[Tool], when: str) -> Reason:
    """Return that a tool goes since it renews others."""
    titles = ", ".join(row.title for row in renewed)
    text = f"{tool.title}: renews the {parts_renewed([tool], renewed)} of {titles}, {when}."
    return Reason(code="upkeep", tool=tool.id, needs=[], text=text, facts={})


def parts_renewed(renewers: Sequence[Tool], tools: Sequence[Tool]) -> str:
    """Return in words which parts sharpeners or spares renew of tools that have them."""
    said = {part for one in renewers for part in RENEWED[one.renews]}
    sawing = any(tool.saw_score > 0 for tool in tools)
    cutting = any(getattr(tool, f"{way}_score") > 0 for tool in tools for way in ("split", "carve", "chop"))
    there = {TEETH: ("teeth", sawing), EDGE: ("edge", cutting)}
    return " and ".join(word for part, (word, has) in there.items() if part in said and has) or "edge"


def _backed_by(view: SolutionView, tool: Tool) -> list[str]:
    """Return the needs for which a tool is one of the able ones that a backup asks for."""
    index = view.question.workers.candidates.place[tool.id]
    able = view.question.ability.able
    return list(dict.fromkeys(need.id for n, need in view.needs_met() if need.backup and able[n][index]))


def _work_reason(view: SolutionView, row: Tool, code: str) -> Reason:
    """Return the work that a tool or method does, with times and diameters to spare."""
    mine = [piece for piece in view.pieces if view.row(piece.worker).id == row.id and piece.way != KNIFE]
    facts: dict[str, FactValue] = {}
    if mine:
        facts["minutes_per_day"] = minutes(sum(piece.time for piece in mine))
        facts["least_spare_mm"] = min(view.spare(piece) for piece in mine)
    return Reason(
        code=code if mine else KNIFE,
        tool=row.id,
        needs=view.does(row.id),
        text=f"{row.title}: {'; '.join([*(_piece_text(view, piece) for piece in mine), *_kept(view, row)])}.",
        facts=facts,
    )


def _kept(view: SolutionView, row: Tool) -> list[str]:
    """Return in words that a knife stays in the pack, or that each person carries one."""
    if row not in view.knives:
        return []
    each = view.question.trip.people if view.question.trip.knife == "each" else 1
    if each == 1:
        return ["stays in the pack as the knife of the party"]
    number = view.count(row.id)
    return [f"{'one' if number == 1 else number} of the {each} knives, one because each person carries one"]


def _blade_reasons(view: SolutionView) -> list[Reason]:
    """Return that no blade is carried, where none is."""
    if view.edged:
        return []
    if not view.settled.gaps:
        text = "No blade is carried: what the trip asks for is done without one, by hand or by field methods."
    elif view.pieces:
        text = "No blade is carried: what can be done of the trip is done without one. The gaps say what is missing."
    else:
        text = "No blade is carried: no tool that may go does what the trip asks for. The gaps say what is missing."
    return [Reason(code="no-blade", tool=None, needs=[], text=text, facts={})]


def _piece_text(view: SolutionView, piece: Piece) -> str:
    """Return one piece of work in words."""
    job = view.jobs[piece.job]
    of = f" ({wood_in_words(float(piece.amount))} a day)" if piece.job >= len(view.question.needs) else ""
    spent = minutes(piece.time)
    time = f"{spent:.1f}" if round(spent, 1) > 0 else "less than 0.1"
    turned = f", each log turned, since the frame clears {view.frame_mm(piece):g} mm," if view.turned(piece) else ""
    return f"{_does(piece, job)}{of}{turned} in {time} min a day, {view.spare(piece):g} mm to spare"


def _does(piece: Piece, job: Job) -> str:
    """Return what a worker does in a piece of work."""
    if piece.way == "wedge":
        return f"starts the first cleft of {job.diameter_mm:g} mm rounds and carves the wedges that open them"
    if job.part == "open":
        return f"splits {job.diameter_mm:g} mm rounds open"
    if job.part == "pieces":
        return f"splits their pieces, {job.diameter_mm:g} mm through"
    return f"{TASK_ROWS[piece.way].verb} {job.diameter_mm:g} mm"


def _wedge_reasons(view: SolutionView) -> list[Reason]:
    """Return what wedges do, and with which tools, where any open rounds."""
    pieces = [piece for piece in view.pieces if piece.way == "wedge"]
    if not pieces:
        return []
    method = wedge_method()
    needs = [name for piece in pieces for name in view.served(piece)]
    tools = ", ".join(dict.fromkeys(view.row(piece.worker).title for piece in pieces))
    sizes = ", ".join(f"{mm:g} mm" for mm in sorted({view.jobs[piece.job].diameter_mm for piece in pieces}))
    text = (
        f"{method.title}: open rounds of {sizes}; to start them: {tools}. The wood must be straight, sound, unfrozen."
    )
    facts: dict[str, FactValue] = {"minutes_per_day": minutes(sum(piece.time for piece in pieces))}
    return [Reason(code="method", tool=method.id, needs=list(dict.fromkeys(needs)), text=text, facts=facts)]


def _fire_reasons(view: SolutionView) -> list[Reason]:
    """Return what the fire wants, or that none may be lit."""
    fire = view.question.trip.fire
    if fire is None:
        return []
    if not fire.allowed:
        text = "No wood fire is allowed, so no firewood is cut. Only stated tasks and camp work count."
        return [Reason(code="fire-not-allowed", tool=None, needs=[], text=text, facts={})]
    uses = view.question.uses
    if not uses:
        return []
    site, kg = view.question.site, view.question.demand_kg
    parts = ", ".join(f"{wood_in_words(use.kg)} for {_words(use.id)}" for use in uses if use.kg)
    beside = ", ".join(_words(use.id) for use in uses if not use.kg)
    parts += f", with {beside} on the same fire" if beside else ""
    text = (
        f"Fire: {wood_in_words(kg)} of {site.wood.common_name} a day ({parts}), at {site.moisture_pct:.0f} % moisture."
    )
    shared = sum(use.alone_kg - use.kg for use in uses)
    if round(shared, 1) > 0:
        text += f" One fire serves them in the same hours: {shared:.1f} kg less than one after the other."
    facts = {"kg_per_day": round(kg, 6), "moisture_pct": site.moisture_pct, "net_mj_per_kg": site.net_mj_kg}
    facts |= {"kg_shared_per_day": round(shared, 6)}
    return [
        Reason(code="firewood", tool=None, needs=[use.id for use in uses], text=text, facts=dict(facts)),
        *_hearth_reasons(view),
    ]


def _words(name: str) -> str:
    """Return an id in words."""
    return name.replace("-", " ")


def _hearth_reasons(view: SolutionView) -> list[Reason]:
    """Return what a hearth other than an open fire takes and weighs."""
    row = hearth_answer(view)
    if row is None or row.id == "open":
        return []
    return [Reason(code="hearth", tool=None, needs=[], text=row.text, facts={"mass_g": row.mass_g})]
