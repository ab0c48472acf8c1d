"""The vault model: exact Bayesian updating, against numpy and against itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from tests.core_runtime import Core
from tests.oracles import arch
from webapp.core import vault, vault_priors
from webapp.core.errors import BadInput
from webapp.core.vault import Centre, Fit, Model, Prediction

eye_rows = st.lists(
    st.tuples(
        st.floats(12.0, 13.5), st.floats(11.0, 13.0), st.floats(-0.5, 1.0), st.floats(0.0, 1500.0)
    ),
    max_size=12,
)


def start() -> Model:
    """Return the default model with a sulcus diameter and a lens rise."""
    return vault_priors.default_model("sulcus_to_sulcus", True)


def features_of(model: Model, row: tuple[float, float, float, float]) -> list[float]:
    """Return the feature values of one eye."""
    fit = Fit(row[0], row[1], row[2], [])
    return vault.feature_values(model.features, model.centre, fit)


def updated(model: Model, rows: list[tuple[float, float, float, float]]) -> Model:
    """Return the model after some eyes."""
    return vault.after_eyes(model, [features_of(model, row) for row in rows], [r[3] for r in rows])


class TestAfterEyes:
    """Updating by observed vaults."""

    @given(eye_rows)
    def test_is_the_textbook_update(self, rows: list[tuple[float, float, float, float]]) -> None:
        """Mean, V, a and b agree with the textbook formulas in numpy."""
        before = start()
        after = updated(before, rows)
        x = np.array([features_of(before, row) for row in rows]).reshape(len(rows), 3)
        y = np.array([row[3] for row in rows])
        precision0 = np.linalg.inv(np.array(before.V))
        precision = precision0 + x.T @ x
        mean = np.linalg.solve(precision, precision0 @ before.mean + x.T @ y)
        quadratic = y @ y + before.mean @ precision0 @ before.mean - mean @ precision @ mean
        assert np.allclose(after.mean, mean, rtol=1e-9, atol=1e-7)
        assert np.allclose(after.V, np.linalg.inv(precision), rtol=1e-8)
        assert after.a == before.a + len(rows) / 2.0
        assert after.b == pytest.approx(before.b + quadratic / 2.0, rel=1e-7)

    @given(eye_rows, eye_rows)
    def test_in_two_portions(
        self,
        first: list[tuple[float, float, float, float]],
        then: list[tuple[float, float, float, float]],
    ) -> None:
        """Learning from eyes in two portions is learning from them at once."""
        stepped = updated(updated(start(), first), then)
        at_once = updated(start(), first + then)
        assert stepped.mean == pytest.approx(at_once.mean, rel=1e-8, abs=1e-6)
        assert stepped.b == pytest.approx(at_once.b, rel=1e-8)

    def test_no_eye_changes_nothing(self, core: Core) -> None:
        """Without eyes the model is the prior."""
        model = [["one"], ["Centre", [0.5, 0.3]], [500.0], [[0.7]], 4.0, 91875.0]
        answer = core("vault", "after_eyes", ["Model", model], [], [])["value"]
        assert answer[2] == [pytest.approx(500.0)]
        assert answer[3] == [[pytest.approx(0.7)]]
        assert answer[4:] == [4.0, 91875.0]


class TestPredicted:
    """The prediction for one eye."""

    def test_two_eyes_in_one_step_and_in_two(self) -> None:
        """The joint density of two eyes is the first's times the second's after it (chain rule)."""
        model = start()
        rows = [(12.5, 11.9, 0.2, 520.0), (12.75, 12.3, 0.4, 410.0)]
        x = np.array([features_of(model, row) for row in rows])
        y = np.array([row[3] for row in rows])
        shape = model.b / model.a * (np.eye(2) + x @ np.array(model.V) @ x.T)
        joint = stats.multivariate_t(x @ np.array(model.mean), shape, df=2.0 * model.a).logpdf(y)
        total = 0.0
        for row in rows:
            found = vault.predicted(model, features_of(model, row))
            total += stats.t.logpdf(row[3], found.dof, found.mean_um, found.scale_um)
            model = updated(model, [row])
        assert total == pytest.approx(joint, abs=1e-10)

    @given(st.floats(12.0, 13.25), st.floats(0.05, 0.5))
    def test_longer_is_higher(self, length_mm: float, more_mm: float) -> None:
        """Before any eye, a longer lens is predicted to vault higher."""
        model = start()
        short = vault.predicted(model, features_of(model, (length_mm, 12.1, 0.3, 0.0)))
        long = vault.predicted(model, features_of(model, (length_mm + more_mm, 12.1, 0.3, 0.0)))
        assert long.mean_um > short.mean_um


class TestFeatures:
    """What the coefficients multiply."""

    def test_effects(self, core: Core) -> None:
        """An effect is 1 for the eyes that list it and 0 for others."""
        names = ["one", "effect:a", "effect:b"]
        fit = ["Fit", [12.5, 12.0, None, ["b"]]]
        answer = core("vault", "feature_values", names, ["Centre", [0.5, 0.3]], fit)
        assert answer == {"value": [1.0, 0.0, 1.0]}

    def test_an_unknown_effect_is_refused(self, core: Core) -> None:
        """A device or surgeon that the model has not met is not silently taken for average."""
        fit = ["Fit", [12.5, 12.0, None, ["c"]]]
        answer = core("vault", "feature_values", ["one"], ["Centre", [0.5, 0.3]], fit)
        assert answer == {"refused": "effects"}

    def test_a_missing_lens_rise_is_refused(self) -> None:
        """A model that uses the lens rise does not guess it."""
        with pytest.raises(BadInput) as refusal:
            vault.feature_values(["lens_rise_mm"], Centre(0.5, 0.3), Fit(12.5, 12.0, None, []))
        assert refusal.value.field == "lens_rise_mm"


class TestFellowEye:
    """What the first eye tells of the second."""

    def test_is_the_conditional_normal(self) -> None:
        """Mean r e and scale root(1 - r^2): 126 um of 176 at r 0.7 (by hand)."""
        found = vault.with_first_eye(Prediction(500.0, 176.0, 20.0), 150.0, 0.7)
        assert found.mean_um == pytest.approx(605.0)
        assert found.scale_um == pytest.approx(125.69, abs=0.01)

    def test_correlation_from_published_spreads(self) -> None:
        """Correlation 1 - 122.5^2 / (2 x 176.2^2) = 0.758 leaves 114.9 um (sources: module)."""
        r = 1.0 - 122.5**2 / (2.0 * 176.2**2)
        assert r == pytest.approx(0.7583, abs=1e-4)
        left = vault.with_first_eye(Prediction(0.0, 176.2, 20.0), 0.0, r).scale_um
        assert left == pytest.approx(114.86, abs=0.01)

    @pytest.mark.parametrize(("residual_um", "is_asked_back"), [(250.0, False), (-251.0, True)])
    def test_a_surprising_first_eye(
        self, core: Core, residual_um: float, is_asked_back: bool
    ) -> None:
        """More than 2.5 scales of either sign is asked back before it is used."""
        assert core("vault", "is_surprising", residual_um, 100.0) == {"value": is_asked_back}


class TestDefaultPriors:
    """What is believed before any eye, by the diameter measured."""

    def test_white_to_white_is_wider(self) -> None:
        """sigma0 = root(175^2 + (550 x 0.28)^2) = 233 um and centring 0.5 + 0.48 (computed)."""
        prior = vault_priors.default_prior("white_to_white", False)
        assert prior.sigma0_um == pytest.approx((175.0**2 + (550.0 * 0.28) ** 2) ** 0.5, abs=0.2)
        assert vault_priors.centring_mm("white_to_white") == pytest.approx(0.98)

    @pytest.mark.parametrize("kind", vault_priors.DIAMETER_KINDS)
    def test_expected_error_is_sigma0(self, kind: str) -> None:
        """b0 / (a0 - 1), the prior mean of the error variance, is sigma0 squared."""
        prior = vault_priors.default_prior(kind, True)
        assert prior.b0 / (prior.a0 - 1.0) == pytest.approx(prior.sigma0_um**2)

    def test_prior_alone_in_the_worked_eye(self) -> None:
        """Sulcus 12.10 mm, rise 0.33 mm, length 12.50 mm: 433 um before any eye (by hand)."""
        model = start()
        found = vault.predicted(model, features_of(model, (12.5, 12.1, 0.33, 0.0)))
        assert found.mean_um == pytest.approx(500.0 - 0.1 * 550.0 - 0.03 * 400.0)

    def test_an_unnamed_diameter_is_refused(self, core: Core) -> None:
        """There is no default kind of diameter."""
        answer = core("vault_priors", "default_prior", "diameter", True)
        assert answer == {"refused": "diameter_kind"}


class TestArch:
    """The default priors beside a strip that cannot be stretched (worked values: arc and chord)."""

    @pytest.mark.parametrize(
        ("arc_mm", "chord_mm", "height_mm"),
        # By an independent computation; the shallow form gives 1.5000, 2.1213 and 1.0825.
        [(12.5, 12.0, 1.5093), (13.0, 12.0, 2.1476), (12.75, 12.5, 1.0858)],
    )
    def test_worked_heights(self, arc_mm: float, chord_mm: float, height_mm: float) -> None:
        """The oracle agrees with the worked values, so that it may judge."""
        assert arch.sagitta_mm(arc_mm, chord_mm) == pytest.approx(height_mm, abs=0.0005)

    @pytest.mark.parametrize("kind", vault_priors.DIAMETER_KINDS)
    @pytest.mark.parametrize("excess_mm", [0.25, 0.5, 1.0])
    def test_a_longer_lens_vaults_higher_but_less_than_the_arch(
        self, kind: str, excess_mm: float
    ) -> None:
        """Sign and upper bound of the prior's slope, for every kind of diameter."""
        slope = vault_priors.default_model(kind, False).mean[1] / 1000.0
        assert 0.0 < slope < arch.slope(12.0 + excess_mm, 12.0)
