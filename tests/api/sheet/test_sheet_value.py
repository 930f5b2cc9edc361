"""GET /v1/sheet/value: one cell of a planning spreadsheet. The JSON answer of POST /v1/kits is what it is held to."""

import asyncio
import re
from pathlib import Path
from random import Random
from threading import Event
from time import sleep
from typing import Any

import httpx
import pytest
from member_lines import READ, REFUSED
from service import HOST, ask, faults_of, post, problem_of, small_app
from sheet_trips import Cells, query, random_sheet_trip

from api.questions import kit_questions as kits
from api.sheet.cell import members
from api.sheet.cell_text import text_at
from api.sheet.column import COLUMNS
from api.sheet.field import field_named, fields
from api.solving import bounded_memory as memory
from solver import Cancelled, Effort, Trip, Unfinished, plan

Row = dict[str, Any]
ADDRESS = "/v1/sheet/value"
SAW: Cells = {"saw_mm": "90", "saw_per_day": "4"}
CELLS = small_app()  # works a trip out once for all its cells, as a spreadsheet has it; what is compared is asked anew
NOT_IN_CELLS = {"tools", "extra_tools", "trials", "detail"}  # whole tables, and what the field asked for decides


def value(cells: Cells, field: str, **more: Any) -> str:
    """The text of a cell."""
    answer = ask("GET", f"{ADDRESS}?{query(cells, field=field, **more)}", app=CELLS)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"] == "text/plain; charset=utf-8"
    return answer.text


def refused(cells: Cells, **more: Any) -> dict[str, Row]:
    """The faults of a query by pointer."""
    return faults_of(ask("GET", f"{ADDRESS}?{query({'field': 'status'} | cells, **more)}"))


def leaves(schema: Row, whole: Row) -> list[str]:
    """The names of all fields of a form that hold no form themselves."""
    found = []
    for name, field in schema["properties"].items():
        options = [field, *field.get("anyOf", []), field.get("items", {})]
        refs = [option["$ref"].rsplit("/", 1)[-1] for option in options if "$ref" in option]
        found += leaves(whole["$defs"][refs[0]], whole) if refs and name not in NOT_IN_CELLS else [name]
    return found


@pytest.mark.parametrize("path", ["status", "kit.mass_g", "needs.*.diameter_mm", "kit.work_min_per_day"])
def test_a_trip_in_us_units_is_the_trip_in_metric_ones(path: str) -> None:
    """NIST SP 811, B.8: 1 in = 25.4 mm, 1 oz = 28.349523125 g, 1 lb = 0.45359237 kg, 1 ft = 0.3048 m, 1 mi = 1.609344
    km, 1 qt = 0.946352946 l, t/C = (t/F - 32) / 1.8. Tools and assumptions keep the units of their tables.
    """
    same = "people=2&nights=3&assumptions=body_kg:80&own_tools=my-saw~mass_g~200~saw_score~9~saw_max_mm~150"
    us = "split_mm=4,5|3&saw_mm=2&air_c=14&mass_g=60&members=Ann 40;Ben 30&km_per_day=10&climb_m_per_day=1000"
    us += "&pack_kg=20&hot_water_l_per_person=2&elevation_m=5000&edge_mm=10&diameters_mm=2|4"
    metric = "split_mm=114.3|76.2&saw_mm=50.8&air_c=-10&mass_g=1700.971388&members=Ann:1133.980925|Ben:850.485694"
    metric += "&km_per_day=16.09344&climb_m_per_day=304.8&pack_kg=9.071847&hot_water_l_per_person=1.892706"
    metric += "&elevation_m=1524&edge_mm=254&diameters_mm=50.8|101.6"
    found = [ask("GET", f"{ADDRESS}?field={path}&{same}&{cells}") for cells in (f"{us}&inputs=us", metric)]
    assert [answer.status_code for answer in found] == [200, 200], found[0].text
    assert found[0].text == found[1].text


