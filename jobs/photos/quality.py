"""Whether a photo of a stamp is likely to be readable: hints for whoever holds the phone, never a block."""

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageFilter, ImageStat

from jobs.photos.codecs import open_raster, refusing_damage
from jobs.photos.limits import PhotoFormat

MEASURED_LONGEST_PX = 800
TILES_ACROSS = 8
TILES_DOWN = 6

SMALLEST_STAMP_LONGEST_PX = 1000
"""Below this a number that fills a quarter of the width has letters of under 30 px. Estimate."""

SHARPNESS_AT_LEAST = 40.0
BRIGHTNESS_AT_LEAST = 55.0
GLARE_FRACTION_AT_MOST = 0.20
GLARE_LEVEL = 250
"""Estimates: set so that the drawn stamps of `demo` pass as drawn and fail when blurred by 2 px, darkened
to a quarter, or washed out over a third of the picture. No published source for photos of stamps."""

EDGE_KERNEL = ImageFilter.Kernel((3, 3), (0, 1, 0, 1, -4, 1, 0, 1, 0), scale=1, offset=128)


@dataclass(frozen=True, slots=True)
class PhotoQuality:
    """How sharp, bright and washed out a photo is.

    `sharpness` is the variance of the Laplacian (grey levels squared) in the sharpest tenth of the picture,
    so that a small stamp on a plain casting counts; `brightness` is the median grey level (0 to 255);
    `glare_fraction` is the share of pixels that are nearly white.
    """

    longest_px: int
    sharpness: float
    brightness: float
    glare_fraction: float


def measure_quality(page_jpeg: bytes) -> PhotoQuality:
    """Return the sharpness, brightness and size of a photo that `intake.convert` wrote.

    Sharpness by the variance of the Laplacian, after Pech-Pacheco and others, "Diatom autofocusing in
    brightfield microscopy", 2000 (cited from memory); measured at 800 px so that a larger picture does not
    count as blurred.

    Raises: PhotoUnreadable when the bytes are no whole JPEG.
    """
    with refusing_damage():
        grey = open_raster(BytesIO(page_jpeg), photo_format=PhotoFormat.JPEG).convert("L")
    longest_px = max(grey.size)
    grey.thumbnail((MEASURED_LONGEST_PX, MEASURED_LONGEST_PX))
    light = ImageStat.Stat(grey)
    nearly_white = sum(grey.histogram()[GLARE_LEVEL:])
    return PhotoQuality(
        longest_px=longest_px,
        sharpness=_measure_sharpness(grey),
        brightness=float(light.median[0]),
        glare_fraction=nearly_white / (grey.width * grey.height),
    )


def advise_stamp_shot(quality: PhotoQuality) -> tuple[str, ...]:
    """Return what to do better in a photo of a stamped number, most useful first; empty when it looks fine.

    >>> advise_stamp_shot(
    ...     PhotoQuality(longest_px=1600, sharpness=400.0, brightness=120.0, glare_fraction=0.0)
    ... )
    ()
    """
    hints = []
    if quality.longest_px < SMALLEST_STAMP_LONGEST_PX:
        hints.append(
            f"This photo is only {quality.longest_px} pixels along its longer side. "
            "Send the photo as the camera took it, not a screenshot or a forwarded copy."
        )
    if quality.brightness < BRIGHTNESS_AT_LEAST:
        hints.append(
            "The photo is dark. Hold a lamp low beside the number, so that its light falls across it, "
            "and take it again."
        )
    if quality.glare_fraction > GLARE_FRACTION_AT_MOST:
        hints.append(
            "Part of the photo is washed out. Turn the flash off or tilt the unit a little, "
            "and take it again."
        )
    if quality.sharpness < SHARPNESS_AT_LEAST:
        hints.append(
            "The photo looks blurred. Rest the phone on something, tap the number on the screen, "
            "and take it again."
        )
    return tuple(hints)


def _measure_sharpness(grey: Image.Image) -> float:
    if min(grey.size) < 3:
        return 0.0
    # The filter leaves the outermost pixels as they are, which would count as an edge.
    edges = grey.filter(EDGE_KERNEL).crop((1, 1, grey.width - 1, grey.height - 1))
    variances = []
    for row in range(TILES_DOWN):
        for column in range(TILES_ACROSS):
            left, right = edges.width * column // TILES_ACROSS, edges.width * (column + 1) // TILES_ACROSS
            top, bottom = edges.height * row // TILES_DOWN, edges.height * (row + 1) // TILES_DOWN
            if right > left and bottom > top:
                variances.append(ImageStat.Stat(edges.crop((left, top, right, bottom))).var[0])
    sharpest = sorted(variances, reverse=True)[: max(1, len(variances) // 10)]
    return float(sum(sharpest) / len(sharpest))
