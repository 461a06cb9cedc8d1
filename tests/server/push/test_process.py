"""A push to a real server in a process of its own: cut, killed, twice at once."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
import trustme
from sqlalchemy import Connection

from voicecheck.clock import ManualClock
from voicecheck.errors import LinkError
from voicecheck.store.dump import TABLES
from voicecheck.store.fleet import SqlFleet, open_fleet
from voicecheck.store.http_far_end import open_link
from voicecheck.store.transfer import Transfer, transfer
from voicecheck.testing.cutting_proxy import CuttingProxy
from voicecheck.testing.pushing import JOURNAL, check_whole, walked, whole

TOKEN = "AAAA-BBBB-CCCC-DDDD"
PAUSES_S = (0.2,) * 1500
"""Longer than a server needs to start on a computer that is busy with other tests."""

pytestmark = [
    pytest.mark.slow,
    pytest.mark.xdist_group("push server"),  # they share one
]


class Server:
    """`voicecheck serve --accept-push` in a process of its own.

    Args:
        home: its home folder.
        store: URL of its store; None: the one in its home folder.
        options: more of them.
    """

    def __init__(
        self, home: Path, store: str | None = None, options: tuple[str, ...] = ()
    ) -> None:
        home.mkdir(exist_ok=True)
        tokens = home / "tokens"
        tokens.write_text(f"{TOKEN}\n", encoding="utf-8")
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port: int = free.getsockname()[1]
        self.where = store or str(home / JOURNAL)
        self._command = [
            *(sys.executable, "-m", "voicecheck.cli.main", "serve"),
            *("--port", str(self.port)),
            *("--accept-push", "--push-tokens", str(tokens), *options),
        ]
        self._environment = {
            **os.environ,
            "VOICECHECK_HOME": str(home),
            "VOICECHECK_STORE_URL": store or "",
        }
        self._log = home / "log"
        self.start()

    def start(self) -> None:
        """Start it (again), on the same port."""
        with self._log.open("ab") as log:
            self._process = subprocess.Popen(
                self._command, env=self._environment, stdout=log, stderr=log
            )

    def wait(self) -> None:
        """Wait until it listens."""
        pause = threading.Event()
        while True:
            with socket.socket() as one:
                if one.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            assert self._process.poll() is None, self.log()
            pause.wait(0.1)

    def kill(self) -> None:
        """Kill it at once (signal 9)."""
        self._process.kill()
        self._process.wait()

    def log(self) -> str:
        """Return what it said."""
        return self._log.read_text("utf-8")


@pytest.fixture(scope="module")
def devices(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Give two devices that walked round one unit at the same time, and others."""
    folder = tmp_path_factory.mktemp("devices")
    for name, more in (("one", "L-13"), ("two", "L-14")):
        clock = ManualClock()
        walked(folder / name, "L-12", bad=True, operator=name, clock=clock)
        walked(folder / name, more, operator=name, clock=clock)
    return {name: folder / name for name in ("one", "two")}


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """Give a server on a file, for the module."""
    server = Server(tmp_path_factory.mktemp("server") / "far")
    server.wait()
    yield server
    server.kill()
    assert "Traceback" not in server.log()


@pytest.fixture
def server(running: Server) -> Server:
    """Give a server with an empty store."""
    with open_fleet(running.where) as far, far.writing() as connection:
        emptied(connection)
    return running


def push(
    folder: Path,
    port: int,
    *,
    pauses_s: tuple[float, ...] = PAUSES_S,
    characters: int = 3_000,
    progress: object = None,
) -> Transfer:
    """Push a device to a port of this computer, a few entries at once."""
    with (
        open_fleet(folder / JOURNAL, folder=folder) as near,
        open_link(f"http://127.0.0.1:{port}", TOKEN, pauses_s=pauses_s) as far,
    ):
        assert progress is None or callable(progress)
        return transfer(
            near,
            far,
            folder=folder,
            batch_characters=characters,
            progress=progress or (lambda done, total: None),
        )


