"""What the network does to outboxes, and what a forger tries on it."""

from random import Random
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests.approval_machine.people import ALL, SURGEONS, People
from tests.approval_machine.reached import REACHED
from tests.approval_machine.world import EYE, PERSON, Device, fold_of, payloads
from webapp.flow.calculation import as_entry
from webapp.records.envelope import digest_of, open_envelope, seal
from webapp.records.errors import BadRecord
from webapp.store import journal

HOW = ("whole", "part", "lost", "twice")
"""What becomes of an outbox that is sent."""


class Network(People):
    """The way from the phones to the base and back."""

    revoked: set[str]
    """Ids of keys that were revoked."""
    wrong: list[str]
    """What must not have happened and did."""

    @rule(name=st.sampled_from(ALL), how=st.sampled_from(HOW))
    def push_so(self, name: str, how: str) -> None:
        """Send the outbox as the network will have it."""
        self.push(name, how)

    def push(self, name: str, how: str) -> None:
        """Send the outbox: whole, its beginning, without hearing the answer, or twice in one."""
        phone = self.phones[name]
        batch = phone.outbox[:1] if how == "part" else list(phone.outbox)
        if how == "twice":
            batch = [one for each in batch for one in (each, each)]
        if not batch:
            return
        receipts = self._handed_in(phone, batch)
        if how == "lost":
            REACHED["lost acknowledgement"] += 1
        else:
            phone.acknowledge(receipts)
        REACHED["sent twice"] += how == "twice"

    @rule(name=st.sampled_from(ALL), seed=st.integers(0, 99))
    def push_out_of_order(self, name: str, seed: int) -> None:
        """Send the outbox shuffled; what cannot follow is refused and stays to be sent again."""
        phone = self.phones[name]
        if len(phone.outbox) < 2:
            return
        batch = list(phone.outbox)
        Random(seed).shuffle(batch)  # noqa: S311 - a shuffle, no secret
        receipts = self._handed_in(phone, batch)
        chain = ("chain.gap", "chain.fork")
        phone.acknowledge(
            [one for one in receipts if one.reason is None or one.reason.code not in chain]
        )
        REACHED["out of order"] += 1

    def _handed_in(self, phone: Device, batch: list[dict[str, str]]) -> list[Any]:
        known = set(payloads())
        receipts = phone.push(batch)
        for receipt in receipts:
            REACHED["refused at the base"] += receipt.result == "refused"
            code = receipt.reason.code if receipt.reason else ""
            REACHED["refused as revoked"] += code == "key.revoked"
            if receipt.result == "stored" and phone.kid in self.revoked:
                self.wrong.append("I8: a revoked key's record was stored")
            if receipt.result == "known" and receipt.id not in known | set(payloads()):
                self.wrong.append("I10: acknowledged and not here")
        return receipts

    @rule(name=st.sampled_from(ALL))
    def pull(self, name: str) -> None:
        """Fetch; with nothing waiting the phone shows what the base shows."""
        phone = self.phones[name]
        phone.pull()
        entries = journal.entries_of_person(PERSON)
        if phone.held.keys() == {one.id for one in entries}:
            here, there = phone.fold(), fold_of([as_entry(one) for one in entries])
            assert here == there, "I23: phone and base differ"
            REACHED["phones agree"] += 1

    @rule(name=st.sampled_from(SURGEONS), victim=st.sampled_from(SURGEONS),
          how=st.sampled_from(("lens", "author", "key", "signature", "eye", "digest")))  # fmt: skip
    def forge(self, name: str, victim: str, how: str) -> None:
        """Hand in an approval with something of it changed; nothing of it may ever count."""
        phone, other = self.phones[name], self.phones[victim]
        eye = phone.fold()
        if eye["request"] is None:
            return
        body = self._approval(phone, eye["request"]["id"], other=False)
        if body is None:
            return
        payload = phone.payload("plan.approval", EYE, body)
        envelope = self._forged(phone, other, payload, how)
        if envelope is None:
            return
        REACHED["forged"] += 1
        (receipt,) = phone.push([envelope])
        if receipt.result == "stored":
            self.wrong.append("T5: a forged approval was stored, " + how)

    def _forged(
        self, phone: Device, other: Device, payload: dict[str, Any], how: str
    ) -> dict[str, str] | None:
        body, shown = payload["body"], payload["body"]["shown"]
        if how == "digest":
            payload = {**payload, "body": {**body, "digest": "0" * 64}}
        elif how == "eye":
            payload = {**payload, "eye": "L"}
        elif how in ("author", "key") and phone is not other:
            one = {"author": other.actor.user_id} if how == "author" else {"key": other.kid}
            payload = {**payload, **one}
        elif how in ("lens", "signature"):
            length_um = 13000 if shown["lens"]["length_um"] != 13000 else 12500
            shown = {**shown, "lens": {**shown["lens"], "length_um": length_um}}
            changed = {**payload, "body": {**body, "shown": shown, "digest": digest_of(shown)}}
            # The bytes of one record under the signature of another.
            good = _sealed(payload, phone)
            bad = _sealed(changed, phone)
            return None if good is None or bad is None else {**bad, "sig": good["sig"]}
        else:
            return None
        envelope = _sealed(payload, phone)
        if envelope is not None and how == "author":
            # The chain has its place taken even by a refused record.
            phone.seq, phone.prev = payload["seq"], open_envelope(envelope).id
        return envelope


def _sealed(payload: dict[str, Any], phone: Device) -> dict[str, str] | None:
    """Seal a payload as a changed phone would, whatever its form allows."""
    try:
        return seal(payload, phone.key)
    except BadRecord:
        # What cannot even be written is no forgery.
        return None
