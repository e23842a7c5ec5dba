"""The planning page says what is so, and a first plan is no dead end."""

from __future__ import annotations

import pytest
from django.test import Client

from tests.app.test_views import form_of

pytestmark = pytest.mark.django_db


def test_a_refused_change_never_stands_beside_a_ready_plan(weaver: Client) -> None:
    assert "Ready to wind" in weaver.get("/warps/scarves").content.decode()
    form = form_of(weaver, "/warps/scarves") | {"finished_width": "wide"}
    page = weaver.post("/warps/scarves", form).content.decode()
    assert "Ready to wind" not in page
    assert "nothing is saved" in page
