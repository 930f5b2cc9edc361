"""The least section of a knife, and how much pieces of a drawing differ, as a person reads them on a terminal."""

from rich.text import Text

from api.printing.detail_print import assumed_in_words
from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
from catalog.bench.variation import measure_words
from solver.makers.piece_spread import QuantitySpread, ToleranceAnswer
from solver.reports.minimum_section_report import MinimumSectionAnswer


def print_minimum_section(answer: MinimumSectionAnswer) -> None:
    """Print how far spine and edge may go, and the cases there."""
    console = ToldConsole()
    console.print(Text(answer.id if answer.status == "computed" else f"{answer.id}: {answer.why}"))
    for end in (answer.spine, answer.edge):
        if end is None:
            continue
        console.print(Text(f"{end.text} As drawn it is {end.drawn:g} {end.unit}."))
        rows = [(f"{one.margin:+.2f}", one.case) for one in end.cases]
        console.print(table_of(f"Cases of the {measure_words(end.field)[0]}", ("margin", "case"), rows))
    print_list(console, "Cautions", [one.text for one in answer.cautions])
    print_list(console, "Assumed, not known", assumed_in_words(answer.assumptions))


def print_tolerance(answer: ToleranceAnswer) -> None:
    """Print the spread of each quantity, with the measure that matters most to it."""
    console = ToldConsole()
    ended = "" if answer.complete else f"; the time ended after {answer.made} of {answer.draws} pieces"
    console.print(Text(f"{answer.id}, made {answer.process}: {answer.text}{ended}"))
    if answer.sound_share is not None:
        console.print(Text(f"{answer.sound_share:.0%} of the pieces stand every load."))
    rows = [
        (_in(one.unit, _figure(one.drawn)), _in(one.unit, f"{_figure(one.low)} to {_figure(one.high)}"), _of(one))
        for one in answer.spreads
    ]
    told = ("drawn", "nine of ten", "of what; what matters most, by its share")
    console.print(table_of("How pieces differ", told, rows))
    held = [
        f"{measure_words(one.field)[0]} {_in(one.unit, f'{one.value:g}')} ± {_in(one.unit, f'{one.off:.3g}')}"
        for one in answer.measures
    ]
    print_list(console, "Tolerances (judged)", held)
    print_list(console, "Cautions", [one.text for one in answer.cautions])


def _figure(value: float) -> str:
    """Return a figure to four digits."""
    return f"{float(f'{value:.4g}'):g}"


def _in(unit: str, figure: str) -> str:
    """Return a figure with its unit, where it has one."""
    return figure if unit == "-" else f"{figure} {'degrees' if unit == 'deg' else unit}"


def _of(spread: QuantitySpread) -> str:
    """Return what spreads, and the measure that matters most to it."""
    name = spread.quantity.removesuffix("_mm").replace("_max", " reach").replace("_", " ")
    if not spread.effects:
        return name
    first = spread.effects[0]
    return f"{name}; {measure_words(first.field)[0]} {first.share:.0%}"
