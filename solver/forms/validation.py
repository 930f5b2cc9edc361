"""What is wrong with a trip beyond the form of its fields."""

import json
from collections.abc import Collection, Container, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from difflib import get_close_matches

from catalog import Tool, Trial, assumptions, methods
from catalog.equipment.camp_work import camp_items
from catalog.equipment.kind import families, kinds
from catalog.equipment.tool_rows import ToolRows
from catalog.maths.latent_scale import own_spread
from catalog.tables.assumption import not_of_a_trip, spread_rows
from catalog.tables.wrong_value import LONGEST_SHOWN
from catalog.trials.trial import MOST_PEOPLE, Skill, handling_minutes, usual_pace
from catalog.walking.load_carriage import terrains
from catalog.wood.species import woods
from catalog.wood.wood_names import near_woods
from solver.forms.limit import LIMITS
from solver.forms.trip import FigureInterval, Trip

_MOST_COMPANIONS = 4_000_000  # groups x tools: what the program of a trip holds of them in memory
_MOST_NEAR = 4  # judged: as many names as a sentence bears
_MOST_HINTS = 10  # a search for near ids takes time: only so many faults get one


@dataclass(frozen=True)
class Fault:
    """One wrong field: JSON pointer, its value, the allowed range, and a sentence."""

    pointer: str
    value: object
    allowed: str
    detail: str

    def __str__(self) -> str:
        value = json.dumps(self.value, ensure_ascii=False, default=str)
        shown = value if len(value) <= LONGEST_SHOWN else f"{value[:LONGEST_SHOWN]}..."
        return f"{self.pointer}: {self.detail} (given {shown}; allowed: {self.allowed})"

    def under(self, place: str) -> "Fault":
        """Return the fault with its pointer below a place."""
        return replace(self, pointer=f"#{place}{self.pointer.removeprefix('#')}")

    @property
    def field(self) -> str:
        """The field of the trip that it is about."""
        return self.pointer.split("/")[1]


