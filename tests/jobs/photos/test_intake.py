"""Is what is kept of a photo upright, plain and complete, and is everything else refused?"""

import hashlib
import random
import subprocess
import sys
import threading
from datetime import UTC, datetime
from io import BytesIO

import pytest
from PIL import Image

from jobs.photos.errors import PhotoReaderKilled, PhotoRefused, PhotoTooManyPixels, PhotoUnreadable
from jobs.photos.intake import convert, fit_box
from tests.jobs.photos import corpus

# Pillow warns of damaged tags and reads on; a stranger's tags are no fault of ours.
pytestmark = pytest.mark.filterwarnings(
    "ignore::UserWarning:PIL", "ignore::PIL.Image.DecompressionBombWarning"
)

TAGGED_FILES = ("photo_gps_rotated.jpg", "photo.png", "photo.heic")
SEGMENTS_OF_A_PLAIN_JPEG = {
    0xE0,
    0xDB,
    0xC0,
    0xC4,
    0xDA,
}  # JFIF header, tables, frame, scan: ITU-T T.81 table B.1


def open_page(raw: bytes) -> Image.Image:
    return Image.open(BytesIO(convert(raw).page_jpeg))


def is_near(pixel: tuple[int, ...], *, wanted: tuple[int, int, int], tolerance: int = 12) -> bool:
    return all(abs(have - want) <= tolerance for have, want in zip(pixel, wanted, strict=True))


@pytest.mark.parametrize("name", TAGGED_FILES)
def test_photo_is_turned_upright(name):
    """Stored, the red corner is at the top left; turned by the tag (6) it is at the top right."""
    page = open_page((corpus.FILES / name).read_bytes())
    assert page.size == (300, 400)
    assert is_near(page.getpixel((260, 40)), wanted=(210, 30, 30))


@pytest.mark.parametrize("name", TAGGED_FILES)
def test_source_files_do_carry_a_place(name):
    raw = (corpus.FILES / name).read_bytes()
    assert b"Camera maker unnamed" in raw


@pytest.mark.parametrize("name", TAGGED_FILES)
def test_kept_pictures_hold_no_segment_but_the_picture(name):
    converted = convert((corpus.FILES / name).read_bytes())
    for written in (converted.page_jpeg, converted.thumb_jpeg):
        assert set(corpus.list_jpeg_segments(written)) == SEGMENTS_OF_A_PLAIN_JPEG
        assert not any(text in written for text in (*corpus.ACTIVE_CONTENT, b"Camera maker unnamed"))


@pytest.mark.parametrize("name", TAGGED_FILES)
def test_time_taken_is_read_with_its_offset(name):
    taken_at = convert((corpus.FILES / name).read_bytes()).taken_at
    assert taken_at == datetime(2026, 3, 14, 8, 26, 53, tzinfo=UTC)


def test_time_without_offset_is_not_known():
    tags = Image.Exif()
    tags.get_ifd(0x8769)[0x9003] = "2026:03:14 09:26:53"
    assert convert(corpus.write(corpus.draw_scene(), kind="JPEG", exif=tags.tobytes())).taken_at is None


def test_damaged_tags_do_not_cost_the_photo():
    raw = corpus.write(corpus.draw_scene(), kind="JPEG", exif=b"Exif\0\0II*\0\xff\xff\xff\x7f" + bytes(40))
    assert convert(raw).width_px == 800


@pytest.mark.parametrize("size", [(4000, 3000), (3000, 4000), (5000, 700)])
def test_page_and_thumb_fit_their_boxes(size):
    converted = convert(corpus.write(corpus.draw_scene(width_px=size[0], height_px=size[1]), kind="JPEG"))
    thumb = Image.open(BytesIO(converted.thumb_jpeg))
    assert max(converted.width_px, converted.height_px) == 1600
    assert max(thumb.size) == 320
    assert converted.width_px / converted.height_px == pytest.approx(size[0] / size[1], rel=0.01)


def test_stated_size_and_digest_are_those_of_the_page_photo():
    converted = convert(corpus.make_jpeg())
    assert Image.open(BytesIO(converted.page_jpeg)).size == (converted.width_px, converted.height_px)
    assert converted.sha256 == hashlib.sha256(converted.page_jpeg).hexdigest()


def test_small_photo_is_not_enlarged():
    assert fit_box(300, height_px=200, longest_px=1600) == (300, 200)


def test_landscape_photo_is_decoded_at_a_fraction():
    """Pillow's own record of the draft: half size for 4000 x 3000 into 1600 x 1200."""
    image = Image.open(BytesIO(corpus.write(corpus.draw_scene(width_px=4000, height_px=3000), kind="JPEG")))
    image.draft(None, fit_box(image.width, height_px=image.height, longest_px=1600))
    assert image.size == (2000, 1500)


