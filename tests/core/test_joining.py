"""Two registrations of one person as one: joined by records, separated by records (I17, H03)."""

import json
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core import records
from tests.core.decided import (
    DESK,
    SURGEON,
    approval,
    ask,
    cancelled,
    eye_of,
    ordered,
    sent,
    shown_for,
)
from tests.core_runtime import Core

Entry = records.Entry
FIRST = records.PERSON
SECOND, THIRD = (f"0193f6d0-0000-7000-8000-00000000000{n}" for n in (2, 3))
SITES = {FIRST: "saltpan", SECOND: "upper-glen", THIRD: "pier"}
PLACES = {FIRST: "Saltpan camp", SECOND: "Upper Glen camp", THIRD: "Pier camp"}


def half(person: str, eye: list[Entry]) -> list[Entry]:
    """Return the same records filed under another registration, measured by somebody there."""
    there = {"person": person, "site": SITES[person], "author": "u-quill", "key": "k9"}
    return [
        records.record(
            one["payload"]["kind"], one["payload"]["body"], one["payload"]["eye"], **there  # type: ignore[index]
        )
        for one in eye
    ]  # fmt: skip


def joined(one: str, other: str) -> list[Entry]:
    """Return a joining: one record at each camp, each naming the other half."""
    return [
        records.record(
            "person.merged", {"other": far, "place": PLACES[far], "compared": "e" * 64},
            person=near, site=SITES[near], reason="Same card", **DESK,
        )
        for near, far in ((one, other), (other, one))
    ]  # fmt: skip


def separated(joining: list[Entry]) -> list[Entry]:
    """Return the separation of a joining, at each camp."""
    return [
        records.record(
            "person.split", {"target": one["id"]}, person=one["payload"]["person"],  # type: ignore[index]
            site=one["payload"]["site"], reason="Two cousins", **DESK,  # type: ignore[index]
        )
        for one in joining
    ]  # fmt: skip


def under(person: str, decision: Entry) -> Entry:
    """Return a decision filed under another registration, as made there."""
    payload: Any = decision["payload"]
    body = dict(payload["body"])
    if "shown" in body:
        body["shown"] = {**body["shown"], "person": person}
    rest = {name: payload[name] for name in ("author", "role", "key", "seq", "wall", "reason")}
    return records.record(
        payload["kind"], body, payload["eye"], person=person, site=SITES[person], **rest
    )


def folded(entries: list[Entry]) -> dict[str, Any]:
    """Return the case file."""
    answer: dict[str, Any] = ask(records.fold_request(entries))
    assert "error" not in answer, answer
    return answer


def of(person: str, entries: list[Entry]) -> list[Entry]:
    """Return the records that are filed under one registration."""
    return [one for one in entries if one["payload"]["person"] == person]  # type: ignore[index]


EYE = records.whole_eye()
FOUND = half(SECOND, [one for one in EYE if one["payload"]["eye"] is None])  # type: ignore[index]
PAIR = joined(FIRST, SECOND)
APART = separated(PAIR)
ONE = [*EYE, *FOUND, *PAIR]
REQUEST = sent(EYE)
APPROVAL = approval(EYE, REQUEST)
AGAIN = sent(ONE, seq=61)
LATER = approval(ONE, AGAIN)


class TestOnePerson:
    """What two halves are together."""

    def test_goes_by_the_earlier_registration(self) -> None:
        """UUIDv7 (RFC 9562) sorts by time, so the smaller id was registered first."""
        file = folded([*FOUND, *PAIR, *EYE])
        assert file["person"]["id"] == FIRST
        assert file["joined"]["registrations"] == [FIRST, SECOND]
        assert shown_for(ONE)["person"] == FIRST

    def test_a_reading_at_either_camp_is_of_the_eye(self) -> None:
        """Measured at the second camp alone, missing nowhere."""
        width = next(
            one for one in EYE if one["payload"]["kind"] == "reading.white_to_white"  # type: ignore[index]
        )  # fmt: skip
        rest = [one for one in EYE if one is not width]
        assert eye_of(rest)["state"] == "measuring"
        assert eye_of([*rest, *FOUND, *half(SECOND, [width]), *PAIR])["state"] == "ready"

    def test_without_a_joining_two_people_are_never_mixed(self) -> None:
        """The core refuses, whoever asks."""
        answer = ask(records.fold_request([*EYE, *FOUND]))
        assert answer["error"]["field"] == "entries"

    def test_one_camps_record_of_it_is_enough(self) -> None:
        """The other half's copy may still be on its way."""
        assert folded([*EYE, *FOUND, PAIR[1]])["joined"]["registrations"] == [FIRST, SECOND]

    def test_nobody_withdraws_a_joining_as_if_it_were_a_reading(self) -> None:
        """Only a separation, with its reason, undoes it."""
        undone = [
            records.record(
                "record.void", {"target": one["id"]}, reason="A slip", **DESK,
                **{name: one["payload"][name] for name in ("person", "site")},  # type: ignore[index]
            )
            for one in PAIR
        ]  # fmt: skip
        file = folded([*ONE, *undone])
        assert file["joined"]["registrations"] == [FIRST, SECOND]
        assert {one["id"] for one in PAIR} <= set(file["eyes"]["R"]["evidence"])

    @pytest.mark.parametrize("pairs", [
        [(FIRST, SECOND), (SECOND, THIRD)],
        [(SECOND, THIRD), (THIRD, FIRST)],
        [(FIRST, SECOND), (SECOND, THIRD), (THIRD, FIRST)],
    ], ids=["one after the other", "the latest first", "in a circle"])  # fmt: skip
    def test_joinings_of_joinings(self, pairs: list[tuple[str, str]]) -> None:
        """However it came about, all three are one person under the earliest."""
        entries = [*EYE, *FOUND, *half(THIRD, EYE[:2])]
        for one, other in pairs:
            entries += joined(one, other)
        file = folded(entries)
        assert file["joined"]["registrations"] == [FIRST, SECOND, THIRD]
        assert file["person"]["id"] == FIRST

    def test_in_a_circle_one_separation_leaves_one_person(self) -> None:
        """The third joining still says so."""
        circle = [joined(FIRST, SECOND), joined(SECOND, THIRD), joined(THIRD, FIRST)]
        entries = [*EYE, *FOUND, *half(THIRD, EYE[:2]), *(one for pair in circle for one in pair)]
        file = folded([*entries, *separated(circle[0])])
        assert file["joined"]["registrations"] == [FIRST, SECOND, THIRD]


