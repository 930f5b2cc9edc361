"""A JSON body from a file or from standard input, read as strictly as over HTTP."""

import codecs
import sys
from pathlib import Path
from typing import Any

from api.http.json_reader import TooMuchJson, strict_json
from api.settings.refused import Refused


class _BodyTooRich(Refused, ValueError):
    """A file holds more values than any question needs."""


def read_body(name: str) -> Any:
    """Return the JSON value of a file, or of standard input where the name is a dash.

    Raises:
        OSError: the file can't be read.
        json.JSONDecodeError: it is not JSON, or not as strict as over HTTP.
        Refused: it holds more values than any question needs.
    """
    body = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    try:
        return strict_json(body.removeprefix(codecs.BOM_UTF8))
    except TooMuchJson as error:
        raise _BodyTooRich(str(error)) from error
