"""A line that is cut: passes on what two programs say to each other, until so many bytes have come back."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress


@contextmanager
def cutting(port: int, *, after: int) -> Iterator[int]:
    """A port that leads to `port` on this machine; each line over it is cut once `after` bytes have come back."""
    listener = socket.create_server(("127.0.0.1", 0))
    over = threading.Event()
    threading.Thread(target=_serve, args=(listener, port, after, over), daemon=True).start()
    try:
        yield listener.getsockname()[1]
    finally:
        over.set()
        listener.close()


def _serve(listener: socket.socket, port: int, after: int, over: threading.Event) -> None:
    while not over.is_set():
        try:
            near, _ = listener.accept()
        except OSError:
            return
        far = socket.create_connection(("127.0.0.1", port))
        threading.Thread(target=_pass, args=(near, far, None), daemon=True).start()
        threading.Thread(target=_pass, args=(far, near, after), daemon=True).start()


def _pass(source: socket.socket, target: socket.socket, most: int | None) -> None:
    """Hand bytes on until there are no more, or until the line is to be cut."""
    passed = 0
    with suppress(OSError):
        while data := source.recv(65536):
            if most is not None and passed + len(data) > most:
                target.sendall(data[: most - passed])
                break
            target.sendall(data)
            passed += len(data)
    for end in (source, target):
        with suppress(OSError):
            end.shutdown(socket.SHUT_RDWR)
        end.close()
