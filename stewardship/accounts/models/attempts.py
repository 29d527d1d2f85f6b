"""What was tried lately, so that nobody tries too often."""

from django.db import models


class Attempts(models.Model):
    """The moments at which one thing was tried under one key. No record: it is forgotten once it no longer counts."""

    key = models.CharField("what is tried, by which account or address; hashed", max_length=64, primary_key=True)
    moments = models.JSONField("microseconds since 1970 began", default=list)
    forget_at = models.DateTimeField("when the newest no longer counts", db_index=True)

    def __str__(self) -> str:
        return f"{len(self.moments)} of {self.key}"
