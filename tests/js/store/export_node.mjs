/**
 * For a test of the server: a phone enrols with the base's recovery key, keeps two records, is locked
 * and exports its outbox. Reads {user, recovery}, prints {spki, file, person}.
 */
import { readFileSync } from "node:fs";
import "./few_rounds.js";
import { emptyDevice, registration, whiteToWhite } from "./device.js";
import { admit } from "../../../static/store/admit.js";
import { changeEnrolment } from "../../../static/store/enrolments.js";
import { outboxFile } from "../../../static/store/export.js";
import { makeCurrent } from "../../../static/store/identity.js";
import { keepRecord } from "../../../static/store/journal.js";
import { fixedKeys } from "../../../static/store/person_lock.js";
import { holdKeys, lock } from "../../../static/store/vault.js";

const { user, recovery } = JSON.parse(readFileSync(0, "utf8"));
await emptyDevice();
const person = { userId: user.id, user, sites: [], site: "saltpan", label: "test" };
const { enrolment, keys } = await admit(person, "tern islands demo", { recovery, voucher: null });
await changeEnrolment(user.id, () => ({ isEnrolled: true }));
holdKeys({ userId: user.id, kid: enrolment.kid, ...(await fixedKeys(keys)) });
await makeCurrent(user.id);
const { payload } = await keepRecord(registration());
await keepRecord(whiteToWhite(payload.person));
lock();
const answer = { spki: enrolment.spki, file: await outboxFile(), person: payload.person };
process.stdout.write(JSON.stringify(answer));
process.exit(0);
