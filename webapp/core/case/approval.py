"""Whether an approval still stands, and if not, why not, in sentences.

An approval is judged by what it names alone, so every device that holds the same records judges it
alike (invariants I3, I4, I13, I14, I25).
"""

from webapp.core.case.changes import changes
from webapp.core.case.decisions import Decisions, is_answered
from webapp.core.case.fellow_changes import fellow_changes
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import LEVELS, Finding, to_answer_for
from webapp.core.lens_words import lens_of, lens_text
from webapp.core.live import evidence
from webapp.core.plan.lenses import is_available
from webapp.core.plan.vault import adopted_for
from webapp.core.trust import doubts

HEX = "0123456789abcdef"


def reason(code: str, text: str, record: str | None = None) -> dict[str, str]:
    """Return one reason for which an approval does not stand, with the record that brought it."""
    found = {"code": code, "text": text}
    if record is not None:
        found["record"] = record
    return found


def stale_reasons(
    exam: Exam, made: Decisions, approval: Entry, findings: list[Finding]
) -> list[dict[str, str]]:
    """Return every reason why an approval does not stand now; none means that it is live.

    Args:
        exam: the eye as it stands.
        made: the decisions on this eye.
        approval: a live or withdrawn approval.
        findings: of the readings as they stand.
    """
    shown = approval.body["shown"]
    found = []
    if approval in made.taken_back:
        taken = taken_out_by(exam, approval.id)
        found.append(reason("withdrawn", "The surgeon took this approval back.", taken))
    found += settled_against(made, approval)
    found += wrong_hands(exam, made, approval)
    found += doubts(exam.reference.revoked_keys, exam.reference.recalled_cores, approval)
    if not is_digest(approval.body["digest"]):
        found.append(reason("digest", "This approval does not say what it signs."))
    found += changes(exam, shown["evidence"], approval, "this approval")
    found += other_registration(exam, approval)
    found += fellow_changes(exam, shown)
    found += reference_changed(exam, shown) + not_made(exam, approval.body.get("backup"))
    found += never_overridden(findings) + new_findings(shown, findings) + unanswered(approval)
    # Also on a request that was ordered from once: whoever asked has not had an answer.
    asked_about = [one.body["request"] for one in made.questions if not is_answered(made, one)]
    if approval.body["request"] in asked_about:
        found.append(reason("question", "A question about this eye is still open."))
    if approval.id in made.spent:
        found.append(reason("ordered", "Its order was cancelled; an approval serves once."))
    return found


def wrong_hands(exam: Exam, made: Decisions, approval: Entry) -> list[dict[str, str]]:
    """Return reasons that lie in who approved what: role, eye, request, own readings."""
    shown, found = approval.body["shown"], []
    if approval.role != "surgeon":
        found.append(reason("role", "Only a surgeon can approve."))
    if shown["eye"] != approval.eye or shown["person"] != approval.person:
        found.append(reason("eye", "What was signed belongs to another eye or person."))
    named = [one for one in made.requests if one.id == approval.body["request"]]
    if not named:
        taken = taken_out_by(exam, approval.body["request"])
        text = "The request it answers is not here or was taken back."
        found.append(reason("request", text, taken))
    bound = set(evidence(exam.standing.live, exam.this.eye)) | set(shown["evidence"])
    own = [one for one in exam.standing.live if one.id in bound and one.author == approval.author]
    if own or any(one.author == approval.author for one in named):
        found.append(reason("two_people", "The surgeon measured or sent this eye; a second person"
                            " must approve."))  # fmt: skip
    return found


def other_registration(exam: Exam, approval: Entry) -> list[dict[str, str]]:
    """Return the reason that an approval is filed under a registration the person goes by no more.

    Orders are made under one, so that two halves of a person never have one each (I17).
    """
    if exam.person is None or exam.person.person == approval.person:
        return []
    text = "It was made under the person's other registration; the eye is sent and approved again."
    return [reason("registration", text)]


