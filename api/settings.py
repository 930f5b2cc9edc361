"""Settings, each an environment variable KITWRIGHT_NAME."""

import os
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StringConstraints
from pydantic_settings import BaseSettings, NoDecode, SettingsConfigDict

ORIGIN = r"^(\*|https?://([a-z0-9.-]+|\[[0-9a-f:.]+\])(:[0-9]{1,5})?)$"  # as browsers send it (RFC 6454, 6.1)


def listed(value: Any) -> Any:
    """Return a text of origins, separated by commas or spaces, as a list."""
    return value.replace(",", " ").split() if isinstance(value, str) else value


Origins = Annotated[tuple[Annotated[str, StringConstraints(pattern=ORIGIN)], ...], NoDecode, BeforeValidator(listed)]


class Settings(BaseSettings):
    """What an operator may set."""

    model_config = SettingsConfigDict(env_prefix="KITWRIGHT_", extra="ignore")

    host: str = "127.0.0.1"
    port: int = Field(8321, ge=0, le=65535)
    max_body_bytes: int = Field(16 * 1024 * 1024, ge=1024)
    solves: int = Field(default_factory=lambda: os.cpu_count() or 1, ge=1)
    solve_nodes: int = Field(200_000, ge=1)
    solve_seconds: float = Field(30.0, gt=0)
    solver: str = Field("highs", pattern="^(highs|cbc)$")
    cors_origins: Origins = Field((), description="Origins whose pages may read answers; * for any.")
    frame_ancestors: Origins = Field((), description="Origins that may frame /embed/frame, beside its own.")
