"""What saving a form asks of the database and of the codec."""

from __future__ import annotations

from unittest.mock import patch

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from loomready import guildfile
from loomready.app.state.snapshot import current_snapshot
from tests.app.asking import form_of


@pytest.mark.parametrize(
    ("address", "change"),
    [
        ("/shelf/cone/fern-big", {"lot": "another"}),
        ("/shelf/yarn/wool-rust", {"price": "0.06 /g"}),
        ("/looms/loom/porch", {"waste": "31 in"}),
        ("/looms/reed/8-dent", {"width": "41 in"}),
        ("/warps/scarves", {"finished_width": "11 in"}),
    ],
)
def test_a_form_is_saved_with_one_decoding_of_the_guild_and_two_looks_at_its_records(
    weaver: Client, address: str, change: dict[str, str]
) -> None:
    sent = form_of(weaver, address) | change | {"sure": "yes"}
    current_snapshot()
    with (
        patch.object(guildfile, "decode", wraps=guildfile.decode) as decode,
        CaptureQueriesContext(connection) as asked,
    ):
        assert weaver.post(address, sent).status_code == 302
    assert decode.call_count == 1
    every = [
        each["sql"]
        for each in asked
        if 'FROM "loomready_record"' in each["sql"] and "WHERE" not in each["sql"]
    ]
    assert len(every) == 2  # before and, to see whether they still make a guild, after
    assert len(asked) <= 14