@pytest.mark.parametrize("written", ["82\u066b5", "\u06f8\u06f2\u066b\u06f5", "\u0668\u0662\u066b\u0665", "82,5"])
def test_a_number_may_have_the_signs_of_arabic_and_persian(written: str) -> None:
    """As ar-EG and fa-IR write 82.5 (Unicode, Arabic block), alone and in a list; their thousands sign is refused."""
    for cells, expected in ((written, "82.5"), (f"{written}|60", "82.5|60")):
        asked = {"field": "needs.*.id", "saw_mm": cells, "knife": "none"}
        assert ask("GET", ADDRESS, params=asked).text == "|".join(f"saw-{mm}" for mm in expected.split("|"))
    assert "must be a number" in ask("GET", ADDRESS, params={"field": "status", "saw_mm": "1\u066c250"}).text


@pytest.mark.quick
@pytest.mark.parametrize(
    ("cells", "as_written"),
    [
        ("saw_mm=90&air_c=\u22125,5", "saw_mm=90&air_c=-5.5"),
        ("saw_mm=90&mass_g=1\u202f200,5", "saw_mm=90&mass_g=1200.5"),
        ("saw_mm=90&mass_g=1\u00a0200", "saw_mm=90&mass_g=1200"),
        ("saw_mm=90&mass_g=1 200", "saw_mm=90&mass_g=1200"),
        ("saw_mm=40, 60,5, 120", "saw_mm=40|60.5|120"),
        ("saw_mm=57,15|60", "saw_mm=57.15|60"),
    ],
)
def test_a_cell_may_have_the_minus_and_the_spaces_that_people_write(cells: str, as_written: str) -> None:
    """U+2212 and the spaces that part thousands (Unicode; French); a comma with a space parts sizes, as on the page."""
    read = [COLUMNS[name].read(text) for name, text in (one.split("=") for one in cells.split("&"))]
    assert read == [COLUMNS[name].read(text) for name, text in (one.split("=") for one in as_written.split("&"))]
    assert ask("GET", f"{ADDRESS}?field=status&{cells}").text == ask("GET", f"{ADDRESS}?field=status&{as_written}").text


@pytest.mark.parametrize("sizes", ["40 60", "40 60,5", "1\u202f200|90", "40,60"])
def test_sizes_that_may_be_one_or_several_are_refused(sizes: str) -> None:
    """A space alone may part thousands or sizes."""
    assert "may be one number or several" in refused({"saw_mm": sizes}, field="status")["#/saw_mm"]["detail"]


def test_a_wrong_figure_in_us_units_is_told_in_them() -> None:
    """With its range; the value is what the cell holds."""
    fault = faults_of(ask("GET", f"{ADDRESS}?field=status&split_mm=400&inputs=us"))["#/split_mm"]
    assert fault["value"] == "400"
    assert fault["detail"] == "400 in (10160 mm) is outside 0.04 to 118.11 in (1 to 3000 mm)"


def test_every_field_of_a_trip_has_a_column() -> None:
    """But for the catalog, trials and the detail; `task` is in the name of a column, `id` in its cell.

    Members stand in one cell with what each carries.
    """
    schema = Trip.model_json_schema()
    named = {place for column in COLUMNS.values() for place in column.place} | {"task", "id", "mm", "reach_kg_per_day"}
    named |= {"carries_at_most_g"}
    assert set(leaves(schema, schema)) - named == NOT_IN_CELLS - {"extra_tools"}


