"""The address of the service that a file asks: the one that it is fetched from, one that is stated, or the usual."""

import re

from api.settings.refused import Refused
from api.settings.settings import Settings

_ADDRESS = re.compile(r"https?://[A-Za-z0-9._:\[\]-]{1,255}")  # what a Host header makes of it may be anything


def usual_address() -> str:
    """Return where the service is usually to be found."""
    fields = Settings.model_fields
    return f"http://{fields['host'].default}:{fields['port'].default}"


def address_of(base_url: object) -> str:
    """Return the address by which a request names the service; the usual one where it names none."""
    named = str(base_url).rstrip("/")
    return named if _ADDRESS.fullmatch(named) else usual_address()


def stated_address(text: str | None) -> str:
    """Return an address as stated; the usual one where none is.

    Raises:
        Refused: it is none.
    """
    address = (text or usual_address()).rstrip("/")
    if not _ADDRESS.fullmatch(address):
        raise Refused(f"{text} is no address of a service\nit must be like {usual_address()}")
    return address
