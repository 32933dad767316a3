"""The workbench of the tests on a real port, and pages let in, watched for what must never happen."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any

import pytest
import uvicorn
from tests.web.fake import FakeWorkbench

from tenbetween.web.app import create_app
from tenbetween.web.security import Door

TOKEN = "one-time-token-of-the-tests"


class Quiet(uvicorn.Server):
    """A server in a thread, which takes no signals."""

    def install_signal_handlers(self) -> None:
        """Leave signals to the test run."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave signals to the test run."""
        yield


@contextmanager
def served(workbench: Any, token: str = TOKEN) -> Iterator[Door]:
    """Serve a workbench on a port nobody else has; the socket is ours before its number is known to anybody."""
    with closing(socket.socket()) as listening:
        listening.bind(("127.0.0.1", 0))
        door = Door(listening.getsockname()[1], token)
        config = uvicorn.Config(create_app(workbench, door), log_level="error", lifespan="off", ws="none")
        server = Quiet(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            assert thread.is_alive(), "the server ended before it began"
            time.sleep(0.01)
        yield door
        server.should_exit = True
        thread.join(5)


@pytest.fixture(scope="module")
def home() -> Iterator[str]:
    with served(FakeWorkbench()) as door:
        yield f"http://127.0.0.1:{door.port}"


@pytest.fixture(scope="module")
def state(browser: Any, home: str) -> Any:
    """What a browser keeps after the launch address."""
    with closing(browser.new_context()) as context:
        context.new_page().goto(f"{home}/?t={TOKEN}")
        return context.storage_state()


@pytest.fixture
def open_page(browser: Any, home: str, state: Any) -> Iterator[Callable[..., Any]]:
    """Open a page let in; at the end no error was on its console and nothing left this machine.

    ``expected`` is the part of a console line that a page answered with 400 on purpose brings.
    """
    contexts, wrong, allowed = [], [], []

    def opened(
        path: str = "/", *, width: int = 1280, height: int = 800, expected: str = "", **more: Any
    ) -> Any:
        allowed.append(expected)
        context = browser.new_context(
            viewport={"width": width, "height": height}, storage_state=state, **more
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(8000)
        page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
        page.on(
            "console", lambda line: wrong.append(line.text) if line.type in ("error", "warning") else None
        )
        page.on("request", lambda asked: wrong.append(asked.url) if _leaves(asked.url, home) else None)
        page.goto(home + path)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [line for line in wrong if not any(words and words in line for words in allowed)] == []


def _leaves(url: str, home: str) -> bool:
    return not url.startswith((home + "/", "data:", "blob:", "about:"))
