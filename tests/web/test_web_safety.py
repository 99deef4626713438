"""What a hostile page, a guesser or a flood of bytes meets."""

from __future__ import annotations

import re
import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.testclient import TestClient

from diag.cli import main
from diag.knowledgebase import Knowledge
from diag.web.access import Attempts, Secret, same
from diag.web.app import create_app
from diag.web.site import HERE

TOKEN = "clay-pit-gate-7"  # invented


@pytest.fixture
def guarded(tmp_path: Path, knowledge: Knowledge) -> TestClient:
    return TestClient(create_app(tmp_path, knowledge, TOKEN), base_url="http://pit.example", follow_redirects=False)


@pytest.fixture
def open_here(tmp_path: Path, knowledge: Knowledge) -> TestClient:
    return TestClient(create_app(tmp_path, knowledge), base_url="http://127.0.0.1", follow_redirects=False)


def proof_of(client: TestClient, path: str) -> str:
    found = re.search(r'name="proof" value="([0-9a-f]+)"', client.get(path).text)
    assert found
    return found[1]


def enter(client: TestClient, token: str, to: str = "/") -> httpx.Response:
    return client.post("/enter", data={"proof": proof_of(client, "/enter"), "token": token, "to": to})


# Headers


@pytest.mark.parametrize("path", ["/", "/pictures", "/static/diag.css", "/nowhere", "/api/knowledge", "/walks/aaaaaa"])
def test_every_answer_carries_the_headers(open_here: TestClient, path: str) -> None:
    headers = open_here.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "unsafe" not in policy and "data:" not in policy and "http" not in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["x-frame-options"] == "DENY"


def test_no_page_needs_what_the_policy_forbids() -> None:
    templates = list((HERE / "templates").glob("*.html"))
    assert len(templates) > 5
    for template in templates:
        text = template.read_text("utf-8")
        assert not re.search(r"\sstyle=|\son\w+=|<style|javascript:", text), template.name
        assert re.findall(r"<script[^>]*>", text) in ([], ['<script src="/static/diag.js" defer>'])


def test_cookies_are_kept_from_scripts_and_from_other_sites(guarded: TestClient) -> None:
    for cookie in (guarded.get("/enter").headers["set-cookie"], enter(guarded, TOKEN).headers["set-cookie"]):
        assert "HttpOnly" in cookie
        assert "samesite=lax" in cookie.lower()


def test_pages_are_not_kept_by_the_browser(open_here: TestClient) -> None:
    assert open_here.get("/").headers["cache-control"] == "no-store"


# Forms of other sites


@pytest.mark.parametrize("proof", ["", "0" * 64, "ü"])
def test_a_form_without_our_proof_changes_nothing_but_keeps_what_was_typed(
    open_here: TestClient, tmp_path: Path, proof: str
) -> None:
    open_here.get("/")
    answer = open_here.post("/walks", data={"proof": proof, "said": "hot since Monday"})
    assert answer.status_code == 403
    assert "hot since Monday" in answer.text
    assert not list(tmp_path.glob("*.web.json"))


def test_the_proof_of_another_browser_is_not_ours(open_here: TestClient, tmp_path: Path, knowledge: Knowledge) -> None:
    other = TestClient(create_app(tmp_path, knowledge), base_url="http://127.0.0.1", follow_redirects=False)
    open_here.get("/")
    assert open_here.post("/walks", data={"proof": proof_of(other, "/")}).status_code == 403


def test_a_walk_does_not_move_without_the_proof(open_here: TestClient) -> None:
    begun = open_here.post("/walks", data={"proof": proof_of(open_here, "/"), "complaint": "hot"})
    place = begun.headers["location"]
    move = {"step": "fact:point.kind", "do": "answer", "choice": "slideway"}
    assert open_here.post(place, data={**move, "proof": "x"}).status_code == 403
    assert "What is it that the grease is in?" in open_here.get(place).text
    told = open_here.post(f"{place}/about", data={"proof": "x", "title": "changed"})
    assert told.status_code == 403
    assert "changed" not in open_here.get("/").text


