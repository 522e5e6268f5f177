"""Which photos are refused, and what the person who sent one can do about it."""

from jobs.domain.errors import JobsError

ACCEPTED_TYPES = "JPEG, PNG, WebP or HEIC"


class PhotoRefused(JobsError):
    """Base of every refusal of a photo; `str(error)` is shown to people as it is."""


class PhotoEmpty(PhotoRefused):
    """The file holds no bytes."""

    def __init__(self) -> None:
        super().__init__("This file is empty. Choose the photo again, or take it again.")


class PhotoTooBig(PhotoRefused):
    """The file is larger than a photo needs to be."""

    def __init__(self, size_bytes: int, *, most_bytes: int) -> None:
        self.size_bytes, self.most_bytes = size_bytes, most_bytes
        super().__init__(
            f"This photo is {size_bytes / 1e6:.1f} MB; the most is {most_bytes / 1e6:.0f} MB. "
            "Set the camera to a smaller picture size, or send the photo as JPEG."
        )


class PhotoWrongType(PhotoRefused):
    """The content is of a type that is not kept here, whatever the file is called."""

    def __init__(self, type_name: str) -> None:
        self.type_name = type_name
        super().__init__(f"This file is {type_name}. Send the photo as {ACCEPTED_TYPES}.")


class PhotoTooManyPixels(PhotoRefused):
    """The picture has more pixels than can be decoded safely here."""

    def __init__(self, width_px: int | None, *, height_px: int | None, most_pixels: int) -> None:
        self.width_px, self.height_px, self.most_pixels = width_px, height_px, most_pixels
        if width_px is None or height_px is None:
            size = f"This picture has more than {most_pixels / 1e6:.0f} megapixels"
        else:
            size = (
                f"This picture is {width_px} by {height_px} pixels; "
                f"the most is {most_pixels / 1e6:.0f} megapixels for a photo of its type"
            )
        super().__init__(
            f"{size}. Set the camera to a smaller picture size, or send the photo as an ordinary JPEG."
        )


class PhotoAnimated(PhotoRefused):
    """The file holds several frames, not one photo."""

    def __init__(self) -> None:
        super().__init__("This picture moves. Send one still photo instead.")


class PhotoReaderFailed(JobsError):
    """The program that reads photos could not do its work here and now; that says nothing about the photo."""


class PhotoReaderKilled(JobsError):
    """The program that reads photos was ended while it read this one, by the photo or by chance."""

    def __init__(self) -> None:
        super().__init__("The program that reads photos was ended while it read this one.")


class PhotoLost(PhotoRefused):
    """The file as it was sent is not there any more."""

    def __init__(self) -> None:
        super().__init__("The file was lost. Send it again.")


class PhotoStopsReader(PhotoRefused):
    """The photo took the program that reads it down, each time it was tried."""

    def __init__(self) -> None:
        super().__init__(
            "This photo stopped the program that reads it, several times over. "
            "Take it again, or send a screenshot of it."
        )


class PhotoUnreadable(PhotoRefused):
    """The file starts like a photo, but cannot be decoded to its end."""

    def __init__(self) -> None:
        super().__init__(
            "This photo could not be read to its end: the file is damaged or was cut short. "
            "Send it again; if that fails, take it again and send it as JPEG."
        )
