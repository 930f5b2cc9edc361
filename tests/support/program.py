"""A program outside Python that a check drives: found on the PATH, and never silently missed."""

import os
import shutil
from pathlib import Path

import pytest


def needed(name: str, *, also: tuple[str, ...] = ()) -> Path:
    """The path of a program, looked up by name on the PATH and then in the folders of `also`.

    Where it is missing, the check is skipped on a developer's machine and fails where CI is set.
    """
    found = shutil.which(name) or next((str(Path(f, name)) for f in also if Path(f, name).exists()), None)
    if found is None and os.environ.get("CI"):
        pytest.fail(f"{name} is not installed here, and CI must run every check that needs it")
    if found is None:
        pytest.skip(f"{name} is not installed here")
    return Path(found)
