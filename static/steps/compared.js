/** Saying at a registration that somebody alike is another person. */
import { keepRecord, NotKept } from "../store/journal.js";

/**
 * Say once that they are others, so that nobody at the base has to ask again before an order. Where
 * that can't be kept the base asks: to say "not saved" of a person who was kept would invite
 * registering twice.
 *
 * @param {string} person who was just registered
 * @param {string[]} others the people alike
 */
export async function keepDifferent(person, others) {
  try {
    for (const other of others) {
      const body = { other, answer: "different" };
      await keepRecord({ kind: "person.compared", person, eye: null, body });
    }
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
  }
}
