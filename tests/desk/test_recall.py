"""The recall list: lost first, then overdue, then due; every call is a record with its history."""

from datetime import UTC, datetime, timedelta
from html import unescape

import pytest

from tests.desk.conftest import Desk
from tests.flow.surgeries import surgery
from tests.hospital import Hospital
from webapp.core.dates import day_words
from webapp.flow import recall

TODAY = datetime.now(UTC).replace(hour=12)
NAMES = ("Lost Lena", "Overdue Olof", "Due Dora", "Later Lars")
# Days since surgery and since the last reading: month 1 is late after day 35, lost after day 125.
OPERATED_AGO = {"Lost Lena": 140, "Overdue Olof": 60, "Due Dora": 30, "Later Lars": 12}
VAULT = {"light": "mesopic", "vault_um": 480, "device": "scanner 2"}
CLARITY = {"clarity": "clear"}


class Clinic:
    """Four operated people of one camp, each seen last on day 8, when the vault was read."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp, self.surgeon = hospital.phone(), hospital.phone("verrill")
        self.people: dict[str, str] = {}
        self.implants: dict[str, str] = {}
        for name in NAMES:
            day_0 = self.operate(name, OPERATED_AGO[name])
            self.read(name, "followup.vault", day_0 + timedelta(days=8), **VAULT)

    def operate(self, name: str, days_ago: int) -> datetime:
        """Register somebody with a lens in the left eye; return the day of surgery."""
        place = len(self.people)
        person = self.camp.register(
            name=name, camp_code=f"SP-{place}", birth_year=1980 + place, birth_date=None,
            phone=f"0070 1{place}{place}",
        )  # fmt: skip
        day_0 = TODAY - timedelta(days=days_ago)
        body = surgery(operated=day_0.date().isoformat(), serial=f"TI-{place}")
        implant = self.surgeon.keep("surgery.implanted", person, "L", body)
        self.people[name], self.implants[name] = person, implant
        return day_0

    def read(self, name: str, kind: str, at: datetime, **body: object) -> None:
        """Keep one reading of somebody's lens."""
        taken = at.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        more = {"implant": self.implants[name], "typed": {}, "taken": taken}
        self.camp.keep(kind, self.people[name], "L", {**more, **body})

    def agree(self, name: str) -> str:
        """Agree three days ago on the day after; return that day, which nobody kept."""
        wall, gone = (TODAY - timedelta(days=ago) for ago in (3, 2))
        body = {"implant": self.implants[name], "how": "phone", "reached": "yes", "text": None,
                "comes_on": gone.date().isoformat()}  # fmt: skip
        said = wall.isoformat(timespec="milliseconds").replace("+00:00", "Z")
        self.camp.keep("recall.contact", self.people[name], "L", body, wall=said)
        return str(body["comes_on"])

    def page(self, name: str) -> str:
        """Return the address of somebody's calls."""
        return f"/desk/recall/{self.people[name]}/L"


@pytest.fixture
def clinic(hospital: Hospital) -> Clinic:
    """Return the four."""
    return Clinic(hospital)


def listed(desk: Desk, **query: str) -> str:
    """Return the words of the recall list."""
    asked = "&".join(f"{name}={value}" for name, value in query.items())
    return unescape(desk.get(f"/desk/recall?{asked}").text)


def test_lost_first(clinic: Clinic, desk: Desk) -> None:
    """In the order of how much it presses; who is not due is not on it."""
    words = listed(desk)
    places = [words.index(name) for name in NAMES[:3]]
    assert places == sorted(places)
    assert "Later Lars" not in words
    assert "Lost to follow-up. Last seen on day 8. Month 1 was due" in words
    assert "Overdue. Month 1 was due" in words
    assert words.count("Nobody has called yet.") == 3


def test_by_camp(clinic: Clinic, desk: Desk) -> None:
    """The filter shows one camp, and says when nobody is due there."""
    assert "Lost Lena" in listed(desk, site="saltpan")
    elsewhere = listed(desk, site="north-quay")
    assert "Lost Lena" not in elsewhere
    assert "Nobody is due after surgery at" in elsewhere
    assert "Lost Lena" in listed(desk, site="no-such-place")


def test_other_camps_do_not_see_it(clinic: Clinic) -> None:
    """Whoever works elsewhere reads no name."""
    shown = clinic.hospital.client("quill").get("/desk/recall").get_data(as_text=True)
    assert "Lost Lena" not in shown


def test_calls_are_kept(clinic: Clinic, desk: Desk) -> None:
    """Each with who, how, and what came of it; the newest on the list."""
    page = clinic.page("Lost Lena")
    desk.get(page)
    assert desk.post(page, how="phone").status_code == 422
    desk.get(page)
    assert desk.post(page, how="phone", reached="no", text="Rings, nobody").status_code == 302
    day = (TODAY + timedelta(days=3)).date().isoformat()
    desk.get(page)
    fields = {"how": "other_person", "reached": "yes", "comes_on": day, "text": "Her sister"}
    assert desk.post(page, **fields).status_code == 302
    shown = unescape(desk.get(page).text)
    assert "Rings, nobody" in shown
    assert "Her sister" in shown
    words = listed(desk)
    assert "Called 2 times, last" in words
    assert "through somebody else: reached, comes on" in " ".join(words.split())
    assert words.count("Nobody has called yet.") == 2


