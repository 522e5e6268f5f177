"""Photos for the demonstration jobs: drawn, invented, and the same for the same seed."""

import math
import random
from enum import Enum
from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from jobs.photos import demo_scenes as scenes
from jobs.photos.demo_metal import cast_shadow
from jobs.photos.demo_units import draw_unit

TURNS_DEG = (-3, 0, 2)
JPEG_QUALITY = 80


class DemoSubject(Enum):
    """What a demonstration photo shows."""

    WHOLE_UNIT = "whole unit"
    NUMBER = "number"
    OPEN_CARTON = "open carton"
    BENT_LEVER = "bent lever"
    CRACKED_FLANGE = "cracked flange"


def draw_demo_photo(subject: DemoSubject, *, family: str, number: str, seed: int) -> bytes:
    """Return a drawn photo of 1000 x 750 px as JPEG: the same arguments give the same bytes.

    `family` is a family's slug; one without a drawing of its own is shown as a throttle body. `number` is
    what is struck into the unit, worn more or less by the seed. Scenes are drawn once in a process and kept,
    so that each further photo takes about 10 ms.
    """
    # Only the look of a drawing hangs on this dice.
    dice = random.Random(f"{subject.value}/{family}/{number}/{seed}")  # noqa: S311
    if subject is DemoSubject.NUMBER:
        image = _draw_number(family=family, number=number, dice=dice)
    elif subject is DemoSubject.OPEN_CARTON:
        image = _draw_open_carton(family=family, dice=dice)
    elif subject is DemoSubject.BENT_LEVER:
        image = _draw_on_bench(scenes.draw_bent_lever(dice.choice(scenes.BENDS_DEG)), dice=dice)
    elif subject is DemoSubject.CRACKED_FLANGE:
        image = _draw_on_bench(scenes.draw_flange(), dice=dice)
        _crack(image, dice=dice)
    else:
        image = _draw_whole_unit(family=family, number=number, dice=dice)
    out = BytesIO()
    image.save(out, "JPEG", quality=JPEG_QUALITY)
    return out.getvalue()


def _draw_whole_unit(*, family: str, number: str, dice: random.Random) -> Image.Image:
    image = scenes.draw_bench(dice.randrange(scenes.BENCHES)).copy()
    turn_deg = dice.choice(TURNS_DEG)
    unit = scenes.draw_turned_unit(family, turn_deg=turn_deg, percent=100)
    at = (160 + dice.randrange(-40, 41), 100 + dice.randrange(-30, 31))
    image.paste((14, 10, 8), at, _find_shadow(family, turn_deg=turn_deg, percent=100))
    image.paste(unit, at, unit)
    left, top, right, bottom = draw_unit(family)[1]
    struck = strike_number(number, box_px=(right - left, bottom - top), dice=dice).rotate(
        turn_deg, Image.Resampling.BICUBIC, expand=True
    )
    angle = math.radians(turn_deg)
    off_x, off_y = (left + right) / 2 - unit.width / 2, (top + bottom) / 2 - unit.height / 2
    x = at[0] + unit.width / 2 + off_x * math.cos(angle) + off_y * math.sin(angle) - struck.width / 2
    y = at[1] + unit.height / 2 - off_x * math.sin(angle) + off_y * math.cos(angle) - struck.height / 2
    image.paste(struck, (round(x), round(y)), struck)
    return image


def _draw_number(*, family: str, number: str, dice: random.Random) -> Image.Image:
    plated = "plate" if family in scenes.PLATED_FAMILIES else "casting"
    image = scenes.draw_number_ground(plated).copy()
    left, top, right, bottom = scenes.PAD_BOX
    margin = 150 if plated == "plate" else 100
    struck = strike_number(number, box_px=(right - left - margin, bottom - top - 120), dice=dice)
    x = (left + right - struck.width) // 2 + dice.randrange(-14, 15)
    y = (top + bottom - struck.height) // 2 + dice.randrange(-12, 13)
    image.paste(struck, (x, y), struck)
    draw = ImageDraw.Draw(image, "RGBA")
    for _ in range(dice.randrange(6, 14)):
        start = (dice.randrange(left, right - 60), dice.randrange(top + 20, bottom - 20))
        end = (start[0] + dice.randrange(20, 120), start[1] + dice.randrange(-26, 27))
        draw.line([start, end], fill=(250, 250, 246, 96), width=1)
        draw.line([(start[0], start[1] + 1), (end[0], end[1] + 1)], fill=(40, 40, 42, 90), width=1)
    _smear_grease(image, box=scenes.PAD_BOX, dice=dice)
    return image


def _draw_open_carton(*, family: str, dice: random.Random) -> Image.Image:
    image = scenes.draw_carton().copy()
    turn_deg = dice.choice(TURNS_DEG)
    unit = scenes.draw_turned_unit(family, turn_deg=turn_deg, percent=62)
    at = (290 + dice.randrange(-12, 13), 212 + dice.randrange(-6, 7))
    image.paste((10, 9, 8), at, _find_shadow(family, turn_deg=turn_deg, percent=62))
    image.paste(unit, at, unit)
    draw = ImageDraw.Draw(image)
    x, y = 880 + dice.randrange(-16, 10), 330 + dice.randrange(-80, 80)
    draw.polygon(
        [(x - 40, y - 62), (x + 52, y - 56), (x + 46, y + 70), (x - 46, y + 64)], fill=(226, 224, 214)
    )
    for step in range(7):
        draw.line(
            [(x - 28, y - 38 + step * 14), (x + 34 - step % 3 * 12, y - 35 + step * 14)],
            fill=(96, 98, 104),
            width=2,
        )
    return image


