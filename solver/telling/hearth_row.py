"""The hearth in an answer: its own grams stand beside the kit, never in it."""

from solver.forms.answer import HearthAnswer
from solver.place.site import hearth_of
from solver.telling.solution_view import SolutionView


def hearth_answer(view: SolutionView) -> HearthAnswer | None:
    """Return the hearth of the trip, None where nothing burns."""
    question = view.question
    hearth = hearth_of(question.trip)
    if hearth is None or not question.uses:
        return None
    ledger = question.ledger
    longest, thickest = hearth.longest_mm(ledger), hearth.burnable_mm(question.site.burnable_mm, ledger)
    weighs = "weighs nothing"
    if hearth.mass_high_g:
        band = f"{hearth.mass_low_g:g} to {hearth.mass_high_g:g} g"
        weighs = f"some {hearth.mass_g:g} g of its own ({band}), which this kit does not count"
    pieces = f"pieces up to {thickest:g} mm thick" + ("" if longest is None else f" and {longest:g} mm long")
    return HearthAnswer(
        id=hearth.id,
        name=hearth.name,
        mass_g=hearth.mass_g,
        mass_low_g=hearth.mass_low_g,
        mass_high_g=hearth.mass_high_g,
        longest_mm=longest,
        thickest_mm=thickest,
        text=f"{hearth.name[0].upper()}{hearth.name[1:]}: {pieces}; {weighs}.",
    )
