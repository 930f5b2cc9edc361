"""Answers to the further questions, as a person reads them on a terminal."""

from collections.abc import Sequence

from rich.table import Table
from rich.text import Text

from api.printing.detail_print import banned_fire, ids_in_words, sure_lines
from api.printing.kit_print import print_list
from api.printing.told_console import ToldConsole
from solver.forms.kit_answer import KitBrief
from solver.forms.question_answers import (
    AllowanceAnswer,
    CheckAnswer,
    ConfidenceAnswer,
    FrontAnswer,
    FrontPoint,
    SeasonAnswer,
    StepAnswer,
    SwapAnswer,
    TripAllowance,
)


def table_of(title: str, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    """Return a table whose last column is words and whose others are figures."""
    table = Table(title=title, title_justify="left")
    for name in columns[:-1]:
        table.add_column(name, justify="right")
    table.add_column(columns[-1])
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def _in_brief(kit: KitBrief) -> str:
    """Return a kit in words."""
    return f"{kit.mass_g:g} g: {ids_in_words(kit.ids)}"


def print_front(answer: FrontAnswer) -> None:
    """Print every kit that none beats."""
    console = ToldConsole()
    for text in banned_fire(answer.cautions):
        console.print(Text(text))
    kits = "1 kit" if len(answer.points) == 1 else f"{len(answer.points)} kits"
    rest = ", once the gaps below are let go" if answer.gaps and answer.points else ""
    console.print(Text(f"{answer.status}: {kits} that no other beats in grams and {answer.against}{rest}"))
    rows = [
        (
            f"{point.mass_g:g}",
            f"{point.work_min_per_day:.1f}" if answer.against == "minutes" else _price_text(point),
            ids_in_words([*point.ids, *point.methods]),
        )
        for point in answer.points
    ]
    console.print(table_of("Front", ("g", "min a day" if answer.against == "minutes" else "price", "kit"), rows))
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])
    print_list(console, "Cautions", [caution.text for caution in answer.cautions])


def _price_text(point: FrontPoint) -> str:
    """Return the price of a kit, or that it is unknown, with the sum of the prices that are known."""
    if not point.unpriced:
        return f"{point.price:g}"
    return "unknown" if not point.price else f"{point.price:g} + unknown"


def print_check(answer: CheckAnswer) -> None:
    """Print how the user's own kit does."""
    console = ToldConsole()
    kit = answer.kit
    word = "covered" if answer.covered else "not covered"
    for text in banned_fire(answer.cautions):
        console.print(Text(text))
    console.print(Text(f"{word}: {kit.mass_g:g} g packed, {kit.work_min_per_day:.0f} min of wood work a day"))
    rows = [
        (
            "-" if need.minutes_per_day is None else f"{need.minutes_per_day:.1f}",
            "-" if need.spare_mm is None else f"{need.spare_mm:g}",
            f"{need.id}: {ids_in_words([share.id for share in need.done_with])}",
        )
        for need in answer.needs
    ]
    console.print(table_of("Needs", ("min a day", "mm to spare", "need: done with"), rows))
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])
    print_list(console, "Against the lightest kit", _lightest_lines(answer))
    if answer.sure is not None:
        print_list(console, "How sure it is", sure_lines(answer.sure))
    print_list(console, "Cautions", [caution.text for caution in answer.cautions])


def _lightest_lines(answer: CheckAnswer) -> list[str]:
    """Return how far the kit is from the lightest, and the first swap."""
    if answer.lightest is None:
        return ["no kit covers this trip"]
    lines = [f"{answer.over_lightest_g:+g} g against {_in_brief(answer.lightest)}"]
    swap = answer.first_swap
    if swap is not None:
        lines.append(f"first swap: {swap_text(swap)}, {-swap.saves_g:+g} g")
    return lines


def swap_text(swap: SwapAnswer) -> str:
    """Return a swap in words."""
    if swap.into is None:
        return f"leave {swap.out} at home"
    return f"take {swap.into} too" if swap.out is None else f"take {swap.into} in place of {swap.out}"


