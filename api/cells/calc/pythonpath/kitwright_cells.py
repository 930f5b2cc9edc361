"""What the functions of the add-in do, by the standard library alone: cells to a question, its answer to cells."""

from __future__ import annotations

import csv
import io
import json
import re
import time
from http.client import HTTPException
from typing import TYPE_CHECKING, Any, NoReturn
from urllib.error import HTTPError
from urllib.parse import urlencode
from urllib.request import HTTPRedirectHandler, Request, build_opener

if TYPE_CHECKING:  # an office may bring a Python of 3.8, which takes these in annotations alone
    from collections.abc import Iterator, Sequence

    _Grid = Sequence[Sequence[Any]]
    _Rows = list[list[Any]]
    _Pairs = Sequence[tuple[str, str]]

_LONGEST_S = 60.0  # judged: Calc stands still while it waits
_QUIET_S = 5.0  # judged: so that fifty cells wait for a silent service once, not fifty times
_LONGEST_ANSWER = 8_000_000  # bytes
_MOST_TRIPS = 500  # of one request
_MOST_FAULTS = 5
_LONGEST_WORDS = 600
_NUMBER = re.compile(r"-?(0|[1-9]\d*)(\.\d+)?")
_ONE_FIELD = re.compile(r"[^,|()\s]+")
_NOT_OURS = "What came from this address is not an answer of the service."


class InWords(Exception):
    """Words that a cell shows in place of an answer."""


class _Straight(HTTPRedirectHandler):
    """Goes nowhere else than where it was sent: another place may not learn the trip, nor a key."""

    def redirect_request(self, *_: Any) -> None:
        """Follow no redirect."""


class Service:
    """The one service that an add-in asks, wherever a file comes from."""

    def __init__(self, address: str) -> None:
        """Take its address."""
        self.address = address
        self.opener = build_opener(_Straight)
        self.silence, self.silent_until = "", 0.0

    def asked(self, path: str, query: _Pairs, table: str | None = None) -> str:
        """Return the text that comes from a path, for a query and a table that is sent.

        Raises:
            InWords: none comes.
        """
        if time.monotonic() < self.silent_until:
            raise InWords(self.silence)
        headers = {"Accept": "*/*"} if table is None else {"Content-Type": "text/csv; charset=utf-8"}
        address = f"{self.address}{path}?{urlencode(query)}"
        request = Request(address, None if table is None else table.encode(), headers)
        try:
            with self.opener.open(request, timeout=_LONGEST_S) as answer:
                body: bytes = answer.read(_LONGEST_ANSWER + 1)
        except HTTPError as error:
            raise InWords(_refused(error)) from None
        except (OSError, HTTPException) as error:
            late = "timed out" in str(error)
            why = f" within {_LONGEST_S:g} s: ask again." if late else ": is it running?"
            self.fall_silent(f"No answer from {self.address}{why}")
        if len(body) > _LONGEST_ANSWER:
            raise InWords("The answer is too long: ask for fewer fields.")
        return body.decode("utf-8", "replace")

    def fall_silent(self, words: str) -> NoReturn:
        """Remember for a while that nothing comes.

        Raises:
            InWords: always.
        """
        self.silence, self.silent_until = words, time.monotonic() + _QUIET_S
        raise InWords(words)

    def state(self) -> _Rows:
        """Return one cell: which service is asked, and whether it is ready."""
        try:
            ready = json.loads(self.asked("/readyz", [])).get("status") == "ready"
        except InWords as words:
            return [[str(words)]]
        except (ValueError, AttributeError):
            return [[f"{self.address}: {_NOT_OURS}"]]
        return [[f"{self.address} is ready" if ready else f"{self.address} is not ready"]]

    def one_trip(self, fields: _Grid, names: _Grid, values: _Grid, units: Any) -> _Rows:
        """Return fields of one trip, in the shape of the cells that name them, or in a row where one cell lists them.

        Args:
            fields: paths of fields.
            names: columns of a trip.
            values: what each says, in the same order.
            units: `us`, `metric` or nothing.
        """
        try:
            listed = _flat(fields)
            query = [("fields", _list_of(listed)), *_units(units)]
            query += [pair for pair in _pairs(names, [_text(value) for value in _flat(values)]) if pair[1]]
            text = self.asked("/v1/sheet/values", query)
            *lines, end = text.split("\n")
            if end != "end" or (len(listed) > 1 and len(lines) != len(listed)):
                raise InWords(_NOT_OURS)
            found = iter([_value(line) for line in lines])
            if len(listed) == 1:
                return [list(found)]
            return [[next(found) for _ in row] for row in fields]
        except InWords as words:
            return _in_shape(str(words), fields)

    def many_trips(self, fields: _Grid, names: _Grid, rows: _Grid, units: Any) -> _Rows:
        """Return fields of many trips, a row each; where a trip fails, its first cell says why.

        Args:
            fields: paths of fields.
            names: columns of a trip.
            rows: a trip in each row.
            units: `us`, `metric` or nothing.
        """
        wanted = [one for text in _flat(fields) for one in re.split(r"[|,\s]+", _text(text)) if one]
        try:
            read = [_pairs(names, [_text(value) for value in row]) for row in rows]
            filled = [place for place, pairs in enumerate(read) if any(text for _, text in pairs)]
            told: _Rows = [[""] * max(1, len(wanted)) for _ in rows]
            for start in range(0, len(filled), _MOST_TRIPS):
                part = filled[start : start + _MOST_TRIPS]
                answers = self.told_of([read[place] for place in part], wanted, units)
                for place, answer in enumerate(answers):
                    told[part[place]] = answer
            return told
        except InWords as words:
            return [[str(words), *[""] * (len(wanted) - 1)], *[[""] * max(1, len(wanted)) for _ in rows[1:]]]

    def told_of(self, trips: Sequence[_Pairs], wanted: Sequence[str], units: Any) -> _Rows:
        """Return the answers to some trips, in their order.

        Raises:
            InWords: none comes.
        """
        keys = [text for pairs in trips for name, text in pairs if name == "key" and text][:1]
        query = [("fields", "|".join(wanted)), *_units(units), *(("key", key) for key in keys)]
        table = io.StringIO()
        written = csv.writer(table)
        written.writerow([name for name, _ in trips[0] if name != "key"])
        written.writerows([text for name, text in pairs if name != "key"] for pairs in trips)
        header, *rows = csv.reader(io.StringIO(self.asked("/v1/sheet/trips", query, table.getvalue())))
        if header[:1] + header[-1:] != ["row", "error"] or len(rows) != len(trips):
            raise InWords(_NOT_OURS)
        return [
            [error, *[""] * (len(wanted) - 1)] if error else [_value(text) for text in told]
            for _, _, *told, error in rows
        ]


