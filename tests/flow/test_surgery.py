"""What the base admits of surgeries and of what is found after them, and how a plan binds it."""

from typing import Any

import pytest

from tests.flow.surgeries import surgery, vault
from tests.hospital import READINGS, Hospital, Phone, plan_of
from webapp.core.box import theatre
from webapp.flow import casefile, recheck
from webapp.records import canonical
from webapp.records.envelope import digest_of, from_base64url, open_envelope, to_base64url
from webapp.store.projections import implants

OLDER, NEWER = "2026-11-29T23:59:59.999Z", "2026-11-30T00:00:00.000Z"
"""About the day from which a serial number holds printable ASCII alone."""


class Case:
    """Two measured eyes, the left one operated."""

    def __init__(self, hospital: Hospital) -> None:
        hospital.adopt_reference()
        self.hospital = hospital
        self.camp, self.surgeon = hospital.phone(), hospital.phone("verrill")
        self.person = self.camp.register()
        self.camp.measure(self.person, "R")
        for kind, body in READINGS.items():
            before = {**body, "taken": "2026-10-01T08:00:00.000Z", "typed": {}}
            self.camp.keep(kind, self.person, "L", before)
        self.surgery = self.surgeon.keep("surgery.implanted", self.person, "L", surgery())

    def refused(self, phone: Phone, kind: str, eye: str, body: dict[str, Any],
                **changed: object) -> tuple[str, str]:  # fmt: skip
        """Hand a record in that is refused; return code and sentence."""
        (receipt,) = phone.push(phone.record(kind, self.person, eye, body, **changed))
        assert receipt.result == "refused"
        assert receipt.reason is not None
        return receipt.reason.code, receipt.reason.message


@pytest.fixture
def case(hospital: Hospital) -> Case:
    """Return a person with an operated left eye."""
    return Case(hospital)


