"""A port that several workers share: each opens it for itself, and the kernel deals the connections out among them.

Workers that take connections from one socket take them in bursts: whoever wakes first takes all that wait, and a client
with sixteen connections may have them all at one worker (observed), while the other is idle.
"""

import socket
import sys
from typing import Any

import uvicorn

from api.app.supervisor import Supervisor

_DEALS_OUT = sys.platform == "linux"  # elsewhere SO_REUSEPORT means something else, or is not there


class _SharedPort(socket.socket):
    """A port held in one process; in another to which it is handed, it is opened anew."""

    def __reduce__(self) -> Any:
        """Hand on the address, not the socket."""
        return _opened, (self.family, self.getsockname())


def _opened(family: socket.AddressFamily, address: Any) -> _SharedPort:
    """Return a port opened beside those who have it open already (socket(7), SO_REUSEPORT)."""
    port = _SharedPort(family)
    port.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    port.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
    port.bind(address)
    return port


class PortConfig(uvicorn.Config):
    """uvicorn's settings, but for the port of several workers."""

    def bind_socket(self) -> socket.socket:
        """Return the port, once it is known that nobody else has it."""
        alone = super().bind_socket()
        if self.workers == 1 or not _DEALS_OUT:
            return alone
        address = alone.getsockname()
        alone.close()
        return _opened(alone.family, address)


def serve_port(config: PortConfig) -> bool:
    """Serve until stopped; tell whether it ever began."""
    if config.workers > 1:
        Supervisor(config, sockets=[config.bind_socket()]).run()
        return True
    server = uvicorn.Server(config)
    server.run()
    return server.started
