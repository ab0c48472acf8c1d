"""The desk sees who may be registered twice and says whether they are; camps stay apart."""

import re
from html import unescape

from tests.desk.conftest import Desk, ReadyCase
from tests.hospital import Hospital, person_body
from webapp.demo_people import PASSPHRASE
from webapp.flow import separations
from webapp.flow.actor import Actor, RoleAt


def test_the_desk_compares_and_then_orders(hospital: Hospital, desk: Desk, case: ReadyCase) -> None:
    """Shown with points and reasons; answered once with the passphrase; then ordered."""
    other = hospital.phone("quill", "upper-glen").register()
    page = f"/desk/person/{case.person}"
    shown = unescape(desk.get(page).text)
    assert "May be registered twice" in shown
    assert "Upper Glen camp: 95 of 100" in shown
    assert "the same phone" in shown
    assert case.order(desk).status_code == 409
    desk.get(page)
    wrong = desk.post(f"{page}/compare", other=other, answer="different", passphrase="not it")
    assert wrong.status_code == 422
    desk.get(page)
    fields = {"other": other, "answer": "different", "passphrase": PASSPHRASE}
    assert desk.post(f"{page}/compare", **fields).status_code == 302
    assert "two people" in desk.get(page).text
    assert case.order(desk).status_code == 302


def test_nothing_of_another_camp_is_shown_to_who_does_not_work_there(
    hospital: Hospital, case: ReadyCase
) -> None:
    """The optometrist of one camp reads the place and the reasons, not the person."""
    hospital.phone("quill", "upper-glen").register(name="Orla Fenimore", camp_code="UG-9")
    text = hospital.client("ambler").get(f"/desk/person/{case.person}").text
    assert "Somebody at Upper Glen camp" in text
    assert "UG-9" not in text
    assert "Fenimore" not in text


JOINING = re.compile(r'href="(/desk/joining/[0-9a-f]{64})"')
WHY = "The same card and the same scar"


def test_two_registrations_are_joined_and_separated(
    hospital: Hospital, desk: Desk, case: ReadyCase
) -> None:
    """Both side by side, a reason, one page that names both, and the way back."""
    quill = hospital.phone("quill", "upper-glen")
    other = "0193a5c1-0000-7000-8000-000000000001"
    quill.keep("person.registered", other, None, person_body(camp_code="UG-9"))
    said = {"other": case.person, "answer": "same"}
    quill.keep("person.compared", other, None, said)
    person, pair = f"/desk/person/{case.person}", f"/desk/person/{case.person}/join/{other}"
    assert f'href="{pair}"' in desk.get(person).text
    shown = unescape(desk.get(pair).text)
    assert all(words in shown for words in ("UG-9", "Upper Glen camp", "Saltpan camp"))
    assert "Say how you know" in desk.post(pair, reason="", passphrase=PASSPHRASE).text
    desk.get(pair)
    assert "passphrase is not right" in desk.post(pair, reason=WHY, passphrase="not it").text
    desk.get(pair)
    assert desk.post(pair, reason=WHY, passphrase=PASSPHRASE).status_code == 302

    joined = unescape(desk.get(f"/desk/person/{other}").text)
    assert "One person, 2 registrations" in joined
    assert "UG-9, Upper Glen camp" in joined
    assert WHY in joined
    (separate,) = set(JOINING.findall(joined))
    assert case.order(desk).status_code == 409
    assert "joined after this approval" in desk.get(case.page).text

    assert "It takes two people" in desk.get(separate).text
    proposed = desk.post(separate, reason="Two cousins after all", passphrase=PASSPHRASE)
    assert proposed.status_code == 302
    own = desk.get(separate).text
    assert "Two cousins after all" in own
    assert 'name="passphrase"' not in own
    surgeon = Desk(hospital.client("hale"))
    assert "you proposed it" in desk.get("/desk/").text
    waits = surgeon.get("/desk/").text
    assert "L. Fenn proposed it, and waits for a second person" in waits
    (listed,) = set(JOINING.findall(waits))
    assert "Two cousins after all" in surgeon.get(listed).text
    # Who may join at one of the two camps alone, or at none, reads nothing of it.
    one_camp = Actor("u-fenn", "fenn", "L. Fenn", (RoleAt("desk", "saltpan"),))
    assert separations.waiting(one_camp) == []
    assert not JOINING.search(hospital.client("quill").get("/desk/").text)
    assert not JOINING.search(hospital.client("birch").get("/desk/").text)
    assert "L. Fenn proposed to separate them" in surgeon.get(separate).text
    apart = surgeon.post(separate, passphrase=PASSPHRASE)
    assert apart.status_code == 302
    assert not JOINING.search(desk.get("/desk/").text)
    again = desk.get(person).text
    assert "2 registrations" not in again
    assert "May be registered twice" in again


def test_who_judged_is_told_that_somebody_else_joins(
    hospital: Hospital, desk: Desk, case: ReadyCase
) -> None:
    """The refusal stands on the page, and nothing is joined."""
    other = hospital.phone("quill", "upper-glen").register()
    page = f"/desk/person/{case.person}"
    desk.get(page)
    desk.post(f"{page}/compare", other=other, answer="same", passphrase=PASSPHRASE)
    desk.get(f"{page}/join/{other}")
    answer = desk.post(f"{page}/join/{other}", reason=WHY, passphrase=PASSPHRASE)
    assert answer.status_code == 409
    assert "Somebody else must join them" in answer.text


def test_half_a_person_of_another_camp_is_not_offered(hospital: Hospital, case: ReadyCase) -> None:
    """An optometrist of one camp has no page that shows both."""
    other = hospital.phone("quill", "upper-glen").register()
    answer = hospital.client("ambler").get(f"/desk/person/{case.person}/join/{other}")
    assert answer.status_code == 403
