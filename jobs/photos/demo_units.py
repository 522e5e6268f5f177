"""What the units in the demonstration photos look like: one invented silhouette for each family."""

import math
from collections.abc import Callable
from functools import lru_cache

from PIL import Image

from jobs.photos.demo_metal import Sheet, Tone, Turning

UNIT_WIDTH_PX, UNIT_HEIGHT_PX = 680, 560


def draw_carburettor(sheet: Sheet) -> tuple[int, int, int, int]:
    """Upright float-feed carburettor: bowl, body with a flange, intake mouth, lever on its shaft."""
    sheet.lay_bar((452, 250), end=(566, 250), width=18, tone=Tone.STEEL)
    sheet.lay_box((60, 190, 150, 250), tone=Tone.BRASS, turning=Turning.DOWN, radius=6)
    sheet.lay_box((120, 176, 150, 264), tone=Tone.BRASS, turning=Turning.DOWN, radius=3)
    sheet.lay_box((270, 40, 420, 130), tone=Tone.ALLOY, turning=Turning.ACROSS)
    sheet.lay_box((236, 24, 454, 54), tone=Tone.MACHINED, turning=Turning.ACROSS, radius=5)
    sheet.lay_box((250, 130, 440, 330), tone=Tone.ALLOY, turning=Turning.ACROSS, radius=12)
    sheet.lay_box((140, 120, 300, 150), tone=Tone.ALLOY, turning=Turning.DOWN, radius=8)
    sheet.lay_box((132, 150, 308, 350), tone=Tone.ALLOY, turning=Turning.ACROSS, radius=18)
    sheet.lay_box((124, 138, 316, 168), tone=Tone.MACHINED, turning=Turning.ACROSS, radius=6)
    sheet.lay_box((190, 350, 250, 384), tone=Tone.BRASS, turning=Turning.ACROSS, radius=5)
    for x in (146, 294):
        sheet.lay_bolt((x, 153), radius=11)
    sheet.lay_box((272, 330, 418, 450), tone=Tone.ALLOY, turning=Turning.ACROSS)
    sheet.lay_polygon(
        [(200, 450), (490, 450), (500, 462), (500, 486), (190, 486), (190, 462)], tone=Tone.MACHINED
    )
    for x in (222, 468):
        sheet.lay_box((x - 15, 440, x + 15, 452), tone=Tone.STEEL, turning=Turning.ACROSS, radius=3)
    sheet.lay_disc((345, 250), radius=42, tone=Tone.ALLOY)
    sheet.lay_disc((345, 250), radius=20, tone=Tone.BRASS)
    sheet.lay_bolt((345, 250), radius=12)
    lay_lever(sheet, hub=(556, 250), end=(604, 388))
    sheet.lay_bar((440, 310), end=(520, 340), width=14, tone=Tone.BRASS)
    sheet.lay_disc((524, 342), radius=14, tone=Tone.BRASS)
    return 152, 210, 290, 262


def draw_throttle_body(sheet: Sheet) -> tuple[int, int, int, int]:
    """Throttle body: a short barrel seen into its bore, four lugs, a lever and a plug."""
    sheet.lay_box((180, 400, 460, 494), tone=Tone.MACHINED, radius=10)
    sheet.lay_box((120, 130, 520, 430), tone=Tone.ALLOY, radius=40)
    for x, y in ((160, 170), (480, 170), (160, 390), (480, 390)):
        sheet.lay_disc((x, y), radius=34, tone=Tone.ALLOY)
        sheet.lay_hole((x, y), radius=14)
    sheet.lay_disc((320, 280), radius=140, tone=Tone.MACHINED, turning=Turning.FLAT)
    sheet.lay_disc((320, 280), radius=116, tone=Tone.IRON)
    sheet.lay_disc((320, 280), radius=110, tone=Tone.BRASS, turning=Turning.FLAT)
    sheet.lay_bar((206, 280), end=(434, 280), width=16, tone=Tone.STEEL)
    for x in (285, 355):
        sheet.lay_bolt((x, 280), radius=9)
    sheet.lay_bar((520, 280), end=(570, 280), width=20, tone=Tone.STEEL)
    lay_lever(sheet, hub=(572, 280), end=(612, 400))
    sheet.lay_box((60, 240, 124, 330), tone=Tone.BAKELITE, turning=Turning.DOWN, radius=8)
    return 200, 436, 440, 486


