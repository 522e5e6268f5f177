"""Where the demonstration photos are taken: the bench, the open carton, the close views of worn metal.

Every scene is drawn once and kept, since drawing it costs far more than putting a unit on it.
"""

import random
from functools import lru_cache

from PIL import Image, ImageChops, ImageDraw, ImageEnhance, ImageFilter

from jobs.photos.demo_metal import Sheet, Tone, Turning, cast_shadow, draw_grain, light_face, tint
from jobs.photos.demo_units import draw_unit

PHOTO_SIZE_PX = (1000, 750)
BENCHES = 3
BENDS_DEG = (14, 26, 38)
PLATED_FAMILIES = frozenset({"magneto", "injection_pump"})
"""Families whose number stands on a riveted plate; the others have it struck into the casting."""

PAD_BOX = (150, 225, 850, 545)


@lru_cache(maxsize=BENCHES)
def draw_bench(bench: int) -> Image.Image:
    """Return a bench top in lamp light: oak planks, a ribbed rubber mat, or packing paper on planks."""
    dice = random.Random(bench + 11)  # noqa: S311
    image = _draw_mat() if bench == 1 else _draw_planks(dice=dice)
    if bench == 2:
        paper = [(70, 60), (940, 40), (960, 700), (50, 715)]
        shadow = Image.new("L", PHOTO_SIZE_PX, 0)
        ImageDraw.Draw(shadow).polygon([(x + 8, y + 10) for x, y in paper], fill=130)
        image.paste((20, 14, 10), mask=shadow.filter(ImageFilter.GaussianBlur(9)))
        draw = ImageDraw.Draw(image)
        draw.polygon(paper, fill=(196, 176, 142))
        for crease in ([(505, 50), (498, 708)], [(60, 380), (950, 372)]):
            draw.line(crease, fill=(176, 156, 124), width=3)
            draw.line([(x + 3, y + 3) for x, y in crease], fill=(212, 194, 162), width=2)
        for _ in range(5):
            x, y, reach = dice.randrange(100, 880), dice.randrange(90, 650), dice.randrange(10, 34)
            stain = Image.new("L", PHOTO_SIZE_PX, 0)
            ImageDraw.Draw(stain).ellipse((x, y, x + reach * 2, y + reach), fill=60)
            image.paste((70, 54, 38), mask=stain.filter(ImageFilter.GaussianBlur(5)))
    return light_from_lamp(ImageChops.overlay(image, draw_grain(PHOTO_SIZE_PX, spread=16)))


def _draw_planks(*, dice: random.Random) -> Image.Image:
    image = Image.new("RGB", PHOTO_SIZE_PX)
    for top in range(0, PHOTO_SIZE_PX[1], 188):
        base = tint((158, 114, 72), brightness=dice.uniform(0.82, 1.0))
        grain = Image.frombytes("L", (12, 94), dice.randbytes(12 * 94)).resize(
            (1000, 188), Image.Resampling.BICUBIC
        )
        dark = Image.new("RGB", (1000, 188), tint(base, brightness=0.72))
        dark.paste(base, mask=grain.point([min(255, round(level * 1.15)) for level in range(256)]))
        image.paste(dark, (0, top))
        draw = ImageDraw.Draw(image)
        draw.line([(0, top), (1000, top)], fill=(44, 28, 18), width=4)
        draw.line([(0, top + 4), (1000, top + 4)], fill=tint(base, brightness=1.1), width=1)
    return image


def _draw_mat() -> Image.Image:
    image = Image.new("RGB", PHOTO_SIZE_PX, (74, 80, 82))
    draw = ImageDraw.Draw(image)
    for y in range(0, PHOTO_SIZE_PX[1], 15):
        draw.line([(0, y), (1000, y)], fill=(56, 61, 63), width=4)
        draw.line([(0, y + 4), (1000, y + 4)], fill=(92, 98, 100), width=1)
    return image


def light_from_lamp(image: Image.Image) -> Image.Image:
    """Return the picture lit from the upper left, falling off towards the corners."""
    reach = Image.radial_gradient("L").resize((1700, 1400)).crop((400, 420, 1400, 1170))
    falloff = reach.point([round(255 - max(0, level - 40) * 0.62) for level in range(256)])
    return ImageChops.multiply(image, Image.merge("RGB", [falloff] * 3))


