"""How sure a kit is, as a person reads it on a terminal."""

from rich.text import Text

from api.printing.detail_print import ids_in_words, sure_kits, unknown_lists
from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
from solver.forms.question_answers import SureAnswer
from solver.forms.sure_answer import SureStep


def print_sure(answer: SureAnswer) -> None:
    """Print the kit as assumed and the one that is sure enough, with what fails, and grams against probability."""
    console = ToldConsole()
    console.print(Text(f"{answer.status}: {answer.confidence:g} of {answer.draws} draws asked for"))
    for title, lines in sure_kits(answer).items():
        print_list(console, title, lines)
    if answer.at_confidence is None:
        console.print(Text(answer.text))
    columns = ("of the draws", "g", "g more", "kit")
    if answer.curve:
        console.print(table_of("Grams against probability", columns, [_row(one) for one in answer.curve]))
    if answer.curve_exact_to_g is not None and "curve" not in answer.not_settled:
        console.print(
            Text(f"No other kit up to {answer.curve_exact_to_g:g} g does in more; not all heavier ones were sought.")
        )
    if answer.next_kits:
        console.print(table_of("Next kits", columns, [_row(one) for one in answer.next_kits]))
    for title, lines in unknown_lists(answer).items():
        print_list(console, title, lines)
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])
    if answer.at_confidence is not None and answer.bound_g is not None:
        console.print(
            Text(f"No kit under {answer.bound_g:g} g does: a lighter one was not ruled out in the time allowed.")
        )


def _row(step: SureStep) -> tuple[str, str, str, str]:
    """Return a kit with its share of the draws as a row."""
    more = "-" if step.more_g is None else f"{step.more_g:g}"
    return f"{step.probability:.3g}", f"{step.mass_g:g}", more, ids_in_words(step.ids)
