"""`voicecheck serve` in a process of its own: TLS, token, and wrong certificates."""

from __future__ import annotations

import os
import re
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx2
import pytest
import trustme

from voicecheck.testing.browsing import Forms

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def certificates(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a folder with two certificates for this computer, and who signed them."""
    folder = tmp_path_factory.mktemp("tls")
    authority = trustme.CA()
    authority.cert_pem.write_to_path(str(folder / "ca.pem"))
    for name in ("one", "two"):
        made = authority.issue_cert("127.0.0.1", "localhost")
        made.private_key_pem.write_to_path(str(folder / f"{name}.key"))
        made.cert_chain_pems[0].write_to_path(str(folder / f"{name}.pem"))
    return folder


def command(*options: str) -> list[str]:
    """Return the command line of a server."""
    return [sys.executable, "-m", "voicecheck.cli.main", "serve", *options]


def tls(folder: Path, certificate: str, key: str) -> tuple[str, ...]:
    """Return the options of a certificate and a key."""
    return (
        *("--tls-cert", str(folder / certificate)),
        *("--tls-key", str(folder / key)),
    )


@pytest.fixture
def served(certificates: Path, tmp_path: Path) -> Iterator[tuple[int, str]]:
    """Serve over TLS to the network; give the port and the token it told."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    log = tmp_path / "log"
    options = ("--host", "127.0.0.1", "--port", str(port))
    with log.open("wb") as out:
        process = subprocess.Popen(
            command(*options, *tls(certificates, "one.pem", "one.key")),
            env={**os.environ, "VOICECHECK_HOME": str(tmp_path / "home")},
            stdout=out,
            stderr=out,
        )
    try:
        _wait(port, process, log)
        text = log.read_text("utf-8")
        assert f"https://127.0.0.1:{port}/" in text
        assert "read along" not in text
        yield port, re.findall(r"shown only now: (\S+)", text)[0]
    finally:
        process.terminate()
        process.wait(30)


def _wait(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    """Wait for another process: it tells nobody when it listens."""
    for _ in range(600):
        assert process.poll() is None, log.read_text("utf-8")
        with socket.socket() as trial:
            if trial.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.1)  # a real process
    pytest.fail(log.read_text("utf-8"))


def test_over_tls(served: tuple[int, str], certificates: Path) -> None:
    """The token lets in, cookies are for TLS only; strangers and plain HTTP fail."""
    port, token = served
    trusting = ssl.create_default_context(cafile=certificates / "ca.pem")
    html = {"accept": "text/html"}
    with httpx2.Client(
        base_url=f"https://127.0.0.1:{port}",
        verify=trusting,
        headers=html,
        follow_redirects=True,
    ) as client:
        door = client.get("/")
        assert door.url.path == "/enter"
        assert "Secure" in door.history[0].headers["set-cookie"]
        _, hidden, _ = Forms(door.text).found[0]
        inside = client.post("/enter", data={**hidden, "token": token})
        assert inside.status_code == 200
        assert "No walk has been made yet" in inside.text

    with pytest.raises(httpx2.ConnectError, match=r"(?i)certificate"):
        httpx2.get(f"https://127.0.0.1:{port}/")
    with pytest.raises(httpx2.TransportError):
        httpx2.get(f"http://127.0.0.1:{port}/")


@pytest.mark.parametrize(
    ("certificate", "key"),
    [("one.pem", "two.key"), ("one.key", "one.key"), ("one.pem", "one.pem")],
    ids=["another key", "no certificate", "no key"],
)
def test_a_certificate_that_does_not_fit(
    certificates: Path, tmp_path: Path, certificate: str, key: str
) -> None:
    """A sentence that says what to give, before anything is opened."""
    ended = subprocess.run(
        command(*tls(certificates, certificate, key)),
        env={**os.environ, "VOICECHECK_HOME": str(tmp_path / "home")},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )

    assert ended.returncode == 2
    assert "certificate and its private key" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert not (tmp_path / "home").exists()
