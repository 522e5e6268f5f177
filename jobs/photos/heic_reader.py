"""How a HEIC photo is decoded so that its decoder cannot take the site down: in a process of its own.

This file is that process: `codecs` starts it with the photo on standard input and reads a PNG from its
standard output. Damaged HEIC files have been seen to crash the decoder (pi-heif 1.4.0 with libheif 1.23.0),
which ends the whole process it runs in. It imports nothing of this project and is given no environment.
"""

import sys
from io import BytesIO

import pi_heif
from PIL import Image

MEMORY_BYTES = 1_500_000_000
"""Address space: a 25 megapixel photo needs about 0.25 GB besides the libraries."""

TIME_S = 20
"""Processor time: a 25 megapixel photo takes about 1.2 s."""


def limit_resources() -> None:
    """Give this process a ceiling of memory and time where the system can (not on Windows)."""
    try:
        import resource  # noqa: PLC0415
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (TIME_S, TIME_S))


def read_heic(raw: bytes, *, most_pixels: int, longest_px: int) -> bytes:
    """Return the main picture as a PNG, upright, shrunk to `longest_px`, with its tags and colour profile.

    Raises: ValueError when the picture has more than `most_pixels`; whatever the decoder raises.
    """
    # Only the main picture is wanted, so nothing else is unpacked; one thread leaves other cores to the web.
    pi_heif.options.THUMBNAILS = False
    pi_heif.options.DEPTH_IMAGES = False
    pi_heif.options.AUX_IMAGES = False
    pi_heif.options.DECODE_THREADS = 1
    opened = pi_heif.open_heif(BytesIO(raw), convert_hdr_to_8bit=True)
    width_px, height_px = opened.size
    if width_px * height_px > most_pixels:
        raise ValueError(width_px * height_px)
    image: Image.Image = opened.to_pillow()  # applies the stored turning and resets the orientation tag
    tags, profile = image.info.get("exif") or b"", image.info.get("icc_profile")
    image.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=2.0)
    out = BytesIO()
    image.save(out, "PNG", compress_level=1, exif=tags, icc_profile=profile)
    return out.getvalue()


def answer_or_exit(raw: bytes, *, most_pixels: int, longest_px: int, unreadable_exit: int) -> bytes:
    """Return the picture, or end the process with `unreadable_exit` when the photo is damaged.

    Raises: MemoryError, ImportError and the system's own OSError, which say nothing about the photo.
    """
    try:
        return read_heic(raw, most_pixels=most_pixels, longest_px=longest_px)
    except (MemoryError, ImportError):
        raise
    except Exception as fault:
        if isinstance(fault, OSError) and fault.errno is not None:
            raise
        sys.exit(unreadable_exit)


if __name__ == "__main__":
    limit_resources()
    picture = answer_or_exit(
        sys.stdin.buffer.read(),
        most_pixels=int(sys.argv[1]),
        longest_px=int(sys.argv[2]),
        unreadable_exit=int(sys.argv[3]),
    )
    sys.stdout.buffer.write(picture)
