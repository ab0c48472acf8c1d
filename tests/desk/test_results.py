"""The page of results: who may read it, nobody's name, and no share of a few people."""

from datetime import UTC, datetime, timedelta
from html import unescape

import pytest

from tests.desk.conftest import Desk
from tests.flow.test_surgery import surgery
from tests.hospital import Hospital
from webapp.audit import results as audit
from webapp.audit.centroid import Centroid
from webapp.audit.cusum import Chart
from webapp.desk import results as shown
from webapp.flow import results
from webapp.flow.actor import Actor, RoleAt

PAGE = "/desk/results"
DAY_0 = datetime.now(UTC).replace(hour=12) - timedelta(days=60)
VAULT = {"light": "mesopic", "vault_um": 480, "device": "scanner 2"}
REFRACTION = {
    "sphere_cD": 0, "cylinder_cD": -100, "axis_deg": 90, "plane": "spectacle", "vertex_um": 12000,
}  # fmt: skip


class Clinic:
    """Operated people of one camp."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.camp, self.surgeon = hospital.phone(), hospital.phone("verrill")
        self.count = 0

    def operate(self, *again: dict[str, object], after_d: int = 35, **found: dict[str, object]
                ) -> None:  # fmt: skip
        """Operate on one more person, and read this of the eye later, its vault again too."""
        place = self.count = self.count + 1
        person = self.camp.register(
            name=f"Nobody Number{place}", camp_code=f"SP-9{place:02}", birth_year=1960 + place,
            birth_date=None, phone=f"0070 2{place:02}{place:02}",
        )  # fmt: skip
        day_0 = DAY_0 + timedelta(days=place)
        body = surgery(operated=day_0.date().isoformat(), serial=f"TI-9{place}")
        implant = self.surgeon.keep("surgery.implanted", person, "L", body)
        taken = (day_0 + timedelta(days=after_d)).isoformat(timespec="milliseconds")
        more = {"implant": implant, "typed": {}, "taken": taken.replace("+00:00", "Z")}
        for kind, values in [*found.items(), *(("vault", one) for one in again)]:
            self.camp.keep(f"followup.{kind}", person, "L", {**more, **values})


@pytest.fixture
def clinic(hospital: Hospital) -> Clinic:
    """Return a camp where nobody was operated yet."""
    return Clinic(hospital)


def words(hospital: Hospital, name: str = "birch") -> str:
    """Return the words of the page as somebody reads it."""
    answer = Desk(hospital.client(name)).get(PAGE)
    assert answer.status_code == 200
    return " ".join(unescape(answer.text).split())


def test_of_two_people_only_counts(hospital: Hospital, clinic: Clinic) -> None:
    """Two of three were seen; no share, sum or mean is made of them, and no name is there."""
    clinic.operate(vault=VAULT, refraction=REFRACTION)
    clinic.operate(vault={**VAULT, "vault_um": 900})
    clinic.operate()
    for reader in ("birch", "verrill"):
        shown = words(hospital, reader)
        assert "<dt>Lenses implanted</dt><dd>3</dd>" in shown
        assert "<dt>Not read yet</dt><dd>1</dd>" in shown
        assert "1 of 2. Of fewer than 10 people no share is given" in shown
        assert "1 person so far. Of fewer than 10 people none is given." in shown
        assert '250 to 750 µm, the window</th><td class="num">1</td>' in shown
        assert "Nobody Number" not in shown and "SP-9" not in shown


def test_of_enough_people(
    hospital: Hospital, clinic: Clinic, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where three are enough: 2 of 3 with Wilson's interval, the sum, and the mean cylinder."""
    monkeypatch.setattr(audit, "ENOUGH", 3)
    for vault_um in (480, 300, 900):
        clinic.operate(vault={**VAULT, "vault_um": vault_um}, refraction=REFRACTION)
    shown = words(hospital)
    # Wilson for 2 of 3 at 95 %: 0.2077 to 0.9385 (Newcombe 1998, Stat Med 17:857, formula 3).
    assert (
        "2 of 3: 67 in 100. In 95 of 100 such samples the true share lies between 21 and 94"
        in shown
    )
    # The third of three is outside and adds ln 2 to a sum that stood at 0.
    assert "After 3 people: 0.69. It did not reach its limit." in shown
    assert "Over 3 people the mean is a cylinder of 1.00 D at 90°." in shown