def draw_magneto(sheet: Sheet) -> tuple[int, int, int, int]:
    """Magneto: horseshoe magnet over an iron body, drive shaft with a coupling, distributor end."""
    sheet.lay_bar((70, 330), end=(180, 330), width=30, tone=Tone.STEEL)
    sheet.lay_box((96, 286, 128, 374), tone=Tone.STEEL, turning=Turning.DOWN, radius=5)
    outer = [(x, y) for x, y in _arch(centre=(345, 230), radius=180)]
    sheet.lay_polygon([(165, 400), *outer, (525, 400)], tone=Tone.IRON, turning=Turning.ACROSS)
    sheet.lay_polygon([(222, 400), *_arch(centre=(345, 236), radius=122), (468, 400)], tone=Tone.ENAMEL)
    sheet.lay_box((236, 250, 454, 400), tone=Tone.IRON, turning=Turning.DOWN, radius=8)
    sheet.lay_box((150, 396, 540, 452), tone=Tone.ALLOY, turning=Turning.DOWN, radius=5)
    sheet.lay_box((130, 448, 560, 478), tone=Tone.MACHINED, turning=Turning.FLAT, radius=3)
    sheet.lay_box((500, 180, 600, 410), tone=Tone.BAKELITE, turning=Turning.ACROSS, radius=16)
    sheet.lay_box((520, 150, 580, 186), tone=Tone.BAKELITE, turning=Turning.ACROSS, radius=8)
    for y in (226, 280, 334):
        sheet.lay_bar((590, y), end=(640, y), width=24, tone=Tone.BAKELITE)
        sheet.lay_disc((640, y), radius=9, tone=Tone.BRASS)
    for x in (186, 504):
        sheet.lay_bolt((x, 424), radius=13)
    sheet.lay_box((262, 276, 428, 340), tone=Tone.BRASS, radius=4)
    for x in (272, 418):
        sheet.lay_disc((x, 308), radius=4, tone=Tone.STEEL)
    return 280, 284, 410, 332


def draw_distributor(sheet: Sheet) -> tuple[int, int, int, int]:
    """Distributor: cap with towers, bowl, vacuum unit on an arm, long shank with a driving dog."""
    for x in (222, 286, 394, 458):
        sheet.lay_box((x - 21, 62, x + 21, 140), tone=Tone.BAKELITE, turning=Turning.ACROSS, radius=8)
        sheet.lay_box((x - 12, 52, x + 12, 70), tone=Tone.BRASS, turning=Turning.ACROSS, radius=3)
    sheet.lay_box((312, 40, 368, 130), tone=Tone.BAKELITE, turning=Turning.ACROSS, radius=8)
    sheet.lay_polygon(
        [(206, 130), (474, 130), (500, 216), (180, 216)], tone=Tone.BAKELITE, turning=Turning.ACROSS
    )
    sheet.lay_box((174, 210, 506, 236), tone=Tone.BAKELITE, turning=Turning.ACROSS, radius=4)
    sheet.lay_bar((500, 276), end=(566, 276), width=16, tone=Tone.STEEL)
    sheet.lay_disc((600, 276), radius=56, tone=Tone.STEEL)
    sheet.lay_disc((600, 276), radius=40, tone=Tone.STEEL, turning=Turning.FLAT)
    sheet.lay_bar((644, 276), end=(668, 276), width=14, tone=Tone.BRASS)
    sheet.lay_polygon(
        [(184, 236), (496, 236), (470, 330), (210, 330)], tone=Tone.ALLOY, turning=Turning.ACROSS
    )
    for x in (196, 484):
        sheet.lay_bar((x, 200), end=(x, 262), width=10, tone=Tone.STEEL)
    sheet.lay_box((270, 330, 410, 372), tone=Tone.ALLOY, turning=Turning.ACROSS, radius=4)
    sheet.lay_box((214, 372, 466, 394), tone=Tone.MACHINED, turning=Turning.ACROSS, radius=4)
    sheet.lay_box((292, 394, 388, 486), tone=Tone.MACHINED, turning=Turning.ACROSS)
    for y in (414, 430):
        sheet.cut_line([(292, y), (388, y)], width=3)
    sheet.lay_box((312, 486, 368, 526), tone=Tone.STEEL, turning=Turning.ACROSS, radius=3)
    sheet.lay_box((324, 522, 356, 540), tone=Tone.STEEL, turning=Turning.ACROSS)
    return 262, 258, 420, 312


