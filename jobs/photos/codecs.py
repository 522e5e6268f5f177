"""How the image libraries are called so that a hostile file ends in a refusal and nothing else."""

import subprocess
import sys
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from typing import BinaryIO

from PIL import Image, ImageFile

from jobs.photos.errors import (
    PhotoReaderFailed,
    PhotoReaderKilled,
    PhotoRefused,
    PhotoTooManyPixels,
    PhotoUnreadable,
)
from jobs.photos.limits import MOST_PIXELS, MOST_PIXELS_OF_ANY, PhotoFormat

# These are process-wide in Pillow. Its own bomb check is the second line; `sniff.look` counts pixels first.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS_OF_ANY
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)
# Pillow warns of damaged tags and reads on: every stranger's odd file would fill the log.
warnings.filterwarnings("ignore", category=UserWarning, module="PIL")


HEIC_READER = Path(__file__).with_name("heic_reader.py")
HEIC_WAIT_S = 60
"""Seconds to wait for the decoder on a busy machine; it stops itself after 20 s of processor time."""
UNREADABLE_EXIT = 65
"""What the decoder ends with when the photo is damaged; whatever else it ends with is no word on the photo.
Source: EX_DATAERR of sysexits.h (4.3BSD), from memory."""


@contextmanager
def refusing_damage() -> Iterator[None]:
    """Turn whatever a codec raises on a damaged file into a refusal; a fault of the machine stays one.

    Raises: PhotoTooManyPixels when Pillow suspects a bomb, PhotoUnreadable for every other fault of a codec;
    MemoryError, ImportError, a numbered OSError, PhotoReaderFailed and PhotoReaderKilled as they are.
    """
    try:
        yield
    except (PhotoRefused, PhotoReaderFailed, PhotoReaderKilled):
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as fault:
        raise PhotoTooManyPixels(None, height_px=None, most_pixels=MOST_PIXELS_OF_ANY) from fault
    except Exception as fault:
        if is_of_the_machine(fault):
            raise
        # Codecs raise nearly every built-in exception on damaged bytes, so no shorter list is safe.
        raise PhotoUnreadable from fault


def is_of_the_machine(fault: Exception) -> bool:
    """Return whether the machine lacked something, so that the same photo may be read at another time.

    Pillow reports damage as an OSError without a number; the system's own always carry one.
    """
    if isinstance(fault, OSError):
        return fault.errno is not None or "out of memory" in str(fault)
    return isinstance(fault, MemoryError | ImportError)


def open_raster(file: BinaryIO, *, photo_format: PhotoFormat) -> Image.Image:
    """Open a JPEG, PNG or WebP file by its header, without decoding it, allowing that one type only.

    Raises: whatever Pillow raises; call it inside `refusing_damage`.
    """
    # Process-wide, and the PDF library turns it on when it is first imported: half a photo is no photo.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    return Image.open(file, formats=(photo_format.name,))


def decode_heic(raw: bytes, *, longest_px: int) -> Image.Image:
    """Decode a HEIC photo in its own process: upright, shrunk to `longest_px`, with its tags and profile.

    Raises: PhotoUnreadable; PhotoReaderKilled when a signal ended that process; PhotoReaderFailed when it
    took too long or did not get as far as the photo; OSError when it could not be started; whatever Pillow
    raises on its answer. Call it inside `refusing_damage`.
    """
    figures = (MOST_PIXELS[PhotoFormat.HEIC], longest_px, UNREADABLE_EXIT)
    reader = [sys.executable, "-I", str(HEIC_READER), *map(str, figures)]
    try:
        # The command is ours to the last word; the photo only reaches its standard input.
        answer = subprocess.run(  # noqa: S603
            reader, input=raw, capture_output=True, check=False, timeout=HEIC_WAIT_S, env={}
        )
    except subprocess.TimeoutExpired as late:
        words = f"Reading this photo took longer than {HEIC_WAIT_S} s: the machine is too busy."
        raise PhotoReaderFailed(words) from late
    if answer.returncode == UNREADABLE_EXIT:
        raise PhotoUnreadable
    if answer.returncode < 0:
        raise PhotoReaderKilled
    if answer.returncode:
        last_line = answer.stderr.decode(errors="replace").strip().rpartition("\n")[2]
        raise PhotoReaderFailed(f"The program that reads HEIC photos failed: {last_line}")
    image = open_raster(BytesIO(answer.stdout), photo_format=PhotoFormat.PNG)
    image.load()
    return image
