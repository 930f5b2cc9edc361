"""Stored catalogs put into the trips that name them, so that the solver need not know of any store."""

from collections import OrderedDict
from threading import Lock
from typing import Annotated
from weakref import WeakValueDictionary

import anyio
import anyio.from_thread
from fastapi import Depends, Request
from sqlalchemy import Connection

from api.answering.caller import Credentials, caller_of
from api.answering.response_cache import keep_nothing
from api.questions.asked_trips import AnyForm, put_in, trips_in
from api.store import stored_catalog as stored
from api.store.catalog_share import find_readable
from api.store.database import store_of
from api.store.stored_catalog import Head
from catalog.equipment.tool_rows import ToolRows
from solver import Fault, TripError

_MOST_WORKED_OUT = 40_000  # judged: tools of the catalogs of which what was worked out is kept, some 60 MB
_LOOK_S = 0.1  # judged: between two looks whether who waits for a catalog has left


class _Reading:
    """A revision that is read now, by one at a time."""

    def __init__(self) -> None:
        self.lock = Lock()


class ReadCatalogs:
    """The rows of revisions read lately: a revision never changes, so no worker need tell another of it."""

    def __init__(self, *, most_tools: int) -> None:
        self.most_tools = most_tools
        self.lock = Lock()
        self.kept: OrderedDict[str, ToolRows] = OrderedDict()
        self.reading: WeakValueDictionary[str, _Reading] = WeakValueDictionary()  # who reads each revision now

    def rows(self, connection: Connection, head: Head) -> ToolRows:
        """Return the rows of a revision; those read longest ago go where there are too many.

        Who asks for a revision that another reads now waits for it. It runs in a thread of AnyIO, and ends once the
        request is cancelled.
        """
        with self.lock:
            if (rows := self.known(head)) is not None:
                return rows
            reading = self.reading.setdefault(head.tag, _Reading())
        while not reading.lock.acquire(timeout=_LOOK_S):
            anyio.from_thread.check_cancelled()
        try:
            with self.lock:
                if (rows := self.known(head)) is not None:
                    return rows
            rows = ToolRows(stored.tools_of(connection, head, look=anyio.from_thread.check_cancelled))
            with self.lock:
                self.keep(head, rows)
            return rows
        finally:
            reading.lock.release()

    def known(self, head: Head) -> ToolRows | None:
        """Return the rows of a revision that is kept."""
        if (rows := self.kept.get(head.tag)) is not None:
            self.kept.move_to_end(head.tag)
            self.forget()
        return rows

    def keep(self, head: Head, rows: ToolRows) -> None:
        """Keep the rows of a revision; those asked for longest ago go."""
        self.kept[head.tag] = rows
        while sum(map(len, self.kept.values())) > self.most_tools:
            self.kept.popitem(last=False)
        self.forget()

    def forget(self) -> None:
        """Keep what was worked out of the rows asked for last, as far as these are not too many."""
        tools = 0
        for rows in reversed(self.kept.values()):
            tools += len(rows)
            if tools > _MOST_WORKED_OUT:
                rows.forget()


class CatalogResolver:
    """Fills the trips of one request."""

    def __init__(self, request: Request) -> None:
        self.request = request

    async def filled(self, asked: AnyForm) -> AnyForm:
        """Return what is asked, each trip that names a stored catalog with its tools.

        Raises:
            HTTPException: a catalog is named, but the caller may not plan with it.
            StoreDown: the store can't be used now.
            TripError: there is no such catalog, or it stands beside tools; the pointer is into what is asked.
        """
        if not any(trip.catalog for _, trip in trips_in(asked, ())):
            return asked
        keep_nothing(self.request)
        return await anyio.to_thread.run_sync(self.filled_now, asked)

    def filled_now(self, asked: AnyForm) -> AnyForm:
        """Do as `filled` says, in the caller's thread."""
        owner = caller_of(self.request, "plan").owner
        read: ReadCatalogs = self.request.app.state.read_catalogs
        faults, found = [], {}
        with store_of(self.request).reading() as connection:
            for place, trip in trips_in(asked, ()):
                if trip.catalog is None:
                    continue
                pointer = "#" + "".join(f"/{step}" for step in (*place, "catalog"))
                head = _named(connection, owner, trip.catalog)
                if trip.tools is not None:
                    faults.append(
                        Fault(pointer, trip.catalog, "only one of tools and catalog", "both are given; give only one")
                    )
                elif head is None:
                    why = f"you have no catalog {trip.catalog}; give the name of a stored catalog"
                    faults.append(Fault(pointer, trip.catalog, "the name of a stored catalog", why))
                else:
                    found[place] = trip.over_catalog(read.rows(connection, head), head.assumptions, head.intervals)
        if faults:
            raise TripError(faults)
        return put_in(asked, found, ())


def _named(connection: Connection, owner: str, catalog: str) -> Head | None:
    """Return the revision that NAME or NAME@REVISION means; OWNER: before it names who shares it."""
    name, _, revision = catalog.partition("@")
    head = find_readable(connection, owner, name)
    if head is None or not revision:
        return head
    return stored.at_revision(connection, head, int(revision))


async def _shelf_of(request: Request, _: Credentials) -> CatalogResolver:
    """Return the shelf of a request; a key is wanted only where a catalog is named."""
    return CatalogResolver(request)


CatalogResolverOf = Annotated[CatalogResolver, Depends(_shelf_of)]
