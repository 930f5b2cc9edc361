"""What keys may do."""

from typing import Literal

Scope = Literal["read", "plan", "write", "sheet", "audit"]
SCOPES: tuple[Scope, ...] = ("read", "plan", "write")  # each may do what those before it may
SHEET: Scope = "sheet"  # plans from cells alone, and stands in their addresses: cells send no headers
AUDIT: Scope = "audit"  # reads who changed what, of all owners, and nothing else
