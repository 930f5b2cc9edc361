"""The settings of the app that a request goes to."""

from fastapi import Request

from api.settings.settings import Settings


def settings_of(request: Request) -> Settings:
    """Return the app's settings."""
    settings: Settings = request.app.state.settings
    return settings
