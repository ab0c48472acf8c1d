"""The lens power formula, against rays traced through the same eye and through thick ones."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core_runtime import Core
from tests.oracles import ray_matrix
from webapp.core import lens_power, optics
from webapp.core.errors import BadInput
from webapp.core.lens_power import Eye
from webapp.core.optics import PLANO, PowerVector, Refraction

refractions = st.builds(
    Refraction, st.floats(-22.0, 8.0), st.floats(-6.0, 0.0), st.floats(1.0, 180.0)
).map(optics.power_vector)
corneas = st.builds(
    lambda flat, more, meridian: optics.corneal_power(flat, flat + more, meridian),
    st.floats(38.0, 46.0),
    st.floats(0.0, 4.0),
    st.floats(0.0, 180.0),
)
changes = st.builds(lens_power.corneal_change, st.floats(0.0, 1.0), st.floats(0.0, 180.0))
eyes = st.builds(Eye, refractions, st.floats(8.0, 18.0), corneas, changes, st.floats(2.0, 4.0))
lenses = st.builds(
    Refraction, st.floats(-18.0, 8.0), st.floats(-5.0, 0.0), st.floats(1.0, 180.0)
).map(optics.power_vector)


def traced_eye(generator: np.random.Generator) -> tuple[Eye, PowerVector, PowerVector] | None:
    """Return an eye, a lens, and the refraction with it by ray tracing; None if out of range."""
    axis = lambda: generator.uniform(0.0, 180.0)  # noqa: E731 - three draws of one kind
    cornea = ray_matrix.power(generator.uniform(39, 46), generator.uniform(0, 3), axis())
    natural = ray_matrix.power(generator.uniform(17, 22), generator.uniform(0, 1.5), axis())
    lens = ray_matrix.power(generator.uniform(-18, 8), generator.uniform(-5, 0), axis())
    vertex_mm, position_mm = generator.uniform(8, 18), generator.uniform(2, 4)
    behind = [
        ray_matrix.gap(generator.uniform(0.1, 1.0), lens_power.AQUEOUS_INDEX),
        ray_matrix.surface(natural),
        ray_matrix.gap(generator.uniform(15, 24), 1.336),
    ]
    front = [
        ray_matrix.gap(vertex_mm, 1.0),
        ray_matrix.surface(cornea),
        ray_matrix.gap(position_mm, lens_power.AQUEOUS_INDEX),
    ]
    naked = ray_matrix.refraction(ray_matrix.chain(*front, *behind))
    worn = ray_matrix.refraction(ray_matrix.chain(*front, ray_matrix.surface(lens), *behind))
    if np.linalg.norm(naked) > 30.0 or np.linalg.norm(worn) > 30.0:
        return None
    vectors = [PowerVector(*ray_matrix.mean_j0_j45(m)) for m in (naked, cornea, lens, worn)]
    eye = Eye(vectors[0], vertex_mm, vectors[1], PLANO, position_mm)
    return eye, vectors[2], vectors[3]


def test_agrees_with_traced_rays() -> None:
    """Prediction and lens agree with 4 x 4 ray tracing to 1e-9 D on random toric eyes."""
    generator = np.random.default_rng(20261125)
    traced = [found for found in (traced_eye(generator) for _ in range(600)) if found]
    assert len(traced) > 200
    for eye, lens, worn in traced:
        assert lens_power.refraction_with(eye, lens) == pytest.approx(worn, abs=1e-9)
        assert lens_power.lens_for(eye, worn) == pytest.approx(lens, abs=1e-9)


def thick_eye_residual(refraction_d: float, back_radius_mm: float, vault_mm: float) -> float:
    """Return what a thin-lens calculation leaves [D] in a thick eye with a thick lens.

    Le Grand cornea and natural lens (radii 7.8, 6.5, 10.2, -6; indices 1.3771, 1.3374, 1.42,
    1.336; thicknesses 0.55, 4.00 mm), chamber 3.05 mm, made short-sighted by its length; lens of
    index 1.45, 0.15 mm thick. The lens that is made has the wanted power as a thick lens.
    """
    cornea = ray_matrix.layered([7.8, 6.5], [1.3771, 1.3374], [0.55])
    natural = ray_matrix.chain(
        ray_matrix.spherical_surface(10.2, 1.3374, 1.42),
        ray_matrix.gap(4.0, 1.42),
        ray_matrix.spherical_surface(-6.0, 1.42, 1.336),
    )
    front = ray_matrix.chain(
        ray_matrix.surface(ray_matrix.power(refraction_d)),
        ray_matrix.gap(12.0, 1.0),
        cornea,
        ray_matrix.gap(3.05, 1.3374),
        natural,
    )
    vitreous_mm = -1000.0 * 1.336 * front[0, 0] / front[2, 0]
    reading_d = 337.5 / 7.8
    eye = Eye(
        PowerVector(refraction_d, 0.0, 0.0),
        12.0,
        PowerVector(reading_d, 0.0, 0.0),
        PLANO,
        lens_power.lens_position(3.05 + 0.55, 1000.0 * vault_mm),
    )
    wanted_d = lens_power.lens_for(eye, PLANO).mean_d
    back_d = (1.3374 - 1.45) * 1000.0 / back_radius_mm
    front_d = (wanted_d - back_d) / (1.0 - 0.15e-3 / 1.45 * back_d)
    worn = ray_matrix.chain(
        ray_matrix.gap(12.0, 1.0),
        cornea,
        ray_matrix.gap(3.05 - vault_mm - 0.15, 1.3374),
        ray_matrix.surface(ray_matrix.power(front_d)),
        ray_matrix.gap(0.15, 1.45),
        ray_matrix.surface(ray_matrix.power(back_d)),
        ray_matrix.gap(vault_mm, 1.3374),
        natural,
        ray_matrix.gap(vitreous_mm, 1.336),
    )
    return float(ray_matrix.refraction(worn)[0, 0])


@pytest.mark.parametrize("refraction_d", [-4.0, -6.0, -10.0, -15.0, -20.0])
def test_thin_formula_is_good_enough_for_a_thick_eye(refraction_d: float) -> None:
    """From -4 to -20 D the thin formula leaves less than 0.15 D in a thick schematic eye."""
    for back_radius_mm in (7.0, 9.0, 12.0):
        for vault_mm in (0.2, 0.5, 0.9):
            residual_d = thick_eye_residual(refraction_d, back_radius_mm, vault_mm)
            assert abs(residual_d) < 0.15


class TestLensFor:
    """The exact lens."""

    @given(eyes, lenses)
    def test_prediction_undoes_it(self, eye: Eye, lens: PowerVector) -> None:
        """The lens for the refraction that a lens leaves is that lens."""
        target = lens_power.refraction_with(eye, lens)
        assert lens_power.lens_for(eye, target) == pytest.approx(lens, abs=1e-8)

    @given(eyes)
    def test_own_refraction_needs_no_lens(self, eye: Eye) -> None:
        """An eye whose target is its present refraction needs no power."""
        eye = eye._replace(cornea_change=PLANO)
        assert lens_power.lens_for(eye, eye.refraction) == pytest.approx(PLANO, abs=1e-9)

    @given(eyes)
    def test_mirrored_eye_needs_the_mirrored_lens(self, eye: Eye) -> None:
        """Mirroring refraction and cornea mirrors the lens and nothing else."""
        mirror = lambda v: PowerVector(v.mean_d, v.j0_d, -v.j45_d)  # noqa: E731 - local word
        mirrored = eye._replace(
            refraction=mirror(eye.refraction),
            cornea=mirror(eye.cornea),
            cornea_change=mirror(eye.cornea_change),
        )
        lens = lens_power.lens_for(mirrored, PLANO)
        assert lens == pytest.approx(mirror(lens_power.lens_for(eye, PLANO)), abs=1e-9)

    @given(eyes, st.floats(-90.0, 90.0))
    def test_turned_eye_needs_the_turned_lens(self, eye: Eye, turn_deg: float) -> None:
        """Turning refraction and cornea together turns the lens by as much."""
        turned = eye._replace(
            refraction=optics.turned(eye.refraction, turn_deg),
            cornea=optics.turned(eye.cornea, turn_deg),
            cornea_change=optics.turned(eye.cornea_change, turn_deg),
        )
        lens = optics.turned(lens_power.lens_for(eye, PLANO), turn_deg)
        assert lens_power.lens_for(turned, PLANO) == pytest.approx(lens, abs=1e-9)


def moved_by(eye: Eye, name: str, step: float) -> Eye:
    """Return the eye with one input changed by a step in the unit of its sensitivity."""
    if name == "refraction_d":
        return eye._replace(refraction=eye.refraction._replace(mean_d=eye.refraction[0] + step))
    if name == "vault_100um":
        return eye._replace(position_mm=eye.position_mm - 0.1 * step)
    if name == "vertex_mm":
        return eye._replace(vertex_mm=eye.vertex_mm + step)
    return eye._replace(cornea=eye.cornea._replace(mean_d=eye.cornea.mean_d + step))


class TestSensitivity:
    """How the result answers to each input."""

    @pytest.mark.parametrize("name", ["refraction_d", "vault_100um", "vertex_mm", "keratometry_d"])
    @given(eye=eyes, lens=lenses)
    def test_is_the_derivative(self, name: str, eye: Eye, lens: PowerVector) -> None:
        """The closed form equals a central difference of the mean refraction, toric eyes too."""
        h = 1e-4
        up = lens_power.refraction_with(moved_by(eye, name, h), lens).mean_d
        down = lens_power.refraction_with(moved_by(eye, name, -h), lens).mean_d
        exact = getattr(lens_power.sensitivity(eye, lens), name)
        assert exact == pytest.approx((up - down) / (2.0 * h), rel=1e-5, abs=1e-7)

    @given(eyes, lenses)
    def test_of_the_lens_is_the_derivative(self, eye: Eye, lens: PowerVector) -> None:
        """The same for a change of the lens itself."""
        h = 1e-4
        up = lens_power.refraction_with(eye, lens._replace(mean_d=lens.mean_d + h)).mean_d
        down = lens_power.refraction_with(eye, lens._replace(mean_d=lens.mean_d - h)).mean_d
        exact = lens_power.sensitivity(eye, lens).lens_d
        assert exact == pytest.approx((up - down) / (2.0 * h), rel=1e-5)


@given(eyes, lenses)
def test_a_planned_change_is_a_change_of_refraction(eye: Eye, lens: PowerVector) -> None:
    """At the cornea, what an incision adds to the power it takes from the refraction."""
    still = eye._replace(cornea_change=PLANO)
    one = optics.at_cornea(lens_power.refraction_with(eye, lens), eye.vertex_mm)
    other = optics.at_cornea(lens_power.refraction_with(still, lens), eye.vertex_mm)
    assert optics.subtracted(other, one) == pytest.approx(eye.cornea_change, abs=1e-9)


class TestLensPosition:
    """Where the lens lies."""

    def test_a_forgotten_corneal_thickness_is_not_guessed(self, core: Core) -> None:
        """A depth without the surface it starts from is refused."""
        answer = core("lens_power", "depth_from_epithelium", 3.2, "unknown", 540.0)
        assert answer == {"refused": "from"}

    def test_worked_example(self, core: Core) -> None:
        """3.20 mm from the endothelium, cornea 540 um, vault 500 um: 3.24 mm (by hand)."""
        depth = core("lens_power", "depth_from_epithelium", 3.2, "endothelium", 540.0)["value"]
        answer = core("lens_power", "lens_position", depth, 500.0)
        assert answer == {"value": pytest.approx(3.24, abs=1e-12)}

    def test_vault_deeper_than_the_chamber(self) -> None:
        """A lens in front of the cornea is refused, by the vault."""
        with pytest.raises(BadInput) as refusal:
            lens_power.lens_position(2.0, 2500.0)
        assert refusal.value.field == "vault_um"


def test_corneal_change_of_a_temporal_incision(core: Core) -> None:
    """0.23 D steep at 82 is flat at 172: the centroid of Kamiya 2021 (121 eyes, abstract read)."""
    found = core("lens_power", "corneal_change", 0.23, 172.0)["value"]
    assert found == pytest.approx([0.0, -0.110545, 0.031698], abs=1e-5)
