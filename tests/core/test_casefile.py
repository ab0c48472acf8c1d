"""The case file: what keeps an approval alive and what ends it, corrections, and what is shown."""

import json

import pytest

from tests.core import decided, records
from tests.core.decided import (
    OTHER_SURGEON,
    SURGEON,
    approval,
    eye_of,
    ordered,
    question,
    sent,
    taken_back,
    void,
)
from tests.core.records import Entry, find
from tests.core_runtime import Core


class TestStaleApproval:
    """Each way in which an approval stops standing, in a sentence."""

    def reasons(self, entries: list[Entry], **more: object) -> dict[str, str]:
        """Return code and sentence of each reason, after checking that nothing can be ordered."""
        found = eye_of(entries, **more)
        assert found["state"] != "approved"
        assert found["approval"]["live"] == 0
        return {one["code"]: one["text"] for one in found["approval"]["stale"]}

    def test_second_reading(self, approved: list[Entry]) -> None:
        """A reading taken after the approval, said with both values."""
        late = records.reading(
            "reading.white_to_white", diameter_um=11930, seq=9, wall="2026-11-25T07:00:00.000Z"
        )
        said = self.reasons([*approved, late])["evidence.added"]
        assert said == (
            "A second white-to-white was taken after this approval: 11.93 mm (before: 11.62 mm)."
        )
        assert eye_of([*approved, late])["state"] == "stale"

    def test_reading_that_arrived_late(self, approved: list[Entry]) -> None:
        """A reading from before the approval, hidden on an unsynced phone."""
        late = records.reading("reading.pressure", iop_dmmHg=180, seq=9)
        said = self.reasons([*approved, late])["evidence.added"]
        assert said == ("A second pressure arrived after this approval: 18 mmHg (before: 14 mmHg).")

    def test_corrected_reading(self, approved: list[Entry]) -> None:
        """A correction names old and new value, once."""
        old = find(approved, "reading.chamber_depth")
        new = records.reading(
            "reading.chamber_depth", depth_um=3150, replaces=old["id"], reason="slip", seq=9
        )
        said = self.reasons([*approved, new])
        assert said["evidence.added"] == (
            "The chamber depth was corrected after this approval: 3.15 mm from endothelium"
            " (before: 3.05 mm from endothelium)."
        )
        assert "evidence.removed" not in said

    def test_voided_reading(self, approved: list[Entry]) -> None:
        """A withdrawn reading takes the approval with it."""
        said = self.reasons([*approved, void(find(approved, "reading.acuity"))])
        assert said["evidence.removed"] == (
            "The corrected acuity of 0.02 logMAR was withdrawn after this approval."
        )

    def test_changed_answers(self, approved: list[Entry]) -> None:
        """The answers are evidence too."""
        old = find(approved, "history.answers")
        new = records.record(
            "history.answers",
            {**records.ANSWERS, "pregnant_or_nursing": "yes"},
            replaces=old["id"],
            reason="asked again",
            author="u-quill",
        )
        said = self.reasons([*approved, new])
        assert said["evidence.added"] == "The answers changed after this approval."
        assert said["findings"] == "A new stop stands: Pregnant or nursing."

    def test_catalogue_and_limits(self, approved: list[Entry]) -> None:
        """An adoption of another catalogue or other limits."""
        changed = {
            "catalogue": {**records.REFERENCE["catalogue"], "id": "e" * 64},  # type: ignore[dict-item]
            "limits": {**records.REFERENCE["limits"], "id": "f" * 64},  # type: ignore[dict-item]
        }
        assert set(self.reasons(approved, reference=changed)) == {"catalogue", "limits"}

    def test_lens_no_longer_made(self, approved: list[Entry]) -> None:
        """The lens left the catalogue."""
        models = [{**records.MODEL_T, "lengths_um": [12100]}]
        body = {"title": "Demo", "demo": 1, "models": models}
        changed = {**records.REFERENCE, "catalogue": {"id": "a" * 64, "body": body}}
        said = self.reasons(approved, reference=changed)["lens"]
        assert (
            said
            == "Model A-t \u22129.75 \u22122.50 \u00d715 D, 12.60 mm is no longer in the catalogue."
        )

    def test_readings_grew_old(self, approved: list[Entry]) -> None:
        """A caution that was not part of what was signed."""
        assert set(self.reasons(approved, today="2027-04-01")) == {"findings"}

    def test_withdrawn(self, approved: list[Entry]) -> None:
        """The surgeon took the approval back: the eye waits again."""
        found = eye_of([*approved, taken_back(approved[-1])])
        assert found["state"] == "queued"
        assert found["approvals"][0]["live"] == 0

    def test_open_question_of_another_surgeon(self, approved: list[Entry], request_: Entry) -> None:
        """While a question is open nothing can be ordered."""
        said = self.reasons([*approved, question(request_, OTHER_SURGEON)])
        assert set(said) == {"question"}

    def test_own_question_is_settled_by_approving(self, eye: list[Entry], request_: Entry) -> None:
        """Who asked and then approved on the same device has the answer."""
        asked = question(request_, seq=1)
        signed = approval(eye, request_, {**SURGEON, "seq": 2})
        assert eye_of([*eye, request_, asked, signed])["state"] == "approved"

    @pytest.mark.parametrize("later", [{"seq": 3}, {"seq": 1, "key": "k7"}])
    def test_own_question_asked_afterwards_or_elsewhere(
        self, eye: list[Entry], request_: Entry, later: dict[str, object]
    ) -> None:
        """A question put after approving, or on another device, is open until it is answered."""
        signed = approval(eye, request_, {**SURGEON, "seq": 2})
        asked = question(request_, SURGEON, **later)
        assert set(self.reasons([*eye, request_, signed, asked])) == {"question"}

    @pytest.mark.parametrize(
        ("surgeon", "code"),
        [
            ({**SURGEON, "role": "optometrist"}, "role"),
            ({**SURGEON, "author": "u-ambler"}, "two_people"),
        ],
    )
    def test_wrong_hands(
        self, eye: list[Entry], request_: Entry, surgeon: dict[str, str], code: str
    ) -> None:
        """Only a surgeon, and nobody who measured or sent this eye (I3)."""
        assert code in self.reasons([*eye, request_, approval(eye, request_, surgeon)])

    @pytest.mark.parametrize(
        ("measured", "asked"), [("u-quill", "u-ambler"), ("u-ambler", "u-quill")]
    )
    def test_one_hand_too_many(self, eye: list[Entry], measured: str, asked: str) -> None:
        """Having measured, or having sent, is each enough (I3)."""
        read = [{**one, "payload": {**one["payload"], "author": measured}} for one in eye]
        request_ = sent(read, author=asked)
        signed = approval(read, request_, {**SURGEON, "author": "u-quill"})
        assert "two_people" in self.reasons([*read, request_, signed])

    @pytest.mark.parametrize(
        ("body", "code"),
        [
            ({"digest": "none"}, "digest"),
            ({"acknowledged": []}, "caution"),
            ({"read_to_end": 0}, "read"),
            ({"request": "f" * 64}, "request"),
        ],
    )
    def test_incomplete(
        self, eye: list[Entry], request_: Entry, body: dict[str, object], code: str
    ) -> None:
        """An approval without its digest, acknowledgements or request does not stand."""
        signed = approval(eye, request_, **body)
        assert code in self.reasons([*eye, request_, signed])

    def test_stop_needs_a_written_reason(self) -> None:
        """A stop that may be overridden is, by a reason; without one the approval is void."""
        eye = records.whole_eye(pressure={"iop_dmmHg": 250})
        request_ = sent(eye)
        assert eye_of([*eye, request_, approval(eye, request_)])["state"] == "approved"
        bare = approval(eye, request_, overrides=[])
        assert "stop" in self.reasons([*eye, request_, bare])

    def test_fixed_stop_takes_no_reason(self) -> None:
        """A stop that nobody may override voids an approval that gives a reason all the same."""
        asked = records.whole_eye()
        silent = [asked[0], records.answers(pregnant_or_nursing="not_asked"), *asked[2:]]
        shown = decided.shown_for(asked)
        shown["evidence"] = sorted(str(one["id"]) for one in silent)
        shown["findings"].append({"code": "H21.pregnant_or_nursing", "level": "stop"})
        request_ = sent(asked)
        reasons = [{"code": "H21.pregnant_or_nursing", "reason": "weighed all the same"}]
        signed = approval(asked, request_, shown=shown, overrides=reasons)
        assert list(self.reasons([*silent, request_, signed])) == ["fixed"]

    def test_eye_of_what_was_signed(self, eye: list[Entry], request_: Entry) -> None:
        """What was signed for the left eye is no approval of the right one (I16)."""
        shown = {**decided.shown_for(eye), "eye": "L"}
        signed = approval(eye, request_, shown=shown)
        assert "eye" in self.reasons([*eye, request_, signed])