class TestFindings:
    """What the rules say of a joined person."""

    def test_half_a_person_is_not_planned(self) -> None:
        """A phone of one camp says where the other half is, and there is nothing to sign."""
        found = eye_of([*EYE, PAIR[0]])["findings"]
        (stop,) = [one for one in found if one["code"] == "joined.elsewhere"]
        assert (stop["level"], stop["fixed"]) == ("stop", 1)
        assert "Upper Glen camp" in stop["text"]
        plan = ask(records.plan_request([*EYE, PAIR[0]]))
        assert plan["shown"] is None

    def test_both_halves_are_planned(self) -> None:
        """Nothing stops that did not stop before."""
        before = [one["code"] for one in eye_of(EYE)["findings"]]
        assert [one["code"] for one in eye_of(ONE)["findings"]] == before

    def test_facts_that_differ_are_named(self) -> None:
        """Whichever is wrong; a surgeon says in writing what holds."""
        other = half(SECOND, [records.person(birth_date="1998-05-02"), records.answers(
            eye_disease="yes", eye_disease_note="uveitis")])  # fmt: skip
        found = eye_of([*EYE, *other, *PAIR])["findings"]
        (stop,) = [one for one in found if one["code"] == "joined.differ"]
        assert (stop["level"], stop["fixed"]) == ("stop", 0)
        assert "the birth date, eye disease, which eye disease" in stop["text"]

    def test_no_consent_at_either_camp_is_no_consent(self) -> None:
        """Nothing leaves the camp because the other camp asked as well."""
        other = half(SECOND, [records.person(consent_send="no")])
        found = eye_of([*EYE, *other, *PAIR])["findings"]
        assert [one["fixed"] for one in found if one["code"] == "consent.send"] == [1]


class TestDecisions:
    """Decisions on either half."""

    @pytest.mark.parametrize("person", [FIRST, SECOND])
    def test_an_approval_from_before_no_longer_stands(self, person: str) -> None:
        """It knew half of what is known now; the first reason says so."""
        eye = EYE if person == FIRST else half(SECOND, EYE)
        other = FOUND if person == FIRST else EYE[:2]
        request = under(person, sent(EYE))
        shown = {**shown_for(eye), "person": person}
        decided = under(person, approval(EYE, request, shown=shown))
        assert eye_of([*eye, request, decided])["state"] == "approved"
        found = eye_of([*eye, *other, *PAIR, request, decided])
        assert found["state"] == "stale"
        (one,) = found["approvals"]
        assert one["stale"][0]["code"] == "person.joined"
        assert one["stale"][0]["record"] in {pair["id"] for pair in PAIR}

    def test_an_approval_of_the_joined_person_stands(self) -> None:
        """Asked for and signed with both halves on the screen."""
        assert eye_of([*ONE, AGAIN, LATER])["state"] == "approved"

    def test_an_approval_filed_under_the_later_registration_does_not(self) -> None:
        """What is signed is of the person as they go by now."""
        request = under(SECOND, AGAIN)
        decided = under(SECOND, approval(ONE, request))
        (one,) = eye_of([*ONE, request, decided])["approvals"]
        assert "registration" in [why["code"] for why in one["stale"]]

    def test_an_order_of_either_half_is_of_the_eye(self) -> None:
        """I17: the eye is ordered for; that it was joined is for a surgeon to answer."""
        eye = half(SECOND, EYE)
        request = under(SECOND, REQUEST)
        decided = under(SECOND, approval(eye, request, shown=shown_for(eye)))
        order = under(SECOND, ordered(decided))
        found = eye_of([*EYE[:2], *eye, *PAIR, request, decided, order])
        assert found["state"] == "ordered"
        assert "person.joined" in [one["code"] for one in found["late"]["unanswered"]]
        assert found["late"]["blocks"] == 1

    def test_two_orders_contradict_each_other(self) -> None:
        """They may meet after a restore; one is cancelled at the supplier."""
        order = ordered(APPROVAL)
        twin = under(SECOND, ordered(APPROVAL, "UG-1"))
        entries = [*ONE, REQUEST, APPROVAL, order, twin]
        assert eye_of(entries)["state"] == "conflict"
        assert eye_of([*entries, under(SECOND, cancelled(twin))])["state"] == "ordered"


