"""Requests made of the contract's own examples by changing them: fields, bytes, headers, addresses, methods.

Every request follows from its seed and number alone, so that one that fails can be made again.
"""

import json
from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, field
from random import Random
from typing import Any
from urllib.parse import quote

Body = bytes | None
METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "CONNECT", "QUERY", "get", "A" * 40)
# What takes many solves has few turns, so that a million requests end within hours.
SELDOM = ("adoption", "allowance", "bad-night", "best", "check", "confidence", "front", "mass.svg", "season", "sure")
SELDOM += ("sweep", "minimum-section", "workbook", "functions", "/batch", "/sheet/")
SELDOM += ("/tools.csv", "drawing.svg", "outline", "sheet.dxf", "sheet.pdf", "tolerance")
SELDOM_SHARE = 0.02
LARGEST = 1e300  # of a number that is multiplied
TEXTS = (
    *("", " ", "\x00", "a\x00b", "\ud800", "e\u0301", "\u202egnp", "\ufeff", "\U0001f9ed", "A" * 300, "x" * 9000),
    *("../../etc/passwd", "..%2f..", "<script>", "=1+1", "\r\nX-Odd: 1", "%s%n", "1e5", "\uff11\uff12", "NaN", "null"),
    *("'; DROP TABLE catalog; --", "folding-saw-210", "saw", "split", "knife", "hut-saw", "invented-hut", "0", "-1"),
    *(
        "http://127.0.0.1:1/",
        "file:///etc/passwd",
        "\\",
        '"',
        "true",
        "\u0130",
        "\u00df",
        "\u1680",
        "a,b;c",
        "[]",
        "{}",
    ),
)
NUMBERS = (0, -0.0, 1, -1, 2, 0.1, 1e-9, 5e-324, 1e-320, 1e15, 2**31, 2**53, 2**63, -(2**63), 2**64, 1e300, 1.7e308)
NUMBERS += (10**30, 10**400, float("nan"), float("inf"), float("-inf"))
HEADERS = (
    *(
        "accept",
        "accept-encoding",
        "accept-language",
        "authorization",
        "connection",
        "content-encoding",
        "content-type",
    ),
    *("cookie", "expect", "forwarded", "host", "idempotency-key", "if-match", "if-modified-since", "if-none-match"),
    *("if-range", "origin", "prefer", "range", "referer", "sec-fetch-mode", "sec-fetch-site", "te", "trailer", "via"),
    *("traceparent", "upgrade", "user-agent", "x-forwarded-for", "x-forwarded-host", "x-http-method", "x-request-id"),
)
VALUES = (
    *("*/*", "application/json", "application/x-ndjson", "text/csv", "application/json;q=0", "q", ";;;", ",,,", "a=b"),
    *("*", '"x"', 'W/"x"', '"', "bytes=0-1", "bytes=-9999999999999999999", "respond-async", "respond-async, wait=0"),
    *(
        'respond-async; a="',
        "wait=1e9",
        "Bearer x",
        "Bearer " + "a" * 5000,
        "Basic Og==",
        "100-continue",
        "h2c",
        "close",
    ),
    *(
        "gzip",
        "identity;q=0",
        "null",
        "http://elsewhere.invalid",
        "cross-site",
        "same-origin",
        "\t",
        "\xff\xfe",
        "\x7f",
    ),
    *("localhost", "user@localhost", "127.0.0.1:99999", "[::1", "a, b", "utf-8", "application/json; charset=utf-16"),
)


@dataclass
class Sent:
    """A request.

    Attributes:
        method: as sent.
        path: percent-encoded, without its query.
        query: names and values; a name may come again.
        headers: names and values.
        body: None where there is none.
        broken: whether its own bytes are no HTTP, so that it may get no answer.
    """

    method: str
    path: str
    query: list[tuple[str, str]] = field(default_factory=list)
    headers: list[tuple[str, str]] = field(default_factory=list)
    body: Body = None
    broken: bool = False

    def raw(self) -> bytes:
        """The request as it goes over the wire."""
        query = "&".join(f"{odd(name)}={odd(value)}" for name, value in self.query)
        lines = [f"{self.method} {self.path}{'?' * bool(query)}{query} HTTP/1.1"]
        lines += [f"{name}: {value}" for name, value in self.headers]
        if self.body is not None and not any(name.lower() == "content-length" for name, _ in self.headers):
            lines.append(f"content-length: {len(self.body)}")
        return "\r\n".join([*lines, "", ""]).encode("latin-1", "replace") + (self.body or b"")


@dataclass(frozen=True)
class Template:
    """An operation of the contract, with the examples of its address and bodies."""

    method: str
    path: str
    query: tuple[tuple[str, Any], ...]
    bodies: tuple[tuple[str, Any], ...]


