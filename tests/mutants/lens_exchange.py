"""Mutants of the lens exchanged: one check removed each, and why it is there."""

from tests.mutants.mutant import Mutant, never

OUT, STANDS = "webapp/core/case/taken_out.py", "webapp/core/case/exchanging.py"
LENSES, STATES = "webapp/core/case/implants.py", "webapp/core/case/judged.py"
SETTLING, DECISIONS = "webapp/core/case/settling.py", "webapp/core/case/decisions.py"
WORK, TURNING = "webapp/core/exchange_plan/work.py", "webapp/core/exchange_plan/turning.py"
ADMIT, LENS = "webapp/flow/admission_exchange.py", "webapp/flow/admission_lens.py"
SURGERY, PLAN = "webapp/flow/admission_surgery.py", "webapp/flow/admission_plan.py"
FOLD = tuple(
    f"tests/core/test_{name}.py"
    for name in ("exchange_falls", "linked_lenses", "exchange_decided", "exchange_ordered",
                 "implanted_order")
)  # fmt: skip
RECKONED = ("tests/core/test_exchange_plan.py",)
BASE = tuple(
    f"tests/flow/test_{name}.py" for name in ("lens_out", "exchange_decided", "exchange_ordered")
)
SIGNED = "webapp/records/rules/decisions.py"
KINDS = ("tests/records/test_kinds.py",)
ASKING, LESS = "webapp/core/case/asking.py", "webapp/core/exchange_plan/less.py"
ASKED = ("tests/core/test_asking.py",)
ASKED_AT_BASE = ("tests/flow/test_exchange_asked.py",)
ON_LESS = ("tests/core/test_exchange_less.py",)

