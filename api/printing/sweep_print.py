"""The answer to a sweep over designs, as a person reads it on a terminal."""

from rich.text import Text

from api.printing.detail_print import assumed_in_words, ids_in_words
from api.printing.kit_print import print_list
from api.printing.question_print import table_of
from api.printing.told_console import ToldConsole
from catalog.bench.variation import figure_words
from solver.reports.sweep_report import DesignPoint, SweepAnswer


def print_sweep(answer: SweepAnswer) -> None:
    """Print the best design, the front, and what stops the kit from getting lighter."""
    console = ToldConsole()
    console.print(Text(_headline(answer)))
    figure = {"margin": "margin", "minutes": "min a day", "price": "cost"}[answer.against]
    rows = [
        (f"{one.mass_g:g}", f"{one.design_g:g}", _figure_text(one, answer.against), _values_text(one))
        for one in answer.front
    ]
    console.print(table_of("Front", ("kit g", "design g", figure, "design"), rows))
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])
    print_list(console, "What stops it from getting lighter", [one.text for one in answer.stops])
    print_list(console, "The time allowed did not suffice for", [part.replace("_", " ") for part in answer.not_settled])
    print_list(console, "Limits that hold the mass up", [one.text for one in answer.holding])
    print_list(console, "Warnings", answer.warnings)
    print_list(console, "Cautions", [one.text for one in answer.cautions])
    print_list(console, "Assumed, not known", assumed_in_words(answer.assumptions))


def _headline(answer: SweepAnswer) -> str:
    """Return how many designs were tried, and the best of them."""
    tried = f"{answer.designs} designs"
    if answer.best is None:
        if answer.status == "not_settled":
            return f"not settled: no kit with one of {tried} was found in the time allowed"
        return f"{answer.status}: none of {tried} gives a kit that covers the trip"
    best = answer.best
    without = answer.kit_without
    worth = "no kit does without it" if without is None else f"without it the kit weighs {without.mass_g:g} g"
    worth = "the kit without it is not settled" if "kit_without" in answer.not_settled else worth
    return (
        f"{answer.status}: the best of {tried} weighs {best.design_g:g} g, in a kit of {best.mass_g:g} g; {worth}\n"
        f"design: {_values_text(best)}{_allowance_line(answer)}\nkit: {ids_in_words(best.ids)}"
    )


def _allowance_line(answer: SweepAnswer) -> str:
    """Return what the best design may weigh; empty where that has no end or is not known."""
    told = [
        *([] if answer.allowance_g is None else [f"{answer.allowance_g:g} g"]),
        *(
            []
            if answer.allowance_p20_g is None
            else [f"{answer.allowance_p20_g:g} g in four of five draws of the scores"]
        ),
    ]
    return f"\nwithout the other designs it may weigh {', '.join(told)}" if told else ""


def _figure_text(point: DesignPoint, against: str) -> str:
    """Return what grams are weighed against: margin, minutes a day, or what the design costs."""
    if against == "price":
        return "-" if point.price is None else f"{point.price:.2f}"
    if against == "minutes":
        return f"{point.work_min_per_day:.1f}"
    return "-" if point.margin is None else f"{point.margin:+.2f}"


def _values_text(point: DesignPoint) -> str:
    """Return the varied fields of a design in words."""
    return ", ".join(figure_words(field, value) for field, value in point.values.items())
