"""`loomready open`: one process that serves one guild's home until it is stopped."""

from __future__ import annotations

import os
import signal
import socket
import sys
import threading
import webbrowser
from pathlib import Path
from types import FrameType

from loomready.app.home import DATABASE, Lock, default_home, prepare
from loomready.problems import BadInput

THREADS = 32
MAX_BODY = 80 * 1024 * 1024  # bytes: the largest backup that may come in, and a form around it


def open_guild(home: Path | None, port: int, *, browser: bool, begin: str | None) -> None:
    """Serve until Ctrl-C.

    :param begin: "demo" or "empty" to begin with at once, None to let the first page ask
    :raises BadInput: the home is open already, newer than this program, or the port is taken
    """
    place = (home or default_home()).absolute()
    prepare(place)
    lock = Lock(place)
    lock.take()
    os.environ["LOOMREADY_HOME"] = str(place)
    os.environ["DJANGO_SETTINGS_MODULE"] = "loomready.app.settings"

    import django

    django.setup()
    from loomready.app import upgrade

    upgrade.bring_up_to_date(place / DATABASE)
    if begin is not None:
        from loomready.app.beginnings import begin_with

        begin_with(begin)
    listening = _listen(port)
    address = f"http://127.0.0.1:{listening.getsockname()[1]}/"
    lock.says(address)
    _serve(listening, address, browser)


def _listen(port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind(("127.0.0.1", port))
    except OSError as error:
        raise BadInput(f"port {port} cannot be used: {error.strerror}; name another with --port") from error
    return listening


def _serve(listening: socket.socket, address: str, browser: bool) -> None:
    import waitress  # type: ignore[import-untyped]

    from loomready.app.wsgi import application

    server = waitress.create_server(
        application, sockets=[listening], threads=THREADS, ident=None, max_request_body_size=MAX_BODY
    )
    signal.signal(signal.SIGTERM, _stop)

    def ready() -> None:
        print(f"loomready is open at {address}  (Ctrl-C closes it)", flush=True)
        if browser:
            webbrowser.open(address)

    threading.Thread(target=_when_it_answers, args=(listening.getsockname(), ready), daemon=True).start()
    try:
        server.run()
    finally:
        server.close()
        print("loomready is closed.", file=sys.stderr)


def _when_it_answers(where: tuple[str, int], then: object) -> None:
    with socket.create_connection(where, timeout=10) as trial:
        trial.sendall(b"GET /static/app/app.css HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
        trial.recv(1)
    if callable(then):
        then()


def _stop(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt
