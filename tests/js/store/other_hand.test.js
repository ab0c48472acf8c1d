/** A second person signs by their own passphrase and key, while the first one goes on working. */
import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import "./few_rounds.js";
import { AMBLER, emptyDevice, enrolHere, openedRecords, PASSPHRASE, registration, whiteToWhite } from "./device.js";
import { enrolmentOf } from "../../../static/store/enrolments.js";
import { currentIdentity } from "../../../static/store/identity.js";
import { keepRecord, NotKept } from "../../../static/store/journal.js";
import { handOf, othersWhoSign } from "../../../static/store/other_hand.js";
import { NotOpened } from "../../../static/store/unlock.js";

const SECOND = { id: "u-marrow", name: "S. Marrow", roles: [{ role: "optometrist", site: "saltpan" }] };
const ELSEWHERE = { id: "u-quill", name: "T. Quill", roles: [{ role: "optometrist", site: "north-quay" }] };
const DESK = { id: "u-fenn", name: "L. Fenn", roles: [{ role: "desk", site: "saltpan" }] };
const HERS = "another long passphrase";
const KIND = "reading.white_to_white";

/** @type {string} */
let person;

beforeEach(async () => {
  await emptyDevice();
  await enrolHere(SECOND, HERS);
  await enrolHere(ELSEWHERE);
  await enrolHere(DESK);
  await enrolHere();
  person = (await keepRecord(registration())).payload.person;
});

test("only others with the role at that place are offered", async () => {
  const found = await othersWhoSign(KIND, "saltpan", AMBLER.id);
  assert.deepEqual(found, [{ id: SECOND.id, name: SECOND.name, locked: null }]);
});

test("the record is the second person's, in the chain of their own key", async () => {
  const by = await handOf(SECOND.id, HERS);
  await keepRecord(whiteToWhite(person), { by });
  const [theirs] = (await openedRecords()).filter(({ kind }) => kind === KIND);
  const own = await enrolmentOf(SECOND.id);
  assert.deepEqual([theirs.payload.author, theirs.kid, theirs.seq], [SECOND.id, own?.kid, 1]);
  assert.equal((await currentIdentity())?.user.id, AMBLER.id);
});

test("a wrong passphrase signs nothing, and counts as a try", async () => {
  await assert.rejects(handOf(SECOND.id, PASSPHRASE), NotOpened);
  assert.equal((await enrolmentOf(SECOND.id))?.wrongTries, 1);
});

test("somebody without the role cannot sign in another's place", async () => {
  const by = await handOf(DESK.id, PASSPHRASE);
  await assert.rejects(keepRecord({ ...whiteToWhite(person), site: "saltpan" }, { by }), NotKept);
});
