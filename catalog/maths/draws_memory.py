"""Draws that were made before, up to so many bytes: one seed asks for the same ones on trip after trip."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock

from catalog.tables.number import Floats

_MOST_BYTES = 16_000_000  # judged: 500 figures in 4,096 draws, or 8,000 in 256
_LARGEST_SHARE = 100  # judged: what takes more than a hundredth of that is not kept


class DrawsMemory:
    """Arrays of draws by all that they hang on, those asked for last."""

    def __init__(self) -> None:
        """Begin with none."""
        self._kept: OrderedDict[Hashable, Floats] = OrderedDict()
        self._bytes = 0
        self._lock = Lock()

    def of(self, hangs_on: Hashable, draw: Callable[[], Floats]) -> Floats:
        """Return draws, drawn only where they are not kept; they can't be written to.

        Args:
            hangs_on: all that they hang on.
            draw: draws them.
        """
        with self._lock:
            found = self._kept.get(hangs_on)
            if found is not None:
                self._kept.move_to_end(hangs_on)
                return found
        found = draw()
        found.setflags(write=False)
        if found.nbytes * _LARGEST_SHARE > _MOST_BYTES:
            return found
        with self._lock:
            if hangs_on not in self._kept:
                self._kept[hangs_on] = found
                self._bytes += found.nbytes
            while self._bytes > _MOST_BYTES:
                _, gone = self._kept.popitem(last=False)
                self._bytes -= gone.nbytes
        return found


DRAWS_MEMORY = DrawsMemory()
