"""What formulas come to under the table's own assumptions, remembered."""

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar

_Figures = ParamSpec("_Figures")
_Outcome = TypeVar("_Outcome")

_MOST = 4_096  # judged: of each formula; some hundred bytes each
_forgetting: list[Callable[[], None]] = []


def tabled(formula: Callable[_Figures, _Outcome]) -> Callable[_Figures, _Outcome]:
    """Return a formula that remembers what it came to, where no assumption is changed.

    What it comes to for arrays is not remembered.

    Args:
        formula: one that hangs on its arguments alone, which can be hashed but for arrays, and on the assumptions;
            those tried instead of the table's are its keyword `changed`.
    """
    # numbers of numpy equal plain ones, but what they come to is not plain
    remembered = lru_cache(maxsize=_MOST, typed=True)(formula)
    _forgetting.append(remembered.cache_clear)

    @wraps(formula)
    def looked_up(*args: _Figures.args, **kwargs: _Figures.kwargs) -> _Outcome:
        if kwargs.get("changed"):
            return formula(*args, **kwargs)
        kwargs.pop("changed", None)
        try:
            found: _Outcome = remembered(*args, **kwargs)  # type: ignore[arg-type]  # can be hashed, as said above
        except TypeError:  # arrays can't be
            return formula(*args, **kwargs)
        return found

    return looked_up


def forget() -> None:
    """Forget what every formula came to: for whoever changes the table itself."""
    for one in _forgetting:
        one()