def test_api_takes_no_type_that_a_form_of_another_site_can_send(open_here: TestClient) -> None:
    for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x"):
        answer = open_here.post("/api/review", content=b"{}", headers={"content-type": kind})
        assert answer.status_code == 415


def test_another_name_for_this_machine_is_refused(open_here: TestClient) -> None:
    for host in ("evil.example", "127.0.0.1.evil.example", "", "localhost.evil.example:8075"):
        assert open_here.get("/", headers={"host": host}).status_code == 421
    for host in ("localhost:8075", "127.0.0.1:1", "[::1]:8075", "LOCALHOST"):
        assert open_here.get("/", headers={"host": host}).status_code == 200


# Token


def test_nothing_is_shown_without_the_token(guarded: TestClient) -> None:
    for path in ("/", "/walks/aaaaaa", "/walks/aaaaaa/result", "/pictures", "/resume?code=aaaaaa"):
        answer = guarded.get(path)
        assert answer.status_code == 303
        assert answer.headers["location"].startswith("/enter?to=")
    for path in ("/api/knowledge", "/api/openapi.json"):
        assert guarded.get(path).status_code == 401
    assert guarded.post("/walks", data={}).status_code == 303


def test_the_token_opens_pages_by_cookie_and_the_api_by_header(guarded: TestClient) -> None:
    assert guarded.get("/api/knowledge", headers={"authorization": f"Bearer {TOKEN}"}).status_code == 200
    assert enter(guarded, TOKEN, "/walks/aaaaaa").headers["location"] == "/walks/aaaaaa"
    assert guarded.get("/").status_code == 200


def test_an_entry_outlives_a_restart_but_not_another_token(
    guarded: TestClient, tmp_path: Path, knowledge: Knowledge
) -> None:
    enter(guarded, TOKEN)
    for token, status in ((TOKEN, 200), (TOKEN + "x", 303)):
        again = TestClient(create_app(tmp_path, knowledge, token), base_url="http://pit.example",
                           cookies=dict(guarded.cookies), follow_redirects=False)
        assert again.get("/").status_code == status


def test_entry_leads_to_our_own_pages_only(guarded: TestClient) -> None:
    for to in ("https://evil.example/", "//evil.example", "/\\evil.example", "/walks/../x", "/enter?x"):
        assert enter(guarded, TOKEN, to).headers["location"] == "/"


def test_after_five_wrong_tokens_even_the_right_one_waits(guarded: TestClient) -> None:
    for _ in range(5):
        assert enter(guarded, "wrong-token-again").status_code == 403
    limited = enter(guarded, TOKEN)
    assert limited.status_code == 429
    assert int(limited.headers["retry-after"]) > 0
    assert guarded.get("/api/knowledge", headers={"authorization": f"Bearer {TOKEN}"}).status_code == 429


def test_who_is_in_already_is_not_locked_out_by_a_guesser(guarded: TestClient) -> None:
    enter(guarded, TOKEN)
    kept = dict(guarded.cookies)
    guarded.cookies.clear()
    for _ in range(6):
        guarded.get("/api/knowledge", headers={"authorization": "Bearer wrong"})
    guarded.cookies.update(kept)
    assert guarded.get("/").status_code == 200


def test_attempts_are_counted_by_address_and_forgotten_after_the_window() -> None:
    attempts = Attempts(most=3, window=60, room=2)
    for second in range(3):
        assert attempts.wait("a", second) == 0
        attempts.failed("a", second)
    assert attempts.wait("a", 3) == pytest.approx(57)
    assert attempts.wait("b", 3) == 0
    assert attempts.wait("a", 61) == 0
    for address in ("b", "c"):
        attempts.failed(address, 3)
    assert attempts.wait("a", 3) == 0  # the table is bounded, the oldest goes


