"""How the page reads figures that people type, by its own module in real Chromium; common practice, no source."""

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
    ("40,75", "length", "metric"): "40,75 may be one size or two; write 40.75 or 40 75",
    ("40 thick", "length", "metric"): "thick is not a unit that fits here; write the number alone",
}


def test_figures_are_read_as_people_write_them(browser: Browser) -> None:
    """With a comma or a point, a sign, a unit; what may mean two things is refused, with what to write instead."""
    cases = [("figureIn", *one) for one in ONE] + [("figuresIn", *one) for one in SEVERAL]
    page = browser.new_page()
    told = page.evaluate(READ, [packaged("page/trip/measure.js").body.decode(), cases])
    assert dict(zip(cases, told, strict=True)) == dict(zip(cases, [*ONE.values(), *SEVERAL.values()], strict=True))
    page.close()