class TestCorrections:
    """Who may take out what."""

    def test_only_ones_own_record(self, eye: list[Entry]) -> None:
        """Another person's void changes nothing."""
        foreign = void(find(eye, "reading.acuity"), author="u-quill")
        assert eye_of([*eye, foreign])["state"] == "ready"

    def test_never_across_eyes_or_kinds(self, eye: list[Entry]) -> None:
        """A correction of another eye or kind does not take the record out."""
        old = find(eye, "reading.acuity")
        wrong_eye = records.reading("reading.acuity", "L", replaces=old["id"], reason="x", seq=9)
        wrong_kind = records.reading("reading.pressure", replaces=old["id"], reason="x", seq=9)
        found = eye_of([*eye, wrong_eye, wrong_kind])
        assert old["id"] in found["evidence"]

    def test_withdrawn_correction_does_not_bring_the_slip_back(self, eye: list[Entry]) -> None:
        """A slip stays out; the quantity is measured again."""
        old = find(eye, "reading.acuity")
        new = records.reading(
            "reading.acuity", logmar_c=10, replaces=old["id"], reason="slip", seq=9
        )
        found = eye_of([*eye, new, void(new)])
        assert [one["text"] for one in found["missing"]] == ["Corrected acuity"]
        assert len(found["withdrawn"]) == 2

    def test_two_lines_of_corrections(self, eye: list[Entry]) -> None:
        """One record corrected on two devices, one correction corrected again: both ends stand."""
        old = find(eye, "reading.acuity")

        def corrected(target: Entry, logmar_c: int, key: str) -> Entry:
            return records.reading(
                "reading.acuity", logmar_c=logmar_c, replaces=target["id"], reason="slip", key=key
            )

        first, other = corrected(old, 5, "k1"), corrected(old, 7, "k9")
        again = corrected(first, 6, "k1")
        found = eye_of([*eye, first, other, again])
        told = [one for one in found["findings"] if one["code"] == "records.two_corrections"]
        assert [one["records"] for one in told] == [sorted([str(again["id"]), str(other["id"])])]
        settled = eye_of([*eye, first, other, again, void(other, key="k9")])
        assert "records.two_corrections" not in [one["code"] for one in settled["findings"]]

    def test_set_aside_record_influences_nothing(self, eye: list[Entry]) -> None:
        """A record that the server set aside is as if it were not there (I24)."""
        strange = {**records.reading("reading.pressure", iop_dmmHg=500, seq=9), "state": "aside"}
        assert eye_of([*eye, strange]) == eye_of(eye)

    def test_an_order_is_not_voided(self, approved: list[Entry]) -> None:
        """An order ends by its cancellation alone."""
        order = ordered(approved[-1])
        gone = void(order, author="u-fenn", role="desk")
        assert eye_of([*approved, order, gone])["state"] == "ordered"


