"""The desk's page of an eye: what was implanted and found, and what it taught about the other."""

import re

import demo_fixtures
from demo_fixtures.people import PEOPLE
from tests.hospital import Hospital


def page(demo: Hospital, story: str, eye: str) -> str:
    """Return the desk's page of an eye of the person whose right eye has a story."""
    one = next(person for person in PEOPLE if person.right[0] == story)
    answer = demo.client("fenn").get(f"/desk/case/{one.person}/{eye}")
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


def test_both_eyes_of_a_moved_and_of_a_stopped_plan(hospital: Hospital) -> None:
    """The second eye says what was found, and from where to where; a surprise moves nothing."""
    demo_fixtures.load(hospital.settings.data_dir)
    moved = page(hospital, "followed", "L")
    assert "First eye’s outcome" in moved
    assert "It moved this eye’s vault from" in moved
    stopped = page(hospital, "surprised", "L")
    assert "First eye: vault far from its prediction" in stopped
    assert "It does not move this eye’s prediction" in stopped
    operated = page(hospital, "followed", "R")
    assert re.search(r"Surgery of \d{1,2} [A-Z][a-z]{2} \d{4}<", operated)
    assert "serial TI-" in operated
    assert "Dr S. Verrill" in operated
    assert "in dim light" in operated
    assert "First eye’s outcome" not in operated


def test_visits_after_surgery(hospital: Hospital) -> None:
    """Both pages say how the eye stands with its visits, and which visit a reading was of."""
    demo_fixtures.load(hospital.settings.data_dir)
    operated = page(hospital, "followed", "R")
    assert "(Month 1)" in operated
    assert "Month 1, planned for" in operated
    assert "seen on day" in operated
    one = next(person for person in PEOPLE if person.right[0] == "followed")
    both = hospital.client("fenn").get(f"/desk/person/{one.person}").get_data(as_text=True)
    assert "Next: " in both or "Due now: " in both or "Overdue. " in both


def test_trends_of_the_lens(hospital: Hospital) -> None:
    """The desk draws each quantity of the lens, with the same as a table for a screen reader."""
    demo_fixtures.load(hospital.settings.data_dir)
    operated = page(hospital, "followed", "R")
    assert "Trends of this lens" in operated
    figures = operated.split('<figure class="trend">')[1:]
    assert [text.split("</strong>")[0].split("<strong>")[1].split(",")[0] for text in figures] == [
        "Vault", "Mean refraction", "Pressure",
    ]  # fmt: skip
    for figure in figures:
        assert figure.count('<circle class="trend-point"') == 1
        assert figure.count("<tr><td>") == 1
        assert "No line yet" in figure
