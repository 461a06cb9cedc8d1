"""The far end of a push behind HTTP: `voicecheck serve --accept-push`.

Bodies are JSON, packed with gzip. What may have been cut is sent again: taking a
parcel twice changes nothing. Redirects are not followed, since the token would go
along; the server's certificate is always checked.
"""

from __future__ import annotations

import gzip
import json
import ssl
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar
from urllib.parse import urlsplit

from pydantic import ValidationError

from voicecheck.errors import LinkError, LinkLost, UsageError
from voicecheck.store.conflicts import Conflict
from voicecheck.store.far_end import Asked, Fate, Have, Parcel, Receipt
from voicecheck.store.push_forms import (
    FORMAT,
    MOST_ASKED,
    AskedForm,
    ConflictsForm,
    Form,
    HaveForm,
    ParcelForm,
    ParcelsForm,
    ReceiptsForm,
    UnitsForm,
)
from voicecheck.store.push_wire import form_of

if TYPE_CHECKING:
    import httpx2

PAUSES_S = (0.5, 2.0, 5.0, 10.0)
"""Between one try and the next; after the last one the link counts as lost."""
_CONNECT_S = 10.0
_ANSWER_S = 90.0
_MOST_ANSWER_BYTES = 8 * 2**20
_LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
_REFUSALS = {
    401: "it does not accept the token; take the push token of that server, which "
    "`voicecheck serve --accept-push` names at its start",
    404: "there is no push at this address; check it, and start that server with "
    "`voicecheck serve --accept-push`",
    421: "the server does not answer to this name; start it with --host",
    422: "it does not understand this push; bring both voicechecks to one version",
}

Answer = TypeVar("Answer", bound=Form)


class HttpFarEnd:
    """A `voicecheck.store.far_end.FarEnd` behind HTTP.

    Args:
        client: with the address, the token and the certificates; see `open_link`.
        place: the address, for a person.
        wait: wait some seconds before another try.
        pauses_s: between one try and the next; none: the first failure counts.
    """

    def __init__(
        self,
        client: httpx2.Client,
        *,
        place: str,
        wait: Callable[[float], None] = time.sleep,
        pauses_s: Sequence[float] = PAUSES_S,
    ) -> None:
        self.place = place
        self._pauses_s = tuple(pauses_s)
        self._client = client
        self._wait = wait

    def have(self, asked: Asked) -> Have:
        """Ask what is there; see `FarEnd.have`."""
        return self._asked("push/have", AskedForm.of(asked), HaveForm).have()

    def take(self, parcels: Sequence[Parcel]) -> tuple[Receipt, ...]:
        """Send parcels; see `FarEnd.take`."""
        receipts: list[Receipt | None] = []
        forms: list[ParcelForm] = []
        for parcel in parcels:
            try:
                forms.append(form_of(parcel))
                receipts.append(None)
            except ValidationError as error:
                receipts.append(_refused(_first(error)))
        sent = iter(self._sent(forms))
        return tuple(one or next(sent) for one in receipts)

    def conflicts(self, units: Sequence[str]) -> tuple[Conflict, ...]:
        """Ask for conflicts; see `FarEnd.conflicts`."""
        found: list[Conflict] = []
        for first in range(0, len(units), MOST_ASKED):
            form = UnitsForm(format=FORMAT, units=list(units[first:][:MOST_ASKED]))
            answer = self._asked("push/conflicts", form, ConflictsForm)
            found += [
                Conflict(
                    unit=one.unit,
                    kind=one.kind,
                    words=one.words,
                    title=one.title,
                    walk_ids=tuple(one.walk_ids),
                    defect_ids=tuple(one.defect_ids),
                )
                for one in answer.conflicts
            ]
        return tuple(found)

    def _sent(self, forms: Sequence[ParcelForm]) -> list[Receipt]:
        """Send forms in one batch, or in halves when that is too much at once."""
        if not forms:
            return []
        batch = ParcelsForm(format=FORMAT, parcels=list(forms))
        try:
            answer = self._asked("push/parcels", batch, ReceiptsForm)
        except _TooLarge as error:
            if len(forms) == 1:
                return [_refused(str(error))]
            half = len(forms) // 2
            return self._sent(forms[:half]) + self._sent(forms[half:])
        if len(answer.receipts) != len(forms):
            raise self._error("it answers otherwise than a voicecheck would")
        return [one.receipt() for one in answer.receipts]

    def _asked(self, path: str, form: Form, answer: type[Answer]) -> Answer:
        body = gzip.compress(form.model_dump_json().encode(), mtime=0)
        for pause_s in (*self._pauses_s, None):
            try:
                status, text = self._exchanged(path, body)
                if status < 500 and status != 429:
                    break
                why = f"the server cannot keep it now: {_words(text, status)}"
            except LinkLost as error:
                status, why = 0, str(error)
            if pause_s is None:
                raise self._error(
                    f"{why}. What came over is kept; push again and it goes on "
                    "from there",
                    LinkLost,
                )
            self._wait(pause_s)
        if status == 413:
            raise _TooLarge(f"it is too large for that server: {_words(text, status)}")
        if status != 200:
            known = _REFUSALS.get(status)
            raise self._error(known or f"it says: {_words(text, status)}")
        try:
            return answer.model_validate_json(text)
        except ValidationError as error:
            raise self._error("it answers otherwise than a voicecheck would") from error

    def _exchanged(self, path: str, body: bytes) -> tuple[int, bytes]:
        headers = {"content-type": "application/json", "content-encoding": "gzip"}
        text = b""
        with (
            self._link_errors(),
            self._client.stream("POST", path, content=body, headers=headers) as got,
        ):
            for chunk in got.iter_bytes():
                text += chunk
                if len(text) > _MOST_ANSWER_BYTES:
                    raise self._error("its answer has no end")
            if got.is_redirect:
                raise self._error(
                    "it sends us elsewhere, to "
                    f"{got.headers.get('location', '?')[:200]}; if that is right, "
                    "push there"
                )
        return got.status_code, text

    @contextmanager
    def _link_errors(self) -> Iterator[None]:
        """Turn the library's errors into ours."""
        import httpx2  # noqa: PLC0415

        try:
            yield
        except httpx2.UnsupportedProtocol as error:
            raise self._error(f"it cannot be used: {error}") from error
        except (httpx2.TransportError, httpx2.DecodingError) as error:
            if _is_about_certificates(error):
                raise self._error(
                    f"its certificate cannot be trusted ({error}); give the "
                    "certificate of the site's own authority with --ca"
                ) from error
            raise LinkLost(f"the link broke ({_short(error)})") from error
        except httpx2.HTTPError as error:
            raise self._error(_short(error)) from error

    def _error(self, why: str, kind: type[LinkError] = LinkError) -> LinkError:
        return kind(f"{self.place}: {why}")


