"""Lists, a page at a time: {items, next}."""

from collections.abc import Sequence
from typing import Any, Generic, TypeVar

from fastapi import Request
from pydantic import BaseModel, ConfigDict, Field

_Item = TypeVar("_Item")


class Page(BaseModel, Generic[_Item]):
    """A page of a list; `next` is the address of the next page, null on the last."""

    items: list[_Item]
    next: str | None


class PageQuery(BaseModel):
    """Start and length of a page. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    limit: int = Field(100, ge=1, le=1000, description="Rows per page.")
    cursor: str | None = Field(
        None, max_length=160, pattern=r"^[^\x00-\x1f]*$", description="Id after which the page starts."
    )


def page_of(request: Request, rows: Sequence[Any], query: PageQuery) -> dict[str, Any]:
    """Return the page of rows (sorted by id) that a query asks for."""
    rest = [row for row in rows if query.cursor is None or row.id > query.cursor]
    shown = rest[: query.limit]
    more = len(rest) > len(shown)
    following = str(request.url.include_query_params(cursor=shown[-1].id)) if more else None
    return {"items": shown, "next": following}
