"""Kitwright as a library: what can be imported, what each question takes, and that it answers as the service does.

The examples are trips of our own, invented. Types are read by mypy from the built wheel, as a user's program has it.
"""

import inspect
import json
import re
import subprocess
import sys
import sysconfig
import venv
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import numpy as np
import pytest
from exported import classes_in, spoken_of
from pydantic import BaseModel, ValidationError
from service import ask
from tree import ROOT

import catalog
import solver
from api.examples.invented import design_examples, example_trips
from api.questions.registry import QUESTIONS
from catalog import Design, RangeError, Tool, Trial, measure, parse_tools, rate
from catalog.tables.python_form import plain
from solver import (
    Cover,
    DiameterRange,
    Effort,
    Limits,
    Scenario,
    SeasonTripForm,
    Task,
    Trip,
    TripError,
    UnmadeTool,
    WoodForm,
    adoption,
    allowance,
    bad_night,
    check,
    confidence,
    front,
    lightest,
    minimum_section,
    plan,
    season,
    sure,
    sweep,
    tolerance_run,
)

PROGRAMS = sorted((ROOT / "api" / "examples" / "python").glob("*.py"))
LEAST = example_trips()["least"]
SURVEY = {**example_trips()["stream-survey"], "detail": "kit"}
KIT = ["long-knife-180", "folding-saw-240"]
CARVING = {"id": "invented-knife", "carve_score": 8, "carve_max_mm": 60}
BODIES = {name: QUESTIONS[name].example for name in ("front", "check", "confidence", "season", "allowance")}
SWEEP = QUESTIONS["sweep"].example
SWEPT = {name: SWEEP[name] for name in ("design", "trip")} | {"vary": SWEEP["vary"][:1]}


@pytest.mark.parametrize("package", [solver, catalog], ids=lambda package: package.__name__)
def test_all_that_a_package_speaks_of_can_be_imported_from_a_package(package: Any) -> None:
    """Every form, answer and part of one that the annotations of what is exported lead to."""
    exported = [getattr(package, name) for name in package.__all__]
    assert package.__all__ == sorted(set(package.__all__), key=package.__all__.index)
    spoken = spoken_of(exported)
    assert len(spoken) > 30
    homes = {"solver": solver, "catalog": catalog}
    missing = []
    for kind, by in spoken.items():
        home = homes[kind.__module__.split(".")[0]]
        if kind.__name__ not in home.__all__ or getattr(home, kind.__name__) is not kind:
            missing.append(f"{kind.__module__}.{kind.__name__}, of which {by} speaks")
    assert missing == []


@pytest.mark.parametrize("package", [solver, catalog], ids=lambda package: package.__name__)
def test_all_errors_that_are_told_can_be_imported(package: Any) -> None:
    """Each error in the Raises of a public function is Python's, pydantic's, or exported."""
    known = {*dir(__import__("builtins")), "ValidationError", *solver.__all__, *catalog.__all__}
    told = set()
    for name in package.__all__:
        doc = inspect.getdoc(getattr(package, name)) or ""
        if "Raises:" in doc:
            told |= set(re.findall(r"^    (\w+): ", doc.split("Raises:")[1], re.MULTILINE))
    assert told
    assert told <= known


def test_the_walk_finds_what_is_not_exported() -> None:
    """It goes through lists, unions, dicts and models: an answer leads to a pin of an ability four steps down."""
    assert {solver.AbilityPin, solver.FigureInForce, catalog.Trial} <= set(spoken_of([plan]))
    assert set(classes_in(dict[str, list[Task | None]])) == {Task}
    assert Trip in spoken_of([solver.SeasonForm])


