"""Mutants of the back-up lens: one check removed each, and why it is there."""

from tests.mutants.mutant import Mutant, always, never

FOLD, BOXES = "webapp/core/case/backup.py", "webapp/core/case/boxes.py"
MADE, SURGERY = "webapp/core/case/decisions.py", "webapp/core/case/theatre_surgery.py"
ADMIT, AGAIN = "webapp/flow/admission_backup.py", "webapp/flow/recheck.py"
FOLDED, KEPT = ("tests/core/test_backup.py",), ("tests/flow/test_backup.py",)

BACKUPS = (
    Mutant("backup.both_released", "both lenses are released at once (H29, I2)", BOXES,
           "verified = whole[-1] if whole and released and may_be_released(pair, order) else None",
           "verified = whole[-1] if whole and released else None", FOLDED),
    Mutant("backup.chosen_stays", "the chosen lens stays released beside its back-up", FOLD,
           "        return not pair.said\n", "        return True\n", FOLDED),
    Mutant("backup.by_no_check", "a release that names no check of the chosen lens counts", FOLD,
           "is_named = record.body[\"order\"] == backup.id and bool(checks)",
           "is_named = record.body[\"order\"] == backup.id", FOLDED),
    Mutant("backup.other_hands", "a key in other hands releases a lens", FOLD,
           " and not is_doubted(exam.reference.revoked_keys, record)", "", FOLDED),
    Mutant("backup.anybody", "whoever signs releases the back-up", MADE,
           'in_display_order(by_surgeon("backup.released"))',
           'in_display_order(of_kind(live, "backup.released", eye))', FOLDED),
    Mutant("backup.alone", "a back-up outlives the order of its chosen lens", MADE,
           'ends = (order.id, order.body.get("backup_of"))', "ends = (order.id,)", FOLDED),
    Mutant("backup.twice_one", "one of two back-up orders is released", FOLD,
           "backup = backups[0] if len(backups) == 1 else None",
           "backup = backups[0] if backups else None", FOLDED),
    Mutant("backup.wrong_lens", "a back-up of another lens than was signed goes unseen (D24)",
           "webapp/core/case/casefile.py",
           *always('if order.body.get("backup_of") is None:'), FOLDED),
    Mutant("backup.contradiction", "two surgeons differ in the back-up, unseen (I9)",
           "webapp/core/case/settling.py",
           'return chosen + ("" if backup is None else "|back-up|" + lens_key(backup))',
           "return chosen", FOLDED),
    Mutant("backup.implanted", "the other one of two lenses is implanted, unsaid (I21)", SURGERY,
           "        told += other_of_two(exam, implant.entry)\n", "", FOLDED),
    Mutant("backup.offered", "a lens that the plan does not offer is ordered as a back-up", AGAIN,
           *never('if backup is not None and backup not in plan.get("backups", []):'), KEPT),
    Mutant("backup.ordered_lens", "another lens than the approval's back-up is ordered", ADMIT,
           *never('if approval is None or ledger.body_of(approval.id).get("backup") != '
                  'body["lens"]:'), KEPT),
    Mutant("backup.ordered_alone", "a back-up is ordered beside no chosen lens", ADMIT,
           *never('if not ledger.stands(body["backup_of"], person, eye):'), KEPT),
    Mutant("backup.ordered_twice", "two back-ups are ordered for one eye (I2)", ADMIT,
           *never("if ledger.has_live_order(person, eye, is_backup=True):"), KEPT),
    Mutant("order.given_back", "an order given back in one batch with the end of another is lost",
           "webapp/flow/orders_here.py",
           *never('if kind == "order.cancelled":'), ("tests/flow/test_orders_given_back.py",)),
    Mutant("backup.other_pair", "a release names the order of another pair (I16)", ADMIT,
           *never('if backup.get("backup_of") != body["instead_of"]:'), KEPT),
    Mutant("backup.other_check", "a release names a check of another lens", ADMIT,
           *never('if checked["order"] != body["instead_of"]:'), KEPT),
    Mutant("backup.cancelled", "the back-up stands after its chosen lens was cancelled",
           "webapp/flow/order.py", *never("if backup is not None:"), KEPT),
)  # fmt: skip
