"""Mutants of what a phone's pages rest on: the gate of an approval, what is given, listed, kept."""

from tests.mutants.mutant import Mutant

GATE, STORE = "static/steps/case_gate.js", "static/store"
REFERENCE, PEOPLE = f"{STORE}/reference.js", f"{STORE}/people.js"
OPEN = ("js:tests/js/steps/case_gate.test.js",)
GIVEN = ("js:tests/js/store/reference.test.js",)
LISTED = ("js:tests/js/store/people.test.js",)
BROKEN = ("js:tests/js/store/unreadable.test.js",)


def _never(condition: str) -> tuple[str, str]:
    """Return the replacement of a condition by one that is never true."""
    return condition, "if (false)"


PHONE_PAGES = (
    Mutant("gate.decidable", "a decided eye is approved again", GATE,
           *_never("if (!isDecidable(fold))"), OPEN),
    Mutant("gate.old", "an outdated page approves", GATE, *_never("if (model.isOldPage)"), OPEN),
    Mutant("gate.own", "own work is approved (I3)", GATE,
           *_never("if (isOwnWork(model, fold))"), OPEN),
    Mutant("gate.sent", "whoever sent the eye approves (I3)", GATE,
           "[...authors, fold.request.author]", "[...authors]", OPEN),
    Mutant("gate.measured", "whoever measured the eye approves (I3)", GATE,
           "[...authors, fold.request.author]", "[fold.request.author]", OPEN),
    Mutant("gate.differs", "the base's other answer stops nothing", GATE,
           *_never('if (model.checks.request?.result === "differs")'), OPEN),
    Mutant("gate.fixed", "a fixed stop is overridden", GATE, *_never("if (fixed)"), OPEN),
    Mutant("gate.reason", "a stop needs no reason (I25)", GATE,
           *_never("if (unreasoned[0])"), OPEN),
    Mutant("gate.words", "a word or two is a reason", GATE,
           "reason.length >= REASON_CHARS ? reason : null", "reason || null", OPEN),
    Mutant("gate.caution", "a caution needs no look (I25)", GATE,
           "if (!unseen[0]) return null;", "return null;", OPEN),
    Mutant("gate.lens", "an approval of no lens", GATE,
           *_never("if (!hindrance && !model.plan.shown)"), OPEN),
    Mutant("gate.read", "an approval before the page's end (H24)", GATE,
           "(model.isRead ? null :", "(true ? null :", OPEN),
    Mutant("given.revoked", "an approval outlives its key on the phone", REFERENCE,
           '  "key.revoked",\n', "", GIVEN),
    Mutant("given.recalled", "a phone plans on with a recalled core (I12)", REFERENCE,
           '  "core.recalled",\n', "", GIVEN),
    Mutant("given.refused", "a phone plans with what a restored base refused", REFERENCE,
           'rows.filter(({ state }) => state === "ok")', "rows", GIVEN),
    Mutant("listed.refused", "a refused correction names a person", PEOPLE,
           'kept.filter(({ state }) => state === "ok")', "kept", LISTED),
    Mutant("listed.withdrawn", "what was withdrawn waits for ever", PEOPLE,
           'outbox.filter(({ state }) => state !== "withdrawn")', "outbox", LISTED),
    Mutant("listed.broken", "who does not open is left out of the list", PEOPLE,
           "return withBroken(read, broken)", "return read", BROKEN),
    Mutant("listed.broken_account", "one who does not open stops the accounts of all after them",
           "static/steps/casefile.js",
           "    if (error instanceof BoxBroken) return keepUnreadable(person);\n", "",
           ("js:tests/js/steps/casefile_broken.test.js",)),
    Mutant("theatre.heard", "both clocks of a tablet are set back (H31)",
           "static/steps/theatre_model.js",
           "...(latest > 0 ? [dayOf(new Date(latest))] : [])", "",
           ("js:tests/js/steps/theatre.test.js",)),
    Mutant("theatre.others", "a lens that lies in somebody else is not looked for (I20)",
           f"{STORE}/implanted.js", "isSame(payload.body.serial, serial)", "false",
           ("js:tests/js/store/implanted.test.js",)),
    Mutant("listed.arrived", "what only waits is shown as sent", f"{STORE}/arrived.js",
           " && received !== null", "", ("js:tests/js/store/arrived.test.js",)),
    Mutant("listed.seen", "what a colleague saw counts as seen", f"{STORE}/seen.js",
           "rows.filter(({ key }) => key.startsWith(`${userId}/`))", "rows",
           ("js:tests/js/store/seen.test.js",)),
    Mutant("kept.allowed", "a reading is kept where the browser deletes it in a week",
           f"{STORE}/journal.js",
           "if (!ok) throw new NotKept(/** @type {string} */ (why));", "",
           ("js:tests/js/store/storage.test.js",)),
    Mutant("kept.role", "somebody with two roles signs in the wrong one", f"{STORE}/new_record.js",
           "find((held) => roles.includes(held))", "find(() => true)",
           ("js:tests/js/store/journal.test.js",)),
    Mutant("kept.draft", "an older text is written over a newer one", f"{STORE}/drafts.js",
           "await withLock(placeOf(key), async () => ", "await ((write) => write())(async () => ",
           ("js:tests/js/store/vault.test.js",)),
    Mutant("kept.key", "a key under another's name signs", f"{STORE}/signing_key.js",
           "if ((await keyId(publicBytes)) !== kid) return false;", "",
           ("js:tests/js/store/identity.test.js",)),
)  # fmt: skip
