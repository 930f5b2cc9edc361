"""What `.deploy` holds: a hardened unit, an image that installs only what is locked, and the list of what it holds."""

import json
import re
import subprocess
from importlib.metadata import requires

import pytest
import yaml
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from program import needed
from tree import ROOT

pytestmark = pytest.mark.quick

DEPLOY = ROOT / ".deploy"
MOST_EXPOSURE = 3.0
LOCKED = {
    canonicalize_name(name): version
    for name, version in re.findall(r"^([\w.-]+)==(\S+)", (ROOT / ".ci" / "lock.txt").read_text("utf-8"), re.MULTILINE)
}


def test_systemd_finds_the_unit_hardened() -> None:
    """By its own measure, from 0 (safe) to 10."""
    command = [needed("systemd-analyze"), "security", "--offline=yes", DEPLOY / "kitwright@.service"]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    found = re.search(r"Overall exposure level for \S+: ([\d.]+)", told.stdout + told.stderr)
    assert found, told.stdout
    assert float(found[1]) <= MOST_EXPOSURE


def test_the_list_of_packages_is_what_an_installed_service_holds_by_the_lock() -> None:
    """Run .deploy/sbom where this fails. What is needed is read from the packages installed here, step by step."""
    held = json.loads((DEPLOY / "sbom.cdx.json").read_text("utf-8"))
    assert (held["bomFormat"], held["specVersion"]) == ("CycloneDX", "1.6")
    packages = {canonicalize_name(one["name"]): one["version"] for one in held["components"]}
    assert packages == {name: LOCKED[name] for name in needed_by("kitwright")}
    assert all(one["purl"].startswith("pkg:pypi/") for one in held["components"])


def needed_by(name: str, *, extra: str = "") -> set[str]:
    """The packages that one needs, and those that they need, without its own extras."""
    found: set[str] = set()
    waiting = [(name, extra)]
    seen: set[tuple[str, str]] = set()
    while waiting:
        one = waiting.pop()
        if one in seen:
            continue
        seen.add(one)
        for line in requires(one[0]) or []:
            asked = Requirement(line)
            if asked.marker is not None and not asked.marker.evaluate({"extra": one[1]}):
                continue
            found.add(canonicalize_name(asked.name))
            waiting += [(asked.name, part) for part in ("", *asked.extras)]
    return found


def test_nothing_is_fetched_when_it_starts() -> None:
    """Packages come into the image as it is built: the lock's by their hashes, and nothing else."""
    image = (DEPLOY / "Containerfile").read_text("utf-8")
    assert [
        line for line in image.splitlines() if "pip" in line and "wheel" in line and "--require-hashes" not in line
    ] == [" && /opt/kitwright/bin/pip install -q --no-cache-dir --no-index --find-links wheels . \\"]
    worker = yaml.safe_load((DEPLOY / "compose.yaml").read_text("utf-8"))["services"]["worker"]
    started = image[image.rindex("FROM ") :] + json.dumps(worker) + (DEPLOY / "kitwright@.service").read_text("utf-8")
    assert re.findall(r"\b(pip|curl|wget)\b", started) == []


def test_workers_of_the_image_may_do_little() -> None:
    """Another user than root, a root that is read alone, no capabilities, limits, a check of health."""
    assert "\nUSER 10001:10001\n" in (DEPLOY / "Containerfile").read_text("utf-8")
    worker = yaml.safe_load((DEPLOY / "compose.yaml").read_text("utf-8"))["services"]["worker"]
    assert worker["read_only"] is True
    assert worker["cap_drop"] == ["ALL"]
    assert {"mem_limit", "pids_limit", "cpus", "healthcheck", "stop_grace_period"} < set(worker)
