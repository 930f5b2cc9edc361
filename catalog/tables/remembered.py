"""What formulas come to under the table's own assumptions, remembered."""

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar

Figures = ParamSpec("Figures")
Outcome = TypeVar("Outcome")

MOST = 4_096  # judged: of each formula; some hundred bytes each
forgetting: list[Callable[[], None]] = []


def tabled(formula: Callable[Figures, Outcome]) -> Callable[Figures, Outcome]:
    """Return a formula that remembers what it came to, where no assumption is changed.

    Args:
        formula: one that hangs on its arguments alone, which can be hashed, and on the assumptions; those tried instead
            of the table's are its keyword `changed`.
    """
    remembered = lru_cache(maxsize=MOST)(formula)
    forgetting.append(remembered.cache_clear)

    @wraps(formula)
    def looked_up(*args: Figures.args, **kwargs: Figures.kwargs) -> Outcome:
        if kwargs.get("changed"):
            return formula(*args, **kwargs)
        kwargs.pop("changed", None)
        found: Outcome = remembered(*args, **kwargs)  # type: ignore[arg-type]  # can be hashed, as said above
        return found

    return looked_up


def forget() -> None:
    """Forget what every formula came to: for whoever changes the table itself."""
    for one in forgetting:
        one()