def test_comparing_takes_any_text() -> None:
    assert same("token", "token")
    assert not same("token", "tokeñ\ud800")


def test_the_secret_is_for_its_owner_only_and_stays(tmp_path: Path) -> None:
    first, again = Secret.of(tmp_path), Secret.of(tmp_path)
    assert first == again
    assert stat.S_IMODE((tmp_path / ".secret").stat().st_mode) == 0o600
    assert not first.signed("form", "text", first.sign("entry", "text"))


@pytest.mark.parametrize(("words", "wanted"), [
    (["--host", "0.0.0.0"], "give --token"),
    (["--host", "::"], "give --token"),
    (["--token", "short"], "12 or more"),
    (["--token", "with blanks in it"], "12 or more"),
    (["--port", "99999"], "65535"),
])
def test_serve_refuses_unsafe_or_impossible_arguments(
    words: list[str], wanted: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["serve", "--folder", str(tmp_path), *words]) == 2
    error = capsys.readouterr().err
    assert wanted in error
    assert error.count("\n") == 1


def test_a_taken_port_is_one_clear_line(server: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["serve", "--folder", str(tmp_path), "--port", str(server.port)]) == 2
    assert "give another" in capsys.readouterr().err


# Size and shape


def test_bodies_are_bounded_with_and_without_a_stated_length(server: Any) -> None:
    def pieces() -> Any:
        for _ in range(40):
            yield b"x" * 65_536

    with httpx.Client(base_url=server.address) as client:
        kind = {"content-type": "application/json"}
        assert client.post("/walks", data={"said": "x" * 70_000}).status_code == 413
        assert client.post("/api/review", content=b" " * 1_100_000, headers=kind).status_code == 413
        assert client.post("/api/review", content=pieces(), headers=kind).status_code == 413


def test_a_form_with_too_many_fields_or_odd_bytes_is_one_clear_page(open_here: TestClient) -> None:
    form = {"content-type": "application/x-www-form-urlencoded"}
    for body in (b"&".join(b"a=1" for _ in range(500)), b"said=%ff%fe", b"said=\xff", b""):
        answer = open_here.post("/walks", content=body, headers=form)
        assert answer.status_code in (403, 422)
        assert "Traceback" not in answer.text


@pytest.mark.parametrize("path", ["/walks/..%2f..%2fetc%2fpasswd", "/walks/aaaaaa%00", "/static/../pages.py",
                                  "/static/%2e%2e/pages.py", "/walks/AAAAAA", "/resume?code=../../etc/passwd"])
def test_no_path_of_a_request_is_opened(open_here: TestClient, tmp_path: Path, path: str) -> None:
    answer = open_here.get(path)
    assert answer.status_code == 404
    assert "root:" not in answer.text and "import" not in answer.text
    assert {p.name for p in tmp_path.iterdir()} <= {".secret", ".aaaaaa.lock"}


def test_control_characters_are_refused_in_words(open_here: TestClient) -> None:
    answer = open_here.post("/walks", data={"proof": proof_of(open_here, "/"), "said": "a\x00b"})
    assert answer.status_code == 422
    assert "control character" in answer.text


def test_a_fault_of_the_program_tells_nothing_of_the_inside(
    open_here: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: Any) -> None:
        raise RuntimeError("secret detail")

    monkeypatch.setattr("diag.web.store.Store.recent", fail)
    silent = TestClient(open_here.app, base_url="http://127.0.0.1", raise_server_exceptions=False)
    answer = silent.get("/")
    assert answer.status_code == 500
    assert "secret detail" not in answer.text
    assert "kept" in answer.text


def test_the_page_starts_without_the_extra_only_with_a_hint(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    find: Callable[[str], Any] = __import__("importlib.util").util.find_spec
    monkeypatch.setattr("diag.extras.find_spec", lambda name: None if name == "uvicorn" else find(name))
    assert main(["serve", "--folder", str(tmp_path)]) == 2
    assert "diag[web]" in capsys.readouterr().err
