"""How an answer goes to a spreadsheet: no trailing newline, and an ETag."""

import hashlib
from collections.abc import Awaitable, Callable

from fastapi import Request
from fastapi.responses import Response

from api.http.cell_words import UNFINISHED_WORDS, faults_in_words
from api.http.precondition import Condition
from api.sheet.sheet_question import Desk, SheetQuestion, sheet_question_of
from api.solving.bounded_memory import key_of
from solver import TripError, Unfinished

_ASK_AGAIN = "private, no-cache"
_FRESH = "public, max-age=600"  # answers change only with the service; a refresh parameter asks anew at once
BOM = "\ufeff"


async def reply(
    request: Request,
    tell: Callable[[SheetQuestion], Awaitable[str]],
    held: Condition,
    *,
    desk: Desk,
    more: list[str],
    media: str,
    name: str | None = None,
) -> Response:
    """Return what is told of a query, or 304 where the caller has it.

    Args:
        request: the request.
        tell: gives the text.
        held: what the caller has already.
        desk: where it is answered, and texts are kept: a spreadsheet asks for each twice, by HEAD and by GET.
        more: names that the query may have beside the columns of a trip.
        media: media type of the answer.
        name: name of the file where it is saved.

    Raises:
        TripError: what can't be taken.
        Unfinished: the effort ran out.
        Busy: too many wait for a place.
    """
    question = sheet_question_of(request.query_params.multi_items(), more=more)
    of_its_own = "catalog" in question.cells  # a stored catalog is its owner's, and may change
    key = None if of_its_own else key_of(request.url.path.encode(), question.canonical.encode())
    if key is not None and (known := desk.answers.memory.find(key)) is not None:
        text = known.decode()
    else:
        text = await tell(question)
        if key is not None and desk.settled:
            desk.answers.memory.keep(key, text.encode())
    if question.said.get("bom") == "1":
        text = BOM + text
    headers = {"Cache-Control": _ASK_AGAIN if of_its_own else _FRESH, "ETag": _tag_of(request.url.path, question, text)}
    if held.known(headers["ETag"]):
        return Response(status_code=304, headers=headers)
    return sent(text, media, headers, name)


def sent(text: str, media: str, headers: dict[str, str], name: str | None) -> Response:
    """Return a text as it is sent."""
    named = {} if name is None else {"Content-Disposition": f'attachment; filename="{name}"'}
    headers = headers | named | {"X-Content-Type-Options": "nosniff"}
    return Response(text.encode(), media_type=f"{media}; charset=utf-8", headers=headers)


def in_words(error: TripError | Unfinished) -> str:
    """Return a failure as a cell of a table can show it."""
    if isinstance(error, Unfinished):
        return UNFINISHED_WORDS
    return faults_in_words((fault.pointer, fault.detail) for fault in error.faults)


def _tag_of(path: str, question: SheetQuestion, text: str) -> str:
    """Return a strong validator: the same query has the same tag for as long as its answer is the same."""
    whole = "\0".join((path, question.canonical, text))
    return f'"{hashlib.sha256(whole.encode()).hexdigest()[:32]}"'