def test_an_early_or_bright_vault_does_not_count(hospital: Hospital, clinic: Clinic) -> None:
    """Only dim light is compared with what was predicted, a week on or later."""
    clinic.operate(vault={**VAULT, "light": "photopic"})
    clinic.operate(vault=VAULT, after_d=6)
    assert "<dt>Not read yet</dt><dd>2</dd>" in words(hospital)
    clinic.operate(vault=VAULT, after_d=7)
    assert "<dt>Not read yet</dt><dd>2</dd>" in words(hospital)


def test_two_vaults_of_one_day_count_as_their_mean(hospital: Hospital, clinic: Clinic) -> None:
    """Neither alone lies where the mean does."""
    clinic.operate({**VAULT, "vault_um": 900}, vault={**VAULT, "vault_um": 200})
    assert results.of(hospital.actor("birch")).vaults.bands == [0, 0, 1, 0, 0]


def test_the_newest_day_speaks(hospital: Hospital, clinic: Clinic) -> None:
    """A vault that was read before it no longer counts."""
    before = (DAY_0 + timedelta(days=10)).isoformat(timespec="milliseconds")
    early = {**VAULT, "vault_um": 900, "taken": before.replace("+00:00", "Z")}
    clinic.operate(early, vault=VAULT)
    assert results.of(hospital.actor("birch")).vaults.bands == [0, 0, 1, 0, 0]


def test_a_refraction_of_another_plane_or_too_early_is_none(
    hospital: Hospital, clinic: Clinic
) -> None:
    """Only glasses, from four weeks on, are laid beside each other."""
    clinic.operate(refraction={**REFRACTION, "plane": "corneal", "vertex_um": None})
    clinic.operate(refraction=REFRACTION, after_d=27)
    assert results.of(hospital.actor("birch")).astigmatism == (0, None)
    clinic.operate(refraction=REFRACTION, after_d=28)
    assert results.of(hospital.actor("birch")).astigmatism == (1, None)


def test_is_no_page_of_others(hospital: Hospital) -> None:
    """Neither desk nor optometrist, theatre or administrator."""
    for name in ("fenn", "ambler", "wren", "rook"):
        assert hospital.client(name).get(PAGE).status_code == 403


def test_a_surgeon_reads_their_own_camps(hospital: Hospital, clinic: Clinic) -> None:
    """Nobody is counted of a camp that is none of theirs."""
    clinic.operate(vault=VAULT)
    elsewhere = Actor("u-verrill", "verrill", "Dr S. Verrill", (RoleAt("surgeon", "north-quay"),))
    assert results.of(hospital.actor("verrill")).lenses == 1
    assert results.of(elsewhere).lenses == 0


def test_each_band_says_its_ends() -> None:
    """No vault belongs to two of them."""
    found = shown.bands((100, 250, 750, 1000), (1, 2, 3, 4, 5))
    assert found == [
        ("below 100 µm", 1), ("100 to 249 µm", 2), ("250 to 750 µm, the window", 3),
        ("751 to 1000 µm", 4), ("above 1000 µm", 5),
    ]  # fmt: skip


def test_the_running_sum_is_drawn_upwards_and_within_its_frame() -> None:
    """Nothing lies on the lower edge, a sum over the limit above the limit's line."""
    days = ["2026-01-01", "2026-01-02", "2026-01-03"]
    found = shown.drawing(audit.Drift(Chart([0.0, 3.6, 0.7], [1]), [0, 1, 1], days))
    heights = [float(point.split(",")[1]) for point in found.line.split()]
    assert heights[0] == shown.HEIGHT
    assert 0 < heights[1] < float(found.limit_y) < heights[2]
    assert found.text.startswith("After 3 people: 0.70. It reached its limit with the surgery of ")


def test_an_axis_is_written_from_1_to_180() -> None:
    """A cylinder of 1 D that lies a quarter of a degree past 180 is one at 180."""
    ellipse = (0.2, 0.1)
    found = Centroid((1.0, 0.0087), ellipse, ellipse, 0.0)
    assert "a cylinder of 1.00 D at 180°" in shown.centroid_words(12, found)
