"""Mutants of lenses that lie in one eye in turn, and of what ends each: one check removed each."""

from tests.mutants.mutant import Mutant, never

LENSES, LATE = "webapp/core/case/implants.py", "webapp/core/case/late.py"
ADMIT, OUT = "webapp/flow/admission_surgery.py", "webapp/flow/admission_lens.py"
DECIDED = "webapp/flow/admission_exchange.py"
RULES, STANDS = "webapp/records/rules/surgery.py", "webapp/core/case/exchanging.py"
FOLD, ORDERED = ("tests/core/test_linked_lenses.py",), ("tests/core/test_exchange_ordered.py",)
TWO, KINDS = ("tests/flow/test_two_lenses.py",), ("tests/records/test_kinds.py",)
TAKEN_OUT = ("tests/flow/test_lens_out.py",)
AGAIN = ("tests/flow/test_lens_again.py",)
ABOUT = ("tests/flow/test_exchange_decided.py",)

LENSES_IN_TURN = (
    Mutant("together.state", "two lenses lay in one eye together, and it goes on",
           "webapp/core/case/surgery.py",
           *never("if beside_another(implants(exam.standing, exam.this.eye)):"), FOLD),
    Mutant("together.said", "nobody is told of two lenses at one time",
           "webapp/core/rules/after_surgery.py", *never("if together:"), FOLD),
    Mutant("together.only", "one of two contradicting lenses is decided about", LENSES,
           "if len(now) == 1 and not beside_another(found) else None", "if len(now) == 1 else None",
           FOLD),
    Mutant("together.one_day", "one operation told in two records contradicts itself", LENSES,
           "day_of(later.entry)) >= 0", "day_of(later.entry)) > 0",
           FOLD),
    Mutant("together.fellow", "a lens of an eye that contradicts itself teaches the other eye",
           "webapp/core/plan/fellow_outcome.py",
           "return bool(lenses) and not beside_another(lenses)", "return bool(lenses)", FOLD),
    Mutant("together.in_its_time", "a lens goes in while another one, out by now, lay there", ADMIT,
           "other_out is not None and other_out <= day", "other_out is not None",
           TWO),
    Mutant("together.late", "an older surgery that comes late can be named by nobody", ADMIT,
           " and not _comes_late(payload, before, one):", ":", TWO),
    Mutant("together.older", "a correction makes a later surgery the older one (I2)", ADMIT,
           "max(days) < other.operated", "min(days) < other.operated", TWO),
    Mutant("together.mended", "two that contradict each other cannot be mended", OUT,
           " and not _contradict(payload, ledger):", ":", TWO),
    Mutant("together.linked", "a correction puts two lenses into one eye", OUT,
           *never("if _contradict(payload, ledger, record) and not _contradict(payload, ledger):"),
           (*TWO, *TAKEN_OUT)),
    Mutant("together.stored", "the base stumbles over an older surgery that comes late",
           "webapp/store/projections/implants.py",
           "live = CAME_LATE if surgery.live and _lies_later(surgery) else surgery.live",
           "live = surgery.live", TWO),
    Mutant("again.stored", "the base stumbles over a lens that comes back beside a late one",
           "webapp/store/projections/implants.py",
           "\"WHEN live = 1 AND EXISTS", "\"WHEN live = 9 AND EXISTS", AGAIN),
    Mutant("order.twice_at_once", "two withdrawals at once leave two orders (I2)",
           "webapp/flow/ledger.py",
           "any(one not in self.superseded for one in stored)", "bool(stored)", AGAIN),
    Mutant("order.one_lens", "an order brings two lenses (I2)", ADMIT,
           *never("if order is not None and one.order_id == order:"), TWO),
    Mutant("out.itself", "a lens takes its own place", OUT,
           *never('if lens.surgery_id == payload["replaces"]:'), TWO),
    Mutant("out.withdrawn_under", "a surgery is withdrawn whose lens was taken out", OUT,
           *never('if payload["kind"] == "record.void" and gone is not None and '
                  "gone.out_by is not None:"), TAKEN_OUT),
    Mutant("out.unknown", "a lens comes out that nobody recorded", OUT, *never("if lens is None:"),
           TAKEN_OUT),
    Mutant("out.future", "a lens comes out on a day to come", ADMIT,
           *never('if date.fromisoformat(payload["body"]["operated"]) > '
                  "(clock.utc_now() + A_DAY).date():"), TAKEN_OUT),
    Mutant("read.withdrawn", "a reading names a surgery that was withdrawn", ADMIT,
           *never("if not surgery.live and not _is_corrected(surgery, ledger):"),
           ("tests/flow/test_surgery.py",)),
    Mutant("read.early", "a reading of a lens from before it went in (I22)", ADMIT,
           *never("if taken < _first_day(surgery):"), ("tests/flow/test_surgery.py",)),
    Mutant("read.order", "a surgery rests on what is not here", ADMIT, *never("if fact is None:"),
           ("tests/flow/test_surgery.py",)),
    Mutant("decided.unknown_lens", "a decision about a surgery that is not here", DECIDED,
           *never("if ledger.find(named, SURGERY) is None:"), ABOUT),
    Mutant("decided.withdrawn_lens", "a decision about a surgery that was withdrawn", DECIDED,
           *never("if lens is None:"), ABOUT),
    Mutant("decided.no_reading", "a decision binds what is no reading after surgery (I22)", DECIDED,
           *never('if not fact.kind.startswith("followup."):'), ABOUT),
    Mutant("late.lens_out", "its lens came out, and the order for another one goes on", LATE,
           '"vault_model_withdrawn", "taken_out",', '"vault_model_withdrawn",', ORDERED),
    Mutant("late.read_before_out", "a late reading is forgotten once the lens came out", STANDS,
           'told.append(reason("taken_out", text, lens.next))',
           'return [reason("taken_out", text, lens.next)]', ORDERED),
    Mutant("said.taken_out", "what was taken out is said of no lens", RULES,
           *never("if body.get(field) is not None:"), KINDS),
    Mutant("said.other_why", "a lens is taken out for no written reason", RULES,
           'if body["why"] != "other" or body["note"] is not None:', "if True:", KINDS),
    Mutant("said.both", "a surgery has a check and a reason why it has none (I21)", RULES,
           'if body.get("theatre_check") is None or body.get("unchecked_reason") is None:',
           "if True:", KINDS),
    Mutant("said.implant", "what was shown is of another lens (I22)",
           "webapp/records/rules/decisions.py",
           'if body["shown"]["implant"] == body["implant"]:', "if True:", KINDS),
)  # fmt: skip
