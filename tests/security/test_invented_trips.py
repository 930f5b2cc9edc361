"""Trips that may be sent, with many wishes at once: each question about them has an answer."""

import re
from random import Random

import pytest
from invented_trips import invented_trip
from service import post

TRIPS = 12
COPY = re.compile(r"[a-z0-9]#\d\d")  # how cases mark the second of a tool; no answer may hold it


@pytest.mark.parametrize("seed", range(TRIPS))
def test_every_question_about_a_trip_is_answered(seed: int) -> None:
    """Kit, front, check of that kit, bad night of it and of the lightest; no copy of a tool has a name of its own."""
    trip = invented_trip(Random(seed))
    planned = post(trip)
    assert planned.status_code == 200, planned.text
    kit = [tool["id"] for tool in planned.json()["kit"]["tools"] for _ in range(tool["count"])]
    further = {
        "front": {"trip": trip},
        "check": {"trip": trip, "kit": kit},
        "bad-night": {"trip": trip, "kit": kit},
    }
    answers = [planned, post({"trip": trip}, address="/v1/kits/bad-night")]
    answers += [post(body, address=f"/v1/kits/{name}") for name, body in further.items()]
    for answer in answers:
        assert answer.status_code == 200, answer.text
        assert not COPY.search(answer.text)


def test_a_knife_each_with_upgrades_and_a_bad_night_tells_no_copy() -> None:
    """Three knives, of which a quicker kit changes one; a loss leaves the others."""
    trip = {
        "people": 3,
        "nights": 3,
        "knife": "each",
        "tasks": [{"task": task, "diameter_mm": mm, "per_day": 10} for task, mm in (("saw", 90), ("carve", 30))],
        "only": ["carving-knife-60", "fixed-knife-90-hidden", "folding-knife-60", "folding-saw-180", "folding-saw-210"],
    }
    planned = post(trip).json()
    (knife,) = [tool["id"] for tool in planned["kit"]["tools"] if tool["count"] == 3]
    changes = [one for one in planned["upgrades"] if knife in one["leave"]]
    assert changes
    assert all(one["leave"].count(knife) == 3 - one["ids"].count(knife) for one in changes)
    night = post({"trip": trip}, address="/v1/kits/bad-night").json()
    assert night["kit"]["ids"].count(knife) == 3
    (lost,) = [case for case in night["cases"] if case["case"] == "lost"]
    assert sorted(loss["tool"] for loss in lost["losses"]) == sorted(set(night["kit"]["ids"]))
    assert not COPY.search(str(planned) + str(night))
