"""Entity tags and the conditions that requests put on them (RFC 9110, 8.8.3 and 13)."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Header, HTTPException

_TAG = re.compile(r'(W/)?("[\x21\x23-\x7e\x80-\xff]*")')  # RFC 9110, 8.8.3: entity-tag


@dataclass(frozen=True)
class Condition:
    """If-Match and If-None-Match of a request."""

    if_match: str | None
    if_none_match: str | None

    def hold(self, tags: Collection[str], *, unseen: bool = False) -> None:
        """Let a write pass only on what its sender has seen, or on nothing where it means to create.

        Args:
            tags: the entity tags of what is there now, one for each of its forms; none where nothing is.
            unseen: whether `If-Match: *` will do, for a sender to whom all that is there is one.

        Raises:
            HTTPException: 428 where the request does not say what it is based on, 412 where that is not there.
        """
        seen = self.if_match is not None and (unseen or self.if_match.strip() != "*")
        creates = self.if_none_match is not None and self.if_none_match.strip() == "*"
        other = self.if_none_match is not None and not creates
        if not (seen or creates) or (other and not unseen):
            raise HTTPException(428, 'send If-Match with the ETag that you read, or "If-None-Match: *" to create')
        if self.if_match is not None and not _matches(self.if_match, tags, weak=False):
            raise HTTPException(412, "the stored version is not the one that If-Match names; read it again")
        if self.if_none_match is not None and _matches(self.if_none_match, tags, weak=True):
            raise HTTPException(412, "If-None-Match requires that this does not exist, but it exists")

    def known(self, tag: str) -> bool:
        """Tell whether a reader has this form already, so that a 304 will do."""
        return self.if_none_match is not None and _matches(self.if_none_match, [tag], weak=True)


def _matches(header: str, tags: Collection[str], *, weak: bool) -> bool:
    """Tell whether a list of entity tags names one of these; the strong comparison takes no weak tag."""
    if header.strip() == "*":
        return bool(tags)
    return any(tag in tags for weakness, tag in _TAG.findall(header) if weak or not weakness)


async def condition_of(
    if_match: Annotated[str | None, Header(max_length=2000, description="ETag of the version to change.")] = None,
    if_none_match: Annotated[
        str | None, Header(max_length=2000, description="* to create; an ETag on GET for a 304.")
    ] = None,
) -> Condition:
    """Return the condition that a request sets."""
    return Condition(if_match, if_none_match)


async def _reading_condition_of(
    if_none_match: Annotated[
        str | None, Header(max_length=2000, description="ETag that you already have; the answer is then 304.")
    ] = None,
) -> Condition:
    """Return the condition that a reader sets."""
    return Condition(None, if_none_match)


HeldCondition = Annotated[Condition, Depends(_reading_condition_of)]
