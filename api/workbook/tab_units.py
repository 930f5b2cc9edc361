"""The units of a tab: grams, millimetres, degrees Celsius; or ounces, inches, degrees Fahrenheit."""

UNITS_AT = "$B$3"
_IN_US = (("_g", "_oz"), ("_mm", "_in"), ("mass_oz,mass_oz", "mass_oz,mass_g"))  # fields of the answer
_WORDS = {
    "{g}": ("g", "oz"),
    "{mm}": ("mm", "in"),
    "{c}": ("\u00b0C", "\u00b0F"),
    "{m}": ("m", "ft"),
    "{km}": ("km", "mi"),
    "{kg}": ("kg", "lb"),
    "{l}": ("l", "qt"),
    "{other}": ("oz", "g"),
    "{members}": ("grams: Ann 4000; Ben 2500", "ounces: Ann 140; Ben 90"),
    "{sizes}": ("40|60|90", "1.5|2.5|3.5"),
}


def us_fields(listed: str) -> str:
    """Return a list of fields with the US figures in the place of the metric ones, each where its own was."""
    for metric, us in _IN_US:
        listed = listed.replace(metric, us)
    return listed


def us_fields_formula(at: str) -> str:
    """Return the formula of the same for the list in a cell, where the tab has US units."""
    swapped = at
    for metric, us in _IN_US:
        swapped = f'SUBSTITUTE({swapped},"{metric}","{us}")'
    return f'IF({UNITS_AT}="us",{swapped},{at})'


def in_tab_units(text: str) -> str:
    """Return a text, or the formula of it, where words of units stand in braces."""
    metric = us = text
    for mark, (word, us_word) in _WORDS.items():
        metric, us = metric.replace(mark, word), us.replace(mark, us_word)
    return text if metric == us else f'=IF({UNITS_AT}="us","{us}","{metric}")'
