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

from jobs.photos.errors import PhotoRefused, PhotoTooManyPixels, PhotoUnreadable
from jobs.photos.limits import MOST_PIXELS, MOST_PIXELS_OF_ANY, PhotoFormat

# These are process-wide in Pillow. Its own bomb check is the second line; `sniff.look` counts pixels first.
Image.MAX_IMAGE_PIXELS = MOST_PIXELS_OF_ANY
warnings.filterwarnings("error", category=Image.DecompressionBombWarning)
# Pillow warns of damaged tags and reads on: every stranger's odd file would fill the log.
warnings.filterwarnings("ignore", category=UserWarning, module="PIL")


HEIC_READER = Path(__file__).with_name("heic_reader.py")
HEIC_WAIT_S = 60
"""Seconds to wait for the decoder on a busy machine; it stops itself after 20 s of processor time."""


@contextmanager
def refusing_damage() -> Iterator[None]:
    """Turn whatever a codec raises on a damaged file into a refusal.

    Raises: PhotoTooManyPixels when Pillow suspects a bomb, PhotoUnreadable for every other fault of a codec.
    """
    try:
        yield
    except PhotoRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as fault:
        raise PhotoTooManyPixels(None, height_px=None, most_pixels=MOST_PIXELS_OF_ANY) from fault
    except Exception as fault:
        # Codecs raise nearly every built-in exception on damaged bytes, so no shorter list is safe.
        raise PhotoUnreadable from fault


def open_raster(file: BinaryIO, *, photo_format: PhotoFormat) -> Image.Image:
    """Open a JPEG, PNG or WebP file by its header, without decoding it, allowing that one type only.

    Raises: whatever Pillow raises; call it inside `refusing_damage`.
    """
    # Process-wide, and the PDF library turns it on when it is first imported: half a photo is no photo.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    return Image.open(file, formats=(photo_format.name,))


def decode_heic(raw: bytes, *, longest_px: int) -> Image.Image:
    """Decode a HEIC photo in its own process: upright, shrunk to `longest_px`, with its tags and profile.

    Raises: subprocess.SubprocessError when that process fails or takes too long; whatever Pillow raises on
    its answer; call it inside `refusing_damage`.
    """
    reader = [sys.executable, "-I", str(HEIC_READER), str(MOST_PIXELS[PhotoFormat.HEIC]), str(longest_px)]
    # The command is ours to the last word; the photo only reaches its standard input.
    answer = subprocess.run(  # noqa: S603
        reader, input=raw, capture_output=True, check=True, timeout=HEIC_WAIT_S, env={}
    )
    image = open_raster(BytesIO(answer.stdout), photo_format=PhotoFormat.PNG)
    image.load()
    return image
