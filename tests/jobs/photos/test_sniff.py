"""Is an upload told by its content, cheaply, and refused in words that help?"""

from io import BytesIO

import pytest

from jobs.photos.errors import (
    PhotoAnimated,
    PhotoEmpty,
    PhotoRefused,
    PhotoTooBig,
    PhotoTooManyPixels,
    PhotoWrongType,
)
from jobs.photos.limits import MOST_BYTES, PhotoFormat
from jobs.photos.sniff import PhotoHeader, look
from tests.jobs.photos import corpus


@pytest.mark.parametrize(
    ("make", "photo_format"),
    [
        (corpus.make_jpeg, PhotoFormat.JPEG),
        (corpus.make_png, PhotoFormat.PNG),
        (corpus.make_webp, PhotoFormat.WEBP),
    ],
)
def test_type_and_size_are_read_from_the_header(make, photo_format):
    assert look(BytesIO(make())) == PhotoHeader(format=photo_format, width_px=800, height_px=600)


def test_heic_is_recognised():
    assert look(BytesIO(corpus.read_heic())).format is PhotoFormat.HEIC


@pytest.mark.parametrize("name", sorted(corpus.wrong_types()))
def test_other_types_are_refused_by_name(name):
    raw, word = corpus.wrong_types()[name]
    with pytest.raises(PhotoWrongType, match=word):
        look(BytesIO(raw))


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_animation_is_refused(kind):
    with pytest.raises(PhotoAnimated):
        look(BytesIO(corpus.make_animation(kind=kind)))


def test_heic_sequence_is_refused():
    with pytest.raises(PhotoAnimated):
        look(BytesIO(b"\0\0\0\x18ftyphevc\0\0\0\0msf1hevc" + bytes(64)))


def test_phone_jpeg_with_a_preview_is_not_an_animation():
    assert look(BytesIO(corpus.make_two_picture_jpeg())).format is PhotoFormat.JPEG


def test_empty_file_is_refused():
    with pytest.raises(PhotoEmpty):
        look(BytesIO(b""))


def test_oversized_file_is_refused_with_its_size():
    with pytest.raises(PhotoTooBig, match=r"20\.0 MB"):
        look(BytesIO(corpus.make_jpeg().ljust(MOST_BYTES + 1, b"\0")))


def test_file_of_exactly_the_limit_is_looked_at():
    assert look(BytesIO(corpus.make_jpeg().ljust(MOST_BYTES, b"\0"))).width_px == 800


@pytest.mark.parametrize(
    "raw",
    [
        corpus.make_png_of_zeros(width_px=10_000, height_px=10_000),
        corpus.make_png_claiming(width_px=60_000, height_px=60_000),
        corpus.make_png_claiming(width_px=6_001, height_px=4_000),
        corpus.make_jpeg_claiming(width_px=65_000, height_px=65_000),
        corpus.make_jpeg_claiming(width_px=10_000, height_px=9_900),
        corpus.make_webp_claiming(width_px=16_383, height_px=16_383),
        corpus.make_webp_claiming(width_px=4_001, height_px=4_000),
    ],
    ids=[
        "png-100MP",
        "png-3600MP",
        "png-24.004MP",
        "jpeg-4225MP",
        "jpeg-99MP",
        "webp-268MP",
        "webp-16.004MP",
    ],
)
def test_pixel_bomb_is_refused_by_its_header(raw):
    with pytest.raises(PhotoTooManyPixels, match="megapixels"):
        look(BytesIO(raw))


def test_fifty_megapixel_phone_jpeg_is_let_in():
    """8192 x 6144 is the full size of a 50 MP phone sensor."""
    header = look(BytesIO(corpus.make_jpeg_claiming(width_px=8192, height_px=6144)))
    assert (header.width_px, header.height_px) == (8192, 6144)


def test_progressive_jpeg_has_the_smaller_limit():
    raw = bytearray(corpus.write(corpus.draw_scene(), kind="JPEG", progressive=True))
    frame = raw.index(b"\xff\xc2")
    raw[frame + 5 : frame + 9] = (6000).to_bytes(2) + (8000).to_bytes(2)
    with pytest.raises(PhotoTooManyPixels, match="24 megapixels"):
        look(BytesIO(bytes(raw)))


def test_file_is_left_at_its_start():
    file = BytesIO(corpus.make_jpeg())
    look(file)
    assert file.tell() == 0


@pytest.mark.parametrize(
    "raw", [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\0\0\0\0WEBPVP8 ", corpus.read_heic()[:40]]
)
def test_cut_off_header_is_refused(raw):
    with pytest.raises(PhotoRefused):
        look(BytesIO(raw))


def test_name_of_an_upload_plays_no_part(tmp_path):
    path = tmp_path / "holiday.jpg"
    path.write_bytes(corpus.make_png())
    with path.open("rb") as file:
        assert look(file).format is PhotoFormat.PNG
