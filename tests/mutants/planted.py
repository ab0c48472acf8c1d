"""Faults that such an exchange may have, planted: the simulation alone has to find each.

Those of a phone are planted in the model that the simulation runs, whose promise to be the
browser's code ``tests/vectors/phone_model.json`` holds; the browser's own mutants stand elsewhere.
"""

from tests.mutants.mutant import Mutant, never

STORE, PHONE = "tests/simulation/phone_store.py", "tests/simulation/phone.py"
FLOW = "webapp/flow"
FOUND, OPERATED = ("planted",), ("operated",)

PLANTED = (
    Mutant("planted.two_tabs", "two tabs take the same place of a chain", STORE,
           *never('if self.heads.get(row.kid, (0, ""))[0] != row.seq - 1:'), FOUND),
    Mutant("planted.head_apart", "a record is kept in one transaction, its head in another",
           "tests/simulation/phone_records.py",
           "                if self.store.keep(row):\n",
           "                heads = dict(self.store.heads)\n"
           "                kept = self.store.keep(row)\n"
           "                after, self.store.heads = self.store.heads, heads\n"
           "                yield None\n"
           "                self.store.heads.update({row.kid: after[row.kid]} if kept else {})\n"
           "                if kept:\n", FOUND),
    Mutant("planted.sent_is_gone", "the outbox is emptied by sending", PHONE,
           "            if batch:\n                yield None\n",
           "            if batch:\n                yield None\n"
           "                for row in batch:\n"
           "                    self.store.outbox.pop(row.id, None)\n", FOUND),
    Mutant("planted.cursor_first", "the cursor moves before the records are stored", PHONE,
           "            if not self.store.store_page(\n"
           '                {**page, "records": [arrived(one) for one in page["records"]]}\n'
           "            ):\n"
           "                return\n",
           '            known = (self.store.epoch, self.store.cursors.get(site, 0))\n'
           '            if known != (page["epoch"], after):\n'
           "                return\n"
           '            self.store.cursors[site] = page["to"]\n'
           "            yield None\n"
           '            for one in page["records"]:\n'
           "                self.store.take_in(site, arrived(one))\n", FOUND),
    Mutant("planted.twice", "a record that came before is stored again", f"{FLOW}/judging.py",
           *never("if one.id in ledger.known:"), FOUND),
    Mutant("planted.gap", "a record is stored though the one before it is missing",
           f"{FLOW}/admission.py",
           "    if offered > seq + 1:\n"
           '        raise Refused("chain.gap", "An earlier record of this device is missing here.'
           ' Send again.")\n'
           "    if offered <= seq or prev != newest:\n",
           "    if offered <= seq or (offered == seq + 1 and prev != newest):\n", FOUND),
    Mutant("planted.not_offered", "after a restore nothing is offered again", STORE,
           *never('if row.state == "ok" and row.id not in self.outbox:'), FOUND),
    Mutant("planted.page_gap", "a late page moves the cursor past what never came", STORE,
           'if self.epoch != page["epoch"] or self.cursors.get(page["site"], 0) != start:',
           'if self.epoch != page["epoch"]:', FOUND),
    Mutant("planted.carrier", "a record is held to the chain of who carries it, not of its key",
           f"{FLOW}/judging.py", "admission.takes_place(record, ledger):",
           "admission.takes_place(\n"
           "        record if carrier is None or carrier.user_id == device.user\n"
           "        else record._replace(kid=carrier.user_id), ledger\n"
           "    ):", FOUND),
    Mutant("planted.orphan", "a page that does not join on is stored all the same", STORE,
           "start:\n            return False\n",
           "start:\n            for row in rows:\n"
           '                self.take_in(page["site"], row)\n'
           "            return False\n", ("kept",)),
    Mutant("planted.two_orders", "a joining makes one case of two orders (I17)",
           f"{FLOW}/admission_joining.py", *never("if len(live) > 1:"), FOUND),
    Mutant("planted.own_judgement", "one person alone joins two registrations",
           f"{FLOW}/admission_joining.py", *never('if compared.author == payload["author"]:'),
           FOUND),
    Mutant("planted.separation", "a separation does not give each half back what it was",
           "webapp/core/live.py",
           'return bool(later.body.get("target") == earlier.id and earlier.kind == JOINED)',
           "return False", FOUND),
    Mutant("planted.part", "a newer record of somebody who was put off is stored alone", STORE,
           "            self.put_off[person] += 1\n            return\n",
           "            self.put_off[person] += 1\n", FOUND),
    Mutant("planted.part_kept", "something is recorded of somebody who was put off meanwhile",
           STORE, *never("if row.payload[\"person\"] in self.put_off:"), FOUND),
    Mutant("planted.urgent_waits", "a reading that cannot wait is sent when its turn comes",
           "tests/simulation/urgent_first.py", "    return [*before, *(row",
           "    return rows or [*before, *(row", OPERATED),
    Mutant("planted.urgent_ends", "a surgery is withdrawn from around a reading that cannot wait",
           f"{FLOW}/admission_urgent.py", *never("if lost:"), OPERATED),
    Mutant("planted.urgent_told", "a reading that somebody was told of waits for no answer",
           "webapp/core/follow_up/urgent.py", '"open": 0 if answered else 1',
           '"open": 0 if answered or told else 1', OPERATED),
    Mutant("planted.urgent_apart", "what cannot wait is on no list once its surgery is withdrawn",
           f"{FLOW}/urgent_apart.py",
           "stored = [entry for entry in entries if not _withdraws(entry, surgeries)]",
           "stored = entries", OPERATED),
    Mutant("planted.dead_order", "a lens of a cancelled order is implanted, unsaid (I1)",
           "webapp/core/case/theatre_surgery.py",
           "        told += not_to_be(exam, implant.entry)\n", "", OPERATED),
    Mutant("planted.unanswered", "a lens is implanted beside a late reading, unsaid (H23)",
           "webapp/core/case/theatre_surgery.py",
           "        told += unanswered(exam, implant.entry)\n", "", OPERATED),
    Mutant("planted.other_serial", "a surgery names the check of another lens (I21)",
           f"{FLOW}/admission_theatre.py",
           *never('if wrong is not None and wrong["field"] is not None:'), OPERATED),
    Mutant("planted.doubted_box", "a box is released though it was stopped (I19)",
           "webapp/core/case/boxes.py",
           "[one for one in agreed if all(each.id in one.body[\"seen\"] for each in doubts)]",
           "agreed", OPERATED),
)  # fmt: skip
"""The first ten were found by a first model of this exchange, in twenty thousand histories."""
