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

from loomready.app.server import read_only
from loomready.app.server.home_folder import DATABASE, Lock, close_to_others, default_home, prepare
from loomready.app.sharing.ip_addresses import of_this_machine
from loomready.phrases import phrase
from loomready.problems import BadInput

_LOOPBACK = "127.0.0.1"
_IDLE = 30  # s until a connection that nobody uses is closed
_OTHER_FILES = 300  # the database from every thread, and what is read and packed


def open_guild(
    home: Path | None, port: int, *, browser: bool, begin: str | None, share: bool = False
) -> None:
    """Serve until Ctrl-C.

    :param begin: "demo" or "empty" to begin with at once, None to let the first page ask
    :param share: listen on this machine's networks too, for devices that have a code
    :raises BadInput: the home is open already, newer than this program, the port is taken, or there is no
        network to share in
    """
    room = of_this_machine() if share else []
    if share and not room:
        raise BadInput(
            phrase("this computer is not on a network; connect to one first, or leave out --share")
        )
    place = (home or default_home()).absolute()
    if read_only.is_needed(place):
        Lock(place).check()
        with read_only.copy_of(place) as copy:
            os.environ[read_only.LOOKING] = str(place)
            _open(Path(copy), port, browser=browser, room=room)
        return
    prepare(place)
    os.umask(0o077)  # what is made in the home from here on is for this account alone
    if open_to_others := close_to_others(place):
        names = ", ".join(open_to_others)
        print(f"loomready: {place}: other accounts of this computer can read {names}", file=sys.stderr)
    lock = Lock(place)
    lock.take()
    _open(place, port, browser=browser, room=room, begin=begin, lock=lock)


def _open(
    place: Path,
    port: int,
    *,
    browser: bool,
    room: list[str],
    begin: str | None = None,
    lock: Lock | None = None,
) -> None:
    os.environ["LOOMREADY_HOME"] = str(place)
    os.environ["LOOMREADY_ROOM"] = " ".join(room)
    os.environ["DJANGO_SETTINGS_MODULE"] = "loomready.app.settings"

    import django

    django.setup()
    from loomready.app.server import storage_faults, upgrade

    if instead_of := os.environ.get(read_only.LOOKING):
        print(f"loomready: {instead_of}: {storage_faults.looking()}", file=sys.stderr)
    upgrade.bring_up_to_date(place / DATABASE, lambda text: print(text, file=sys.stderr))
    if begin is not None:
        from loomready.app.archive.new_guild import begin_with

        if not begin_with(begin):
            says = f"{place} holds a guild already: it stays as it is, and --{begin} does nothing."
            print(says, file=sys.stderr)
    listening = _listen("0.0.0.0" if room else _LOOPBACK, port)
    port = listening.getsockname()[1]
    here = f"http://{_LOOPBACK}:{port}/"
    if lock is not None:
        lock.says(here)
    says = f"http://{room[0]}:{port}/ for the room, here at {here}" if room else here
    _serve(listening, says, here if browser else None)


def _listen(host: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
    except OSError as error:
        raise BadInput(
            phrase(
                "port {port} cannot be used: {reason}; name another with --port",
                port=port,
                reason=f"{error.strerror}",
            )
        ) from error
    return listening


def _serve(listening: socket.socket, says: str, open_at: str | None) -> None:
    from django.conf import settings

    from loomready.app.server.connections import CONNECTIONS, FILES_EACH, serve_on
    from loomready.app.wsgi import application

    _allow_files(CONNECTIONS * FILES_EACH + _OTHER_FILES)
    server = serve_on(
        listening,
        application,
        ident=None,
        max_request_body_size=settings.MAX_BODY,
        channel_timeout=_IDLE,
        asyncore_use_poll=True,  # select() takes no file above 1024
    )
    # Set explicitly: a shell script that starts this in the background has Ctrl-C ignored.
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _stop)

    def ready() -> None:
        print(f"loomready is open at {says}  (Ctrl-C closes it)", flush=True)
        if open_at:
            webbrowser.open(open_at)

    here = (_LOOPBACK, listening.getsockname()[1])
    threading.Thread(target=_when_it_answers, args=(here, ready), daemon=True).start()
    try:
        server.run()
    finally:
        server.close()
        print("loomready is closed.", file=sys.stderr)


def _allow_files(wanted: int) -> None:
    """Every connection holds files open, and some systems let a program have only 256."""
    try:
        import resource
    except ImportError:  # Windows has no such limit
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        highest = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (highest, hard))


def _when_it_answers(where: tuple[str, int], then: object) -> None:
    from django.conf import settings

    with socket.create_connection(where, timeout=10) as trial:
        trial.sendall(f"GET {settings.STATIC_URL}app/app.css HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n".encode())
        trial.recv(1)
    if callable(then):
        then()


def _stop(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt
