"""The app's picture: real PNG files that show what the drawing says, where it says it."""

import io
from itertools import pairwise

import pytest
from PIL import Image

from webapp.asset_build.icons import EYE, GROUND, PICTURES, SLIT, Picture, png


@pytest.mark.parametrize("picture", PICTURES, ids=[picture.name for picture in PICTURES])
class TestPng:
    """Each size, read back by a library of its own."""

    def test_is_a_png_of_its_size(self, picture: Picture) -> None:
        """A phone that asks for a size gets it."""
        image = Image.open(io.BytesIO(png(picture)))
        image.verify()
        assert (image.format, image.size) == ("PNG", (picture.side_px, picture.side_px))

    def test_shows_half_a_disc_to_the_left_of_a_slit(self, picture: Picture) -> None:
        """The middle line crosses ground, eye, gap, slit and ground, in this order."""
        image = Image.open(io.BytesIO(png(picture))).convert("RGB")
        middle_px = picture.side_px // 2
        line = [image.getpixel((x, middle_px)) for x in range(picture.side_px)]
        seen = [colour for colour in line if colour in (GROUND, EYE, SLIT)]
        runs = [seen[0]] + [b for a, b in pairwise(seen) if a != b]
        assert runs == [GROUND, EYE, GROUND, SLIT, GROUND]

    def test_keeps_to_the_middle_that_a_mask_leaves(self, picture: Picture) -> None:
        """What lies outside the safe circle of a maskable picture is ground."""
        if "maskable" not in picture.name:
            assert picture.scale == 1.0
            return
        image = Image.open(io.BytesIO(png(picture))).convert("RGB")
        side, safe_px = picture.side_px, 0.4 * picture.side_px
        outside = {
            image.getpixel((x, y))
            for x in range(0, side, 3)
            for y in range(0, side, 3)
            if (x - side / 2) ** 2 + (y - side / 2) ** 2 > safe_px**2
        }
        assert outside == {GROUND}
