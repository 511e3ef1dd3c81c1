"""Pictures come out upright, in sRGB, RGB, no larger than wanted and without metadata."""

import threading
import warnings
from io import BytesIO

import numpy as np
import pytest
from PIL import ExifTags, Image, PngImagePlugin

from brief.errors import InputError
from brief.photo import Region, check_photo, describe_photo, open_photo, rendition
from brief.photo.files.intake import open_pixels

FORMATS = ["JPEG", "PNG", "WEBP", "TIFF", "HEIC", "AVIF", "BMP"]
LOSSY = ("JPEG", "HEIC", "AVIF")
LOSSLESS = {"WEBP": {"lossless": True}}

# Which side of the scene the first row and the first column show: EXIF 2.32 (CIPA DC-008-2019),
# 4.6.4 A, tag 274.
SIDES = {
    1: ("top", "left"),
    2: ("top", "right"),
    3: ("bottom", "right"),
    4: ("bottom", "left"),
    5: ("left", "top"),
    6: ("right", "top"),
    7: ("right", "bottom"),
    8: ("left", "bottom"),
}


def stored_as(upright: Image.Image, orientation: int) -> Image.Image:
    row, column = SIDES[orientation]
    pixels = np.asarray(upright)
    if row in ("left", "right"):
        pixels = pixels.swapaxes(0, 1)
    if row in ("bottom", "right"):
        pixels = pixels[::-1]
    if column in ("bottom", "right"):
        pixels = pixels[:, ::-1]
    return Image.fromarray(np.ascontiguousarray(pixels))


def exif(orientation: int = 1) -> Image.Exif:
    tags = Image.Exif()
    tags[ExifTags.Base.Orientation] = orientation
    return tags


def difference(one: Image.Image, other: Image.Image) -> float:
    return float(np.abs(np.asarray(one, dtype=float) - np.asarray(other, dtype=float)).mean())


@pytest.mark.parametrize("kind", FORMATS)
def test_every_format_is_read(kind, encoded, quarters):
    opened = open_photo(encoded(quarters, kind, **LOSSLESS.get(kind, {})))
    assert (opened.mode, opened.size) == ("RGB", (120, 80))
    assert difference(opened, quarters) < (3 if kind in LOSSY else 1e-9)


@pytest.mark.parametrize("orientation", SIDES)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "AVIF"])
def test_turned_upright(kind, orientation, encoded, quarters):
    stored = stored_as(quarters, orientation)
    data = encoded(stored, kind, exif=exif(orientation), **LOSSLESS.get(kind, {}))
    assert difference(open_photo(data), quarters) < 3
    assert open_photo(data, within=60).size == (60, 40)
    facts = describe_photo(data)
    assert (facts.width, facts.height) == (120, 80)


@pytest.mark.parametrize("orientation", SIDES)
def test_heic_turned_upright_once(orientation, encoded, quarters):
    """Its reader turns it already, and leaves an EXIF tag that must not turn it again."""
    data = encoded(stored_as(quarters, orientation), "HEIC", quality=95, exif=exif(orientation))
    assert difference(open_photo(data), quarters) < 3
    assert (describe_photo(data).width, describe_photo(data).height) == (120, 80)


@pytest.mark.parametrize("orientation", [0, 9, 4000])
def test_an_orientation_that_does_not_exist_is_upright(orientation, encoded, quarters):
    data = encoded(quarters, "JPEG", exif=exif(orientation))
    assert open_photo(data).size == (120, 80)


@pytest.mark.parametrize("orientation", [3, 6])
def test_region_is_of_the_upright_picture(orientation, encoded, quarters):
    data = encoded(stored_as(quarters, orientation), "PNG", exif=exif(orientation))
    green = open_pixels(data, region=Region(50, 0, 50, 50)).rgb
    assert green.size == (60, 40)
    assert green.getcolors() == [(2400, (40, 160, 60))]


def test_the_ways_of_giving_a_source(tmp_path, encoded, quarters):
    data = encoded(quarters)
    path = tmp_path / "quarters.png"
    path.write_bytes(data)
    with path.open("rb") as file:
        from_file = open_photo(file)
    for opened in (from_file, open_photo(path), open_photo(str(path)), open_photo(BytesIO(data))):
        assert difference(opened, quarters) == 0


def test_a_picture_already_open_is_left_alone(encoded, quarters):
    already = Image.open(BytesIO(encoded(stored_as(quarters, 6), exif=exif(6))))
    assert difference(open_photo(already), quarters) == 0
    assert already.size == (80, 120)
    plain = quarters.copy()
    plain.info["comment"] = "kept"
    assert open_photo(plain) is not plain
    assert plain.info == {"comment": "kept"}


