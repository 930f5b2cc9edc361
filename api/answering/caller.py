"""Who asks, and what they may do: by their key, or as the one user of a service whose settings allow one."""

from collections.abc import Callable
from dataclasses import dataclass
from ipaddress import ip_address
from typing import Annotated

from fastapi import Depends, HTTPException, Request, Security
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer

from api.http.app_settings import settings_of
from api.http.request_key import shown_key, unauthorized, wrong_key
from api.middleware.cross_origin import own_origin
from api.settings.scope import AUDIT, SCOPES, SHEET, Scope
from api.store.database import store_of
from api.store.key import StoredKey, any_key, find_key, is_in_use, used_now

JOB_CALLER = "kitwright.job_caller"  # in the scope of a request that is a job: who asked for it
_LOCAL = "local"  # owner of what the one user stores; `kitwright key create --owner local` gives it a key
_PROXIED = ("forwarded", "via", "client-ip", "x-client-ip", "x-cluster-client-ip", "x-real-ip", "true-client-ip")
_ALSO_PROXIED = "x-forwarded"  # -for, -host, -proto...
_OWN_SITE = ("same-origin", "none")  # Sec-Fetch-Site of own pages, and of an address typed in
_BEARER = HTTPBearer(
    auto_error=False,
    scheme_name="key",
    description="A key of `kitwright key create`. Without keys, `kitwright serve` on loopback serves its one user.",
)
Credentials = Annotated[HTTPAuthorizationCredentials | None, Security(_BEARER)]


@dataclass(frozen=True)
class Caller:
    """Whose catalogs a request means, by which key (None = the one user), and whether it may read of all owners."""

    owner: str
    key: str | None
    audits: bool = False


def _allowed(scope: Scope) -> Callable[[Request, HTTPAuthorizationCredentials | None], Caller]:
    """Return the dependency that lets in whoever may do what the scope asks for."""

    def caller(request: Request, _: Credentials) -> Caller:
        return caller_of(request, scope)

    return caller


def _auditor(request: Request, _: Credentials) -> Caller:
    """Return who reads changes: their own, or with a key of that scope those of all."""
    return caller_of(request, "read", or_audit=True)


def caller_of(request: Request, scope: Scope, *, or_audit: bool = False) -> Caller:
    """Return who asks.

    Args:
        request: the request.
        scope: what a key must allow.
        or_audit: whether a key that only reads changes will do.

    Raises:
        HTTPException: 401 without a good key, 403 with one that may do less.
        StoreDown: the store can't be used now.
    """
    if (asker := request.scope.get(JOB_CALLER)) is not None:
        return _still(request, asker)
    if (shown := shown_key(request)) is None:
        return _one_user(request)
    if shown.in_address:
        return _by_sheet_key(request, shown.text)
    with store_of(request).reading() as connection:
        key = find_key(connection, shown.text)
    if key is None:
        raise wrong_key(in_address=False)
    if not key.may(scope) and not (or_audit and key.scope == AUDIT):
        less = "only be used in addresses of cells" if key.scope == SHEET else key.scope
        detail = f"the key may {less}; this request needs a key that may {scope}"
        raise HTTPException(403, detail, {"WWW-Authenticate": f'Bearer error="insufficient_scope", scope="{scope}"'})
    return _by_key(request, key)


def planner_of(request: Request) -> Caller | None:
    """Return whose jobs a request makes; None where it shows no key and is not of the one user.

    Raises:
        HTTPException: 401 with a wrong key, 403 with one that may not plan, or with one in the address.
        StoreDown: the store can't be used now.
    """
    if request.query_params.get("key", "").strip():
        raise HTTPException(403, "a key in the address makes no jobs; send one that may plan by Authorization alone")
    if request.headers.get("authorization") is not None:
        return caller_of(request, "plan")
    try:
        return _one_user(request)
    except HTTPException:
        return None


def _still(request: Request, asker: Caller) -> Caller:
    """Return who asked for a job, while their key opens anything.

    Raises:
        HTTPException: 401 once it does not.
    """
    if asker.key is not None:
        with store_of(request).reading() as connection:
            if not is_in_use(connection, asker.key):
                raise unauthorized("the key by which the job was made is revoked or expired")
    return asker


def _by_sheet_key(request: Request, text: str) -> Caller:
    """Return whose sheet key an address of a cell carries; any other key does not belong into an address.

    Raises:
        HTTPException: 401 for another.
        StoreDown: the store can't be used now.
    """
    with store_of(request).reading() as connection:
        key = find_key(connection, text)
    if key is None or key.scope != SHEET:
        raise wrong_key(in_address=True)
    return _by_key(request, key)


def _by_key(request: Request, key: StoredKey) -> Caller:
    """Return whose key was shown, and note that it is in use."""
    if note := used_now(key):
        store_of(request).note(note)
    return Caller(key.owner, key.id, key.scope == AUDIT)


def _one_user(request: Request) -> Caller:
    """Return the one user, where the settings allow one, no key was ever made and only this machine is served.

    Raises:
        HTTPException: 401 else.
    """
    if not (settings_of(request).one_user and _reached_from_here(request)):
        raise unauthorized("stored catalogs need a key; send Authorization: Bearer KEY")
    with store_of(request).reading() as connection:
        if any_key(connection):
            raise unauthorized("this service uses keys; send Authorization: Bearer KEY")
    return Caller(_LOCAL, None)


def _reached_from_here(request: Request) -> bool:
    """Tell whether the service listens to this machine alone, and the request came straight from it.

    A proxy on this machine that adds no header can't be told from its user: behind one, `one_user` must be off. The
    Host must name this machine too: a page whose name was made to point here (DNS rebinding) keeps its own. And
    a page of another origin, which the settings may let read plans (CORS), is never the one user; nor is one that
    a browser tells of by Sec-Fetch-Site alone, as for scripts and images (Fetch Metadata, W3C).
    """
    server, client = request.scope.get("server"), request.client
    ends = (settings_of(request).host, server[0] if server else "", client.host if client else "")
    straight = not any(name in _PROXIED or name.startswith(_ALSO_PROXIED) for name in request.headers)
    own_page = request.headers.get("origin", own_origin(request)) == own_origin(request)
    own_site = request.headers.get("sec-fetch-site", "none").lower() in _OWN_SITE
    netloc = request.url.netloc  # made of Host and path: what stands before an @, or behind a /, is lost from its name
    whole = "@" not in netloc and request.headers.getlist("host") == [netloc]
    from_here = all(is_loopback(end) for end in (*ends, request.url.hostname or ""))
    return straight and own_page and own_site and whole and from_here


def is_loopback(name: str) -> bool:
    """Tell whether a name or address is this machine's own."""
    if name.lower() == "localhost":
        return True
    try:
        return ip_address(name).is_loopback
    except ValueError:
        return False


READ, PLAN, WRITE = (Depends(_allowed(scope)) for scope in SCOPES)
Reader = Annotated[Caller, READ]
Planner = Annotated[Caller, PLAN]
Writer = Annotated[Caller, WRITE]
Auditor = Annotated[Caller, Depends(_auditor)]
