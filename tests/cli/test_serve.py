"""The workbench as a process: it says its address, answers on this machine, and leaves nothing of a demo behind."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import urllib.request
from pathlib import Path

import pytest


@pytest.mark.alone
@pytest.mark.parametrize("stop", [signal.SIGINT, signal.SIGTERM])
def test_the_demo_opens_answers_and_goes_away(
    command: tuple[str, ...], tmp_path: Path, stop: signal.Signals
) -> None:
    env = {**os.environ, "TMPDIR": str(tmp_path)}
    running = subprocess.Popen(
        (*command, "demo", "--no-browser"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env
    )
    try:
        assert running.stdout is not None
        found = re.fullmatch(r"open: (http://127\.0\.0\.1:\d+/\?t=\S+)\n", running.stdout.readline())
        assert found, "the first line is the address"
        page = open_when_ready(found[1])
        assert "Tenbetween" in page
        assert len(list(tmp_path.iterdir())) == 1
    finally:
        running.send_signal(stop)
        _, told = running.communicate(timeout=20)
    assert "Traceback" not in told
    assert list(tmp_path.iterdir()) == []


def open_when_ready(address: str) -> str:
    """Return the first page, as a browser with cookies opens it; the server needs a moment after its first line."""
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    for _ in range(200):
        try:
            with opener.open(address, timeout=10) as answer:
                return str(answer.read().decode())
        except ConnectionError:
            continue
        except OSError as fault:
            if not isinstance(getattr(fault, "reason", None), ConnectionRefusedError):
                raise
            signal.sigtimedwait([], 0.05)
    raise AssertionError("nobody answered")
