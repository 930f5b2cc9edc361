"""A sheet of paper with figures in millimetres, as SVG; the same drawing gives the same bytes."""

import io

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

_MM_PER_INCH = 25.4  # international inch: the library measures its paper in inches
INK, SOFT, WOOD, STEEL, MARK = "#1d2430", "#6b7482", "#d9c3a0", "#c9d1d8", "#a6341b"

# Set once and never changed: the settings are global, and pictures are made in several threads.
matplotlib.rcParams.update(
    {
        "svg.hashsalt": "kitwright",
        "svg.fonttype": "none",
        "font.family": "DejaVu Sans",
        "font.size": 8,
        "text.parse_math": False,
    }
)


class Paper:
    """A page of stated size; a plot on it is placed by its lower left corner [mm]."""

    def __init__(self, *, width_mm: float, height_mm: float) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.figure = Figure(figsize=(width_mm / _MM_PER_INCH, height_mm / _MM_PER_INCH), facecolor="white")
        FigureCanvasSVG(self.figure)

    def plot(self, *, x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Axes:
        """Return a new plot."""
        size = (x_mm / self.width_mm, y_mm / self.height_mm, width_mm / self.width_mm, height_mm / self.height_mm)
        return self.figure.add_axes(size)

    def view(
        self, *, x_mm: float, y_mm: float, low: tuple[float, float], high: tuple[float, float], scale: float
    ) -> Axes:
        """Return a plot without frame whose units are millimetres of the tool, `scale` to one of paper."""
        wide, tall = (high[0] - low[0]) / scale, (high[1] - low[1]) / scale
        axes = self.plot(x_mm=x_mm, y_mm=y_mm, width_mm=wide, height_mm=tall)
        axes.set(xlim=(low[0], high[0]), ylim=(low[1], high[1]))
        axes.axis("off")
        return axes

    def text(self, x_mm: float, y_mm: float, words: str, *, size: float = 8, colour: str = INK) -> None:
        """Write words on the paper."""
        self.figure.text(x_mm / self.width_mm, y_mm / self.height_mm, words, fontsize=size, color=colour)

    def svg(self) -> str:
        """Return the page as SVG."""
        out = io.StringIO()
        self.figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
        return out.getvalue()


def dimension(axes: Axes, *, start: float, end: float, y: float, scale: float) -> None:
    """Draw a length along x with its figure [mm]."""
    axes.annotate(
        "", (start, y), (end, y), arrowprops={"arrowstyle": "<->", "color": SOFT, "lw": 0.6, "shrinkA": 0, "shrinkB": 0}
    )
    axes.text((start + end) / 2, y + 0.8 * scale, f"{end - start:g}", ha="center", va="bottom", fontsize=7, color=SOFT)


def height(axes: Axes, *, x: float, low: float, high: float, scale: float) -> None:
    """Draw a height along y with its figure [mm]."""
    axes.annotate(
        "", (x, low), (x, high), arrowprops={"arrowstyle": "<->", "color": SOFT, "lw": 0.6, "shrinkA": 0, "shrinkB": 0}
    )
    axes.text(
        x - 0.8 * scale,
        (low + high) / 2,
        f"{high - low:g}",
        ha="right",
        va="center",
        fontsize=7,
        color=SOFT,
        rotation=90,
    )