@pytest.mark.parametrize(
    ("size", "within", "expected"),
    [
        ((1000, 500), 100, (100, 50)),
        ((500, 1000), 333, (166, 333)),
        ((50, 40), 100, (50, 40)),
        ((3000, 1), 30, (30, 1)),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_within_is_the_longest_side_and_never_enlarges(kind, size, within, expected, encoded):
    data = encoded(Image.new("RGB", size, "teal"), kind)
    assert open_photo(data, within=within).size == expected


def test_within_below_one_pixel():
    with pytest.raises(InputError, match="at least 1 pixel; got 0"):
        open_photo(b"", within=0)


def test_a_shrunk_jpeg_is_the_full_one_averaged(photographs, encoded):
    with Image.open(photographs["china"]) as china:
        data = encoded(china.crop((0, 0, 640, 424)), "JPEG", quality=95)
    small = open_photo(data, within=80)
    assert difference(open_photo(data).resize(small.size, Image.Resampling.BOX), small) < 1


@pytest.mark.parametrize("orientation", SIDES)
def test_a_shrunk_jpeg_is_not_shifted(orientation, encoded):
    """Decoded at an eighth, 427 rows make 53.4, which come as 54; on any side of the picture."""
    ramp = np.stack(
        np.broadcast_arrays(np.linspace(0, 255, 643), np.linspace(0, 255, 427)[:, None], 128.0),
        axis=-1,
    )
    upright = Image.fromarray(np.rint(ramp).astype(np.uint8))
    data = encoded(
        stored_as(upright, orientation), "JPEG", exif=exif(orientation), quality=95, subsampling=0
    )
    small = np.asarray(open_photo(data, within=80), dtype=float)
    height, width = small.shape[:2]
    assert (width, height) == (80, 53)
    across, down = (np.arange(width) + 0.5) / width, (np.arange(height) + 0.5) / height
    assert small[..., 0].mean(axis=0) == pytest.approx(255 * across, abs=2)
    assert small[..., 1].mean(axis=1) == pytest.approx(255 * down, abs=2.4)  # half a pixel


def test_region_is_decoded_finely_enough(encoded):
    stripes = np.zeros((800, 1600, 3), dtype=np.uint8)
    stripes[:, ::8] = stripes[:, 1::8] = stripes[:, 2::8] = stripes[:, 3::8] = 255
    data = encoded(Image.fromarray(stripes), "JPEG", quality=95)
    cut = open_pixels(data, within=100, region=Region(0, 0, 6.25, 6.25)).rgb
    assert cut.size == (100, 50)
    assert np.asarray(cut).std() > 100


def test_transparent_is_laid_on_white_and_kept_apart(encoded):
    pixels = np.zeros((10, 20, 4), dtype=np.uint8)
    pixels[:, :10] = [200, 100, 50, 255]
    pixels[:, 10:] = [0, 0, 0, 0]
    data = encoded(Image.fromarray(pixels))
    assert open_photo(data).getpixel((15, 5)) == (255, 255, 255)
    assert open_photo(data).getpixel((5, 5)) == (200, 100, 50)
    kept = open_pixels(data)
    assert kept.alpha is not None
    assert kept.alpha.getpixel((15, 5)) == 0
    shrunk = open_pixels(data, within=4)
    assert shrunk.rgb.getpixel((1, 1)) == pytest.approx((200, 100, 50), abs=1)  # no hidden black


def test_first_frame_of_an_animation(encoded, quarters):
    other = Image.new("RGB", quarters.size, "black")
    for kind in ("WEBP", "PNG"):
        options = LOSSLESS.get(kind, {})
        data = encoded(quarters, kind, save_all=True, append_images=[other], **options)
        assert difference(open_photo(data), quarters) == 0


def test_a_jpeg_of_several_pictures_gives_the_first_small_if_wanted(encoded, quarters):
    data = encoded(quarters, "MPO", save_all=True, append_images=[Image.new("RGB", (60, 40))])
    assert describe_photo(data).format == "JPEG"
    assert difference(open_photo(data), quarters) < 3
    assert open_photo(data, within=30).size == (30, 20)


def metadata() -> Image.Exif:
    tags = exif(1)
    tags[ExifTags.Base.Make] = "MAKER"
    tags.get_ifd(ExifTags.IFD.GPSInfo)[1] = "N"
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = "2026:05:17 06:41:09"
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.OffsetTimeOriginal] = "+01:00"
    as_read = Image.Exif()  # Pillow writes a TIFF's sub-directories only when it has read them
    as_read.load(tags.tobytes())
    return as_read


def test_rendition_is_a_jpeg_without_metadata(encoded, quarters, display_p3_profile):
    data = encoded(
        quarters, "JPEG", exif=metadata(), comment="PRIVATE", icc_profile=display_p3_profile
    )
    assert b"MAKER" in data
    shown = rendition(data, within=60)
    assert shown.startswith(b"\xff\xd8\xff")
    for trace in (b"Exif", b"MAKER", b"PRIVATE", b"ICC_PROFILE", b"GPS"):
        assert trace not in shown
    with Image.open(BytesIO(shown)) as image:
        assert (image.size, image.mode, len(image.getexif())) == ((60, 40), "RGB", 0)


def test_rendition_of_a_region(encoded, quarters):
    shown = rendition(encoded(quarters), within=500, region=Region(0, 50, 50, 50))
    with Image.open(BytesIO(shown)) as image:
        assert image.size == (60, 40)
        assert difference(image, Image.new("RGB", (60, 40), (40, 60, 180))) < 3


@pytest.mark.parametrize(
    ("kind", "name", "media_type"),
    [  # media types as IANA registers them
        ("JPEG", "JPEG", "image/jpeg"),
        ("PNG", "PNG", "image/png"),
        ("WEBP", "WebP", "image/webp"),
        ("TIFF", "TIFF", "image/tiff"),
        ("HEIC", "HEIC", "image/heic"),
        ("AVIF", "AVIF", "image/avif"),
    ],
)
def test_facts(kind, name, media_type, encoded, quarters, display_p3_profile):
    data = encoded(quarters, kind, exif=metadata(), icc_profile=display_p3_profile)
    facts = describe_photo(data)
    assert (facts.width, facts.height) == (120, 80)
    assert (facts.format, facts.media_type) == (name, media_type)
    assert facts.profile_name == "Display P3"
    assert facts.taken == "2026-05-17T06:41:09+01:00"
    assert check_photo(data) == facts


@pytest.mark.parametrize(
    ("written", "offset", "taken"),
    [
        ("2026:05:17 06:41:09", "", "2026-05-17T06:41:09"),
        ("2026:05:17 06:41:09", "nonsense", "2026-05-17T06:41:09"),
        ("0000:00:00 00:00:00", "", None),
        ("    :  :     :  :  ", "", None),
    ],
)
def test_when_it_was_taken(written, offset, taken, encoded, quarters):
    tags = exif(1)
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DateTimeOriginal] = written
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.OffsetTimeOriginal] = offset
    assert describe_photo(encoded(quarters, "JPEG", exif=tags)).taken == taken