class TripError(ValueError):
    """The trip has wrong fields; nothing was planned."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("; ".join(str(fault) for fault in faults))


@contextmanager
def under(place: str, *, own: str = "", fields: Container[str] = ()) -> Iterator[None]:
    """Let the faults of a trip that stands inside a body name their fields from the body's root.

    Args:
        place: pointer of the trip, as `/trips/3/trip`.
        own: pointer of what some fields were taken from instead, as `/scenarios/2`.
        fields: those fields.
    """
    try:
        yield
    except TripError as error:
        raise TripError([one.under(own if one.field in fields else place) for one in error.faults]) from error


def check_trip(trip: Trip, tools: tuple[Tool, ...]) -> None:
    """Check what ties fields together.

    Raises:
        TripError: every fault found.
    """
    faults = _empty_trip(trip) + _long_day(trip) + _members(trip) + twice(trip) + _method_ids(trip) + companions(trip)
    faults += _unfilled(trip) + _sure_of_something_else(trip)
    faults += _unknown_ids(trip, tools) + _unknown_rows(trip) + _unknown_kinds(trip, tools)
    faults += own_figure_faults(trip.assumptions)
    if faults:
        raise TripError(faults)


def _sure_of_something_else(trip: Trip) -> list[Fault]:
    """How sure a kit is goes with the lightest kit, and with no loss."""
    if trip.sure is None:
        return []
    value, faults = trip.sure.model_dump(), list[Fault]()
    if trip.aim != "mass":
        detail = f"how sure a kit is is told of the lightest kit only, and the aim is {trip.aim}; leave sure out"
        faults.append(Fault("#/sure", value, "null, or the aim mass", detail))
    if trip.robust is not None:
        detail = "how sure a kit is does not consider the loss of a tool; leave robust or sure out"
        faults.append(Fault("#/sure", value, "null, or robust null", detail))
    return faults


def refuse_safety(trip: Trip) -> None:
    """Refuse a trip with safety where an answer does not weigh it, rather than leave it out unsaid.

    Raises:
        TripError: the trip asks for it.
    """
    if trip.robust is not None:
        detail = "this answer does not consider the loss of a tool; leave robust out, or use POST /v1/kits"
        raise TripError([Fault("#/robust", trip.robust.model_dump(), "null", detail)])


def _empty_trip(trip: Trip) -> list[Fault]:
    """A trip must ask for something."""
    if trip.tasks or trip.fire is not None or trip.camp_work:
        return []
    detail = "the trip has no work; give tasks, a fire or camp_work"
    return [Fault("#/tasks", [], "at least one task, a fire or camp work", detail)]


def _long_day(trip: Trip) -> list[Fault]:
    """A limit is at most what switches it off: that on work, the minutes that the party has."""
    faults = []
    for limit in LIMITS:
        asked, most = getattr(trip.limits, limit.field), limit.off(trip.people)
        if asked is not None and most is not None and asked > most:
            of_each = f"{trip.people} x {limit.most_a_person:g}"
            detail = f"{asked:g} {limit.asked.hint} is outside 1 to {most:g} ({of_each})"
            faults.append(Fault(f"#/limits/{limit.field}", asked, f"1 to {most:g}", detail))
    return faults


def _members(trip: Trip) -> list[Fault]:
    """Members are named where any are: as many as there are people, each with a name of their own."""
    if not trip.members:
        return []
    faults, first = [], dict[str, int]()
    if len(trip.members) != trip.people:
        detail = f"members has {len(trip.members)} entries, but people is {trip.people}"
        faults.append(Fault("#/members", len(trip.members), f"{trip.people} entries, or none", detail))
    for place, member in enumerate(trip.members):
        if member.name in first:
            detail = f"the name is already used at #/members/{first[member.name]}"
            faults.append(Fault(f"#/members/{place}/name", member.name, "a name of their own", detail))
        first.setdefault(member.name, place)
    return faults


def twice(trip: Trip) -> list[Fault]:
    """No id may stand twice among the trip's own tools."""
    faults = []
    for field in ("tools", "extra_tools"):
        first, rows = dict[str, int](), getattr(trip, field) or []
        if isinstance(rows, ToolRows) and len(rows.ids) == len(rows):
            continue
        for index, tool in enumerate(rows):
            if tool.id in first:
                detail = f"the id {tool.id} is already used at #/{field}/{first[tool.id]}"
                faults.append(Fault(f"#/{field}/{index}/id", tool.id, "a unique id", detail))
            first.setdefault(tool.id, index)
    return faults


def _method_ids(trip: Trip) -> list[Fault]:
    """No tool may bear the id of a field method: an answer names both by their ids."""
    taken, faults = {method.id for method in methods()} if trip.tools or trip.extra_tools else set(), []
    for field in ("tools", "extra_tools"):
        rows = getattr(trip, field) or []
        if isinstance(rows, ToolRows) and taken.isdisjoint(rows.ids):
            continue
        for index, tool in enumerate(rows):
            if tool.id in taken:
                detail = f"the id {tool.id} is already the id of a field method"
                faults.append(Fault(f"#/{field}/{index}/id", tool.id, "a unique id", detail))
    return faults


def companions(trip: Trip) -> list[Fault]:
    """Companion groups are weighed against every tool, so many of both outgrow the memory."""
    tools = trip.tools or []
    groups = tools.companion_groups if isinstance(tools, ToolRows) else sum(len(tool.needs) for tool in tools)
    if groups * len(tools) <= _MOST_COMPANIONS:
        return []
    most = _MOST_COMPANIONS // len(tools)
    detail = f"{groups} companion groups are too many: {len(tools)} tools may have at most {most} together"
    return [Fault("#/tools", groups, f"at most {most} companion groups", detail)]


def _unfilled(trip: Trip) -> list[Fault]:
    """Only the service knows stored catalogs: it puts their tools in before it plans."""
    if trip.catalog is None:
        return []
    return [Fault("#/catalog", trip.catalog, "null", "only the service knows stored catalogs; give tools instead")]


