"""The promises of the exchange, checked while a history runs and after it has healed."""

from typing import TYPE_CHECKING, Any, NamedTuple

from tests.simulation import base, eyes, joins, operated, remembered, stories
from tests.simulation.phone import REFERENCE_SITE, Phone
from webapp.records.envelope import to_base64url
from webapp.store import database, devices, gaps, installation, journal

if TYPE_CHECKING:
    from tests.simulation.history import History

DESK_KINDS = (
    "order.", "quarantine.", "person.merged", "person.split", "label.checked", "urgent.answered",
)  # fmt: skip


class Apart(NamedTuple):
    """What the promises ask of a record kept apart."""

    id: str
    kid: str
    seq: int
    code: str
    has_place: int
    payload: bytes


Places = tuple[str | None, dict[str, int], dict[str, tuple[int, str]]]


def places(phone: Phone) -> Places:
    """Return a phone's epoch, cursors and heads."""
    return phone.store.epoch, dict(phone.store.cursors), dict(phone.store.heads)


def no_way_back(history: "History", phone: Phone, before: Places) -> None:
    """S8: within a life of the base, cursors and heads never go back."""
    epoch, cursors, heads = before
    now = phone.store
    if heads == now.heads and cursors == now.cursors:
        return
    if any(now.heads.get(kid, (0, ""))[0] < seq for kid, (seq, _) in heads.items()):
        history.fail("S8 the head of a chain went back")
    if epoch == now.epoch and any(now.cursors.get(site, 0) < n for site, n in cursors.items()):
        history.fail("S8 a cursor went back")


def summary(phone: Phone) -> tuple[Any, ...]:
    """Return what must stop changing when all is said."""
    store = phone.store
    return (store.epoch, tuple(sorted(store.cursors.items())), tuple(sorted(store.outbox.items())),
            len(store.records))  # fmt: skip


def sequence(entry: journal.Entry) -> int:
    """Return a stored record's place in its key's chain."""
    seq: int = remembered.payload_of(entry.payload)["seq"]
    return seq


def apart() -> list[Apart]:
    """Return what the base keeps apart."""
    rows = database.run("SELECT id, kid, seq, code, has_place, payload FROM refused_record")
    return [Apart(*row) for row in rows]


def declared() -> list[gaps.Gap]:
    """Return what was declared lost."""
    return gaps.everything()


def at_base() -> set[str]:
    """Return ids of everything that the base holds, stored or kept apart."""
    return base.names()


def after_healing(history: "History") -> None:
    """Check every promise that must hold once all have exchanged."""
    log = base.log()
    ids = {entry.id for entry in log}
    if len(ids) != len(log):
        history.fail("S1 a record is in the log twice")
    if not ids <= history.made | _desk_made(log):
        history.fail("a record is in the log that nobody made")
    _acknowledged(history, ids)
    _chains(history, log)
    for phone in history.phones:
        _same_everywhere(history, phone, log)
    _at_rest(history, ids)
    _renewed(history)
    _saved(history)
    for person in stories.ordered_for(history):
        eyes.of_orders(history, person)
    joins.promises(history)
    operated.promises(history)
    eyes.of_folds(history)
    history.count("quarantined", len(apart()))


def _desk_made(log: list[journal.Entry]) -> set[str]:
    return {entry.id for entry in log if entry.kind.startswith(DESK_KINDS) or entry.site == "all"}


def _acknowledged(history: "History", ids: set[str]) -> None:
    """S2: what was acknowledged in this life of the base is in its log."""
    epoch = str(installation.epoch())
    for phone in history.phones:
        gone = {name for life, name in phone.acknowledged if life == epoch} - ids
        if gone:
            history.fail(f"S2 acknowledged in this life, but not in the log: {len(gone)}")


def _chains(history: "History", log: list[journal.Entry]) -> None:
    """S3: stored and kept apart, the records of a key are one chain without gap or fork."""
    links: dict[str, dict[int, tuple[str, str | None]]] = {}
    rows = [(entry.id, entry.kid, entry.payload) for entry in log]
    rows += [(row.id, row.kid, row.payload) for row in apart() if row.has_place]
    for name, kid, payload_bytes in rows:
        payload = remembered.payload_of(payload_bytes)
        if payload["seq"] in links.setdefault(kid, {}):
            history.fail("S3 two records at one place of a chain")
        links[kid][payload["seq"]] = (name, payload["prev"])
    losses = declared()
    after_gap = {(gap.kid, gap.to_seq + 1): (gap.from_seq - 1, gap.last) for gap in losses}
    for kid, chain in links.items():
        for seq, (_, prev) in chain.items():
            before, last = after_gap.get((kid, seq), (seq - 1, chain.get(seq - 1, (None,))[0]))
            late = any(gap.kid == kid and gap.from_seq <= seq <= gap.to_seq for gap in losses)
            if not late and (prev != last or (before > 0 and before not in chain)):
                history.fail("S3 a record does not follow the one before it")


