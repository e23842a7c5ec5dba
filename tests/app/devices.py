"""Other devices on the network, for tests."""

from __future__ import annotations

from typing import Any

from django.test import Client

from loomready.app.models import Record
from loomready.app.sharing import devices
from loomready.app.sharing.roles import Role
from loomready.app.state import store

PHONE = "192.0.2.77"


def phone(address: str = PHONE, **more: Any) -> Client:
    """A browser on another device."""
    return Client(REMOTE_ADDR=address, **more)


def joined(role: Role, name: str = "") -> Client:
    """A device that came in by a code of this role."""
    text, _code = devices.invite(role, name)
    client = phone()
    assert client.post("/join", {"code": text}).status_code == 302
    return client


def guess(times: int, first: int = 0) -> list[int]:
    """Wrong codes from many devices."""
    return [
        phone(f"192.0.2.{10 + number}")
        .post(
            "/join",
            {
                "code": f"AAAA-{number:04d}".replace("0", "A")
                .replace("1", "C")
                .replace("5", "D")
                .replace("8", "E")
            },
        )
        .status_code
        for number in range(first, first + times)
    ]


def fill_history() -> None:
    reed = Record.objects.get(kind="reeds", key="8-dent")
    store.write("reeds", "8-dent", reed.fields | {"width": "30 in"}, version=reed.version, who="here")
