"""Listening on the loopback address, and serving until the end."""

from __future__ import annotations

import multiprocessing
import os
import signal
import socket
import threading
from pathlib import Path

import uvicorn

from cli.desk.desk import Desk
from cli.desk.server import desk_app
from sync.errors import InputError

LOOPBACK = "127.0.0.1"


def listening(port: int) -> socket.socket:
    """A socket that only this machine can reach; port 0 for one that is free. Raises InputError."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if port:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
    except OSError as error:
        raise InputError(f"port {port} cannot be used: {error.strerror}; leave --port out") from error
    listener.listen()
    return listener


def begin_worker() -> None:
    """In a process that follows talks: the desk's answers go before, and it ends with Ctrl-C or with the desk."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    if hasattr(os, "nice"):
        os.nice(10)
    threading.Thread(target=_end_with_desk, daemon=True).start()


def _end_with_desk() -> None:
    """Else it would wait for work for ever when the desk was killed."""
    desk = multiprocessing.parent_process()
    if desk is not None:
        desk.join()
        os._exit(0)


def serve(desk: Desk, media: Path | None, token: str, listener: socket.socket) -> None:
    """Serves the desk until the process is asked to end; raises KeyboardInterrupt then."""
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    app = desk_app(desk, media, token, listener.getsockname()[1])
    config = uvicorn.Config(
        app, log_level="critical", lifespan="off", ws="none", server_header=False, timeout_graceful_shutdown=1
    )
    uvicorn.Server(config).run(sockets=[listener])
