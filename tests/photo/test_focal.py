"""The focal length that a camera wrote, for whole pictures alone.

26 mm on 35 mm film is 26/43.27 of the diagonal; of a 4:3 picture that is 5/4 of its longer side
(arithmetic on CIPA DC-008's definition; from memory).
"""

from io import BytesIO

import pytest
from PIL import Image

from brief.photo import describe_photo


def written(size=(400, 300), **tags):
    exif = Image.Exif()
    ids = {"film": 0xA405, "wide": 0xA002, "high": 0xA003, "zoom": 0xA404}
    given = {"film": 26, "wide": size[0], "high": size[1]} | tags
    exif.get_ifd(0x8769).update({ids[name]: value for name, value in given.items()})
    target = BytesIO()
    Image.new("RGB", size).save(target, "JPEG", exif=exif)
    return describe_photo(target.getvalue()).focal


def test_it_is_told_in_shares_of_the_longer_side():
    assert written() == pytest.approx(26 / 43.2666 * 1.25, rel=1e-4)
    assert written(size=(300, 400)) == pytest.approx(26 / 43.2666 * 1.25, rel=1e-4)
    assert written(size=(600, 400)) == pytest.approx(26 / 36, rel=1e-4)  # 3:2, as the film itself


@pytest.mark.parametrize(
    "tags", [{"wide": 800, "high": 600}, {"film": 0}, {"film": 1200}, {"zoom": 2.0}]
)
def test_a_cut_zoomed_or_silent_picture_tells_nothing(tags):
    assert written(**tags) is None
    assert written(size=(400, 225)) is None  # 16:9 is cut by the camera
