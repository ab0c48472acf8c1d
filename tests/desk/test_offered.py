"""The lenses beside each other on the desk's page of an eye."""

import re
from typing import Any

import demo_fixtures
from demo_fixtures.people import PEOPLE
from tests.core import decided, records
from tests.hospital import Hospital
from webapp.desk import offered


def plan(**more: Any) -> dict[str, Any]:  # noqa: ANN401
    """Return the plan of a plain eye."""
    answer: dict[str, Any] = decided.ask(records.plan_request(records.whole_eye(), **more))
    return answer


class TestOffered:
    """Which lenses are listed, and which of them is marked."""

    def test_of_the_recommended_length(self) -> None:
        """Three of them, none marked: nobody has approved one."""
        made = plan()
        found = offered.of_plan(made, None)
        assert found is not None
        assert found.length_um == made["recommended"]["length_um"]
        assert [row.is_chosen for row in found.rows] == [False] * 3
        assert found.rows[0].why.startswith("nearest")

    def test_of_the_approved_length(self) -> None:
        """Another length than the recommended one, its own lenses, the approved one marked."""
        lens = {**plan()["lengths"][3]["lenses"][1], "length_um": 13100}
        choice = {name: lens[name] for name in (*offered.LENS, "length_um")}
        found = offered.of_plan(plan(choice=choice), choice)
        assert found is not None
        assert found.length_um == 13100
        assert [row.is_chosen for row in found.rows] == [False, True, False]

    def test_chosen_by_hand(self) -> None:
        """None of the best three: it heads the list with what the plan expects of it."""
        choice = {**plan()["recommended"], "sphere_cD": -1100}
        made = plan(choice=choice)
        found = offered.of_plan(made, choice)
        assert found is not None
        assert len(found.rows) == 4
        assert found.rows[0].is_chosen
        assert found.rows[0].why == "chosen by hand"
        assert found.rows[0].predicted == made["shown"]["predicted"]

    def test_not_made_any_more(self) -> None:
        """Nothing is predicted of a lens that the catalogue does not have."""
        choice = {**plan()["recommended"], "sphere_cD": -1110}
        found = offered.of_plan(plan(choice=choice), choice)
        assert found is not None
        assert not any(row.is_chosen for row in found.rows)

    def test_without_a_plan(self) -> None:
        """No list where something is missing."""
        made = decided.ask(records.plan_request(records.whole_eye(keratometry=None)))
        assert offered.of_plan(made, None) is None


def test_page_of_an_approved_eye(hospital: Hospital) -> None:
    """Lens, what it leaves, over- or under-correction, and what would move it, as on the phone."""
    demo_fixtures.load(hospital.settings.data_dir)
    one = next(person for person in PEOPLE if person.right[0] == "approved")
    page = hospital.client("fenn").get(f"/desk/case/{one.person}/R").get_data(as_text=True)
    section = re.search(r'aria-labelledby="lenses".*?</section>', page, re.DOTALL)
    assert section is not None
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", section[0]))
    assert "D at the glasses, nearest" in text
    assert text.count(", approved") == 1
    assert "corrected by" in text or "on the aim" in text
    for words in ("vault 100 µm higher", "lens turned 5°", "refraction 0.25 D off"):
        assert words in text