def test_members_stand_in_one_cell() -> None:
    """As in the JSON form; a fault of theirs is one of the column."""
    cells = {**SAW, "must_carry": "axe-full-1250|fixed-knife-90", "people": "2"}
    members = [{"name": "Ann", "carries_at_most_g": 2000}, {"name": "Ben O.", "carries_at_most_g": 1250.5}]
    found = post(
        {"tasks": [{"task": "saw", "diameter_mm": 90}], "must_carry": ["axe-full-1250", "fixed-knife-90"], "people": 2}
        | {"members": members}
    ).json()
    asked = cells | {"members": "Ann: 2000 | Ben O.:1250,5"}
    assert value(asked, "share.*.name") == "Ann|Ben O."
    assert value(asked, "share.*.ids") == "|".join("; ".join(one["ids"]) for one in found["share"])
    assert value(asked, "share.*.spare_g") == "|".join(f"{one['spare_g']:.0f}" for one in found["share"])
    for wrong in ("Ann:2000", "Ann:2000|Ann:1000", "Ann:2000|Ben", "Ann:2000|Ben:60000", "Ann:2000|Ben:heavy"):
        answer = ask("GET", f"{ADDRESS}?{query(cells | {'members': wrong}, field='status')}")
        assert set(faults_of(answer)) == {"#/members"}, wrong


@pytest.mark.quick
def test_own_tools_stand_in_one_cell() -> None:
    """Beside those built in, with numbers by point or comma; as `extra_tools` of the JSON form."""
    tool = {"id": "my-saw", "kind": "folding saw", "mass_g": 99.5, "saw_score": 6.5, "saw_max_mm": 120}
    found = post({"tasks": [{"task": "saw", "diameter_mm": 90}], "extra_tools": [tool], "detail": "kit"}).json()
    written = "my-saw~kind~folding saw~mass_g~99.5~saw_score~6,5~saw_max_mm~120~price~"
    cells = {"saw_mm": "90", "own_tools": written}
    assert value(cells, "kit.tools.*.id") == "my-saw" == found["kit"]["tools"][0]["id"]
    assert value(cells, "kit.work_min_per_day") == f"{found['kit']['work_min_per_day']:.2f}"
    fault = refused({**cells, "own_tools": f"{written}|axe~mass_g~-1"})["#/own_tools"]
    assert fault["detail"] == "axe mass_g: -1 must be at least 0"


@pytest.mark.quick
def test_what_an_uncovered_trip_lacks_is_counted_and_its_figures_are_told_where_asked() -> None:
    """Counts are numbers; the grams are those of the kit that does what it can."""
    cells = {"saw_mm": "90|2900", "people": "1"}
    found = post({"tasks": [{"task": "saw", "diameter_mm": mm} for mm in (90, 2900)], "detail": "kit"}).json()
    assert found["status"] == "uncovered"
    for name in ("gaps", "cautions", "needs"):
        assert value(cells, f"{name}.count") == str(len(found[name]))
    assert value(cells, "kit.mass_g") == "uncovered"
    assert value(cells, "kit.mass_g", uncovered="figures") == f"{found['kit']['mass_g']:.0f}" != "0"


@pytest.mark.quick
def test_members_are_read_with_colons_or_spaces_and_a_fault_names_its_part() -> None:
    """Both forms, which the page takes too; of a figure out of range the member is named."""
    for line, told in READ.items():
        assert members(line) == [{"name": name, "carries_at_most_g": most} for name, most in told]
    for line, (part, why) in REFUSED.items():
        with pytest.raises(ValueError, match=f"^{re.escape(f'{part} {why}')}"):
            members(line)
    cells = {**SAW, "people": "2", "members": "Ann 2000; Ben 60000"}
    fault = refused(cells, field="status")["#/members"]
    assert fault["detail"] == "Ben: 60000 must be at most 50000"


