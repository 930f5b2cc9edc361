"""The share of kits of an offer, as a person reads it on a terminal."""

from collections.abc import Sequence

from rich.text import Text

from api.printing.detail_print import ids_in_words
from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
from solver.offers.adoption_answer import (
    AdoptionAnswer,
    AdoptionCell,
    AdoptionClass,
    AdoptionGroup,
    AdoptionMap,
    AdoptionPoint,
    OfferAdoption,
    TripFigure,
)

_MOST_ROWS, _MOST_FIELDS = 12, 4  # judged: rows of a curve, fields that part trips most
_FEW = 5  # judged: of fewer trips a share tells next to nothing
_FIGURES: dict[TripFigure, tuple[str, str]] = {
    "nights": ("nights", "nights"),
    "air_c": ("cold", "C"),
    "thickest_mm": ("thickest wood", "mm"),
    "work_min_per_day": ("time", "min a day"),
}


def print_adoption(answer: AdoptionAnswer) -> None:
    """Print the share, against mass, why trips do not want it, who does, and the rivals."""
    console = ToldConsole()
    console.print(Text(answer.name))
    console.print(Text(answer.text))
    if answer.status == "not_settled":
        return
    counted = f"{answer.trips} of {answer.asked} trips" if answer.trips < answer.asked else f"{answer.trips} trips"
    of = f" of {answer.population}" if answer.population else ""
    console.print(Text(f"{answer.status}: {counted}{of}, seed {answer.seed}"))
    rows = [_point_row(point) for point in _thinned(answer.curve)]
    title = "Share of kits by its mass" if len(answer.ids) == 1 else "Share of kits by the mass of both, at their ratio"
    console.print(table_of(title, ("g", "%", "90 % interval", "% within 50 g"), rows))
    if answer.price_curve:
        prices = [(f"{one.price:g}", _percent(one.adoption)) for one in answer.price_curve[:_MOST_ROWS]]
        console.print(table_of("Share of kits by its price", ("price", "%"), prices))
    print_list(console, "Why not", [f"{_percent(one.share)} %: {one.text}" for one in answer.reasons])
    if len(answer.ids) > 1:
        print_list(
            console,
            "What the lightest kits hold of it",
            [f"{_percent(one.share)} %: {ids_in_words(one.ids)}" for one in answer.held],
        )
    print_list(console, "In place of", [f"{one.id}: in {_percent(one.share)} % of its kits" for one in answer.replaces])
    print_list(console, "Grams and scores", _gram_lines(answer))
    groups = [(*_shares(one), f"{one.name}: {one.trips} trips") for one in answer.groups]
    if groups:
        console.print(table_of("Who wants it", ("%", "% within 50 g", "g that half allow", "group"), groups))
    classes = [(_percent(one.adoption), _percent(one.within_50_g), _class_text(one)) for one in _first(answer.classes)]
    if classes:
        console.print(table_of("What parts trips most", ("%", "% within 50 g", "trips with"), classes))
    for one in answer.maps:
        cells = [_cell_row(one, cell) for cell in one.cells if cell.trips >= _FEW]
        title = f"Who wants it, by {_FIGURES[one.across][0]} and {_FIGURES[one.down][0]}"
        if len(cells) > 1:
            console.print(table_of(title, ("%", "% within 50 g", "g that half allow", "trips with"), cells))
    if answer.rivals:
        rivals = [_rival_row(one) for one in (answer, *answer.rivals)]
        titles = ("g", "%", "90 % interval", "% within 50 g", "% at any mass", "offer")
        console.print(table_of("Beside the rivals, each against the tools of the trips", titles, rivals))
    print_list(console, "Notes", answer.notes)


def _percent(share: float) -> str:
    """Return a share as percent."""
    return f"{100 * share:.3g}"


def _interval(found: AdoptionPoint | OfferAdoption) -> str:
    """Return an interval as percent."""
    return f"{_percent(found.low)} to {_percent(found.high)}"


def _point_row(point: AdoptionPoint) -> tuple[str, str, str, str]:
    """Return a point of the curve as a row."""
    return f"{point.mass_g:g}", _percent(point.adoption), _interval(point), _percent(point.within_50_g)


def _rival_row(one: OfferAdoption) -> tuple[str, str, str, str, str, str]:
    """Return an offer as a row."""
    near, ever = _percent(one.within_50_g), _percent(one.at_any_mass)
    return f"{one.mass_g:g}", _percent(one.adoption), _interval(one), near, ever, one.name


def _thinned(curve: Sequence[AdoptionPoint]) -> list[AdoptionPoint]:
    """Return as many points of a curve as a reader looks at, the first and the last with them."""
    if len(curve) <= _MOST_ROWS:
        return list(curve)
    step = (len(curve) - 1) / (_MOST_ROWS - 1)
    return [curve[round(place * step)] for place in range(_MOST_ROWS)]


def _first(classes: Sequence[AdoptionClass]) -> list[AdoptionClass]:
    """Return the classes of the fields that part trips most."""
    fields = list(dict.fromkeys(one.field for one in classes))[:_MOST_FIELDS]
    return [one for one in classes if one.field in fields]


def _shares(one: AdoptionGroup | AdoptionCell) -> tuple[str, str, str]:
    """Return the share of some trips, of those within 50 g, and what half of them allow."""
    allowed = "no end" if one.median_allowance_g is None else f"{one.median_allowance_g:g}"
    return _percent(one.adoption), _percent(one.within_50_g), allowed


def _cell_row(one: AdoptionMap, cell: AdoptionCell) -> tuple[str, str, str, str]:
    """Return a cell of a map as a row."""
    across = _band(one.across, cell.across_low, cell.across_high)
    down = _band(one.down, cell.down_low, cell.down_high)
    return *_shares(cell), f"{across}, {down}: {cell.trips} trips"


def _band(figure: TripFigure, low: float, high: float) -> str:
    """Return a band of a figure in words."""
    span = f"{low:g}" if low == high else f"{low:g} to {high:g}"
    unit = "night" if (figure, low, high) == ("nights", 1, 1) else _FIGURES[figure][1]
    return f"{span} {unit}"


def _class_text(one: AdoptionClass) -> str:
    """Return a class in words."""
    told = one.value if one.low is None or one.high is None else f"{one.low:.4g} to {one.high:.4g}"
    return f"{one.field} {told}: {one.trips} trips"


def _gram_lines(answer: AdoptionAnswer) -> list[str]:
    """Return what it saves, and how the share moves with the scores, in words."""
    lines = [f"{answer.saves_g:g} g off the lightest kit on average of all trips"]
    if answer.saves_taken_g is not None:
        lines.append(f"{answer.saves_taken_g:g} g on those that take it")
    if answer.scores is not None:
        one = answer.scores
        told = f"{_percent(one.low)} to {_percent(one.high)} % in {one.draws} joint draws of the scores"
        lines.append(f"{told} ({_percent(one.at_medians)} % as they stand), on {one.trips} trips")
    if answer.sure is not None:
        sure = answer.sure
        told = f"{_percent(sure.adoption)} % ({_percent(sure.low)} to {_percent(sure.high)} %) of the lightest kits"
        other = f"{_percent(sure.at_medians)} % of those if all is as assumed"
        lines.append(f"{told} that do in {sure.confidence:g} of {sure.draws} draws; {other}, on {sure.trips} trips")
        if sure.no_kit:
            lines.append(f"{_percent(sure.no_kit)} % of trips on which no kit is so sure")
    if answer.only_with_it:
        lines.append(f"{_percent(answer.only_with_it)} % of trips that no kit covers without it")
    return lines
