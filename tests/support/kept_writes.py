"""A mixed load on a service whose every answer is held against a model: what was acknowledged is kept, and once.

Each writer owns one catalog, so it knows what it must be: after an acknowledged write that one; after a write that
broke off, or that was refused because the store was gone, the one before or that one, whole, and no third.
"""

import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event, Lock, Thread
from time import sleep
from typing import Any

import httpx

from api.examples.catalog_bodies import HUT

SAW = HUT["tools"][0]
ROWS = 12
LONG_S = 120.0
PLAN = {"tasks": [{"task": "split", "diameter_mm": 140}, {"task": "saw", "diameter_mm": 90}], "detail": "kit"}
State = tuple[int, int] | None  # revision and mark of what is stored; None = nothing is


@dataclass
class Told:
    """What the load met, counted."""

    counts: Counter[str] = field(default_factory=Counter)
    bad: list[str] = field(default_factory=list)
    lock: Lock = field(default_factory=Lock)

    def count(self, what: str, by: int = 1) -> None:
        """Count something."""
        with self.lock:
            self.counts[what] += by

    def wrong(self, what: str, detail: str) -> None:
        """Note what must not be."""
        with self.lock:
            self.counts[f"WRONG: {what}"] += 1
            self.bad.append(f"{what}: {detail}")


def document(mark: int) -> dict[str, Any]:
    """A catalog that tells from any of its rows which one it is."""
    rows = [SAW | {"id": f"row-{row}", "price": mark, "note": "x" * 200} for row in range(ROWS)]
    return {"note": str(mark), "tools": rows}


def mark_of(body: dict[str, Any]) -> int | None:
    """The mark of a catalog; None where it is no whole one."""
    marks = {row["price"] for row in body["tools"]} | {float(body["note"])}
    return int(marks.pop()) if len(marks) == 1 and len(body["tools"]) == ROWS else None


class Client:
    """Asks until it is answered; a connection that breaks is made anew."""

    def __init__(self, url: str, told: Told) -> None:
        self.http = httpx.Client(base_url=url, timeout=LONG_S)
        self.told = told

    def ask(self, method: str, path: str, **options: Any) -> httpx.Response | None:
        """One answer; None where the connection broke."""
        self.told.count("requests")
        try:
            answer = self.http.request(method, path, **options)
        except httpx.TransportError:
            self.told.count("broken connections")
            sleep(0.05)
            return None
        if answer.status_code == 503:
            self.told.count("503")
            sleep(0.05)
        elif answer.status_code >= 500:
            self.told.wrong("5xx", f"{method} {path}: {answer.status_code} {answer.text[:300]}")
        return answer

    def read(self, path: str, over: Event) -> httpx.Response | None:
        """The answer of a read, asked for until there is one; None where all is over before."""
        while not over.is_set():
            answer = self.ask("GET", path)
            if answer is not None and answer.status_code in (200, 404):
                return answer
        return None


class Writer:
    """Owns one catalog, changes it, and knows what it must be."""

    def __init__(self, number: int, seed: int) -> None:
        self.path = f"/v1/catalogs/own-{number}"
        self.draw = random.Random(f"{seed} {number}")
        self.state: State = None
        self.last_revision: dict[str, int] = {}
        self.mark = number * 1_000_000
        self.unsure: State | str = "sure"

    def run(self, url: str, told: Told, over: Event) -> None:
        """Write until all is over."""
        client = Client(url, told)
        tag: str | None = None
        while not over.is_set():
            tag = self.write(client, told, tag)
            if self.unsure != "sure":
                tag = self.look(client, told, over)

    def write(self, client: Client, told: Told, tag: str | None) -> str | None:
        """One change; return the tag of what is stored after it."""
        self.mark += 1
        delete = self.state is not None and self.draw.random() < 0.1
        new: State = None if delete else ((1 if self.state is None else self.state[0] + 1), self.mark)
        condition = {"If-None-Match": "*"} if self.state is None else {"If-Match": str(tag)}
        if delete:
            answer = client.ask("DELETE", self.path, headers=condition)
        else:
            answer = client.ask("PUT", self.path, json=document(self.mark), headers=condition)
        if answer is not None and answer.status_code in (200, 201, 204):
            told.count("acknowledged writes")
            self.state = new
            return None if delete else str(answer.json()["tag"])
        if answer is not None and answer.status_code not in (503,):
            told.wrong("refused", f"{self.path}: {answer.status_code} {answer.text[:300]}")
        told.count("writes without an acknowledgement")
        self.unsure = new
        self.denied = answer is not None and "nothing was stored" in answer.text
        return tag

    def look(self, client: Client, told: Told, over: Event) -> str | None:
        """See what is stored after a write whose outcome is not known."""
        answer = client.read(self.path, over)
        if answer is None:
            return None
        found, tag = found_of(answer)
        possible = self.unsure
        self.unsure = "sure"
        if found == possible and found != self.state:
            told.count("of these: stored")
            if self.denied:
                told.wrong("stored, though the answer said that nothing was", f"{self.path} {found}")
        elif found == self.state:
            told.count("of these: not stored")
        else:
            told.wrong("neither old nor new", f"{self.path}: {found}, not {self.state} or {possible}")
        self.state = found if not isinstance(found, str) else None
        return tag

    def check(self, told: Told, read: Callable[[str], httpx.Response]) -> None:
        """Compare with what is stored at the end."""
        found, _ = found_of(read(self.path))
        possible = [self.state] if self.unsure == "sure" else [self.state, self.unsure]
        if found in possible:
            told.count("catalogs as they must be")
        else:
            told.wrong("lost or half", f"{self.path}: {found}, not {possible}")


