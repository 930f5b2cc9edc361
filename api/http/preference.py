"""What a caller prefers (RFC 7240): to come back for an answer instead of waiting for it."""

import re

from starlette.datastructures import Headers

ASYNC = "respond-async"
_TOKEN = re.compile(r'([!#$%&\'*+.^_`|~0-9A-Za-z-]+)\s*(?:=\s*("(?:[^"\\]|\\.)*"|[^\s";]*))?\s*(?:;.*)?', re.DOTALL)
_PART = re.compile(r'(?:[^,"\\]|\\.|"(?:[^"\\]|\\.)*"?)+', re.DOTALL)  # of a list: up to a comma outside quotes
_NO_VALUE = (None, "", '""')  # the same (RFC 7240, 2)
_LONGEST = 2000  # characters of the field that are read


def prefers_async(headers: Headers) -> bool:
    """Tell whether a caller prefers to come back for the answer; what can't be read is no preference."""
    text = ",".join(headers.getlist("prefer"))
    if ASYNC not in text.lower() or len(text) > _LONGEST:
        return False
    found = (_TOKEN.fullmatch(part.strip()) for part in _PART.findall(text))
    return any(one is not None and one[1].lower() == ASYNC and one[2] in _NO_VALUE for one in found)
