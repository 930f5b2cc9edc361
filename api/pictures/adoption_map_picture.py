"""Maps of who wants an offer: the share of kits over two figures of the trips."""

import textwrap
from collections.abc import Sequence

from matplotlib import colormaps
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from api.pictures.picture import INK, SOFT, Paper
from solver.offers.adoption_answer import AdoptionAnswer, AdoptionCell, AdoptionMap

_WIDE_MM, _MARGIN_MM, _LEFT_MM, _GAP_MM = 210.0, 12.0, 26.0, 30.0
_CELL_MM, _MOST_ACROSS = 18.0, 4
_LINE, _TITLE = 118, 90  # letters
_FEW = 5  # judged: below so many trips a share tells next to nothing
_DARK = 0.55  # judged: from this shade on white letters read better
_SHADES = colormaps["YlOrBr"]
_FIGURE_WORDS = {
    "nights": "nights",
    "air_c": "air, °C",
    "thickest_mm": "thickest wood, mm",
    "work_min_per_day": "minutes of wood work a day",
}
_Band = tuple[float, float]


def adoption_map_svg(answer: AdoptionAnswer) -> str:
    """Return both maps as SVG of A4 width.

    A cell tells the share of lightest kits that hold the offer, at which mass half of its trips would, and how many
    trips it holds.
    """
    rows = max((len(_bands(one, down=True)) for one in answer.maps), default=0)
    tall = 26 + _CELL_MM * rows + 24
    sheet = Paper(width_mm=_WIDE_MM, height_mm=tall)
    sheet.text(_MARGIN_MM, tall - 10, textwrap.shorten(f"Who wants it: {answer.name}", _TITLE), size=11)
    for place, line in enumerate(textwrap.wrap(f"{answer.text} {answer.population or ''}", _LINE)[:2]):
        sheet.text(_MARGIN_MM, tall - 15.5 - 4 * place, line, colour=SOFT)
    for place, one in enumerate(answer.maps):
        columns, lines = _bands(one), _bands(one, down=True)
        if not one.cells:
            continue
        axes = sheet.plot(
            x_mm=_LEFT_MM + place * (_MOST_ACROSS * _CELL_MM + _GAP_MM),
            y_mm=tall - 26 - _CELL_MM * len(lines),
            width_mm=_CELL_MM * len(columns),
            height_mm=_CELL_MM * len(lines),
        )
        _draw_map(axes, one, columns, lines)
    sheet.text(
        _MARGIN_MM,
        3,
        f"Share of lightest kits; the packed mass that half of the trips allow; trips. Grey: fewer than {_FEW} trips.",
        size=7,
        colour=SOFT,
    )
    return sheet.svg()


def _bands(one: AdoptionMap, *, down: bool = False) -> list[_Band]:
    """Return the bands of one of the two figures, rising."""
    if down:
        return sorted({(cell.down_low, cell.down_high) for cell in one.cells})
    return sorted({(cell.across_low, cell.across_high) for cell in one.cells})


def _draw_map(axes: Axes, one: AdoptionMap, columns: Sequence[_Band], lines: Sequence[_Band]) -> None:
    """Draw the cells of a map; what is colder, thinner or shorter stands below."""
    axes.set(xlim=(0, len(columns)), ylim=(0, len(lines)))
    for cell in one.cells:
        x = columns.index((cell.across_low, cell.across_high))
        y = lines.index((cell.down_low, cell.down_high))
        _draw_cell(axes, cell, x, y)
    axes.set_xticks([place + 0.5 for place in range(len(columns))], [_band_text(band) for band in columns])
    axes.set_yticks([place + 0.5 for place in range(len(lines))], [_band_text(band) for band in lines])
    axes.set_xlabel(_FIGURE_WORDS[one.across], fontsize=7, color=SOFT)
    axes.set_ylabel(_FIGURE_WORDS[one.down], fontsize=7, color=SOFT)
    axes.tick_params(labelsize=7, colors=SOFT, length=0)
    axes.spines[:].set_visible(False)


def _draw_cell(axes: Axes, cell: AdoptionCell, x: int, y: int) -> None:
    """Draw a cell with its three figures."""
    few = cell.trips < _FEW
    shade = "#eceff2" if few else _SHADES(0.06 + 0.84 * cell.adoption)
    axes.add_patch(Rectangle((x, y), 1, 1, facecolor=shade, edgecolor="white", lw=1.5))
    colour = "white" if cell.adoption > _DARK and not few else INK
    allows = "any mass" if cell.median_allowance_g is None else f"{cell.median_allowance_g:.0f} g"
    if cell.median_allowance_g == 0:
        allows = "no mass"
    trips = f"{cell.trips} trip" + ("s" if cell.trips > 1 else "")
    for words, high, size in ((f"{100 * cell.adoption:.0f} %", 0.66, 9), (allows, 0.4, 6.5), (trips, 0.17, 6.5)):
        axes.text(x + 0.5, y + high, words, ha="center", va="center", fontsize=size, color=colour)


def _band_text(band: _Band) -> str:
    """Return a band in figures, with a minus sign where the figure is below zero."""
    low, high = (f"{end:g}".replace("-", "\N{MINUS SIGN}") for end in band)
    return low if low == high else f"{low} to {high}"
