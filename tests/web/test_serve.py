"""A port for the workbench: the usual one, the next one when it is taken, and directions when none is left."""

from __future__ import annotations

import socket
from contextlib import closing
from typing import Any

import pytest

from tenbetween.errors import UsageError
from tenbetween.web import serve


def test_the_next_free_port_is_taken_and_a_named_one_is_not_replaced() -> None:
    with closing(socket.socket()) as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
        assert serve.free_port(port) != port
        with pytest.raises(UsageError) as raised:
            serve.free_port(port, exactly=True)
    assert "in use" in raised.value.problems[0].found


def test_serving_says_the_launch_address_and_opens_a_browser_only_when_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    said: list[str] = []
    opened: list[str] = []
    ran: list[Any] = []
    monkeypatch.setattr(serve, "run", lambda workbench, door: ran.append(door))
    monkeypatch.setattr(serve.webbrowser, "open", opened.append)
    serve.serve(object(), announce=said.append, open_browser=False)  # type: ignore[arg-type]
    serve.serve(object(), announce=said.append, open_browser=True)  # type: ignore[arg-type]
    assert [door.address for door in ran] == said
    assert opened == said[1:]
    assert all(door.host == "127.0.0.1" for door in ran)
    assert ran[0].token != ran[1].token
