"""Who signs in, and who sees what of whom."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from voicecheck.people.roles import Role
from voicecheck.server.people.sessions import Sessions
from voicecheck.server.people.signed_in import own_place
from voicecheck.testing.browsing import Browsing

if TYPE_CHECKING:
    from conftest import Place

HTML = {"accept": "text/html"}


def registered(place: Place) -> dict[str, str]:
    """Register three people; return their codes."""
    roles = {
        "A.Poe": Role.SUPERVISOR,
        "M.Roe": Role.ASSESSOR,
        "J.Doe": Role.LEARNER,
        "C.Poe": Role.LEARNER,
    }
    for who, role in roles.items():
        place.people.register(who, {role}, "A.Poe")
    return {who: place.people.issue_code(who, "A.Poe") for who in roles}


def signed_in(place: Place, who: str, code: str) -> Browsing:
    """Return somebody who has signed in."""
    guest = Browsing(place.start())
    guest.open("/people/sign-in")
    guest.send("/people/sign-in", who=who, code=code)
    assert guest.status == 200, guest.text
    return guest


def test_a_code_opens_a_strict_session(place: Place) -> None:
    """The cookie is for this server alone, unseen by scripts, and no code."""
    code = registered(place)["J.Doe"]
    guest = Browsing(place.start())
    guest.open("/people/sign-in")
    form = {"who": "J.Doe", "code": code.lower().replace("-", " ")}
    hidden = {"form_token": guest.text.split('name="form_token" value="')[1][:64]}

    answer = guest.client.post(
        "/people/sign-in", data={**hidden, **form}, follow_redirects=False
    )

    cookie = answer.headers["set-cookie"]
    assert answer.status_code == 303
    for part in ("HttpOnly", "SameSite=strict", "Max-Age=43200", "Path=/"):
        assert part in cookie
    assert code not in cookie
    assert "J.Doe" in guest.open("/people")


@pytest.mark.parametrize("who", ["J.Doe", "X.Poe", "", "' OR 1=1"])
def test_a_wrong_code_opens_nothing(place: Place, who: str) -> None:
    """Known or not, the page says the same."""
    registered(place)
    guest = Browsing(place.start())
    guest.open("/people/sign-in")

    guest.send("/people/sign-in", who=who or " ", code="AAAAA-BBBBB")

    assert guest.status == 403
    assert "do not fit together" in guest.text
    assert guest.client.get("/people").status_code == 401


def test_those_who_guess_wait(place: Place) -> None:
    """After five wrong codes not even the right one counts for a while."""
    code = registered(place)["J.Doe"]
    guest = Browsing(place.start())
    for _ in range(5):
        guest.open("/people/sign-in")
        guest.send("/people/sign-in", who="J.Doe", code="AAAAA-BBBBB")

    guest.send("/people/sign-in", who="J.Doe", code=code)
    assert guest.status == 429
    assert "Wait" in guest.text
    place.clock.advance(600)
    guest.send("/people/sign-in", who="J.Doe", code=code)
    assert guest.address == "/people"


def test_without_signing_in_a_page_leads_to_the_door(place: Place) -> None:
    """And back to where one wanted to go; a program is refused."""
    code = registered(place)["J.Doe"]
    guest = Browsing(place.start())

    answer = guest.client.get("/learn/J.Doe", headers=HTML, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/people/sign-in?to=/learn/J.Doe"
    assert guest.client.get("/learn/J.Doe").status_code == 401
    guest.open(answer.headers["location"])
    guest.send("/people/sign-in", who="J.Doe", code=code)
    assert guest.address == "/learn/J.Doe"


@pytest.mark.parametrize(
    "to",
    [
        "https://evil.example",
        "//evil.example",
        "/\\evil.example",
        "/people/../../x",
        "/walks/new",
        "/people\nSet-Cookie: a=b",
        "javascript:alert(1)",
    ],
)
def test_nobody_is_led_elsewhere(to: str) -> None:
    """Only pages of people follow the door; dots lead nowhere else."""
    led = own_place(to)

    assert led == "/people" or ".." in led
    assert led.startswith("/people")


def test_each_sees_what_is_theirs(place: Place) -> None:
    """A learner themselves, a supervisor all; nobody else's look is quiet."""
    codes = registered(place)
    learner = signed_in(place, "J.Doe", codes["J.Doe"])
    other = signed_in(place, "C.Poe", codes["C.Poe"])
    supervisor = signed_in(place, "A.Poe", codes["A.Poe"])

    assert "J.Doe" in learner.open("/learn/J.Doe")
    other.open("/learn/J.Doe")
    assert other.status == 403
    assert "may not see J.Doe" in other.text
    other.open("/observe/of/J.Doe")
    assert other.status == 403
    supervisor.open("/learn/J.Doe")
    assert supervisor.status == 200
    page = learner.open("/people")
    assert "<strong>C.Poe</strong>" in page
    assert "refused" in page
    assert "<strong>A.Poe</strong>" in page


def test_signing_out_ends_the_session(place: Place) -> None:
    """At the server too: the old cookie opens nothing."""
    codes = registered(place)
    guest = signed_in(place, "J.Doe", codes["J.Doe"])
    old = guest.client.cookies["voicecheck_person"]
    guest.open("/people")
    guest.send("/people/sign-out")

    assert guest.address == "/people/signed-out"
    assert guest.client.get("/people").status_code == 401
    guest.client.cookies.set("voicecheck_person", old)
    assert guest.client.get("/people").status_code == 401


def test_the_export_is_ones_own(place: Place) -> None:
    """Everything that is kept of the person who asks, as a file."""
    codes = registered(place)
    guest = signed_in(place, "J.Doe", codes["J.Doe"])

    answer = guest.client.get("/people/export")

    assert answer.status_code == 200
    assert "attachment" in answer.headers["content-disposition"]
    assert "J.Doe" in answer.text
    assert "M.Roe" not in answer.text


def test_somebody_erased_is_signed_in_no_more(place: Place) -> None:
    """Their session names nobody."""
    codes = registered(place)
    guest = signed_in(place, "J.Doe", codes["J.Doe"])
    place.people.erase("J.Doe", "J.Doe")

    assert guest.client.get("/people").status_code == 401


def test_a_session_outlives_the_server_but_not_the_shift(place: Place) -> None:
    """Marks that wait can be sent after a restart; the next shift signs in anew."""
    first = Sessions(place.home, place.clock)
    name = first.open("J.Doe").name
    again = Sessions(place.home, place.clock)

    assert again.person(name) == "J.Doe"
    assert name not in (place.home / "signed_in.json").read_text()
    assert again.person("") is None
    assert again.person(name + "x") is None
    place.clock.advance(12 * 3600)
    assert again.person(name) is None


def test_a_file_that_cannot_be_read_signs_nobody_in(place: Place) -> None:
    """A damaged file of sessions is no reason not to start."""
    (place.home / "signed_in.json").write_text("{")

    assert Sessions(place.home, place.clock).person("x") is None