def contents(where: Path | str) -> bytes:
    """Return all that a store holds."""
    with open_fleet(where) as store:
        return whole(store)


def emptied(connection: Connection) -> None:
    """Take everything out of a store."""
    for table in reversed(TABLES):
        connection.execute(table.delete())


def test_cut_after_any_number_of_bytes(
    server: Server, devices: dict[str, Path]
) -> None:
    """From an empty store each time: whole after the cut, complete after a push."""
    device = devices["one"]
    with CuttingProxy(server.port) as uncut:
        assert push(device, uncut.port).ok
    wanted = contents(device / JOURNAL)
    assert contents(server.where) == wanted
    cuts = 0
    with open_fleet(server.where) as far:
        for part in range(11):
            with far.writing() as connection:
                emptied(connection)
            most = uncut.passed * part // 10
            with CuttingProxy(server.port, most) as proxy:
                result = push(device, proxy.port, pauses_s=())
            cuts += bool(result.cut)
            assert result.problems == ()
            check_whole(server.where)
            assert push(device, server.port).ok
            assert whole(far) == wanted

    assert cuts >= 9  # at the last byte it may just have been enough


def test_the_server_is_killed_in_the_middle(
    server: Server, devices: dict[str, Path]
) -> None:
    """Kill -9 and a new start; the same push goes on and ends with everything."""
    seen: list[int] = []

    def kill_once(done: int, total: int) -> None:
        seen.append(done)
        if len(seen) == 4:
            server.kill()
            check_whole(server.where)
            server.start()

    result = push(devices["one"], server.port, progress=kill_once)

    assert result.ok
    assert len(seen) > 5
    assert contents(server.where) == contents(devices["one"] / JOURNAL)


PUSH = """
import sys
from pathlib import Path
from voicecheck.store.fleet import open_fleet
from voicecheck.store.http_far_end import open_link
from voicecheck.store.transfer import transfer
folder, url, token = Path(sys.argv[1]), sys.argv[2], sys.stdin.readline().strip()
with open_fleet(folder / "journal.sqlite3", folder=folder) as near:
    with open_link(url, token, pauses_s=(0.2,) * 1500) as far:
        transfer(near, far, batch_characters=1,
                 progress=lambda done, total: print(done, flush=True))
"""