def over_http(address: str, body: Any) -> Any:
    """The answer of the service to a body."""
    answer = ask("POST", f"/v1/{address}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def as_json(answer: BaseModel | Any) -> Any:
    """An answer as it goes over HTTP."""
    return json.loads(answer.model_dump_json())


SAME: dict[str, tuple[str, Any, Callable[[], Any]]] = {
    "plan": ("kits", SURVEY, lambda: plan(SURVEY)),
    "front": ("kits/front", {"trip": SURVEY}, lambda: front(Trip.model_validate(SURVEY))),
    "check": ("kits/check", {"kit": KIT, "trip": SURVEY}, lambda: check(Trip.model_validate(SURVEY), KIT)),
    "bad night": ("kits/bad-night", SURVEY, lambda: bad_night(SURVEY)),
    "bad night of a kit": ("kits/bad-night", {"kit": KIT, "trip": SURVEY}, lambda: bad_night(SURVEY, KIT)),
    "confidence": ("kits/confidence", {"trip": LEAST, "confidence": 0.7}, lambda: confidence(LEAST, confidence=0.7)),
    "sure": ("kits/sure", {"trip": LEAST, "sure": {"draws": 64}}, lambda: sure(LEAST, {"draws": 64})),
    "season": ("kits/season", {"trips": [{"trip": SURVEY}, {"trip": LEAST}]}, lambda: season([SURVEY, LEAST])),
    "allowance": (
        "designs/allowance",
        {"tool": CARVING, "trip": SURVEY},
        lambda: allowance(UnmadeTool.model_validate(CARVING), SURVEY),
    ),
    "allowance of a drawing over trips": (
        "designs/allowance",
        {"design": design_examples()["long-knife"], "trips": [LEAST]},
        lambda: allowance(Design.model_validate(design_examples()["long-knife"]), [LEAST]),
    ),
    "adoption": (
        "designs/adoption",
        {"tool": CARVING | {"mass_g": 30}, "trips": [{"trip": SURVEY}, {"trip": LEAST}]},
        lambda: adoption(tool=CARVING | {"mass_g": 30}, trips=[{"trip": SURVEY}, {"trip": LEAST}]),
    ),
    "minimum section": (
        "designs/minimum-section",
        {"design": design_examples()["long-knife"]},
        lambda: minimum_section(design_examples()["long-knife"]),
    ),
    "tolerance": (
        "designs/tolerance",
        {"design": design_examples()["belt-axe"]},
        lambda: tolerance_run(design_examples()["belt-axe"]),
    ),
    "sweep": ("designs/sweep", SWEPT, lambda: sweep(SWEPT["design"], SWEPT["vary"], SWEPT["trip"])),
}


@pytest.mark.parametrize("question", SAME)
def test_the_defaults_are_those_of_the_service(question: str) -> None:
    """With nothing more said than the body must say, every question has the service's answer."""
    address, body, asked = SAME[question]
    assert as_json(asked()) == over_http(address, body)


def test_what_the_service_need_not_be_told_need_not_be_told_here() -> None:
    """Each field of a body that has a default is an argument with the same default, or one that means it."""
    forms = {
        front: solver.FrontForm,
        check: solver.CheckForm,
        bad_night: solver.BadNightForm,
        confidence: solver.ConfidenceForm,
        sure: solver.SureForm,
        season: solver.SeasonForm,
        minimum_section: solver.MinimumSectionForm,
        sweep: solver.SweepForm,
        tolerance_run: solver.ToleranceForm,
    }
    for question, form in forms.items():
        arguments = inspect.signature(question).parameters
        assert set(form.model_fields) | {"effort"} == set(arguments)
        for name, field in form.model_fields.items():
            assert (arguments[name].default is inspect.Parameter.empty) == field.is_required(), name


@pytest.mark.parametrize("name", BODIES)
def test_what_more_a_body_says_is_taken_by_the_same_names(name: str) -> None:
    """The example bodies, their fields handed over as arguments."""
    body = dict(BODIES[name])
    question: Callable[..., BaseModel] = getattr(solver, name)
    if name == "allowance":
        body = {"tool": UnmadeTool.model_validate(body["tool"]), "trips": body["trip"]}
    if "trip" in body:
        body["trip"] = Trip.model_validate(body["trip"])
    address = "designs/allowance" if name == "allowance" else f"kits/{name}"
    assert as_json(question(**body)) == over_http(address, BODIES[name])


MISUSED: dict[str, tuple[Callable[[], Any], str]] = {
    "an id for a kit": (lambda: check(SURVEY, "hatchet-600"), "kit is 'hatchet-600' (str); it takes a list, tuple"),
    "a number for a kit": (lambda: check(SURVEY, 3), "kit is 3 (int); it takes a list, tuple"),
    "an id for a kit of a bad night": (lambda: bad_night(SURVEY, "hatchet-600"), "kit is 'hatchet-600' (str)"),
    "a dict for a kit": (lambda: check(SURVEY, {"hatchet-600": 1}), "kit is {'hatchet-600': 1} (dict)"),
    "a number in a kit": (lambda: check(SURVEY, ["hatchet-600", 3]), "kit[1] is 3 (int)"),
    "a text for a trip": (lambda: plan("summer"), "trip is 'summer' (str); it takes a Trip or a dict"),
    "no trip": (lambda: front(None), "trip is None (NoneType); it takes a Trip or a dict"),
    "seconds for an effort": (lambda: plan(SURVEY, effort=3), "effort is 3 (int); it takes an Effort"),
    "a text for seconds": (lambda: Effort(seconds="30"), "seconds is '30' (str); it takes a number"),
    "a text for nodes": (lambda: Effort(nodes="1"), "nodes is '1' (str); it takes a whole number"),
    "a number for a choice": (lambda: front(SURVEY, against=1), "against is 1 (int)"),
    "a text for a number": (
        lambda: confidence(LEAST, confidence="0.8"),
        "confidence is '0.8' (str); it takes a number above 0, at most 1",
    ),
    "a scenario alone": (
        lambda: confidence(LEAST, Scenario(weight=1), confidence=0.5),
        "scenarios is Scenario(",
    ),
    "a trip alone for a season": (lambda: season(Trip.model_validate(LEAST)), "trips is Trip("),
    "a truth for a number of tools": (lambda: season([LEAST], own_at_most=True), "own_at_most is True (bool)"),
    "half a tool": (lambda: season([LEAST], own_at_most=2.5), "own_at_most is 2.5 (float)"),
    "an id for a tool": (lambda: allowance("hatchet-600", LEAST), "tool is 'hatchet-600' (str)"),
    "a text for trips": (lambda: allowance(Tool(id="x", mass_g=1), "ab"), "trips is 'ab' (str)"),
    "a text for a design": (lambda: sweep("long knife", [], LEAST), "design is 'long knife' (str)"),
    "texts for masses": (lambda: lightest("32", [[1, 1]]), "mass is '32' (str)"),
    "a generator for masses": (lambda: lightest((g for g in (3, 2)), [[1, 1]]), "mass is <generator"),
    "texts for marks": (lambda: lightest([3, 2], [["yes", "no"]]), "able is [['yes', 'no']] (list)"),
    "rows of two lengths": (lambda: lightest([3, 2], [[1, 1], [1]]), "able is [[1, 1], [1]] (list)"),
    "masked masses": (
        lambda: lightest(np.ma.masked_array([3.0, 2.0], mask=[True, False]), [[1, 1]]),
        "mass is masked_array(",
    ),
    "a masked number of columns": (lambda: lightest([3, 2], [[1, 1]], np.ma.masked), "at_least is masked"),
    "one number for a kit, in an array": (lambda: check(SURVEY, np.array("x")), "kit is array('x'"),
    "a truth for who cancels": (lambda: Effort(cancelled=True), "cancelled is True (bool); it takes a threading.Event"),
    "a number for what is called": (lambda: Effort(on_solve=3), "on_solve is 3 (int); it takes a function"),
    "a text for what is called early": (lambda: Effort(on_early="x"), "on_early is 'x' (str); it takes a function"),
    "a complex number for seconds": (lambda: Effort(seconds=np.complex128(1)), "seconds is np.complex128"),
    "an array for a solver": (lambda: Effort(solver=np.array(["cbc", "highs"])), "solver is array(['cbc', 'highs']"),
    "a long list for nodes": (lambda: Effort(nodes=[[1] * 9] * 900), "nodes is [[1, 1, 1, 1, 1, 1, ...], [1, 1"),
    "a dict for a design": (lambda: rate({}), "design is {} (dict); it takes a Design"),
    "bytes for a table": (lambda: parse_tools(b"id", file="x"), "text is b'id' (bytes)"),
    "bytes for trials": (lambda: catalog.parse_trials(b"id", file="x"), "text is b'id' (bytes)"),
    "a text for a path": (lambda: catalog.read_tools("x.csv"), "path is 'x.csv' (str); it takes a pathlib.Path"),
    "a dict for a record": (lambda: measure([{}], [], confidence=0.9), "trials[0] is {} (dict); it takes a Trial"),
    "a text for tools tried": (lambda: measure([], "x", confidence=0.9), "tools is 'x' (str)"),
    "a text for their confidence": (lambda: measure([], [], confidence="0.9"), "confidence is '0.9' (str)"),
    "ids for tools": (lambda: catalog.tools_text(["x"]), "tools[0] is 'x' (str); it takes a Tool"),
    "ids for masses": (lambda: catalog.mass_slips(["x"]), "tools[0] is 'x' (str)"),
    "ids for records": (lambda: catalog.trial_csv(["x"]), "trials[0] is 'x' (str)"),
    "a text for how many": (lambda: lightest([3, 2], [[1, 1]], "1"), "at_least is '1' (str)"),
}


@pytest.mark.parametrize("case", MISUSED)
def test_a_wrong_kind_is_told_by_argument_value_and_what_is_taken(case: str) -> None:
    """As a TypeError, before anything is solved."""
    asked, message = MISUSED[case]
    with pytest.raises(TypeError, match=re.escape(message)):
        asked()


REFUSED: dict[str, tuple[Callable[[], Any], type[ValueError], str]] = {
    "an id that no tool has": (lambda: check(SURVEY, ["hatchet"]), TripError, "#/kit/0: there is no id hatchet"),
    "a field of a trip": (lambda: plan({"people": 0}), ValidationError, "people\n"),
    "a confidence above all": (lambda: confidence(LEAST, confidence=1.5), TripError, "#/confidence: confidence is 1.5"),
    "a confidence that is no number": (
        lambda: confidence(LEAST, confidence=float("nan")),
        TripError,
        "#/confidence: confidence is nan",
    ),
    "another choice": (
        lambda: front(SURVEY, against="mass"),
        TripError,
        "against is 'mass'; it takes minutes or price",
    ),
    "no trips": (lambda: season([]), TripError, "#/trips: trips is empty"),
    "no trips for a tool": (lambda: allowance(Tool(id="x", mass_g=1), []), TripError, "#/trips: trips is empty"),
    "fewer than no tools": (lambda: season([LEAST], own_at_most=-1), TripError, "#/own_at_most: own_at_most is -1"),
    "less than no money": (lambda: season([LEAST], money=-1), TripError, "#/money: money is -1; it takes"),
    "a trip never made": (lambda: season([(0, LEAST)]), ValidationError, "weight\n"),
    "nothing that varies": (lambda: sweep(SWEPT["design"], [], LEAST), TripError, "#/vary: vary is empty"),
    "half a column": (lambda: lightest([3, 2], [[1, 1]], 0.5), ValueError, "at_least holds 0.5: it must be"),
    "fewer than no columns": (lambda: lightest([3, 2], [[1, 1]], -1), ValueError, "at_least holds -1"),
    "a mark of two": (lambda: lightest([3, 2], [[2, 1]]), ValueError, "able holds 2"),
    "a mass beyond counting": (lambda: lightest([1e20, 2], [[1, 1]]), ValueError, "mass holds 1e+20: masses in steps"),
    "a fine mass beyond counting": (
        lambda: lightest([1e13, 1.000001], [[1, 1]]),
        ValueError,
        "mass holds 10000000000000.0",
    ),
    "masses beyond counting": (lambda: lightest([9e13, 9e13], [[1, 1]]), ValueError, "mass comes to 1.8e+14 g"),
    "a mass below none": (lambda: lightest([3, -2], [[1, 1]]), ValueError, "mass holds -2.0"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_can_not_be_is_told_by_field_value_and_range(case: str) -> None:
    asked, error, message = REFUSED[case]
    with pytest.raises(error, match=re.escape(message)):
        asked()


def test_more_effort_than_a_solver_counts_is_the_most_it_counts() -> None:
    """Without end in seconds; by each solver."""
    for solver_name in ("highs", "cbc"):
        endless = Effort(nodes=10**400, seconds=10**400, solver=solver_name)
        assert lightest([3, 2], [[1, 1]], effort=endless).columns == (1,)


def several_ways(ids: list[str]) -> Iterator[Any]:
    """The same ids as Python code may have them."""
    yield from (tuple(ids), set(ids), frozenset(ids), np.array(ids), (name for name in ids), dict.fromkeys(ids).keys())


def test_a_kit_may_be_any_collection_of_ids() -> None:
    expected = check(SURVEY, KIT)
    for kit in several_ways(KIT):
        assert check(SURVEY, kit) == expected


def test_forms_take_tuples_sets_and_numbers_of_numpy() -> None:
    """And hold Python's own after it, so that answers print as ever."""
    given = Trip(
        people=np.int64(3),
        nights=np.uint8(2),
        air_c=np.float32(-4),
        life=np.False_,
        tasks=(Task(task="saw", diameter_mm=np.int16(90)),),
        wood=WoodForm(diameters_mm=np.array([50, 90])),
        leave_home={"b", "a", "c"},
        extra_tools=(Tool(id="x", mass_g=np.float64(30), needs=(("a", "b"), ["c"])),),
    )
    expected = Trip.model_validate(
        {
            "people": 3,
            "nights": 2,
            "air_c": -4,
            "life": False,
            "tasks": [{"task": "saw", "diameter_mm": 90}],
            "wood": {"diameters_mm": [50, 90]},
            "leave_home": ["a", "b", "c"],
            "extra_tools": [{"id": "x", "mass_g": 30, "needs": [["a", "b"], ["c"]]}],
        }
    )
    assert given == expected
    assert given.model_dump_json() == expected.model_dump_json()
    assert [type(one) for one in (given.people, given.air_c, given.life)] == [int, float, bool]
    record = Trial(tool="x", task="saw", diameter_mm=80, count=np.int64(3), minutes=np.float64(1.5))
    assert (record.count, type(record.count)) == (3, int)
    assert (
        catalog.CostLine(name="steel", kind="material", unit_price=np.float64(0.1)).unit_price
        == catalog.CostLine(
            name="steel",
            kind="material",
            unit_price=0.1,
        ).unit_price
    )


def test_what_is_plain_stays_the_very_same() -> None:
    """So that a body over HTTP that can't be taken is looked at once: nothing in JSON is made plain."""
    body: list[Any] = [1, "a", None, 2.5, True, [["a"], ["b", "c"]], {"a": (1,)}]
    assert all(plain(one) is one for one in body)
    assert plain((1, np.int8(2), (3,))) == [1, 2, [3]]


def test_questions_take_numbers_of_numpy() -> None:
    assert season([LEAST], own_at_most=np.int64(2), money=np.float32(50)) == season([LEAST], own_at_most=2, money=50)
    assert confidence(LEAST, confidence=np.float64(0.5)) == confidence(LEAST, confidence=0.5)
    mass, able = [3.0, 2.0, 2.0], [[True, True, False], [True, False, True]]
    expected = Cover((0,), 3.0, 3.0, "optimal")
    assert lightest(mass, able) == expected
    assert lightest(np.array(mass, dtype=np.float32), np.array(able, dtype=np.int8), np.int64(1)) == expected
    assert lightest(tuple(mass), tuple(map(tuple, able)), np.array([1.0, 1.0])) == expected


def test_a_season_takes_trips_pairs_and_forms() -> None:
    """A bare trip is made once, as over HTTP."""
    trip = Trip.model_validate(LEAST)
    assert season([trip, trip]) == season([(1.0, trip), {"weight": 1, "trip": LEAST}])
    assert season([(3, LEAST)]) == season((SeasonTripForm(weight=3, trip=trip),))
    assert season(one for one in [LEAST]) == season([trip])


def test_parts_of_a_confidence_may_be_forms_or_dicts() -> None:
    """Scenarios as a generator too."""
    wide = {"low_factor": 0.8, "high_factor": 1.2, "parts": 2}
    parts = [{"weight": 3}, {"weight": 1, "wood": {"knotty": True}}]
    by_dicts = confidence(LEAST, parts, confidence=0.6, diameter_range=wide)
    forms = (Scenario.model_validate(one) for one in parts)
    trip = Trip.model_validate(LEAST)
    assert confidence(trip, forms, confidence=0.6, diameter_range=DiameterRange.model_validate(wide)) == by_dicts


def test_an_effort_says_by_which_solver() -> None:
    """The whole of an answer but its name is the same."""
    by_highs, usual = plan(SURVEY, effort=Effort(solver="highs")), plan(SURVEY)
    assert (by_highs.proof.solver, usual.proof.solver) == ("highs", "enumeration")
    assert (by_highs.kit, by_highs.gaps) == (usual.kit, usual.gaps)
    assert plan(SURVEY, effort=Effort(nodes=np.int64(500), seconds=np.float32(20), solver="highs")) == by_highs


def test_what_catalog_offers_works_together() -> None:
    """A drawing becomes a row, a row goes through a table and back, and a figure out of range is told."""
    row = rate(Design.model_validate(design_examples()["belt-axe"])).tool
    assert parse_tools(catalog.tools_text([row]), file="own.csv") == [row]
    crowd = [Trial(tool="x", task="saw", diameter_mm=80, count=1, minutes=1, person=f"p{n}") for n in range(51)]
    with pytest.raises(RangeError, match="outside 1 to 50"):
        measure(crowd, [], confidence=0.9)
    assert plan(Trip(tasks=[Task(task="chop", diameter_mm=40)], extra_tools=[row], limits=Limits())).status == "optimal"


def run(*command: str | Path, cwd: Path, status: int = 0) -> str:
    """What a command prints; where it ends otherwise than it should, the test fails and shows what it said."""
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == status, done.stdout + done.stderr
    return done.stdout


@dataclass(frozen=True)
class Home:
    """A user's environment: its Python, where its packages lie, and what mypy remembers of them."""

    python: Path
    packages: Path
    cache: Path

    def typed(self, program: Path, *, status: int = 0) -> str:
        """What mypy says, strict and without any plugin, of a program that finds Kitwright as an installed package."""
        options = ("--strict", "--config-file=", "--cache-dir", self.cache, "--python-executable", self.python)
        return run(sys.executable, "-m", "mypy", *options, program.name, cwd=program.parent, status=status)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """An environment that holds the built wheel, unpacked as an installer does, and what the wheel depends on."""
    folder = tmp_path_factory.mktemp("home")
    run(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=ROOT)
    (built,) = folder.glob("*.whl")
    venv.create(folder / "venv", symlinks=True)
    python = folder / "venv" / "bin" / "python"
    packages = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip())
    with ZipFile(built) as archive:
        archive.extractall(packages)
    # The tests' own packages stand behind; a .pth file in there, as that of the source tree, is not read from here.
    (packages / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    probe = "import api, catalog, solver; print(*(one.__file__ for one in (api, catalog, solver)), sep='\\n')"
    found = run(python, "-c", probe, cwd=folder).splitlines()
    assert all(Path(one).is_relative_to(packages) for one in found), "the wheel is imported, not the source tree"
    return Home(python, packages, folder / "cache")


USER = """
from catalog import Tool, tools
from solver import Answer, CheckAnswer, Effort, Fire, Task, Trip, TripError, check, plan

trip = Trip(people=2, nights=3, tasks=[Task(task="saw", diameter_mm=90)], fire=Fire(warmth_h=1))
answer: Answer = plan(trip, effort=Effort(solver="highs"))
masses: dict[str, float] = {tool.id: tool.mass_g for tool in answer.kit.tools}
checked: CheckAnswer = check({"tasks": [{"task": "saw", "diameter_mm": 90}]}, (tool.id for tool in tools()[:2]))
own = Tool(id="my-saw", mass_g=200, saw_score=4.5, saw_max_mm=100)
try:
    print(plan(trip.model_copy(update={"extra_tools": [own]})).status, masses, checked.covered)
except TripError as error:
    print([fault.pointer for fault in error.faults])
"""
WRONG = """
from solver import Trip, check, plan

grams: str = plan(Trip()).kit.mass_g
plan(3)
check(Trip(people="two"), [1])
Trip(nigths=3)
"""


def test_the_wheel_says_that_it_is_typed(home: Home) -> None:
    """PEP 561: without the mark, a type checker takes nothing from an installed package."""
    assert all((home.packages / package / "py.typed").is_file() for package in ("api", "solver", "catalog"))


def test_a_users_program_is_typed_by_the_wheel(home: Home, tmp_path: Path) -> None:
    """Strict, and it runs."""
    program = tmp_path / "user.py"
    program.write_text(USER, encoding="utf-8")
    assert home.typed(program) == "Success: no issues found in 1 source file\n"
    assert run(home.python, program, cwd=tmp_path).startswith("optimal {")


def test_a_users_mistakes_are_found_by_type(home: Home, tmp_path: Path) -> None:
    """The types of the wheel say something: each wrong line is named."""
    program = tmp_path / "wrong.py"
    program.write_text(WRONG, encoding="utf-8")
    said = home.typed(program, status=1)
    assert set(re.findall(r"^wrong\.py:(\d+): error", said, re.MULTILINE)) == {"4", "5", "6", "7"}, said


# As the programs printed it when it was read over; grams and minutes of the kits are what `kitwright plan` says too.
PRINTED = {
    "plan_a_trip": """\
optimal: 190 g, 16 min of wood work a day
- Pocket knife, 60 mm blade: carve-30, knife
- Folding saw, 180 mm blade: saw-90
caution: Defer to local codes and licensed practice. This list is a reminder, not training.
""",
    "compare_two_kits": """\
knife and saw: 600 g, 34 min of wood work a day
- covers the trip, 120 g above the lightest kit that does
hatchet alone: 940 g, 33 min of wood work a day
- buck-100: the closest in this kit, lever-between-trees, falls short by 11.4 mm of diameter.
""",
    "score_a_drawing": """\
Invented: a folding saw of 200 mm: 159.2 g
- saw_score 5.11 (4.24 to 6.16)
- saw_max_mm 99.2 (93.3 to 106)
- saw_score_green 4.57 (3.8 to 5.5)
- saw_score_frozen 4.75 (3.94 to 5.72)
may weigh 150 g
""",
}


def test_every_example_program_is_run_here() -> None:
    assert [program.stem for program in PROGRAMS] == sorted(PRINTED)


@pytest.mark.parametrize("program", PROGRAMS, ids=lambda path: path.stem)
def test_an_example_program_prints_what_it_should(program: Path, home: Home, tmp_path: Path) -> None:
    """As the wheel holds it, by the wheel, and strictly typed too."""
    copy = tmp_path / program.name
    shipped = home.packages / "api" / "examples" / "python" / program.name
    copy.write_text(shipped.read_text("utf-8"), encoding="utf-8")
    assert "Success" in home.typed(copy)
    assert run(home.python, copy, cwd=tmp_path) == PRINTED[program.stem]