def odd(text: str) -> str:
    """A text in an address: what can't be encoded as UTF-8 goes as its surrogate's bytes."""
    return quote(text.encode("utf-8", "surrogatepass"), safe="-._~,()*%")


def templates_of(document: dict[str, Any]) -> list[Template]:
    """Every operation of a contract."""
    found = []
    for address, item in document["paths"].items():
        for method, operation in item.items():
            path, query = address, []
            for parameter in operation.get("parameters", ()):
                schema = parameter["schema"]
                example = parameter.get("example", (schema.get("examples") or [schema.get("default", "1")])[0])
                if parameter["in"] == "path":
                    path = path.replace("{" + parameter["name"] + "}", str(example))
                elif parameter["in"] == "query":
                    query.append((parameter["name"], example))
            bodies = [
                (media, example)
                for media, told in operation.get("requestBody", {}).get("content", {}).items()
                for example in [*[one["value"] for one in told.get("examples", {}).values()], told.get("example", "")]
                if example or not told.get("examples")
            ]
            found.append(Template(method.upper(), path, tuple(query), tuple(bodies)))
    return found


class Requests:
    """Draws requests; what the service tells of its state goes into later ones, so that some are taken."""

    def __init__(self, document: dict[str, Any], *, seed: int) -> None:
        found = templates_of(document)
        self.often = [one for one in found if not any(word in one.path for word in SELDOM)]
        self.seldom = [one for one in found if one not in self.often]
        self.values = [value for one in found for _, body in one.bodies for value in nodes_of(body)]
        self.seed = seed
        self.tags = ['"0"']
        self.jobs = ["0" * 32]

    def draw(self, number: int) -> Sent:
        """The request of a number."""
        random = Random(f"{self.seed}-{number}")
        template = random.choice(self.seldom if random.random() < SELDOM_SHARE else self.often)
        sent = self.whole(random, template)
        changes: tuple[Callable[[Random, Sent], None], ...] = (
            *(change_query, change_query, change_headers, change_headers, change_path, change_method, change_bytes),
            *(spare_head, lie_about_length),
        )
        for _ in range(random.choice((0, 0, 1, 1, 2))):
            random.choice(changes)(random, sent)
        return sent

    def whole(self, random: Random, template: Template) -> Sent:
        """A request as the contract has it, but for some of the fields of its body."""
        path = template.path.replace("019b76da1c005d1f0c2a91d7e3b84600", random.choice(self.jobs))
        some = [(name, value) for name, value in template.query if random.random() < 0.2]
        sent = Sent(template.method, path, [(name, text_of(value)) for name, value in some], [("host", "127.0.0.1")])
        if template.bodies:
            media, example = random.choice(template.bodies)
            sent.headers.append(("content-type", media))
            sent.body = self.body(random, example)
            if random.random() < 0.005:
                sent.headers.append(("prefer", random.choice(("respond-async", "respond-async, wait=1"))))
        if "/catalogs/" in path and template.method not in ("GET", "POST"):
            fresh = random.random() < 0.5
            sent.headers.append(("if-match", random.choice(self.tags)) if fresh else ("if-none-match", "*"))
        return sent

    def body(self, random: Random, example: Any) -> bytes:
        """A body like the example, changed in up to three places."""
        if isinstance(example, str):
            return example.encode()
        body = deepcopy(example)
        for _ in range(random.choice((0, 1, 1, 1, 2, 3))):
            body = self.changed(random, body)
        if isinstance(body, dict) and ("tasks" in body or "fire" in body) and random.random() < 0.98:
            body["detail"] = "kit"
        return json.dumps(body, ensure_ascii=random.random() < 0.5).encode("utf-8", "surrogatepass")

    def changed(self, random: Random, body: Any) -> Any:
        """A body with one change somewhere."""
        places = [(holder, key) for holder, key in places_of(body)]
        if not places:
            return random.choice(self.values)
        holder, key = random.choice(places)
        value = holder[key]
        match random.randrange(9):
            case 0 if isinstance(holder, dict):
                holder[random.choice((*TEXTS, *holder))] = value
            case 1:
                del holder[key]
            case 2 if isinstance(holder, list):
                holder.extend([value] * random.choice((1, 2, 30)))
            case 3:
                holder[key] = random.choice((random.choice(TEXTS), random.choice(NUMBERS), None, True, [], {}))
            case 4:
                holder[key] = [value] if random.random() < 0.9 else deep(random.choice((20, 200)))
            case 5:
                holder[key] = deepcopy(random.choice(self.values))
            case _ if isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < LARGEST:
                grown = value * random.choice((0, 0.5, 0.9, 1.1, 2, 10, -1))
                holder[key] = int(grown) if isinstance(value, int) else grown
            case _ if isinstance(value, str):
                holder[key] = random.choice(TEXTS)
            case _:
                holder[key] = deepcopy(random.choice(self.values))
        return body

    def learn(self, status: int, headers: dict[str, str]) -> None:
        """Take up the entity tags and jobs that an answer names."""
        if "etag" in headers:
            self.tags = [*self.tags[-20:], headers["etag"]]
        if status == 202 and "location" in headers:
            self.jobs = [*self.jobs[-20:], headers["location"].rpartition("/")[2]]