class _TooLarge(Exception):
    """The server refuses a body of this size."""


@contextmanager
def open_link(
    url: str,
    token: str,
    *,
    ca: Path | None = None,
    pauses_s: Sequence[float] = PAUSES_S,
) -> Iterator[HttpFarEnd]:
    """Give the far end at an address; nothing is sent yet.

    Args:
        url: such as https://fleet.example:8470, with a path if there is one.
        token: the push token of that server.
        ca: certificates (PEM) that are trusted beside those of the system.
        pauses_s: see `HttpFarEnd`.

    Raises:
        UsageError: the address or the file of certificates cannot be used.
    """
    import httpx2  # noqa: PLC0415

    parts = urlsplit(url)
    if parts.username or parts.password or parts.query or parts.fragment:
        raise UsageError("give --to as https://host:port, without anything around it")
    try:
        found = parts.hostname, parts.port
    except ValueError as error:
        raise UsageError(f"{url!r} is no address: {error}") from error
    if not found[0]:
        raise UsageError(f"{url!r} is no address: give https://host:port")
    if not token.isascii() or not token.isprintable():
        raise UsageError("the token has signs that no token has; copy it again")
    with httpx2.Client(
        base_url=url.rstrip("/") + "/",
        headers={"authorization": f"Bearer {token}", "user-agent": "voicecheck"},
        verify=_trusted(ca),
        timeout=httpx2.Timeout(_ANSWER_S, connect=_CONNECT_S),
        trust_env=found[0] not in _LOOPBACK,  # no proxy to ourselves
    ) as client:
        yield HttpFarEnd(client, place=url, pauses_s=pauses_s)


def is_open_line(url: str) -> bool:
    """Tell whether others on the network could read the token along."""
    parts = urlsplit(url)
    return parts.scheme == "http" and parts.hostname not in _LOOPBACK


def _trusted(ca: Path | None) -> ssl.SSLContext | bool:
    if ca is None:
        return True
    context = ssl.create_default_context()
    try:
        context.load_verify_locations(ca)
    except (OSError, ssl.SSLError) as error:
        raise UsageError(f"--ca {ca}: no certificates can be read from it") from error
    return context


def _is_about_certificates(error: BaseException | None) -> bool:
    while error is not None:
        if isinstance(error, ssl.SSLCertVerificationError):
            return True
        error = error.__cause__ or error.__context__
    return False


def _words(text: bytes, status: int) -> str:
    """What the server says, when it is one of ours."""
    try:
        data: Any = json.loads(text)
    except ValueError:
        data = None
    said = data.get("error") if isinstance(data, dict) else None
    plain = said if isinstance(said, str) else f"status {status}"
    return "".join(sign if sign.isprintable() else " " for sign in plain)[:500]


def _refused(why: str) -> Receipt:
    return Receipt(fate=Fate.REFUSED, why=why)


def _first(error: ValidationError) -> str:
    problem = error.errors(include_url=False, include_input=False)[0]
    place = ".".join(str(part) for part in problem["loc"])
    return f"it cannot be sent, {place}: {problem['msg']}"


def _short(error: Exception) -> str:
    return str(error) or type(error).__name__
