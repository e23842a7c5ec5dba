"""The files of a draft's versions are kept once each, packed, and no more within the changes."""

from typing import Any, ClassVar

import django.db.models.deletion
from django.db import migrations, models

from loomready.app.state import draft_texts

_AT_ONCE = 20


def pack(apps: Any, schema_editor: Any) -> None:
    change, texts = (apps.get_model("loomready", name) for name in ("Change", "DraftText"))
    for each in change.objects.filter(kind="drafts").order_by("pk").iterator(_AT_ONCE):
        before = draft_texts.kept(each.before, texts=texts)
        after = draft_texts.kept(each.after, each.before, texts=texts)
        change.objects.filter(pk=each.pk).update(before=before, after=after)


def unpack(apps: Any, schema_editor: Any) -> None:
    change, texts = (apps.get_model("loomready", name) for name in ("Change", "DraftText"))
    for each in change.objects.filter(kind="drafts").order_by("pk").iterator(_AT_ONCE):
        before, after = (draft_texts.whole(fields, texts) for fields in (each.before, each.after))
        change.objects.filter(pk=each.pk).update(before=before, after=after)


class Migration(migrations.Migration):
    dependencies: ClassVar = [("loomready", "0007_removed_facts")]
    operations: ClassVar = [
        migrations.CreateModel(
            name="DraftText",
            fields=[
                ("name", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("steps", models.PositiveIntegerField()),
                ("packed", models.BinaryField()),
                (
                    "base",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        to="loomready.drafttext",
                    ),
                ),
            ],
        ),
        migrations.RunPython(pack, unpack),
    ]