def _unknown_ids(trip: Trip, tools: tuple[Tool, ...]) -> list[Fault]:
    """Every id that a rule names must be a tool to choose from."""
    named = [
        (f"#/{field}/{index}", name)
        for field in ("must_carry", "leave_home", "only", "ask_about")
        for index, name in enumerate(getattr(trip, field) or [])
    ]
    return _unknown_among(named, {tool.id for tool in tools} if named else set())


def _unknown_among(named: Sequence[tuple[str, str]], known: Collection[str]) -> list[Fault]:
    """Return the faults of the ids that are not known, of pointers with the ids that they name."""
    unknown = [(pointer, name) for pointer, name in named if name not in known]
    candidates = sorted(known) if unknown else []
    return [
        _unknown_id(pointer, name, candidates if place < _MOST_HINTS else [])
        for place, (pointer, name) in enumerate(unknown)
    ]


def unknown_in_kit(kit: Sequence[str], known: Collection[str]) -> list[Fault]:
    """Return the faults of the ids of a kit that no tool has."""
    return _unknown_among([(f"#/kit/{place}", name) for place, name in enumerate(kit)], known)


def _unknown_rows(trip: Trip) -> list[Fault]:
    """Every species, terrain and piece of camp work must be a row of its table."""
    named: list[tuple[str, str, Collection[str]]] = [
        (f"#/camp_work/{i}/id", work.id, camp_items()) for i, work in enumerate(trip.camp_work)
    ]
    unknown = [_unknown_id(pointer, name, sorted(known)) for pointer, name, known in named if name not in known]
    return _unknown_wood(trip.wood.species) + unknown + _unknown_terrain(trip.route.terrain)


def _unknown_terrain(name: str | None) -> list[Fault]:
    """A terrain must be a row of its table; no address lists it, so all of it is told."""
    if name is None or name in terrains():
        return []
    near = _unknown_id("#/route/terrain", name, sorted(terrains()))
    return [replace(near, detail=f"{near.detail}; there are {', '.join(terrains())}")]


def _unknown_wood(name: str) -> list[Fault]:
    """A species must be a row of its table; a group of species, or one of other lands, is only a hint at rows."""
    if name in woods():
        return []
    near, what = near_woods(name)
    hint = f"; {what}: {', '.join(near)}" if near else ""
    return [Fault("#/wood/species", name, "an existing id", f"there is no wood {name}{hint}")]


def _unknown_kinds(trip: Trip, tools: tuple[Tool, ...]) -> list[Fault]:
    """Every banned kind must be a built-in kind or family, or a kind among the tools to choose from."""
    banned = trip.limits.banned_kinds
    known = {*kinds(), *families(), *(tool.kind for tool in tools)} if banned else set()
    unknown = [(place, name) for place, name in enumerate(banned) if name not in known]
    faults = []
    for number, (place, name) in enumerate(unknown):
        near = _near_kinds(name, sorted(known)) if number < _MOST_HINTS else []
        hint = f"; similar names: {', '.join(near)}" if near else ""
        detail = f"there is no kind or family of tools {name}{hint}"
        faults.append(
            Fault(f"#/limits/banned_kinds/{place}", name, "a kind of tool, or a family by its plural", detail)
        )
    return faults


def _near_kinds(name: str, known: list[str]) -> list[str]:
    """Return the kinds and families nearest to a name: first the families that begin with it."""
    word = " ".join(name.casefold().replace("-", " ").replace("_", " ").split())
    near = [one for one in families() if one.startswith(word)]
    near += get_close_matches(word, known, n=3, cutoff=0.7)
    near += [one for one in known if word in one]
    return list(dict.fromkeys(near))[:_MOST_NEAR]


def _unknown_id(pointer: str, name: str, candidates: list[str]) -> Fault:
    """Return the fault of an id that no row has, with the nearest ids there are."""
    near = get_close_matches(name, candidates, n=3)
    hint = f"; similar ids: {', '.join(near)}" if near else ""
    return Fault(pointer, name, "an existing id", f"there is no id {name}{hint}")


