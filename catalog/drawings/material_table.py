"""What handles, frames, pins and sheaths are made of."""

from dataclasses import dataclass
from functools import lru_cache, partial
from typing import Annotated

from pydantic import AfterValidator, Field

from catalog.tables.table import read_rows


@dataclass(frozen=True, slots=True)
class _Material:
    """What a handle, frame, pin or sheath is made of; densities in kg/m3."""

    id: str
    name: str
    used_for: tuple[str, ...]
    density_kg_m3: float
    low_kg_m3: float
    high_kg_m3: float
    source: str


@lru_cache(maxsize=1)
def materials() -> dict[str, _Material]:
    """Every material of the table, by id."""
    rows = (
        _Material(
            id=row["id"],
            name=row["name"],
            used_for=tuple(row["used_for"].split()),
            density_kg_m3=float(row["density_kg_m3"]),
            low_kg_m3=float(row["low"]),
            high_kg_m3=float(row["high"]),
            source=row["source"],
        )
        for row in read_rows("drawings/materials.csv")
    )
    return {material.id: material for material in rows}


def material(material_id: str, *, used_for: str) -> _Material:
    """Look one material up for a use (handle, sheath, pin, frame, fitting, wood).

    Raises:
        ValueError: an unknown id, or a material that the table does not list for that use.
    """
    found = materials().get(material_id)
    if found is None or used_for not in found.used_for:
        known = ", ".join(_ids(used_for))
        raise ValueError(f"there is no {used_for} material {material_id!r}; known ids: {known}")
    return found


def _known(material_id: str, *, used_for: str) -> str:
    return material(material_id, used_for=used_for).id


def _ids(used_for: str) -> list[str]:
    return sorted(one.id for one in materials().values() if used_for in one.used_for)


HandleMaterial = Annotated[
    str, AfterValidator(partial(_known, used_for="handle")), Field(json_schema_extra={"enum": [*_ids("handle")]})
]
PinMaterial = Annotated[
    str, AfterValidator(partial(_known, used_for="pin")), Field(json_schema_extra={"enum": [*_ids("pin")]})
]
FrameMaterial = Annotated[
    str, AfterValidator(partial(_known, used_for="frame")), Field(json_schema_extra={"enum": [*_ids("frame")]})
]
SheathMaterial = Annotated[
    str, AfterValidator(partial(_known, used_for="sheath")), Field(json_schema_extra={"enum": [*_ids("sheath")]})
]
