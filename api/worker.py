"""What several worker processes share: the settings given on the command line, and a folder for their figures."""

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from tempfile import TemporaryDirectory
from typing import Any

from api.metrics import FOLDER


@contextmanager
def worker_environment(given: Mapping[str, Any], *, workers: int) -> Iterator[None]:
    """Let workers find the settings given, and the folder, where they look: in the environment."""
    before = dict(os.environ)
    try:
        with TemporaryDirectory(prefix="kitwright-figures-") as folder:
            os.environ.update({f"KITWRIGHT_{name.upper()}": str(value) for name, value in given.items()})
            if workers > 1:
                os.environ[FOLDER] = folder
            yield
    finally:
        os.environ.clear()
        os.environ.update(before)
