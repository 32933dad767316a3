"""The walls: what is turned away, with which code, and that directions come with it."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.web.conftest import HOME, OWN, PAGE, PORT, TOKEN

from tenbetween.web import security
from tenbetween.web.app import create_app

SAVE = {"line": '{"attacking":"right","stopped_by":"game_start"}'}


def errors(answer: Any) -> list[dict[str, str]]:
    found = answer.json()["errors"]
    assert all(set(one) == {"where", "found", "expected", "do"} and all(one.values()) for one in found)
    return list(found)


# -- token and session ----------


def test_the_launch_address_opens_once_and_moves_to_a_clean_one(stranger: Any) -> None:
    answer = stranger.get(f"/?t={TOKEN}&line=x")
    assert (answer.status_code, answer.headers["location"]) == (303, "/?line=x")
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith(f"tenbetween_{PORT}=")
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {part.strip() for part in cookie.split(";")}
    assert TOKEN not in cookie


def test_a_replayed_token_is_401_for_a_new_browser(bench: Any, door: Any) -> None:
    app = create_app(bench, door)
    first, second = (TestClient(app, base_url=HOME, follow_redirects=False) for _ in range(2))
    assert first.get(f"/?t={TOKEN}").status_code == 303
    again = second.get(f"/?t={TOKEN}")
    assert again.status_code == 401
    assert "tenbetween" in errors(again)[0]["do"]
    assert second.get("/").status_code == 401
    # the browser that is in already may reload its launch address
    assert first.get(f"/?t={TOKEN}").status_code == 303


@pytest.mark.parametrize("token", ["", "wrong", TOKEN + "x", "é", TOKEN.upper()])
def test_a_wrong_token_opens_nothing_and_spends_nothing(stranger: Any, token: str) -> None:
    assert stranger.get("/", params={"t": token}).status_code == 401
    assert stranger.get(f"/?t={TOKEN}").status_code == 303


def test_without_a_session_every_page_is_401_with_a_way_back(stranger: Any) -> None:
    for path in ("/", "/book", "/history", "/games", "/nothing-here"):
        answer = stranger.get(path, headers=PAGE)
        assert answer.status_code == 401, path
        assert f'href="{path}"' in answer.text
    assert stranger.post("/api/v1/answer", json={}, headers=OWN).status_code == 401


def test_a_made_up_cookie_is_no_session(stranger: Any) -> None:
    for value in ("", "x", "a" * 5000, '"broken', "tenbetween_8740=x"):
        answer = stranger.get("/", headers={"cookie": f"tenbetween_{PORT}={value}"})
        assert answer.status_code == 401


def test_a_cookie_of_another_port_is_no_session(client: Any) -> None:
    session = client.cookies.get(f"tenbetween_{PORT}")
    client.cookies.clear()
    assert client.get("/", headers={"cookie": f"tenbetween_{PORT + 1}={session}"}).status_code == 401
    assert client.get("/", headers={"cookie": f"tenbetween_{PORT}={session}"}).status_code == 200


# -- host, origin, method ----------


@pytest.mark.parametrize(
    "host",
    ["rebound.example", f"rebound.example:{PORT}", "127.0.0.1", "127.0.0.1:80", f"127.0.0.1.example:{PORT}",
     f"0.0.0.0:{PORT}", f"[::1]:{PORT}", f"127.0.0.1:{PORT}@x", ""],
)  # fmt: skip
def test_another_host_name_is_refused(client: Any, host: str) -> None:
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 400
    assert errors(answer)[0]["where"] == "Host"


@pytest.mark.parametrize("host", [f"127.0.0.1:{PORT}", f"localhost:{PORT}", f"LOCALHOST:{PORT}"])
def test_our_own_names_are_let_in(client: Any, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code in (200, 401)


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
        {"origin": "http://rebound.example"},
        {"origin": "null"},
        {"origin": f"http://127.0.0.1:{PORT + 1}"},
        {"origin": f"http://localhost:{PORT}"},
        {"origin": f"https://127.0.0.1:{PORT}"},
        {"sec-fetch-site": "same-site", "origin": HOME},
        {"sec-fetch-site": "same-origin", "origin": f"http://127.0.0.1:{PORT + 1}"},
    ],
)
def test_a_change_asked_for_by_another_page_is_refused(
    client: Any, bench: Any, headers: dict[str, str]
) -> None:
    answer = client.post("/keep/answer", data=SAVE, headers=headers)
    assert answer.status_code == 403
    assert errors(answer)[0]["where"] == "Origin"
    assert bench.kept == []


@pytest.mark.parametrize("headers", [OWN, {"origin": HOME}, {"sec-fetch-site": "same-origin"}])
def test_our_own_page_may_change_things(client: Any, bench: Any, headers: dict[str, str]) -> None:
    assert client.post("/keep/answer", data=SAVE, headers=headers).status_code == 303
    assert len(bench.kept) == 1


def test_other_methods_are_405(client: Any) -> None:
    assert client.request("TRACE", "/").status_code == 405
    assert client.request("OPTIONS", "/").status_code == 405
    assert client.post("/", headers=OWN).status_code == 405
    assert client.get("/undo").status_code == 405


# -- size and paths ----------


def test_a_large_body_is_413_said_or_unsaid(client: Any) -> None:
    big = b"x" * (security.LARGEST_BODY + 1)
    said = client.post("/games", content=big, headers=OWN)
    assert said.status_code == 413

    def pieces() -> Any:
        yield from (big[:1000] for _ in range(len(big) // 1000 + 2))

    form = {"content-type": "application/x-www-form-urlencoded"}
    unsaid = client.post("/api/v1/answer", content=pieces(), headers={**OWN, **form})
    assert unsaid.status_code == 413


def test_a_broken_length_is_400_and_a_long_address_414(client: Any) -> None:
    assert client.get("/", headers={"content-length": "many"}).status_code == 400
    assert client.get("/", params={"line": "x" * 9000}).status_code == 414


@pytest.mark.parametrize(
    "path",
    [
        "/static/../pyproject.toml",
        "/static/%2e%2e/%2e%2e/app.py",
        "/static/x/..%2f..%2fapp.py",
        "/static/x/..%5c..%5capp.py",
        "/static/x/css/tokens.css%00.js",
        "/static//etc/passwd",
        "/book/..%2f..%2fetc",
    ],
)
def test_path_tricks_lead_nowhere(client: Any, path: str) -> None:
    answer = client.get(path, headers=PAGE)
    assert answer.status_code in (400, 404)
    assert "import" not in answer.text
    assert "root:" not in answer.text


# -- headers and faults ----------


def test_every_answer_carries_the_safety_headers(client: Any, stranger: Any) -> None:
    for path in ("/", "/book", "/favicon.ico", "/nothing-here", "/part?cause=nothing"):
        headers = client.get(path).headers
        for name, value in security.HEADERS:
            if name != "cache-control":
                assert headers[name] == value, (path, name)
    policy = client.get("/").headers["content-security-policy"]
    assert "unsafe" not in policy
    assert "http:" not in policy
    assert "server" not in client.get("/").headers


def test_static_files_are_kept_for_good_under_the_digest_of_them_all(client: Any) -> None:
    from tenbetween.web.assets import FOREVER, load_assets

    assets = load_assets()
    for name in assets.files:
        answer = client.get(assets.url(name))
        assert (answer.status_code, answer.headers["cache-control"]) == (200, FOREVER), name
        assert answer.content == assets.files[name]
    assert client.get("/static/000000000000/css/tokens.css").status_code == 404


class BrokenBench:
    """Breaks at every call, as no workbench should."""

    def __getattr__(self, name: str) -> Any:
        raise ZeroDivisionError("a secret of the inside")


def test_an_unforeseen_fault_is_500_in_words_and_never_a_traceback(door: Any, caplog: Any) -> None:
    client = TestClient(create_app(BrokenBench(), door), base_url=HOME, follow_redirects=False)
    client.get(f"/?t={TOKEN}")
    page = client.get("/", headers=PAGE)
    assert page.status_code == 500
    assert "Nothing was changed" in page.text
    for text in (page.text, client.get("/part").text, client.get("/").text):
        assert "Traceback" not in text
        assert "secret" not in text
    assert "ZeroDivisionError" in caplog.text  # the log has what the page has not


def test_a_websocket_is_closed(client: Any) -> None:
    from starlette.websockets import WebSocketDisconnect

    with pytest.raises(WebSocketDisconnect), client.websocket_connect("/"):
        pass


def test_a_door_is_only_of_this_machine_and_its_token_cannot_be_guessed() -> None:
    one, other = security.new_door(1), security.new_door(1)
    assert one.host == "127.0.0.1"
    assert one.token != other.token
    assert len(one.token) >= 32