def places_of(body: Any) -> list[tuple[Any, Any]]:
    """Every holder of a value, with the value's key."""
    found: list[tuple[Any, Any]] = []
    for key, value in body.items() if isinstance(body, dict) else enumerate(body) if isinstance(body, list) else ():
        found += [(body, key), *places_of(value)]
    return found


def nodes_of(body: Any) -> list[Any]:
    """A body and every value in it."""
    return [body, *(holder[key] for holder, key in places_of(body))]


def deep(levels: int) -> Any:
    """Lists in lists."""
    found: Any = 1
    for _ in range(levels):
        found = [found]
    return found


def text_of(value: Any) -> str:
    """An example as it stands in an address."""
    return value if isinstance(value, str) else json.dumps(value)


def change_query(random: Random, sent: Sent) -> None:
    """Change, double, add or drop a parameter."""
    match random.randrange(4):
        case 0 if sent.query:
            sent.query.append((random.choice(sent.query)[0], random.choice(TEXTS)))
        case 1:
            sent.query.append(
                (random.choice(("units", "limit", "cursor", "fields", "key", *TEXTS)), random.choice(TEXTS))
            )
        case 2 if sent.query:
            sent.query.pop()
        case _ if sent.query:
            at = random.randrange(len(sent.query))
            value = random.choice((*TEXTS, *map(text_of, NUMBERS[:-5])))
            sent.query[at] = (sent.query[at][0], value)


def change_headers(random: Random, sent: Sent) -> None:
    """Add an odd header, or lose one."""
    if random.random() < 0.2 and len(sent.headers) > 1:
        sent.headers.pop(random.randrange(1, len(sent.headers)))
        return
    value = random.choice((*VALUES, *(text for text in TEXTS if "\r" not in text and "\x00" not in text)))
    sent.headers.append((random.choice(HEADERS), value))


def change_path(random: Random, sent: Sent) -> None:
    """Put something odd in the place of a part of the address."""
    parts = sent.path.split("/")
    at = random.randrange(1, len(parts))
    parts[at] = random.choice((*map(odd, TEXTS), "%00", "%ff", "%c0%ae%c0%ae", "..", ".", "%2e%2e", "%", "%zz", ";a=b"))
    sent.path = "/".join(parts) or "/"


def change_method(random: Random, sent: Sent) -> None:
    """Ask by another method."""
    sent.method = random.choice(METHODS)
    sent.broken |= sent.method == "CONNECT"


def change_bytes(random: Random, sent: Sent) -> None:
    """Spoil the bytes of the body."""
    body = bytearray(sent.body or b"{}")
    match random.randrange(6):
        case 0:
            body = body[: random.randrange(len(body) + 1)]
        case 1:
            at = random.randrange(len(body) + 1)
            body[at:at] = random.randbytes(random.choice((1, 4, 40)))
        case 2 if body:
            body[random.randrange(len(body))] = random.randrange(256)
        case 3:
            body = bytearray(
                bytes(body).decode("utf-8", "replace").encode(random.choice(("utf-16", "utf-32", "utf-7")))
            )
        case 4:
            body = bytearray(b"\xef\xbb\xbf") + body
        case _:
            body = bytearray(b"[" * random.choice((100, 5000)) + body)
    sent.body = bytes(body)


def spare_head(random: Random, sent: Sent) -> None:
    """Let one header be no header at all, or many."""
    kind = random.randrange(4)
    if kind == 0:
        sent.headers += [(f"x-odd-{number}", "1") for number in range(random.choice((50, 300)))]
        return
    sent.broken = True
    wrong = (("bad name", "1"), ("x-odd", "a\nb: c"), ("host", "elsewhere.invalid"), ("x-odd\x00", "1"))
    sent.headers.append(random.choice(wrong))


def lie_about_length(random: Random, sent: Sent) -> None:
    """Let the length of the body be another, or told twice."""
    sent.broken = True
    wrong = (
        ("content-length", "5"),
        ("content-length", "-1"),
        ("content-length", "1e3"),
        ("transfer-encoding", "chunked"),
    )
    sent.headers.append(random.choice((*wrong, ("transfer-encoding", "gzip, chunked"), ("content-length", "9" * 40))))