class TestSurgery:
    """One lens in an eye, each serial number once."""

    def test_one_lens_in_an_eye(self, case: Case) -> None:
        """A second surgery of the same eye is refused with the day of the first."""
        code, text = case.refused(
            case.surgeon, "surgery.implanted", "L", surgery(serial="TI-2")
        )  # fmt: skip
        assert code == "surgery.twice"
        assert "implanted 2026-10-20" in text

    @pytest.mark.parametrize("serial", ["TI-70012", " ti-7 0012 ".strip()])
    def test_a_serial_once(self, case: Case, serial: str) -> None:
        """However it is written, and in whichever eye or person (I20)."""
        body = surgery(serial=serial)
        assert case.refused(case.surgeon, "surgery.implanted", "R", body)[0] == "surgery.serial"
        case.person = case.camp.register()
        assert case.refused(case.surgeon, "surgery.implanted", "R", body)[0] == "surgery.serial"

    def test_a_letter_that_looks_alike_is_refused_at_its_field(self, case: Case) -> None:
        """It would pass as another lens (I20); its sentence names the character (U+0406)."""
        envelope = case.surgeon.record(
            "surgery.implanted", case.person, "R", surgery(serial="T\u0406-70012"), wall=OLDER
        )
        payload = canonical.decode(from_base64url(envelope["p"], "p")) | {"wall": NEWER}
        payload_bytes = canonical.encode(payload)
        signature = case.surgeon.key.sign(payload_bytes)
        signed = {"p": to_base64url(payload_bytes), "sig": to_base64url(signature)}
        (receipt,) = case.surgeon.push({"kid": envelope["kid"], **signed})
        assert receipt.reason is not None
        assert (receipt.reason.code, receipt.reason.field) == ("record.bad", "serial")
        assert "\u0406" in receipt.reason.message

    def test_an_older_record_with_such_a_letter_is_taken_in_again(self, case: Case) -> None:
        """A restored base gets back what it had, and compares it as both Pythons and pages do."""
        body = surgery(serial="t\u0456\u00a0-2")
        case.surgeon.keep("surgery.implanted", case.person, "R", body, wall=OLDER)
        kept = implants.of_people({case.person})
        assert "T\u0456\u00a0-2" in {one.serial for one in kept}
        assert theatre.key_of("t\u0456\u00a0-2") == implants.serial_key("t\u0456\u00a0-2")

    def test_several_without_a_serial(self, case: Case) -> None:
        """A serial that was not recorded equals no other."""
        for _ in range(2):
            person = case.camp.register()
            case.surgeon.keep("surgery.implanted", person, "R", surgery(serial=None))

    def test_not_in_the_future(self, case: Case) -> None:
        """A day to come is a slip."""
        body = surgery(operated="2099-01-01", serial="TI-2")
        assert case.refused(case.surgeon, "surgery.implanted", "R", body)[0] == "surgery.future"

    @pytest.mark.parametrize("field", ["order", "approval"])
    def test_names_what_is_here(self, case: Case, field: str) -> None:
        """An order or approval that is not stored cannot have led to it."""
        body = surgery(serial="TI-2", **{field: "0" * 64})
        code, _ = case.refused(case.surgeon, "surgery.implanted", "R", body)
        assert code == f"{field}.unknown"

    def test_names_what_is_of_this_eye(self, case: Case) -> None:
        """The lens approved for one eye was not meant for the other, nor for somebody else's."""
        request = case.camp.send_for_plan(case.person, "R")
        approval = case.surgeon.approve(case.person, "R", request)
        body = surgery(serial="TI-2", approval=approval)
        assert case.refused(case.surgeon, "surgery.implanted", "L", body)[0] == "approval.other"
        case.person = case.camp.register(name="Ines Corvane")
        assert case.refused(case.surgeon, "surgery.implanted", "R", body)[0] == "approval.other"

    def test_an_optometrist_records_none(self, case: Case) -> None:
        """The role belongs to surgeon and desk."""
        with pytest.raises(Exception, match="role"):
            case.camp.record("surgery.implanted", case.person, "R", surgery(serial="TI-2"))

    def test_correction_and_withdrawal(self, case: Case) -> None:
        """The eye and the serial are free again once the surgery is withdrawn."""
        mended = case.surgeon.keep(
            "surgery.implanted", case.person, "L", surgery(serial="TI-3"),
            replaces=case.surgery, reason="serial misread",
        )  # fmt: skip
        case.surgeon.keep("surgery.implanted", case.person, "R", surgery())
        case.surgeon.keep(
            "record.void", case.person, "L", {"target": mended}, reason="other person"
        )
        other = case.surgeon.keep("surgery.implanted", case.person, "L", surgery(serial="TI-3"))
        live = [one.surgery_id for one in implants.of_people({case.person}) if one.live]
        assert other in live
        assert mended not in live
        assert len(live) == 2

    def test_in_one_batch(self, case: Case) -> None:
        """Two surgeries of one eye in one batch: the first is stored."""
        envelopes = [
            case.surgeon.record("surgery.implanted", case.person, "R", surgery(serial=serial))
            for serial in ("TI-8", "TI-9")
        ]
        assert [one.result for one in case.surgeon.push(*envelopes)] == ["stored", "refused"]


