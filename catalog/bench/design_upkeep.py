from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from catalog.tables.table import read_rows


@dataclass(frozen=True, slots=True)
class _Upkeep:
    """How long an edge of one form lasts, in the units of the catalog's lives, and what renews it.

    Attributes:
        lives: work until the edge must be renewed, by column of the catalog row; without an entry a
            design would last for ever and beat every built-in tool.
        sharpened_by: ids of built-in sharpeners, separated as in the catalog; empty for none.
    """

    lives: dict[str, float]
    sharpened_by: str


@lru_cache(maxsize=1)
def _rows() -> dict[str, dict[str, str]]:
    return {row["form"]: row for row in read_rows("bench/design_upkeep.csv")}


def upkeep(form: str, *, edge_mm: float) -> _Upkeep:
    """Upkeep of a design.

    Args:
        form: knife, axe, folding saw or frame saw.
        edge_mm: length of edge or teeth [mm]; a folding saw's life grows with it.
    """
    row = _rows()[form]
    lives = {
        f"{task}_life": float(row[f"{task}_life"]) for task in ("split", "saw", "carve", "chop") if row[f"{task}_life"]
    }
    if row["saw_life_per_mm"]:
        lives["saw_life"] = round(float(row["saw_life_per_mm"]) * edge_mm)
    return _Upkeep(lives=lives, sharpened_by=row["sharpened_by"])
