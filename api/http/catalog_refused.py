"""A refusal of a catalog that can't be stored."""

from solver import Fault


class CatalogRefused(ValueError):
    """A catalog can't be stored as it stands; nothing of it was."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("; ".join(str(fault) for fault in faults))