class TestFollowup:
    """What is found after a surgery names it."""

    def test_is_stored_and_followed(self, case: Case) -> None:
        """The eye is followed; nothing of it is evidence of a plan."""
        case.camp.keep("followup.vault", case.person, "L", vault(case.surgery))
        fold = casefile.person_file(case.hospital.actor("fenn"), case.person).fold
        assert fold["eyes"]["L"]["state"] == "followed"

    def test_with_its_surgery_in_one_batch(self, case: Case) -> None:
        """A surgeon's phone that was offline hands in both at once."""
        operated = case.surgeon.record("surgery.implanted", case.person, "R", surgery(serial="T-8"))
        seen = case.surgeon.record(
            "followup.vault", case.person, "R", vault(open_envelope(operated).id)
        )
        assert [one.result for one in case.surgeon.push(operated, seen)] == ["stored", "stored"]

    @pytest.mark.parametrize(("eye", "changed", "code"), [
        ("L", {"implant": "0" * 64}, "implant.unknown"),
        ("R", {}, "implant.other"),
        ("L", {"taken": "2026-10-18T23:00:00Z"}, "followup.early"),
    ])  # fmt: skip
    def test_is_refused(self, case: Case, eye: str, changed: dict[str, Any], code: str) -> None:
        """Of no surgery, of the other eye, from before surgery."""
        body = {**vault(case.surgery), **changed}
        assert case.refused(case.camp, "followup.vault", eye, body)[0] == code

    def test_after_a_correction_and_after_a_withdrawal(self, case: Case) -> None:
        """A phone that knows the older record of a corrected surgery is understood."""
        mended = case.surgeon.keep(
            "surgery.implanted", case.person, "L", surgery(serial="TI-3"),
            replaces=case.surgery, reason="serial misread",
        )  # fmt: skip
        case.camp.keep("followup.vault", case.person, "L", vault(case.surgery))
        case.surgeon.keep("record.void", case.person, "L", {"target": mended}, reason="not done")
        for named in (mended, case.surgery):
            code, _ = case.refused(case.camp, "followup.vault", "L", vault(named))
            assert code == "implant.withdrawn"


class TestBound:
    """The second eye's plan and what it rests on."""

    def test_is_computed_again_with_the_outcome(self, case: Case) -> None:
        """The base has the same outcome from the records named, and agrees."""
        case.camp.keep("followup.vault", case.person, "L", vault(case.surgery))
        shown = plan_of(case.person, "R")["shown"]
        assert shown["fellow"]["vault"]["found_um"] == 480
        request = case.camp.send_for_plan(case.person, "R")
        recheck.run_waiting_of(case.person)
        assert recheck.checks_of(case.person)[request].result == "agrees"

    def test_an_outcome_of_the_same_eye_is_refused(self, case: Case) -> None:
        """Records of the eye itself are evidence, never an outcome."""
        case.camp.keep("followup.vault", case.person, "L", vault(case.surgery))
        shown = plan_of(case.person, "R")["shown"]
        shown["fellow"]["records"] = shown["evidence"][:1]
        body = {"shown": shown, "digest": digest_of(shown)}
        assert case.refused(case.camp, "plan.request", "R", body)[0] == "evidence.other"
        shown["fellow"]["records"] = ["0" * 64]
        body = {"shown": shown, "digest": digest_of(shown)}
        assert case.refused(case.camp, "plan.request", "R", body)[0] == "evidence.unknown"

    def test_an_outcome_of_another_person_is_refused(self, case: Case) -> None:
        """However like the two are: what somebody else's eye did says nothing of this one."""
        case.camp.keep("followup.vault", case.person, "L", vault(case.surgery))
        shown = plan_of(case.person, "R")["shown"]
        other = case.camp.register()
        shown["fellow"]["records"] = [case.camp.measure(other, "L")["reading.white_to_white"]]
        body = {"shown": shown, "digest": digest_of(shown)}
        assert case.refused(case.camp, "plan.request", "R", body)[0] == "evidence.other"

    def test_falls_when_the_outcome_comes(self, case: Case) -> None:
        """An approval made without it is stale, and the reason names it."""
        request = case.camp.send_for_plan(case.person, "R")
        case.surgeon.approve(case.person, "R", request)
        actor = case.hospital.actor("fenn")
        assert casefile.person_file(actor, case.person).fold["eyes"]["R"]["state"] == "approved"
        case.camp.keep("followup.vault", case.person, "L", vault(case.surgery))
        right = casefile.person_file(actor, case.person).fold["eyes"]["R"]
        assert right["state"] == "stale"
        assert "Left eye" in right["state_why"]

    def test_who_operated_may_approve_the_second_eye(self, case: Case) -> None:
        """The surgeon's own follow-up of the first eye is no reading of the second."""
        case.surgeon.keep("followup.vault", case.person, "L", vault(case.surgery))
        request = case.camp.send_for_plan(case.person, "R")
        case.surgeon.approve(case.person, "R", request)
