"""The worklist: each eye in its state, found in any script, only at one's own sites."""

from contextlib import nullcontext
from datetime import timedelta

import pytest

from tests.hospital import Hospital, person_body, width_body
from webapp import catching_up
from webapp.flow import casefile, clock, folding, joined, kept_folds, worklist
from webapp.flow.actor import RoleAt
from webapp.flow.refusal import NotFound
from webapp.flow.worklist import Sought

WIDTH = "reading.white_to_white"


class TestRows:
    """What is listed."""

    def test_an_eye_moves_through_its_states(self, hospital: Hospital) -> None:
        """Measuring, ready, queued, approved: the list follows the records."""
        hospital.adopt_reference()
        fenn = hospital.actor("fenn")
        camp, surgeon = hospital.phone(), hospital.phone("verrill", "saltpan")
        person = camp.register()

        def state() -> str:
            (row,) = [row for row in worklist.rows(fenn) if row.eye == "R"]
            assert worklist.rows(fenn, state=row.state, query="Orla")
            assert worklist.counts(fenn)[row.state] >= 1
            return row.state

        assert state() == "measuring"
        camp.measure(person, "R")
        assert state() == "ready"
        request = camp.send_for_plan(person, "R")
        assert state() == "queued"
        surgeon.approve(person, "R", request)
        assert state() == "approved"
        (row,) = worklist.rows(fenn, state="approved")
        assert (row.check, row.site_title, row.name) == (
            "agrees", "Saltpan camp", "Orla Fennimore"
        )  # fmt: skip

    def test_every_state_is_counted(self, hospital: Hospital) -> None:
        """States without an eye are counted as 0, and both eyes of a new person are measuring."""
        hospital.phone().register()
        counts = worklist.counts(hospital.actor("fenn"))
        assert set(counts) == set(worklist.STATES)
        assert counts["measuring"] == 2
        assert sum(counts.values()) == 2

    @pytest.mark.parametrize(
        ("query", "found"),
        [
            ("ålesen", True), ("ÅLESEN", True), ("A\u030alesen", True), ("orla sound", True),
            ("SP-014", True), ("0555010022", True), ("0555 0100 22", True), 
            ("Ορλα", True), ("nobody", False), ("orla nowhere", False), ("%", False), ("_", False),
        ],
    )  # fmt: skip
    def test_is_found_by_words_in_any_script(
        self, hospital: Hospital, query: str, found: bool
    ) -> None:
        """Case, accents typed in two ways, phone spacing and wildcards make no difference."""
        phone = hospital.phone()
        person = phone.register()
        phone.keep(
            "person.registered", person, None, person_body(name="Orla Ålesen Ορλα"),
            replaces=phone.prev, reason="name",
        )  # fmt: skip
        rows = worklist.rows(hospital.actor("fenn"), query=query)
        assert bool(rows) is found

    def test_only_own_sites(self, hospital: Hospital) -> None:
        """A camp sees itself; an administrator sees nobody; a stranger's file is not there."""
        person = hospital.phone().register()
        assert worklist.rows(hospital.actor("quill")) == []
        assert worklist.rows(hospital.actor("rook")) == []
        assert len(worklist.rows(hospital.actor("ambler"))) == 2
        for name in ("quill", "rook"):
            with pytest.raises(NotFound):
                casefile.person_file(hospital.actor(name), person)

    def test_a_person_who_holds_no_role_sees_nothing(self, hospital: Hospital) -> None:
        """Default deny."""
        hospital.phone().register()
        nobody = hospital.actor("fenn")._replace(roles=())
        assert worklist.rows(nobody) == []
        nobody = nobody._replace(roles=(RoleAt("desk", "upper-glen"),))
        assert worklist.rows(nobody) == []


