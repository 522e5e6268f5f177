"""How large a photo may be, how many there may be, and why each figure is what it is.

The memory and time figures were measured on a 2-core machine with Pillow 13.0 and pi-heif 1.4, one photo
at a time, with the page size below as the result; they are estimates for other machines.
"""

from enum import Enum


class PhotoFormat(Enum):
    """The four types a photo may have, told by content and never by name."""

    JPEG = "JPEG"
    PNG = "PNG"
    WEBP = "WebP"
    HEIC = "HEIC"


MOST_BYTES = 20_000_000
"""Bytes of one file: a 48 megapixel phone JPEG is about 13 MB, so this leaves half as much again."""

MOST_PIXELS = {
    # The 50 MP sensors of phones give up to 8192 x 6144 = 50.3 MP. A baseline JPEG is decoded at a fraction
    # of its size, so 50 MP took 98 MB and 0.33 s.
    PhotoFormat.JPEG: 51_000_000,
    # Decoded whole: 50 MP took 293 MB, 24 MP half of that. Screenshots and scans are far below.
    PhotoFormat.PNG: 24_000_000,
    # The decoder holds several canvases: 50 MP took 788 MB, so 16 MP is about 250 MB.
    PhotoFormat.WEBP: 16_000_000,
    # Decoded whole: 24.5 MP took 204 MB and 1.2 s, 48 MP 410 MB and 2.1 s. Phones write 12 or 24.5 MP unless
    # told otherwise.
    PhotoFormat.HEIC: 25_000_000,
}
"""Pixels by type, chosen so that one conversion stays below 300 MB of memory."""

MOST_PIXELS_PROGRESSIVE_JPEG = 24_000_000
"""Pixels of a progressive JPEG: all its coefficients are held at once (50 MP took 206 MB and 0.60 s)."""

MOST_PIXELS_OF_ANY = max(MOST_PIXELS.values())
"""Pixels at which Pillow itself starts to object."""

MOST_JPEG_SCANS = 50
"""Scans in one JPEG file: a progressive photo has about ten, and an embedded preview adds one or two; a file
made of thousands of nearly empty scans would keep the decoder busy for minutes."""

MOST_PROFILE_BYTES = 1_000_000
"""Bytes of a colour profile: those of cameras are below 4 kB, those of printers below 1 MB; larger are
ignored."""

PAGE_LONGEST_PX = 1600
"""Longest side of the photo shown on a page: a stamp is readable, and the file is about 350 kB."""

THUMB_LONGEST_PX = 320
"""Longest side of the small photo in a list: twice the 160 px it is shown at."""

PAGE_JPEG_QUALITY = 82
"""JPEG quality of the page photo: 5 ms and about 350 kB at 1200 x 1600; higher adds bytes and no letters."""

THUMB_JPEG_QUALITY = 76
"""JPEG quality of the small photo, about 15 kB."""

PHOTOS_PER_JOB_FROM_CUSTOMER = 20
"""Photos a customer may add to one job: the asked-for views of one unit, twice over."""

BYTES_PER_JOB_FROM_CUSTOMER = 200_000_000
"""Bytes a customer may have waiting and kept for one job: ten of the largest files. Photos that were taken
off count as long as their files are kept, so that adding and removing does not fill the disk."""

MOST_TRIES = 3
"""How often a photo is taken up that took its reader down each time: once may be bad luck."""

TRY_AGAIN_MINUTES = 5
"""How long a photo that was taken up is left alone: the largest is done in seconds, even in a busy shop."""

MOST_WAIT_MINUTES = 360
"""The longest wait after a fault of the machine; each wait is twice the one before, from the one above."""

MOST_FAULTS = 15
"""After so many faults of the machine in a row, some two and a half days, a photo waits for the owner."""

TOLD_FROM_FAULTS = 3
"""From so many faults on, some half an hour, the owner is told: fewer have usually passed by themselves."""
