/**
 * Urgent readings that nobody but this phone knows of: neither at the base, nor told to anybody.
 *
 * They come from the short accounts of people, so they are there again after the app was killed.
 *
 * @import { PersonRow } from "../store/people.js"
 * @import { Summary } from "./casefile.js"
 * @import { Eye } from "../ui/eyes.js"
 * @typedef {{ person: string, name: string, camp_code: string, eye: Eye, readings: string[], text: string }} Alarm
 */
import { currentIdentity, onIdentity } from "../store/identity.js";
import { peopleAt, personHere } from "../store/people.js";
import { holdUrgent } from "../store/urgent.js";
import { onLock } from "../store/vault.js";
import { EYES } from "../ui/eyes.js";
import { onSummary } from "./casefile.js";

/** @type {Map<string, Alarm[]>} by person */
const alarms = new Map();
/** @type {Set<() => void>} */
const listeners = new Set();

/** @returns {Alarm[]} */
export const alarmsNow = () => [...alarms.values()].flat();

/**
 * Call `listener` when what is urgent changed; return how to stop.
 *
 * @param {() => void} listener
 */
export function onAlarms(listener) {
  listeners.add(listener);
  return () => void listeners.delete(listener);
}

/** Look at everybody once, and then at whoever's account was made anew. */
export function watchUrgent() {
  onSummary((person, summary) => void look(person, summary));
  onIdentity(() => void lookAtAll());
  onLock(() => {
    alarms.clear();
    tell();
  });
  void lookAtAll();
}

async function lookAtAll() {
  const identity = await currentIdentity();
  const sites = new Set(identity?.user.roles.map(({ site }) => site));
  const rows = (await Promise.all([...sites].map(peopleAt))).flat();
  for (const row of rows) note(row.id, alarmsOf(row, row.summary));
  tell();
}

/**
 * @param {string} person
 * @param {Summary} summary
 */
async function look(person, summary) {
  const isQuiet = EYES.every((eye) => summary.eyes[eye].silent.length === 0);
  if (isQuiet && !alarms.has(person)) return;
  const row = isQuiet ? null : await personHere(person);
  note(person, row ? alarmsOf(row, summary) : []);
  tell();
}

/**
 * @param {string} person
 * @param {Alarm[]} found
 */
function note(person, found) {
  if (found.length > 0) alarms.set(person, found);
  else alarms.delete(person);
}

function tell() {
  holdUrgent(alarmsNow().flatMap(({ readings }) => readings));
  for (const listener of listeners) listener();
}

/**
 * Return the alarms of one person; an account of an older form has none until it is made anew.
 *
 * @param {PersonRow} row
 * @param {Summary | null} summary
 * @returns {Alarm[]}
 */
export function alarmsOf({ id: person, name, camp_code }, summary) {
  return EYES.flatMap((eye) => {
    const silent = summary?.eyes[eye].silent ?? [];
    if (silent.length === 0) return [];
    const readings = silent.flatMap(({ records }) => records);
    const text = silent.map(({ title, values }) => `${title}: ${values.join("; ")}`).join(". ");
    return [{ person, name, camp_code, eye, readings, text }];
  });
}
