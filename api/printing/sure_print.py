"""How sure a kit is, as a person reads it on a terminal."""

from rich.console import Console
from rich.text import Text

from api.printing.kit_print import print_list
from api.printing.question_print import ids_in_words, table_of
from solver.forms.question_answers import SureAnswer, SureKit, SureStep


def print_sure(answer: SureAnswer) -> None:
    """Print the kit as assumed and the one that is sure enough, with what fails, and grams against probability."""
    console = Console(soft_wrap=True)
    console.print(Text(f"{answer.status}: {answer.confidence:g} of {answer.draws} draws asked for"))
    for title, kit in (("If all is as assumed", answer.at_medians), ("Sure enough", answer.at_confidence)):
        if kit is not None:
            print_list(console, title, _lines_of(kit))
    if answer.at_confidence is None:
        console.print(Text(answer.text))
    columns = ("of the draws", "g", "g more", "kit")
    if answer.curve:
        console.print(table_of("Grams against probability", columns, [_row(one) for one in answer.curve]))
    if answer.next_kits:
        console.print(table_of("Next kits", columns, [_row(one) for one in answer.next_kits]))
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])
    if answer.at_confidence is not None and answer.bound_g is not None:
        console.print(
            Text(f"No kit under {answer.bound_g:g} g does: a lighter one was not ruled out in the time allowed.")
        )


def _lines_of(kit: SureKit) -> list[str]:
    """Return what is told of a kit."""
    tenths = [kit.p10_min_per_day, kit.p50_min_per_day, kit.p90_min_per_day]
    ten, half, ninety = ("no end" if one is None else f"{one:.0f}" for one in tenths)
    day = f"minutes a day: at most {ten} in a tenth of the draws, {half} in half, {ninety} in nine tenths"
    return [kit.text, ids_in_words(kit.kit.ids), day, *(fail.text for fail in kit.fails)]


def _row(step: SureStep) -> tuple[str, str, str, str]:
    """Return a kit with its share of the draws as a row."""
    more = "-" if step.more_g is None else f"{step.more_g:g}"
    return f"{step.probability:.3g}", f"{step.mass_g:g}", more, ids_in_words(step.ids)
