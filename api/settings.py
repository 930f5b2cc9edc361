"""Settings, each an environment variable KITWRIGHT_NAME."""

import os

from pydantic import Field
from pydantic_settings import BaseSettings, SettingsConfigDict


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
