"""Do the hints about a stamp photo follow what is wrong with it?"""

from io import BytesIO

import pytest
from PIL import Image, ImageFile, ImageFilter

from jobs.photos.errors import PhotoUnreadable
from jobs.photos.quality import PhotoQuality, advise_stamp_shot, measure_quality
from tests.jobs.photos import corpus

FINE = PhotoQuality(longest_px=1600, sharpness=400.0, brightness=120.0, glare_fraction=0.0)


def measure(image: Image.Image) -> PhotoQuality:
    return measure_quality(corpus.write(image, kind="JPEG", quality=90))


def test_blur_lowers_the_sharpness():
    scene = corpus.draw_scene(width_px=1200, height_px=900)
    sharpness = [measure(scene.filter(ImageFilter.GaussianBlur(radius))).sharpness for radius in (0, 1, 2, 4)]
    assert sharpness == sorted(sharpness, reverse=True)
    assert sharpness[0] > 4 * sharpness[3]


def test_plain_sheet_has_no_sharpness():
    assert measure(Image.new("L", (800, 600), 90)).sharpness == 0.0


@pytest.mark.parametrize(("level", "brightness"), [(0, 0), (64, 64), (200, 200)])
def test_brightness_is_the_median_grey(level, brightness):
    assert measure(Image.new("L", (400, 300), level)).brightness == pytest.approx(brightness, abs=1)


def test_glare_is_the_share_of_nearly_white():
    image = Image.new("L", (800, 600), 90)
    image.paste(255, (0, 0, 400, 300))
    assert measure(image).glare_fraction == pytest.approx(0.25, abs=0.01)


def test_size_is_that_of_the_photo_not_of_the_measured_copy():
    assert measure(Image.new("L", (1600, 1200), 90)).longest_px == 1600


def test_fine_shot_has_no_hint():
    assert advise_stamp_shot(FINE) == ()


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"longest_px": 640}, "640 pixels"),
        ({"brightness": 20.0}, "lamp"),
        ({"glare_fraction": 0.5}, "flash"),
        ({"sharpness": 5.0}, "blurred"),
    ],
)
def test_each_fault_has_its_own_hint(change, word):
    fields = {name: getattr(FINE, name) for name in FINE.__slots__}
    (hint,) = advise_stamp_shot(PhotoQuality(**(fields | change)))
    assert word in hint


def test_damaged_page_photo_is_refused():
    with pytest.raises(PhotoUnreadable):
        measure_quality(corpus.make_jpeg()[:900])


def test_tiny_picture_is_measured():
    out = BytesIO()
    Image.new("L", (3, 2), 90).save(out, "JPEG")
    assert measure_quality(out.getvalue()).longest_px == 3


def test_damaged_page_photo_is_refused_after_the_pdf_library_was_loaded():
    ImageFile.LOAD_TRUNCATED_IMAGES = True  # as weasyprint.images sets it when it is first imported
    with pytest.raises(PhotoUnreadable):
        measure_quality(corpus.make_jpeg()[:900])
