"""The functions for cells of sheets in the cloud, as a script to paste into the script editor of a sheet."""

from functools import cache
from importlib.resources import files

from api.settings.service_address import usual_address


def script_for(service: str) -> str:
    """Return the script that asks the service at an address."""
    return _script().replace(f'"{usual_address()}"', f'"{service}"', 1)


@cache
def _script() -> str:
    """Return the script as it is packed, with the usual address."""
    return files("api").joinpath("cells", "online", "functions.js").read_text("utf-8")
