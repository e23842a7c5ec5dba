"""Steps: which device sent them, and those removed; records: a mark of what was saved."""

from typing import ClassVar

from django.db import migrations, models

from loomready.app.models import new_mark


class Migration(migrations.Migration):
    dependencies: ClassVar = [("loomready", "0005_finished_warps")]
    operations: ClassVar = [
        migrations.AddField(
            model_name="record", name="mark", field=models.CharField(default=new_mark, max_length=32)
        ),
        migrations.AddField(
            model_name="fact", name="device", field=models.PositiveBigIntegerField(null=True)
        ),
        migrations.CreateModel(
            name="RemovedFact",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=1200, unique=True)),
                ("warp", models.CharField(max_length=1000)),
                ("who", models.CharField(max_length=80)),
                ("device", models.PositiveBigIntegerField(null=True)),
                ("batch", models.PositiveBigIntegerField()),
            ],
            options={
                "ordering": ("pk",),
                "indexes": [models.Index(fields=["warp", "id"], name="removed_facts_of_a_warp")],
            },
        ),
    ]
