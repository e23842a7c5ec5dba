"""A home after years: 100,000 steps at looms and 1,000 changes, packed into a backup and restored."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile

from benchmarks.timing import Row, promise

STEPS, EDITS = 100_000, 1_000
_WORK = """
import json, sys, time
from pathlib import Path
import django
django.setup()
from django.db import connection
from loomready.app.archive import backup_extras, backup_writer, new_guild, restore
from loomready.app.models import Change, Fact, Record
from loomready.app.server import upgrade
from loomready.app.state import facts, store
from loomready.app.state.snapshot import current_snapshot
from loomready.draft.draft import lift_plan
from loomready.draft.wif import writer

database, steps, edits = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
upgrade.bring_up_to_date(database)
new_guild.begin_with("demo")
for at in range(0, steps, 20_000):
    picks = [(n % 5000 + 1, n + 1) for n in range(at, at + 20_000)]
    rows = [["weaving", "0" * 16, pick, pick, 1, counter, "a" * 16] for pick, counter in picks]
    facts.take("towels", rows, "here", trusted=True)
key, threads = "drafts/large.wif", [n % 16 + 1 for n in range(1000)]
for n in range(edits // 2):
    threads[n] = (n * 7 + 1) % 16 + 1
    text = writer.dumps(lift_plan(threads, [[n % 16 + 1, (n + 5) % 16 + 1] for n in range(1000)])).decode()
    store.write("drafts", key, {"wif": text}, version=n or None, who="here")
for n in range(edits // 2):
    cone = Record.objects.get(kind="cones", key="fern-big")
    fields = cone.fields | {"gross": f"{100 + n} g"}
    store.write("cones", "fern-big", fields, version=cone.version, who="here")
told = []
tell = lambda done, of: told.append((done, of))
begin = time.perf_counter()
snapshot = current_snapshot()
made = backup_writer.pack(snapshot, backup_extras.kept(snapshot).text, database, tell)
packed = time.perf_counter() - begin
said_packing = len(set(told))
with connection.constraint_checks_disabled(), connection.cursor() as cursor:
    for model in restore.TABLES:
        cursor.execute(f"DELETE FROM {model._meta.db_table}")
told.clear()
begin = time.perf_counter()
restore.restore(made, "b.zip", who="here", tell=tell, settle=lambda: None)
restored = time.perf_counter() - begin
assert Fact.objects.count() == steps and Change.objects.count() >= edits
assert said_packing > 3 and len(set(told)) > 3, "it does not say how far it is"
print(json.dumps([packed, restored, len(made)]))
"""


def run() -> list[Row]:
    with tempfile.TemporaryDirectory() as home:
        environment = os.environ | {
            "LOOMREADY_HOME": home,
            "DJANGO_SETTINGS_MODULE": "loomready.app.settings",
        }
        command = [sys.executable, "-c", _WORK, f"{home}/guild.sqlite3", str(STEPS), str(EDITS)]
        done = subprocess.run(command, env=environment, stdout=subprocess.PIPE, text=True, check=True)
    packed, restored, size = json.loads(done.stdout)
    what = f"{STEPS:,} steps and {EDITS:,} changes"
    return [
        promise(f"a backup of {what}, packed and read back", packed, 15.0),
        promise(f"a backup of {what}, restored", restored, 15.0),
        Row(f"size of a backup of {what}", size / 1e6, "20 MB", 20.0, limit=1.0, unit="MB"),
    ]
