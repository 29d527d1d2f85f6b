"""The attachment: where the upload of a file stands, what it is, and for whom."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from stewardship.journal.ids import new_id


class Attachment(models.Model):
    """One person's upload of one file for one audience. It is no record: records name a file by its hash.

    A record may name a hash before the file is there, and nobody sees a file because a record names it. The same bytes
    handed in by two people, or for two audiences, are two rows and one file.
    """

    id = models.UUIDField(primary_key=True, default=new_id, editable=False)
    group = models.ForeignKey("accounts.Group", models.PROTECT, related_name="+", db_index=False)
    sha256 = models.CharField("hash of the whole file", max_length=64)
    audience = models.CharField("group, coordinators or a person's id: as records have it", max_length=36)
    uploaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", db_index=False)
    size_bytes = models.PositiveBigIntegerField("how long the whole file is said to be")
    offset_bytes = models.PositiveBigIntegerField("how much of it has arrived", default=0)
    media_type = models.CharField("known once the whole file is here", max_length=40, blank=True)
    last_piece_at = models.DateTimeField()
    completed_at = models.DateTimeField("when the whole file was here and its hash was right", null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["group", "sha256", "audience", "uploaded_by"], name="a_person_hands_a_file_in_once"
            ),
            models.CheckConstraint(
                name="no_more_arrives_than_the_whole", condition=Q(offset_bytes__lte=F("size_bytes"))
            ),
            models.CheckConstraint(
                name="a_complete_file_is_all_there",
                condition=Q(completed_at=None) | Q(offset_bytes=F("size_bytes")) & ~Q(media_type=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.sha256[:12]} ({self.offset_bytes} of {self.size_bytes} bytes)"

    @property
    def is_complete(self) -> bool:
        """Return whether the whole file is here."""
        return self.completed_at is not None
