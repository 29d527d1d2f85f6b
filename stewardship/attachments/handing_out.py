"""A file is handed out to be kept: never within a page of ours, to nobody who may not read it."""

from django.http import HttpResponse

from stewardship.accounts.capabilities import Actor
from stewardship.attachments import queries, store
from stewardship.attachments.kinds import EXTENSIONS
from stewardship.errors import Unavailable

NO_PAGE = "default-src 'none'; sandbox"
"""What a browser may do with a file that it shows all the same: nothing."""


def handed_out(actor: Actor, digest: str, known: str | None = None) -> HttpResponse:
    """Return a file that is here and that the actor may read; 304 if ``known`` is its tag. Raises Unavailable."""
    found = queries.readable(actor, [digest]).get(digest)
    path = store.place_of(found.group_id, digest) if found else None
    if found is None or path is None or not path.exists():
        raise Unavailable
    headers = {"ETag": f'"{digest}"', "Cache-Control": "private, no-cache"}
    if known == headers["ETag"]:
        return HttpResponse(status=304, headers=headers)
    headers |= {"X-Content-Type-Options": "nosniff", "Content-Security-Policy": NO_PAGE}
    headers["Content-Disposition"] = f'attachment; filename="{digest[:16]}.{EXTENSIONS[found.media_type]}"'
    return HttpResponse(path.read_bytes(), content_type=found.media_type, headers=headers)