@pytest.mark.parametrize("seed", range(40))
def test_a_cell_says_what_the_json_answer_says(seed: int) -> None:
    """Status, whole grams, minutes, tools, needs with their margins, shares; decimals by point and by comma."""
    form, cells = random_sheet_trip(Random(seed), comma=seed % 2 == 1)
    answer = post(form)
    if answer.status_code == 422:
        assert ask("GET", f"{ADDRESS}?{query(cells, field='status')}").status_code == 422
        return
    found = answer.json()
    assert value(cells, "status") == found["status"]
    assert value(cells, "kit.tools") == "; ".join(tool["id"] for tool in found["kit"]["tools"])
    assert value(cells, "kit.methods") == "; ".join(found["kit"]["methods"])
    assert value(cells, "needs.*.id") == "|".join(need["id"] for need in found["needs"])
    if found["status"] == "uncovered":
        assert value(cells, "kit.mass_g") == value(cells, "kit.work_min_per_day") == "uncovered"
        assert value(cells, "gaps.*.text") == "|".join(gap["text"].replace("|", "/") for gap in found["gaps"])
        return
    assert value(cells, "kit.mass_g") == str(round(found["kit"]["mass_g"]))
    assert float(value(cells, "kit.work_min_per_day")) == pytest.approx(found["kit"]["work_min_per_day"], abs=0.00501)
    assert value(cells, "share.*.mass_g") == "|".join(str(round(one["mass_g"])) for one in found["share"])
    for need in found["needs"]:
        shown = value(cells, f"needs.{need['id']}.spare_mm")
        assert shown == ("" if need["spare_mm"] is None else str(round(need["spare_mm"])))


def test_every_listed_field_is_told() -> None:
    """All of them, in both units, of a trip that has something of almost everything."""
    cells = {**SAW, "split_mm": "120|90", "people": "2", "ask_about": "hatchet-600"}
    told = {path: value(cells, path, units="us") for path in fields()}
    assert all("\n" not in text and "\ufeff" not in text for text in told.values())
    assert {path for path, text in told.items() if text} >= {
        "status", "kit.mass_g", "kit.mass_lb", "kit.tools.*.name", "needs.*.spare_in", "why_not.*.text",
        "alternatives.*.tools", "front.points.*.mass_oz", "assumptions.*.value", "cautions.*.text", "share.*.mass_g",
    }  # fmt: skip
    assert value(cells | {"robust_needs": "all"}, "robust.losses.*.tool")


def test_the_document_lists_the_fields() -> None:
    """In the description of the parameter."""
    document = ask("GET", "/openapi.json").json()
    (parameter,) = [p for p in document["paths"][ADDRESS]["get"]["parameters"] if p["name"] == "field"]
    assert [path for path in fields() if f"`{path}`" not in parameter["description"]] == []


@pytest.mark.parametrize("path", [path for path in fields() if "*" not in path and "." in path and "front" not in path])
def test_plain_fields_are_those_of_the_json(path: str) -> None:
    """Read from the JSON by their names."""
    form = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 4}]}
    found: Any = post(form, address="/v1/kits?units=us").json()
    *above, last = path.split(".")
    for step in above:
        found = None if found is None else found[step]
    if last == "count":
        expected = "" if found is None else str(len(found))
    else:
        found = None if found is None else found.get(last)
        expected = "" if found is None else found if isinstance(found, str) else None
    shown = value(SAW, path, units="us")
    if expected is not None:
        assert shown == expected
    elif isinstance(found, bool):
        assert shown == str(found).lower()
    elif isinstance(found, list):
        assert shown.count("; ") == max(0, len(found) - 1)
    else:
        assert float(shown) == pytest.approx(found, abs=0.501 if last.endswith(("_g", "_mm")) else 0.00501)


def test_members_go_by_number_and_by_id() -> None:
    """From 1 on; past the end there is nothing; ids may hold points."""
    cells = {"saw_mm": "82,5", "split_mm": "120"}
    tool = value(cells, "kit.tools.1.id")
    assert value(cells, f"kit.tools.{tool}.name") == value(cells, "kit.tools.1.name") != ""
    assert value(cells, "kit.tools.99.name") == value(cells, "kit.tools.maul-2700.mass_g") == ""
    assert value(cells, "needs.saw-82.5.spare_mm") == value(cells, "needs.2.spare_mm")
    assert "saw-82.5" in refused(cells, field="needs.saw-80.spare_mm")["#/field"]["detail"]