@lru_cache(maxsize=2)
def draw_number_ground(plated: str) -> Image.Image:
    """Return the close view of the place where a number is struck: `plate` or `casting`."""
    ground = _draw_rough_casting()
    sheet = Sheet(1000, height_px=750)
    if plated == "plate":
        sheet.lay_box(PAD_BOX, tone=Tone.BRASS, radius=14)
        for x in (190, 810):
            sheet.lay_disc((x, 385), radius=20, tone=Tone.STEEL)
        sheet.lay_box((176, 250, 824, 254), tone=Tone.IRON)
        sheet.lay_box((176, 516, 824, 520), tone=Tone.IRON)
    else:
        sheet.lay_box((120, 195, 880, 575), tone=Tone.ALLOY, radius=60)
        sheet.lay_box(PAD_BOX, tone=Tone.MACHINED, radius=34)
        sheet.lay_bolt((60, 640), radius=74)
    pad = sheet.finish()
    shadow = ImageChops.offset(pad.getchannel("A"), 12, 14).filter(ImageFilter.GaussianBlur(12))
    ground.paste((24, 24, 26), mask=shadow.point([round(level * 0.6) for level in range(256)]))
    ground.paste(pad, mask=pad)
    dice = random.Random(5)  # noqa: S311
    brushed = Image.frombytes("L", (8, 320), dice.randbytes(8 * 320)).resize(
        (700, 320), Image.Resampling.BICUBIC
    )
    brushed = Image.merge("RGB", [brushed.point([round(112 + level / 8) for level in range(256)])] * 3)
    box = (PAD_BOX[0] + 8, PAD_BOX[1] + 8, PAD_BOX[2] - 8, PAD_BOX[3] - 8)
    inside = Image.new("L", (box[2] - box[0], box[3] - box[1]), 0)
    ImageDraw.Draw(inside).rounded_rectangle((0, 0, inside.width - 1, inside.height - 1), 26, fill=255)
    ground.paste(ImageChops.overlay(ground.crop(box), brushed.crop((8, 8, 692, 312))), box[:2], inside)
    return light_from_lamp(ground)


def _draw_rough_casting() -> Image.Image:
    ground = light_face(PHOTO_SIZE_PX, tone=Tone.ALLOY, turning=Turning.DOWN)
    ground = ImageEnhance.Brightness(ground).enhance(0.8)
    rough = draw_grain((250, 188), spread=70).filter(ImageFilter.GaussianBlur(0.8)).resize(PHOTO_SIZE_PX)
    pits = ImageChops.offset(rough, 2, 2)
    relief = ImageChops.subtract(rough, pits, scale=0.5, offset=128)
    return ImageChops.overlay(ImageChops.overlay(ground, relief), draw_grain(PHOTO_SIZE_PX, spread=14))


@lru_cache(maxsize=len(BENDS_DEG))
def draw_bent_lever(bend_deg: int) -> tuple[Image.Image, Image.Image]:
    """Return the close view of a lever bent on its shaft, on a transparent ground, and its shadow."""
    sheet = Sheet(1000, height_px=750)
    sheet.lay_box((-40, 90, 250, 690), tone=Tone.ALLOY, turning=Turning.ACROSS, radius=30)
    sheet.lay_box((230, 300, 300, 470), tone=Tone.ALLOY, turning=Turning.DOWN, radius=12)
    sheet.lay_bar((290, 385), end=(400, 385), width=66, tone=Tone.STEEL)
    tilt = bend_deg / 38
    knee_x, knee_y = 640, 350
    end_x, end_y = 880 - 70 * tilt, 330 + 250 * tilt
    sheet.lay_polygon(
        [(400, 318), (knee_x, knee_y - 44), (knee_x - 14 * tilt, knee_y + 42), (400, 452)], tone=Tone.STEEL
    )
    sheet.lay_polygon(
        [
            (knee_x - 2, knee_y - 44),
            (end_x + 34 * tilt, end_y - 38),
            (end_x - 30 * tilt, end_y + 38),
            (knee_x - 16 * tilt, knee_y + 42),
        ],
        tone=Tone.STEEL,
        turning=Turning.FLAT if bend_deg < 20 else Turning.DOWN,
    )
    sheet.lay_disc((end_x, end_y), radius=52, tone=Tone.STEEL, turning=Turning.FLAT)
    sheet.lay_hole((end_x, end_y), radius=24)
    for step in range(5):
        x = knee_x - 16 + step * 8
        sheet.cut_line([(x, knee_y - 38), (x - 10 * tilt, knee_y + 36)], width=1.5, ink=(70, 72, 76))
    sheet.cut_line([(knee_x + 6, knee_y - 42), (knee_x - 4, knee_y - 12)], width=3)
    sheet.lay_disc((420, 385), radius=92, tone=Tone.STEEL)
    sheet.lay_disc((420, 385), radius=60, tone=Tone.MACHINED, turning=Turning.FLAT)
    sheet.lay_bolt((420, 385), radius=44)
    lever = sheet.finish()
    return lever, cast_shadow(lever, reach_px=20, strength=0.66)


