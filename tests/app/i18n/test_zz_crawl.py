import html
import re

import pytest
from django.test import Client

from tests.app.conftest import *  # noqa
from tests.app.i18n.test_words import names, unwrapped, wrapped  # noqa


@pytest.mark.django_db
def test_crawl(weaver: Client, wrapped):
    seen, todo, bad = set(), ["/"], {}
    known = names()
    while todo:
        a = todo.pop(0)
        shape = re.sub(
            r"/(drafts|warps|beside|shelf/cone|shelf/yarn|looms/loom|looms/reed|find|fit|colors|balance|turn|edit)/[^/?]+",
            r"/\1/X",
            a.split("?")[0],
        )
        if a in seen or (sum(1 for s in seen if s == shape) > 0 and False):
            continue
        if re.search(r"packet|export|backup|guild.toml|\.png|saved|\.html", a):
            continue
        seen.add(a)
        import time

        t = time.time()
        open("/tmp/cm/prog.txt", "a").write(a + "\n")
        r = weaver.get(a)
        open("/tmp/cm/prog.txt", "a").write(f"   {r.status_code} {time.time() - t:.1f}\n")
        if not r.get("Content-Type", "").startswith("text/html"):
            continue
        page = r.content.decode()
        left = unwrapped(page) - known
        for w in left:
            bad.setdefault(w, set()).add(a if r.status_code == 200 else f"{a}!{r.status_code}")
        for h in re.findall(r'href="(/[^"#]*)', page):
            h = html.unescape(h)
            sh = re.sub(
                r"(/(?:drafts|warps|beside|shelf/cone|shelf/yarn|looms/loom|looms/reed|make))/[^/?]+(/[^/?]+\.wif)?",
                r"\1/X",
                h,
            )
            sh = re.sub(r"=[^&]*", "", sh)
            sh = sh.split("?")[0] if "said" in sh else sh
            if h.startswith("/static") or h in seen:
                continue
            if sum(x[1] == sh for x in queued) >= 1:
                continue
            queued.append((h, sh))
            todo.append(h)
    print(len(seen), sorted(seen))
    open("/tmp/cm/crawl.txt", "w").write(
        "\n".join(f"{w}: {sorted(p)[:3]}" for w, p in sorted(bad.items(), key=lambda x: sorted(x[1])))
    )


queued = []
