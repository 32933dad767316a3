"""A client that was let in, and one that was not, for the screens over the workbench of the tests."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.fake import FakeWorkbench

from tenbetween.web.app import create_app
from tenbetween.web.security import Door

PORT = 8740
HOME = f"http://127.0.0.1:{PORT}"
TOKEN = "one-time-token-of-the-tests"
PAGE = {"accept": "text/html"}
OWN = {"origin": HOME, "sec-fetch-site": "same-origin"}


@pytest.fixture
def bench() -> FakeWorkbench:
    return FakeWorkbench()


@pytest.fixture
def door() -> Door:
    return Door(PORT, TOKEN)


@pytest.fixture
def stranger(bench: FakeWorkbench, door: Door) -> Any:
    """A browser nobody let in."""
    app = create_app(bench, door)
    return TestClient(app, base_url=HOME, follow_redirects=False, raise_server_exceptions=True)


@pytest.fixture
def client(stranger: Any) -> Any:
    """A browser that came in by the launch address."""
    assert stranger.get(f"/?t={TOKEN}").status_code == 303
    return stranger
