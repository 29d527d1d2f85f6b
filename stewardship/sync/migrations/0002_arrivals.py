from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("sync", "0001_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="mutation",
            name="sent_at",
            field=models.DateTimeField(null=True, verbose_name="when it was sent by the device's clock"),
        ),
        migrations.AddField(
            model_name="mutation",
            name="estimated_at",
            field=models.DateTimeField(null=True, verbose_name="the time that it claims, by our clock"),
        ),
        migrations.AddField(
            model_name="outbox",
            name="mutations_until",
            field=models.DateTimeField(
                null=True, verbose_name="when its mutations so far are worked off at the rate allowed"
            ),
        ),
        migrations.AddField(
            model_name="outbox",
            name="bytes_until",
            field=models.DateTimeField(null=True, verbose_name="the same of its bytes"),
        ),
        migrations.AddIndex(
            model_name="mutation",
            index=models.Index(
                condition=models.Q(("outcome", "held")),
                fields=["group", "device_id", "received_at"],
                name="held_of_a_device",
            ),
        ),
        migrations.AddIndex(
            model_name="outbox",
            index=models.Index(fields=["group"], name="outboxes_of_a_group"),
        ),
    ]