def own_figure_faults(figures: Mapping[str, float]) -> list[Fault]:
    """Every figure in place of an assumed one must be one that trips read, within its hard limits."""
    table, faults, hints = assumptions(), [], _MOST_HINTS
    for name, value in figures.items():
        pointer, row = f"#/assumptions/{name}", table.get(name)
        if row is None:
            near = [one for one in table if one not in not_of_a_trip()] if hints else []
            faults.append(_unknown_id(pointer, name, near))
            hints = max(0, hints - 1)
        elif name in not_of_a_trip():
            detail = f"no trip reads {name}: it is {not_of_a_trip()[name]}"
            faults.append(Fault(pointer, value, "the id of a figure that trips read", detail))
        elif not row.hard_low <= value <= row.hard_high:
            shown = "" if row.unit == "-" else f" {row.unit}"
            allowed = f"{row.hard_low:g} to {row.hard_high:g}{shown}"
            faults.append(Fault(pointer, value, allowed, f"{name} {value:g}{shown} is outside {allowed}"))
    return faults


def interval_faults(figures: Mapping[str, float], intervals: Mapping[str, FigureInterval]) -> list[Fault]:
    """Every interval must be of a figure that is given and may be drawn, and hold it within its hard limits."""
    faults = []
    for name, ends in intervals.items():
        pointer, value = f"#/assumption_intervals/{name}", [ends.low, ends.high]
        if name not in figures or name not in spread_rows():
            given = "trips never draw it" if name in figures else "assumptions does not give it"
            faults.append(Fault(pointer, value, "the id of a figure of assumptions", f"{name}: {given}"))
            continue
        row, figure = assumptions()[name], figures[name]
        allowed = f"{row.hard_low:g} to {row.hard_high:g} {row.unit} around {figure:g}"
        wrong = not row.hard_low <= ends.low <= figure <= ends.high <= row.hard_high
        try:
            own_spread(name, figure, (ends.low, ends.high))
        except ValueError:
            wrong = True
        if wrong:
            detail = f"{name}: {ends.low:g} to {ends.high:g} is no interval within {allowed}"
            faults.append(Fault(pointer, value, allowed, detail))
    return faults


def record_faults(
    trials: Sequence[Trial],
    known: Collection[str],
    *,
    among: str,
    missing: str,
    skill: Skill = "practised",
    changed: Mapping[str, float] | None = None,
) -> list[Fault]:
    """Return a fault for every record of a tool or a wood that there is not, or whose handling takes its whole time.

    More people than may be timed are a fault of all.

    Args:
        trials: the records.
        known: ids of the tools there are.
        among: what a tool's id must be.
        missing: what is said of a tool that there is not, with `{}` for its id.
        skill: of who was timed, where a record does not say.
        changed: own figures in place of assumed ones, each within its hard limits.
    """
    faults = []
    people = len({trial.person for trial in trials})
    if people > MOST_PEOPLE:
        detail = f"{people} people were timed, more than {MOST_PEOPLE}"
        faults.append(Fault("#/trials", people, f"at most {MOST_PEOPLE} people", detail))
    for place, trial in enumerate(trials):
        if trial.tool not in known:
            faults.append(Fault(f"#/trials/{place}/tool", trial.tool, among, missing.format(trial.tool)))
        if trial.wood not in woods():
            detail = f"there is no wood {trial.wood}"
            faults.append(Fault(f"#/trials/{place}/wood", trial.wood, "an id of GET /v1/woods", detail))
        pace = usual_pace(trial.skill or skill, changed)
        handling = handling_minutes(trial, pace=pace, changed=changed)
        if handling >= trial.minutes:
            allowed = f"above {handling:.4g} minutes"
            detail = f"handling takes {handling:.4g} minutes of this job: {trial.minutes:g} leave none for the tool"
            faults.append(Fault(f"#/trials/{place}/minutes", trial.minutes, allowed, detail))
    return faults
