"""Mutants of joining two registrations of one person (I17)."""

from tests.mutants.mutant import Mutant, never

ADMIT, LIVE = "webapp/flow/admission_joining.py", "webapp/core/live.py"
CORE, FLOW = ("tests/core/test_joining.py",), ("tests/flow/test_joining.py",)
PHONE = ("js:tests/js/store/joined.test.js",)

JOINING = (
    Mutant("joining.two_people", "one person judges and joins", ADMIT,
           *never('if compared.author == payload["author"]:'), FLOW),
    Mutant("joining.taken_back", "a judgement that was taken back joins", ADMIT,
           "        or compared.id in ledger.superseded\n", "", FLOW),
    Mutant("joining.two_orders", "two orders that stand become one case (I17)", ADMIT,
           *never("if len(live) > 1:"), FLOW),
    Mutant("joining.two_lenses", "two lenses in one eye become one case", ADMIT,
           *never("if len(standing) > 1:"), FLOW),
    Mutant("joining.third_camp", "a joined person is read at a third camp",
           "webapp/flow/casefile.py",
           *never("if not any(actor.may_read(row.site) for row in rows):"), FLOW),
    Mutant("joining.kept_fold", "a kept fold outlives the other half's new reading",
           "webapp/flow/storing.py", "cases.mark_changed(joined.with_others(people))",
           "cases.mark_changed(people)", FLOW),
    Mutant("joining.half_order", "an order under the other registration does not count (I2)",
           "webapp/flow/order_conditions.py",
           "people = sorted({entry.person for entry in entries if entry.person})",
           'people = [entries[0].person or ""] if entries else []', FLOW),
    Mutant("joining.filed_apart", "a withdrawal under the other registration takes nothing back",
           "webapp/flow/admission_plan.py",
           *never('if target.person != payload["person"]:'), FLOW),
    Mutant("joining.evidence", "an approval from before a joining stands", LIVE,
           " or entry.kind == JOINED\n", "\n", CORE),
    Mutant("joining.void", "a joining is withdrawn as if it were a reading", LIVE,
           'NOT_VOID = ("person.merged", ', "NOT_VOID = (", CORE),
    Mutant("joining.half", "half a person is planned", "webapp/core/rules/joined.py",
           "return not_here(exam.standing.live) + differing", "return differing", CORE),
    Mutant("joining.differ", "what two registrations say otherwise is passed over",
           "webapp/core/rules/joined.py", " + differing(exam.standing.live)", "", CORE),
    Mutant("joining.registration", "an order is made under the later registration",
           "webapp/core/case/approval.py", "    found += other_registration(exam, approval)\n",
           "", CORE),
    Mutant("joining.phone_half", "the phone folds half a person", "static/store/journal.js",
           "const registrations = await registrationsOf(person);",
           "const registrations = [person];", PHONE),
    Mutant("joining.phone_filed", "a phone files a withdrawal where it takes nothing back",
           "static/store/journal.js", "if (!about) return asked;", "if (about) return asked;",
           PHONE),
    Mutant("joining.phone_put_off", "half of a joined person is taken off a phone",
           "static/store/put_off.js", "!isOld || isJoined ||", "!isOld ||",
           ("js:tests/js/store/put_off.test.js",)),
    Mutant("joining.phone_apart", "a phone goes on joining what was separated",
           "static/store/joined.js", "kind === MERGED && !ended.has(id)", "kind === MERGED", PHONE),
)  # fmt: skip
