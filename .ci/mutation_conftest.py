"""Stands beside the tests of a mutation run: each starts with nothing remembered.

The tool learns which tests call a function by watching them once. What a test before has left in a memory is not
called again, and the tests that bear on it would not be run.
"""

import functools
import gc
import sys
from typing import Any

import pytest

_MEMORIES: dict[int, list[Any]] = {}  # by the number of modules loaded


def _memories() -> list[Any]:
    """Return what remembers in the project's modules."""
    loaded = len(sys.modules)
    if loaded not in _MEMORIES:
        _MEMORIES.clear()
        wrappers = [one for one in gc.get_objects() if isinstance(one, functools._lru_cache_wrapper)]
        _MEMORIES[loaded] = [one for one in wrappers if one.__module__.split(".")[0] in ("solver", "catalog")]
    return _MEMORIES[loaded]


@pytest.fixture(autouse=True)
def _nothing_remembered() -> None:
    """Forget what tests before left."""
    for one in _memories():
        one.cache_clear()
