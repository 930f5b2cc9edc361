"""How sure kits are: grams against the share of the draws in which they suffice, and bars of what matters."""

import textwrap

from matplotlib.axes import Axes

from api.pictures.picture import INK, MARK, SOFT, STEEL, Paper
from solver.forms.sure_answer import FigureMatters, Sureness

WIDE_MM, MARGIN_MM, PLOT_MM, BAR_MM = 210.0, 18.0, 62.0, 9.0
_NAMES_MM = 66.0  # room for the name of a figure beside its bar
_LINE = 52  # letters of such a name on a line
_TITLE, _MOST_BARS = 80, 8  # letters, bars


def sure_svg(answer: Sureness, *, name: str | None = None) -> str:
    """Return the picture as SVG of A4 width.

    Above, the lightest kit for each share of the draws [g], with the two kits told by the fresh draws and their 90 %
    intervals. Below, the share of what varies in whether the kit suffices that goes with each figure alone.
    """
    bars = [one for one in answer.what_matters if one.sufficing is not None][:_MOST_BARS]
    below = 22 + BAR_MM * len(bars) if bars else 0.0
    tall = MARGIN_MM + 16 + PLOT_MM + 14 + below
    sheet = Paper(width_mm=WIDE_MM, height_mm=tall)
    sheet.text(MARGIN_MM, tall - 10, textwrap.shorten(name or "Grams against probability", _TITLE), size=11)
    for place, line in enumerate(textwrap.wrap(answer.text, 118)[:2]):
        sheet.text(MARGIN_MM, tall - 15.5 - 4 * place, line, colour=SOFT)
    top = sheet.plot(x_mm=MARGIN_MM, y_mm=below + 14, width_mm=WIDE_MM - 2 * MARGIN_MM, height_mm=PLOT_MM - 6)
    _draw_curve(top, answer)
    if bars:
        sheet.text(MARGIN_MM, below - 8, "What matters for whether it suffices", size=9)
        low = sheet.plot(
            x_mm=MARGIN_MM + _NAMES_MM,
            y_mm=10,
            width_mm=WIDE_MM - 2 * MARGIN_MM - _NAMES_MM,
            height_mm=BAR_MM * len(bars),
        )
        _draw_bars(low, bars)
    return sheet.svg()


def _draw_curve(axes: Axes, answer: Sureness) -> None:
    """Draw the lightest kit for each share of the draws, and the kits that are told."""
    shares, grams = [0.0], list[float]()
    for step in answer.curve:
        shares.append(step.probability)
        grams.append(step.mass_g)
    if grams:
        axes.stairs(
            grams, shares, baseline=None, color=INK, lw=1.4, label=f"lightest in that share of {answer.draws} draws"
        )
    told = (("as assumed", answer.at_medians, SOFT), ("sure enough", answer.at_confidence, MARK))
    for label, kit, colour in told:
        if kit is not None:
            low, high = kit.fresh.probability - kit.fresh.low, kit.fresh.high - kit.fresh.probability
            axes.errorbar(
                [kit.fresh.probability],
                [kit.kit.mass_g],
                xerr=[[low], [high]],
                fmt="o",
                ms=4,
                color=colour,
                label=f"{label}, {kit.fresh.draws} fresh draws",
            )
    axes.axvline(answer.confidence, color=STEEL, lw=1)
    axes.set_xlim(0, 1.02)
    heaviest = max([*grams, *(kit.kit.mass_g for _, kit, _ in told if kit is not None)], default=0.0)
    axes.set_ylim(0, 1.15 * heaviest or 1.0)
    axes.set_xlabel("share of the draws, or probability, in which the kit suffices", fontsize=7, color=SOFT)
    axes.set_ylabel("packed mass, g", fontsize=7, color=SOFT)
    if axes.get_legend_handles_labels()[0]:
        axes.legend(fontsize=7, frameon=False, loc="upper left")
    _plain(axes)


def _draw_bars(axes: Axes, bars: list[FigureMatters]) -> None:
    """Draw the share of each figure with its 90 % interval, the largest on top."""
    for place, one in enumerate(bars):
        share = one.sufficing
        assert share is not None
        error = [[share.index - share.low], [share.high - share.index]]
        axes.barh(place, share.index, height=0.55, color=STEEL, xerr=error, error_kw={"ecolor": INK, "lw": 0.8})
    axes.set_yticks(range(len(bars)), ["\n".join(textwrap.wrap(one.name, _LINE)[:2]) for one in bars])
    axes.invert_yaxis()
    axes.set_xlim(left=0)
    axes.set_xlabel("share of what varies (first-order index, 90 % interval)", fontsize=7, color=SOFT)
    _plain(axes)


def _plain(axes: Axes) -> None:
    """Draw a plot as all are drawn here."""
    axes.tick_params(labelsize=7, colors=SOFT)
    axes.grid(color="#e3e6ea", lw=0.6)
    axes.set_axisbelow(True)
    axes.spines[["top", "right"]].set_visible(False)
