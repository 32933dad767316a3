"""Runs the workbench on this machine: a free port, one launch address, the browser opened with it.

Ends with the program that called it. Knows no page.
"""

from __future__ import annotations

import socket
import webbrowser
from collections.abc import Callable
from contextlib import closing

from tenbetween.errors import Problem, UsageError
from tenbetween.web.security import Door, new_door
from tenbetween.web.workbench import Workbench

USUAL_PORT = 8740
TRIED = 20


def free_port(wanted: int = USUAL_PORT, *, exactly: bool = False) -> int:
    """Return the wanted port when nobody listens on it, else one of the next ones.

    Raises:
        UsageError: the port is taken (``exactly``), or all that were tried.
    """
    for port in range(wanted, wanted + (1 if exactly else TRIED)):
        with closing(socket.socket()) as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
            return port
    found = f"port {wanted} in use" if exactly else f"ports {wanted} to {wanted + TRIED - 1} in use"
    raise UsageError(Problem("port", found, "a free port", "close the other workbench or name another port"))


def serve(
    workbench: Workbench,
    *,
    port: int | None = None,
    announce: Callable[[str], None] = print,
    open_browser: bool = True,
) -> None:
    """Serve until interrupted; ``announce`` gets the launch address, which opens the workbench once.

    Raises:
        UsageError: no free port.
    """
    door = new_door(free_port(port or USUAL_PORT, exactly=port is not None))
    announce(door.address)
    if open_browser:
        webbrowser.open(door.address)
    run(workbench, door)


def run(workbench: Workbench, door: Door) -> None:
    """Run the server of one door on 127.0.0.1, quietly, without naming itself."""
    import uvicorn

    from tenbetween.web.app import create_app

    config = uvicorn.Config(
        create_app(workbench, door),
        host=door.host,
        port=door.port,
        log_level="warning",
        access_log=False,
        server_header=False,
        lifespan="off",
        ws="none",
    )
    uvicorn.Server(config).run()
