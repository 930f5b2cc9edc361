"""Drives the spreadsheet program from the system's own Python, which has its UNO bridge: steps in, what was read out.

Called as `python3 calc_steps.py SOFFICE FOLDER LOCALE [ADD-IN]` with lines of JSON on standard input, each a file and
steps; a line of what was read follows. Each step is one of ["set", sheet, cell, value], ["get", sheet, cell],
["clear", sheet, cells], ["fill", sheet, column, row, [formulas]], ["array", sheet, range, formula],
["read", sheet, range], ["charts", sheet],
["copy", sheet, name], ["tabs", sheet, number] (so many copies, named 1 and so on), ["timed", cell, values]
(seconds in which the tabs are reckoned anew once the cell of each has a new value), ["into", sheet] (a new document
that takes a copy of the sheet, for the steps that follow),
["saved", name], ["reopened", name, whether it may fetch], ["pdf", path], ["csv", path, options], ["store", path,
filter] or, of the first sheet, ["first", range] or ["formula", cell]. `filter` of a CSV is the options of its loading.
FOLDER is trusted and holds the profile, so that runs do not meet, and what is saved.
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import uno
from com.sun.star.beans import PropertyValue
from waiting import LONG_S

CSV = "Text - txt - csv (StarCalc)"
ERROR = "error"  # what a cell with an error reads
VALUES, TEXTS = 1, 4  # com.sun.star.sheet.CellFlags: VALUE, STRING
SETTINGS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Common/Security/Scripting"><prop oor:name="SecureURL" oor:op="fuse">
<value><it>{folder}</it></value></prop></item>
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>{locale}</value></prop></item>
</oor:items>
"""


def properties(**values):
    """The values as UNO wants them."""
    return tuple(PropertyValue(Name=name, Value=value) for name, value in values.items())


