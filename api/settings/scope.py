"""What keys may do."""

from typing import Literal

Scope = Literal["read", "plan", "write", "sheet"]
SCOPES: tuple[Scope, ...] = ("read", "plan", "write")  # each may do what those before it may
SHEET: Scope = "sheet"  # plans from cells alone, and stands in their addresses: cells send no headers
