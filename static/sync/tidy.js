/**
 * After an exchange: people put off are fetched where they are wanted again, sites that nobody here
 * works at are left, and once a day whoever is done with is put off.
 */
import { withLock } from "../store/locks.js";
import { keepFact, readFact } from "../store/meta.js";
import { peopleAt } from "../store/people.js";
import { leaveSites, putOffPerson, takeBack } from "../store/put_off.js";
import { newsOf, putOff } from "../store/put_off_marks.js";
import { getJson, RefusedError, requireShape } from "./http.js";

/**
 * @param {string[]} sites of the person who works here
 * @param {string} now the base's time
 */
export async function tidy(sites, now) {
  const today = now.slice(0, 10);
  for (const { person, back_on, news } of await putOff()) {
    if (news !== 0 || (back_on !== null && back_on <= today)) await fetchIfThere(person);
  }
  await leaveSites();
  if ((await readFact("tidied_on")) === today) return;
  await putOffDone(sites, Date.parse(now), today);
  await keepFact("tidied_on", today);
}

/**
 * Fetch a person's records, that lie at the base only, while no page of others is being taken in:
 * what came of this person in such a page would be passed over, and never asked for again.
 *
 * @param {string} person
 * @throws {Error} whose message says what to do
 */
export const fetchPerson = (person) => withLock("sync", () => fetched(person));

/** @param {string} person */
async function fetched(person) {
  const news = await newsOf(person);
  const answer = requireShape(await getJson(`/sync/person?person=${person}`), { records: "array" });
  const isTaken = await takeBack(person, { ...answer, epoch: String(answer.epoch) }, news);
  if (!isTaken) throw new RefusedError("The base was restored meanwhile, or something newer came. Send and fetch first.", "epoch", 409);
}

/** @param {string} person */
async function fetchIfThere(person) {
  try {
    await fetched(person);
  } catch (error) {
    // Of a site where the person who is signed in does not work: asked for again by somebody else.
    if (!(error instanceof RefusedError)) throw error;
  }
}

/**
 * @param {string[]} sites
 * @param {number} nowMs
 * @param {string} today
 */
async function putOffDone(sites, nowMs, today) {
  for (const { id, atBase, summary } of (await Promise.all(sites.map(peopleAt))).flat()) {
    const rest = summary?.rest;
    if (atBase || !rest || (rest.back_on !== null && rest.back_on <= today)) continue;
    await putOffPerson(id, rest.back_on, nowMs);
  }
}