def office(soffice, folder, locale, add_ins):
    """A running office with a profile and add-ins of its own, its desktop, and what gives commands of its menus."""
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    registry = profile / "user" / "registrymodifications.xcu"
    registry.write_text(SETTINGS.format(folder=folder.as_uri(), locale=locale), encoding="utf-8")
    own = [f"-env:UserInstallation={profile.as_uri()}"]
    if add_ins:  # "shared" in a folder of its own, since it may not be the user's where that is root
        own.append(f"-env:UNO_SHARED_PACKAGES={(folder / 'shared').as_uri()}")
        installed = [str(Path(soffice).resolve().with_name("unopkg")), "add", "-f", "--shared", *add_ins, *own]
        subprocess.run(installed, check=True, stdout=subprocess.DEVNULL)
    pipe = f"kitwright{os.getpid()}"
    process = subprocess.Popen(
        [soffice, *own, "--headless", "--norestore", "--nologo", f"--accept=pipe,name={pipe};urp;"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    end = time.monotonic() + LONG_S
    while True:
        try:
            context = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
            break
        except Exception:
            if time.monotonic() > end or process.poll() is not None:
                raise
            time.sleep(0.1)
    made = context.ServiceManager.createInstanceWithContext
    return process, *(made(f"com.sun.star.frame.{name}", context) for name in ("Desktop", "DispatchHelper"))


def in_folder(name):
    """The address of a file in the folder that is trusted."""
    return (Path(sys.argv[2]).resolve() / name).as_uri()


def copied(name, copy, document, dispatcher):
    """Copy a sheet as a person does, by the menu: it has the charts draw the copy, which `copyByName` does not."""
    controller = document.CurrentController
    controller.ActiveSheet = document.Sheets.getByName(name)
    own, behind_all = document.Title.rpartition(".")[0], 32767
    about = properties(DocName=own, Index=behind_all, Copy=True)
    dispatcher.executeDispatch(controller.Frame, ".uno:Move", "", 0, about)
    document.Sheets.getByIndex(document.Sheets.Count - 1).Name = copy


def done(step, document):
    """The outcome of one step."""
    kind, *about = step
    if kind == "saved":
        kind_of_file = {"ods": "calc8", "xlsx": "Calc MS Excel 2007 XML"}[about[0].rpartition(".")[2]]
        document.storeToURL(in_folder(about[0]), properties(FilterName=kind_of_file))
        return None
    sheets = document.Sheets
    if kind == "pdf":
        document.storeToURL(Path(about[0]).as_uri(), properties(FilterName="calc_pdf_Export"))
        return None
    if kind in ("csv", "store"):
        path, how = about
        options = {"FilterName": CSV, "FilterOptions": how} if kind == "csv" else {"FilterName": how}
        document.storeToURL(Path(path).as_uri(), properties(**options))
        return Path(path).read_bytes().decode("utf-8") if kind == "csv" else None
    if kind == "first":
        return done(["read", sheets.getByIndex(0).Name, about[0]], document)
    if kind == "formula":
        return sheets.getByIndex(0).getCellRangeByName(about[0]).Formula
    if kind == "timed":
        at, values = about
        start = time.perf_counter()
        for place, value in enumerate(values, start=1):
            sheets.getByName(str(place)).getCellRangeByName(at).Value = value
        document.calculate()
        return time.perf_counter() - start
    sheet = sheets.getByName(about[0])
    if kind == "tabs":
        for place in range(1, about[1] + 1):
            sheets.copyByName(about[0], str(place), sheets.Count)
        return None
    if kind == "set":
        cell = sheet.getCellRangeByName(about[1])
        if isinstance(about[2], str):
            cell.String = about[2]
        else:
            cell.Value = about[2]
        return None
    if kind == "get":
        return done(["read", *about], document)[0][0]
    if kind == "clear":
        for address in about[1]:
            sheet.getCellRangeByName(address).clearContents(VALUES | TEXTS)
        return None
    if kind == "fill":
        for place, formula in enumerate(about[3]):
            sheet.getCellByPosition(about[1], about[2] + place).Formula = formula
        return None
    if kind == "array":
        sheet.getCellRangeByName(about[1]).setArrayFormula(about[2])
        return None
    if kind == "read":
        return [[ERROR if one is None else one for one in row] for row in sheet.getCellRangeByName(about[1]).DataArray]
    if kind == "charts":
        return [charted(sheet.Charts.getByIndex(place)) for place in range(sheet.Charts.Count)]
    raise ValueError(kind)


def charted(chart):
    """The type of a chart, and the numbers that it draws, series by series."""
    diagram = chart.EmbeddedObject.getFirstDiagram()
    kind = diagram.CoordinateSystems[0].ChartTypes[0]
    return {
        "type": kind.ChartType,
        "from": sorted(
            {part.Values.SourceRangeRepresentation for one in kind.DataSeries for part in one.DataSequences}
        ),
        "series": [
            {part.Values.Role: list(part.Values.getNumericalData()) for part in one.DataSequences}
            for one in kind.DataSeries
        ],
    }


def main():
    """Open each file, do its steps, print what was read."""
    process, desktop, dispatcher = office(sys.argv[1], Path(sys.argv[2]).resolve(), sys.argv[3], sys.argv[4:])
    try:
        for line in sys.stdin:
            asked = json.loads(line)
            url = Path(asked["file"]).resolve().as_uri() if asked["file"] else "private:factory/scalc"
            how = {"FilterName": CSV, "FilterOptions": asked["filter"]} if asked.get("filter") else {}
            how["Hidden"] = all(step[0] != "copy" for step in asked["steps"])  # menus find no hidden file
            document = desktop.loadComponentFromURL(url, "_blank", 0, properties(UpdateDocMode=3, **how))
            outcome = []
            for step in asked["steps"]:
                if step[0] == "into":
                    into = desktop.loadComponentFromURL("private:factory/scalc", "_blank", 0, properties(Hidden=True))
                    into.Sheets.importSheet(document, step[1], 0)  # the source stays open: Calc may fall at its closing
                    document, step = into, ["read", step[1], "A1:A1"]
                elif step[0] == "reopened":
                    document.close(True)
                    about = properties(Hidden=True, UpdateDocMode=3 if step[2] else 0)
                    document = desktop.loadComponentFromURL(in_folder(step[1]), "_blank", 0, about)
                    step = ["read", document.Sheets.getByIndex(0).Name, "A1:A1"]
                elif step[0] == "copy":
                    copied(*step[1:], document, dispatcher)
                    outcome.append(None)
                    continue
                outcome.append(done(step, document))
            document.close(True)
            print(json.dumps(outcome), flush=True)
    finally:
        try:
            desktop.terminate()
        except Exception:
            process.terminate()
        process.wait(LONG_S)


main()