@pytest.mark.parametrize("source", ExifTags.LightSource, ids=lambda one: one.name)
def test_what_light_it_was_taken_by(source, encoded, quarters):
    """EXIF's own names, as Pillow has them."""
    tags = exif(1)
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.LightSource] = int(source)
    is_lamp = any(word in source.name for word in ("Fluorescent", "Tungsten", "LightA", "ISO"))
    is_day = source.name in ("Daylight", "Fine", "Cloudy", "Shade", "D50", "D55", "D65", "D75")
    light = "lamp" if is_lamp else "daylight" if is_day else "not known"
    assert describe_photo(encoded(quarters, "JPEG", exif=tags)).light == light


@pytest.mark.parametrize("written", ["daylight", 1.5, 70, (1, 1)])
def test_a_light_that_is_no_light_is_not_known(written, encoded, quarters):
    tags = exif(1)
    tags.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.LightSource] = written
    assert describe_photo(encoded(quarters, "JPEG", exif=tags)).light == "not known"


def test_broken_metadata_does_not_spoil_the_picture(encoded, quarters):
    broken = b"Exif\0\0II*\0\x08\0\0\0\xff\xff" + b"\x12\x01\x03\0\xff\xff\xff\xff" * 9
    opened = open_photo(encoded(quarters, "JPEG", exif=broken))
    assert difference(opened, quarters) < 3
    assert describe_photo(encoded(quarters, "JPEG", exif=broken)).taken is None


def test_plain_picture_has_no_profile_and_no_time(encoded, quarters):
    facts = describe_photo(encoded(quarters, "JPEG"))
    assert (facts.profile_name, facts.taken) == (None, None)


def test_pillow_warnings_stay_muted_and_filters_are_put_back(encoded, quarters):
    """A PNG whose animation chunk is nonsense makes Pillow warn; several threads at once."""
    chunks = PngImagePlugin.PngInfo()
    chunks.add(b"acTL", bytes(8))
    data = encoded(quarters, pnginfo=chunks)
    with pytest.warns(UserWarning, match="Invalid APNG"):
        Image.open(BytesIO(data))
    before = list(warnings.filters)
    failures = []

    def read_often():
        try:
            for _ in range(20):
                open_photo(data, within=20)
        except Warning as leaked:
            failures.append(leaked)

    threads = [threading.Thread(target=read_often) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert list(warnings.filters) == before
