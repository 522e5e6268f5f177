"""Photos and hostile files made on the fly, and how to take a written JPEG apart without an image library."""

import struct
import zipfile
import zlib
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageDraw, PngImagePlugin

FILES = Path(__file__).resolve().parents[2] / "files"
SCRIPT = b"<script>alert(document.cookie)</script>"
ACTIVE_CONTENT = (
    b"<script",
    b"<?php",
    b"<svg",
    b"<html",
    b"PK\x03\x04",
    b"Exif\0\0",
    b"<x:xmpmeta",
    b"MARKER-",
)


def draw_scene(*, width_px: int = 800, height_px: int = 600) -> Image.Image:
    """A picture with edges, so that its compressed form is not trivial."""
    image = Image.linear_gradient("L").resize((width_px, height_px)).convert("RGB")
    draw = ImageDraw.Draw(image)
    for step in range(0, width_px, 40):
        draw.ellipse((step, step // 2, step + 60, step // 2 + 60), fill=(step % 256, 80, 255 - step % 256))
    return image


def write(image: Image.Image, *, kind: str, **options: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def make_jpeg() -> bytes:
    return write(draw_scene(), kind="JPEG", quality=85)


def make_png() -> bytes:
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "MARKER-" + SCRIPT.decode())
    return write(draw_scene(), kind="PNG", pnginfo=info)


def make_webp() -> bytes:
    return write(draw_scene(), kind="WEBP", quality=70)


def read_heic() -> bytes:
    return (FILES / "photo.heic").read_bytes()


def good_photos() -> dict[str, bytes]:
    return {"jpeg": make_jpeg(), "png": make_png(), "webp": make_webp(), "heic": read_heic()}


def make_two_picture_jpeg() -> bytes:
    """What phones write that append a preview to the photo (CIPA DC-007 multi-picture format)."""
    scene = draw_scene()
    return write(scene, kind="MPO", save_all=True, append_images=[scene.resize((160, 120))])


def make_animation(*, kind: str) -> bytes:
    frames = [Image.new("RGB", (64, 48), (shade, 0, 0)) for shade in (0, 120, 240)]
    return write(frames[0], kind=kind, save_all=True, append_images=frames[1:], duration=100)


def make_png_of_zeros(*, width_px: int, height_px: int) -> bytes:
    """A grey PNG that is complete and tiny although its picture is huge."""
    packer = zlib.compressobj(9)
    row = bytes(1 + width_px)
    data = b"".join(packer.compress(row) for _ in range(height_px)) + packer.flush()
    return _png(width_px, height_px=height_px, data=data)


def make_png_claiming(*, width_px: int, height_px: int) -> bytes:
    return _png(width_px, height_px=height_px, data=zlib.compress(b"\0" * 100))


def _png(width_px: int, *, height_px: int, data: bytes) -> bytes:
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    header = struct.pack(">IIBBBBB", width_px, height_px, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def make_jpeg_claiming(*, width_px: int, height_px: int) -> bytes:
    raw = bytearray(make_jpeg())
    frame = raw.index(b"\xff\xc0")
    raw[frame + 5 : frame + 9] = struct.pack(">HH", height_px, width_px)
    return bytes(raw)


def make_webp_claiming(*, width_px: int, height_px: int) -> bytes:
    lossless = write(Image.new("RGB", (8, 8)), kind="WEBP", lossless=True)
    start = lossless.index(b"VP8L") + 9
    bits = (width_px - 1) | (height_px - 1) << 14
    return lossless[:start] + struct.pack("<I", bits) + lossless[start + 4 :]


def make_scan_bomb() -> bytes:
    """A progressive JPEG whose last scan is repeated two thousand times."""
    raw = write(draw_scene(width_px=64, height_px=64), kind="JPEG", progressive=True)
    last_scan = raw[raw.rindex(b"\xff\xda") : -2]
    return raw[:-2] + last_scan * 2000 + b"\xff\xd9"


def make_zip() -> bytes:
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("Run.class", "code")
    return out.getvalue()


def wrong_types() -> dict[str, tuple[bytes, str]]:
    """Files that must be refused by type, each with the word its refusal has to contain."""
    scene = draw_scene(width_px=80, height_px=60)
    gif = write(scene, kind="GIF")
    return {
        "gif": (gif, "GIF"),
        "gifar": (gif + make_zip(), "GIF"),
        "svg": (
            b'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg">' + SCRIPT + b"</svg>",
            "SVG",
        ),
        "svg-plain": (b"\xef\xbb\xbf <svg onload='alert(1)'/>", "SVG"),
        "eps": (write(scene, kind="EPS"), "EPS"),
        "pdf": (write(scene, kind="PDF"), "PDF"),
        "tiff": (write(scene, kind="TIFF"), "TIFF"),
        "bmp": (write(scene, kind="BMP"), "BMP"),
        "avif": (write(scene, kind="AVIF"), "AVIF"),
        "html": (b"<!DOCTYPE html><html>" + SCRIPT, "web page"),
        "php": (b"<?php system($_GET['c']); ?>", "script"),
        "zip": (make_zip(), "zip"),
        "video": (b"\0\0\0\x18ftypmp42\0\0\0\0mp42isom" + bytes(64), "video"),
        "noise": (bytes(range(1, 200)), "not a photo"),
    }


def make_profile_with_red_as_green() -> bytes:
    """A display profile (ICC.1:2001-04) with gamma 2.2 and the colorants of sRGB, red and green exchanged.

    Colorants adapted to D50 as in the sRGB profile published by the International Color Consortium.
    """

    def xyz(*values: float) -> bytes:
        return b"XYZ " + bytes(4) + struct.pack(">3i", *(round(value * 65536) for value in values))

    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(2.2 * 256)) + bytes(2)
    tags = {
        b"rXYZ": xyz(0.38515, 0.71687, 0.09708),
        b"gXYZ": xyz(0.43607, 0.22249, 0.01392),
        b"bXYZ": xyz(0.14307, 0.06061, 0.71410),
        b"wtpt": xyz(0.9642, 1.0, 0.8249),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    position, table, body = 128 + 4 + 12 * len(tags), struct.pack(">I", len(tags)), b""
    for name, data in tags.items():
        table += name + struct.pack(">II", position + len(body), len(data))
        body += data
    head = struct.pack(">I4sI4s4s4s", position + len(body), bytes(4), 0x02400000, b"mntr", b"RGB ", b"XYZ ")
    head += bytes(12) + b"acsp" + bytes(28) + struct.pack(">3i", 63190, 65536, 54061)
    return head.ljust(128, b"\0") + table + body


def list_jpeg_segments(raw: bytes) -> list[int]:
    """Return the marker of each segment of a JPEG up to its picture data (ITU-T T.81 annex B)."""
    assert raw[:2] == b"\xff\xd8"
    markers, position = [], 2
    while True:
        assert raw[position] == 0xFF
        markers.append(raw[position + 1])
        position += 2 + int.from_bytes(raw[position + 2 : position + 4])
        if markers[-1] == 0xDA:
            return markers
