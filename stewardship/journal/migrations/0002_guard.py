"""The append-only guard on the record book."""

from django.db import migrations

from stewardship.journal.guard import lower_guard, raise_guard


class Migration(migrations.Migration):
    dependencies = [("journal", "0001_initial")]

    operations = [
        migrations.RunPython(
            lambda apps, editor: raise_guard(editor.connection),
            lambda apps, editor: lower_guard(editor.connection),
        )
    ]