def test_reached_is_not_seen(clinic: Clinic, desk: Desk) -> None:
    """A promise on the phone leaves an eye lost until it was looked at."""
    desk.get(clinic.page("Lost Lena"))
    desk.post(clinic.page("Lost Lena"), how="phone", reached="yes")
    assert "Lost to follow-up. Last seen on day 8." in listed(desk)


def test_seen_is_off_the_list(clinic: Clinic, desk: Desk) -> None:
    """One reading after surgery and nobody is called again."""
    clinic.read("Lost Lena", "followup.lens_clarity", datetime.now(UTC), **CLARITY)
    assert "Lost Lena" not in listed(desk)


def test_a_vault_nobody_read(clinic: Clinic, desk: Desk) -> None:
    """A visit that was kept without it calls the eye all the same, until it is read (H32)."""
    day_0 = clinic.operate("Vaultless Vera", 4)
    clinic.read("Vaultless Vera", "followup.lens_clarity", day_0 + timedelta(days=1), **CLARITY)
    words = listed(desk)
    assert words.index("Overdue Olof") < words.index("Vaultless Vera") < words.index("Due Dora")
    assert "Overdue: the vault, still to be read. Next: Week 1" in words
    clinic.read("Vaultless Vera", "followup.vault", datetime.now(UTC), **VAULT)
    assert "Vaultless Vera" not in listed(desk)


def test_a_day_that_was_agreed(clinic: Clinic, desk: Desk) -> None:
    """Who is not due for a visit is listed for the day agreed on the phone, until seen (H37)."""
    page, tomorrow = clinic.page("Later Lars"), (TODAY + timedelta(days=1)).date()
    desk.get(page)
    fields = {"how": "phone", "reached": "yes", "comes_on": tomorrow.isoformat()}
    assert desk.post(page, **fields).status_code == 302
    words = listed(desk)
    assert f"Comes on {day_words(tomorrow.isoformat())}, as agreed. Next: Month 1" in words
    clinic.read("Later Lars", "followup.lens_clarity", TODAY + timedelta(days=1), **CLARITY)
    assert "Later Lars" not in listed(desk)


def test_a_day_agreed_and_not_seen(clinic: Clinic, desk: Desk) -> None:
    """It counts as overdue the day after, before the visit that would come next."""
    gone = clinic.agree("Later Lars")
    words = listed(desk)
    assert words.index("Lost Lena") < words.index("Later Lars") < words.index("Due Dora")
    assert f"Agreed for {day_words(gone)}, not seen." in words


def test_a_long_list_hides_nobody_who_was_told_to_come(
    clinic: Clinic, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However many yearly visits have been late for longer (H37)."""
    monkeypatch.setattr(recall, "MOST_OF_ONE_STATE", 1)
    assert "Overdue Olof" in listed(desk)
    clinic.agree("Later Lars")
    assert "Later Lars" in listed(desk)


def test_no_day_that_is_over(clinic: Clinic, desk: Desk) -> None:
    """Nobody can come on it any more: a slip, and nothing is kept."""
    page, gone = clinic.page("Due Dora"), (TODAY - timedelta(days=2)).date().isoformat()
    desk.get(page)
    answer = desk.post(page, how="phone", reached="yes", comes_on=gone)
    assert answer.status_code == 422
    assert "That day is over. Nothing was kept." in unescape(answer.text)


@pytest.mark.parametrize("days", [366 + 1, 3653])
def test_no_day_of_another_year(clinic: Clinic, desk: Desk, days: int) -> None:
    """2036 for 2026: the eye would wait ten years for it. A year ahead is a visit."""
    page = clinic.page("Due Dora")
    for ahead, status in ((days, 422), (366, 302)):
        desk.get(page)
        day = (TODAY + timedelta(days=ahead)).date().isoformat()
        answer = desk.post(page, how="phone", reached="yes", comes_on=day)
        assert answer.status_code == status
        assert ("Check the year. Nothing was kept." in unescape(answer.text)) == (status == 422)


def test_an_eye_without_a_lens(clinic: Clinic, desk: Desk) -> None:
    """A call is tied to a surgery; the other eye has none."""
    page = f"/desk/recall/{clinic.people['Lost Lena']}/R"
    assert "No surgery is on record for this eye." in desk.get(page).text
    assert desk.post(page, how="phone", reached="no").status_code == 409


def test_a_camp_calls_too(clinic: Clinic, desk: Desk) -> None:
    """A call written down on a phone stands beside those of the desk."""
    body = {"implant": clinic.implants["Lost Lena"], "how": "visit", "reached": "no",
            "text": "House empty", "comes_on": None}  # fmt: skip
    clinic.camp.keep("recall.contact", clinic.people["Lost Lena"], "L", body)
    assert "at home: not reached" in " ".join(
        listed(desk).replace("<strong>", "").replace("</strong>", "").split()
    )
