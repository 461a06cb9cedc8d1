"""A way to a server that breaks after so many bytes: for tests of what is cut."""

from __future__ import annotations

import contextlib
import socket
import threading
from types import TracebackType
from typing import Self

_BLOCK = 4096


class CuttingProxy:
    """Listen on this computer and pass connections on, byte by byte counted.

    Args:
        port: of the server behind it, on this computer.
        most_bytes: in both directions together, over all connections; the byte
            after that closes them all. None: never.
    """

    def __init__(self, port: int, most_bytes: int | None = None) -> None:
        self.passed = 0
        """Bytes that went through until now."""
        self._behind = port
        self._most = most_bytes
        self._lock = threading.Lock()
        self._open: list[socket.socket] = []
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port: int = self._listening.getsockname()[1]
        self._threads = [self._begun(self._accept)]

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._cut(self._listening)
        for one in list(self._open):
            self._cut(one)
        for thread in self._threads:
            thread.join(5)

    @property
    def is_cut(self) -> bool:
        """Tell whether all bytes are spent."""
        return self._most is not None and self.passed >= self._most

    def _begun(self, target: object, *arguments: object) -> threading.Thread:
        assert callable(target)
        thread = threading.Thread(target=target, args=arguments, daemon=True)
        thread.start()
        return thread

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listening.accept()
            except OSError:
                return
            if self.is_cut:
                self._cut(near)
                continue
            try:
                far = socket.create_connection(("127.0.0.1", self._behind))
            except OSError:
                self._cut(near)
                continue
            self._open += [near, far]
            self._threads.append(self._begun(self._pass_on, near, far))
            self._threads.append(self._begun(self._pass_on, far, near))

    def _pass_on(self, source: socket.socket, sink: socket.socket) -> None:
        try:
            while block := source.recv(_BLOCK):
                with self._lock:
                    left = len(block)
                    if self._most is not None:
                        left = min(left, self._most - self.passed)
                    self.passed += left
                sink.sendall(block[:left])
                if left < len(block) or self.is_cut:
                    break
        except OSError:
            pass  # the other direction has cut it already
        self._cut(source)
        self._cut(sink)

    @staticmethod
    def _cut(one: socket.socket) -> None:
        """Close at once, whatever the other side waits for."""
        with contextlib.suppress(OSError):
            one.shutdown(socket.SHUT_RDWR)
        one.close()
