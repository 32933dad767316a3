"""Every route once with its right input, and with every shape of wrong input: status, page and JSON."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Any
from urllib.parse import urlencode

import pytest
from tests.web.conftest import HOME, OWN, PAGE

from tenbetween.web.app import routes

LINE = json.dumps(
    {
        "edition": "us-hs-2025",
        "attacking": "right",
        "lead_side": "table",
        "crew": {"lead": "umpire"},
        "stopped_by": "out_of_bounds",
        "at": [58.0, 0.0],
        "ball_to": "same",
    },
    separators=(",", ":"),
)
ON = urlencode({"line": LINE})
READ = (
    "/", f"/?{ON}", "/?cause=common_foul&at=66,18", "/?attacks=left&cause=game_start&edition=us-hs-2023",
    "/book", "/book/us-hs-2025", "/book/us-hs-2025?q=lead+sideline", "/book/us-hs-2025?q=zzz",
    "/book/us-hs-2025/who.lead-line-high", "/book/take", "/book/take?edition=us-hs-2022", "/history", "/frozen",
    "/saved", "/officials", "/settings", "/settings?edition=fiba-2po",
    "/book/changes", "/book/changes?before=us-hs-2022&after=us-hs-2025", "/games", "/games/g1",
    "/court", f"/court?{ON}", "/plays", "/plays?provision=zzz", "/plays/p1", f"/share?{ON}",
    f"/question?{ON}", f"/write?{ON}", f"/keep/stamp?{ON}", f"/keep/advice?{ON}", f"/keep/frozen?{ON}",
    f"/keep/answer?{ON}", "/films", "/films/new?file=other-game", "/films/search", "/films/search?words=zzz",
    "/films/f1", "/films/f2", "/films/f1/court", "/films/f1/court?part=fp-second-half&pts=1000", "/films/f2/court",
    "/films/f1/show", "/films/f2/show",
    "/clips", "/clips?film=f1", "/clips?words=zzz", "/clips/c1", "/clips/c2", "/clips/c3", "/films/guide", "/films/f1/withdraw",
)  # fmt: skip


def get(client: Any, path: str) -> Any:
    answer = client.get(path, headers=PAGE)
    while answer.status_code == 303:
        answer = client.get(answer.headers["location"], headers=PAGE)
    return answer


def post(client: Any, path: str, **fields: str) -> Any:
    return client.post(path, data=fields, headers={**OWN, **PAGE})


# -- every page ----------


@pytest.mark.parametrize("path", READ)
def test_every_page_reads_without_scripts(client: Any, path: str) -> None:
    answer = get(client, path)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    text = answer.text
    assert re.search(r"<title>[^<]+</title>", text)
    assert text.count("<h1") == 1
    ids = re.findall(r'\bid="([^"]+)"', text)
    assert len(ids) == len(set(ids)), [name for name in ids if ids.count(name) > 1]
    if "/take" not in path:
        assert not re.search(r"\sstyle=|\son[a-z]+=|<style|javascript:", text)
        assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"\b(src|href|action)=\"(https?:)?//", text)


def test_every_link_on_every_page_leads_somewhere(client: Any) -> None:
    seen: set[str] = set()
    for path in READ:
        for href in re.findall(r'href="([^"#]+)[^"]*"', get(client, path).text):
            seen.add(unescape(href))
    plain = {href.split("?")[0] for href in seen}
    assert {"/", "/write", "/share", "/sheet.pdf", "/answer.png", "/answer.html", "/keep/stamp"} <= plain
    for href in sorted(seen)[::7]:
        assert get(client, href).status_code in (200, 400), href  # 400: a choice that needs another first
    for path in sorted(plain - {"/"}):
        whole = next(href for href in seen if href.split("?")[0] == path)
        assert get(client, whole).status_code == 200, whole


def test_no_route_is_left_untested() -> None:
    tested = {re.sub(r"\?.*", "", path) for path in READ}
    patterns = {route.path for route in routes() if "GET" in (route.methods or ())}  # type: ignore[attr-defined]
    elsewhere = {"/part", "/static/{digest}/{name:path}", "/favicon.svg", "/favicon.ico"}
    downloads = {
        "/court/made/{name}",
        "/sheet.pdf",
        "/sheet.svg",
        "/sheet.png",
        "/answer.png",
        "/answer.html",
        "/clips/list.{kind}",
        "/clips/{id}/look.mp4",
        "/clips/{id}/sheet.jpg",
        "/clips/{id}/take",
        "/media/{fingerprint}",
        "/media/{fingerprint}/frames",
        "/media/{fingerprint}/still/{pts:int}.jpg",
    }
    parts = {
        "/films/jobs",
        "/clips/making",
        "/clips/{id}/making",
        "/api/v1/films/{id}/cameras",
        "/api/v1/films/{id}/carrying/{job}",
        "/api/v1/films/{id}/pointers",
        "/api/v1/films/{id}/marks/{mark}",
        "/api/v1/films/{id}/measure",
    }
    downloads |= parts
    left = {p for p in patterns - elsewhere - downloads if not any(_fits(p, path) for path in tested)}
    assert left == set()


def _fits(pattern: str, path: str) -> bool:
    return re.fullmatch(re.sub(r"\{[^}]+\}", "[^/]+", pattern), path) is not None


# -- the first screen ----------


def test_an_answered_draft_moves_to_the_address_of_its_line(client: Any) -> None:
    answer = client.get("/?cause=out_of_bounds&at=58,0&ball=same&layers=none", headers=PAGE)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/?line=")
    page = client.get(answer.headers["location"], headers=PAGE).text
    assert "Old lead bounces it at the table sideline" in page
    assert "Switch: <b>yes</b>" in page


def test_the_typed_line_sets_the_screen_and_its_reload_is_the_same_page(client: Any) -> None:
    typed = get(client, "/?line=out+off+dark%2C+table+26%2C+white").text
    assert "Ball out of bounds off Dark" in typed
    assert "table sideline, 26\u00a0ft" in typed


def test_a_line_that_cannot_be_read_keeps_what_was_typed_and_says_what_to_do(client: Any) -> None:
    answer = client.get("/?line=out+of+nowhere", headers=PAGE)
    assert answer.status_code == 400
    assert 'value="out of nowhere"' in answer.text
    assert "To do:" in answer.text
    assert "what stopped play?" in answer.text  # the screen is still there


@pytest.mark.parametrize("bad", ["at=900,0", "cause=nothing", "attacks=up&is=me", "at=nan,1", "line=%00"])
def test_a_wrong_address_is_400_with_directions_and_a_whole_screen(client: Any, bad: str) -> None:
    answer = client.get(f"/?{bad}", headers=PAGE)
    assert answer.status_code == 400
    assert "expected" in answer.text
    assert "court-board" in answer.text


def test_parts_are_the_same_screen_with_its_address_and_what_is_spoken(client: Any) -> None:
    parts = client.get("/part?cause=out_of_bounds&at=58,0&ball=same&look=half").json()
    assert set(parts) == {"parts", "url", "query", "title", "speak"}
    assert set(parts["parts"]) == {"say", "court", "below", "card", "actions"}
    assert parts["url"].startswith("/?line=")
    assert parts["speak"].endswith("Switch: yes.")
    assert parts["parts"]["court"].count("<court-board") == 1
    waiting = client.get("/part?at=58,0").json()
    assert waiting["speak"].endswith("Still open: whose ball.")
    assert waiting["url"] == "/?cause=out_of_bounds&at=58%2C0"


def test_what_is_typed_is_shown_as_text_and_never_as_a_page(client: Any) -> None:
    evil = '"><script>alert(1)</script>'
    for path in ("/?line=", "/book/us-hs-2025?q=", "/?at=", "/history?said=", "/frozen?said="):
        text = get(client, path + urlencode({"x": evil})[2:]).text
        assert "<script>alert" not in text


def test_the_court_is_drawn_half_on_a_phone_and_both_ways_while_nobody_chose(client: Any) -> None:
    both = get(client, "/").text
    assert both.count("<court-board") == 2
    client.cookies.set("tenbetween_look", "half.turned")
    half = get(client, "/").text
    assert half.count("<court-board") == 1
    assert re.search(r'id="look-turn" aria-pressed="true"', half)


def test_look_and_theme_are_kept_in_cookies_and_go_back_to_our_own_pages_only(client: Any) -> None:
    for path, fields, cookie in (
        ("/look", {"look": "turn"}, "tenbetween_look=turned"),
        ("/theme", {"theme": "dark"}, "tenbetween_theme=dark"),
    ):
        for back, expected in (("/book", "/book"), ("//else.where", "/"), ("http://else.where", "/")):
            answer = post(client, path, back=back, **fields)
            assert (answer.status_code, answer.headers["location"]) == (303, expected)
            assert cookie in answer.headers["set-cookie"] or path == "/look"
    assert 'data-theme="dark"' in get(client, "/book").text


def test_one_request_is_one_answer_of_the_desk(client: Any, bench: Any) -> None:
    bench.calls.clear()
    client.get(f"/part?{ON}&look=whole")
    assert bench.calls == ["answer"]


# -- contract JSON ----------


def test_answer_as_json_gives_answer_words_and_drawing(client: Any) -> None:
    one = client.post("/api/v1/answer", content=LINE, headers=OWN)
    assert one.status_code == 200
    assert {"answer", "view", "svg", "frame"} <= set(one.json())
    two = client.post("/api/v1/answer", content=f"[{LINE},{LINE}]", headers=OWN).json()
    assert two == [one.json(), one.json()]


@pytest.mark.parametrize(
    ("body", "where"),
    [
        (b"", "request"),
        (b"{", "request"),
        (b"\xff\xfe", "request"),
        (b"[" * 100_000, "request"),
        (b'{"at": [NaN, 0]}', "request"),
        (b'{"attacking": "left", "attacking": "right"}', "attacking"),
        (b"3", "situation"),
        (b'[{"stopped_by": "game_start", "attacking": "left"}, 3]', "[1]"),
        (b'{"stopped_by": "fowl", "attacking": "left"}', "stopped_by"),
    ],
)
def test_bad_json_is_400_with_directions(client: Any, body: bytes, where: str) -> None:
    answer = client.post("/api/v1/answer", content=body, headers={**OWN, **PAGE})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["where"] == where


def test_unknown_pages_are_404_as_page_and_as_json(client: Any) -> None:
    page = client.get("/nowhere", headers=PAGE)
    assert page.status_code == 404
    assert "To the first screen" in page.text
    assert client.get("/api/nowhere", headers=PAGE).json()["errors"][0]["where"] == "address"
    for path in ("/keep/nothing", "/book/us-hs-2025/", "/games/"):
        assert client.get(path, headers=PAGE).status_code == 404
    assert post(client, "/keep/nothing", line=LINE).status_code == 404


# -- taking it along ----------


@pytest.mark.parametrize(
    ("path", "kind", "begins", "how"),
    [
        ("/sheet.pdf", "application/pdf", b"%PDF", "inline"),
        ("/sheet.png", "image/png", b"\x89PNG", "attachment"),
        ("/sheet.svg", "image/svg+xml", b"<svg", "attachment"),
        ("/answer.png", "image/png", b"\x89PNG", "attachment"),
        ("/answer.html", "text/html; charset=utf-8", b"<!doctype html>", "attachment"),
    ],
)
def test_downloads(client: Any, path: str, kind: str, begins: bytes, how: str) -> None:
    answer = client.get(f"{path}?{ON}")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith(kind)
    assert answer.content.startswith(begins)
    assert answer.headers["content-disposition"].startswith(how)
    missing = client.get(path, headers=PAGE)
    assert missing.status_code == 400
    assert "answer it on the first screen" in missing.text


def test_share_has_text_under_300_signs_and_plain_downloads(client: Any) -> None:
    text = get(client, f"/share?{ON}").text
    short = re.search(r'id="share-text">([^<]+)<', text)
    assert short is not None
    assert 40 < len(unescape(short[1])) < 300
    assert 'href="/answer.png?' in text


def test_the_book_in_one_file_needs_nothing_else_and_its_own_policy_lets_its_script_run(client: Any) -> None:
    from tenbetween.web.pages.book import _digest

    answer = client.get("/book/take")
    text, policy = answer.text, answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert unescape(re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)[1]) == policy  # type: ignore[index]
    for tag in ("script", "style"):
        inside = re.search(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)
        assert inside is not None
        assert _digest(inside[1]) in policy
    assert not re.search(r"\b(src|href)=\"(?!#)", text)
    assert len(re.findall("<article>", text)) > 20
    assert "What goes wrong" in text


# -- writing and keeping ----------


def test_the_form_is_filled_has_at_most_twelve_inputs_and_is_checked_first(client: Any, bench: Any) -> None:
    page = get(client, f"/write?{ON}").text
    form = page[page.index('action="/write"') :]
    assert 1 <= len(re.findall(r"<(?:input|select|textarea)(?![^>]*hidden)", form)) <= 12
    wrong = post(client, "/write", line=LINE, title="Mine", do="keep")
    assert wrong.status_code == 400
    assert 'value="Mine"' in wrong.text
    assert 'aria-invalid="true"' in wrong.text
    assert bench.kept == []
    other = post(client, "/write", line=LINE, title="Mine", do="choices")
    assert (other.status_code, 'value="Mine"' in other.text, "aria-invalid" in other.text) == (
        200,
        True,
        False,
    )
    checked = post(client, "/write", line=LINE, title="Mine", sentence="When so, then so.", do="check")
    assert checked.status_code == 200
    assert "It holds together" in checked.text or "it holds together" in checked.text
    assert bench.kept == []
    kept = post(client, "/write", line=LINE, title="Mine", sentence="When so, then so.", do="keep")
    assert kept.status_code == 303
    assert len(bench.kept) == 1


@pytest.mark.parametrize(
    ("kind", "right", "missing"),
    [
        ("stamp", {"by": "Noor Estwick", "on": "2025-11-11"}, ["by", "on"]),
        ("advice", {"by": "Gil Pomfrey", "what": "Trail crosses."}, ["by", "what"]),
        ("frozen", {"title": "Lead high"}, []),
        ("answer", {"title": "Lead high"}, []),
    ],
)
def test_keeping_something_about_an_answer(
    client: Any, bench: Any, kind: str, right: dict[str, str], missing: list[str]
) -> None:
    if missing:
        wrong = post(client, f"/keep/{kind}", line=LINE)
        assert wrong.status_code == 400
        assert all(f'id="wrong-{name}"' in wrong.text for name in missing)
        assert bench.kept == []
    kept = post(client, f"/keep/{kind}", line=LINE, **right)
    assert kept.status_code == 303
    assert f"Kept: {kind}." in get(client, kept.headers["location"]).text
    assert post(client, f"/keep/{kind}", **right).status_code == 400


def test_undo_redo_and_their_empty_states(client: Any) -> None:
    assert "Nothing was changed yet" in get(client, "/history").text
    assert post(client, "/undo").status_code == 400
    assert post(client, "/redo").status_code == 400
    post(client, "/keep/official", name="Dara Whitlock")
    page = get(client, "/history").text
    assert "Undo the last change" in page
    back = post(client, "/undo")
    assert "Taken back" in get(client, back.headers["location"]).text
    again = post(client, "/redo", entry="e1")
    assert "Done again" in get(client, again.headers["location"]).text


def test_games_typed_or_as_a_file_and_every_mistake_named(client: Any) -> None:
    empty = post(client, "/games", stoppages="")
    assert empty.status_code == 400
    assert "row 1" in empty.text
    typed = post(
        client, "/games", title="Ardenmoor at Pell Hollow", stoppages="out off dark, table 26, white"
    )
    assert (typed.status_code, typed.headers["location"].split("?")[0]) == (303, "/games/g1")
    sent = client.post(
        "/games", files={"file": ("a.csv", b"out\nfoul\n", "text/csv")}, headers={**OWN, **PAGE}
    )
    assert sent.status_code == 303
    broken = client.post(
        "/games", files={"file": ("a.csv", b"\xff\xfe\x00", "text/csv")}, headers={**OWN, **PAGE}
    )
    assert broken.status_code == 400
    assert "UTF-8" in broken.text
    assert client.get("/games/none", headers=PAGE).status_code == 400


def test_a_change_that_is_no_form_is_refused(client: Any) -> None:
    answer = client.post("/keep/official", json={"name": "x"}, headers={**OWN, **PAGE})
    assert answer.status_code == 400
    many = {f"f{n}": "x" for n in range(80)}
    assert client.post("/keep/official", data=many, headers={**OWN, **PAGE}).status_code == 400


def test_empty_states_say_what_to_do_next(client: Any) -> None:
    for path, words in (
        ("/frozen", "Nothing is frozen yet"),
        ("/saved", "Nothing is saved yet"),
        ("/games", "No game"),
    ):
        text = get(client, path).text
        assert words in text
        assert re.search(r'class="empty">.*?(<a |below)', text, re.DOTALL), path


# -- the files themselves ----------


def scripts_of(name: str, scripts: dict[str, bytes]) -> list[bytes]:
    """Every module a page loads when it loads that one."""
    found, left = {}, [f"js/{name}.js"]
    while left:
        one = left.pop()
        if one in scripts and one not in found:
            found[one] = scripts[one]
            left += [f"js/{inner.decode()}" for inner in re.findall(rb'from "\./([^"]+)"|import "\./([^"]+)"', scripts[one]) for inner in inner if inner]  # fmt: skip  # noqa: E501
    return list(found.values())


def test_own_script_is_under_its_budget_and_every_file_is_checked_by_type() -> None:
    from tenbetween.web.assets import load_assets

    scripts = {name: text for name, text in load_assets().files.items() if name.endswith(".js")}
    assert sum(map(len, scripts_of("screen", scripts))) + len(scripts["js/page.js"]) <= 60_000
    # The court reckons what is seen while a hand moves: more script, on this one page only.
    assert sum(map(len, scripts_of("board-page", scripts))) + len(scripts["js/page.js"]) <= 100_000
    assert sum(map(len, scripts_of("film-page", scripts))) + len(scripts["js/page.js"]) <= 70_000
    for name, text in scripts.items():
        assert text.startswith(b"// @ts-check\n"), name
        assert text.count(b"\n") <= 300, name


def test_dark_is_the_same_by_choice_and_by_system_and_every_colour_is_a_token() -> None:
    from tenbetween.web.assets import load_assets

    files = {name: text.decode() for name, text in load_assets().files.items() if name.endswith(".css")}
    blocks = re.findall(r"color-scheme: dark;\n(.*?)\}", files["css/tokens.css"], re.DOTALL)
    assert len(blocks) == 2
    chosen, system = ({line.strip() for line in block.splitlines() if line.strip()} for block in blocks)
    assert chosen == system
    named = set(re.findall(r"(--[a-z0-9]+):", files["css/tokens.css"]))
    for name, text in files.items():
        if name not in ("css/tokens.css", "css/take.css", "css/house.css"):
            bare = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
            assert set(re.findall(r"#[0-9a-f]{3,8}\b", bare)) <= {"#0003", "#0008", "#keys"}, name
            assert set(re.findall(r"var\((--[a-z0-9]+)", bare)) <= named, name


def test_home_is_named_nowhere_in_a_page(client: Any) -> None:
    assert HOME not in get(client, "/").text
