"""The table of limits on a kit: one row each, read wherever limits are held, raised, left out, asked for or told.

To add one: a row here, and a field of the same name in `solver.forms.trip.Limits`.
"""

from dataclasses import dataclass

from solver.forms.quantity import (
    COUNT,
    LACKING,
    MASS,
    MINUTES,
    MS_PER_MINUTE,
    PRICE,
    UNITS_PER_GRAM,
    UNITS_PER_PRICE,
    Each,
    Quantity,
    as_told,
    up_to_tenth,
)

_MEASURES = ("g", "min")  # units that stand behind a figure


@dataclass(frozen=True)
class Prompted:
    """How a screen asks for a limit.

    Attributes:
        label: what stands beside its cell in a workbook.
        hint: the unit there, or how it is written.
        prompt: what stands above its input on the page, with {unit} for the unit; None where the page has no input.
        measure: what it measures, where the page shows it in other units too: mass or length.
    """

    label: str
    hint: str
    prompt: str | None = None
    measure: str | None = None


@dataclass(frozen=True)
class Limit:
    """A limit on what a kit comes to.

    Attributes:
        field: its name in the trip's limits.
        quantity: what it holds.
        per_unit: whole units of the quantity in one of the field's.
        unit: the field's unit, as gaps tell it.
        noun: what it limits, in a sentence.
        does: what a kit does that goes over it, with the figure.
        asked: how screens ask for it.
        most_a_person: the most that it may be for each of the party, which is as good as no limit; None = no end.
        figure: the figure of a tool that it sums, where that may be unknown.
    """

    field: str
    quantity: Quantity
    per_unit: int
    unit: str
    noun: str
    does: str
    asked: Prompted
    most_a_person: float | None = None
    figure: str | None = None

    def told(self, value: float) -> str:
        """Return a value in a sentence: with its unit where it is a measure; a count or a price is a bare number."""
        return f"{as_told(value)} {self.unit}" if self.unit in _MEASURES else as_told(value)

    def readable(self, value: float) -> float:
        """Return a value that a kit comes to as sentences have it: minutes rounded up, so that they can be asked."""
        return up_to_tenth(value) if self.unit == "min" else value

    def held_at(self, value: float) -> str:
        """Return this limit at a value, in a sentence."""
        return f"the limit of {self.told(value)} on {self.noun}"

    def off(self, people: int) -> float | None:
        """Return the value that is as good as no limit."""
        return None if self.most_a_person is None else self.most_a_person * people


WORK = Limit(
    "work_min_per_day",
    MINUTES,
    MS_PER_MINUTE,
    unit="min",
    noun="the day's wood work",
    does="takes {:.1f} minutes a day",
    asked=Prompted("Wood work, whole party", "minutes a day", "Wood work a day, minutes, whole party"),
    most_a_person=24.0 * 60,
)
GRAMS = Limit(
    "mass_g",
    MASS,
    UNITS_PER_GRAM,
    unit="g",
    noun="packed mass",
    does="weighs {:g} g",
    asked=Prompted("Packed mass", "g", "Heaviest kit, {unit}", "mass"),
)
MONEY = Limit(
    "price",
    PRICE,
    UNITS_PER_PRICE,
    unit="price",
    noun="the price",
    does="costs {:g}",
    asked=Prompted("Price", "your money"),  # no built-in tool has a price, so the page does not ask
    figure="price",
)
_TOOLS = Limit(
    "tools_at_most",
    COUNT,
    per_unit=1,
    unit="tools",
    noun="the number of carried tools",
    does="has {:g} tools",
    asked=Prompted("Carried tools", "sharpeners and spares count", "Carried tools at most"),
)

# Alone they give way in this order; where several must, those of HELD are held, the first of them first.
LIMITS: tuple[Limit, ...] = (WORK, GRAMS, MONEY, _TOOLS)

# What the members of the party carry: no figure of its own but the rule that a kit can be dealt out. It gives way last,
# by what each must be able to carry more; so it is 0 as it stands.
MEMBERS = Limit(
    "members",
    LACKING,
    UNITS_PER_GRAM,
    unit="g",
    noun="what each member carries",
    does="can't be dealt out: each member would have to carry {:g} g more",
    asked=Prompted("Members", "for example Ann:4000|Ben:2500"),
)

# What tools add up to, with what each adds.
SUMS: tuple[tuple[Limit, Each], ...] = tuple(
    (limit, limit.quantity.each) for limit in LIMITS if limit.quantity.each is not None
)
HELD: tuple[Limit, ...] = (*(limit for limit, _ in SUMS), *(limit for limit in LIMITS if limit.quantity.each is None))
HELD_TO_MEMBERS: tuple[Limit, ...] = (*HELD, MEMBERS)
GIVING_WAY: tuple[Limit, ...] = (*LIMITS, MEMBERS)


def limit_of(field: str) -> Limit:
    """Return a limit by its field.

    Raises:
        ValueError: no limit has this field.
    """
    for limit in GIVING_WAY:
        if limit.field == field:
            return limit
    raise ValueError(f"there is no limit {field!r}; there are {', '.join(limit.field for limit in LIMITS)}")
