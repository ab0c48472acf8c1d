"""Mutants of the lens box: one check removed each, and why it is there."""

from tests.mutants.mutant import Mutant, never

CODE, ELEMENTS = "webapp/core/box/code.py", "webapp/core/box/elements.py"
COMPARE, FOLD = "webapp/core/box/compare.py", "webapp/core/case/boxes.py"
ADMIT, WAY = "webapp/flow/admission_label.py", "webapp/flow/box.py"
READ = ("tests/core/test_gs1_code.py",)
COMPARED = ("tests/core/test_box.py",)
CHECKED = ("tests/flow/test_box.py",)

BOXES = (
    Mutant("box.check_digit", "a product number with a wrong digit is taken (H34)", CODE,
           *never("if digits is not None and digits[-1] != check_digit(digits[:-1]):"), READ),
    Mutant("box.merged", "a lot swallows the serial number (H34)", CODE,
           *never('if code.serial is None and SERIAL in (code.lot or "")[1:-1]:'), READ),
    Mutant("box.day_00", "day 00 is not the end of its month (H31)", CODE,
           "day if day else last", "day if day else 1", READ),
    Mutant("box.impossible_day", "30 February is a day (H31)", CODE, *never("if day > last:"),
           READ),
    Mutant("box.two_separators", "something lost between two separators goes unseen (H34)",
           ELEMENTS, *never("if rest.startswith(SEPARATOR):"), READ),
    Mutant("box.symbology", "a code that is not of GS1 is read as one (H34)", ELEMENTS,
           *never("if symbology and symbology not in GS1_SYMBOLOGIES:"), READ),
    Mutant("box.two_readings", "one person's reading is enough (I19)", COMPARE,
           *never("if independent(field, read, box) < 2:"), COMPARED),
    Mutant("box.typed_code", "a code that was typed counts as a scan (I19)", COMPARE,
           "    return len(read) - (1 if is_typed_twice else 0)\n", "    return len(read)\n",
           COMPARED),
    Mutant("box.print", "code and print may differ (H35)", COMPARE,
           *never("if len(set(read)) > 1:"), COMPARED),
    Mutant("box.ordered", "another lens than the ordered one agrees (H30)", COMPARE,
           *never("if field in LENS_FIELDS and value != ordered[field]:"), COMPARED),
    Mutant("box.expired", "an expired lens agrees (H31)", COMPARE,
           *never('if field == "expiry_date" and is_past(str(value), box.days):'), COMPARED),
    Mutant("box.worse_clock", "the better of two clocks judges (H31)", COMPARE,
           "return any([day_number(date)", "return all([day_number(date)", COMPARED),
    Mutant("box.transposed", "a label in plus cylinder is another lens", COMPARE,
           "comparable(found, FIELDS)[field]", "getattr(found, field)", COMPARED),
    Mutant("box.late", "what came after the order does not hold the lens back (H23)", FOLD,
           " and not blocks(late)", "", CHECKED),
    Mutant("box.two_lenses", "two boxes are verified for one order (I2)", FOLD,
           "len(lenses(agreed)) == 1 and ", "", CHECKED),
    Mutant("box.confirmed_otherwise", "the supplier confirmed something else", FOLD,
           " and not confirmed_otherwise", "", ("tests/core/test_at_supplier.py", *CHECKED)),
    Mutant("box.seen", "a box that differed is forgotten (H30)", FOLD,
           'if all(each.id in one.body["seen"] for each in differed)', "if agreed", CHECKED),
    Mutant("box.claimed", "a record says of a box what it likes (H30)", ADMIT,
           *never('if (answer["outcome"], gtin) != '
                  '(payload["body"]["outcome"], payload["body"]["gtin"]):'), CHECKED),
    Mutant("box.serial", "one lens is taken for two orders (I20, H29)", ADMIT,
           "        _lens_once(lens_taken(record_id, payload), ledger)\n", "        pass\n",
           CHECKED),
    Mutant("box.eye", "the box of the other eye's order (I16, H29)", ADMIT,
           *never('if (order.person, order.eye) != (payload["person"], payload["eye"]):'), CHECKED),
    Mutant("box.second_role", "anybody is the second person (I19)", ADMIT,
           "    _second_person(payload, ledger)\n", "", CHECKED),
    Mutant("box.same_person", "the second person is the first one (I19)", WAY,
           *never("if witness.user_id == actor.user_id:"), CHECKED),
    Mutant("box.cancelled", "the box of a cancelled order is checked", WAY,
           *never("if not line.live:"), CHECKED),
    Mutant("box.not_here", "a lens that has not arrived is checked", WAY,
           *never('if eye["order"]["progress"]["stage"] != "received":'), CHECKED),
)  # fmt: skip
