"""Shaded shapes from which the demonstration photos are drawn: turned, flat and round metal, and shadow."""

import math
import random
from collections.abc import Sequence
from enum import Enum
from functools import lru_cache
from itertools import pairwise

from PIL import Image, ImageChops, ImageDraw, ImageFilter

OVERSAMPLE = 2
"""Shapes are drawn at twice their size and shrunk, which smooths their edges."""

Point = tuple[float, float]
Box = tuple[float, float, float, float]


class Tone(Enum):
    """Base colour of a material in mid light."""

    ALLOY = (158, 160, 158)
    MACHINED = (186, 189, 190)
    STEEL = (126, 130, 136)
    IRON = (84, 86, 88)
    BRASS = (186, 150, 78)
    BAKELITE = (66, 44, 34)
    ENAMEL = (72, 92, 84)
    RUBBER = (44, 45, 47)
    BOARD = (184, 148, 104)
    FOAM = (206, 210, 208)
    PAPER = (222, 214, 196)
    COPPER = (176, 106, 70)


class Turning(Enum):
    """How a shape takes the light: the direction across which its brightness runs."""

    ACROSS = "upright cylinder"
    DOWN = "lying cylinder"
    FLAT = "plane face"
    ROUND = "ball or dish"


# Brightness over the section of a lit cylinder: dark rim, highlight, falling away, light thrown back.
CYLINDER = ((0.0, 0.42), (0.10, 0.78), (0.28, 1.42), (0.40, 1.12), (0.70, 0.62), (0.90, 0.46), (1.0, 0.66))
PLANE = ((0.0, 1.12), (0.5, 1.0), (1.0, 0.86))


@lru_cache(maxsize=256)
def shade_strip(tone: Tone, stops: tuple[tuple[float, float], ...], length: int) -> Image.Image:
    """Return a strip one pixel wide that runs through the brightness stops in the colour of a material."""
    strip = Image.new("RGB", (1, length))
    for row in range(length):
        place = row / max(1, length - 1)
        strip.putpixel((0, row), tint(tone.value, brightness=_interpolate(stops, place)))
    return strip


def tint(colour: tuple[int, int, int], *, brightness: float) -> tuple[int, int, int]:
    """Return a colour made darker (below 1) or brighter (above 1, running into white)."""
    if brightness <= 1:
        red, green, blue = (round(part * brightness) for part in colour)
    else:
        red, green, blue = (round(part + (255 - part) * min(1.0, (brightness - 1) * 1.2)) for part in colour)
    return red, green, blue


def _interpolate(stops: tuple[tuple[float, float], ...], place: float) -> float:
    for (start, low), (end, high) in pairwise(stops):
        if place <= end:
            return low + (high - low) * (place - start) / (end - start)
    return stops[-1][1]


