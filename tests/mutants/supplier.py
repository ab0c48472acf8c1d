"""Mutants of an order at the supplier: what keeps another lens than the approved one out."""

from tests.mutants.mutant import Mutant, never

FOLD, ADMIT = "webapp/core/case/supplier.py", "webapp/flow/admission_order.py"
CORE = ("tests/core/test_at_supplier.py", "tests/desk/test_supplier.py")
FLOW = ("tests/flow/test_order_progress.py", "tests/desk/test_supplier.py")

AT_SUPPLIER = (
    Mutant("supplier.before", "a paper from before the order is taken for its confirmation", ADMIT,
           *never('if date.fromisoformat(payload["body"][field]) < '
                  "date.fromisoformat(placed) - A_DAY:"), FLOW),
    Mutant("supplier.far", "a day decades ahead silences the reminder", ADMIT,
           "date.fromisoformat(expected) > clock.utc_now().date() + A_YEAR", "False", FLOW),
    Mutant("supplier.stops", "an order goes on though another lens was confirmed", FOLD,
           "    elif differing:", "    elif False:", CORE),
    Mutant("supplier.lens", "another lens passes as the ordered one", FOLD,
           'as_flag(lens[name] == said["lens"][name])', "1", CORE),
    Mutant("supplier.eye", "a lens of the other eye passes (I16)", FOLD,
           'as_flag(order.eye == said["for_eye"])', "1", CORE),
    Mutant("supplier.reference", "a confirmation of another order passes", FOLD,
           'agrees = not named or said["reference"] in named', "agrees = True", CORE),
    Mutant("supplier.names", "a second confirmation hides one that differs", FOLD,
           'if earlier.id in later.body["corrects"] and may_correct(later, earlier)',
           "if later.id != earlier.id and may_correct(later, earlier)", CORE),
    Mutant("supplier.own_typing", "whoever typed it makes a difference go away alone", FOLD,
           'later.body["correction"] == "supplier" or later.author != earlier.author',
           "True", CORE),
    Mutant("supplier.told", "nobody reads that another lens was confirmed", FOLD,
           "    return told\n", "    return []\n", CORE),
    Mutant("supplier.box", "a box is released though another lens was confirmed",
           "webapp/core/case/boxes.py", " and not confirmed_otherwise", "", CORE),
    Mutant("order.confirmed_cancelled", "a cancelled order is confirmed or comes in", ADMIT,
           *never('if found["stage"] == "cancelled":'), FLOW),
    Mutant("order.differs", "a lens comes in though another one was confirmed", ADMIT,
           *never('if found["stage"] == "differs":'), FLOW),
    Mutant("order.second_confirmation", "two confirmations stand beside each other", ADMIT,
           *never('if payload["body"]["corrects"] != sorted(standing):'), FLOW),
    Mutant("order.own_typing", "whoever typed it corrects it alone at the server", ADMIT,
           ' and payload["author"] in typed_by:', " and False:",
           FLOW),
    Mutant("order.no_reply", "an eye is free while its lens is on the way (I26)", ADMIT,
           *never('if promised and not payload["body"].get("supplier_reply"):'), FLOW),
    Mutant("order.late_reference", "the reference of a confirmed order changes", ADMIT,
           *never('if found["confirmations"] and found["stage"] != "differs":'), FLOW),
    Mutant("order.to_come", "a lens arrives on a day to come", ADMIT,
           "> (clock.utc_now() + A_DAY).date():", "> date.max:",
           FLOW),
)  # fmt: skip
