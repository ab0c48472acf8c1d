"""The list of mutants: one check of the approval or the exchange removed each, and why it is there.

A mutant replaces a text that stands exactly once in its file. ``killers`` names what should notice,
the likeliest first; the first that fails has caught it.
"""

from typing import NamedTuple

CASE, HANDS = "webapp/core/case/approval.py", "webapp/core/case"
PLAN, ADMIT = "webapp/flow/admission_plan.py", "webapp/flow/admission.py"
ORDER, WAYS = "webapp/flow/order_conditions.py", "webapp/flow"
STORE, SYNC = "static/store", "static/sync"

CORE = ("tests/core/test_casefile.py", "tests/core/test_settling.py", "tests/core/test_late.py")
FOLD = (*CORE, "tests/core/test_adopted_models.py", "tests/core/test_fellow_outcome.py", "machine")
RECEIVE = ("tests/flow/test_receive.py", "tests/flow/test_kept_apart.py", "simulation")
RECORDS = ("tests/flow/test_plan_records.py", "tests/flow/test_contradictions.py", *RECEIVE)
ORDERS = ("tests/flow/test_order.py", "tests/flow/test_contradictions.py", "simulation", "machine")
GAPS = ("tests/flow/test_chain_gaps.py", *RECEIVE)
PULL = ("tests/sync/test_routes.py", "simulation")
PHONE = ("js:tests/js/store/*.test.js", "js:tests/js/sync/*.test.js")


class Mutant(NamedTuple):
    """One check taken out."""

    name: str
    why: str
    """What the check keeps from happening."""
    path: str
    old: str
    new: str
    killers: tuple[str, ...]


def _never(condition: str) -> tuple[str, str]:
    """Return the replacement of a condition by one that is never true."""
    return condition, "if False:"