@pytest.mark.parametrize("name", sorted(corpus.good_photos()))
def test_cut_short_photo_is_refused(name):
    raw = corpus.good_photos()[name]
    with pytest.raises(PhotoUnreadable):
        convert(raw[: len(raw) * 6 // 10])


@pytest.mark.parametrize(
    "raw",
    [
        corpus.make_jpeg() + b"<html>" + corpus.SCRIPT,
        corpus.write(corpus.draw_scene(), kind="JPEG", comment=corpus.SCRIPT),
        corpus.make_jpeg() + corpus.make_zip(),
        corpus.make_png(),
        corpus.make_png() + b"<?php echo 1; ?>",
    ],
    ids=["html-behind", "html-in-comment", "zip-behind", "script-in-text", "php-behind"],
)
def test_hidden_content_is_gone(raw):
    converted = convert(raw)
    assert any(text in raw for text in corpus.ACTIVE_CONTENT)
    assert not any(text in converted.page_jpeg + converted.thumb_jpeg for text in corpus.ACTIVE_CONTENT)


def test_hundred_megapixels_are_refused_before_decoding():
    with pytest.raises(PhotoTooManyPixels):
        convert(corpus.make_png_of_zeros(width_px=10_000, height_px=10_000))


def test_endless_scans_are_refused():
    with pytest.raises(PhotoUnreadable):
        convert(corpus.make_scan_bomb())


def test_ordinary_progressive_photo_is_kept():
    assert convert(corpus.write(corpus.draw_scene(), kind="JPEG", progressive=True)).width_px == 800


def test_phone_jpeg_with_a_preview_is_kept():
    assert convert(corpus.make_two_picture_jpeg()).width_px == 800


@pytest.mark.parametrize(
    ("mode", "kind", "shade", "wanted"),
    [
        ("RGBA", "PNG", (10, 200, 30, 0), (255, 255, 255)),
        ("RGBA", "WEBP", (10, 200, 30, 255), (10, 200, 30)),
        ("LA", "PNG", (0, 0), (255, 255, 255)),
        ("L", "JPEG", 90, (90, 90, 90)),
        ("1", "PNG", 1, (255, 255, 255)),
        ("I;16", "PNG", 32768, (128, 128, 128)),
        ("CMYK", "JPEG", (0, 255, 255, 0), (255, 0, 0)),
        ("P", "PNG", 0, (0, 0, 0)),
    ],
)
def test_every_colour_mode_becomes_plain_rgb(mode, kind, shade, wanted):
    page = open_page(corpus.write(Image.new(mode, (64, 48), shade), kind=kind))
    assert page.mode == "RGB"
    assert is_near(page.getpixel((32, 24)), wanted=wanted)


def test_colour_profile_is_applied_and_dropped():
    """Under a profile whose red is green and whose green is red, stored red has to come out green."""
    raw = corpus.write(
        Image.new("RGB", (64, 48), (200, 30, 30)),
        kind="JPEG",
        icc_profile=corpus.make_profile_with_red_as_green(),
    )
    assert is_near(open_page(raw).getpixel((32, 24)), wanted=(30, 200, 30))
    assert b"ICC_PROFILE" not in convert(raw).page_jpeg


def test_damaged_profile_does_not_cost_the_photo():
    assert (
        convert(corpus.write(corpus.draw_scene(), kind="JPEG", icc_profile=b"no profile" * 40)).width_px
        == 800
    )


@pytest.mark.slow
def test_mutated_files_end_in_a_plain_jpeg_or_a_refusal():
    """Two hundred files with bytes changed, cut out or put in, from a fixed seed; some are still readable."""
    dice = random.Random(20_260_314)
    seeds = [*corpus.good_photos().values(), (corpus.FILES / "photo.png").read_bytes()]
    seeds += [(corpus.FILES / "photo_gps_rotated.jpg").read_bytes(), corpus.make_two_picture_jpeg()]
    kept = refused = 0
    for turn in range(200):
        raw = mutate(seeds[turn % len(seeds)], dice=dice)
        try:
            converted = convert(raw)
        except PhotoRefused:
            refused += 1
            continue
        kept += 1
        for written in (converted.page_jpeg, converted.thumb_jpeg):
            assert set(corpus.list_jpeg_segments(written)) == SEGMENTS_OF_A_PLAIN_JPEG
            assert not any(text in written for text in corpus.ACTIVE_CONTENT)
    assert kept >= 10
    assert refused >= 10


def mutate(raw: bytes, *, dice: random.Random) -> bytes:
    changed = bytearray(raw)
    for _ in range(dice.choice((1, 2, 5, 20))):
        place = dice.randrange(len(changed))
        action = dice.randrange(4)
        if action == 0:
            changed[place] = dice.randrange(256)
        elif action == 1:
            changed[place:place] = corpus.SCRIPT
        elif action == 2:
            del changed[place : place + dice.randrange(1, 30)]
        else:
            changed[place] ^= 1 << dice.randrange(8)
    return bytes(changed)


def test_two_threads_get_the_same_result():
    raw, results = corpus.make_jpeg(), []
    threads = [threading.Thread(target=lambda: results.append(convert(raw).sha256)) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=20)
    assert results == [convert(raw).sha256] * 4


def test_bomb_warning_is_an_error_in_a_fresh_process():
    program = (
        "import struct, sys\n"
        "from io import BytesIO\n"
        "import jobs.photos.codecs\n"
        "from PIL import Image\n"
        "raw = sys.stdin.buffer.read()\n"
        "try:\n"
        "    Image.open(BytesIO(raw))\n"
        "except Image.DecompressionBombWarning:\n"
        "    print('refused')\n"
    )
    raw = corpus.make_png_claiming(width_px=9_000, height_px=9_000)
    done = subprocess.run(
        [sys.executable, "-c", program], input=raw, capture_output=True, check=True, timeout=60
    )
    assert done.stdout.strip() == b"refused"


@pytest.mark.slow
def test_crash_of_the_heic_decoder_is_a_refusal():
    """Each is the sample with bytes changed; such files have ended the decoder by a signal."""
    dice = random.Random(7)
    sample = corpus.read_heic()
    outcomes = []
    for _ in range(20):
        try:
            outcomes.append(convert(mutate(sample, dice=dice)).width_px)
        except (PhotoRefused, PhotoReaderKilled):
            outcomes.append(None)
    assert None in outcomes
    assert len(outcomes) == 20
