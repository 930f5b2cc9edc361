"""How thin the spine and how acute the edge of a drawn knife may be before the first case fails."""

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor
from typing import Any, Literal

from pydantic import ValidationError

from catalog.bench.design import Design
from catalog.bench.feasibility import LimitFinding, limit_findings
from catalog.bench.strength import assess
from catalog.bench.strength_report import StrengthReport
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.making.making_caution import MakingCaution, making_cautions
from catalog.tables.assumption import Assumption
from catalog.tables.ledger import Ledger
from solver.forms.arguments import effort_given, form_given
from solver.forms.effort import Effort
from solver.forms.kit_answer import Output
from solver.forms.validation import Fault, TripError

_SPINE, _ANGLE = "drawing.blade.spine_mm", "drawing.blade.edge_angle_deg"
_ROUNDED = 9  # judged: digits, no binary crumbs


class SectionCase(Output):
    """A case that a section must stand. `margin` is how much more it would stand, as a share; below 0 it fails."""

    case: str
    margin: float


class SectionEnd(Output):
    """How far a measure of the blade may go.

    `least` is the smallest value that stands every case, in steps of `step`: null if not even the greatest that a
    drawing may have stands. `first_case` fails one step further, at `fails_at`; both are null where `least` is the
    smallest that a drawing may have. `cases` are those at `least`, or as drawn without one, nearest to failing first.
    """

    field: str
    unit: str
    drawn: float
    stands_as_drawn: bool
    least: float | None
    step: float
    first_case: str | None
    fails_at: float | None
    cases: list[SectionCase]
    text: str


class MinimumSectionAnswer(Output):
    """The least spine and edge of a knife; the other measures stay as drawn, a taper in proportion to the spine.

    `status` is `no data` where the steel has no strength figure; `why` says why, and both ends are null.
    """

    id: str
    status: Literal["computed", "no data"]
    why: str
    spine: SectionEnd | None
    edge: SectionEnd | None
    cautions: list[MakingCaution]
    assumptions: list[Assumption]


@dataclass(frozen=True)
class _Judged:
    """A knife with what its strength check and the usual limits tell of it."""

    strength: StrengthReport
    checks: tuple[LimitFinding, ...]


@dataclass(frozen=True)
class _Measure:
    """A measure that is made less: its field, its unit and its step, and which cases it must stand."""

    field: str
    unit: str
    step: float
    changes: Callable[[float], dict[str, Any]]
    cases: Callable[[_Judged], list[SectionCase]]


def minimum_section(design: Design | Mapping[str, Any], *, effort: Effort | None = None) -> MinimumSectionAnswer:
    """Return how thin the spine and how acute the edge of a knife may be before the first case fails.

    Args:
        design: the knife, with loads of your own or the usual ones, or a dict of its fields.
        effort: what ends the search when nobody waits for it.

    Raises:
        TypeError: an argument of another kind.
        ValidationError: a field of a dict that can't be taken.
        TripError: it is no knife.
        Cancelled: nobody waits for it.
    """
    effort, design = effort_given(effort), form_given("design", design, Design)
    drawing = design.drawing
    if not isinstance(drawing, KnifeDrawing):
        detail = f"a drawing of a {drawing.form} states no steel; only a knife has a least section"
        raise TripError([Fault("#/design/drawing/form", drawing.form, "knife", detail)])
    ledger = Ledger()
    drawn = _judged(design, ledger)
    computed = drawn.strength.status == "computed"
    blade = drawing.blade
    spine = _Measure(_SPINE, "mm", 0.01, lambda value: _thinner(blade, value), _spine_cases(drawn))
    angle = _Measure(_ANGLE, "degrees", 0.1, lambda value: {_ANGLE: value}, _edge_cases)
    return MinimumSectionAnswer(
        id=design.id,
        status=drawn.strength.status,
        why=drawn.strength.why,
        spine=_end_of(design, spine, blade.spine_mm, effort=effort) if computed else None,
        edge=_end_of(design, angle, blade.edge_angle_deg, effort=effort) if computed else None,
        cautions=list(making_cautions()),
        assumptions=ledger.listed(),
    )


def _judged(design: Design, ledger: Ledger) -> _Judged:
    """Return a knife with its strength, under its own loads or the usual ones."""
    assert isinstance(design.drawing, KnifeDrawing)
    strength = assess(design.drawing, prying=design.prying, blow=design.baton, ledger=ledger)
    return _Judged(strength, limit_findings(design, strength, ledger))


def _thinner(blade: BladeDrawing, spine_mm: float) -> dict[str, Any]:
    """Return the changes to a blade of another spine, its taper in proportion [mm]."""
    if blade.tip_spine_mm is None:
        return {_SPINE: spine_mm}
    tip_mm = round(blade.tip_spine_mm * spine_mm / blade.spine_mm, _ROUNDED)
    return {_SPINE: spine_mm, "drawing.blade.tip_spine_mm": tip_mm}


