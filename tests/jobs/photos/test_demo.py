"""Are the drawn photos of the demonstration jobs repeatable, different, and accepted by the intake?"""

from io import BytesIO

import pytest
from PIL import Image, ImageFilter

from jobs.photos.demo import DemoSubject, draw_demo_photo
from jobs.photos.demo_units import DRAWINGS, UNIT_HEIGHT_PX, UNIT_WIDTH_PX, draw_unit
from jobs.photos.intake import convert
from jobs.photos.quality import advise_stamp_shot, measure_quality
from tests.jobs.photos import corpus


def draw(
    subject: DemoSubject, *, family: str = "carburettor", number: str = "TV 4471-B", seed: int = 1
) -> bytes:
    return draw_demo_photo(subject, family=family, number=number, seed=seed)


@pytest.mark.parametrize("subject", list(DemoSubject))
def test_same_seed_gives_the_same_bytes(subject):
    assert draw(subject) == draw(subject)


@pytest.mark.parametrize("subject", list(DemoSubject))
def test_some_other_seed_gives_another_photo(subject):
    assert len({draw(subject, seed=seed) for seed in range(6)}) > 1


@pytest.mark.parametrize("subject", list(DemoSubject))
def test_drawn_photo_passes_the_intake(subject):
    converted = convert(draw(subject))
    assert (converted.width_px, converted.height_px) == (1000, 750)


@pytest.mark.parametrize("family", [*sorted(DRAWINGS), "some_new_family"])
def test_every_family_has_a_whole_unit(family):
    assert Image.open(BytesIO(draw(DemoSubject.WHOLE_UNIT, family=family))).size == (1000, 750)


@pytest.mark.parametrize("family", sorted(DRAWINGS))
def test_unit_and_its_number_lie_inside_the_sheet(family):
    unit, (left, top, right, bottom) = draw_unit(family)
    assert unit.getbbox() is not None
    assert 0 <= left < right <= UNIT_WIDTH_PX
    assert 0 <= top < bottom <= UNIT_HEIGHT_PX
    middle = unit.getpixel(((left + right) // 2, (top + bottom) // 2))
    assert middle[3] == 255


def test_families_differ():
    assert len({draw_unit(family)[0].tobytes() for family in DRAWINGS}) == len(DRAWINGS)


@pytest.mark.parametrize("number", ["7", "", "AB-1234567890-Z"])
def test_numbers_of_any_length_are_struck(number):
    assert draw(DemoSubject.NUMBER, number=number)[:2] == b"\xff\xd8"


def test_drawn_number_needs_no_better_photo():
    assert advise_stamp_shot(measure_quality(draw(DemoSubject.NUMBER))) == ()


def spoil(image: Image.Image, *, fault: str) -> Image.Image:
    if fault == "blurred":
        return image.filter(ImageFilter.GaussianBlur(3))
    if fault == "lamp":
        return image.point(lambda level: level * 0.25)
    image.paste((255, 255, 255), (0, 0, image.width // 3, image.height))
    return image


@pytest.mark.parametrize("fault", ["blurred", "lamp", "washed out"])
@pytest.mark.parametrize("family", ["carburettor", "magneto"])
def test_spoilt_photo_of_a_number_gets_its_hint(fault, family):
    photo = Image.open(BytesIO(draw(DemoSubject.NUMBER, family=family)))
    hints = advise_stamp_shot(
        measure_quality(corpus.write(spoil(photo, fault=fault), kind="JPEG", quality=90))
    )
    assert any(fault in hint for hint in hints)
