"""A warp that was ticked as cut off gets the day of that tick as its key ``off``."""

from typing import Any, ClassVar

from django.db import migrations


def tell_when(apps: Any, schema_editor: Any) -> None:
    record = apps.get_model("loomready", "Record")
    for ticked in record.objects.filter(kind="progress"):
        warp = record.objects.filter(kind="warps", key=ticked.key).first()
        if ticked.fields.get("step") == "cut off" and warp is not None and "off" not in warp.fields:
            warp.fields = warp.fields | {"off": ticked.saved.date().isoformat()}
            warp.save(update_fields=["fields"])


class Migration(migrations.Migration):
    dependencies: ClassVar = [("loomready", "0004_facts")]
    operations: ClassVar = [migrations.RunPython(tell_when, migrations.RunPython.noop)]