class Sheet:
    """A transparent sheet on which lit shapes are laid one over the other."""

    def __init__(self, width_px: int, *, height_px: int) -> None:
        self.size = (width_px, height_px)
        self.picture = Image.new("RGBA", (width_px * OVERSAMPLE, height_px * OVERSAMPLE), (60, 60, 60, 0))

    def lay_box(self, box: Box, *, tone: Tone, turning: Turning = Turning.FLAT, radius: float = 0) -> None:
        """Lay a rectangle, its corners rounded by `radius` pixels."""
        mask, draw, origin = self._start(box)
        left, top, right, bottom = self._scale(box, origin=origin)
        draw.rounded_rectangle((left, top, right, bottom), radius * OVERSAMPLE, fill=255)
        self._finish(mask, origin=origin, tone=tone, turning=turning)

    def lay_polygon(self, points: Sequence[Point], *, tone: Tone, turning: Turning = Turning.FLAT) -> None:
        """Lay a polygon."""
        xs, ys = [x for x, _ in points], [y for _, y in points]
        mask, draw, origin = self._start((min(xs), min(ys), max(xs), max(ys)))
        draw.polygon([(x * OVERSAMPLE - origin[0], y * OVERSAMPLE - origin[1]) for x, y in points], fill=255)
        self._finish(mask, origin=origin, tone=tone, turning=turning)

    def lay_disc(self, centre: Point, *, radius: float, tone: Tone, turning: Turning = Turning.ROUND) -> None:
        """Lay a disc; a round one is lit from the upper left."""
        x, y = centre
        box = (x - radius, y - radius, x + radius, y + radius)
        mask, draw, origin = self._start(box)
        draw.ellipse(self._scale(box, origin=origin), fill=255)
        self._finish(mask, origin=origin, tone=tone, turning=turning)

    def lay_bar(self, start: Point, *, end: Point, width: float, tone: Tone) -> None:
        """Lay a round bar from point to point, with round ends."""
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        across = (-math.sin(angle) * width / 2, math.cos(angle) * width / 2)
        ring = [
            (start[0] + across[0], start[1] + across[1]),
            (end[0] + across[0], end[1] + across[1]),
            (end[0] - across[0], end[1] - across[1]),
            (start[0] - across[0], start[1] - across[1]),
        ]
        steep = abs(end[1] - start[1]) > abs(end[0] - start[0])
        turning = Turning.ACROSS if steep else Turning.DOWN
        self.lay_disc(start, radius=width / 2, tone=tone)
        self.lay_disc(end, radius=width / 2, tone=tone)
        self.lay_polygon(ring, tone=tone, turning=turning)

    def lay_bolt(self, centre: Point, *, radius: float) -> None:
        """Lay a slotted cheese-head screw."""
        x, y = centre
        self.lay_disc(centre, radius=radius, tone=Tone.STEEL)
        self.lay_disc(centre, radius=radius * 0.74, tone=Tone.STEEL, turning=Turning.FLAT)
        self.cut_line(
            [(x - radius * 0.6, y + radius * 0.35), (x + radius * 0.6, y - radius * 0.35)], width=radius / 3
        )

    def lay_hole(self, centre: Point, *, radius: float) -> None:
        """Lay a drilled hole: dark, with a lit lower lip."""
        x, y = centre
        draw = ImageDraw.Draw(self.picture)
        for grow, shift, colour in ((1.18, 0.10, (214, 216, 214)), (1.0, 0.0, (24, 25, 27))):
            reach = radius * grow
            box = (x - reach, y - reach + shift * radius, x + reach, y + reach + shift * radius)
            draw.ellipse([part * OVERSAMPLE for part in box], fill=(*colour, 255))

    def cut_line(
        self, points: Sequence[Point], *, width: float, ink: tuple[int, int, int] = (34, 35, 37)
    ) -> None:
        """Cut a groove along a line: a dark line with a lit lower edge."""
        draw = ImageDraw.Draw(self.picture, "RGBA")
        scaled = [(x * OVERSAMPLE, y * OVERSAMPLE) for x, y in points]
        thick = max(1, round(width * OVERSAMPLE))
        draw.line(
            [(x + 1, y + thick * 0.8) for x, y in scaled], fill=(236, 237, 235, 120), width=max(1, thick // 2)
        )
        draw.line(scaled, fill=(*ink, 255), width=thick, joint="curve")

    def finish(self) -> Image.Image:
        """Return the sheet at its own size, with the grain of a casting."""
        shrunk = self.picture.resize(self.size, Image.Resampling.LANCZOS, reducing_gap=2.0)
        colour, alpha = shrunk.convert("RGB"), shrunk.getchannel("A")
        grained = ImageChops.overlay(colour, draw_grain(self.size, spread=13))
        grained.putalpha(alpha)
        return grained

    def _start(self, box: Box) -> tuple[Image.Image, ImageDraw.ImageDraw, tuple[int, int]]:
        margin = 2
        left, top = math.floor(box[0]) * OVERSAMPLE - margin, math.floor(box[1]) * OVERSAMPLE - margin
        right, bottom = math.ceil(box[2]) * OVERSAMPLE + margin, math.ceil(box[3]) * OVERSAMPLE + margin
        mask = Image.new("L", (right - left, bottom - top), 0)
        return mask, ImageDraw.Draw(mask), (left, top)

    def _scale(self, box: Box, *, origin: tuple[int, int]) -> Box:
        left, top, right, bottom = (part * OVERSAMPLE for part in box)
        return left - origin[0], top - origin[1], right - origin[0], bottom - origin[1]

    def _finish(self, mask: Image.Image, *, origin: tuple[int, int], tone: Tone, turning: Turning) -> None:
        face = light_face(mask.size, tone=tone, turning=turning)
        inner = mask.filter(ImageFilter.MinFilter(5))
        face = Image.composite(face, _edge_light(face, mask=mask), inner)
        rim = ImageChops.subtract(mask, mask.filter(ImageFilter.MinFilter(3)))
        face.paste(tint(tone.value, brightness=0.3), mask=rim)
        self.picture.paste(face, origin, mask)


def _edge_light(face: Image.Image, *, mask: Image.Image) -> Image.Image:
    """Return a chamfer: brighter where the edge looks up and left, darker where it looks down and right."""
    lit = ImageChops.subtract(mask, ImageChops.offset(mask, 4, 4))
    edge = face.point(lambda level: level * 0.62)
    edge.paste(face.point(lambda level: min(255, level * 1.22 + 22)), mask=lit)
    return edge


def light_face(size: tuple[int, int], *, tone: Tone, turning: Turning) -> Image.Image:
    """Return a rectangle of a material as the light falls on it."""
    width, height = size
    if turning is Turning.DOWN:
        return shade_strip(tone, CYLINDER, 256).resize(size)
    if turning is Turning.ACROSS:
        return shade_strip(tone, CYLINDER, 256).transpose(Image.Transpose.ROTATE_90).resize(size)
    if turning is Turning.FLAT:
        return shade_strip(tone, PLANE, 256).resize(size)
    reach = max(width, height)
    ball = Image.radial_gradient("L").resize((reach * 2, reach * 2))
    window = (round(reach * 0.64), round(reach * 0.66))
    ball = ball.crop((window[0], window[1], window[0] + width, window[1] + height))
    channels = [
        ball.point(
            [
                round(
                    tint(tone.value, brightness=1.45 - level / 118)[part]
                    if level < 118 * 1.2
                    else tint(tone.value, brightness=0.28)[part]
                )
                for level in range(256)
            ]
        )
        for part in range(3)
    ]
    return Image.merge("RGB", channels)


@lru_cache(maxsize=16)
def draw_grain(size: tuple[int, int], *, spread: int) -> Image.Image:
    """Return a grey sheet with the fine grain of sand-cast metal; the same size gives the same grain."""
    dice = random.Random(size[0] * 7919 + size[1])  # noqa: S311
    tile = Image.frombytes("L", (128, 128), dice.randbytes(128 * 128))
    tile = tile.point([round(128 + (level - 128) * spread / 128) for level in range(256)])
    grain = Image.new("L", size)
    for x in range(0, size[0], 128):
        for y in range(0, size[1], 128):
            grain.paste(tile.rotate(90 * dice.randrange(4)), (x, y))
    return Image.merge("RGB", [grain.filter(ImageFilter.BoxBlur(0.7))] * 3)


def cast_shadow(sprite: Image.Image, *, reach_px: int, strength: float) -> Image.Image:
    """Return the soft shadow of a sprite as a mask of the same size."""
    alpha = sprite.getchannel("A").point([round(level * strength) for level in range(256)])
    return ImageChops.offset(alpha, reach_px, reach_px).filter(ImageFilter.GaussianBlur(reach_px * 0.7))