LENS_EXCHANGE = (
    Mutant("lens.followups", "a reading of one lens counts for the other (I22)", LENSES,
           'one.body["implant"] in names and is_within', "is_within", FOLD),
    Mutant("lens.after_it_came_out", "a reading is of a lens that is out (I22)", LENSES,
           "return end is None or days_after(end, reading) <= DAY_OF_ANOTHER_PLACE", "return True",
           FOLD),
    Mutant("lens.earlier_day", "a lens comes out before it went in", OUT,
           "one.id != later.id and is_earlier:", "one.id != later.id:", FOLD),
    Mutant("lens.loop", "two surgeries take each other's lens out", OUT,
           "for later in found if not comes_round(later, found)", "for later in found", FOLD),
    Mutant("lens.natural", "what was read through a lens is of the natural eye (E2)", LENSES,
           " and not was_in(others, one)", "", FOLD),
    Mutant("lens.used_order", "an order stands though its lens is in the eye (I2)", DECISIONS,
           "one.id not in made.used and not is_cancelled(made, one)",
           "not is_cancelled(made, one)", FOLD),
    Mutant("decided.taken_back", "a decision that was taken back stands (I13)", STANDS,
           *never("if decision in made.taken_back:"), FOLD),
    Mutant("decided.settled", "a decision that a settlement set aside stands (I18)", STANDS,
           "    found += settled_against(made, decision)\n", "", FOLD),
    Mutant("decided.role", "somebody who is no surgeon decides (I3)", STANDS,
           *never('if decision.role != "surgeon":'), FOLD),
    Mutant("decided.eye", "what was signed is of the other eye (I16)", STANDS,
           *never('if shown["eye"] != decision.eye or shown["person"] != decision.person:'), FOLD),
    Mutant("decided.own_reading", "whoever measured decides (I3)", STANDS, *never("if own:"), FOLD),
    Mutant("decided.newer", "a newer reading of the lens does not matter (I14, I22)", STANDS,
           ' + reading_changes(exam, lens, shown["followups"], decision)', "", FOLD),
    Mutant("decided.before", "a reading from before surgery may come or go (I7)", STANDS,
           '    found += changes(exam, shown["evidence"], decision, THIS)\n', "", FOLD),
    Mutant("decided.catalogue", "another catalogue is in force (I12)", STANDS,
           "    found += reference_changed(exam, shown)\n", "", FOLD),
    Mutant("decided.answered", "a stop without a reason stands (I25)", STANDS,
           " + unanswered(decision)", "", FOLD),
    Mutant("decided.spent", "a decision serves twice (I2)", STANDS,
           *never("if decision.id in made.spent:"), FOLD),
    Mutant("decided.digest", "a decision that does not say what it signs (I4)", STANDS,
           *never('if not is_digest(decision.body["digest"]):'), FOLD),
    Mutant("decided.contradict", "two decisions that differ both stand (I9)", SETTLING,
           "return standing if len({decision_key(one) for one in standing}) > 1 else []",
           "return []", FOLD),
    Mutant("decided.late", "another decision does not call the order in question",
           "webapp/core/case/late.py",
           "elif not one.reasons and one.entry.id not in made.used and differs(one.entry, order):",
           "elif False:", FOLD),
    Mutant("decided.only_exchange", "watching a lens is an approval", STANDS,
           'one.body["decision"] == "exchange"]\n    if exchanges', "one]\n    if exchanges", FOLD),
    Mutant("exchange.suspicion", "a refraction that fits no lens is reckoned with (E4)", WORK,
           'agrees = apart_cD <= natural.limits["exchange_apart_cD"]', "agrees = True", RECKONED),
    Mutant("exchange.light", "a vault in bright light is compared", 
           "webapp/core/exchange_plan/lens_in.py", ' if one.body["light"] == LIGHT', "", RECKONED),
    Mutant("turn.vertical", "a toric lens is turned off its axis (E3)", TURNING,
           'refusal = "" if lies_at(work.lens)[0] is None else carried(work, turn)',
           'refusal = ""', RECKONED),
    Mutant("turn.marks", "marks that disagree with the refraction pass (E3)", TURNING,
           "        contradicted(work)\n        or aligned", "        aligned", RECKONED),
    Mutant("turn.gain", "a turn that gains little is offered (E3)", TURNING,
           "or little(work, turn)", "", RECKONED),
    Mutant("turn.again", "a lens too short is turned again (E3)", TURNING,
           "or recurrent(work, decisions)", "", RECKONED),
    Mutant("sure.all_four", "an operation is decided without being sure", SIGNED,
           *never('if body["sure"][field] != "sure":'), KINDS),
    Mutant("sure.lens", "an exchange names no lens, or watching one", SIGNED,
           *never('if (body["shown"][field] is not None) != wanted:'), KINDS),
    Mutant("admit.other_lens", "a reading of another lens is bound (I22)", ADMIT,
           *never("if ledger.standing_surgery(read_after) != mine:"), BASE),
    Mutant("admit.other_eye", "a record of the other eye is bound (I16)", ADMIT,
           *never('if is_foreign(fact, payload, ledger) or fact.eye != payload["eye"]:'), BASE),
    Mutant("admit.own_reading", "whoever measured decides (I3)", ADMIT,
           *never('if any(fact.author == payload["author"] for fact in bound):'), BASE),
    Mutant("admit.lens_out", "a lens that is out is decided about", ADMIT,
           *never("if lens.out_by is not None:"), BASE),
    Mutant("surgery.serial_again", "a lens that came out goes in again (I20)", SURGERY,
           *never("if serial and any(one.serial == serial for one in _standing(payload, ledger)):"),
           BASE),
    Mutant("surgery.after_out", "a reading after its lens came out (I22)", SURGERY,
           *never("if now is not None and now.out_on and "
                  "taken > date.fromisoformat(now.out_on) + A_DAY:"), BASE),
    Mutant("out.serial", "another serial comes out than went in (I20)", LENS,
           "    _serial(body, lens, serial_field, reason_field)\n", "", BASE),
    Mutant("out.eye", "a lens of the other eye comes out (I16)", LENS,
           *never('if not ledger.is_same_person(lens.person, payload["person"]) '
                  'or lens.eye != payload["eye"]:'), BASE),
    Mutant("out.twice", "a lens comes out twice", LENS,
           *never('if lens.out_by not in (None, payload["replaces"]):'), BASE),
    Mutant("out.day", "a lens comes out before it went in", LENS,
           *never('if body["operated"] < lens.operated:'), BASE),
    Mutant("out.decided", "another lens comes out than was decided", LENS,
           *never("if named is None or meant is None or ledger.standing_surgery(named) != meant:"),
           BASE),
    Mutant("out.linked", "a surgery is withdrawn under a later one", LENS,
           "        _one_lens_left(record, ledger)\n", "", BASE),
    Mutant("out.two_orders", "a withdrawal brings a second order to life (I2)", LENS,
           "        _one_order_left(payload, ledger)\n", "", BASE),
    Mutant("order.not_exchange", "a lens is ordered from watching",  PLAN,
           *never('if ledger.body_of(approval.id)["decision"] != "exchange":'), BASE),
    Mutant("order.used", "an order whose lens is in the eye is cancelled",
           "webapp/flow/admission_order.py",
           *never('if ledger.is_used(payload["body"]["order"], payload["person"], '
                  'payload["eye"]):'), BASE),
    Mutant("urgent.out", "an exchange ends an alarm unanswered (H37)",
           "webapp/flow/admission_urgent.py", " or taken_out_by(payload) is not None", "", BASE),
    Mutant("asked.of_this_lens", "what was asked about another lens waits", ASKING,
           ' if one.body["implant"] in lens.names', "", ASKED),
    Mutant("asked.surgeon", "somebody who is no surgeon answers (I3)", ASKING,
           'if one.role == "surgeon" and one.id', "if one.id", ASKED),
    Mutant("asked.set_aside", "a decision that a settlement set aside answers (I18)", ASKING,
           " and one.id not in made.set_aside", "", ASKED),
    Mutant("asked.named", "any decision answers what it never saw", ASKING,
           'ask.id in (one.body.get("answers") or [])', "True", ASKED),
    Mutant("asked.waits", "an eye that was asked about waits for nobody", ASKING,
           "if not waiting:", "if True:", ASKED),
    Mutant("asked.other_lens", "a decision answers for the lens before", ADMIT,
           *never("if ledger.standing_surgery(about) != mine:"), ASKED_AT_BASE),
    Mutant("asked.checked", "a decision answers what nobody asked", ADMIT,
           "        _asked(name, payload, ledger)\n", "        pass\n", ASKED_AT_BASE),
    Mutant("less.said", "nobody reads that something was missing (I25)", LESS,
           " + less(missing)", "", (*ON_LESS, *ASKED_AT_BASE)),
    Mutant("less.lacks", "an eye that nobody looked at is decided on", LESS,
           "None if lacks else to_sign", "to_sign", ON_LESS),
    Mutant("less.fixed", "a decision is signed under a fixed stop", LESS,
           *never("if any(one.fixed for one in findings):"), ON_LESS),
    Mutant("less.change", "a lens is turned on what was not reckoned", SIGNED,
           *never("if value is None:"), KINDS),
    Mutant("less.eye", "the other eye's vault speaks for this one (H36)",
           "webapp/core/exchange_plan/sure.py", "bool(mine) and bool(theirs)", "bool(theirs)",
           ON_LESS),
)  # fmt: skip
