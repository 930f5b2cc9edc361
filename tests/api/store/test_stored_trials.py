"""Stopwatch records kept with a stored catalog, on both kinds of database."""

from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from service import ask, faults_of, now, problem_of, small_app

from api.examples.catalog_bodies import HUT, HUT_TRIALS, HUT_TRIALS_TABLE
from api.store.stored_table import judged_table
from catalog import assumptions
from solver import Cancelled, Effort

pytestmark = pytest.mark.quick

HOME = "/v1/catalogs/hut"
NEW = {"If-None-Match": "*"}
RECORDS = HUT_TRIALS["trials"]


def stored(app: FastAPI) -> str:
    """The tag of a catalog stored anew."""
    tag: str = ask("PUT", HOME, app=app, json=HUT, headers=NEW).json()["tag"]
    return tag


def tried(app: FastAPI, tag: str, *, trials: Any = RECORDS) -> httpx.Response:
    """The answer to records."""
    return ask("POST", f"{HOME}/trials", app=app, json={"trials": trials}, headers={"If-Match": tag})


def saw(app: FastAPI) -> dict[str, Any]:
    """The row of the saw as it is now."""
    row: dict[str, Any] = ask("GET", f"{HOME}/tools/hut-saw", app=app).json()
    return row


def test_records_that_come_in_parts_say_what_all_of_them_say(app: FastAPI) -> None:
    """As POST /v1/trials, which keeps nothing, says of all at once: what was judged before them counts once."""
    tag = stored(app)
    first = tried(app, tag, trials=RECORDS[:2]).json()
    assert [one["measured"] for one in first["estimates"]] == [True]
    assert saw(app) != HUT["tools"][0]
    second = tried(app, first["catalog"]["tag"], trials=RECORDS[2:]).json()
    at_once = ask("POST", "/v1/trials", app=app, json={"trials": RECORDS, "tools": HUT["tools"]}).json()
    assert second["estimates"] == at_once["estimates"]
    assert [saw(app)] == at_once["tools"]
    assert saw(app)["saw_score"] != HUT["tools"][0]["saw_score"]
    assert second["catalog"]["revision"] == 3
    assert ask("GET", f"{HOME}/revisions/1", app=app).json() == HUT

    trip = {"tasks": [{"task": "saw", "diameter_mm": 90}], "catalog": "hut", "detail": "kit"}
    minutes = [
        ask("POST", "/v1/kits", app=app, json=trip | {"catalog": name}).json()["kit"]["work_min_per_day"]
        for name in ("hut@1", "hut")
    ]
    # minutes go with 1 / score and 1 / rate; what is handled stays
    rate = second["catalog"]["assumptions"]["saw_rate"]
    ratio = HUT["tools"][0]["saw_score"] / saw(app)["saw_score"] * assumptions()["saw_rate"].value / rate
    assert abs(minutes[1] / minutes[0] - ratio) < 0.2 * ratio


def test_no_record_is_kept_twice_or_without_a_condition(app: FastAPI) -> None:
    """A sender whose answer got lost and who sends again is told that it came."""
    tag = stored(app)
    problem_of(ask("POST", f"{HOME}/trials", app=app, json=HUT_TRIALS), 428)
    assert tried(app, tag).status_code == 200
    problem_of(tried(app, tag), 412)
    assert len(ask("GET", f"{HOME}/trials", app=app).json()["trials"]) == len(RECORDS)


def test_records_go_in_and_out_as_a_table(app: FastAPI) -> None:
    """The same records."""
    headers = {"If-Match": stored(app), "Content-Type": "text/csv"}
    answer = ask("POST", f"{HOME}/trials", app=app, content=HUT_TRIALS_TABLE.encode(), headers=headers)
    assert answer.status_code == 200, answer.text
    assert ask("GET", f"{HOME}/trials", app=app, headers={"Accept": "text/csv"}).text == HUT_TRIALS_TABLE
    trials = ask("GET", f"{HOME}/trials", app=app).json()["trials"]
    assert [one["minutes"] for one in trials] == [one["minutes"] for one in RECORDS]


def test_a_wrong_record_keeps_none(app: FastAPI) -> None:
    """A tool that the catalog does not have, a wood that there is not, no time, no record."""
    tag = stored(app)
    for wrong, pointer in (
        ({"tool": "nix"}, "#/trials/1/tool"),
        ({"wood": "nix"}, "#/trials/1/wood"),
        ({"minutes": 0}, "#/trials/1/minutes"),
    ):
        assert list(faults_of(tried(app, tag, trials=[RECORDS[0], RECORDS[1] | wrong]))) == [pointer]
    assert list(faults_of(tried(app, tag, trials=[]))) == ["#/trials"]
    many = [RECORDS[0] | {"person": f"p{n}"} for n in range(51)]
    assert list(faults_of(tried(app, tag, trials=many))) == ["#/trials"], "50 people"
    assert ask("GET", f"{HOME}/trials", app=app).json() == {"trials": []}
    assert ask("GET", HOME, app=app).json() == HUT


