"""What surgeons decided about a lens that lies in an eye, and whether each decision still stands.

A decision binds the lens that it is about, the readings of the eye before its first surgery, and
every reading of this eye after this lens was implanted, of no other lens (invariant I22). Anything
newer for that lens lets it fall.
"""

from webapp.core.case.approval import (
    is_digest,
    never_overridden,
    new_findings,
    reason,
    reference_changed,
    settled_against,
    taken_out_by,
    unanswered,
)
from webapp.core.case.changes import addition, changes
from webapp.core.case.decisions import Decisions
from webapp.core.case.implants import Implant, implants, records_of
from webapp.core.case.settling import contradicting_exchanges
from webapp.core.case.state import Judged, State
from webapp.core.dates import day_words
from webapp.core.describe_surgery import decision_text
from webapp.core.describe_values import value_text
from webapp.core.entry import Entry
from webapp.core.exam import Exam
from webapp.core.finding import Finding
from webapp.core.live import evidence
from webapp.core.measured import word_of
from webapp.core.trust import doubts

THIS = "this decision"


def exchange_reasons(
    exam: Exam, made: Decisions, decision: Entry, findings: list[Finding]
) -> list[dict[str, str]]:
    """Return every reason why a decision does not stand now; none means that it is live.

    Args:
        exam: the eye as it stands.
        made: the decisions on this eye.
        decision: a live or withdrawn one.
        findings: of the lens in the eye, as an exchange is planned now.
    """
    shown = decision.body["shown"]
    found = []
    if decision in made.taken_back:
        taken = taken_out_by(exam, decision.id)
        found.append(reason("withdrawn", "The surgeon took this decision back.", taken))
    found += settled_against(made, decision)
    found += wrong_hands(exam, decision)
    found += doubts(exam.reference.revoked_keys, exam.reference.recalled_cores, decision)
    if not is_digest(decision.body["digest"]):
        found.append(reason("digest", "This decision does not say what it signs."))
    found += lens_changes(exam, decision)
    found += changes(exam, shown["evidence"], decision, THIS)
    found += reference_changed(exam, shown)
    found += never_overridden(findings) + new_findings(shown, findings) + unanswered(decision)
    if decision.id in made.spent:
        found.append(reason("ordered", "Its order was cancelled; a decision serves once."))
    return found


def wrong_hands(exam: Exam, decision: Entry) -> list[dict[str, str]]:
    """Return reasons that lie in who decided: role, eye, own readings (I3)."""
    shown, found = decision.body["shown"], []
    if decision.role != "surgeon":
        found.append(reason("role", "Only a surgeon can decide this."))
    if shown["eye"] != decision.eye or shown["person"] != decision.person:
        found.append(reason("eye", "What was signed belongs to another eye or person."))
    if exam.person is not None and exam.person.person != decision.person:
        text = "It was made under the person's other registration; it is decided again."
        found.append(reason("registration", text))
    bound = set(evidence(exam.standing.live, exam.this.eye)) | set(shown["evidence"])
    bound |= set(shown["followups"])
    own = [one for one in exam.standing.live if one.id in bound and one.author == decision.author]
    if own:
        text = "The surgeon measured this eye; a second person must decide."
        found.append(reason("two_people", text))
    return found


def lens_changes(exam: Exam, decision: Entry) -> list[dict[str, str]]:
    """Return what is otherwise about the lens and its readings than it was when this was signed."""
    shown, named = decision.body["shown"], decision.body["implant"]
    lens = of_lens(implants(exam.standing, exam.this.eye), named)
    if lens is None or shown["implant"] != named:
        taken = taken_out_by(exam, named)
        return [reason("evidence.removed", "The surgery that it is about is not here or was"
                       " withdrawn.", taken or named)]  # fmt: skip
    told = []
    if lens.next is not None:
        text = "The lens that it is about was taken out " + day_words(lens.explanted_on) + "."
        told.append(reason("taken_out", text, lens.next))
    surgeries = records_of(implants(exam.standing, exam.this.eye))
    for name in sorted(set(surgeries) - set(shown["surgeries"]) - {lens.next}):
        text = "A surgery of this eye was recorded or corrected after " + THIS + "."
        told.append(reason("evidence.added", text, name))
    return told + reading_changes(exam, lens, shown["followups"], decision)


def reading_changes(
    exam: Exam, lens: Implant, signed: list[str], decision: Entry
) -> list[dict[str, str]]:
    """Return each difference between the readings of a lens then and now."""
    gone = {one.id: one for one, _ in exam.standing.withdrawn}
    causes = {one.id: cause.id for one, cause in exam.standing.withdrawn}
    here = {one.id: one for one in lens.followups}
    old = [gone.get(name) or here.get(name) for name in signed]
    added = [one for one in lens.followups if one.id not in signed]
    corrected = {one.replaces for one in added}
    told = [reason("evidence.added", addition(one, old, decision, THIS), one.id) for one in added]
    for name in signed:
        if name not in here and name not in corrected:
            text = removal(gone.get(name))
            told.append(reason("evidence.removed", text, causes.get(name, name)))
    return told


def removal(old: Entry | None) -> str:
    """Return the sentence for a reading that the decision stands on and that no longer counts."""
    if old is None:
        return "A reading that " + THIS + " stands on is not here, or not of this lens."
    return (
        "The " + word_of(old.kind) + " of " + value_text(old) + " was withdrawn after " + THIS + "."
    )


def of_lens(found: list[Implant], named: str) -> Implant | None:
    """Return the lens that a record names, by any name it goes by."""
    mine = [one for one in found if named in one.names]
    return mine[0] if mine else None


def about_lens(judged: list[Judged], lens: Implant, made: Decisions) -> list[Judged]:
    """Return the decisions about a lens whose order is not done with."""
    return [
        one
        for one in judged
        if one.entry.kind == "exchange.decided"
        and one.entry.body["implant"] in lens.names
        and one.entry.id not in made.used
    ]


def exchange_state(judged: list[Judged]) -> State | None:
    """Return the state that the decisions about a lens put its eye in; None without any.

    Args:
        judged: decisions about the lens in the eye that were not taken back.
    """
    standing = [one.entry for one in judged if not one.reasons]
    if contradicting_exchanges(standing):
        said = sorted({decision_text(one) for one in standing})
        return State("conflict", "Decisions about the lens in the eye differ: " + " / ".join(said)
                     + ". A surgeon who gave none settles it, or one is taken back.")  # fmt: skip
    exchanges = [one for one in standing if one.body["decision"] == "exchange"]
    if exchanges:
        return State("approved", "Approved: " + decision_text(exchanges[0]))
    if standing:
        return State("exchange_considered", decision_text(standing[-1]) + ".")
    fallen = [one for one in judged if one.entry.body["decision"] == "exchange"]
    if fallen:
        why = fallen[-1].reasons[0]["text"]
        return State("stale", "The decision to exchange no longer stands. " + why)
    return None