def _draw_on_bench(part: tuple[Image.Image, Image.Image], *, dice: random.Random) -> Image.Image:
    sprite, shadow = part
    image = scenes.draw_bench(dice.randrange(scenes.BENCHES)).copy()
    image.paste((12, 9, 7), mask=shadow)
    image.paste(sprite, mask=sprite)
    return image


def _crack(image: Image.Image, *, dice: random.Random) -> None:
    """Draw a crack from the right bolt hole to the edge of its ear, with a branch and oil drawn into it."""
    box = (680, 400, 920, 600)
    main = _wander((778 + dice.randrange(-8, 9), 447), end=(744 + dice.randrange(-26, 27), 552), dice=dice)
    fork = main[len(main) // 2]
    branch = _wander(fork, end=(fork[0] + dice.randrange(24, 48), fork[1] + dice.randrange(6, 22)), dice=dice)
    close = image.crop(box)
    stain = Image.new("L", close.size, 0)
    ImageDraw.Draw(stain).line([(x - box[0], y - box[1]) for x, y in main], fill=150, width=16)
    close.paste((74, 62, 44), mask=stain.filter(ImageFilter.BoxBlur(7)))
    close = close.resize((close.width * 2, close.height * 2), Image.Resampling.BILINEAR)
    draw = ImageDraw.Draw(close)
    for line, width in ((main, 6), (branch, 3)):
        scaled = [((x - box[0]) * 2, (y - box[1]) * 2) for x, y in line]
        draw.line([(x + 4, y + 2) for x, y in scaled], fill=(240, 241, 238), width=width - 1, joint="curve")
        draw.line(scaled, fill=(24, 22, 22), width=width, joint="curve")
    # The part beside the flange keeps the bench as it was.
    image.paste(close.reduce(2), box, scenes.draw_flange()[0].getchannel("A").crop(box))


def _wander(
    start: tuple[float, float], *, end: tuple[float, float], dice: random.Random
) -> list[tuple[float, float]]:
    steps = dice.randrange(7, 11)
    line = [start]
    for step in range(1, steps):
        part = step / steps
        line.append(
            (
                start[0] + (end[0] - start[0]) * part + dice.uniform(-6, 6),
                start[1] + (end[1] - start[1]) * part + dice.uniform(-3, 3),
            )
        )
    return [*line, end]


def _smear_grease(image: Image.Image, *, box: tuple[int, int, int, int], dice: random.Random) -> None:
    size = (box[2] - box[0], box[3] - box[1])
    small = Image.new("L", (size[0] // 8, size[1] // 8), 0)
    draw = ImageDraw.Draw(small)
    for _ in range(dice.randrange(2, 6)):
        x, y = dice.randrange(16, small.width - 16), dice.choice((7, small.height - 8))
        wide, high = dice.randrange(5, 10), dice.randrange(1, 4)
        draw.ellipse((x - wide, y - high, x + wide, y + high), fill=dice.randrange(70, 150))
    smear = small.filter(ImageFilter.GaussianBlur(1.4)).resize(size, Image.Resampling.BICUBIC)
    image.paste((52, 42, 30), box[:2], smear)


def strike_number(number: str, *, box_px: tuple[int, int], dice: random.Random) -> Image.Image:
    """Return a number as struck characters on a transparent ground, fitted into a box, worn in patches."""
    pitch = min(box_px[0] / max(1, len(number)), box_px[1] * 0.7)
    size = round(pitch / 0.7)
    font = _load_font(max(8, size))
    struck = Image.new("L", (box_px[0] + 8, box_px[1] + 8), 0)
    draw = ImageDraw.Draw(struck)
    start = (struck.width - pitch * len(number)) / 2
    for place, character in enumerate(number):
        across = start + pitch * (place + 0.5) + dice.uniform(-0.02, 0.02) * size
        down = struck.height / 2 + dice.uniform(-0.045, 0.045) * size
        depth = 255 if dice.random() < 0.7 else dice.randrange(120, 220)
        draw.text(
            (across, down), character, font=font, anchor="mm", fill=depth, stroke_width=max(0, size // 40)
        )
    struck = ImageChops.multiply(struck, _wear(struck.size, dice=dice))
    depth_px = max(1, size // 26)
    lit = ImageChops.subtract(ImageChops.offset(struck, depth_px, depth_px), struck)
    picture = Image.new("RGBA", struck.size, (28, 27, 26, 0))
    picture.putalpha(struck.point([round(level * 0.84) for level in range(256)]))
    picture.paste((252, 250, 242, 190), mask=lit.point([round(level * 0.8) for level in range(256)]))
    return picture


def _wear(size: tuple[int, int], *, dice: random.Random) -> Image.Image:
    """Return patches in which the characters are nearly gone: harder wear for some seeds than for others."""
    across, down = max(3, size[0] // 60), max(2, size[1] // 60)
    patches = Image.frombytes("L", (across, down), dice.randbytes(across * down)).resize(
        size, Image.Resampling.BICUBIC
    )
    hardness = dice.choice((20, 60, 100))
    return patches.point([max(70, min(255, round((level - hardness) * 3.2 + 110))) for level in range(256)])


@lru_cache(maxsize=32)
def _load_font(size_px: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size=size_px)


@lru_cache(maxsize=32)
def _find_shadow(family: str, *, turn_deg: int, percent: int) -> Image.Image:
    unit = scenes.draw_turned_unit(family, turn_deg=turn_deg, percent=percent)
    return cast_shadow(unit, reach_px=16 * percent // 100, strength=0.72)
