"""The limits of a traveller's own: where each stands in a trip, and the trip without some of them."""

from collections.abc import Iterable

from dealings import grown
from oracle import Row

MOST_MIN = 24 * 60
STEPS = {"members": 0.01, "mass_g": 0.01, "price": 0.01, "tools_at_most": 1, "work_min_per_day": 1e-5} | {
    "edge_mm": 1, "packed_mm": 1, "robust": 0.01,
}  # fmt: skip
LISTS = ("must_carry", "leave_home")
SINGLE: Row = {"members": [], "only": None, "backup": "none", "field_methods": True, "robust": None}


def pointers_of(trip: Row) -> list[str]:
    """Every limit of the traveller's own, the day's work with its default included."""
    limits = trip.get("limits", {})
    found = [f"#/{field}/{i}" for field in LISTS for i in range(len(trip.get(field, [])))]
    found += [f"#/{field}" for field, idle in SINGLE.items() if trip.get(field, idle) != idle]
    found += [f"#/limits/banned_kinds/{i}" for i in range(len(limits.get("banned_kinds", [])))]
    found += [f"#/limits/{field}" for field in STEPS if limits.get(field) is not None and field != "work_min_per_day"]
    return [*found, "#/limits/work_min_per_day"]


def relaxed(trip: Row, pointers: Iterable[str]) -> Row:
    """The trip without some of its limits; of a name that stands twice, both go."""
    trip = trip | {"limits": dict(trip.get("limits", {}))}
    gone: dict[str, set[str]] = {}
    for pointer in pointers:
        _, *path = pointer.split("/")
        if path[0] in SINGLE:
            trip[path[0]] = SINGLE[path[0]]
        elif path == ["limits", "work_min_per_day"]:
            trip["limits"]["work_min_per_day"] = MOST_MIN * trip.get("people", 1)
        elif path[0] == "limits" and len(path) == 2:
            trip["limits"][path[1]] = None
        else:
            *where, name, index = path
            holder = trip["limits"] if where else trip
            gone.setdefault("/".join([*where, name]), set()).add(holder[name][int(index)])
    for where, names in gone.items():
        holder, name = (trip["limits"], "banned_kinds") if where.startswith("limits") else (trip, where)
        holder[name] = [one for one in holder[name] if one not in names]
    trip["limits"] = {field: value for field, value in trip["limits"].items() if value is not None}
    return trip


def set_to(trip: Row, pointer: str, value: float) -> Row:
    """The trip with one of its limits at another value."""
    field = pointer.rsplit("/", 1)[-1]
    if field == "members":
        return grown(trip, value)
    if field == "robust":
        return trip | {"robust": trip["robust"] | {"work_multiple": value}}
    return trip | {"limits": trip.get("limits", {}) | {field: value}}
