"""A design and stopwatch records as a person reads them on a terminal."""

from rich.console import Console
from rich.text import Text

from api.endpoints.trial_form import TrialsAnswer
from api.printing.detail_print import assumed_in_words
from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from catalog import Estimate, TrialFigure
from catalog.bench.rating import Rating
from catalog.equipment.tool import Tool


def print_design(rating: Rating, console: Console) -> None:
    """Print mass, scores, strength, cost, warnings, cautions and assumptions."""
    tool = rating.tool
    balance = "" if rating.balance_mm is None else f", balance {rating.balance_mm:+.0f} mm"
    console.print(Text(tool.title))
    console.print(Text(f"{tool.kind}: {tool.mass_g:g} g, {tool.packed_mass_g:g} g packed{balance}"))
    rows = [
        (
            _two_figures(one.value),
            f"{_two_figures(one.low)} to {_two_figures(one.high)}",
            _two_figures(one.physical),
            _two_figures(getattr(tool, one.name)) if one.name in Tool.model_fields else "",
            f"{one.name}, {one.derivation}",
        )
        for one in rating.scores
    ]
    console.print(table_of("Scores", ("drawn", "interval", "physics", "row", "of what, from what"), rows))
    print_list(console, "Strength", _strength_lines(rating))
    print_list(console, "Cost", _cost_lines(rating))
    _print_making(rating, console)
    print_list(console, "Warnings", list(rating.warnings))
    print_list(console, "Cautions", [one.text for one in rating.cautions])
    print_list(console, "Assumed, not known", assumed_in_words(rating.assumptions))


def _two_figures(value: float) -> str:
    """Return a figure as finely as it is known."""
    return f"{float(f'{value:.2g}'):g}"


def _strength_lines(rating: Rating) -> list[str]:
    """Return what a knife stands."""
    strength = rating.strength
    if strength is None:
        return []
    lines = [
        f"{one.load}: {one.stress_mpa:.0f} MPa at {one.at_mm:.0f} mm, "
        f"margin {one.margin_low:+.2f} against the lower yield, {one.break_margin:+.2f} against snapping at the "
        f"{one.breaks_at} ({one.break_low:+.1f} to {one.break_high:+.1f})"
        for one in strength.loads
    ]
    if strength.edge is not None:
        lines.append(
            f"edge in a knot: {strength.edge.stress_mpa:.0f} MPa, margin {strength.edge.roll_margin:+.2f} against "
            f"rolling, {strength.edge.chip_margin:+.2f} against chipping"
        )
    if strength.toughness_basis:
        lines.append(f"toughness: {strength.toughness_basis}")
    return [*lines, f"slenderness {strength.slenderness:.0f}; tip gives {strength.tip_deflection_mm:.0f} mm"]


def _cost_lines(rating: Rating) -> list[str]:
    """Return what a piece costs."""
    cost = rating.cost
    if cost is None:
        return []
    parts = ", ".join(f"{kind} {amount:.2f}" for kind, amount in cost.by_kind.items())
    making = rating.making
    doubt = (
        "" if making is None else f", {making.per_piece_low} to {making.per_piece_high} by the bands of what is judged"
    )
    batch = "" if making is None or making.pieces == 1 else f"{making.pieces} pieces: "
    lines = [f"{cost.per_piece} {cost.currency} a piece{doubt} ({batch}{parts})"]
    if making is not None and making.lost_share:
        lines.append(f"of a hundred that are hardened, {100 * making.lost_share:.0f} are lost in quench or to warp")
    return lines


def _print_making(rating: Rating, console: Console) -> None:
    """Print what a cost that follows from the drawing is made of."""
    making, cost = rating.making, rating.cost
    if making is None or cost is None:
        return
    rows = [
        (
            f"{one.amount:.2f}",
            f"{float(f'{one.quantity:.3g}'):g} {one.unit}",
            f"{one.unit_price.normalize():f}",
            one.name,
        )
        for one in making.lines
    ]
    pieces = "1 piece" if making.pieces == 1 else f"{making.pieces} pieces"
    console.print(table_of(f"What {pieces} take", (cost.currency, "quantity", "price", "of what"), rows))
    batches = [(f"{one.pieces}", f"{one.per_piece}", f"{one.labour_h:.1f}") for one in making.batches]
    console.print(table_of("A piece in a batch", ("pieces", cost.currency, "hours of work"), batches))


def print_trials(answer: TrialsAnswer, console: Console) -> None:
    """Print the estimates, and which rows they change."""
    rows = [
        (
            "-" if one.score is None else f"{one.score:.2f}",
            _interval(one),
            str(one.records),
            f"{one.tool} at {one.task}: {one.rule}",
        )
        for one in answer.estimates
    ]
    console.print(table_of("Measured scores", ("score", "interval", "records", "of what, by what rule"), rows))
    print_list(console, "Each part by itself", [_parts(one) for one in answer.estimates if one.measured])
    figures = [
        (f"{one.value:.3g}", f"{one.low:.3g} to {one.high:.3g}", f"{one.before:.3g}", f"{one.weight:.0%}", _named(one))
        for one in answer.figures
    ]
    told = ("figure", "interval (90%)", "before", "by the records", "of what")
    console.print(table_of("What else the records say", told, figures))
    far = [
        f"record {place + 1} of the table lies far from the rest" for one in answer.estimates for place in one.far_out
    ]
    print_list(console, "Far out, so that it pulls little", far)
    print_list(console, "Asked back", [one.text for one in answer.questions])
    own = ", ".join(f"{name} {value:.4g}" for name, value in answer.own_figures.items())
    print_list(console, "For the assumptions of a trip with these rows", [own] if own else [])


def _parts(one: Estimate) -> str:
    """Return what was judged and what was measured of a score, in words."""
    parts = "; ".join(
        f"{part.source} {part.median:.2g} ({part.low:.2g} to {part.high:.2g}), weight {part.weight:.0%}"
        for part in one.parts
    )
    return f"{one.tool} at {one.task}: {parts}"


def _named(figure: TrialFigure) -> str:
    """Return a shared figure in words."""
    return f"{figure.id} of {figure.of}" if figure.of else figure.id


def _interval(one: Estimate) -> str:
    """Return an interval in words."""
    if one.low is None or one.high is None or one.confidence is None:
        return "-"
    return f"{one.low:.2f} to {one.high:.2f} ({one.confidence:.0%})"