def draw_lift_pump(sheet: Sheet) -> tuple[int, int, int, int]:
    """Lift pump: glass or metal bowl on top, diaphragm flanges with screws, rocker arm, mounting flange."""
    sheet.lay_box((250, 60, 430, 170), tone=Tone.ALLOY, turning=Turning.ACROSS, radius=28)
    sheet.lay_bar((150, 204), end=(250, 204), width=34, tone=Tone.BRASS)
    sheet.lay_bar((430, 204), end=(540, 204), width=34, tone=Tone.BRASS)
    for x in (142, 548):
        sheet.lay_box((x - 14, 178, x + 14, 230), tone=Tone.BRASS, turning=Turning.DOWN, radius=4)
    sheet.lay_polygon(
        [(236, 164), (444, 164), (506, 250), (174, 250)], tone=Tone.ALLOY, turning=Turning.ACROSS
    )
    sheet.lay_box((150, 246, 530, 276), tone=Tone.MACHINED, turning=Turning.ACROSS, radius=6)
    sheet.lay_box((156, 275, 524, 283), tone=Tone.RUBBER)
    sheet.lay_box((150, 282, 530, 312), tone=Tone.MACHINED, turning=Turning.ACROSS, radius=6)
    for x in (178, 259, 340, 421, 502):
        sheet.lay_box((x - 12, 234, x + 12, 248), tone=Tone.STEEL, turning=Turning.ACROSS, radius=3)
    sheet.lay_polygon(
        [(190, 312), (490, 312), (440, 430), (240, 430)], tone=Tone.ALLOY, turning=Turning.ACROSS
    )
    sheet.lay_polygon(
        [(300, 428), (380, 428), (392, 470), (560, 516), (552, 540), (330, 500)], tone=Tone.STEEL
    )
    sheet.lay_disc((336, 414), radius=22, tone=Tone.STEEL)
    sheet.lay_box((200, 424, 300, 446), tone=Tone.MACHINED, radius=4)
    sheet.lay_box((384, 424, 480, 446), tone=Tone.MACHINED, radius=4)
    sheet.lay_bar((462, 356), end=(560, 310), width=12, tone=Tone.STEEL)
    return 262, 330, 418, 384


def draw_injection_pump(sheet: Sheet) -> tuple[int, int, int, int]:
    """In-line injection pump: long housing, row of outlets, drive shaft, governor, side plate, lever."""
    sheet.lay_bar((30, 330), end=(120, 330), width=38, tone=Tone.STEEL)
    sheet.lay_polygon(
        [(96, 240), (124, 232), (124, 428), (96, 420)], tone=Tone.MACHINED, turning=Turning.DOWN
    )
    for x in (186, 268, 350, 432):
        sheet.lay_box((x - 15, 74, x + 15, 120), tone=Tone.STEEL, turning=Turning.ACROSS, radius=3)
        sheet.lay_box((x - 24, 112, x + 24, 150), tone=Tone.STEEL, turning=Turning.ACROSS, radius=3)
        sheet.lay_box((x - 30, 148, x + 30, 196), tone=Tone.MACHINED, turning=Turning.ACROSS, radius=3)
        sheet.lay_box((x - 17, 58, x + 17, 78), tone=Tone.RUBBER, turning=Turning.ACROSS, radius=5)
    sheet.lay_box((136, 190, 484, 224), tone=Tone.ALLOY, turning=Turning.DOWN, radius=5)
    sheet.lay_box((122, 220, 500, 440), tone=Tone.ALLOY, turning=Turning.DOWN, radius=10)
    sheet.lay_box((160, 262, 460, 366), tone=Tone.ALLOY, radius=8)
    for x, y in ((178, 280), (442, 280), (178, 348), (442, 348)):
        sheet.lay_bolt((x, y), radius=10)
    sheet.lay_box((496, 210, 606, 450), tone=Tone.ALLOY, turning=Turning.DOWN, radius=30)
    sheet.lay_disc((552, 300), radius=32, tone=Tone.ALLOY)
    lay_lever(sheet, hub=(552, 300), end=(628, 190))
    sheet.lay_box((104, 436, 520, 466), tone=Tone.MACHINED, radius=4)
    for x in (140, 484):
        sheet.lay_bolt((x, 451), radius=11)
    sheet.lay_bar((230, 405), end=(280, 405), width=26, tone=Tone.BRASS)
    sheet.lay_box((222, 288, 398, 342), tone=Tone.BRASS, radius=3)
    return 236, 292, 384, 338


