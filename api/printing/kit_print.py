"""An answer as a person reads it on a terminal."""

from rich.console import Console
from rich.table import Table
from rich.text import Text

from api.printing.detail_print import banned_fire, detail_lines, sure_kits, unknown_lists
from api.printing.told_console import ToldConsole
from catalog import GRAMS_PER_OUNCE
from solver import Answer

_UNITS = {"rest": " min", "knife": ""}  # of needs without a diameter; the others are kilograms
_BY_NOBODY = {"gather": "hands", "rest": "-"}  # who does what no tool or method does


def print_answer(answer: Answer) -> None:
    """Print the kit, what each need gets, the reasons, gaps, cautions and assumptions."""
    console = ToldConsole()
    console.print(Text(_headline(answer)))
    console.print(_kit_table(answer))
    console.print(_need_table(answer))
    if answer.workings:
        console.print(_wood_table(answer))
    console.print(_minutes_text(answer), highlight=False)
    console.print(_effort_text(answer), highlight=False)
    print_list(console, "Gaps", [gap.text for gap in answer.gaps])
    for title, lines in detail_lines(answer).items():
        print_list(console, title, lines)
    if answer.sure is not None:
        print_list(console, "How sure", [answer.sure.text, *(gap.text for gap in answer.sure.gaps)])
        for title, lines in (sure_kits(answer.sure) | unknown_lists(answer.sure)).items():
            print_list(console, title, lines)
    print_list(console, "Reasons", [reason.text for reason in answer.reasons])
    print_list(console, "Cautions", [caution.text for caution in answer.cautions])
    print_list(console, "Timed by you", [one.text for one in answer.trials])
    for title, yours in (("Yours", True), ("Assumed, not known", False)):
        print_list(
            console,
            title,
            [
                f"{a.id} = {a.value:g}{'' if a.unit == '-' else f' {a.unit}'} (band {a.low:g} to {a.high:g})"
                for a in answer.assumptions
                if a.yours == yours
            ],
        )


def _headline(answer: Answer) -> str:
    """Return status, total and proof in a line or two."""
    kit, proof, banned = answer.kit, answer.proof, banned_fire(answer.cautions)
    lines = [*([answer.name] if answer.name else []), *banned]
    uncovered = "not all of it can be covered; " if answer.status == "uncovered" else ""
    rest = " for the rest" if uncovered or banned else ""
    lines.append(
        f"{answer.status}: {uncovered}{kit.mass_g:g} g ({kit.mass_oz:g} oz) packed{rest}, "
        f"{kit.work_min_per_day:.0f} min of wood work a day"
    )
    if proof.bound_g is not None:
        what = "the rest" if banned else "this"
        lines.append(f"proof: no kit for {what} under {proof.bound_g:g} g ({proof.tools_considered} tools weighed)")
    return "\n".join(lines)


def _kit_table(answer: Answer) -> Table:
    """Return the kit list."""
    table = Table(title="Kit", title_justify="left")
    for name, side in (("tool", "left"), ("g", "right"), ("oz", "right"), ("for", "left")):
        table.add_column(name, justify=side)  # type: ignore[arg-type]  # rich names its sides by literals
    for tool in answer.kit.tools:
        mass_g, times = tool.mass_g * tool.count, "" if tool.count == 1 else f"{tool.count} x "
        ounces = f"{mass_g / GRAMS_PER_OUNCE:.1f}"
        table.add_row(Text(f"{times}{tool.name} [{tool.id}]"), f"{mass_g:g}", ounces, ", ".join(tool.does))
    served = {reason.tool: reason.needs for reason in answer.reasons if reason.code == "method"}
    for method in answer.kit.methods:
        does = served[method]
        table.add_row(f"{method} (field method)", "0", "0.0", ", ".join(does))
    return table


def _need_table(answer: Answer) -> Table:
    """Return who does each need, how long it takes, and the millimetres to spare."""
    table = Table(title="Needs", title_justify="left")
    for name, side in (("need", "left"), ("a day", "right"), ("done with", "left"), ("min a day", "right")):
        table.add_column(name, justify=side)  # type: ignore[arg-type]  # rich names its sides by literals
    table.add_column("mm to spare", justify="right")
    for need in answer.needs:
        table.add_row(
            need.id,
            f"{need.per_day:.3g}" + (_UNITS.get(need.task, " kg") if need.diameter_mm is None else ""),
            ", ".join(share.id for share in need.done_with) or _BY_NOBODY.get(need.task, "nothing"),
            "-" if need.minutes_per_day is None else f"{need.minutes_per_day:.1f}",
            "-" if need.spare_mm is None else f"{need.spare_mm:g}",
        )
    return table


def _wood_table(answer: Answer) -> Table:
    """Return the firewood by diameter: kilograms, rounds, clefts, and who works it."""
    table = Table(title="Firewood a day", title_justify="left")
    for name in ("mm", "kg", "rounds", "clefts"):
        table.add_column(name, justify="right")
    table.add_column("cut with")
    table.add_column("split with")
    for one in answer.workings:
        table.add_row(
            f"{one.diameter_mm:g}",
            f"{one.kg_per_day:.1f}",
            f"{one.rounds_per_day:.1f}",
            f"{one.clefts_per_day:.1f}",
            ", ".join(dict.fromkeys(worker.id for worker in one.buck)),
            ", ".join(dict.fromkeys(worker.id for worker in one.split)) or "-",
        )
    return table


def _minutes_text(answer: Answer) -> str:
    """Return what the minutes of a day are made of."""
    parts = answer.kit.minutes.model_dump().items()
    return f"minutes a day: {', '.join(f'{name} {some:.1f}' for name, some in parts)}"


def _effort_text(answer: Answer) -> str:
    """Return what the kit costs in walking against working."""
    kit, effort = answer.kit, answer.effort
    return (
        f"effort above rest, whole party: {kit.carry_kcal_per_day:.1f} kcal a day to carry, "
        f"{kit.work_kcal_per_day:.0f} kcal to work; 100 g more pays off if it saves "
        f"{effort.break_even_min_per_100g:.1f} min of wood work a day"
    )


def print_list(console: Console, title: str, lines: list[str]) -> None:
    """Print a titled list, or nothing where it is empty."""
    if not lines:
        return
    console.print(f"\n{title}", highlight=False)
    for line in lines:
        console.print(Text(f"- {line}"))