@lru_cache(maxsize=1)
def draw_flange() -> tuple[Image.Image, Image.Image]:
    """Return the close view of a mounting flange with two ears and a bore, and its shadow."""
    sheet = Sheet(1000, height_px=750)
    sheet.lay_box((250, -40, 750, 300), tone=Tone.ALLOY, turning=Turning.ACROSS, radius=20)
    rim = [
        (300, 250),
        (700, 250),
        (880, 350),
        (900, 420),
        (860, 490),
        (680, 580),
        (320, 580),
        (140, 490),
        (100, 420),
    ]
    sheet.lay_polygon([*rim, (120, 350)], tone=Tone.MACHINED)
    sheet.lay_disc((500, 415), radius=156, tone=Tone.ALLOY, turning=Turning.FLAT)
    sheet.lay_hole((500, 415), radius=128)
    for x in (210, 790):
        sheet.lay_disc((x, 415), radius=62, tone=Tone.MACHINED, turning=Turning.FLAT)
        sheet.lay_hole((x, 415), radius=34)
    flange = sheet.finish()
    return flange, cast_shadow(flange, reach_px=20, strength=0.66)


@lru_cache(maxsize=1)
def draw_carton() -> Image.Image:
    """Return an open carton seen from above: four flaps, walls, foam and a slip of paper against one wall."""
    image = draw_bench(0).copy()
    sheet = Sheet(1000, height_px=750)
    for flap in (
        [(170, 130), (830, 130), (880, 10), (120, 10)],
        [(170, 620), (830, 620), (870, 742), (130, 742)],
        [(170, 130), (170, 620), (20, 660), (20, 90)],
        [(830, 130), (830, 620), (980, 660), (980, 90)],
    ):
        sheet.lay_polygon(flap, tone=Tone.BOARD)
    sheet.lay_box((166, 126, 834, 624), tone=Tone.BOARD)
    flaps = sheet.finish()
    image.paste((20, 12, 8), mask=flaps.getchannel("A").filter(ImageFilter.GaussianBlur(14)))
    image.paste(flaps, mask=flaps)
    draw = ImageDraw.Draw(image, "RGBA")
    for x in range(24, 166, 7):
        draw.line([(x, 92), (x, 656)], fill=(120, 88, 52, 34))
    for x in range(836, 978, 7):
        draw.line([(x, 92), (x, 656)], fill=(120, 88, 52, 34))
    walls = (
        ([(178, 138), (822, 138), (780, 196), (220, 196)], (126, 96, 62)),
        ([(178, 138), (178, 612), (220, 566), (220, 196)], (140, 108, 72)),
        ([(822, 138), (822, 612), (780, 566), (780, 196)], (172, 138, 96)),
        ([(178, 612), (822, 612), (780, 566), (220, 566)], (164, 130, 90)),
    )
    for points, colour in walls:
        draw.polygon(points, fill=colour)
    foam = draw_grain((562, 372), spread=60).point(lambda level: min(255, level * 0.4 + 150))
    image.paste(foam, (219, 195))
    shade = Image.new("L", PHOTO_SIZE_PX, 0)
    ImageDraw.Draw(shade).rectangle((219, 195, 781, 567), fill=150)
    ImageDraw.Draw(shade).rectangle((252, 232, 781, 567), fill=0)
    image.paste((40, 34, 28), mask=shade.filter(ImageFilter.GaussianBlur(16)))
    recess = Image.new("L", PHOTO_SIZE_PX, 0)
    ImageDraw.Draw(recess).rounded_rectangle((268, 236, 732, 536), 30, fill=140)
    image.paste((92, 94, 94), mask=recess.filter(ImageFilter.GaussianBlur(3)))
    return light_from_lamp(image)


@lru_cache(maxsize=32)
def draw_turned_unit(family: str, *, turn_deg: int, percent: int) -> Image.Image:
    """Return the picture of a unit turned by an angle and shrunk to a percentage of its size."""
    unit, _ = draw_unit(family)
    size = (unit.width * percent // 100, unit.height * percent // 100)
    return unit.resize(size, Image.Resampling.LANCZOS).rotate(turn_deg, Image.Resampling.BICUBIC)