def _same_everywhere(history: "History", phone: Phone, log: list[journal.Entry]) -> None:
    """S4, S12: each phone holds exactly what the base holds of its sites, byte for byte."""
    held = phone.store.records
    for site in [REFERENCE_SITE, *phone.sites]:
        if phone.store.aside:
            history.fail("S4 a phone set aside what the base sent")
        there = {entry.id: entry for entry in log if entry.site == site}
        here = {
            name for name, row in held.items()
            if row.site == site and row.state == "ok" and name not in phone.store.outbox
        }  # fmt: skip
        if here != set(there):
            history.fail(f"S4 a phone holds other records than the base: {len(here ^ set(there))}")
        for name in here & set(there):
            if held[name].envelope["p"] != to_base64url(there[name].payload):
                history.fail("S12 the bytes of a record differ")


def _at_rest(history: "History", ids: set[str]) -> None:
    """S5: every outbox is empty but for what was refused and what rests on something lost."""
    excused = history.lost | {row.id for row in apart()}
    rows = [row for phone in history.phones for row in phone.store.records.values()]
    registrations = {
        row.id: row.payload["person"] for row in rows if row.payload["kind"] == "person.registered"
    }
    for phone in history.phones:
        refused = {n: code for n, (state, code) in phone.store.outbox.items() if state == "refused"}
        excused |= refused.keys()
        given_up = [n for n, code in refused.items() if str(code).endswith(".unknown")]
        if any(_rests_on(phone.store.records[name].payload) <= ids for name in given_up):
            history.fail("S5 a record was given up although what it rests on has come")
    for phone in history.phones:
        waiting = [phone.store.records[name] for name in phone.store.outbox
                   if phone.store.outbox[name][0] == "waiting"]  # fmt: skip
        for row in sorted(waiting, key=lambda row: (row.kid, row.seq)):
            strangers = {registrations.get(name) for name in excused} - {None}
            about = {row.payload["person"], row.payload["body"].get("other")}
            if excused & _rests_on(row.payload) or about & strangers:
                excused.add(row.id)
                history.count("gaps")
            elif row.id in ids:
                history.fail("S5 a record waits although the base has it")
            else:
                code = phone.store.outbox[row.id][1]
                history.fail(f"S5 a record waits for nothing: {row.payload['kind']} {code}")


NAMED = (
    "target", "request", "question", "approval", "order", "compared", "implant", "label", "check",
    "theatre_check",
)  # fmt: skip
"""Fields that name a record which the base must have first."""


def _rests_on(payload: dict[str, Any]) -> set[str]:
    body = payload["body"]
    names = [payload["prev"], payload["replaces"]]
    names += [body.get(name) for name in NAMED]
    names += [*body.get("decisions", []), *body.get("seen", []), *body.get("readings", [])]
    names += body.get("shown", {}).get("evidence", [])
    return {name for name in names if name}


def _renewed(history: "History") -> None:
    """S5: a key that was given up is closed, unless something it signed cannot come."""
    for phone in history.phones:
        store = phone.store
        waits = any(store.records[one].kid == store.given_up for one in store.outbox)
        if store.given_up and not waits:
            history.fail("S5 a key that was given up is not closed although all of it arrived")
        for kid in set(phone.renounced) - {store.given_up}:
            device = devices.find(kid)
            is_open = device is None or device.state not in (devices.CLOSED, devices.REVOKED)
            # A closing that the restored base lost comes again only from a phone that heard of it.
            if is_open and history.closed.get(kid, installation.epoch()) == installation.epoch():
                history.fail("S2 a key that was given up is open at the base, and nobody closes it")
            history.count("closings_lost", int(is_open))


def _saved(history: "History") -> None:
    """S6: what a phone called saved is at the base, on a phone, or in the list of known losses."""
    here = at_base() | {name for phone in history.phones for name in phone.store.records}
    missing = {name for phone in history.phones for name in phone.saved} - here - history.lost
    if missing:
        history.fail(f"S6 saved, but nowhere: {len(missing)}")
    history.count("known_losses", len(history.lost))
