"""What every drawing has in common."""

from typing import Any

from pydantic import ConfigDict

from catalog.tables.python_form import PythonForm


class Drawing(PythonForm):
    """What every drawing has in common: unknown keys, coerced text and infinities are refused."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)


def formed(schema: dict[str, Any]) -> None:
    """Let the schema of a drawing ask for its form: from outside the form tells which drawing it is."""
    schema["properties"]["form"].pop("default")
    schema["required"] = ["form", *schema["required"]]
