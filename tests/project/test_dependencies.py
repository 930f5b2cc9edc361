"""What is installed: every dependency has an upper bound, and CI's lock holds one version of each with its hashes."""

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from tree import ROOT

pytestmark = pytest.mark.quick

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
LOCK = (ROOT / ".ci" / "lock.txt").read_text("utf-8")
PIN = re.compile(r"^(\S+)==(\S+)((?: ; [^\\\n]+)?) \\\n((?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)", re.M)


def wanted() -> list[Requirement]:
    """What pyproject.toml asks for to build and to run."""
    named = [*PROJECT["build-system"]["requires"], *PROJECT["project"]["dependencies"]]
    return [Requirement(text) for text in named]


def pins() -> dict[str, str]:
    """The version of each package in the lock."""
    return {canonicalize_name(name): version for name, version, _, _ in PIN.findall(LOCK)}


def extra_requirements() -> list[Requirement]:
    """Those of all extras."""
    return [Requirement(text) for names in PROJECT["project"]["optional-dependencies"].values() for text in names]


def test_every_dependency_has_an_upper_bound() -> None:
    """So that a release that breaks something does not come by itself."""
    asked = [*wanted(), *extra_requirements()]
    assert len(asked) > 30
    open_ended = [one.name for one in asked if not any(part.operator in ("<", "==") for part in one.specifier)]
    assert open_ended == []


def test_the_lock_holds_a_fitting_version_of_each() -> None:
    """Those of the program, of its tests and of its build; a package that is asked for anew must be locked too."""
    test = [Requirement(text) for text in PROJECT["project"]["optional-dependencies"]["test"]]
    for one in [*wanted(), *test]:
        assert one.specifier.contains(pins()[canonicalize_name(one.name)]), one


def test_the_lock_is_whole_and_names_no_host() -> None:
    """Every line of it is read above; the files come from whatever index the machine uses."""
    assert PIN.sub("", LOCK).strip() == ""
    assert "://" not in LOCK
