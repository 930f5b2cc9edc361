"""How an answer goes to a spreadsheet: no trailing newline, an ETag, and failures in words where that is asked for."""

import hashlib
from collections.abc import Awaitable, Callable

from fastapi import Request
from fastapi.responses import Response

from api.http.precondition import Condition
from api.sheet.cell_text import UNPRINTABLE
from api.sheet.sheet_question import SheetQuestion, sheet_question_of
from api.solving.solve_queue import Busy
from solver import TripError, Unfinished

_ASK_AGAIN = "private, no-cache"
_FRESH = "public, max-age=600"  # answers change only with the service; a refresh parameter asks anew at once
_MOST_WORDS = 5  # faults that a cell has room for
BOM = "\ufeff"


async def reply(
    request: Request,
    tell: Callable[[SheetQuestion], Awaitable[str]],
    held: Condition,
    *,
    more: list[str],
    media: str,
    name: str | None = None,
) -> Response:
    """Return what is told of a query, or 304 where the caller has it, or words where errors=text.

    Args:
        request: the request.
        tell: gives the text.
        held: what the caller has already.
        more: names that the query may have beside the columns of a trip.
        media: media type of the answer.
        name: name of the file where it is saved.

    Raises:
        TripError: what can't be taken, unless errors=text.
        Unfinished: the effort ran out, unless errors=text.
        Busy: too many wait for a place, unless errors=text.
    """
    items = request.query_params.multi_items()
    try:
        question = sheet_question_of(items, more=more)
        text = await tell(question)
    except (TripError, Unfinished, Busy) as error:
        if ("errors", "text") not in items:
            raise
        return sent(in_words(error), media, {"Cache-Control": "no-store"}, name)
    if question.said.get("bom") == "1":
        text = BOM + text
    of_its_own = "catalog" in question.cells  # a stored catalog is its owner's, and may change
    headers = {"Cache-Control": _ASK_AGAIN if of_its_own else _FRESH, "ETag": _tag_of(request.url.path, question, text)}
    if held.known(headers["ETag"]):
        return Response(status_code=304, headers=headers)
    return sent(text, media, headers, name)


def sent(text: str, media: str, headers: dict[str, str], name: str | None) -> Response:
    """Return a text as it is sent."""
    named = {} if name is None else {"Content-Disposition": f'attachment; filename="{name}"'}
    headers = headers | named | {"X-Content-Type-Options": "nosniff"}
    return Response(text.encode(), media_type=f"{media}; charset=utf-8", headers=headers)


def in_words(error: TripError | Unfinished | Busy) -> str:
    """Return a failure as a cell can show it."""
    if isinstance(error, Unfinished):
        return "unfinished: no kit was found within the allowed effort"
    if isinstance(error, Busy):
        return f"busy: ask again in {error.retry_after_s} s"
    told = [f"wrong {fault.pointer.removeprefix('#/')}: {fault.detail}" for fault in error.faults[:_MOST_WORDS]]
    return UNPRINTABLE.sub(" ", "; ".join(told))


def _tag_of(path: str, question: SheetQuestion, text: str) -> str:
    """Return a strong validator: the same query has the same tag for as long as its answer is the same."""
    whole = "\0".join((path, question.canonical, text))
    return f'"{hashlib.sha256(whole.encode()).hexdigest()[:32]}"'
