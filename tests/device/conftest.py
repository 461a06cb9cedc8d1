"""Virtual sound devices for the tests of this folder.

A missing program or library is an error here, never a skip: whoever asks for
these tests wants to know.
"""

from __future__ import annotations

import os
from collections.abc import Iterator

import pytest

from voicecheck.audio.portaudio import load_portaudio, restart_portaudio
from voicecheck.testing.pulse import PulseServer, Talker


@pytest.fixture(scope="session")
def one_server() -> Iterator[PulseServer]:
    """A sound server of our own; this process and its children use it."""
    before = dict(os.environ)
    with PulseServer() as server:
        os.environ.update(server.environment)
        # Another test may have started PortAudio when there were no devices.
        restart_portaudio(load_portaudio())
        yield server
    os.environ.clear()
    os.environ.update(before)


@pytest.fixture
def server(one_server: PulseServer) -> PulseServer:
    """The running server, started again if the last test killed it."""
    if not one_server.running:
        one_server.start()
        restart_portaudio(load_portaudio())
    return one_server


@pytest.fixture
def talker(server: PulseServer) -> Iterator[Talker]:
    """Somebody who speaks into the microphone."""
    with Talker(server.environment) as talker:
        yield talker
