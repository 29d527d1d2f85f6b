"""Pictures of a batch's tag and of a session's paper sheet are named; who works in the field may add one."""

from stewardship.attachments.fields import named_with
from stewardship.journal.book import Entry
from stewardship.treatments import fields
from stewardship.treatments.models import Batch, Session
from stewardship.treatments.services import facts, signatures


def show_batch(entry: Entry, wish: fields.ShowPhotos) -> Batch:
    """Name pictures of a batch's tag. Raises AlreadyVoided, TooManyFiles."""
    batch = facts.living(entry.get(Batch, wish.id))
    return entry.change(batch, photos=named_with(batch.photos, wish.photos, where="photos"))


def show_session(entry: Entry, wish: fields.ShowPhotos) -> Session:
    """Name pictures of a session's sheet: they correct nothing, so signatures stay. Raises AlreadyVoided, Locked."""
    session = signatures.unlocked(facts.living(entry.get(Session, wish.id)))
    return entry.change(session, photos=named_with(session.photos, wish.photos, where="photos"))
