"""One phone: its exchanges, step by step, each ``yield`` a place where it may be killed.

The steps are those of ``static/sync``, in their order.
"""

from collections.abc import Generator
from typing import Any

from tests.simulation import base, putting_off, urgent_first
from tests.simulation.phone_records import Ask, RecordsOfPhone, Task
from tests.simulation.phone_store import PageRefused, Row, is_not_yet
from webapp.records.signing import DeskKey

REFERENCE_SITE = "all"


class Offline(Exception):
    """No answer came."""


class Phone(RecordsOfPhone):
    """A phone that exchanges with the base, renews its key, and puts people off."""

    def exchange(self) -> Task:
        """Exchange everything with the base once."""
        try:
            yield from self._exchange()
        except (Offline, PageRefused):
            return

    def _exchange(self) -> Task:
        answer = yield Ask("status", {})
        self.store.note_epoch(_given(answer)["epoch"])
        yield from self.push()
        for site in [REFERENCE_SITE, *self.sites]:
            yield from self.pull(site)
        yield from self.push()
        for person in [one for one, news in self.store.put_off.items() if news]:
            yield from self._fetch(person)

    def tidy(self, person: str, kept_s: float) -> Task:
        """Exchange, then put off somebody who is done with, as ``static/sync/tidy.js`` does."""
        try:
            yield from self._exchange()
        except (Offline, PageRefused):
            return
        yield None
        putting_off.put_off(self.store, person, base.Now.read(), kept_s)

    def fetch(self, person: str) -> Task:
        """Fetch somebody who was put off, as the button on the person's page does."""
        try:
            yield from self._fetch(person)
        except Offline:
            return

    def _fetch(self, person: str) -> Task:
        news = self.store.put_off.get(person)
        answer = _given((yield Ask("person", {"person": person})))
        if not answer["records"]:
            return
        yield None
        rows = [arrived(one) for one in answer["records"]]
        putting_off.take_back(self.store, person, answer["epoch"], rows, news)

    def renew(self, made: DeskKey) -> Task:
        """Give the key up for a new one, or go on with that, as ``static/sync/renew.js`` does.

        Args:
            made: the key that is to follow, unless one lies here from an earlier try.
        """
        try:
            if self.store.given_up is None:
                yield from self._change_over(made)
            yield from self._close_given_up()
        except Offline:
            return

    def _change_over(self, made: DeskKey) -> Task:
        self.store.next_key = self.store.next_key or made
        yield None
        answer = _given((yield Ask("name_key", {"key": self.store.next_key})))
        if answer["code"] or self.store.next_key is None:
            self.store.next_key = None
            raise Offline
        while self.keeping:
            yield None
        self.renounced.append(self.kid)
        self.use_key(self.store.take_next_key(self.kid))
        yield None

    def _close_given_up(self) -> Task:
        yield from self.exchange()
        old = self.store.given_up
        if old is None:
            return
        signed = self.store.heads.get(old, (0, ""))[0]
        answer = _given(
            (yield Ask("renewed", {"kid": old, "successor": self.kid, "signed": signed}))
        )
        # The answer to an earlier try was lost, or an administrator ended it.
        if answer["code"] in ("", "device.ended") and self.store.given_up == old:
            self.store.given_up = None

    def push(self) -> Task:
        """Send what waits; what rests on a record that is not there yet is offered again."""
        held_back: set[str] = set()
        sent = sent_before = 0
        while True:
            rows = [
                row
                for row in urgent_first.ordered(
                    self.store.sendable([*self.sites, REFERENCE_SITE]),
                    urgent_first.silent(self.store),
                )
                if row.id not in held_back
            ]
            batch = rows[: self.sizes.batch]
            if batch:
                yield None
                sent += yield from self._send(batch, held_back)
                continue
            if not held_back or sent == sent_before:
                return
            held_back.clear()
            sent_before = sent

    def _send(self, batch: list[Row], held_back: set[str]) -> Generator[Ask | None, Any, int]:
        answer = _given((yield Ask("push", {"records": [row.envelope for row in batch]})))
        self.store.note_epoch(answer["epoch"])
        answered, sent = set(), 0
        for receipt in answer["receipts"]:
            yield None
            self.take(receipt, answer["epoch"])
            answered.add(receipt["id"])
            if is_not_yet(receipt):
                held_back.add(receipt["id"])
            elif receipt["result"] != "refused":
                sent += 1
        held_back |= {row.id for row in batch} - answered
        return sent

    def take(self, receipt: dict[str, Any], epoch: str) -> None:
        """Take one receipt."""
        self.store.keep_receipt(receipt, epoch)
        if receipt["result"] != "refused":
            self.acknowledged.add((epoch, receipt["id"]))

    def pull(self, site: str) -> Task:
        """Fetch everything new of a site."""
        while True:
            after, epoch = self.store.cursors.get(site, 0), self.store.epoch
            yield None
            asked = {"site": site, "after": after, "limit": self.sizes.page}
            page = _given((yield Ask("pull", {**asked, "epoch": int(epoch) if epoch else None})))
            if page["restart"]:
                if not self.store.note_epoch(page["epoch"]):
                    return
                continue
            yield None
            if not self.store.store_page(
                {**page, "records": [arrived(one) for one in page["records"]]}
            ):
                return
            if page["to"] >= page["head"] or not page["records"]:
                return


def arrived(sent: dict[str, Any]) -> Row:
    """Return a record of a page as it is stored."""
    envelope = {name: sent[name] for name in ("p", "kid", "sig")}
    record_id, payload = base.open_row(envelope)
    return Row(
        record_id,
        sent["kid"],
        payload["seq"],
        payload["site"],
        envelope,
        payload,
        sent["n"],
        "ok",
        sent["received_at"],
    )


def _given(answer: dict[str, Any] | None) -> dict[str, Any]:
    if answer is None:
        raise Offline
    return answer
