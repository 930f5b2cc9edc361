"""From a drawing to a row of the catalog: mass, cover, scores with derivation and interval, warnings."""

from dataclasses import dataclass
from typing import Literal

from catalog.bench.design import Design, cover_mass_g
from catalog.bench.design_upkeep import upkeep
from catalog.bench.feasibility import LimitFinding, LimitName, limit_findings
from catalog.bench.strength import assess
from catalog.bench.strength_report import StrengthReport
from catalog.drawings.axe_drawing import AxeDrawing, axe_body, is_two_handed
from catalog.drawings.handle import GripFinding, HandleDrawing, check_grip, warnings_of
from catalog.drawings.knife import KnifeDrawing, knife_body, knife_kind
from catalog.drawings.rigid_body import RigidBody
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, bow_saw_mass_g, folding_saw_body
from catalog.drawings.steel import Toughness, toughness_of
from catalog.equipment.kind import mass_slips
from catalog.equipment.tool import MOST_SCORE, TASKS, Tool
from catalog.making.drawn_cost import DrawnCost, cost_of_drawing
from catalog.making.making_caution import MakingCaution, making_cautions
from catalog.making.making_cost import Cost, cost
from catalog.scores.derived_figure import Figure
from catalog.scores.drawn_figure import drawn_figures
from catalog.scores.score_spread import DRAWN_SOURCE
from catalog.scores.split_model import can_be_batoned
from catalog.tables.assumption import Assumption
from catalog.tables.ledger import Ledger
from catalog.tables.python_form import misuse

_MASS_SOURCE = "drawing"


@dataclass(frozen=True, slots=True)
class Rating:
    """A design as the catalog sees it.

    Attributes:
        tool: its row, which a trip takes in `tools` or `extra_tools` as it stands.
        scores: scores and largest diameters, with log-normal intervals and derivations.
        balance_mm: centre of mass from the front of the handle, or from the top of an axe [mm], below 0
            towards the hand; None for a frame saw.
        inertia_g_mm2: moment of inertia about the centre of mass in the plane of a swing; None for a frame saw.
        strength: of a knife.
        grip: its handle against each published limit.
        checks: the drawing against each limit that every sweep keeps unless it is loosened by name.
        toughness: impact tests of its steel, each with the kind of test: only equal kinds compare.
        cost: what its maker's list adds up to, stated or as it follows from the drawing.
        making: lines, batches and doubt of a cost that follows from the drawing; None without `making` of the design.
        warnings: about this drawing, with figures.
        cautions: about making any tool.
        assumptions: what the figures rest on.
    """

    tool: Tool
    scores: tuple[Figure, ...]
    balance_mm: float | None
    inertia_g_mm2: float | None
    strength: StrengthReport | None
    grip: tuple[GripFinding, ...]
    checks: tuple[LimitFinding, ...]
    toughness: tuple[Toughness, ...]
    cost: Cost | None
    making: DrawnCost | None
    warnings: tuple[str, ...]
    cautions: tuple[MakingCaution, ...]
    assumptions: tuple[Assumption, ...]


@dataclass(frozen=True, slots=True)
class _Findings:
    """What the shapes differ in."""

    form: Literal["knife", "axe", "folding saw", "frame saw"]
    kind: str
    body: RigidBody | None
    mass_g: float
    cover_g: float
    edge_mm: float
    packed_mm: float
    handle: HandleDrawing | None
    figures: list[Figure]
    tang: Literal["full", "hidden"] | None = None
    strength: StrengthReport | None = None
    toughness: tuple[Toughness, ...] = ()


def rate(design: Design, *, intervals: bool = True) -> Rating:
    """Return what a design is good for.

    Args:
        design: the design.
        intervals: whether the bands of assumptions are reckoned into the intervals of figures; a search that looks at
            medians alone takes two thirds of the time without.

    Raises:
        TypeError: it is no design.
        RangeError: loads that do not fit the drawing.
    """
    if not isinstance(design, Design):
        raise misuse("design", design, "a Design")
    ledger = Ledger()
    found = _findings(design, ledger, intervals=intervals)
    bill, making = _cost_of(design)
    grip = () if found.handle is None else tuple(check_grip(found.handle, gloves=design.gloves, ledger=ledger))
    tool = _tool(design, found, bill, ledger)
    ledger.note(name for figure in found.figures for name in figure.assumptions)
    checks = limit_findings(design, found.strength, ledger)
    return Rating(
        tool=tool,
        scores=tuple(found.figures),
        balance_mm=found.body.centre_mm if found.body else None,
        inertia_g_mm2=found.body.inertia_g_mm2 if found.body else None,
        strength=found.strength,
        grip=grip,
        checks=checks,
        toughness=found.toughness,
        cost=bill,
        making=making,
        warnings=tuple(_warnings(tool, found.strength, grip, checks)),
        cautions=making_cautions(),
        assumptions=tuple(ledger.listed()),
    )


def _cost_of(design: Design) -> tuple[Cost | None, DrawnCost | None]:
    """Return what a piece costs: as the bill adds up, or as it follows from the drawing."""
    if design.making is not None:
        return cost_of_drawing(design.drawing, design.making)
    return None if design.bill is None else cost(design.bill), None