class TestPeople:
    """A page of people, each once, with the fold as it is now."""

    def test_pages_join_on_and_nobody_comes_twice(self, hospital: Hospital) -> None:
        """The longest-waiting first; the last page holds the rest."""
        camp = hospital.phone()
        people = [camp.register(name=f"Person {one}", birth_year=1980 + one) for one in range(5)]
        fenn, found = hospital.actor("fenn"), []
        for first in (0, 2, 4):
            found.append([line.person for line in worklist.people(fenn, Sought(), first, 2)])
        assert [len(page) for page in found] == [2, 2, 1]
        assert sorted(person for page in found for person in page) == sorted(people)

    def test_one_camp_only_and_no_camp_of_others(self, hospital: Hospital) -> None:
        """A filter narrows what may be read, and never widens it."""
        here = hospital.phone().register()
        there = hospital.phone(site="north-quay").register(name="Sefton Gale", birth_year=1971)

        def at(name: str, site: str) -> list[str]:
            sought = Sought(site=site)
            return [line.person for line in worklist.people(hospital.actor(name), sought, 0, 9)]

        assert at("fenn", "saltpan") == [here]
        assert at("fenn", "north-quay") == [there]
        assert at("quill", "saltpan") == []
        fenn = hospital.actor("fenn")
        assert sum(worklist.counts(fenn, site="north-quay").values()) == 2
        assert sum(worklist.counts(fenn).values()) == 4

    def test_a_new_day_keeps_nobody_waiting_and_shows_nothing_old(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A list makes some folds again, shows each as of now, and says that others wait."""
        camp, fenn = hospital.phone(), hospital.actor("fenn")
        for one in range(4):
            camp.register(name=f"Person {one}", birth_year=1980 + one)
        worklist.counts(fenn)
        assert worklist.is_up_to_date(fenn)
        tomorrow = (clock.utc_now() + timedelta(days=1)).strftime("%Y-%m-%d")
        monkeypatch.setattr(clock, "today", lambda: tomorrow)
        monkeypatch.setattr(kept_folds, "AT_ONCE", 1)
        lines = worklist.people(fenn, Sought(), 0, 9)
        assert not worklist.is_up_to_date(fenn)
        for line in lines:
            assert line.fold == folding.fold_entries(
                joined.entries_of(line.person), folding.in_force()
            )
        with monkeypatch.context() as quiet:
            # Its own connection would be another one of an open test.
            quiet.setattr(catching_up.database, "connection", nullcontext)
            catching_up.catch_up()
        assert worklist.is_up_to_date(fenn)

    def test_what_changed_is_never_left_for_later(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """However many records came in, counts are made from all of them."""
        monkeypatch.setattr(kept_folds, "AT_ONCE", 1)
        camp = hospital.phone()
        for one in range(3):
            camp.register(name=f"Person {one}", birth_year=1980 + one)
        assert worklist.counts(hospital.actor("fenn"))["measuring"] == 6


class TestFile:
    """One person's file."""

    def test_is_folded_again_only_when_records_came(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A kept fold is used until a record about that person arrives."""
        fenn, phone = hospital.actor("fenn"), hospital.phone()
        person = phone.register()
        folds: list[str] = []
        real = folding.fold_entries
        monkeypatch.setattr(
            kept_folds, "fold_entries", lambda *about: folds.append(person) or real(*about)
        )
        for _ in range(3):
            casefile.person_file(fenn, person)
        assert len(folds) == 1
        phone.keep(WIDTH, person, "R", width_body())
        file = casefile.person_file(fenn, person)
        assert len(folds) == 2
        readings = {group["kind"]: group["entries"] for group in file.fold["eyes"]["R"]["readings"]}
        assert len(readings[WIDTH]) == 1

    def test_a_record_that_comes_while_folding_is_not_lost(
        self, hospital: Hospital, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """A fold made from older records is not kept as if it were fresh."""
        fenn, phone = hospital.actor("fenn"), hospital.phone()
        person = phone.register()
        real = folding.fold_entries

        def slow(*about: object) -> dict[str, object]:
            fold = real(*about)  # type: ignore[arg-type]
            monkeypatch.setattr(kept_folds, "fold_entries", real)
            phone.keep(WIDTH, person, "R", width_body())
            return fold

        monkeypatch.setattr(kept_folds, "fold_entries", slow)
        kept_folds.refresh([person])
        readings = casefile.person_file(fenn, person).fold["eyes"]["R"]["readings"]
        assert [len(group["entries"]) for group in readings if group["kind"] == WIDTH] == [1]

    def test_carries_payloads_names_and_moments(self, hospital: Hospital) -> None:
        """Pages need no second look-up."""
        phone = hospital.phone()
        person = phone.register()
        file = casefile.person_file(hospital.actor("fenn"), person)
        (record_id,) = file.payloads
        assert file.payloads[record_id]["body"] == person_body()
        assert file.received[record_id].endswith("Z")
        assert file.names["u-ambler"] == "R. Ambler"
