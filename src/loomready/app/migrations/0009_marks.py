"""Every record has a mark, also in homes where 0007 was applied before it added marks."""

from typing import Any, ClassVar

from django.db import migrations

from loomready.app.models import new_mark

_NO_MARK = ("", "mark")  # SQLite reads a missing column in quotes as its name


def add_marks(apps: Any, schema_editor: Any) -> None:
    record = apps.get_model("loomready", "Record")
    table = record._meta.db_table
    with schema_editor.connection.cursor() as cursor:
        there = {
            column.name
            for column in schema_editor.connection.introspection.get_table_description(cursor, table)
        }
        if "mark" not in there:
            cursor.execute(f"ALTER TABLE {table} ADD COLUMN mark varchar(32) NOT NULL DEFAULT ''")
    for each in record.objects.filter(mark__in=_NO_MARK).values_list("pk", flat=True):
        record.objects.filter(pk=each).update(mark=new_mark())


class Migration(migrations.Migration):
    dependencies: ClassVar = [("loomready", "0008_draft_texts")]
    operations: ClassVar = [migrations.RunPython(add_marks, migrations.RunPython.noop)]
