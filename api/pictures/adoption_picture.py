"""The share of kits of an offer against its mass, with the rivals."""

import math
import textwrap

from matplotlib.axes import Axes

from api.pictures.picture import INK, MARK, SOFT, STEEL, WOOD, Paper
from solver.offers.adoption_answer import AdoptionAnswer, OfferAdoption

_WIDE_MM, _MARGIN_MM, _PLOT_MM = 210.0, 18.0, 80.0
_COLOURS = (MARK, INK, SOFT, "#3f7d58", "#8a6d3b", STEEL, WOOD)
_DASHES = ("solid", "dashed", "dotted", "dashdot")
_TITLE, _LINE, _NAME = 90, 118, 60  # letters
_BEYOND = 1.08  # judged: of the greatest mass, so that the last step is seen


def adoption_svg(answer: AdoptionAnswer) -> str:
    """Return the picture as SVG of A4 width: a line an offer, a dot at its mass with the 90 % interval.

    A hollow dot is the share of trips on which a kit with the offer is within 50 g of the lightest.
    """
    offers = (answer, *answer.rivals)
    tall = _MARGIN_MM + 12 + _PLOT_MM + 6 * math.ceil(len(offers) / 2) + 10
    sheet = Paper(width_mm=_WIDE_MM, height_mm=tall)
    sheet.text(_MARGIN_MM, tall - 10, textwrap.shorten(f"Share of kits: {answer.name}", _TITLE), size=11)
    told = f"{answer.text} {answer.population or ''}"
    for place, line in enumerate(textwrap.wrap(told, _LINE)[:2]):
        sheet.text(_MARGIN_MM, tall - 15.5 - 4 * place, line, colour=SOFT)
    below = 6 * math.ceil(len(offers) / 2) + 16
    axes = sheet.plot(x_mm=_MARGIN_MM, y_mm=below, width_mm=_WIDE_MM - 2 * _MARGIN_MM, height_mm=_PLOT_MM)
    widest = _BEYOND * max([point.mass_g for one in offers for point in one.curve], default=1.0)
    for place, one in enumerate(offers):
        _draw_offer(axes, one, widest, colour=_COLOURS[place % len(_COLOURS)], dash=_DASHES[place % len(_DASHES)])
    _finish(axes, offers, widest)
    return sheet.svg()


def _draw_offer(axes: Axes, one: OfferAdoption, widest: float, *, colour: str, dash: str) -> None:
    """Draw the steps of an offer, and its share at its mass."""
    masses, shares = [0.0], list[float]()
    for point in one.curve:
        if point.mass_g > masses[-1]:
            masses.append(point.mass_g)
            shares.append(100 * point.adoption)
    label = textwrap.shorten(one.name, _NAME)
    axes.stairs(
        [*shares, 100 * one.at_every_mass], [*masses, widest], baseline=None, color=colour, lw=1.4, ls=dash, label=label
    )
    error = [[100 * (one.adoption - one.low)], [100 * (one.high - one.adoption)]]
    axes.errorbar([one.mass_g], [100 * one.adoption], yerr=error, fmt="o", ms=4, color=colour, capsize=2)
    axes.plot([one.mass_g], [100 * one.within_50_g], marker="o", ms=5, mfc="none", color=colour, ls="none")


def _finish(axes: Axes, offers: tuple[OfferAdoption, ...], widest: float) -> None:
    """Name the axes and the offers."""
    axes.set_xlim(0, widest)
    shares = [point.adoption for one in offers for point in one.curve]
    highest = 100 * max([*shares, *(max(one.high, one.within_50_g) for one in offers)])
    axes.set_ylim(0, min(102.0, 1.1 * highest + 1))
    pairs = any(len(one.ids) > 1 for one in offers)
    axes.set_xlabel(
        "packed mass, g" + (" (of a pair: of both, at their ratio)" if pairs else ""), fontsize=7, color=SOFT
    )
    axes.set_ylabel("share of lightest kits, % (hollow: of kits within 50 g)", fontsize=7, color=SOFT)
    axes.tick_params(labelsize=7, colors=SOFT)
    axes.grid(color="#e3e6ea", lw=0.6)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)
    axes.legend(fontsize=7, frameon=False, loc="upper center", bbox_to_anchor=(0.5, -0.13), ncols=2)
