"""Trips of a question about many settled by several processes or a cluster; a file keeps them for a later run."""

import json
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from importlib.metadata import version
from logging import getLogger
from math import inf
from pathlib import Path
from time import monotonic
from typing import TextIO

from pydantic import BaseModel, TypeAdapter, ValidationError

from api.settings.effort import effort_of
from api.settings.refused import Refused
from api.settings.settings import Settings
from api.solving.cluster import Cluster, done_by_cluster
from api.solving.processes import done_by_processes, processes_for
from solver import Effort, Unfinished
from solver.offers.adoption_report import OfferedTrips, Settle
from solver.offers.verdict import Verdict

_LOG = getLogger("kitwright.cluster")
_Settled = tuple[int, tuple[Verdict, ...]]
_LINE: TypeAdapter[_Settled] = TypeAdapter(_Settled)


@dataclass(frozen=True)
class _Shared:
    """What all trips share: the trips and offers, and the effort of each."""

    asked: OfferedTrips
    effort: Effort


def settled_by_processes(
    form: BaseModel,
    *,
    workers: int | None,
    kept: Path | None,
    tell: Callable[[], None] | None,
    cluster: Cluster | None = None,
) -> Settle:
    """Return what settles the trips of a question.

    Each trip has the whole effort of an answer. The order in which processes end changes nothing of what they find.

    Args:
        form: the question.
        workers: processes; None for as many as there are cores, if the trips are many.
        cluster: where the trips go in place of processes of this machine.
        kept: a file of the trips settled, which is begun, or gone on with if it is of the same question.
        tell: called after each trip.

    Raises:
        Refused: the file is of another question, or none of this kind.
    """

    def settle(asked: OfferedTrips) -> Iterator[_Settled]:
        before = {} if kept is None else _read(kept, form)
        yield from before.items()
        left = [place for place in range(len(asked.trips)) if place not in before]
        shared = _Shared(asked, effort_of(Settings()))
        if cluster is None:
            done = done_by_processes(_settled, shared, left, workers=processes_for(len(left), workers))
        else:
            done = done_by_cluster(_settled, shared, left, cluster=cluster)
        with closing(done) as found, _opened(kept) as file:
            for place, verdicts in found:
                if file is not None and all(one.settled for one in verdicts):
                    file.write(_LINE.dump_json((place, verdicts)).decode() + "\n")
                    file.flush()
                if tell is not None:
                    tell()
                yield place, verdicts

    return settle


def settled_on_cluster(cluster: Cluster, effort: Effort) -> Settle:
    """Return what settles the trips of a question on a cluster, until the time of its answer is over.

    Where the cluster can't be used, this process settles what is left, and the log says so.

    Args:
        cluster: where they go.
        effort: of the answer; each trip may cost as much of it as a solve may.
    """
    each = replace(effort, cancelled=None, on_solve=None, on_early=None, until=inf, clock=monotonic)

    def settle(asked: OfferedTrips) -> Iterator[_Settled]:
        left = dict.fromkeys(range(len(asked.trips)))
        shared = _Shared(asked, each)
        try:
            found = done_by_cluster(_settled, shared, list(left), cluster=cluster, look=effort.go_on)
            with closing(found):
                for place, verdicts in found:
                    del left[place]
                    if effort.on_solve is not None:
                        effort.on_solve()
                    yield place, verdicts
            return
        except Unfinished:
            return
        except Refused as error:
            _LOG.warning("trips are settled without the cluster: %s", error)
        for place in left:
            if effort.spent():
                return
            yield place, asked.verdicts(place, effort=effort)

    return settle


def _settled(shared: _Shared, place: int) -> _Settled:
    """Return what one trip says of each offer."""
    return place, shared.asked.verdicts(place, effort=shared.effort.begun())


@contextmanager
def _opened(kept: Path | None) -> Iterator[TextIO | None]:
    """Open the file for what is settled further, if there is one."""
    if kept is None:
        yield None
        return
    with kept.open("a", encoding="utf-8") as file:
        yield file


def _read(kept: Path, form: BaseModel) -> dict[int, tuple[Verdict, ...]]:
    """Return the trips settled before, by their place; a file that is not there yet is begun.

    A line that was cut as its run was stopped is cut off the file.

    Raises:
        Refused: the file is of another question, or none of this kind.
    """
    head = json.dumps({"question": _digest(form)})
    if not kept.exists() or not kept.stat().st_size:
        kept.write_text(head + "\n", encoding="utf-8")
        return {}
    text = kept.read_text("utf-8")
    whole = text[: text.rfind("\n") + 1]
    first, *lines = whole.splitlines() or [""]
    if first != head:
        raise Refused(f"{kept} holds no trips of this question\nname another file, or remove it")
    try:
        found = dict(_LINE.validate_json(line) for line in lines)
    except ValidationError as error:
        raise Refused(f"{kept}: a line can't be read as a settled trip\nname another file, or remove it") from error
    if whole != text:
        kept.write_text(whole, encoding="utf-8")
    return found


def _digest(form: BaseModel) -> str:
    """Return what names a question, with all that its answer hangs on."""
    settings = Settings()
    told = [form.model_dump_json(), version("kitwright"), str(settings.solve_nodes), str(settings.solver)]
    return sha256("\n".join(told).encode()).hexdigest()
