"""Refractions that others published go through the whole way, and an unusual one is asked about.

The lens on the surgeon's screen is compared with ray matrices that share nothing with the app's
calculation; only the expected vault is taken from the screen.
"""

import re
from typing import NamedTuple

import numpy as np
import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Launch, keep_person
from tests.journey import deciding, eyes
from tests.journey.measuring import (
    ask_the_person,
    back_to_person,
    choice,
    give,
    number,
    open_quantity,
    press_keys,
    take_all,
)
from tests.oracles.ray_matrix import Matrix, chain, gap, power, refraction, surface

pytestmark = pytest.mark.browser

EYE = "Right eye"
VERTEX_MM, AQUEOUS = 12.0, 1.336
# Invented, since the publications give no more than the refraction.
FLAT_D, STEEP_D, STEEP_DEG = 42.0, 44.5, 92.0
DEPTH_MM, THICKNESS_MM = 3.2, 0.52
OTHERS = (
    eyes.cornea("42.00", "44.50", "92"),
    eyes.depth("3.20"),
    eyes.diameter("11.70"),
    *eyes.REST,
)
ONE_POWER = re.compile(r"([−+]?[0-9.]+) (?:sphere|([−+]?[0-9.]+)\s×\s([0-9]+))")


class Published(NamedTuple):
    """A refraction at the glasses in print: how it is typed, and what it is."""

    person: str
    sphere: str
    cylinder: str
    axis: str | None
    unusual: str | None
    """What the keypad says of the cylinder, if anything."""

    def power(self) -> Matrix:
        """Return the power matrix [D]."""
        return power(float(self.sphere), float(self.cylinder), float(self.axis or 180))


EYES = (
    # Case Rep Ophthalmol 2010;1:99: manifest −8.25 −5.25 × 180. The other inputs are invented.
    Published("Perrin Loxley", "-8.25", "-5.25", "180", "Most eyes have −5.00 D or more."),
    # HL7 FHIR R4 example VisionPrescription/33123 (CC0), right eye: sphere −2.0, no cylinder; its
    # prism and addition belong to glasses and are not typed. The other inputs are invented.
    Published("Tamsin Orrell", "-2.00", "-0.00", None, None),
)


@pytest.mark.parametrize("eye", EYES, ids=lambda eye: eye.person)
def test_the_lens_agrees_with_ray_matrices(launch: Launch, eye: Published) -> None:
    """Typed on the keypad, planned on the surgeon's phone, compared with another method."""
    camp = launch("camp")
    page = camp.sign_in("ambler", "Saltpan camp")
    keep_person(page, eye.person)
    ask_the_person(page)
    take_refraction(page, eye)
    take_all(page, EYE, OTHERS)
    deciding.send_for_plan(page, EYE)
    page.get_by_role("link", name="Back to").first.click()
    page.get_by_role("link", name="Back to").first.click()
    deciding.exchange(page)
    case = launch("surgeon").sign_in("verrill")
    deciding.open_from_queue(case, eye.person, EYE)
    deciding.see_cautions(case)
    deciding.read_to_end(case)
    exact_text = case.get_by_text(re.compile(r"^exact ")).inner_text()
    approved = deciding.open_approval(case, EYE)
    promise = case.get_by_role("dialog").get_by_text("Expected:").inner_text()
    vault_um = float(re.search(r"vault\s+([0-9]+)", promise)[1])  # type: ignore[index]
    assert spoken_power(exact_text) == pytest.approx(exact_lens(eye.power(), vault_um), abs=0.02)
    left = predicted(eye.power(), vault_um, lens_power(approved.lens))
    assert spoken_power(promise) == pytest.approx(left, abs=0.02)
    assert (approved.lens["cylinder_cD"] == 0) == (eye.axis is None)


def take_refraction(page: Page, eye: Published) -> None:
    """Type the refraction; an unusual cylinder is kept only by saying that it is right."""
    open_quantity(page, EYE, "Manifest refraction")
    give(page, (number(eye.sphere),))
    press_keys(page, eye.cylinder)
    if eye.unusual:
        expect(page.get_by_text(eye.unusual)).to_be_visible()
        page.get_by_role("button", name="It is right, keep −5.25").click()
    else:
        expect(page.get_by_text("Unusual.")).to_have_count(0)
        page.keyboard.press("Enter")
    turned = () if eye.axis is None else (number(eye.axis),)
    give(page, (*turned, choice("At the glasses"), number("12.0")))
    expect(page.get_by_role("status").filter(has_text="Kept")).to_contain_text(EYE)
    back_to_person(page)


def spoken_power(text: str) -> list[float]:
    """Return the entries of the power matrix [D] written first in a text."""
    found = ONE_POWER.search(text)
    assert found, text
    sphere, cylinder, axis = (one and float(one.replace("−", "-")) for one in found.groups())
    return entries(power(sphere or 0.0, cylinder or 0.0, axis or 180.0))


def lens_power(lens: dict[str, object]) -> Matrix:
    """Return the power matrix [D] of a lens in recorded integers."""
    sphere, cylinder = int(str(lens["sphere_cD"])) / 100, int(str(lens["cylinder_cD"])) / 100
    return power(sphere, cylinder, float(str(lens["axis_deg"] or 180)))


def entries(matrix: Matrix) -> list[float]:
    """Return the four entries of a power matrix."""
    return [float(one) for one in matrix.ravel()]


def vergence_at_lens(glasses: Matrix, vault_um: float) -> Matrix:
    """Return the vergence [D] that reaches the lens's plane through glasses and cornea."""
    position_mm = DEPTH_MM + THICKNESS_MM - vault_um / 1000
    cornea = power(FLAT_D, STEEP_D - FLAT_D, STEEP_DEG - 90)
    air, aqueous = gap(VERTEX_MM, 1.0), gap(position_mm, AQUEOUS)
    system = chain(surface(glasses), air, surface(cornea), aqueous)
    return -system[2:, :2] @ np.linalg.inv(system[:2, :2])


def exact_lens(glasses: Matrix, vault_um: float) -> list[float]:
    """Return the lens [D] that does what the glasses did."""
    bare = np.zeros((2, 2))
    return entries(vergence_at_lens(glasses, vault_um) - vergence_at_lens(bare, vault_um))


def predicted(glasses: Matrix, vault_um: float, lens: Matrix) -> list[float]:
    """Return the refraction [D] that a lens leaves: rays traced through to the retina."""
    position_mm = DEPTH_MM + THICKNESS_MM - vault_um / 1000
    cornea = power(FLAT_D, STEEP_D - FLAT_D, STEEP_DEG - 90)
    # Any eye that sees clearly through the glasses will do; this one is 20 mm long behind the lens.
    rest = AQUEOUS / 0.020 * np.eye(2) - vergence_at_lens(glasses, vault_um)
    parts = (gap(VERTEX_MM, 1.0), surface(cornea), gap(position_mm, AQUEOUS), surface(lens))
    return entries(refraction(chain(*parts, surface(rest), gap(20.0, AQUEOUS))))
