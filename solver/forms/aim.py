"""The table of aims: what is least, and what decides among kits that are equal in it."""

from dataclasses import dataclass

from solver.forms.quantity import COUNT, EFFORT, MASS, MINUTES, Quantity


@dataclass(frozen=True)
class _AimRow:
    """An aim.

    Attributes:
        order: what is least, the first first; kits equal in all go by their sorted ids.
        label: what the page calls it.
    """

    order: tuple[Quantity, ...]
    label: str

    @property
    def by_kcal(self) -> bool:
        """Whether kcal count, so that a day's work is shared out for the least of them."""
        return EFFORT in self.order


# The first one is what a trip aims at where it says nothing.
AIMS: dict[str, _AimRow] = {
    "mass": _AimRow((MASS, MINUTES, COUNT), "Grams"),
    "effort": _AimRow((EFFORT, MASS, MINUTES, COUNT), "Effort, walking and working"),
    "work_time": _AimRow((MINUTES, MASS, COUNT), "Time of work"),
}


@dataclass(frozen=True)
class AimProof:
    """How far an aim is proven: its quantity, the kit's value, and the bound, both in whole units.

    The bound is None where nothing is known. It holds among the kits that are as good in every aim before.
    """

    quantity: Quantity
    value: int
    bound: int | None

    @property
    def proven(self) -> bool:
        """Whether no kit is better in it."""
        return self.bound == self.value
