"""Opening a page writes nothing: every page opens over a database that refuses to be written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import OperationalError, connection
from django.test import Client

from loomready.app.models import Device, Record
from loomready.app.sharing.roles import Role
from loomready.loomside.log.facts import JOBS
from tests.app.asking import PAGES
from tests.app.devices import joined

pytestmark = pytest.mark.django_db
AT_THE_LOOM = (
    "/beside",
    "/beside/towels",
    *(f"/beside/towels/{job}" for job in JOBS),
    "/beside/towels/winding.html",
    "/beside/towels/facts",
    "/beside/scarves/count?which=over&ends=2",
    "/guild/guild.toml",
    "/pulse",
)


@contextmanager
def refused_writes() -> Iterator[None]:
    connection.ensure_connection()
    connection.connection.execute("PRAGMA query_only = ON")
    try:
        yield
    finally:
        connection.connection.execute("PRAGMA query_only = OFF")


def test_the_database_does_refuse(demo: None) -> None:
    with refused_writes(), pytest.raises(OperationalError, match="readonly"):
        Record.objects.update(version=7)


@pytest.mark.parametrize("address", [*PAGES, *AT_THE_LOOM])
def test_a_page_opens_without_a_write(weaver: Client, address: str) -> None:
    with refused_writes():
        assert weaver.get(address).status_code < 400


def test_another_device_looks_without_a_write(demo: None) -> None:
    phone = joined(Role.KEEPER)
    Device.objects.update(seen=None)
    with refused_writes():
        for address in ("/", "/warps/towels", "/beside/towels/winding", "/pulse"):
            assert phone.get(address).status_code == 200
