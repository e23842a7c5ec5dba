"""Work in the background, and the page that follows it."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client

from loomready.app import background
from loomready.app.views import tasks


@pytest.mark.parametrize("made", [None, b"the file"])
def test_work_that_ends_while_its_page_is_written_is_asked_for_once_more(
    weaver: Client, monkeypatch: pytest.MonkeyPatch, made: bytes | None
) -> None:
    job = background.Job("Reading", "a.pdf", "application/pdf", "/guild", goes="/drafts")
    monkeypatch.setitem(background._jobs, "abc", job)
    render = tasks.render

    def ends_then_is_written(request: HttpRequest, name: str, shown: dict[str, Any]) -> HttpResponse:
        job.made, job.finished = made, True
        return render(request, name, shown)

    monkeypatch.setattr(tasks, "render", ends_then_is_written)
    assert 'hx-trigger="every' in weaver.get("/work/abc").content.decode()
    answer = weaver.get("/work/abc")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/drafts")