def draw_injector(sheet: Sheet) -> tuple[int, int, int, int]:
    """Injector: inlet union, stepped holder, clamp, nozzle nut and tip, lying along the bench."""
    sheet.lay_bar((60, 280), end=(150, 280), width=34, tone=Tone.STEEL)
    sheet.lay_box((140, 246, 220, 314), tone=Tone.STEEL, turning=Turning.DOWN, radius=4)
    sheet.lay_box((214, 232, 400, 328), tone=Tone.MACHINED, turning=Turning.DOWN, radius=5)
    sheet.lay_bar((300, 240), end=(300, 176), width=22, tone=Tone.BRASS)
    sheet.lay_box((396, 214, 438, 346), tone=Tone.STEEL, turning=Turning.DOWN, radius=6)
    sheet.lay_box((434, 244, 560, 316), tone=Tone.STEEL, turning=Turning.DOWN, radius=4)
    sheet.lay_box((556, 258, 606, 302), tone=Tone.IRON, turning=Turning.DOWN, radius=3)
    sheet.lay_bar((600, 280), end=(640, 280), width=16, tone=Tone.IRON)
    return 232, 254, 384, 300


def draw_sender(sheet: Sheet) -> tuple[int, int, int, int]:
    """Fuel level sender: flange with screws, terminal, stem, resistance box, float on a wire arm."""
    sheet.lay_bar((340, 120), end=(340, 300), width=26, tone=Tone.STEEL)
    sheet.lay_polygon(
        [(180, 104), (500, 104), (520, 126), (520, 150), (160, 150), (160, 126)], tone=Tone.MACHINED
    )
    sheet.lay_box((160, 148, 520, 160), tone=Tone.RUBBER)
    for x in (190, 490):
        sheet.lay_box((x - 14, 92, x + 14, 108), tone=Tone.STEEL, turning=Turning.ACROSS, radius=3)
    sheet.lay_box((300, 74, 380, 106), tone=Tone.BAKELITE, turning=Turning.ACROSS, radius=5)
    sheet.lay_bar((340, 76), end=(340, 44), width=16, tone=Tone.BRASS)
    sheet.lay_box((268, 268, 412, 400), tone=Tone.ALLOY, radius=8)
    sheet.lay_box((286, 352, 394, 384), tone=Tone.COPPER, turning=Turning.DOWN)
    for x in range(292, 392, 7):
        sheet.cut_line([(x, 353), (x, 383)], width=1.2, ink=(110, 62, 38))
    sheet.lay_bolt((340, 318), radius=14)
    for start, end in (((340, 318), (470, 420)), ((470, 420), (560, 436))):
        sheet.lay_bar(start, end=end, width=8, tone=Tone.STEEL)
    sheet.lay_box((536, 396, 632, 478), tone=Tone.BRASS, turning=Turning.DOWN, radius=26)
    return 232, 112, 448, 146


def lay_lever(sheet: Sheet, *, hub: tuple[float, float], end: tuple[float, float]) -> None:
    """Lay a flat lever with an eye, clamped on its shaft."""
    angle = math.atan2(end[1] - hub[1], end[0] - hub[0])
    across = (-math.sin(angle), math.cos(angle))
    sheet.lay_polygon(
        [
            (hub[0] + across[0] * 22, hub[1] + across[1] * 22),
            (end[0] + across[0] * 13, end[1] + across[1] * 13),
            (end[0] - across[0] * 13, end[1] - across[1] * 13),
            (hub[0] - across[0] * 22, hub[1] - across[1] * 22),
        ],
        tone=Tone.STEEL,
    )
    sheet.lay_disc(end, radius=17, tone=Tone.STEEL, turning=Turning.FLAT)
    sheet.lay_hole(end, radius=8)
    sheet.lay_disc(hub, radius=26, tone=Tone.STEEL)
    sheet.lay_bolt(hub, radius=13)


def _arch(*, centre: tuple[float, float], radius: float) -> list[tuple[float, float]]:
    return [
        (centre[0] - radius * math.cos(math.radians(step)), centre[1] - radius * math.sin(math.radians(step)))
        for step in range(0, 181, 4)
    ]


DRAWINGS: dict[str, Callable[[Sheet], tuple[int, int, int, int]]] = {
    "carburettor": draw_carburettor,
    "throttle_body": draw_throttle_body,
    "magneto": draw_magneto,
    "distributor": draw_distributor,
    "lift_pump": draw_lift_pump,
    "injection_pump": draw_injection_pump,
    "injector": draw_injector,
    "sender": draw_sender,
}
"""How each family is drawn; each function returns the box in which its number is struck."""


@lru_cache(maxsize=8)
def draw_unit(family: str) -> tuple[Image.Image, tuple[int, int, int, int]]:
    """Return the picture of a unit on a transparent ground and the box of its number.

    A family without a drawing of its own is shown as a throttle body.
    """
    sheet = Sheet(UNIT_WIDTH_PX, height_px=UNIT_HEIGHT_PX)
    number_box = DRAWINGS.get(family, draw_throttle_body)(sheet)
    return sheet.finish(), number_box