class TestShownForScreens:
    """What lists and pages read from the file."""

    def test_spread_and_wanted(self, eye: list[Entry]) -> None:
        """Two readings say how far apart they are and ask for a third."""
        eye.append(records.reading("reading.white_to_white", diameter_um=11930, seq=9))
        found = eye_of(eye)
        shown = next(one for one in found["readings"] if one["kind"].endswith("white_to_white"))
        assert shown["spread_text"] == "2 readings, apart by 0.31 mm"
        assert shown["apart"] == 1
        assert "White-to-white once more" in [one["text"] for one in found["wanted"]]

    @pytest.mark.parametrize(
        ("second_um", "words"),
        [(11620, "in agreement"), (11630, "apart by 0.01 mm"), (11610, "apart by 0.01 mm")],
    )
    def test_repeats_that_agree_say_so(self, eye: list[Entry], second_um: int, words: str) -> None:
        """No difference is not told as one of 0.00."""
        eye.append(records.reading("reading.white_to_white", diameter_um=second_um, seq=9))
        found = eye_of(eye)
        shown = next(one for one in found["readings"] if one["kind"].endswith("white_to_white"))
        assert shown["spread_text"] == "2 readings, " + words

    def test_unread(self) -> None:
        """What could not be read is listed with its reason and stays missing."""
        why = {
            "quantity": "reading.pressure",
            "why": "Tonometer out of order",
            "taken": records.WALL,
        }
        eye = [*records.whole_eye(pressure=None), records.record("reading.unread", why, "R")]
        found = eye_of(eye)
        assert found["unread"][0]["text"] == "Tonometer out of order"
        assert eye[-1]["id"] not in found["evidence"]
        assert found["state"] == "measuring"

    def test_changed_since_sent(self, eye: list[Entry], request_: Entry) -> None:
        """A request that waits says what is new since it was sent."""
        late = records.reading("reading.pressure", iop_dmmHg=180, seq=9)
        found = eye_of([*eye, request_, late])
        assert found["state"] == "queued"
        assert found["changed_since"]["request"][0]["text"].startswith("A second pressure")

    def test_timeline_in_words(self, approved: list[Entry]) -> None:
        """Each record in one line; the other eye's records do not appear."""
        left = records.reading("reading.pressure", "L", iop_dmmHg=200)
        lines = [one["text"] for one in eye_of([*approved, left])["timeline"]]
        assert "White-to-white 11.62 mm" in lines
        assert "Refraction \u22129.00 \u22122.50 \u00d715 D, vertex 12.0 mm" in lines
        assert lines[-1].startswith("Approved: Model A-t")
        assert "Pressure 20 mmHg" not in lines

    def test_a_pupil_says_its_light_once(self, eye: list[Entry]) -> None:
        """The light stands with the value: a pupil in bright light is not called one in dim."""
        bright = records.reading("reading.pupil", light="photopic", diameter_um=3000, seq=9)
        found = eye_of([*eye, bright])
        lines = [one["text"] for one in found["timeline"]]
        assert "Pupil 5.60 mm in dim light" in lines
        assert "Pupil 3.00 mm in bright light" in lines
        assert [one["word"] for one in found["readings"] if "pupil" in one["kind"]] == ["Pupil"]

    def test_no_consent_is_a_fixed_stop(self) -> None:
        """Without consent to send the eye cannot go to the surgeon."""
        eye = records.whole_eye()
        eye[0] = records.person(consent_send="no")
        found = next(one for one in eye_of(eye)["findings"] if one["code"] == "consent.send")
        assert (found["level"], found["fixed"]) == ("stop", 1)

    def test_same_file_in_both_pythons(self, browser_core: Core, approved: list[Entry]) -> None:
        """Phone and base fold equal records to equal states (I23)."""
        late = records.reading("reading.white_to_white", diameter_um=11930, seq=9)
        asked = records.fold_request([*approved, ordered(approved[-1]), late])
        there = json.loads(browser_core("door", "call", json.dumps(asked))["value"])
        assert there == decided.ask(asked)
