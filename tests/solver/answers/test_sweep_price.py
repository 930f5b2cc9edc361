"""A sweep against what a design costs: its front and its limit, against each design in turn."""

from itertools import product
from typing import Any

from service import faults_of, kit_of, post

from api.examples.invented import design_examples, example_trips

Row = dict[str, Any]
KNIFE = {name: value for name, value in design_examples()["long-knife"].items() if name != "bill"}
TRIP = example_trips()["stream-survey"]
CUTOUTS, FINISHES = (0, 20, 40), ("ground", "satin")  # a lighter tang takes drilling
VARY = [
    {"field": "drawing.tang.cutout_pct", "values": list(CUTOUTS)},
    {"field": "making.finish", "values": list(FINISHES)},
]


def swept(**changes: Any) -> Row:
    body = {"design": KNIFE | {"making": {"pieces": 10}}, "vary": VARY, "trip": TRIP, "against": "price"} | changes
    answer = post(body, address="/v1/designs/sweep")
    assert answer.status_code == 200, answer.text
    found: Row = answer.json()
    return found


def in_turn() -> list[tuple[float, float]]:
    """Grams of the lightest kit with each design, and what it costs."""
    rows = []
    for cutout, finish in product(CUTOUTS, FINISHES):
        drawing = KNIFE["drawing"] | {"tang": KNIFE["drawing"]["tang"] | {"cutout_pct": cutout}}
        design = KNIFE | {"drawing": drawing, "making": {"pieces": 10, "finish": finish}}
        score = post(design, address="/v1/designs/score").json()
        tool = score["tool"]
        kit = kit_of(TRIP | {"extra_tools": [tool], "must_carry": [tool["id"]], "detail": "kit"})["kit"]
        rows.append((kit["mass_g"], float(score["cost"]["per_piece"])))
    return rows


def test_the_front_against_price_is_that_of_each_design_in_turn() -> None:
    rows = in_turn()
    front = {
        one for one in rows if not any(other != one and other[0] <= one[0] and other[1] <= one[1] for other in rows)
    }
    answer = swept()
    assert {(one["mass_g"], one["price"]) for one in answer["front"]} == front
    assert len(front) > 1


def test_a_limit_on_what_it_costs_leaves_dearer_designs_out_and_tells_what_that_costs_in_grams() -> None:
    rows = in_turn()
    least = min(rows)
    limit = min(price for _, price in rows) + 1
    answer = swept(limits={"price": limit})
    within = min(one for one in rows if one[1] <= limit)
    assert answer["best"]["mass_g"] == within[0]
    assert answer["best"]["price"] <= limit
    stops = {one["field"]: one["saves_g"] for one in answer["stops"]}
    assert abs(stops["limits.price"] - (within[0] - least[0])) < 1e-9


def test_a_design_without_a_price_is_refused() -> None:
    answer = post({"design": KNIFE, "vary": VARY[:1], "trip": TRIP, "against": "price"}, address="/v1/designs/sweep")
    assert answer.status_code == 422
    assert set(faults_of(answer)) == {"#/design/making"}
