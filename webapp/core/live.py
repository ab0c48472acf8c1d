"""Which records still count: corrections and withdrawals, judged record by record.

A record is out when its own author voided it or replaced it; nobody else can take it out. What is
out never comes back, even if the correction itself is withdrawn later: then the quantity is
measured again. Each judgement looks only at the two records it concerns, so the result is the same
whatever the order of arrival.
"""

from collections import namedtuple

from webapp.core.entry import Entry

# live: records that count. withdrawn: (record, the record that took it out). doubled: records that
# were corrected twice, each with its live corrections.
Standing = namedtuple("Standing", ("live", "withdrawn", "doubled"))

WITHDRAWALS = ("record.void", "plan.withdrawal", "person.split")
JOINED, SEPARATED = "person.merged", "person.split"
# What its own author may take back, before an order and after it.
TAKEN_BACK = (
    "plan.request", "plan.approval", "plan.question", "plan.answer", "plan.decline",
    "decision.settled", "late.answered", "exchange.decided", "backup.released",
)  # fmt: skip
# A day's list is the desk's, whoever of it put an eye there.
OF_THE_DESK = ("theatre.listed",)
# Neither a fact at the supplier nor a check in theatre is undone by a word of whoever made it.
NOT_VOID = ("person.merged", "theatre.checked", "theatre.confirmed", "box.put_aside")
# Facts about a person may be corrected by whoever is permitted, not only by their first author.
SHARED_KINDS = ("person.registered", "history.answers", "history.health")


def takes_out(later: Entry, earlier: Entry) -> bool:
    """Return whether ``later`` is a valid correction or withdrawal of ``earlier``."""
    if later.id == earlier.id or later.person != earlier.person:
        return False
    same_author = later.author == earlier.author
    if earlier.kind in OF_THE_DESK:
        same_author = later.role == "desk"
    if later.kind == "record.void":
        # An order is a fact at the supplier: only an order.cancelled record ends it.
        voidable = not earlier.kind.startswith("order.") and earlier.kind not in NOT_VOID
        return bool(later.body.get("target") == earlier.id and same_author and voidable)
    if later.kind == SEPARATED:
        return bool(later.body.get("target") == earlier.id and earlier.kind == JOINED)
    if later.kind == "plan.withdrawal":
        decided = earlier.kind in TAKEN_BACK
        return bool(later.body.get("target") == earlier.id and same_author and decided)
    same_thing = later.kind == earlier.kind and later.eye == earlier.eye
    allowed = same_author or earlier.kind in SHARED_KINDS
    return bool(later.replaces == earlier.id and same_thing and allowed)


def target_of(entry: Entry) -> str | None:
    """Return the id of the record that this one wants to take out, if any."""
    if entry.kind in WITHDRAWALS:
        target = entry.body.get("target")
        return target if isinstance(target, str) else None
    return entry.replaces if isinstance(entry.replaces, str) else None


def standing(entries: list[Entry]) -> Standing:
    """Return which of a person's records count, which were withdrawn, and double corrections."""
    by_id = {entry.id: entry for entry in entries}
    taken_out: dict[str, list[Entry]] = {}
    for entry in entries:
        earlier = by_id.get(target_of(entry) or "")
        if earlier is not None and takes_out(entry, earlier):
            taken_out.setdefault(earlier.id, []).append(entry)
    live = [entry for entry in entries if entry.id not in taken_out]
    withdrawn, doubled = [], []
    for entry in entries:
        causes = taken_out.get(entry.id, [])
        if causes:
            withdrawn.append((entry, causes[0]))
        if len([cause for cause in causes if cause.kind == entry.kind]) > 1:
            heads = live_corrections(entry, taken_out)
            if len(heads) > 1:
                doubled.append((entry, heads))
    return Standing(live, withdrawn, doubled)


def live_corrections(entry: Entry, taken_out: dict[str, list[Entry]]) -> list[Entry]:
    """Return the corrections at the end of each line of corrections, if nothing took them out."""
    heads, waiting = [], [entry]
    while waiting:
        one = waiting.pop()
        causes = taken_out.get(one.id, [])
        if not causes:
            heads.append(one)
        waiting += [cause for cause in causes if cause.kind == entry.kind]
    return heads


def of_kind(entries: list[Entry], kind: str, eye: str | None = None) -> list[Entry]:
    """Return the records of one kind and, unless None, one eye."""
    return [entry for entry in entries if entry.kind == kind and eye in (None, entry.eye)]


def evidence(live: list[Entry], eye: str) -> list[str]:
    """Return the sorted ids that a plan of this eye rests on: its readings, the person, answers.

    That two registrations are of one person is among them: it says whose readings these are. A note
    that something could not be read has no value, so nothing rests on it.
    """
    return sorted([entry.id for entry in live if is_evidence(entry, eye)])


def is_evidence(entry: Entry, eye: str) -> bool:
    """Return whether a live record is one of those that a plan of this eye rests on."""
    is_value = entry.kind.startswith("reading.") and entry.kind != "reading.unread"
    of_person = entry.kind in SHARED_KINDS or entry.kind == JOINED
    return of_person or (is_value and entry.eye == eye)