def found_of(answer: httpx.Response) -> tuple[State | str, str | None]:
    """What an answer says is stored, and its tag."""
    if answer.status_code == 404:
        return None, None
    assert answer.status_code == 200, answer.text
    mark = mark_of(answer.json())
    tag = answer.headers["etag"]
    if mark is None:
        return f"half: {answer.text[:200]}", tag
    return (int(tag.strip('"').split("-")[1]), mark), tag


class Adder:
    """Adds one to a figure that others add to as well; acknowledged ones count once."""

    path = "/v1/catalogs/shared"

    def run(self, url: str, told: Told, over: Event) -> None:
        """Read, add, write, until all is over."""
        client = Client(url, told)
        while not over.is_set():
            read = client.read(self.path, over)
            if read is None or read.status_code == 404:
                continue
            body = read.json()
            for row in body["tools"]:
                row["price"] += 1
            body["note"] = str(int(body["tools"][0]["price"]))
            answer = client.ask("PUT", self.path, json=body, headers={"If-Match": read.headers["etag"]})
            if answer is not None and answer.status_code == 200:
                told.count("acknowledged additions")
            elif answer is not None and answer.status_code == 412:
                told.count("additions refused, since another came first")
            elif answer is None or answer.status_code == 503:
                told.count("additions without an acknowledgement")
            else:
                told.wrong("refused", f"{self.path}: {answer.status_code} {answer.text[:300]}")


class Planner:
    """Plans with the built-in tools and with the shared catalog; the answer is always the same."""

    def __init__(self, kit: list[str]) -> None:
        self.kit = kit

    def run(self, url: str, told: Told, over: Event) -> None:
        """Plan until all is over."""
        client, number = Client(url, told), 0
        while not over.is_set():
            number += 1
            trip = PLAN | {"name": f"{id(self)} {number}"}
            if number % 3 == 0:
                trip |= {"catalog": "shared"}
            answer = client.ask("POST", "/v1/kits", json=trip)
            if answer is None or answer.status_code == 503:
                continue
            if answer.status_code != 200:
                told.wrong("refused", f"a plan: {answer.status_code} {answer.text[:300]}")
            elif number % 3 and [tool["id"] for tool in answer.json()["kit"]["tools"]] != self.kit:
                told.wrong("another kit", answer.text[:300])
            else:
                told.count("plans")
            client.ask("GET", ("/v1/catalogs", "/healthz", "/v1/tools?limit=5", "/readyz")[number % 4])


class Load:
    """All of them at once, over and over, until told to stop."""

    def __init__(self, url: str, *, seed: int, writers: int = 6, adders: int = 3, planners: int = 2) -> None:
        self.told, self.over = Told(), Event()
        client = httpx.Client(base_url=url, timeout=LONG_S)
        made = client.put(Adder.path, json=document(0), headers={"If-None-Match": "*"})
        assert made.status_code == 201, made.text
        kit = [tool["id"] for tool in client.post("/v1/kits", json=PLAN).json()["kit"]["tools"]]
        self.writers = [Writer(number, seed) for number in range(writers)]
        everyone = [*self.writers, *(Adder() for _ in range(adders)), *(Planner(kit) for _ in range(planners))]
        self.threads = [Thread(target=self.guarded, args=(one.run, url), daemon=True) for one in everyone]

    def guarded(self, run: Callable[[str, Told, Event], None], url: str) -> None:
        """Run one; an error in the load itself is told, not lost with its thread."""
        try:
            run(url, self.told, self.over)
        except Exception as error:
            self.told.wrong("the load broke", repr(error))

    def start(self) -> None:
        """Begin."""
        for thread in self.threads:
            thread.start()

    def stop(self) -> None:
        """End, once each has its last answer."""
        self.over.set()
        for thread in self.threads:
            thread.join(2 * LONG_S)
            if thread.is_alive():
                self.told.wrong("no end", "a request was neither answered nor broken off")

    def check(self, read: Callable[[str], httpx.Response]) -> None:
        """Hold what is stored at the end against the model."""
        for writer in self.writers:
            writer.check(self.told, read)
        counts = self.told.counts
        found, _ = found_of(read(Adder.path))
        most = counts["acknowledged additions"] + counts["additions without an acknowledgement"]
        if not isinstance(found, tuple) or not counts["acknowledged additions"] <= found[1] <= most:
            self.told.wrong("additions lost or doubled", f"{found} of {counts['acknowledged additions']} to {most}")
        elif found[0] != found[1] + 1:
            self.told.wrong("additions lost or doubled", f"revision {found[0]} after {found[1]} additions")
        else:
            self.told.count("catalogs as they must be")