MUTANTS = (
    Mutant("approval.withdrawn", "an approval that was taken back stands (I13)", CASE,
           *_never("if approval in made.taken_back:"), FOLD),
    Mutant("approval.settled", "an approval that a settlement set aside stands (I18)", CASE,
           "    found += settled_against(made, approval)\n", "", FOLD),
    Mutant("approval.role", "somebody who is no surgeon approves (I3)", CASE,
           *_never('if approval.role != "surgeon":'), FOLD),
    Mutant("approval.eye", "what was signed is of the other eye (I16)", CASE,
           *_never('if shown["eye"] != approval.eye or shown["person"] != approval.person:'), FOLD),
    Mutant("approval.request", "the request was taken back", CASE, *_never("if not named:"), FOLD),
    Mutant("approval.own_reading", "the surgeon measured this eye (I3)", CASE,
           "if own or any(one.author == approval.author for one in named):",
           "if any(one.author == approval.author for one in named):", FOLD),
    Mutant("approval.own_request", "the surgeon asked for the plan (I3)", CASE,
           "if own or any(one.author == approval.author for one in named):", "if own:", FOLD),
    Mutant("approval.digest", "an approval that does not say what it signs", CASE,
           *_never('if not is_digest(approval.body["digest"]):'), FOLD),
    Mutant("approval.evidence", "a reading came or went after the approval (I7, I14)", CASE,
           '    found += changes(exam, shown["evidence"], approval, "this approval")\n', "", FOLD),
    Mutant("approval.fellow", "the first eye came out otherwise", CASE,
           "    found += fellow_changes(exam, shown)\n", "", FOLD),
    Mutant("approval.catalogue", "another catalogue is in force (I12)", CASE,
           *_never('if shown["catalogue"] != exam.reference.catalogue_id:'), FOLD),
    Mutant("approval.limits", "other limits are in force (I12)", CASE,
           *_never('if shown["limits"] != exam.reference.limits_id:'), FOLD),
    Mutant("approval.vault_model", "another vault model speaks for the eye", CASE,
           "    found += vault_model_changed(exam, shown)\n", "", FOLD),
    Mutant("approval.lens", "the lens is in no catalogue any more (H47)", CASE,
           *_never("if not is_available(exam.reference.models, lens):"),
           FOLD),
    Mutant("approval.fixed_stop", "a stop that nobody may override stands", CASE,
           "found += never_overridden(findings) + new", "found += new",
           FOLD),
    Mutant("approval.new_finding", "a new caution stands that nobody signed", CASE,
           " + new_findings(shown, findings)", "", FOLD),
    Mutant("approval.stop_reason", "a stop without a written reason (I25)", CASE,
           'if one["level"] == "stop" and code not in overridden:', "if False:", FOLD),
    Mutant("approval.caution", "a caution that was not acknowledged (I25)", CASE,
           'if one["level"] == "caution" and code not in acknowledged:', "if False:", FOLD),
    Mutant("approval.read", "a plan that was not read to its end (H24)", CASE,
           *_never('if approval.body["read_to_end"] != 1:'), FOLD),
    Mutant("approval.question", "a question is open", CASE,
           *_never('if approval.body["request"] in asked_about:'), FOLD),
    Mutant("approval.spent", "an approval serves twice", CASE,
           *_never("if approval.id in made.spent:"), FOLD),
    Mutant("state.two_orders", "two live orders pass unseen (I2)", f"{HANDS}/state.py",
           *_never("if len(live_orders(made)) > 1:"), FOLD),
    Mutant("state.lenses", "approvals that name different lenses pass (I9)",
           f"{HANDS}/state.py", *_never("if against:"), FOLD),
    Mutant("state.declined", "a decline beside an approval passes (I9)", f"{HANDS}/settling.py",
           "if against or len(", "if len(", FOLD),
    Mutant("order.not_live", "an order without a live approval (I1)", ORDER,
           'if approval["live"] and this_eye["state"] == "approved":', "if True:", ORDERS),
    Mutant("order.approver", "the approver is no surgeon here any more (I3)", ORDER,
           "return Condition(held, text", "return Condition(True, text", ORDERS),
    Mutant("order.key", "the approver's key was revoked (I8)", ORDER,
           "return Condition(good, text", "return Condition(True, text", ORDERS),
    Mutant("order.plan", "the plan comes out otherwise here (H18, H19)", ORDER,
           "return Condition(check.is_good,", "return Condition(True,", ORDERS),
    Mutant("order.newest", "an order from another approval than the one that counts",
           f"{WAYS}/order.py", 'if approval is None or approval["id"] != approval_id:',
           "if approval is None:", ORDERS),
    Mutant("order.once", "the same order asked for twice (H26)", f"{WAYS}/order.py",
           "if placed is not None and (placed.person", "if False and (placed.person", ORDERS),
    Mutant("admit.gap", "a record whose forerunner is missing", ADMIT,
           *_never("if offered > seq + 1:"), GAPS),
    Mutant("admit.fork", "two records at one place of a chain (S3)", ADMIT,
           *_never("if offered <= seq or prev != newest:"), GAPS),
    Mutant("admit.late", "a record that was declared lost comes in by itself", ADMIT,
           "if not ledger.is_adopted(record):\n        raise", "if False:\n        raise", GAPS),
    Mutant("admit.revoked", "a record of a revoked key (S11)", f"{WAYS}/admission_key.py",
           *_never("if device.state == REVOKED:"), RECEIVE),
    Mutant("admit.author", "a record in another's name", ADMIT,
           *_never('if not is_desk and device.user != payload["author"]:'), RECEIVE),
    Mutant("admit.signer", "a phone signs what only the desk may", ADMIT,
           *_never('if not may_sign(payload["kind"], "desk" if is_desk else "device"):'), RECEIVE),
    Mutant("admit.site", "a record of a site that is not the carrier's", ADMIT,
           *_never("if carrier is not None and not carrier.may_read(site):"), RECEIVE),
    Mutant("admit.role", "a role that is not held", ADMIT, *_never("if not held:"), RECEIVE),
    Mutant("admit.elsewhere", "a person who belongs to another camp", ADMIT,
           *_never('if site is not None and site != payload["site"]:'), RECEIVE),
    Mutant("admit.replaces_other", "a correction of another quantity or eye (I16)", ADMIT,
           *_never('if same != (payload["kind"], payload["person"], payload["eye"]):'), RECEIVE),
    Mutant("admit.not_own", "somebody takes another's reading out", ADMIT,
           *_never('if author != payload["author"] and not anyone:'), RECEIVE),
    Mutant("admit.not_live", "a record is replaced twice", ADMIT,
           *_never("if target_id in ledger.superseded:"), RECEIVE),
    Mutant("plan.own_request", "a request approved by who made it (I3)", PLAN,
           *_never('if request.author == payload["author"]:'), RECORDS),
    Mutant("plan.own_reading", "an approval by who measured (I3)", PLAN,
           *_never('if any(fact.author == payload["author"] for fact in readings):'), RECORDS),
    Mutant("plan.future", "a plan of a day to come (H20)", PLAN,
           *_never("if as_of > tomorrow:"), RECORDS),
    Mutant("plan.reference", "a plan that names a catalogue that is not here", PLAN,
           *_never("if ledger.find(shown[field], kind) is None:"), RECORDS),
    Mutant("plan.evidence_other", "a plan on another person's reading (I16)", PLAN,
           'if fact.person != payload["person"] or fact.eye not in (None, payload',
           'if False and fact.eye not in (None, payload', RECORDS),
    Mutant("plan.settle_own", "somebody settles a contradiction of their own (I18)", PLAN,
           *_never('if decision.author == payload["author"]:'), RECORDS),
    Mutant("plan.order_twice", "a second live order for an eye (I2)", PLAN,
           *_never('if ledger.has_live_order(payload["person"], payload["eye"]):'),
           (*ORDERS, "tests/flow/test_plan_records.py")),
    Mutant("receive.signature", "a forged record", f"{WAYS}/opening.py",
           "        verify(bytes(device.spki), record.payload_bytes, record.signature)\n",
           "        pass\n", RECEIVE),
    Mutant("receive.known", "a record is stored twice (S1)", f"{WAYS}/judging.py",
           *_never("if one.id in ledger.known:"), RECEIVE),
    Mutant("receive.place", "a refused record takes no place, so that all after it wait",
           f"{WAYS}/judging.py", "        ledger.take_place(record)\n", "        pass\n", RECEIVE),
    Mutant("receive.left", "a record that was left apart comes in", f"{WAYS}/judging.py",
           *_never('if ledger.decided.get(record.id) == "leave":'), RECEIVE),
    Mutant("receive.left_place", "what was left apart keeps all after it waiting",
           f"{WAYS}/judging.py", "if refusal.code != DECIDED or not had_place:",
           "if refusal.code != DECIDED:", RECEIVE),
    Mutant("receive.batch", "a batch without end", f"{WAYS}/receive.py",
           *_never("if len(envelopes) > LARGEST_BATCH:"), (*RECEIVE, "tests/sync/test_routes.py")),
    Mutant("pull.restart", "a phone's cursor of an earlier life is believed", f"{WAYS}/pull.py",
           *_never("if reader_epoch not in (None, now_epoch):"), PULL),
    Mutant("pull.site", "somebody reads another camp", f"{WAYS}/pull.py",
           '    actor.require_site(site, "site")\n', "", PULL),
    Mutant("pull.order", "numbers of a site do not rise one by one", "webapp/store/journal.py",
           "        heads[entry.site] += 1\n", "        heads[entry.site] += 2\n", PULL),
    Mutant("restore.desk_key", "the desk signs in the place of what a restore lost",
           f"{WAYS}/desk_key.py", "    path.rename(path.with_name(", "    str(path.with_name(",
           ("tests/access/test_restored.py",)),
    Mutant("phone.joins_on", "a late page moves the cursor past what was never stored",
           f"{STORE}/pages.js",
           "if (epoch?.value !== page.epoch || (cursor?.n ?? 0) !== page.from) return false;",
           "if (epoch?.value !== page.epoch) return false;", PHONE),
    Mutant("phone.page_epoch", "a page of the base's earlier life is stored", f"{STORE}/pages.js",
           "if (epoch?.value !== page.epoch || (cursor?.n ?? 0) !== page.from) return false;",
           "if ((cursor?.n ?? 0) !== page.from) return false;", PHONE),
    Mutant("phone.dense", "a page with a gap is stored", f"{STORE}/pages.js",
           "  requireDense(page);\n  const read =", "  const read =", PHONE),
    Mutant("phone.misfit", "a fork of a chain is stored", f"{STORE}/pages.js",
           "const reason = row ? await misfit(records, row, prev) : why;", "const reason = why;",
           PHONE),
    Mutant("phone.offers_again", "after a restore nothing is offered again (H43)",
           f"{STORE}/pages.js",
           "    await offerAllAgain(transaction.objectStore(\"records\"), "
           "transaction.objectStore(\"outbox\"));\n", "", PHONE),
    Mutant("phone.reads_again", "after a restore the cursors stay", f"{STORE}/pages.js",
           '    await transaction.objectStore("cursors").clear();\n', "", PHONE),
    Mutant("phone.late_receipt", "a receipt of an earlier life empties the outbox (S2)",
           f"{STORE}/outbox.js", "if (present?.value !== epoch) return null;", "", PHONE),
    Mutant("phone.receipt_alone", "the outbox is emptied by sending", f"{SYNC}/push.js",
           "  await countTry(batch);\n",
           "  await countTry(batch);\n"
           "  const epochNow = (await readFact(\"epoch\")) ?? \"\";\n"
           "  for (const { id } of batch) "
           "await keepReceipt({ id, result: \"stored\", n: 0, reason: null }, epochNow);\n", PHONE),
    Mutant("phone.refused_leaves", "a refused record vanishes from the list", f"{STORE}/outbox.js",
           'if (receipt.result === "refused") {', "if (isNotYet(receipt)) {", PHONE),
    Mutant("phone.not_yet", "what waits for another counts as refused", f"{STORE}/outbox.js",
           'return { ...row, state: isNotYet(receipt) ? "waiting" : "refused", code, note };',
           'return { ...row, state: "refused", code, note };', PHONE),
    Mutant("phone.two_tabs", "two tabs write at one place of the chain", f"{STORE}/journal.js",
           "if ((head?.seq ?? 0) !== row.seq - 1) throw new HeadMoved();", "", PHONE),
    Mutant("phone.head_moves", "the head of the chain stays where it was", f"{STORE}/journal.js",
           "    await heads.put({ kid: row.kid, seq: row.seq, id: row.id });\n", "", PHONE),
    Mutant("phone.reads_back", "saved is said without looking", f"{STORE}/journal.js",
           "      await readBack(row);\n", "", PHONE),
    Mutant("phone.foreign_site", "records behind one of a foreign site are sent before it",
           f"{SYNC}/push.js", "if (!sites.includes(site)) stopped.add(kid);", "", PHONE),
    Mutant("phone.verifies", "what the base sends is not verified", f"{STORE}/pages.js",
           '  await verifyRecord(record, fromBase64url(key.spki, "spki"));\n', "", PHONE),
    Mutant("phone.honest_keys", "a key that is not its own hash is kept", f"{STORE}/keys.js",
           "return (await keyId(fromBase64url(spki, \"spki\"))) === kid;", "return true;", PHONE),
)  # fmt: skip
