"""What may be sent about pictures of what is kept outside the book."""

from stewardship.attachments.fields import MoreFiles
from stewardship.journal.fields import Target


class ShowPhotos(Target, frozen=True):
    """Pictures of the tag of a batch, or of the paper sheet of a session, beside those that it names already."""

    photos: MoreFiles