def taken_out_by(exam: Exam, record: str) -> str | None:
    """Return the id of the record that took another one out, None where nothing here did."""
    causes = [cause.id for one, cause in exam.standing.withdrawn if one.id == record]
    return causes[0] if causes else None


def settled_against(made: Decisions, approval: Entry) -> list[dict[str, str]]:
    """Return the settlement that did not keep this approval."""
    settlement = made.set_aside.get(approval.id)
    if settlement is None:
        return []
    text = "A contradiction was settled by another surgeon, who did not keep this approval: "
    return [reason("settled", text + str(settlement.reason), settlement.id)]


def is_digest(value: object) -> bool:
    """Return whether a value is a SHA-256 in lower-case hexadecimal."""
    return isinstance(value, str) and len(value) == 64 and all(one in HEX for one in value)


def reference_changed(exam: Exam, shown: dict[str, object]) -> list[dict[str, str]]:
    """Return reasons that lie in a changed catalogue, limits or vault model of this eye."""
    found = []
    if shown["catalogue"] != exam.reference.catalogue_id:
        found.append(reason("catalogue", "The lens catalogue changed after this approval."))
    if shown["limits"] != exam.reference.limits_id:
        found.append(reason("limits", "The limits changed after this approval."))
    found += vault_model_changed(exam, shown)
    lens: dict[str, object] | None = shown["lens"]  # type: ignore[assignment]
    return found + not_made(exam, lens)


def not_made(exam: Exam, signed: dict[str, object] | None) -> list[dict[str, str]]:
    """Return the reason that a signed lens is not made any more; none where none was signed."""
    if signed is None or is_available(exam.reference.models, lens_of(signed)):
        return []
    return [reason("lens", lens_text(lens_of(signed)) + " is no longer in the catalogue.")]


def vault_model_changed(exam: Exam, shown: dict[str, object]) -> list[dict[str, str]]:
    """Return the reason why the vault model that was signed no longer speaks for this eye."""
    # Approvals from before there were adopted models name none.
    signed, now = shown.get("vault_model"), adopted_for(exam)
    for one in exam.reference.withdrawn:
        if one.adopted.id == signed:
            return [reason(
                "vault_model_withdrawn",
                "The vault model " + one.adopted.title + " was withdrawn: " + one.reason,
                one.record,
            )]  # fmt: skip
    if signed == (None if now is None else now.id):
        return []
    return [reason("vault_model", "The vault model of this eye changed after this approval.")]


def never_overridden(findings: list[Finding]) -> list[dict[str, str]]:
    """Return the fixed stops that stand now: no written reason lifts one."""
    return [
        reason("fixed", "A stop stands that nobody can override: " + one.title + ".")
        for one in to_answer_for(findings)
        if one.fixed
    ]


def new_findings(shown: dict[str, object], findings: list[Finding]) -> list[dict[str, str]]:
    """Return stops and cautions that stand now and were not signed, or only as something less."""
    listed = shown["findings"] if isinstance(shown["findings"], list) else []
    signed = {one["code"]: LEVELS.index(one["level"]) for one in listed}
    fresh = {
        one.code: one
        for one in to_answer_for(findings)
        if LEVELS.index(one.level) < signed.get(one.code, len(LEVELS))
    }
    return [
        reason("findings", "A new " + fresh[code].level + " stands: " + fresh[code].title + ".")
        for code in sorted(fresh)
    ]


def unanswered(approval: Entry) -> list[dict[str, str]]:
    """Return stops without a written reason and cautions that were not acknowledged."""
    acknowledged = [one["code"] for one in approval.body["acknowledged"]]
    overridden = [one["code"] for one in approval.body["overrides"] if one["reason"]]
    found = []
    for one in approval.body["shown"]["findings"]:
        code = one["code"]
        if one["level"] == "stop" and code not in overridden:
            found.append(reason("stop", "The stop " + code + " has no written reason."))
        if one["level"] == "caution" and code not in acknowledged:
            found.append(reason("caution", "The caution " + code + " was not acknowledged."))
    if approval.body["read_to_end"] != 1:
        found.append(reason("read", "The plan was not read to its end."))
    return found
