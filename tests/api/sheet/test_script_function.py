"""The script function of README for spreadsheets in the cloud, run by node with a stand-in for their fetching."""

import json
import re
import subprocess
from typing import Any

import pytest
from program import needed
from service import post

from api.web.guide_pages import guide_texts

pytestmark = pytest.mark.quick

README = guide_texts()["spreadsheets"]
STAND_IN = """
const answer = %s;
const UrlFetchApp = {fetch: (url, options) => {
  if (answer === null) { console.log(JSON.stringify({url, ...options})); process.exit(0); }
  return {getContentText: () => answer};
}};
"""


def run(answer: str | None, sizes: tuple[int, int]) -> Any:
    """What the function gives with an answer, or what it sends where there is none yet."""
    found = re.search(r"<!-- script function -->\n```js\n(.*?)```", README, re.DOTALL)
    assert found
    script = f"{STAND_IN % json.dumps(answer)}{found[1]}console.log(JSON.stringify(KIT_GRAMS({sizes[0]}, {sizes[1]})));"
    done = subprocess.run([needed("node"), "-e", script], capture_output=True, encoding="utf-8", check=True)
    return json.loads(done.stdout)


@pytest.mark.parametrize("sizes", [(120, 90), (2900, 90), (0, 90)], ids=["covered", "uncovered", "refused"])
def test_the_function_posts_a_trip_and_tells_its_grams(sizes: tuple[int, int]) -> None:
    """Grams, the word, or what is wrong with which field."""
    sent = run(None, sizes)
    assert (sent["method"], sent["contentType"], sent["muteHttpExceptions"]) == ("post", "application/json", True)
    assert sent["url"].endswith("/v1/kits")
    answer = post(json.loads(sent["payload"]))
    told = run(answer.text, sizes)
    found = answer.json()
    if answer.status_code == 422:
        assert told.startswith("#/tasks/0/diameter_mm: ")
    elif found["status"] == "uncovered":
        assert told == "uncovered"
    else:
        assert told == found["kit"]["mass_g"]
