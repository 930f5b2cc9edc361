"""The key that a request shows: in a header, or in the address of a cell, which sends none."""

from dataclasses import dataclass

from fastapi import HTTPException
from starlette.requests import Request

_SHEETS = "/v1/sheet/"  # where alone a key may stand in the address


@dataclass(frozen=True)
class _ShownKey:
    """The text of a key as it is shown; empty where a header holds none that can be read."""

    text: str
    in_address: bool
    is_key: bool = True  # else the header has another scheme, as a proxy's


def shown_key(request: Request) -> _ShownKey | None:
    """Return the key that a request shows, good or not."""
    given = request.headers.get("authorization")
    if given is not None:
        scheme, _, text = given.partition(" ")
        is_key = scheme.lower() == "bearer"
        return _ShownKey(text.strip() if is_key else "", in_address=False, is_key=is_key)
    if not request.scope["path"].startswith(_SHEETS):
        return None
    in_address = request.query_params.get("key", "").strip()
    return _ShownKey(in_address, in_address=True) if in_address else None


def unauthorized(detail: str, *, error: str = "") -> HTTPException:
    """Return a 401 that says how to show a key."""
    return HTTPException(401, detail, {"WWW-Authenticate": f'Bearer realm="kitwright"{error and "," + error}'})


def wrong_key(*, in_address: bool) -> HTTPException:
    """Return the 401 to a key that opens nothing, or does not belong where it stands."""
    header, address = (
        "the key is unknown, revoked or expired",
        "the key in the address is not a valid sheet key; make one by `kitwright key create --scope sheet`",
    )
    return unauthorized(address if in_address else header, error=' error="invalid_token"')
