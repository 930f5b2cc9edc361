"""Invented trips over seasons, woods, parties, hearths and lengths; for six, what a traveller expects beforehand.

The expectations were written before the first run of the model that they judge (judged, no source). They are not
adjusted to what it answers: a miss stays in the table.
"""

from dataclasses import dataclass
from typing import Any

Row = dict[str, Any]


@dataclass(frozen=True)
class Expected:
    """What a traveller expects: kinds of tool of which each group has one in the kit, minutes of work a day."""

    kinds: tuple[frozenset[str], ...]
    minutes: tuple[float, float]
    missed: str = ""  # why a plan tells other minutes, read from its workings

    def met(self, kinds: set[str], minutes: float) -> bool:
        """Whether a kit is as expected."""
        low, high = self.minutes
        return all(group & kinds for group in self.kinds) and low <= minutes <= high


_KNIFE = frozenset(("fixed knife", "folding knife", "long knife"))
_BATON = frozenset(("fixed knife", "long knife"))
_SAW = frozenset(("folding saw", "pruning saw", "bow saw", "bucksaw", "hand chain saw"))
_SPLITTER = frozenset(("long knife", "fixed knife", "hatchet", "belt axe", "axe", "splitting axe", "billhook", "froe"))

TRIPS: dict[str, Row] = {
    "one night by a summer lake, alone": {
        "fire": {"hot_water_l_per_person": 1},
        "air_c": 15,
        "wood": {"species": "ponderosa-pine"},
    },
    "two in the hills, four summer nights": {
        "people": 2,
        "nights": 4,
        "fire": {"hot_water_l_per_person": 1.5},
        "air_c": 10,
        "camp_work": [{"id": "peg", "per_trip": 4}],
    },
    "three in a wet autumn forest": {
        "people": 3,
        "nights": 5,
        "air_c": 6,
        "fire": {"hot_water_l_per_person": 2.5, "warmth_h": 1.5, "drying_h": 1},
        "wood": {"species": "engelmann-spruce", "state": "dead-wet"},
    },
    "four in deep winter, open fire": {
        "people": 4,
        "nights": 6,
        "air_c": -18,
        "fire": {"hot_water_l_per_person": 3, "melt_snow": True, "warmth_h": 3, "drying_h": 1},
        "wood": {"species": "lodgepole-pine"},
        "limits": {"work_min_per_day": 150},
    },
    "two in deep winter, tent stove": {
        "people": 2,
        "nights": 7,
        "air_c": -20,
        "fire": {"hot_water_l_per_person": 3, "melt_snow": True, "warmth_h": 5, "drying_h": 2, "hearth": "tent-stove"},
        "wood": {"species": "lodgepole-pine"},
    },
    "a year in a cabin, two rounds a day": {
        "nights": 365,
        "tasks": [{"task": "split", "diameter_mm": 140, "per_day": 2}],
    },
    "pot stove above the birches, alone": {
        "nights": 3,
        "air_c": 5,
        "fire": {"hot_water_l_per_person": 2, "hearth": "pot-stove"},
        "wood": {"species": "paper-birch"},
    },
    "shielded fire on a windy coast, two": {
        "people": 2,
        "nights": 3,
        "air_c": 8,
        "fire": {"hot_water_l_per_person": 2, "drying_h": 1, "hearth": "shielded"},
        "wood": {"species": "sitka-spruce", "state": "dead-wet"},
    },
    "novice alone, frosty weekend": {
        "nights": 2,
        "skill": "novice",
        "air_c": -3,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 2},
        "wood": {"species": "lodgepole-pine"},
    },
    "novices in a wet wood": {
        "people": 4,
        "nights": 2,
        "skill": "novice",
        "air_c": 4,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 1},
        "wood": {"species": "western-hemlock", "state": "dead-wet"},
    },
    "six with canoes, a week of cooking": {
        "people": 6,
        "nights": 7,
        "air_c": 12,
        "fire": {"hot_water_l_per_person": 2.5, "warmth_h": 1},
        "wood": {"species": "quaking-aspen"},
        "limits": {"work_min_per_day": 120},
    },
    "a raised bed and a crane, two nights": {
        "people": 2,
        "nights": 2,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 1},
        "camp_work": [{"id": "raft-of-poles", "per_trip": 8}, {"id": "pot-crane", "per_trip": 1}],
    },
    "oak only, three autumn nights": {
        "people": 2,
        "nights": 3,
        "air_c": 5,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 2},
        "wood": {"species": "northern-red-oak", "diameters_mm": [60, 100, 140]},
    },
    "knotty pine, two": {
        "people": 2,
        "nights": 3,
        "air_c": 0,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 2},
        "wood": {"species": "ponderosa-pine", "knotty": True},
    },
    "green birch, frozen": {
        "people": 2,
        "nights": 4,
        "air_c": -15,
        "fire": {"hot_water_l_per_person": 3, "melt_snow": True, "warmth_h": 2},
        "wood": {"species": "paper-birch", "state": "green", "diameters_mm": [80, 120]},
        "limits": {"work_min_per_day": 180},
    },
    "no fire allowed, pegs to cut": {
        "people": 2,
        "nights": 3,
        "fire": {"hot_water_l_per_person": 2, "allowed": False},
        "camp_work": [{"id": "peg", "per_trip": 6}],
    },
    "trail crew for a day: stems and logs": {
        "people": 3,
        "tasks": [
            {"task": "saw", "diameter_mm": 180, "per_day": 6},
            {"task": "chop", "diameter_mm": 40, "per_day": 20},
        ],
        "limits": {"work_min_per_day": 240},
    },
    "carver's weekend": {
        "nights": 2,
        "fire": {"hot_water_l_per_person": 1},
        "camp_work": [{"id": "spoon-blank", "per_trip": 2}, {"id": "tongs", "per_trip": 1}],
    },
    "robust pair in the cold": {
        "people": 2,
        "nights": 4,
        "air_c": -8,
        "fire": {"hot_water_l_per_person": 2, "melt_snow": True, "warmth_h": 2},
        "robust": {"needs": "all", "work_multiple": 2},
    },
    "four for a month by a fire": {
        "people": 4,
        "nights": 30,
        "air_c": 2,
        "fire": {"hot_water_l_per_person": 3, "warmth_h": 2},
        "limits": {"work_min_per_day": 180},
    },
    "an hour for three, as many knives": {
        "people": 3,
        "nights": 3,
        "knife": "each",
        "air_c": 5,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 1},
        "limits": {"work_min_per_day": 60},
    },
    "fast and light, 20 minutes of wood": {
        "people": 2,
        "nights": 5,
        "air_c": 5,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 1},
        "limits": {"work_min_per_day": 20},
    },
}