def test_a_price_that_is_unknown_is_no_number() -> None:
    """The built-in tools have no price."""
    asked = f"{ADDRESS}?saw_mm=90&against=price&field=front.points.1"
    assert ask("GET", f"{asked}.unpriced").text
    assert ask("GET", f"{asked}.price").text == "unknown"


@pytest.mark.parametrize("path", ["kit.tools.0.name", "kit.tools.00.name", "needs.0.id", "front.points.0.mass_g"])
def test_positions_count_from_one(path: str) -> None:
    """The position 0 is refused, and is not the last member; nor is there one below it."""
    refused = ask("GET", f"{ADDRESS}?saw_mm=90&carve_mm=30&field={path}")
    fault = faults_of(refused)["#/field"]
    assert (fault["value"], fault["range"]) == (path, "a position from 1 on, an id, or *")
    assert "positions count from 1" in fault["detail"]
    below = ask("GET", f"{ADDRESS}?saw_mm=90&carve_mm=30&field={path.replace('.0', '.-1')}")
    assert "#/field" in faults_of(below)
    told = ask("GET", f"{ADDRESS}?saw_mm=90&field={path}&errors=text").text
    assert told.startswith("wrong field: positions count from 1")


def test_whole_grams_and_millimetres_and_no_exponent() -> None:
    """What NUMBERVALUE takes in any locale with a point given."""
    for path in ("kit.mass_g", "needs.1.spare_mm", "needs.1.diameter_mm"):
        assert re.fullmatch(r"\d+", value(SAW, path))
    for path in ("kit.work_min_per_day", "kit.carry_kcal_per_day", "effort.kcal_per_100g_day"):
        assert re.fullmatch(r"\d+(\.\d{1,2})?", value(SAW, path))


def test_empty_cells_count_as_absent_and_refreshing_is_ignored() -> None:
    """Every other column empty; `_` and `refresh` with any value."""
    empty = dict.fromkeys(COLUMNS, "") | SAW
    assert value(empty, "kit.mass_g", _="7", refresh="x") == value(SAW, "kit.mass_g")
    assert value(SAW | {"people": "   "}, "kit.mass_g", units="") == value(SAW, "kit.mass_g")


