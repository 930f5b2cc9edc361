"""The least section of a knife, as a person reads it on a terminal."""

from rich.text import Text

from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
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
