"""Serving on the command line."""

import argparse

from api.answering.caller import is_loopback
from api.app.port import PortConfig, serve_port
from api.app.worker import worker_environment
from api.middleware.request_log import LOG_CONFIG
from api.settings.settings import Settings

OK, FAILED = 0, 4
_WORKER_SILENCE_S = 60  # a worker under full load may be silent for a while; one that hangs is replaced


def serve(asked: argparse.Namespace) -> int:
    """Serve until stopped."""
    names = ("host", "port", "workers", "one_user")
    given = {name: getattr(asked, name) for name in names if getattr(asked, name) is not None}
    settings = Settings(**given)
    if "one_user" not in settings.model_fields_set:
        given["one_user"] = is_loopback(settings.host)
    with worker_environment(given, workers=settings.workers):
        config = PortConfig(
            "api.app.worker:warm_app",
            factory=True,
            workers=settings.workers,
            host=settings.host,
            port=settings.port,
            server_header=False,
            access_log=False,
            http="api.middleware.slow_client:SlowClientProtocol",
            ws="none",
            log_config=LOG_CONFIG,
            timeout_graceful_shutdown=settings.drain_seconds,
            timeout_worker_healthcheck=_WORKER_SILENCE_S,
        )
        return OK if serve_port(config) else FAILED
