"""The front of a search for the best design: grams saved against mass, with the margin of safety and the price."""

import textwrap
from collections.abc import Sequence

from matplotlib import colormaps

from api.pictures.picture import INK, MARK, SOFT, Paper
from solver.makers.best_design_answer import BestDesignAnswer, TriedDesign

_WIDE_MM, _TALL_MM, _MARGIN_MM, _PLOT_MM, _BELOW_MM = 210.0, 132.0, 18.0, 84.0, 20.0
_LINE, _TITLE = 118, 90  # letters
_MOST_PRICES = 6  # judged: prices beside points that still can be read
_SHADES = colormaps["viridis"]


def design_front_svg(answer: BestDesignAnswer) -> str:
    """Return the front as SVG of A4 width: a dot a design, the best one ringed; the colour is the margin of safety."""
    sheet = Paper(width_mm=_WIDE_MM, height_mm=_TALL_MM)
    name = answer.name or "the drawing"
    sheet.text(_MARGIN_MM, _TALL_MM - 10, textwrap.shorten(f"The best designs tried: {name}", _TITLE), size=11)
    for place, line in enumerate(textwrap.wrap(_front_text(answer), _LINE)[:2]):
        sheet.text(_MARGIN_MM, _TALL_MM - 15.5 - 4 * place, line, colour=SOFT)
    if not answer.front:
        return sheet.svg()
    margins = [one.margin for one in answer.front if one.margin is not None]
    bar = 26 if margins else 0  # paper for the scale of margins
    axes = sheet.plot(x_mm=_MARGIN_MM, y_mm=_BELOW_MM, width_mm=_WIDE_MM - 2 * _MARGIN_MM - bar, height_mm=_PLOT_MM)
    known = [one for one in answer.front if one.margin is not None]
    rest = [one for one in answer.front if one.margin is None]
    axes.scatter([one.design_g for one in rest], [one.saved_g for one in rest], s=24, color=SOFT)
    if known:
        dots = axes.scatter(
            [one.design_g for one in known], [one.saved_g for one in known], s=24, c=margins, cmap=_SHADES
        )
        scale = sheet.plot(x_mm=_WIDE_MM - _MARGIN_MM - bar + 6, y_mm=_BELOW_MM, width_mm=4, height_mm=_PLOT_MM)
        sheet.figure.colorbar(dots, cax=scale)
        scale.set_ylabel("margin of safety (0 = just holds)", fontsize=7, color=SOFT)
        scale.tick_params(labelsize=7, colors=SOFT)
    if answer.best is not None:
        axes.scatter([answer.best.design_g], [answer.best.saved_g], s=110, facecolors="none", edgecolors=MARK, lw=1.4)
    for one in _priced(answer.front):
        axes.annotate(
            f"{one.price:.0f}",
            (one.design_g, one.saved_g),
            xytext=(4, 4),
            textcoords="offset points",
            fontsize=7,
            color=INK,
        )
    axes.set_xlabel("packed mass of the design, g", fontsize=7, color=SOFT)
    axes.set_ylabel("grams off the lightest kit, mean of the trips", fontsize=7, color=SOFT)
    axes.margins(0.06)
    axes.tick_params(labelsize=7, colors=SOFT)
    axes.grid(color="#e3e6ea", lw=0.6)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)
    return sheet.svg()


def _front_text(answer: BestDesignAnswer) -> str:
    """Return what the picture shows, in words."""
    if answer.best is None:
        return "No design can be drawn within the limits."
    found = f"Of {answer.tried} designs tried {len(answer.front)} stand on the front: none of them is lighter, saves "
    found += "more, is safer and costs less than another."
    best = f" Ringed: the one that saves most, {answer.best.saved_g:g} g at {answer.best.design_g:g} g."
    prices = " Numbers: the cost of a piece." if any(one.price is not None for one in answer.front) else ""
    return found + best + prices


def _priced(front: Sequence[TriedDesign]) -> list[TriedDesign]:
    """Return some designs of the front whose price is known, spread over the front."""
    known = [one for one in front if one.price is not None]
    step = max(1, -(-len(known) // _MOST_PRICES))
    return known[::step]