@pytest.mark.parametrize(
    ("cells", "pointer", "allowed"),
    [
        ({"split_mm": "5000"}, "#/split_mm", "<= 3000"),
        ({"split_mm": "120|0"}, "#/split_mm", ">= 1"),
        ({"split_mm": "thick"}, "#/split_mm", "a number"),
        ({"split_mm": "NaN"}, "#/split_mm", "a number"),
        ({"split_mm": "1e999"}, "#/split_mm", "finite"),
        ({"split_mm": "40,60"}, "#/split_mm", "|"),
        ({**SAW, "mass_g": "1,500"}, "#/mass_g", "number"),
        ({**SAW, "saw_per_day": "1|2"}, "#/saw_per_day", "1 member, or 1"),
        ({**SAW, "split_per_day": "2"}, "#/split_per_day", "beside split_mm"),
        ({**SAW, "people": "2.5"}, "#/people", "a whole number"),
        ({**SAW, "people": "0"}, "#/people", ">= 1"),
        ({**SAW, "knotty": "perhaps"}, "#/knotty", "true or false"),
        ({**SAW, "skill": "good"}, "#/skill", "novice"),
        ({**SAW, "species": "mallorn"}, "#/species", "an existing id"),
        ({**SAW, "must_carry": "mallet-of-gold"}, "#/must_carry", "an existing id"),
        ({**SAW, "banned_kinds": "axe,hatchet"}, "#/banned_kinds", "|"),
        ({**SAW, "camp_per_trip": "peg"}, "#/camp_per_trip", "separate"),
        ({**SAW, "camp_per_trip": "peg:0"}, "#/camp_per_trip", "> 0"),
        ({**SAW, "work_min_per_day": "9000"}, "#/work_min_per_day", "1 to 1440"),
        ({**SAW, "reach_kg_per_day": "5"}, "#/reach_kg_per_day", "diameters_mm"),
        ({**SAW, "km_per_day": "1", "climb_m_per_day": "3000"}, "#/km_per_day", "%"),
        ({**SAW, "name": "a\x00b"}, "#/name", "pattern"),
        ({**SAW, "splt_mm": "3"}, "#/splt_mm", "no such field"),
        ({**SAW, "units": "imperial"}, "#/units", "metric, us"),
        ({**SAW, "field": "kit.mass"}, "#/field", "kit.mass_g"),
        ({**SAW, "field": ""}, "#/field", "kit.mass_g"),
        ({**SAW, "field": "kit.mass_lb"}, "#/field", "units=us"),
        ({**SAW, "own_tools": "my-saw~mass_g"}, "#/own_tools", "list"),
        ({**SAW, "own_tools": "my-saw~mass_g~-1"}, "#/own_tools", ">= 0"),
        ({**SAW, "own_tools": "my-saw~mass_g~1|my-saw~mass_g~2"}, "#/own_tools", "id"),
        ({}, "#/split_mm", "task"),
    ],
)  # fmt: skip
def test_a_wrong_cell_is_refused_by_its_name(cells: Cells, pointer: str, allowed: str) -> None:
    """The pointer names the parameter, with the value as it stood."""
    fault = refused(cells)[pointer]
    assert allowed in fault["range"]
    assert fault["value"] in (cells.get(pointer.removeprefix("#/")), None)


def test_every_wrong_cell_is_named_at_once() -> None:
    """Of the reading, of the trip's form, and of the query."""
    assert set(refused({**SAW, "people": "0", "mass_g": "1,500", "nights": "x"})) == {
        "#/people",
        "#/mass_g",
        "#/nights",
    }
    twice = ask("GET", f"{ADDRESS}?field=status&saw_mm=90&saw_mm=80")
    assert faults_of(twice)["#/saw_mm"]["range"] == "once"


def test_errors_as_text_are_a_200_with_words() -> None:
    """What a cell can show, not to be kept."""
    answer = ask("GET", f"{ADDRESS}?field=kit.mass_g&split_mm=5000&people=0&errors=text")
    assert (answer.status_code, answer.headers["cache-control"]) == (200, "no-store")
    assert answer.text == "wrong people: 0 must be at least 1; wrong split_mm: 5000 is outside 1 to 3000 mm"
    assert "etag" not in answer.headers
    assert value({**SAW, "errors": "text"}, "kit.mass_g") == value(SAW, "kit.mass_g")


def test_an_uncovered_trip_reads_uncovered() -> None:
    """Every number but those of the gaps."""
    cells = {"split_mm": "2900", "people": "2"}
    assert value(cells, "status") == "uncovered"
    for path in ("kit.mass_g", "kit.work_min_per_day", "kit.tools.count", "needs.1.spare_mm", "proof.bound_g"):
        assert value(cells, path) == "uncovered"
    assert value(cells, "gaps.1.short_by") == "2400"


@pytest.fixture
def solves(monkeypatch: pytest.MonkeyPatch) -> list[Trip]:
    """The trips that are solved while a test runs."""
    solved: list[Trip] = []
    plan = kits.plan
    monkeypatch.setattr(kits, "plan", lambda trip, **more: (solved.append(trip), plan(trip, **more))[1])
    return solved


