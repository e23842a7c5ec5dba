"""Work in a process of its own: started with what it needs on its standard input, stopped when nobody
wants it any more."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import IO

from loomready.problems import BadInput, LoomreadyError

WAIT_S = 0.2  # between looks whether the work is still wanted
LOOK_S = 0.5  # between looks whether the one who started it is still there


class TooLong(Exception):
    """It took longer than it may."""


@dataclass(frozen=True, slots=True)
class Ended:
    """How a process ended: its exit code, and all that it wrote."""

    code: int
    made: bytes
    wrong: bytes


def run(command: Sequence[str], data: bytes, wanted: Callable[[], object], longest_s: float) -> Ended:
    """Run Python with this command and this process's number as the last argument.

    :param data: its standard input
    :param wanted: raises where nobody wants it any more: the process is stopped then
    :raises TooLong: it is stopped too
    """
    pipe = subprocess.PIPE
    line = [sys.executable, *command, str(os.getpid())]
    with subprocess.Popen(line, stdin=pipe, stdout=pipe, stderr=pipe) as process:
        threading.Thread(target=_give, args=(process.stdin, data), daemon=True).start()
        process.stdin = None  # once its time is up, communicate() of Python 3.11 writes no more input
        try:
            made, wrong = _finished(process, wanted, longest_s)
        except BaseException:
            process.kill()
            raise
    return Ended(process.returncode, made, wrong)


def answer(
    command: Sequence[str],
    data: bytes,
    wanted: Callable[[], object],
    longest_s: float,
    *,
    too_long: str,
    failed: str,
) -> bytes:
    """What a process of loomready's own makes of its input.

    :param too_long, failed: what is said where it takes too long, or ends with a fault
    :raises BadInput: exit code 2; what is wrong stands on its standard error
    """
    try:
        ended = run(command, data, wanted, longest_s)
    except TooLong:
        raise LoomreadyError(too_long) from None
    if ended.code == 2:
        raise BadInput(ended.wrong.decode(errors="replace").strip())
    if ended.code:
        raise LoomreadyError(failed)
    return ended.made


def _give(pipe: IO[bytes], data: bytes) -> None:
    with suppress(OSError), pipe:  # the process may have ended without reading all of it
        pipe.write(data)


def _finished(
    process: subprocess.Popen[bytes], wanted: Callable[[], object], longest_s: float
) -> tuple[bytes, bytes]:
    for _look in range(int(longest_s / WAIT_S)):
        try:
            return process.communicate(timeout=WAIT_S)
        except subprocess.TimeoutExpired:
            wanted()
    raise TooLong


def end_with(parent: int) -> None:
    """End this process when the one with that number has ended, even before this one began."""
    threading.Thread(target=_look_for, args=(parent,), daemon=True).start()


def _look_for(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(LOOK_S)
    os._exit(3)