def _refused(error: HTTPError) -> str:
    """Return what a failure says of itself."""
    try:
        problem = json.loads(error.read(_LONGEST_ANSWER))
        faults = [f"wrong {one['pointer'].lstrip('#/')}: {one['detail']}" for one in problem["errors"]]
        told = "; ".join(faults[:_MOST_FAULTS]) or f"{problem['title']}: {problem['detail']}"
    except (ValueError, KeyError, TypeError, AttributeError, OSError, HTTPException):
        told = f"{_NOT_OURS} It says {error.code}."
    return told[:_LONGEST_WORDS]


def _flat(cells: _Grid) -> list[Any]:
    """Return cells in the order of reading."""
    return [value for row in cells for value in row]


def _list_of(listed: Sequence[Any]) -> str:
    """Return a list of fields as the service takes it.

    Raises:
        InWords: a cell among several does not hold one field.
    """
    texts = [_text(one) for one in listed]
    if len(texts) > 1 and not all(_ONE_FIELD.fullmatch(text) for text in texts):
        raise InWords("Each of several cells of fields holds one field, as kit.mass_g.")
    return ",".join(texts)


def _units(units: Any) -> Iterator[tuple[str, str]]:
    """Yield what is said of units, where anything is."""
    if units is not None and _text(units):
        yield "units", _text(units)


def _pairs(names: _Grid, values: Sequence[str]) -> list[tuple[str, str]]:
    """Return names with their values; a name that is empty has none.

    Raises:
        InWords: they do not go by pairs.
    """
    named = [_text(name) for name in _flat(names)]
    if len(named) != len(values):
        raise InWords(f"There are {len(named)} names, but {len(values)} values.")
    if any(value and not named[place] for place, value in enumerate(values)):
        raise InWords("A value has no name beside it.")
    return [(name, values[place]) for place, name in enumerate(named) if name]


def _text(value: Any) -> str:
    """Return what a cell holds as the service reads it: decimals have a point whatever the program shows.

    Raises:
        InWords: the cell holds an error.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        if value != value:
            raise InWords("A cell holds an error.")
        return f"{value:.15g}"
    return str(value).strip()


def _value(text: str) -> Any:
    """Return what a cell gets: a number where the text is one."""
    return float(text) if _NUMBER.fullmatch(text) else text


def _in_shape(words: str, cells: _Grid) -> _Rows:
    """Return words in the first of some cells, the others empty."""
    told: _Rows = [[""] * len(row) for row in cells]
    told[0][0] = words
    return told