def test_a_row_measured_again_and_again_stays_a_row(app: FastAPI) -> None:
    """What its source says does not grow; the judged part of it is kept."""
    row = HUT["tools"][0] | {"split_score": 1, "split_max_mm": 50, "score_source": "mine: page 3"}
    ask("PUT", HOME, app=app, json={"tools": [row]}, headers=NEW)
    sources = set()
    for _ in range(4):
        assert tried(app, "*").status_code == 200
        sources.add(saw(app)["score_source"])
    assert sources == {"measured by trials: saw; split: mine: page 3"}


def test_trials_are_limited_and_go_with_their_catalog(database_url: str) -> None:
    """By setting; and a new catalog of the name has none."""
    app = small_app(one_user=True, database_url=database_url, most_trials=7)
    tag = stored(app)
    assert tried(app, tag).status_code == 200
    problem_of(tried(app, "*"), 409)
    assert ask("DELETE", HOME, app=app, headers={"If-Match": "*"}).status_code == 204
    problem_of(ask("GET", f"{HOME}/trials", app=app), 404)
    stored(app)
    assert ask("GET", f"{HOME}/trials", app=app).json() == {"trials": []}
    app.state.store.close()


def row_of(app: FastAPI, tool: str = "hut-saw") -> dict[str, Any]:
    """A row as it is now."""
    found: dict[str, Any] = ask("GET", f"{HOME}/tools/{tool}", app=app).json()
    return found


def test_a_row_sent_back_gives_the_same_and_no_record_counts_twice(app: FastAPI) -> None:
    """GET and PUT, with a new mass, keep the score; records after that find what was judged first, not the score."""
    before = stored(app)
    tag = tried(app, before).json()["catalog"]["tag"]
    whole = ask("GET", HOME, app=app).json()
    row = row_of(app)
    assert whole["assumptions"] == {"saw_rate": whole["assumptions"]["saw_rate"]}
    again = ask("PUT", HOME, app=app, json=whole, headers={"If-Match": tag}).json()
    assert ask("GET", HOME, app=app).json() == whole
    heavier = row | {"mass_g": 700.0}
    ask("PUT", f"{HOME}/tools/hut-saw", app=app, json=heavier, headers=now(f"{HOME}/tools/hut-saw", app=app))
    one_more = RECORDS[0] | {"minutes": 1.03}
    after = tried(app, "*", trials=[one_more]).json()
    at_once = ask("POST", "/v1/trials", app=app, json={"trials": [*RECORDS, one_more], "tools": HUT["tools"]}).json()
    assert after["estimates"] == at_once["estimates"]
    assert row_of(app) == at_once["tools"][0] | {"mass_g": 700.0}
    assert after["questions"] == at_once["questions"]
    assert again["assumptions"] == whole["assumptions"]


def test_a_score_that_somebody_changed_is_a_new_judgement(app: FastAPI) -> None:
    stored(app)
    tried(app, "*")
    row = row_of(app) | {"saw_score": 6.0, "saw_score_low": None, "saw_score_high": None}
    ask("PUT", f"{HOME}/tools/hut-saw", app=app, json=row, headers=now(f"{HOME}/tools/hut-saw", app=app))
    (found,) = tried(app, "*", trials=[RECORDS[0] | {"minutes": 1.03}]).json()["estimates"]
    assert found["parts"][0]["median"] == 6.0
    assert found["records"] == len(RECORDS) + 1


def test_figures_of_a_catalog_count_in_its_trips_unless_they_state_their_own(app: FastAPI) -> None:
    """The page of a catalog takes and gives them; a table leaves them; they are told as the catalog's."""
    new = HUT | {"assumptions": {"saw_rate": 150.0}}
    assert ask("PUT", HOME, app=app, json=new, headers=NEW).json()["assumptions"] == {"saw_rate": 150.0}
    assert ask("GET", HOME, app=app).json() == new
    trip = {"tasks": [{"task": "saw", "diameter_mm": 90}], "catalog": "hut", "detail": "kit"}
    plain = ask("POST", "/v1/kits", app=app, json=trip).json()
    own = ask("POST", "/v1/kits", app=app, json=trip | {"assumptions": {"saw_rate": 300.0}}).json()
    told = {one["id"]: (one["value"], one["yours"], one["source"]) for one in plain["assumptions"]}
    assert told["saw_rate"] == (150.0, True, "stored-catalog")
    assert plain["kit"]["minutes"]["cutting"] > 1.9 * own["kit"]["minutes"]["cutting"]
    chopping = {"tasks": [{"task": "chop", "diameter_mm": 60}], "catalog": "hut", "detail": "kit"}
    assert all(
        one["code"] != "unread-figure" for one in ask("POST", "/v1/kits", app=app, json=chopping).json()["cautions"]
    )
    headers = now(HOME, app=app) | {"Content-Type": "text/csv"}
    table = ask("GET", HOME, app=app, headers={"Accept": "text/csv"}).content
    assert ask("PUT", HOME, app=app, content=table, headers=headers).json()["assumptions"] == {"saw_rate": 150.0}
    wrong = HUT | {"assumptions": {"saw_rate": 1.0, "nix": 3.0}}
    refused = ask("PUT", HOME, app=app, json=wrong, headers=now(HOME, app=app))
    assert set(faults_of(refused)) == {"#/assumptions/saw_rate", "#/assumptions/nix"}


