"""Who gets in, what gets in, and what no request can do."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import quote
from uuid import uuid4

import pytest
from fastapi.routing import APIRoute
from starlette.testclient import TestClient

from voicecheck.server.pages import every_router
from voicecheck.server.security import visitor as visitors
from voicecheck.server.security.gate import POLICY
from voicecheck.server.security.secrets import new_token, same_token
from voicecheck.server.settings import ServerSettings
from voicecheck.testing.browsing import Browsing, Forms

if TYPE_CHECKING:
    from conftest import Place

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' OR '1'='1",
    "{{ 7*7 }}",
    "../../../etc/passwd",
    "\x00\x1b[31m",
    "%s%n{0}",
)


def test_every_response_has_the_headers(visitor: Browsing) -> None:
    """Pages, errors, files of the look, refusals."""
    for address in ("/", "/nothing", "/static/look.css", "/openapi.json", "/walks/x"):
        headers = visitor.client.get(address).headers
        assert headers["content-security-policy"] == POLICY
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        assert headers["referrer-policy"] == "same-origin"
    assert "unsafe" not in POLICY
    assert "frame-ancestors 'none'" in POLICY


def test_no_page_has_scripts_or_styles_inside(visitor: Browsing) -> None:
    """The policy would stop them; none is there either."""
    walk_id = visitor.begin("L-12", "short-walk")
    for address in ("/", "/defects", "/live", f"/live/{walk_id}", f"/walks/{walk_id}"):
        page = visitor.open(address)
        assert "style=" not in page
        assert "<style" not in page
        assert " onclick" not in page
        assert page.count("<script") == page.count('<script src="/static/')
        assert "http://" not in page
        assert "https://" not in page


def test_every_form_needs_its_token() -> None:
    """No address that takes a form goes without the check."""
    posts = [
        route
        for router in every_router()
        for route in router.routes
        if isinstance(route, APIRoute) and "POST" in route.methods
    ]

    assert len(posts) >= 8
    for route in posts:
        check = route.dependant.dependencies[0]
        names = {field.name for field in (*check.body_params, *check.header_params)}
        assert "form_token" in names, route.path


@pytest.mark.parametrize("token", ["0", "0" * 64, "'--"])
def test_a_form_with_a_wrong_token_does_nothing(
    place: Place, visitor: Browsing, token: str
) -> None:
    """Nothing begins, and the page says what to do."""
    visitor.open("/walks/new")

    visitor.send("/walks", unit="L-12", checklist="short-walk", form_token=token)

    assert visitor.status == 403
    assert "nothing was recorded" in visitor.text
    assert place.journal.walks() == ()


def test_the_token_of_another_visitor_is_no_good(place: Place) -> None:
    """A form belongs to one cookie."""
    app = place.start()
    other = Browsing(app)
    other.open("/walks/new")
    stolen = next(h for a, h, _ in Forms(other.text).found if a == "/walks")
    mine = Browsing(app)
    mine.open("/walks/new")

    mine.send("/walks", unit="L-12", checklist="short-walk", **stolen)

    assert mine.status == 403


@pytest.mark.parametrize(
    "header",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://evil.example"},
        {"origin": "null"},
    ],
)
def test_a_form_from_another_site_is_refused(
    place: Place, visitor: Browsing, header: dict[str, str]
) -> None:
    """Even with the right token."""
    visitor.open("/walks/new")
    hidden = next(h for a, h, _ in Forms(visitor.text).found if a == "/walks")
    form = {**hidden, "unit": "L-12", "checklist": "short-walk"}

    answer = visitor.client.post("/walks", data=form, headers=header)

    assert answer.status_code == 403
    assert place.journal.walks() == ()


@pytest.mark.parametrize("host", ["evil.example", "testserver.evil.example", ""])
def test_another_name_is_not_answered(place: Place, host: str) -> None:
    """A name that was made to point here (DNS rebinding) reads nothing."""
    client = TestClient(place.start())

    assert client.get("/", headers={"host": host}).status_code == 421
    assert client.get("/", headers={"host": "TestServer:8470"}).status_code == 200


def test_any_name_needs_a_token() -> None:
    """A server for other computers cannot be set up without one."""
    with pytest.raises(ValueError, match="token"):
        ServerSettings(home=None, host_names=None)  # type: ignore[arg-type]


def test_with_a_token_nothing_is_seen_before_it_is_shown(place: Place) -> None:
    """Pages lead to the door; others are refused; only the look is open."""
    token = new_token()
    stranger = Browsing(place.start(token=token, host_names=None))

    accept = {"accept": "text/html"}
    page = stranger.client.get("/", headers=accept, follow_redirects=False)
    assert (page.status_code, page.headers["location"]) == (303, "/enter")
    for address in ("/", "/openapi.json", f"/records/{uuid4()}", "/live"):
        assert stranger.client.get(address).status_code == 401
    assert stranger.client.get("/static/look.css").status_code == 200
    stranger.open("/enter")
    stranger.send("/enter", token="AAAA-BBBB")
    assert stranger.status == 403
    assert stranger.client.get("/").status_code == 401


def test_with_a_token_one_gets_in(place: Place) -> None:
    """By the form with a strict cookie, or as a bearer for programs."""
    token = new_token()
    guest = Browsing(place.start(token=token, host_names=None))
    guest.open("/enter")
    hidden = next(h for a, h, _ in Forms(guest.text).found if a == "/enter")

    typed = token.lower().replace("-", " ")
    entered = guest.client.post(
        "/enter", data={**hidden, "token": typed}, follow_redirects=False
    )

    cookie = entered.headers["set-cookie"]
    assert entered.status_code == 303
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert token not in cookie
    assert guest.client.get("/").status_code == 200
    program = TestClient(place.start(token=token, host_names=None))
    bearer = {"authorization": f"Bearer {token}"}
    assert program.get("/openapi.json", headers=bearer).status_code == 200


def test_cookies_cannot_be_made(place: Place) -> None:
    """Changing "out" to "in" breaks the signature."""
    key = b"k" * 32
    out = visitors.to_cookie(visitors.new_visitor(admitted=False), key)

    assert visitors.from_cookie(out, key) is not None
    assert visitors.from_cookie(out.replace(".out.", ".in."), key) is None
    assert visitors.from_cookie(out, b"x" * 32) is None
    assert visitors.from_cookie("", key) is None
    assert visitors.from_cookie("a.in." + "é" * 20, key) is None


def test_tokens_are_long_and_forgive_what_is_misread() -> None:
    """One hundred random bits; case, dashes, O for 0 and I or L for 1."""
    token = new_token()

    assert len({new_token() for _ in range(50)}) == 50
    assert len(token.replace("-", "")) == 20
    assert same_token(token.lower().replace("-", ""), token)
    assert same_token("OIL0", "0110")
    assert not same_token(token[:-1], token)


def test_what_is_too_long_is_refused(place: Place, visitor: Browsing) -> None:
    """By its own length, by what really comes, and long addresses."""
    visitor.open("/walks/new")
    long = "x" * 70_000
    assert visitor.client.post("/walks", data={"unit": long}).status_code == 413

    def trickle() -> object:
        for _ in range(20):
            yield b"unit=" + b"x" * 5_000

    sent = visitor.client.post(
        "/walks",
        content=trickle(),
        headers={"content-type": "application/x-www-form-urlencoded"},
    )
    assert sent.status_code == 413
    assert visitor.client.get("/?search=" + "x" * 3_000).status_code == 414
    assert place.journal.walks() == ()


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_changes_nothing_and_is_shown_escaped(
    place: Place, visitor: Browsing, text: str
) -> None:
    """In every place where a request may hold text."""
    before = sorted(path.name for path in place.home.rglob("*"))
    visitor.open("/walks/new")
    for fields in (
        {"unit": text, "checklist": "short-walk"},
        {"unit": "L-12", "checklist": text},
        {"unit": "L-12", "checklist": "short-walk", "operator": text},
        {"unit": "L-12", "checklist": "short-walk", "language": text[:8]},
    ):
        visitor.open("/walks/new")
        page = visitor.send("/walks", **fields)
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        if fields.get("language") is None:
            assert visitor.status == 400

    for address in (
        f"/?search={quote(text)}",
        f"/?status={quote(text)}",
        f"/units/{quote(text, safe='')}",
        f"/walks/{quote(text, safe='')}",
        f"/records/{quote(text, safe='')}",
        f"/records/{uuid4()}/export/{quote(text, safe='')}",
        f"/defects?search={quote(text)}",
        f"/defects/{quote(text, safe='')}",
        f"/static/{quote(text, safe='')}",
        f"/live/{uuid4()}/events?after={quote(text)}",
    ):
        page = visitor.open(address)
        assert visitor.status < 500
        assert "<script>alert" not in page
        assert "<img src=x" not in page
        assert "root:" not in page
    assert sorted(path.name for path in place.home.rglob("*")) == before