def test_one_trip_is_solved_once_for_all_its_cells(solves: list[Trip]) -> None:
    """OPTIONS, HEAD, GET, as a spreadsheet asks; then other fields, other spellings, other refreshes."""
    app = small_app()
    for method in ("OPTIONS", "HEAD", "GET", "GET"):
        assert ask(method, f"{ADDRESS}?field=kit.mass_g&saw_mm=90", app=app).status_code in (200, 204)
    for more in (
        "field=status&saw_mm=90.0",
        "saw_mm=90&field=kit.tools&_=3&people=",
        "field=kit.mass_lb&units=us&saw_mm=90",
    ):
        assert ask("GET", f"{ADDRESS}?{more}", app=app).status_code == 200
    assert len(solves) == 1


def test_cells_that_ask_at_the_same_time_wait_for_one_solve(solves: list[Trip]) -> None:
    """As a program does that fetches cells side by side."""
    app = small_app()

    async def together() -> list[httpx.Response]:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url=HOST) as client:
            asked = [client.get(f"{ADDRESS}?field={field}&saw_mm=90") for field in ("status", "kit.mass_g", "needs")]
            return list(await asyncio.gather(*asked))

    assert [answer.status_code for answer in asyncio.run(together())] == [200] * 3
    assert len(solves) == 1


def test_work_that_no_cell_waits_for_any_more_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not when the first of two cells leaves, but when the last one does; who asks again gets an answer."""
    ended = Event()

    def endless(trip: Trip, *, effort: Effort) -> Any:
        while trip.people == 7:
            try:
                effort.go_on()
            except Cancelled:
                ended.set()
                raise
            sleep(0.001)
        return plan(trip, effort=effort)

    monkeypatch.setattr("api.questions.kit_questions.plan", endless)
    app = small_app()
    answers = app.state.sheet_answers
    trip = Trip.model_validate({"tasks": [{"task": "saw", "diameter_mm": 90}], "people": 7})

    async def leave() -> None:
        first, second = (asyncio.create_task(answers.answer(trip, "kit")) for _ in range(2))
        while not app.state.solves.places.statistics().borrowed_tokens:
            await asyncio.sleep(0.001)
        first.cancel()
        with pytest.raises(asyncio.CancelledError):
            await first
        assert not ended.is_set()
        assert len(answers.pending) == 1
        second.cancel()
        with pytest.raises(asyncio.CancelledError):
            await second
        assert not answers.pending
        while app.state.solves.places.statistics().borrowed_tokens:
            await asyncio.sleep(0.001)

    asyncio.run(leave())
    assert ended.is_set()
    assert ask("GET", f"{ADDRESS}?field=status&saw_mm=90&people=6", app=app).text == "optimal"


def test_the_answers_kept_are_bounded(monkeypatch: pytest.MonkeyPatch, solves: list[Trip]) -> None:
    """The one asked for longest ago goes first."""
    monkeypatch.setattr(memory, "MOST_KEPT", 4)  # of each trip its answer, and what a cell was told
    app = small_app()
    for size in (40, 50, 40, 60, 40, 70, 50):
        ask("GET", f"{ADDRESS}?field=status&saw_mm={size}", app=app)
    assert [trip.tasks[0].diameter_mm for trip in solves] == [40, 50, 60, 70, 50]
    assert len(app.state.memory.kept) == 4


def test_a_kit_that_is_not_settled_is_not_kept() -> None:
    """Who asks again may have more time."""
    app = small_app(solve_seconds=1e-9, solve_nodes=1)
    cells = query({"split_mm": "120|90|70", "saw_mm": "90|80", "carve_mm": "30", "mass_g": "1"})
    assert ask("GET", f"{ADDRESS}?field=not_settled&{cells}", app=app).text.startswith("kit")
    assert not app.state.memory.kept


def test_a_failed_solve_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nor does it hang who asks next."""

    def unfinished(*_: object, **__: object) -> None:
        raise Unfinished

    monkeypatch.setattr(kits, "plan", unfinished)
    app = small_app()
    cells = query({"split_mm": "120|90|70", "saw_mm": "90|80", "carve_mm": "30", "mass_g": "1"})
    for _ in range(2):
        answer = ask("GET", f"{ADDRESS}?field=kit.mass_g&{cells}", app=app)
        assert answer.status_code == 503
        assert "retry-after" in answer.headers
    words = ask("GET", f"{ADDRESS}?field=kit.mass_g&{cells}&errors=text", app=app)
    assert (words.status_code, words.text.split(":")[0]) == (200, "unfinished")


