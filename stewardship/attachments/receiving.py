"""Files in forms: what is beyond all measure is not even received."""

from typing import Any

from django.conf import settings
from django.core.files.uploadhandler import FileUploadHandler, SkipFile

BESIDE_BYTES = 1 << 20
"""What a form may weigh beside its file [bytes]."""


class Bounded(FileUploadHandler):
    """Leaves out every file of a form that is too heavy as a whole; the form then says so, and keeps its words."""

    def handle_raw_input(self, input_data: Any, META: Any, content_length: int, *args: Any, **kwargs: Any) -> None:  # noqa: N803
        """Look at the length that the form as a whole is said to have."""
        self.is_too_heavy = content_length > settings.ATTACHMENT_MAX_BYTES + BESIDE_BYTES
        if self.is_too_heavy and self.request is not None:
            self.request.META["FILES_LEFT_OUT"] = "1"

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Leave the file out where the form is too heavy."""
        super().new_file(*args, **kwargs)
        if self.is_too_heavy:
            raise SkipFile

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        """Hand the bytes on to the next handler."""
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the next handler."""