def _findings(design: Design, ledger: Ledger, *, intervals: bool) -> _Findings:
    drawing = design.drawing
    if isinstance(drawing, KnifeDrawing):
        return _knife(drawing, design, ledger, intervals=intervals)
    if isinstance(drawing, AxeDrawing):
        return _axe(drawing, ledger, intervals=intervals)
    if isinstance(drawing, FoldingSawDrawing):
        return _folding_saw(drawing, intervals=intervals)
    return _bow_saw(drawing, intervals=intervals)


def _knife(knife: KnifeDrawing, design: Design, ledger: Ledger, *, intervals: bool) -> _Findings:
    body = knife_body(knife, ledger)
    return _Findings(
        form="knife",
        kind=design.kind or knife_kind(knife, ledger),
        body=body,
        mass_g=body.mass_g,
        cover_g=cover_mass_g(knife),
        edge_mm=knife.blade.edge_length_mm,
        packed_mm=knife.overall_mm,
        handle=knife.handle,
        figures=drawn_figures(knife, body, intervals=intervals),
        tang="full" if can_be_batoned(knife) else "hidden",
        strength=assess(knife, prying=design.prying, blow=design.baton, ledger=ledger, intervals=intervals),
        toughness=toughness_of(knife.steel),
    )


def _axe(axe: AxeDrawing, ledger: Ledger, *, intervals: bool) -> _Findings:
    body = axe_body(axe)
    ledger.note(("hand_breadth_mm",))  # the figures take the hold on the handle as given
    return _Findings(
        form="axe",
        kind="axe" if is_two_handed(axe, ledger) else "hatchet",
        body=body,
        mass_g=body.mass_g,
        cover_g=cover_mass_g(axe),
        edge_mm=axe.bit_width_mm,
        packed_mm=axe.handle.length_mm,
        handle=axe.handle,
        figures=drawn_figures(axe, body, intervals=intervals),
    )


def _folding_saw(saw: FoldingSawDrawing, *, intervals: bool) -> _Findings:
    body = folding_saw_body(saw)
    return _Findings(
        form="folding saw",
        kind="folding saw",
        body=body,
        mass_g=body.mass_g,
        cover_g=cover_mass_g(saw),
        edge_mm=saw.blade.length_mm,
        packed_mm=saw.packed_mm,
        handle=saw.handle,
        figures=drawn_figures(saw, None, intervals=intervals),
    )


def _bow_saw(saw: BowSawDrawing, *, intervals: bool) -> _Findings:
    return _Findings(
        form="frame saw",
        kind="bucksaw" if saw.takes_down else "bow saw",
        body=None,
        mass_g=bow_saw_mass_g(saw),
        cover_g=cover_mass_g(saw),
        edge_mm=saw.blade.length_mm,
        packed_mm=saw.blade.length_mm,
        handle=None,
        figures=drawn_figures(saw, None, intervals=intervals),
    )


def _tool(design: Design, found: _Findings, bill: Cost | None, ledger: Ledger) -> Tool:
    by_name = {figure.name: figure for figure in found.figures}
    value = {name: figure.value for name, figure in by_name.items()}
    care = upkeep(found.form, edge_mm=found.edge_mm)
    row: dict[str, object] = {"sharpened_by": care.sharpened_by}
    for task in TASKS:
        score = min(MOST_SCORE, value.get(f"{task}_score", 0.0))
        largest = value.get(f"{task}_max_mm", 0.0)
        able = score >= ledger("least_score") and largest > 0
        row[f"{task}_score"] = score if able else 0.0
        row[f"{task}_max_mm"] = round(largest, 1) if able else 0.0
        if able:
            drawn = by_name[f"{task}_score"]
            row[f"{task}_score_low"] = min(score, drawn.low)
            row[f"{task}_score_high"] = min(10 * MOST_SCORE, drawn.high)
        row[f"{task}_life"] = care.lives.get(f"{task}_life") if able else None
    row["turned_max_mm"] = round(value.get("turned_max_mm", 0.0), 1) if row["saw_score"] else 0.0
    return Tool.model_validate(
        row
        | {
            "id": design.id,
            "name": design.name,
            "kind": design.kind or found.kind,
            "mass_g": round(found.mass_g, 1),
            "cover_g": round(found.cover_g, 1),
            "edge_mm": round(found.edge_mm, 1),
            "packed_mm": round(found.packed_mm, 1),
            "price": None if bill is None else float(bill.per_piece),
            "tang": found.tang,
            "mass_source": _MASS_SOURCE,
            "score_source": DRAWN_SOURCE,
        }
    )


# what the strength check itself warns of
_SAID: tuple[LimitName, ...] = ("strength", "edge", "hardness")


def _warnings(
    tool: Tool, strength: StrengthReport | None, grip: tuple[GripFinding, ...], checks: tuple[LimitFinding, ...]
) -> list[str]:
    found = [] if strength is None else [*filter(None, [strength.why]), *strength.warnings]
    found += warnings_of(grip)
    said = () if strength is None else _SAID
    found += [
        f"a sweep leaves it out by its limit {one.limit}: {one.text}"
        for one in checks
        if not one.within and one.limit not in said
    ]
    for slip in mass_slips([tool]):
        usual = f"{slip.mass_low_g:g}-{slip.mass_high_g:g} g"
        found.append(f"{slip.mass_g:g} g is far outside the usual {usual} of a {slip.kind}")
    return found
