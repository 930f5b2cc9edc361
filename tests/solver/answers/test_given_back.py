"""What an answer tells can be asked: told figures given back as limits, or of tools, leave the kit as it is."""

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from random import Random

from oracle import Row
from random_trips import random_trip
from random_wood_trips import random_wood_trip

from solver import Trip, check, front, plan
from solver.forms.answer import Answer

TRIPS = 100
FULL = 8
STEP_MIN = 1e-5  # the last digit of a day's minutes
LEAST = {"work_min_per_day": 1, "mass_g": 1}  # that a limit can be
STEPS = {"work_min_per_day": STEP_MIN, "mass_g": 0.01, "price": 0.01, "tools_at_most": 1}
SAID_MIN = re.compile(r"(?:works is|with) ([0-9.]+) min\b")
TENTH = 0.1
LIMITED = {"min": "work_min_per_day", "g": "mass_g", "price": "price", "tools": "tools_at_most"}


def seeded(number: int) -> Row:
    """A trip of its own number, three in four of them with a fire."""
    rng = Random(f"given back {number}")
    return random_wood_trip(rng, fewest=3, most=7) if number % 4 else random_trip(rng, fewest=3, most=7)


@cache
def planned(number: int) -> Answer:
    """Its kit."""
    return answer_to(seeded(number))


def answer_to(form: Row, **more: object) -> Answer:
    """A trip's kit."""
    return plan(Trip.model_validate({"detail": "kit"} | form | more))


def limited(form: Row, **limits: float) -> Row:
    """A trip with more limits."""
    return form | {"limits": form.get("limits", {}) | limits}


def ids(answer: Answer) -> list[tuple[str, int]]:
    """The kit, with its copies."""
    return [(tool.id, tool.count) for tool in answer.kit.tools]


def covered() -> Iterator[tuple[Row, Answer]]:
    """The trips that have a kit."""
    for number in range(TRIPS):
        if planned(number).status == "optimal":
            yield seeded(number), planned(number)


def test_minutes_add_up_as_decimals() -> None:
    """Those of the needs, gathering and rest; and those of the parts of the day."""
    for number in range(TRIPS):
        answer = planned(number)
        day = Decimal(str(answer.kit.work_min_per_day))
        assert day == round(day, 5)
        assert sum(Decimal(str(one.minutes_per_day or 0)) for one in answer.needs) == day
        parts = answer.kit.minutes
        assert sum(Decimal(str(one)) for one in (parts.cutting, parts.handling, parts.gathering, parts.rest)) == day


def test_told_minutes_grams_money_and_number_of_tools_given_back_are_the_same_kit() -> None:
    """A step less of the minutes is another kit, or none."""
    asked, shorter = 0, 0
    for form, answer in covered():
        kit = answer.kit
        number = sum(tool.count for tool in kit.tools)
        told = {"mass_g": kit.mass_g, "tools_at_most": number, "work_min_per_day": kit.work_min_per_day}
        told |= {} if kit.price is None else {"price": kit.price}
        priced = all(tool.get("price") is not None for tool in form["tools"])
        for field, value in told.items():
            if value >= LEAST.get(field, 0) and value and (field != "price" or priced):
                again = answer_to(limited(form, **{field: value}))
                assert (again.status, ids(again)) == ("optimal", ids(answer)), (field, value, form)
                assert again.kit.work_min_per_day == kit.work_min_per_day
                asked += 1
        if kit.work_min_per_day > 1 + STEP_MIN:
            less = answer_to(limited(form, work_min_per_day=round(kit.work_min_per_day - STEP_MIN, 5)))
            assert less.status != "optimal" or less.kit.work_min_per_day < kit.work_min_per_day
            shorter += less.status == "optimal"
    assert asked > TRIPS
    assert shorter


def test_the_least_that_works_works_and_no_step_less() -> None:
    """Of limits that leave no kit; the minutes in a sentence work too, and are no tenth more."""
    raised, tenths = 0, 0
    for number in range(TRIPS):
        form, answer = seeded(number), planned(number)
        if answer.status != "optimal" or answer.kit.work_min_per_day < 2:
            continue
        narrow = limited(form, work_min_per_day=1, mass_g=max(1, answer.kit.mass_g / 2))
        gaps = [gap for gap in answer_to(narrow).gaps if gap.unit in LIMITED and gap.kind == "limit"]
        found = {LIMITED[gap.unit]: round(narrow["limits"][LIMITED[gap.unit]] + gap.short_by, 5) for gap in gaps}
        if found and len(gaps) == len(answer_to(narrow).gaps):
            assert answer_to(limited(narrow, **found)).status == "optimal", (found, form)
            for said_min in {float(said[1]) for gap in gaps for said in SAID_MIN.finditer(gap.text)}:
                assert 0 <= said_min - found["work_min_per_day"] < TENTH
                assert answer_to(limited(narrow, **found | {"work_min_per_day": said_min})).status == "optimal", form
                tenths += said_min != found["work_min_per_day"]
            raised += 1
            for field, value in found.items():
                less = found | {field: round(value - STEPS[field], 5)}
                assert answer_to(limited(narrow, **less)).status == "uncovered", (less, form)
    assert raised > TRIPS / 4
    assert tenths > TRIPS / 8


def full() -> Iterator[tuple[Row, Answer]]:
    """Trips with all details."""
    for number, (form, _) in zip(range(FULL), covered(), strict=False):
        yield form, plan(Trip.model_validate(form | {"aim": "mass", "alternatives": 2 + number % 2}))


def test_next_kits_upgrades_and_points_of_the_front_keep_what_is_told_of_them() -> None:
    """As limits on grams and minutes."""
    seen = 0
    for form, answer in full():
        told = [
            ([t.id for t in one.tools for _ in range(t.count)], one.mass_g, one.work_min_per_day)
            for one in answer.alternatives
        ]
        for one in answer.upgrades:
            less = round(answer.kit.work_min_per_day - one.saves_min_per_day, 5)
            told.append((one.ids, round(answer.kit.mass_g + one.more_g, 2), less))
        told += [(one.ids, one.mass_g, one.work_min_per_day) for one in front(form | {"aim": "mass"}).points]
        for kit, mass_g, minutes in told:
            within = {"mass_g": max(mass_g, 1), "work_min_per_day": max(minutes, 1)}
            found = check(limited(form, **within), kit)
            assert not [gap for gap in found.gaps if gap.field in within], (kit, within, form)
            seen += 1
    assert seen > 2 * FULL


def test_pinned_sizes_and_scores_of_tools_leave_the_mass_as_it_is() -> None:
    """Each by itself; of tools that make up the kit."""
    pinned = 0
    for form, answer in full():
        if answer.status != "optimal" or answer.pins is None:
            continue
        for pin in answer.pins.tools:
            for one in pin.abilities:
                for figure, value in (("max_mm", one.max_may_fall_to_mm), ("score", one.score_may_fall_to)):
                    row = next(tool for tool in form["tools"] if tool["id"] == pin.id)
                    turned = (
                        {"turned_max_mm": min(row["turned_max_mm"], value)}
                        if row.get("turned_max_mm") and figure == "max_mm"
                        else {}
                    )
                    fallen = row | {f"{one.task}_{figure}": value} | turned
                    tools = [fallen if tool is row else tool for tool in form["tools"]]
                    again = answer_to(form | {"tools": tools, "aim": "mass"})
                    assert (again.status, again.kit.mass_g) == ("optimal", answer.kit.mass_g), (pin, one, form)
                    pinned += 1
    assert pinned > FULL