def test_the_device_is_killed_in_the_middle(
    server: Server, devices: dict[str, Path]
) -> None:
    """Kill -9 after a few batches; a new push goes on from there."""
    push(devices["two"], server.port)  # the server is up, and knows one unit
    device = devices["one"]
    for lines in (1, 4):
        with subprocess.Popen(
            [sys.executable, "-c", PUSH, device, f"http://127.0.0.1:{server.port}"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        ) as child:
            assert child.stdin is not None
            assert child.stdout is not None
            child.stdin.write(f"{TOKEN}\n")
            child.stdin.flush()
            for _ in range(lines):
                assert child.stdout.readline()
            child.kill()
        check_whole(server.where)

    assert push(device, server.port).ok
    again = push(device, server.port)
    assert (again.walks, again.entries, again.defects) == (0, 0, 0)
    check_pushed(server.where, devices)


def check_pushed(where: str, devices: dict[str, Path]) -> None:
    """Check that all of both devices is there once, and their conflict is told."""
    check_whole(where)
    with open_fleet(where) as far:
        for folder in devices.values():
            with open_fleet(folder / JOURNAL) as near:
                there = {walk.walk_id: walk for walk in far.walks()}
                for walk in near.walks():
                    assert there[walk.walk_id] == walk
                for defect in near.defects():
                    assert far.defect(defect.defect_id) == near.defect(defect.defect_id)
        assert far.count_walks() == 4
        assert len(far.defects()) == 10
        words = {one.words for one in far.conflicts("L-12")}
        assert "two walks were under way at the same time" in words


def at_once(port: int, devices: dict[str, Path]) -> list[Transfer]:
    """Push two devices at the same time, and one of them twice."""
    results: list[Transfer] = []
    begin = threading.Barrier(3)

    def run(folder: Path) -> None:
        begin.wait()
        results.append(push(folder, port))

    folders = (devices["one"], devices["two"], devices["one"])
    threads = [threading.Thread(target=run, args=(folder,)) for folder in folders]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return results


def test_devices_push_one_unit_at_once(
    server: Server, devices: dict[str, Path]
) -> None:
    """All is kept once, and the conflict is told; on a file."""
    results = at_once(server.port, devices)

    assert [one.problems for one in results] == [()] * 3
    assert sum(one.walks for one in results) >= 4
    check_pushed(server.where, devices)


def test_the_command_brings_it_over_and_says_so(
    server: Server, devices: dict[str, Path], tmp_path: Path
) -> None:
    """By token file; a wrong token in the environment is refused with 2."""
    token = tmp_path / "token"
    token.write_text(f"# of the yard\n{TOKEN}\n", encoding="utf-8")
    command = [
        *(sys.executable, "-m", "voicecheck.cli.main", "push", "--json"),
        *("--to", f"http://127.0.0.1:{server.port}"),
    ]
    own = {"VOICECHECK_HOME": str(devices["one"]), "VOICECHECK_PUSH_TOKEN": "WRONG"}

    def run(*more: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [*command, *more],
            env={**os.environ, **own},
            capture_output=True,
            text=True,
            check=False,
        )

    wrong = run()
    right = run("--token-file", str(token))

    assert wrong.returncode == 2
    assert "it does not accept the token" in wrong.stderr
    assert right.returncode == 0, right.stderr
    said = json.loads(right.stdout)
    assert (said["walks"], said["records"], said["defects"]) == (2, 2, 5)
    assert said["problems"] == said["conflicts"] == []
    assert contents(server.where) == contents(devices["one"] / JOURNAL)


@pytest.mark.database
def test_devices_push_to_a_server_on_postgresql(
    tmp_path: Path, postgres_url: str, devices: dict[str, Path]
) -> None:
    """The same, with PostgreSQL behind the server."""
    server = Server(tmp_path / "far", postgres_url)
    try:
        server.wait()
        results = at_once(server.port, devices)
    finally:
        server.kill()

    assert [one.problems for one in results] == [()] * 3
    assert "Traceback" not in server.log()
    check_pushed(postgres_url, devices)


def test_certificates_are_checked(tmp_path: Path, devices: dict[str, Path]) -> None:
    """The site's own authority is trusted only when it is given."""
    authority = trustme.CA()
    authority.cert_pem.write_to_path(tmp_path / "ca.pem")
    trustme.CA().cert_pem.write_to_path(tmp_path / "other.pem")
    site = authority.issue_cert("127.0.0.1")
    site.private_key_pem.write_to_path(tmp_path / "site.key")
    for pem in site.cert_chain_pems:
        pem.write_to_path(tmp_path / "site.pem", append=True)
    server = Server(
        tmp_path / "far",
        options=(
            *("--tls-cert", str(tmp_path / "site.pem")),
            *("--tls-key", str(tmp_path / "site.key")),
        ),
    )
    url = f"https://127.0.0.1:{server.port}"
    near: SqlFleet
    try:
        server.wait()
        with open_fleet(devices["one"] / JOURNAL, folder=devices["one"]) as near:
            with open_link(
                url, TOKEN, ca=tmp_path / "ca.pem", pauses_s=PAUSES_S
            ) as far:
                assert transfer(near, far).ok
            for ca in (None, tmp_path / "other.pem"):
                with (
                    open_link(url, TOKEN, ca=ca, pauses_s=PAUSES_S) as far,
                    pytest.raises(LinkError, match="certificate cannot be trusted"),
                ):
                    transfer(near, far)
    finally:
        server.kill()

    assert contents(server.where) == contents(devices["one"] / JOURNAL)