def print_confidence(answer: ConfidenceAnswer) -> None:
    """Print the kit, and every step of confidence with its price."""
    console = ToldConsole()
    none = "no kit was found in the time allowed" if answer.status == "not_settled" else "no kit"
    kit = none if answer.kit is None else _in_brief(answer.kit)
    console.print(
        Text(f"{answer.status}: {kit}; suffices with probability {answer.probability:g} ({answer.confidence:g} asked)")
    )
    columns = ("probability", "g", "g more", "kit")
    console.print(table_of("Each step of confidence", columns, [_step_row(one) for one in answer.steps]))
    if answer.alternatives:
        console.print(table_of("Next kits", columns, [_step_row(one) for one in answer.alternatives]))
    beyond = [f"scenario {one.scenario + 1}: {gap.text}" for one in answer.beyond for gap in one.gaps]
    print_list(console, "Scenarios that no kit covers", beyond)
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])


def _step_row(step: StepAnswer) -> tuple[str, str, str, str]:
    """Return a kit with its probability as a row."""
    more = "-" if step.more_g is None else f"{step.more_g:g}"
    return f"{step.probability:.3g}", f"{step.mass_g:g}", more, ids_in_words(step.ids)


def print_season(answer: SeasonAnswer) -> None:
    """Print what to own, each trip's kit, and what the next tool would save."""
    console = ToldConsole()
    grams = f"{answer.weighted_g:g} g carried, each trip as often as its weight"
    if answer.status == "not_settled":
        console.print(Text("not settled: no tools that do for every trip were found in the time allowed"))
        return
    console.print(Text(f"{answer.status}: own {ids_in_words(answer.own)}; {grams}"))
    rows = [
        (f"{one.weight:g}", f"{one.mass_g:g}", f"{one.name or f'trip {place}'}: {ids_in_words(one.ids)}")
        for place, one in enumerate(answer.trips, start=1)
    ]
    console.print(table_of("Trips", ("weight", "g", "trip: kit"), rows))
    gaps = [f"{one.name or f'trip {i}'}: {gap.text}" for i, one in enumerate(answer.trips, start=1) for gap in one.gaps]
    print_list(console, "Gaps", [*gaps, *(gap.text for gap in answer.gaps)])
    if answer.next_own is not None:
        console.print(Text(next_text(answer.own, answer.next_own, answer.next_tool_saves_g or 0.0)))


def next_text(own: Sequence[str], next_own: Sequence[str], saves_g: float) -> str:
    """Return what the next tool bought would save, in words."""
    bought = [name for name in next_own if name not in own]
    return (
        f"the next tool, {ids_in_words(bought)}, would save {saves_g:g} g"
        if bought
        else "no further tool would save a gram"
    )


def print_allowance(answer: AllowanceAnswer) -> None:
    """Print what a tool may weigh, on each trip and on all of them."""
    console = ToldConsole()
    mass = answer.reason or _at_least(answer, "", " packed")
    console.print(Text(f"{answer.tool}: {mass}{_drawn_text(answer.allowance_p20_g)}"))
    print_list(
        console,
        "By trip",
        [f"{one.name or f'trip {place}'}: {_allowance_text(one)}" for place, one in enumerate(answer.trips, start=1)],
    )


def _at_least(found: AllowanceAnswer | TripAllowance, before: str, after: str) -> str:
    """Return an allowance in words, as far as it is known."""
    told = "not settled" if found.allowance_g is None else f"{before}{found.allowance_g:g} g{after}"
    if found.status == "optimal" or found.at_most_g is None:
        return told
    return f"{told} (at most {found.at_most_g:g} g)"


def _allowance_text(found: TripAllowance) -> str:
    """Return a trip's allowance in words."""
    mass = found.reason or _at_least(found, "up to ", "")
    replaces = f" In place of {ids_in_words(found.replaces)}." if found.replaces else ""
    price = "" if found.price_allowance is None else f" At its own mass it may cost {found.price_allowance:g}."
    return f"{mass}{_drawn_text(found.allowance_p20_g)}. {found.text}{replaces}{price}"


def _drawn_text(allowance_p20_g: float | None) -> str:
    """Return what four in five draws of the scores allow, in words; empty where that is not known."""
    return "" if allowance_p20_g is None else f", {allowance_p20_g:g} g in four of five draws of the scores"
