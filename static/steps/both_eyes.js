/**
 * What both eyes of a person have to say, on one list.
 *
 * @import { Finding } from "../ui/findings.js"
 * @import { Eye } from "../ui/eyes.js"
 */
import { EYES, eyeWord } from "../ui/eyes.js";
import { lensInEye } from "./lens_in_eye.js";

/** The rules about what a plan rests on, but for what the first eye's lens says of the other's. */
const OF_A_PLAN = /^D(?!31)/;

/**
 * Return the findings of both eyes, each saying whose it is; what concerns both is said once.
 *
 * With a lens in the eye, a caution about a plan waits until another plan is weighed: it would only
 * hide what the lens says today. A stop stands open all the same.
 *
 * @param {Record<Eye, { findings: Finding[], surgeries: any[] }>} eyes
 * @returns {Finding[]}
 */
export function bothEyes(eyes) {
  const key = (/** @type {Finding} */ { code, text }) => `${code} ${text}`;
  const inLeft = new Set(eyes.L.findings.map(key));
  const shared = new Set(eyes.R.findings.map(key).filter((found) => inLeft.has(found)));
  const isDone = { R: lensInEye(eyes.R) !== null, L: lensInEye(eyes.L) !== null };
  return EYES.flatMap((eye) =>
    eyes[eye].findings
      .filter((finding) => eye === "R" || !shared.has(key(finding)))
      .map((finding) => {
        const isOfBoth = shared.has(key(finding));
        const whose = isOfBoth ? "Both eyes" : eyeWord(eye);
        const isSettled = isOfBoth ? isDone.R && isDone.L : isDone[eye];
        const isForLater = isSettled && finding.level === "caution" && OF_A_PLAN.test(finding.code);
        const { title } = finding;
        return { ...finding, title: title.startsWith(whose) ? title : `${whose}: ${title}`, isForLater };
      }),
  );
}
