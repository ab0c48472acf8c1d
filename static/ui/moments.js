/** Dates and times as this phone's owner reads them; records keep the UTC instant. */
import { count } from "./words.js";

/** @param {Date} date */
const isoDay = (date) =>
  [date.getFullYear(), date.getMonth() + 1, date.getDate()]
    .map((part) => String(part).padStart(2, "0"))
    .join("-");

/**
 * Return today by this phone's clock, as YYYY-MM-DD.
 *
 * @returns {string}
 */
export function today() {
  return isoDay(new Date());
}

/**
 * Return the instant at which today began by this phone's clock, as ISO text in UTC.
 *
 * @returns {string}
 */
export function startOfToday() {
  return new Date(`${today()}T00:00:00`).toISOString();
}

/**
 * Return the time of day of an instant by this phone's clock: "20:05".
 *
 * @param {string} instant ISO 8601
 * @returns {string}
 */
export function clock(instant) {
  const at = new Date(instant);
  const parts = [at.getHours(), at.getMinutes()];
  return parts.map((part) => String(part).padStart(2, "0")).join(":");
}

/**
 * Return when an instant was, with its date unless it is today: "20:05" or "24 Nov 2026, 20:05".
 *
 * @param {string} instant ISO 8601
 * @returns {string}
 */
export function moment(instant) {
  const at = new Date(instant);
  if (isoDay(at) === today()) return clock(instant);
  return `${day(isoDay(at))}, ${clock(instant)}`;
}

const MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");

/**
 * Return a calendar date in words: "3 May 1999".
 *
 * @param {string} date YYYY-MM-DD
 * @returns {string}
 */
export function day(date) {
  const [year, month, dayOfMonth] = date.split("-").map(Number);
  return `${dayOfMonth} ${MONTHS[(month ?? 1) - 1]} ${year}`;
}

/**
 * Return the age in whole years, or about it where only the birth year is known.
 *
 * @param {{ birth_date?: string | null, birth_year?: number | null }} person
 * @param {string} [onDay] YYYY-MM-DD
 * @returns {string}
 */
export function age({ birth_date, birth_year }, onDay = today()) {
  if (!birth_date && !birth_year) return "age not known";
  if (!birth_date) return `about ${Number(onDay.slice(0, 4)) - Number(birth_year)}`;
  const hadBirthday = onDay.slice(5) >= birth_date.slice(5);
  const years = Number(onDay.slice(0, 4)) - Number(birth_date.slice(0, 4));
  return String(hadBirthday ? years : years - 1);
}

/**
 * Return how long ago an instant was in whole units, as the desk counts: "3 minutes", "2 days".
 *
 * @param {string} instant ISO 8601
 * @param {number} [now_ms]
 * @returns {string}
 */
export function sinceInWords(instant, now_ms = Date.now()) {
  const minutes = Math.max(0, Math.floor((now_ms - Date.parse(instant)) / 60_000));
  if (minutes < 90) return count(minutes, "minute");
  if (minutes < 60 * 36) return count(Math.floor(minutes / 60), "hour");
  return count(Math.floor(minutes / 1440), "day");
}
