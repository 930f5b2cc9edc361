"""The picture of how sure kits are: SVG, the same bytes every time, with what the answer tells. It was looked at."""

from xml.etree import ElementTree

import pytest
from service import faults_of, post

from api.examples.question_examples import quick_sure

pytestmark = pytest.mark.quick

ADDRESS = "/v1/kits/sure.svg"


def test_the_picture_tells_what_the_answer_tells() -> None:
    answer = post(quick_sure(), address=ADDRESS)
    assert answer.status_code == 200, answer.text
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert ElementTree.fromstring(answer.text).tag == "{http://www.w3.org/2000/svg}svg"
    told = post(quick_sure(), address="/v1/kits/sure").json()
    first = next(one["name"] for one in told["what_matters"] if one["sufficing"] is not None)
    for words in (told["name"], first[:20], "sure enough", "as assumed"):
        assert words in answer.text, words
    assert post(quick_sure(), address=ADDRESS).text == answer.text


def test_a_trip_that_no_kit_covers_has_a_picture_without_kits() -> None:
    body = quick_sure()
    lacking = body["trip"] | {"only": ["folding-knife-60"], "field_methods": False}
    answer = post(body | {"trip": lacking}, address=ADDRESS)
    assert answer.status_code == 200, answer.text
    assert "sure enough" not in answer.text


def test_a_picture_refuses_what_the_question_refuses() -> None:
    body = quick_sure() | {"sure": {"draws": 5}}
    assert faults_of(post(body, address=ADDRESS)) == faults_of(post(body, address="/v1/kits/sure"))