class TestSeparated:
    """A separation takes back the joining and nothing else."""

    @pytest.mark.parametrize("person", [FIRST, SECOND])
    def test_each_half_is_as_it_was(self, person: str) -> None:
        """But for the two lines in its history."""
        before = [*EYE, REQUEST, APPROVAL, *FOUND]
        here, there = (folded(of(person, entries)) for entries in (
            before, [*before, *PAIR, *APART],
        ))  # fmt: skip
        for eye in ("R", "L"):
            kinds = [line["kind"] for line in there["eyes"][eye]["timeline"]]
            assert sorted(kind for kind in kinds if kind.startswith("person.")) == [
                "person.merged", "person.registered", "person.split",
            ]  # fmt: skip
            for file in (here, there):
                file["eyes"][eye].pop("timeline")
        assert there == here

    def test_an_approval_of_both_halves_falls(self) -> None:
        """With the separation as its reason, and no riddle about records of the other half."""
        (one,) = eye_of(of(FIRST, [*ONE, AGAIN, LATER, *APART]))["approvals"]
        assert one["stale"][0]["code"] == "evidence.removed"
        assert "separated again" in one["stale"][0]["text"]
        assert "fetch" not in json.dumps(one["stale"])

    def test_joined_once_more(self) -> None:
        """A new joining is a new record; the old separation does not undo it."""
        again = [
            records.record(one["payload"]["kind"], one["payload"]["body"], seq=7, **{  # type: ignore[index]
                name: one["payload"][name] for name in ("person", "site", "reason", "author")  # type: ignore[index]
            })
            for one in PAIR
        ]  # fmt: skip
        assert folded([*ONE, *APART, *again])["joined"]["registrations"] == [FIRST, SECOND]


# Whatever happens to two registrations; the circle's joinings keep every choice one person.
EVENTS = [REQUEST, APPROVAL, AGAIN, LATER, ordered(APPROVAL), under(SECOND, ordered(APPROVAL)),
          *joined(SECOND, THIRD), *half(SECOND, EYE[2:6]), *APART[:1]]  # fmt: skip


class TestAnyOrder:
    """The same person whatever came first (I5, I6)."""

    @settings(max_examples=60, deadline=None)
    @given(
        st.lists(st.sampled_from(EVENTS), max_size=8, unique_by=lambda entry: entry["id"]),
        st.randoms(use_true_random=False),
    )
    def test_order_and_duplicates_do_not_matter(self, history: list[Entry], rng: Random) -> None:
        """Shuffled, and with every record twice."""
        entries = [*ONE, *history]
        shuffled = entries * 2
        rng.shuffle(shuffled)
        assert folded(shuffled) == folded(entries)

    def test_both_pythons(self, browser_core: Core) -> None:
        """The phone joins, plans and separates as the base does (I23)."""
        for asked in (
            records.fold_request([*ONE, AGAIN, LATER, ordered(LATER)]),
            records.fold_request([*EYE, PAIR[0]]),
            records.fold_request(of(FIRST, [*ONE, REQUEST, APPROVAL, *APART])),
            records.fold_request([*EYE, *FOUND]),
            records.fold_request([*ONE, *EVENTS]),
            records.plan_request(ONE),
        ):
            there = json.loads(browser_core("door", "call", json.dumps(asked))["value"])
            assert there == ask(asked)


def test_the_measuring_surgeon_of_one_half_approves_neither() -> None:
    """I3 looks at both halves: who measured at one camp cannot approve at the other."""
    width = records.reading("reading.white_to_white", diameter_um=11620, seq=30)
    mine = records.record(
        "reading.white_to_white", width["payload"]["body"], "R", person=SECOND,  # type: ignore[index]
        site=SITES[SECOND], **SURGEON,
    )  # fmt: skip
    entries = [*ONE, mine]
    request = sent(entries)
    (one,) = eye_of([*entries, request, approval(entries, request)])["approvals"]
    assert "two_people" in [why["code"] for why in one["stale"]]
