"""What has been uploaded: the cheap look inside the request, which reads the header and decodes nothing."""

import os
import re
import struct
from dataclasses import dataclass
from typing import BinaryIO

from jobs.photos.codecs import open_raster, refusing_damage
from jobs.photos.errors import (
    PhotoAnimated,
    PhotoEmpty,
    PhotoTooBig,
    PhotoTooManyPixels,
    PhotoUnreadable,
    PhotoWrongType,
)
from jobs.photos.limits import MOST_BYTES, MOST_PIXELS, MOST_PIXELS_PROGRESSIVE_JPEG, PhotoFormat

HEAD_BYTES = 1024

STARTS: tuple[tuple[bytes, PhotoFormat | str], ...] = (
    (b"\xff\xd8\xff", PhotoFormat.JPEG),
    (b"\x89PNG\r\n\x1a\n", PhotoFormat.PNG),
    (b"GIF87a", "a GIF"),
    (b"GIF89a", "a GIF"),
    (b"%PDF", "a PDF"),
    (b"%!PS", "an EPS drawing"),
    (b"\xc5\xd0\xd3\xc6", "an EPS drawing"),
    (b"II*\x00", "a TIFF or a raw camera file"),
    (b"MM\x00*", "a TIFF or a raw camera file"),
    (b"BM", "a BMP"),
    (b"8BPS", "a layered picture"),
    (b"\x00\x00\x00\x0cjP  ", "a JPEG 2000"),
    (b"\x00\x00\x00\x0cJXL ", "a JPEG XL"),
    (b"\xff\x0a", "a JPEG XL"),
    (b"PK\x03\x04", "a zip archive or an office document"),
    (b"\x1f\x8b", "a packed archive"),
    (b"MZ", "a program"),
    (b"\x7fELF", "a program"),
)
"""First bytes of a file and what it then is. Source: the registered descriptions of each format."""

HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis"}
HEIC_SEQUENCE_BRANDS = {b"hevc", b"hevx", b"hevm", b"hevs", b"msf1"}
AVIF_BRANDS = {b"avif", b"avis"}
"""Brands in the file type box. Sources: ISO/IEC 23008-12 annex B for HEIC; the AV1 image file
specification."""

HEIC_SIZE_BOX = re.compile(rb"\x00\x00\x00\x14ispe\x00\x00\x00\x00(.{8})", re.DOTALL)
"""Box that states the width and height of one picture in the file. Source: ISO/IEC 23008-12, 6.5.3."""


@dataclass(frozen=True, slots=True)
class PhotoHeader:
    """What the start of a photo says about it, before any turning by its orientation tag."""

    format: PhotoFormat
    width_px: int
    height_px: int


def look(file: BinaryIO) -> PhotoHeader:
    """Return the type and size of an uploaded photo, leaving the file at its start.

    Reads the header only, so it is safe and quick inside a request; `intake.convert` decides whether the
    photo can be decoded. The name and the declared type of the upload are never consulted.

    Raises: PhotoEmpty, PhotoTooBig, PhotoWrongType, PhotoTooManyPixels, PhotoAnimated, PhotoUnreadable.
    """
    size_bytes = file.seek(0, os.SEEK_END)
    file.seek(0)
    if size_bytes == 0:
        raise PhotoEmpty
    if size_bytes > MOST_BYTES:
        raise PhotoTooBig(size_bytes, most_bytes=MOST_BYTES)
    photo_format = tell_format(file.read(HEAD_BYTES))
    try:
        with refusing_damage():
            return _read_header(file, photo_format=photo_format)
    finally:
        file.seek(0)


def tell_format(head: bytes) -> PhotoFormat:
    """Return the type of photo that starts with these bytes.

    >>> tell_format(bytes.fromhex("ffd8ffe0"))
    <PhotoFormat.JPEG: 'JPEG'>

    Raises: PhotoWrongType naming the type found, PhotoAnimated for a HEIC sequence.
    """
    for start, found in STARTS:
        if head.startswith(start):
            if isinstance(found, PhotoFormat):
                return found
            raise PhotoWrongType(found)
    if head[:4] == b"RIFF":
        if head[8:12] == b"WEBP":
            return PhotoFormat.WEBP
        raise PhotoWrongType("a video or a sound file")
    if head[4:8] == b"ftyp":
        return _tell_format_of_box(head)
    raise PhotoWrongType(_name_text(head))


def _tell_format_of_box(head: bytes) -> PhotoFormat:
    box_end = min(int.from_bytes(head[:4]), len(head))
    major = head[8:12]
    others = {head[start : start + 4] for start in range(16, box_end - 3, 4)}
    if major in HEIC_SEQUENCE_BRANDS:
        raise PhotoAnimated
    if major in AVIF_BRANDS or (major == b"mif1" and others & AVIF_BRANDS):
        raise PhotoWrongType("an AVIF")
    if major in HEIC_BRANDS or (major == b"mif1" and others & HEIC_BRANDS):
        return PhotoFormat.HEIC
    raise PhotoWrongType("a video")


def _name_text(head: bytes) -> str:
    text = head.removeprefix(b"\xef\xbb\xbf").lstrip().lower()
    if b"<svg" in text:
        return "an SVG drawing"
    if text.startswith((b"<!doctype html", b"<html", b"<script", b"<head", b"<body")):
        return "a web page"
    if text.startswith((b"<?php", b"#!")):
        return "a script"
    return "not a photo of a type that can be read here"


def _read_header(file: BinaryIO, *, photo_format: PhotoFormat) -> PhotoHeader:
    file.seek(0)
    most_pixels = MOST_PIXELS[photo_format]
    if photo_format is PhotoFormat.HEIC:
        width_px, height_px = _read_heic_size(file.read())
    else:
        image = open_raster(file, photo_format=photo_format)
        width_px, height_px = image.size
        # A phone may append a preview or a depth picture to a JPEG (format MPO): several pictures, no motion.
        if photo_format is not PhotoFormat.JPEG and getattr(image, "n_frames", 1) > 1:
            raise PhotoAnimated
        if image.info.get("progressive"):
            most_pixels = MOST_PIXELS_PROGRESSIVE_JPEG
    if width_px < 1 or height_px < 1:
        raise PhotoUnreadable
    if width_px * height_px > most_pixels:
        raise PhotoTooManyPixels(width_px, height_px=height_px, most_pixels=most_pixels)
    return PhotoHeader(format=photo_format, width_px=width_px, height_px=height_px)


def _read_heic_size(raw: bytes) -> tuple[int, int]:
    # The decoder is kept out of the request: damaged files have been seen to crash it. A file holds several
    # pictures (tiles, previews), and the largest is the photo.
    sizes: list[tuple[int, int]] = [struct.unpack(">II", found) for found in HEIC_SIZE_BOX.findall(raw)]
    return max(sizes, key=lambda size: size[0] * size[1], default=(0, 0))