def _spine_cases(drawn: _Judged) -> Callable[[_Judged], list[SectionCase]]:
    """Return the cases of a spine; the edge is one only if it stands as drawn, since it is no matter of the spine."""
    with_edge = all(one.margin >= 0 for one in _edge_cases(drawn))

    def cases(judged: _Judged) -> list[SectionCase]:
        found = []
        for load in judged.strength.loads:
            found.append(SectionCase(case=f"{load.load}: it stays bent", margin=load.margin_low))
            found.append(SectionCase(case=f"{load.load}: it snaps at the {load.breaks_at}", margin=load.break_margin))
        (give,) = [one for one in judged.checks if one.limit == "stiffness"]
        if give.value is not None and give.high is not None:
            found.append(SectionCase(case="it is too floppy to work with", margin=give.high / give.value - 1))
        return found + (_edge_cases(judged) if with_edge else [])

    return cases


def _edge_cases(judged: _Judged) -> list[SectionCase]:
    """Return the cases of an edge."""
    edge = judged.strength.edge
    if edge is None:
        return []
    return [
        SectionCase(case="the edge rolls in a knot", margin=edge.roll_margin),
        SectionCase(case="the edge chips in a knot", margin=edge.chip_margin),
    ]


def _end_of(design: Design, measure: _Measure, drawn: float, *, effort: Effort) -> SectionEnd:
    """Return how far a measure may go."""
    low, high = _range_of(measure.field)
    tried: dict[int, list[SectionCase]] = {}

    def cases_at(steps: int) -> list[SectionCase]:
        if steps not in tried:
            effort.go_on()
            tried[steps] = _cases(design, measure, round(steps * measure.step, _ROUNDED))
        return tried[steps]

    as_drawn = _cases(design, measure, drawn)
    lowest, highest = ceil(round(low / measure.step, _ROUNDED)), floor(round(high / measure.step, _ROUNDED))
    from_steps = ceil(round(drawn / measure.step, _ROUNDED)) if _stands(as_drawn) else highest
    least = _least(lowest, from_steps, lambda steps: _stands(cases_at(steps)))
    further = None if least is None or least == lowest else cases_at(least - 1)
    value = None if least is None else round(least * measure.step, _ROUNDED)
    fails_at = None if further is None or least is None else round((least - 1) * measure.step, _ROUNDED)
    first = None if further is None else further[0].case
    return SectionEnd(
        field=measure.field,
        unit=measure.unit,
        drawn=drawn,
        stands_as_drawn=_stands(as_drawn),
        least=value,
        step=measure.step,
        first_case=first,
        fails_at=fails_at,
        cases=as_drawn if least is None else cases_at(least),
        text=_text(measure, value, fails_at, first, as_drawn, high),
    )


def _least(lowest: int, passing: int, stands: Callable[[int], bool]) -> int | None:
    """Return the least number of steps that stands, one less of which does not; None where the most does not stand."""
    return lowest + bisect_left(range(lowest, passing), True, key=stands) if stands(passing) else None


def _stands(cases: Sequence[SectionCase]) -> bool:
    """Tell whether every case is stood."""
    return all(one.margin >= 0 for one in cases)


def _cases(design: Design, measure: _Measure, value: float) -> list[SectionCase]:
    """Return the cases of a design with another value, the nearest to failing first."""
    try:
        judged = _judged(design.varied(measure.changes(value)), Ledger())
    except ValidationError as error:
        return [SectionCase(case=f"it cannot be drawn: {error.errors()[0]['msg']}", margin=-1)]
    return sorted(measure.cases(judged), key=lambda one: one.margin)


def _range_of(field: str) -> tuple[float, float]:
    """Return the least and the most that a drawing may have."""
    limits = {type(one).__name__: one for one in BladeDrawing.model_fields[field.rpartition(".")[2]].metadata}
    return float(limits["Ge"].ge), float(limits["Le"].le)


def _text(
    measure: _Measure,
    least: float | None,
    fails_at: float | None,
    first: str | None,
    as_drawn: Sequence[SectionCase],
    high: float,
) -> str:
    """Return it in words."""
    name, unit = ("spine" if measure.field == _SPINE else "edge angle"), measure.unit
    if least is None:
        return f"No {name} up to {high:g} {unit} stands. As drawn: {as_drawn[0].case}."
    end = "A drawing takes no less." if first is None else f"At {fails_at:g} {unit} the first case fails: {first}."
    return f"The {name} may be {least:g} {unit}. {end}"
