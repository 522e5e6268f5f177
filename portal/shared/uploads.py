"""How large may an upload be? Counted while it arrives, so that nothing larger is ever kept."""

from typing import IO, Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadhandler import FileUploadHandler, SkipFile
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _


class UploadTooLarge(RequestDataTooBig):
    """A file, or a form with all its files, is larger than is accepted; its text says what to do."""


class SizeLimitUploadHandler(FileUploadHandler):
    """Stops keeping a file at the limit, lets the rest of the form arrive, and then refuses it.

    Reading on to the end is meant: a browser shows the refusal only when it could send everything.
    """

    has_oversize_file = False

    def handle_raw_input(
        self,
        input_data: IO[bytes],
        META: dict[str, str],  # noqa: N803 - Django's name
        content_length: int,
        boundary: Any,
        encoding: str | None = None,
    ) -> tuple[QueryDict, MultiValueDict[str, Any]] | None:
        """Refuse a form that announces more than all its files together may be."""
        if content_length > settings.UPLOAD_MAX_BODY_BYTES:
            raise UploadTooLarge(
                _("These files are together larger than %(limit)d MB. Send them in two or three goes.")
                % {"limit": settings.UPLOAD_MAX_BODY_BYTES // 1024**2}
            )
        return None

    def new_file(self, *args: Any, **kwargs: Any) -> None:
        """Start counting at nothing for each file."""
        super().new_file(*args, **kwargs)
        self.bytes_so_far = 0

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes | None:
        """Pass the chunk on while the file is within the limit."""
        self.bytes_so_far += len(raw_data)
        if self.bytes_so_far > settings.UPLOAD_MAX_FILE_BYTES:
            self.has_oversize_file = True
            raise SkipFile
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """Leave the file to the handlers behind this one."""
        return

    def upload_complete(self) -> None:
        """Refuse the form when one of its files was too large."""
        if self.has_oversize_file:
            raise UploadTooLarge(
                _(
                    "One of the files is larger than %(limit)d MB. Send a smaller one: the usual photo of a "
                    "phone is 2 to 6 MB."
                )
                % {"limit": settings.UPLOAD_MAX_FILE_BYTES // 1024**2}
            )