def test_rows_measured_before_judgements_were_kept_are_judged_as_an_earlier_revision_had_them(app: FastAPI) -> None:
    """As a catalog of an earlier release has them: the score of its row holds the records that it keeps."""
    stored(app)
    tried(app, "*")
    one_more = RECORDS[0] | {"minutes": 1.03}
    forget_judged(app)
    after = tried(app, "*", trials=[one_more]).json()
    at_once = ask("POST", "/v1/trials", app=app, json={"trials": [*RECORDS, one_more], "tools": HUT["tools"]}).json()
    assert after["estimates"] == at_once["estimates"]
    assert row_of(app) == at_once["tools"][0]


def test_rows_whose_judgement_no_revision_has_count_their_records_once(app: FastAPI) -> None:
    """They are taken as not rated: where the row came measured, or earlier revisions are gone."""
    app.state.settings.most_revisions = 1
    stored(app)
    tried(app, "*")
    forget_judged(app)
    (found,) = tried(app, "*", trials=[RECORDS[0] | {"minutes": 1.03}]).json()["estimates"]
    assert found["parts"][0]["median"] == assumptions()["unrated_score"].value


def forget_judged(app: FastAPI) -> None:
    """Leave the store as an earlier release left it."""
    with app.state.store.writing() as connection:
        connection.execute(judged_table.delete())


def test_rates_of_a_catalog_have_an_interval_that_sure_draws(app: FastAPI) -> None:
    """What records left is narrower than what is assumed; what nobody says is as wide; both ends alike are known."""
    tag = tried(app, stored(app)).json()["catalog"]["tag"]
    whole = ask("GET", HOME, app=app).json()
    (ends,) = whole["assumption_intervals"].values()
    rate = whole["assumptions"]["saw_rate"]
    row = assumptions()["saw_rate"]
    assert ends["low"] < rate < ends["high"]
    assert ends["high"] / ends["low"] < row.high / row.low
    told = ask("PUT", HOME, app=app, json=whole, headers={"If-Match": tag}).json()
    assert told["assumption_intervals"] == whole["assumption_intervals"]
    assert ask("GET", f"{HOME}/revisions", app=app).json()["items"][-1]["assumption_intervals"] == {"saw_rate": ends}

    form = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 40}], "catalog": "hut", "sure": {"draws": 64}}
    spread = {}
    for name, given in (
        ("usual", {}),
        ("known", {"saw_rate": {"low": rate, "high": rate}}),
        ("tried", {"saw_rate": ends}),
    ):
        new = whole | {"assumption_intervals": given, "tools": HUT["tools"]}
        answer = ask("PUT", HOME, app=app, json=new, headers={"If-Match": told["tag"]})
        told = answer.json()
        kit = ask("POST", "/v1/kits", app=app, json=form).json()["sure"]["at_medians"]
        spread[name] = kit["p90_min_per_day"] / kit["p10_min_per_day"]
    assert spread["known"] < spread["tried"] < spread["usual"]


def test_intervals_that_hold_no_figure_are_refused(app: FastAPI) -> None:
    """Around the figure, within its hard limits, of a figure that is given and may be drawn."""
    figures = {"saw_rate": 150.0, "rest_free_min": 30.0}
    wrong = {
        "saw_rate": {"low": 160.0, "high": 170.0},
        "chop_rate": {"low": 700.0, "high": 900.0},
        "rest_free_min": {"low": 20.0, "high": 40.0},
    }
    refused = ask("PUT", HOME, app=app, json=HUT | {"assumptions": figures, "assumption_intervals": wrong}, headers=NEW)
    assert set(faults_of(refused)) == {f"#/assumption_intervals/{name}" for name in wrong}


def test_a_caller_who_leaves_ends_the_estimate_and_nothing_is_stored(app: FastAPI) -> None:
    """The flag that a hang-up sets is looked at before each step."""
    tag = stored(app)

    class Gone(Effort):
        def go_on(self) -> None:
            raise Cancelled

    app.state.solves.effort = Gone()
    assert tried(app, tag).status_code == 500  # nobody is there to read it
    assert ask("GET", f"{HOME}/trials", app=app).json() == {"trials": []}
    assert ask("GET", f"{HOME}/revisions", app=app).json()["items"][-1]["revision"] == 1
