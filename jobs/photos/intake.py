"""How an upload becomes the two plain pictures that are kept: decoded whole, turned upright, written anew."""

import hashlib
import threading
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from typing import Any

from PIL import Image, ImageCms, ImageOps

from jobs.photos.codecs import decode_heic, open_raster, refusing_damage
from jobs.photos.errors import PhotoUnreadable
from jobs.photos.limits import (
    MOST_JPEG_SCANS,
    MOST_PROFILE_BYTES,
    PAGE_JPEG_QUALITY,
    PAGE_LONGEST_PX,
    THUMB_JPEG_QUALITY,
    THUMB_LONGEST_PX,
    PhotoFormat,
)
from jobs.photos.sniff import look

EXIF_DIRECTORY = 0x8769
EXIF_TIME_TAKEN = 0x9003
EXIF_OFFSET_FROM_UTC = 0x9011
"""Tags DateTimeOriginal and OffsetTimeOriginal. Source: Exif 2.32 (CIPA DC-008-2019), table 8."""

JPEG_START_OF_SCAN = b"\xff\xda"
"""Source: ITU-T T.81 table B.1; inside picture data 0xFF is always followed by 0x00 or a restart mark."""

PAPER = (255, 255, 255)

_one_at_a_time = threading.Semaphore(1)


@dataclass(frozen=True, slots=True)
class ConvertedPhoto:
    """The two pictures that are kept of an uploaded photo; the upload itself is then thrown away.

    `width_px`, `height_px` and `sha256` (lower-case hexadecimal) are those of `page_jpeg`. `taken_at` is
    known only when the camera wrote the time with its offset from UTC: a time in an unknown zone proves
    nothing.
    """

    page_jpeg: bytes
    thumb_jpeg: bytes
    width_px: int
    height_px: int
    sha256: str
    taken_at: datetime | None


def convert(raw: bytes) -> ConvertedPhoto:
    """Return the page photo (longest side 1600 px) and the small photo (320 px), upright and in sRGB.

    Every pixel is decoded and pasted into a new picture, so nothing else of the upload survives: no place, no
    time, no comment, no profile, no bytes hidden before or behind the picture. Smaller photos keep their
    size. One photo is converted at a time in a process, since a large one takes up to 300 MB; call it from
    a worker, not in a request.

    Raises: PhotoEmpty, PhotoTooBig, PhotoWrongType, PhotoTooManyPixels, PhotoAnimated, PhotoUnreadable; what
    `refusing_damage` lets pass when the machine and not the photo is at fault.
    """
    header = look(BytesIO(raw))
    with _one_at_a_time, refusing_damage():
        image = _decode(raw, photo_format=header.format)
        taken_at = _read_time_taken(image)
        image = _shrink(image, longest_px=PAGE_LONGEST_PX)
        page = _paste_anew(_to_srgb(_lay_on_paper(_turn_upright(image))))
        thumb = _paste_anew(_shrink(page, longest_px=THUMB_LONGEST_PX))
        page_jpeg = _write_jpeg(page, quality=PAGE_JPEG_QUALITY)
        return ConvertedPhoto(
            page_jpeg=page_jpeg,
            thumb_jpeg=_write_jpeg(thumb, quality=THUMB_JPEG_QUALITY),
            width_px=page.width,
            height_px=page.height,
            sha256=hashlib.sha256(page_jpeg).hexdigest(),
            taken_at=taken_at,
        )


def fit_box(width_px: int, *, height_px: int, longest_px: int) -> tuple[int, int]:
    """Return the size of a picture shrunk, never enlarged, until its longest side fits.

    >>> fit_box(4000, height_px=3000, longest_px=1600)
    (1600, 1200)
    >>> fit_box(300, height_px=200, longest_px=1600)
    (300, 200)
    """
    scale = min(1.0, longest_px / max(width_px, height_px))
    return max(1, round(width_px * scale)), max(1, round(height_px * scale))


def _decode(raw: bytes, *, photo_format: PhotoFormat) -> Image.Image:
    if photo_format is PhotoFormat.HEIC:
        return decode_heic(raw, longest_px=PAGE_LONGEST_PX)
    if photo_format is PhotoFormat.JPEG and raw.count(JPEG_START_OF_SCAN) > MOST_JPEG_SCANS:
        raise PhotoUnreadable
    image = open_raster(BytesIO(raw), photo_format=photo_format)
    # The draft size needs the picture's own proportions: a square box leaves a landscape photo at full size.
    image.draft(None, fit_box(image.width, height_px=image.height, longest_px=PAGE_LONGEST_PX))
    image.load()
    return image


def _shrink(image: Image.Image, *, longest_px: int) -> Image.Image:
    size = fit_box(image.width, height_px=image.height, longest_px=longest_px)
    image = _make_resizable(image)
    if size == image.size:
        return image
    return image.resize(size, Image.Resampling.LANCZOS, reducing_gap=2.0)


def _make_resizable(image: Image.Image) -> Image.Image:
    if image.mode.startswith(("I", "F")):
        # 16-bit greys: Pillow would clip them to white instead of scaling them.
        return image.convert("F").point(lambda level: level / 256).convert("L")
    if image.mode == "P":
        return image.convert("RGBA" if "transparency" in image.info else "RGB")
    if image.mode == "1":
        return image.convert("L")
    if image.mode in {"RGB", "L"} and "transparency" in image.info:
        return image.convert("RGBA")
    return image


def _turn_upright(image: Image.Image) -> Image.Image:
    try:
        return ImageOps.exif_transpose(image)
    except MemoryError:
        raise
    except Exception:
        # A damaged tag is no reason to refuse a sound photo: it is then kept as it lies.
        return image


def _lay_on_paper(image: Image.Image) -> Image.Image:
    if not image.has_transparency_data:
        return image
    profile = image.info.get("icc_profile")
    paper = Image.new("RGBA", image.size, (*PAPER, 255))
    laid = Image.alpha_composite(paper, image.convert("RGBA")).convert("RGB")
    if profile:
        laid.info["icc_profile"] = profile
    return laid


def _to_srgb(image: Image.Image) -> Image.Image:
    profile = image.info.get("icc_profile")
    if (
        isinstance(profile, bytes)
        and len(profile) <= MOST_PROFILE_BYTES
        and image.mode in {"RGB", "L", "CMYK"}
    ):
        try:
            converted = ImageCms.profileToProfile(
                image,
                ImageCms.ImageCmsProfile(BytesIO(profile)),
                ImageCms.createProfile("sRGB"),
                outputMode="RGB",
            )
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            converted = None  # a damaged profile: the plain conversion below is close enough
        if converted is not None:
            return converted
    return image.convert("RGB")


def _paste_anew(image: Image.Image) -> Image.Image:
    fresh = Image.new("RGB", image.size, PAPER)
    fresh.paste(image)
    return fresh


def _write_jpeg(image: Image.Image, *, quality: int) -> bytes:
    out = BytesIO()
    image.save(out, "JPEG", quality=quality)
    return out.getvalue()


def _read_time_taken(image: Image.Image) -> datetime | None:
    try:
        tags: dict[int, Any] = image.getexif().get_ifd(EXIF_DIRECTORY)
        stamp = f"{tags[EXIF_TIME_TAKEN]} {tags[EXIF_OFFSET_FROM_UTC]}".replace("\0", "")
        return datetime.strptime(stamp, "%Y:%m:%d %H:%M:%S %z")
    except Exception:
        # Tags are free text from a stranger: absent, damaged or absurd all mean "not known".
        return None