EXPECTED: dict[str, Expected] = {
    "one night by a summer lake, alone": Expected((_KNIFE,), (0, 20)),
    "two in the hills, four summer nights": Expected(
        (_KNIFE,),
        (5, 30),
        "3.6 min of it carve a peg; half a kilogram of wood is found and broken in 0.6. Gathering goes by the kilogram:"
        " the way to the first stick, which nobody walks in seconds, is not reckoned.",
    ),
    "three in a wet autumn forest": Expected(
        (_BATON,),
        (30, 90),
        "A rough reckoning before the model burned 10 kg a day, the plan burns 4.5: warmth, drying and half of the"
        " water share 1.5 h of one fire. 30 min lie within the bands of the rates.",
    ),
    "four in deep winter, open fire": Expected(
        (_SAW, _SPLITTER),
        (70, 150),
        "A rough reckoning before the model burned 28 kg a day, the plan burns 21.7: half of the water and snow takes"
        " none beside the 3 h of warmth. Four share the work, so nobody rests.",
    ),
    "two in deep winter, tent stove": Expected(
        (_SAW, _SPLITTER),
        (30, 90),
        "The stove burns 8.1 kg, 1 to 2 an hour. What the expectation took for wood was not written down; 30 min lie"
        " within the bands of the rates.",
    ),
    "a year in a cabin, two rounds a day": Expected((_SPLITTER, frozenset(("sharpening stone", "file"))), (2, 40)),
}
