"""The light batoning knife of the trade (common practice, no source), as a drawing."""

from catalog.drawings.blade import BladeDrawing
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing, SheathDrawing
from catalog.drawings.tang import PinDrawing, TangDrawing


def long_knife(width_mm: float) -> KnifeDrawing:
    """By width of the blade [mm].

    Blade 10 in (254 mm) on 0.140 in (3.556 mm) stock, 15 in (381 mm) overall, full flat ground. Full tang
    and canvas phenolic scales as the check asks; handle section judged.
    """
    return KnifeDrawing(
        blade=BladeDrawing(length_mm=254, width_mm=width_mm, spine_mm=3.556),
        steel="1095",
        hardness_hrc=57,
        tang=TangDrawing(kind="full"),
        handle=HandleDrawing(length_mm=127, width_mm=28, thickness_mm=20, material="canvas-phenolic"),
        pins=[PinDrawing(diameter_mm=6, count=3)],
        sheath=SheathDrawing(),
    )
