"""The least section of a knife, and how much pieces of a drawing differ, as a person reads them on a terminal."""

from rich.text import Text

from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
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
        console.print(table_of(f"Cases of {end.field.removeprefix('drawing.')}", ("margin", "case"), rows))
    print_list(console, "Cautions", [one.text for one in answer.cautions])
    print_list(console, "Assumed, not known", [", ".join(one.id for one in answer.assumptions)])


def print_tolerance(answer: ToleranceAnswer) -> None:
    """Print the spread of each quantity, with the measure that matters most to it."""
    console = ToldConsole()
    ended = "" if answer.complete else f"; the time ended after {answer.made} of {answer.draws} pieces"
    console.print(Text(f"{answer.id}, made {answer.process}: {answer.text}{ended}"))
    if answer.sound_share is not None:
        console.print(Text(f"{answer.sound_share:.0%} of the pieces stand every load."))
    rows = [
        (_figure(one.drawn), f"{_figure(one.low)} to {_figure(one.high)}", one.unit, f"{one.quantity}{_most(one)}")
        for one in answer.spreads
    ]
    told = ("drawn", "nine of ten", "unit", "of what; what matters most, by its share")
    console.print(table_of("How pieces differ", told, rows))
    held = [f"{one.field.removeprefix('drawing.')} {one.value:g} {one.unit} ±{one.off:.3g}" for one in answer.measures]
    print_list(console, "Tolerances (judged)", held)
    print_list(console, "Cautions", [one.text for one in answer.cautions])


def _figure(value: float) -> str:
    """Return a figure to four digits."""
    return f"{float(f'{value:.4g}'):g}"


def _most(spread: QuantitySpread) -> str:
    """Return the measure that matters most."""
    if not spread.effects:
        return ""
    first = spread.effects[0]
    return f"; {first.field.removeprefix('drawing.')} {first.share:.0%}"
