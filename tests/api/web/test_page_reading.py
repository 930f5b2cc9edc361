"""How the page reads figures that people type, by its own module in real Chromium; common practice, no source."""

import re
from typing import Any

from playwright.sync_api import Browser

from api.web.web_file import packaged

READ = """async ([source, cases]) => {
    const module = await import(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
    return cases.map(([name, text, measure, units]) => {
        try {
            return module[name](text, measure, units);
        } catch (error) {
            return error.message;
        }
    });
}"""
TELL = """async ([source, cases]) => {
    const { Naming } = await import(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
    return cases.map(([units, value, unit]) => {
        const naming = new Naming();
        naming.figures = { us: units === "us" };
        return naming.figure(value, unit);
    });
}"""
ONE: dict[tuple[str, str | None, str], Any] = {
    ("1.5", None, "metric"): 1.5,
    ("1,5", None, "metric"): 1.5,
    (" 12 ", "hours", "metric"): 12,
    ("-5 \u00b0C", "temperature", "metric"): -5,
    ("\u22125", "temperature", "metric"): -5,
    ("41 F", "temperature", "metric"): 5,
    ("41", "temperature", "us"): 5,
    ("10 cm", "length", "metric"): 100,
    ("4 in", "length", "metric"): 101.6,
    ("100 mm", "length", "us"): 100,
    ("1\u00bd", "length", "us"): 38.1,
    ("\u00bd", "length", "us"): 12.7,
    ('1 1/2"', "length", "metric"): 38.1,
    ("2-3/4 in", "length", "metric"): 69.85,
    ("3/4", "length", "us"): 19.05,
    ("5/4", "length", "us"): "5/4 is no number; write it as 12 or 1.5",
    ("1/2", "length", "metric"): "1/2 is no number; write it as 12 or 1.5",
    ("1/2", "mass", "us"): "1/2 is no number; write it as 12 or 1.5",
    ("1.2 kg", "mass", "metric"): 1200,
    ("90 min", "hours", "metric"): 1.5,
    ("1 h", "minutes", "metric"): 60,
    ("1 500", "mass", "metric"): 1500,
    ("0,125", "volume", "metric"): 0.125,
    ("1,500", "mass", "metric"): "1,500 may be 1.500 or 1500; write one of these",
    ("a few", None, "metric"): "a few is no number; write it as 12 or 1.5",
    ("5-10", None, "metric"): "5-10 is no number; write it as 12 or 1.5",
    ("1.500,5", None, "metric"): "1.500,5 is no number; write it as 12 or 1.5",
    ("5 kg", "length", "metric"): "kg is not a unit that fits here; write the number alone",
}
SEVERAL: dict[tuple[str, str | None, str], Any] = {
    ("40, 75, 120", "length", "metric"): [40, 75, 120],
    ("40 75;120 mm", "length", "metric"): [40, 75, 120],
    ("4, 7.5 cm", "length", "metric"): [40, 75],
    ("2 4", "length", "us"): [50.8, 101.6],
    ('1\u00bd 3 4 1/2"', "length", "metric"): [38.1, 76.2, 114.3],
    ("1 1/2, 3", "length", "us"): [38.1, 76.2],
    ("40,75", "length", "metric"): "40,75 may be one size or two; write 40.75 or 40 75",
    ("40 thick", "length", "metric"): "thick is not a unit that fits here; write the number alone",
}


def test_figures_are_read_as_people_write_them(browser: Browser) -> None:
    """With a comma or a point, a sign, a unit; what may mean two things is refused, with what to write instead."""
    cases = [("figureIn", *one) for one in ONE] + [("figuresIn", *one) for one in SEVERAL]
    page = browser.new_page()
    inches, measure = (packaged(f"page/{name}.js").body.decode() for name in ("parts/inches", "trip/measure"))
    source = re.sub(r"^(import|export) .*$", "", inches, flags=re.MULTILINE)
    told = page.evaluate(READ, [source + re.sub(r"^import .*$", "", measure, flags=re.MULTILINE), cases])
    assert dict(zip(cases, told, strict=True)) == dict(zip(cases, [*ONE.values(), *SEVERAL.values()], strict=True))
    page.close()


TOLD: dict[tuple[str, float, str], str] = {  # NIST SP 811, appendix B.9: a pound is 0.45359237 kg, an inch 25.4 mm
    ("us", 300, "cm2 of cut face a minute"): "46.5 sq in of cut face a minute",
    ("us", 10, "kg/h"): "22 lb/h",
    ("us", 2, "minutes a kg"): "0.907 minutes a lb",
    ("us", 1.8, "kW per degree"): "1 kW per \u00b0F",
    ("us", 0.5, "-"): "0.5",
    ("metric", 300, "cm2 of cut face a minute"): "300 cm2 of cut face a minute",
}


def test_assumed_figures_stand_in_the_units_of_the_reader(browser: Browser) -> None:
    """Also where a unit holds others."""
    page = browser.new_page()
    source = "".join(
        packaged(f"page/{name}.js").body.decode()
        for name in ("parts/digits", "parts/figures", "parts/told_units", "answer/naming")
    )
    source = re.sub(r"^(import|export) .*$", "", source, flags=re.MULTILINE) + "export { Naming };"
    told = page.evaluate(TELL, [source, [list(one) for one in TOLD]])
    assert dict(zip(TOLD, told, strict=True)) == TOLD
    page.close()


SAID = {  # an international inch is 25.4 mm, an ounce 28.349523125 g
    ("34-40 mm wide", False): "1.34-1.57 in wide",
    ("a spine of 4 mm", False): "a spine of 0.157 in",
    ("40 to 75 mm", False): "1.57 in to 2.95 in",
    ("5 and 10 kg", False): "11 lb and 22 lb",
    ("Folding saw, 240 mm blade", True): "Folding saw, 9.4 in blade",
    ("Hatchet, 600 g head", True): "Hatchet, 1 lb 5.2 oz head",
    ("7.8 g/cm3", False): "7.8 g/cm3",
}


def test_planner_and_bench_tell_sentences_by_one_piece(browser: Browser) -> None:
    """Ranges, thin parts of a tool, names with their nominal sizes; a unit within another stays."""
    page = browser.new_page()
    source = "".join(packaged(f"page/parts/{name}.js").body.decode() for name in ("digits", "figures", "told_units"))
    source = re.sub(r"^(import|export) .*$", "", source, flags=re.MULTILINE) + "export { Figures, inUnits };"
    ask = """async ([source, cases]) => {
        const { Figures, inUnits } = await import(URL.createObjectURL(new Blob([source], { type: "text/javascript" })));
        return cases.map(([text, nominal]) => inUnits(text, new Figures("us"), { nominal }));
    }"""
    told = page.evaluate(ask, [source, [list(one) for one in SAID]])
    assert dict(zip(SAID, told, strict=True)) == SAID
    page.close()
