"""What a caller prefers (RFC 7240): to come back for an answer instead of waiting for it, or for long."""

import re

from starlette.datastructures import Headers

ASYNC = "respond-async"
WAIT = "wait"
_TOKEN = re.compile(  # what is taken is never given back: a caller's header costs no more than its length
    r'([!#$%&\'*+.^_`|~0-9A-Za-z-]++)\s*+(?:=\s*+("(?:[^"\\]|\\.)*+"|[^\s";]*+))?\s*+(?:;.*)?', re.DOTALL
)
_PART = re.compile(r'(?:[^,"\\]|\\.|"(?:[^"\\]|\\.)*"?)+', re.DOTALL)  # of a list: up to a comma outside quotes
_NO_VALUE = (None, "", '""')  # the same (RFC 7240, 2)
_SECONDS = re.compile(r'"?([0-9]{1,18})"?')  # a value is a word, in quotes or not
_LONGEST = 2000  # characters of the field that are read


def prefers_async(headers: Headers) -> bool:
    """Tell whether a caller prefers to come back for the answer; what can't be read is no preference."""
    text = ",".join(headers.getlist("prefer"))
    if ASYNC not in text.lower() or len(text) > _LONGEST:
        return False
    return any(name == ASYNC and value in _NO_VALUE for name, value in _preferences(text))


def preferred_wait_s(headers: Headers) -> int:
    """Return the seconds that a caller likes to wait before they come back for the answer; 0 where none are told."""
    text = ",".join(headers.getlist("prefer"))
    told = next((value for name, value in _preferences(text[:_LONGEST]) if name == WAIT), None)  # the first counts
    found = None if told is None else _SECONDS.fullmatch(told)
    return int(found[1]) if found else 0


def _preferences(text: str) -> list[tuple[str, str | None]]:
    """Return the preferences of a field that can be read: their names in small letters, and their values."""
    found = (_TOKEN.fullmatch(part.strip()) for part in _PART.findall(text))
    return [(one[1].lower(), one[2]) for one in found if one is not None]
