"""The answer to a search for the best design, as a person reads it on a terminal."""

from rich.text import Text

from api.printing.detail_print import named_in_words
from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
from catalog.bench.variation import figure_words, measure_words
from solver import BestDesignAnswer, TriedDesign


def print_best_design(answer: BestDesignAnswer) -> None:
    """Print the best design, what it does on each trip, what holds it, and how far its measures may move."""
    console = ToldConsole()
    console.print(Text(_headline(answer)))
    rows = [
        (_grams(one.without_g), _grams(one.with_g), f"{one.saved_g:g}", f"{one.weight:g}", one.name or "-")
        for one in answer.trips
    ]
    console.print(table_of("Trips", ("kit g without", "kit g with", "saved g", "weight", "trip"), rows))
    print_list(console, "Kits", [f"{one.name or 'trip'}: {named_in_words(one.ids)}" for one in answer.trips if one.ids])
    print_list(console, "What holds it", [one.text for one in answer.holding])
    if answer.plateau:
        named = [(one, *measure_words(one.field)) for one in answer.plateau]
        moves = [(f"{one.value:g} {unit}", f"{one.low:g} to {one.high:g} {unit}", name) for one, name, unit in named]
        title = f"How far each measure may move by itself, for at most {answer.plateau_g:g} g"
        console.print(table_of(title, ("as found", "from, to", "of what"), moves))
    if answer.stock:
        stock = [(f"{one.thickness_mm:g}", *_figures(one.found)) for one in answer.stock]
        console.print(table_of("Steel as it is sold", ("mm", "design g", "saved g", "margin"), stock))
    front = [(*_figures(one), _price(one)) for one in answer.front]
    console.print(table_of("Front", ("design g", "saved g", "margin", "cost"), front))
    print_list(console, "The time allowed did not suffice for", answer.not_settled)
    print_list(console, "Warnings", answer.warnings)
    print_list(console, "Cautions", [one.text for one in answer.cautions])


def _headline(answer: BestDesignAnswer) -> str:
    """Return how many designs were tried, and the best of them."""
    if answer.best is None:
        return f"no design: none of {answer.tried} tried can be drawn within the limits"
    if answer.status == "uncovered":
        return f"uncovered: no kit with one of {answer.tried} designs tried covers a trip"
    best, share = answer.best, answer.share or 0.0
    values = ", ".join(figure_words(field, value) for field, value in best.values.items())
    if not best.saved_g:
        return (
            f"found, but none of {answer.tried} designs tried saves a gram: kits are as light without. The one that "
            f"adds least weighs {best.design_g:g} g, and it is in a lightest kit of {share:.0%} of the trips\n"
            f"design: {values}"
        )
    return (
        f"found: the best of {answer.tried} designs tried weighs {best.design_g:g} g; kits with it save "
        f"{best.saved_g:g} g a trip, and it is in a lightest kit of {share:.0%} of the trips\n"
        f"design: {values}"
    )


def _figures(one: TriedDesign | None) -> tuple[str, str, str]:
    """Return mass, grams saved and margin of a design; dashes where there is none."""
    if one is None:
        return "-", "-", "-"
    return f"{one.design_g:g}", f"{one.saved_g:g}", "-" if one.margin is None else f"{one.margin:+.2f}"


def _price(one: TriedDesign) -> str:
    """Return what a piece costs."""
    return "-" if one.price is None else f"{one.price:.2f}"


def _grams(mass_g: float | None) -> str:
    """Return a mass, or a dash where no kit covers the trip."""
    return "-" if mass_g is None else f"{mass_g:g}"
