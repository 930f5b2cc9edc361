"""The script for sheets in the cloud, run by node against the service; only what fetches and parses is a stand-in."""

import json
import subprocess
from typing import Any

import httpx
import pytest
from program import needed
from server import Server
from waiting import LONG_S, RUN_S

from api.cells.online_script import script_for

# UrlFetchApp.fetch waits for its answer (from memory: no promise), so another node fetches; parseCsv as RFC 4180.
STAND_IN = r"""
const {spawnSync} = require("node:child_process");
const fetcher = `(async () => {
  const {url, options} = JSON.parse(require("fs").readFileSync(0, "utf8"));
  const answer = await fetch(url, {method: (options.method || "get").toUpperCase(), body: options.payload,
    headers: options.contentType ? {"Content-Type": options.contentType} : {}, redirect: "manual"});
  process.stdout.write(JSON.stringify({code: answer.status, text: await answer.text()}));
})()`;
const UrlFetchApp = {fetch: (url, options) => {
  const done = spawnSync(process.execPath, ["-e", fetcher], {input: JSON.stringify({url, options})});
  if (done.status) throw new Error("Address unavailable: " + url);
  const {code, text} = JSON.parse(done.stdout);
  return {getResponseCode: () => code, getContentText: () => text};
}};
const Utilities = {parseCsv: text => {
  const rows = [[""]];
  let quoted = false;
  for (const sign of text.replace(/\r\n$/, "").replace(/\r\n/g, "\n")) {
    const row = rows[rows.length - 1];
    if (sign === '"') { quoted = !quoted; }
    else if (sign === "," && !quoted) row.push("");
    else if (sign === "\n" && !quoted) rows.push([""]);
    else row[row.length - 1] += sign;
  }
  return rows;
}};
"""


def run(server_url: str, calls: list[str]) -> list[Any]:
    """What some calls give."""
    script = httpx.get(f"{server_url}/v1/sheet/functions.js", timeout=LONG_S).text
    return run_script(script, calls)


def run_script(script: str, calls: list[str]) -> list[Any]:
    """What some calls of a script give."""
    text = f"{STAND_IN}{script}\nconsole.log(JSON.stringify([{','.join(calls)}]));"
    done = subprocess.run(
        [needed("node"), "-e", text], capture_output=True, encoding="utf-8", check=True, timeout=RUN_S
    )
    found: list[Any] = json.loads(done.stdout)
    return found


def test_the_functions_tell_what_the_service_answers(server: Server) -> None:
    """Numbers as numbers; one trip, many trips; failures in words, without the key."""
    form = {
        "tasks": [{"task": "split", "diameter_mm": 120}, {"task": "saw", "diameter_mm": 57.5}],
        "nights": 2,
        "fire": {"allowed": False},
        "detail": "kit",
    }
    kit = server.ask("/v1/kits", form)["kit"]
    trip = '[["split_mm"],["saw_mm"],["nights"],["fire_allowed"],[""]],[[120],[57.5],[2],[false],[""]]'
    calls = [
        f'KITWRIGHT("kit.mass_g",{trip})',
        f'KITWRIGHT([["status","kit.tools.1.name"]],{trip})',
        f'KITWRIGHT("status|kit.mass_oz",{trip},"us")',
        'KITWRIGHT_TRIPS("status|kit.mass_g",[["split_mm","saw_mm","nights","name"]],'
        '[[120,57.5,2,"Invented, \\"one\\""],["","","",""],["thick",1,1,""],[2900,90,"",""]])',
        'KITWRIGHT("kit.mass_g",[["saw_mm","people"]],[[90,0]])',
        'KITWRIGHT("kit.mass_g",[["saw_mm"]],[[90,0]])',
        'KITWRIGHT("kit.mass_g",[["saw_mm"]],[[new Date()]])',
        'KITWRIGHT("kit.mass_g",[["saw_mm","catalog","key"]],[[90,"mine","secret"]])',
        "KITWRIGHT_STATE()",
    ]
    one, two, us, trips, wrong, pairs, date, key, state = run(server.url, calls)
    assert one == [[kit["mass_g"]]]
    assert two == [["optimal", kit["tools"][0]["name"]]]
    assert us == [["optimal", round(kit["mass_oz"], 2)]]
    assert trips[::3] == [["optimal", kit["mass_g"]], ["uncovered", "uncovered"]]
    assert trips[1] == ["", ""]
    assert trips[2][0].startswith("wrong split_mm: ")
    assert wrong[0][0].startswith("wrong people: 0 must be at least 1")
    assert pairs == [["There are 1 names, but 2 values."]]
    assert date == [["A cell holds a date: write it as a number or a text."]]
    assert key[0][0].startswith("A key is needed: ")
    assert "secret" not in key[0][0]
    assert state == f"{server.url} is ready"


@pytest.mark.quick
def test_no_failure_of_the_fetch_shows_the_key() -> None:
    """What the sheet's own error says may hold the whole address."""
    call = 'KITWRIGHT("kit.mass_g",[["saw_mm","key"]],[[90,"secret"]])'
    ((told,),) = run_script(script_for("http://127.0.0.1:1"), [call])
    assert told == ["No answer from http://127.0.0.1:1: is it running, at an address that is open to all?"]