def test_an_answer_that_is_had_already_is_a_304() -> None:
    """A strong tag of query and answer, compared weakly (RFC 9110, 13.1.2), whatever was ignored or left empty."""
    first = ask("GET", f"{ADDRESS}?field=kit.mass_g&saw_mm=90")
    tag = first.headers["etag"]
    assert re.fullmatch('"[0-9a-f]+"', tag)
    assert "max-age" in first.headers["cache-control"]
    for given in (tag, f'"other", W/{tag}', "*"):
        for method in ("GET", "HEAD"):
            again = ask(method, f"{ADDRESS}?saw_mm=90&field=kit.mass_g&_=8&people=", headers={"If-None-Match": given})
            assert (again.status_code, again.content) == (304, b"")
            assert (again.headers["etag"], again.headers["cache-control"]) == (tag, first.headers["cache-control"])
    other = ask("GET", f"{ADDRESS}?field=kit.work_min_per_day&saw_mm=90", headers={"If-None-Match": tag})
    assert other.status_code == 200
    assert ask("GET", f"{ADDRESS}?field=kit.mass_g&saw_mm=90").headers["etag"] == tag


def test_a_trip_in_cells_may_name_a_stored_catalog(tmp_path: Path) -> None:
    """The caller's own, asked again each time; one that is not there is the column's fault."""
    app = small_app(one_user=True, database_url=f"sqlite:///{tmp_path / 'store.sqlite'}")
    saw = {"id": "one-saw", "mass_g": 123, "saw_score": 5, "saw_max_mm": 200}
    assert (
        ask("PUT", "/v1/catalogs/mine", app=app, json={"tools": [saw]}, headers={"If-None-Match": "*"}).status_code
        == 201
    )
    answer = ask("GET", f"{ADDRESS}?field=kit.mass_g&saw_mm=90&catalog=mine", app=app)
    assert (answer.text, answer.headers["cache-control"]) == ("123", "private, no-cache")
    gone = ask("GET", f"{ADDRESS}?field=kit.mass_g&saw_mm=90&catalog=yours", app=app)
    assert faults_of(gone)["#/catalog"]["value"] == "yours"


def test_a_failure_is_a_problem_like_any_other() -> None:
    """With the one shape; HEAD has no body."""
    assert problem_of(ask("GET", f"{ADDRESS}?field=status"), 422)["detail"]
    assert ask("HEAD", f"{ADDRESS}?field=status").status_code == 422
    assert problem_of(ask("POST", ADDRESS, json={}), 405)["detail"]


@pytest.mark.parametrize("sizes", [(120, 120.5), (120.5, 120)])
def test_an_id_with_a_point_is_told_from_one_that_it_begins_with(sizes: tuple[float, float]) -> None:
    """needs.split-120.5 is not field 5 of need split-120, whichever stands first."""
    trip = {"tasks": [{"task": "split", "diameter_mm": mm, "per_day": mm / 60} for mm in sizes]}
    answer = post(trip).json()
    minutes = {need["id"]: need["minutes_per_day"] for need in answer["needs"]}
    assert set(minutes) == {"split-120", "split-120.5", "rest"}, "more than 30 minutes for one"
    for name, expected in minutes.items():
        told = text_at(answer, field_named(f"needs.{name}.minutes_per_day", units="metric"))
        assert float(told) == pytest.approx(expected, abs=0.005), name
        assert text_at(answer, field_named(f"needs.{name}.id", units="metric")) == name
