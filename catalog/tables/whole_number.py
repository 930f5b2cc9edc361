"""Whole numbers as JSON and tables have them."""

from typing import Annotated, Any

from pydantic import BeforeValidator


def whole(value: Any) -> Any:
    """Return 3.0 as 3: to JSON, which knows no integers, they are one number; anything else is left as it is."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


Whole = Annotated[int, BeforeValidator(whole)]
