"""The key that a request shows: in a header, or in the address of a cell, which sends none."""

from dataclasses import dataclass

from starlette.requests import Request

_SHEETS = "/v1/sheet/"  # where alone a key may stand in the address


@dataclass(frozen=True)
class _ShownKey:
    """The text of a key as it is shown; empty where a header holds none that can be read."""

    text: str
    in_address: bool


def shown_key(request: Request) -> _ShownKey | None:
    """Return the key that a request shows, good or not."""
    given = request.headers.get("authorization")
    if given is not None:
        scheme, _, text = given.partition(" ")
        return _ShownKey(text.strip() if scheme.lower() == "bearer" else "", in_address=False)
    if not request.scope["path"].startswith(_SHEETS):
        return None
    in_address = request.query_params.get("key", "").strip()
    return _ShownKey(in_address, in_address=True) if in_address else None
