/**
 * Taking one reading: one quantity and one eye a screen, one question at a time.
 *
 * Repeats are blind: what was read before is hidden until the new value is kept. Everything typed
 * is kept as a draft at each key, so a killed app loses nothing.
 *
 * @import { Place } from "../main.js"
 * @import { Identity } from "../store/identity.js"
 * @import { Eye } from "../ui/eyes.js"
 * @import { Visit } from "./visit_run.js"
 */
import { onChange } from "../store/journal.js";
import { eyeFrom } from "../ui/eyes.js";
import { listenToKeys } from "../ui/keypad.js";
import { kindOfSlug } from "../ui/quantities.js";
import { captureActs } from "./capture_acts.js";
import { judgeVisit } from "./capture_keep.js";
import { foldEye, lookAgain, openModel } from "./capture_model.js";
import { captureView } from "./capture_view.js";
import { go, openPage, together } from "./frame.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void> | (() => void)}
 */
export function start({ root, params, identity }) {
  const [id = "", eyeParam, slug] = params;
  const eye = eyeFrom(eyeParam);
  const kind = kindOfSlug(slug);
  if (!eye || !kind) {
    go(`#/person/${id}`);
    return () => undefined;
  }
  return startCapture({ root, id, eye, kind, identity, visit: null });
}

/**
 * Take one reading, by itself or as one of a visit.
 *
 * @param {{ root: HTMLElement, id: string, eye: Eye, kind: string, identity: Identity, visit: Visit | null }} place
 * @returns {Promise<() => void>}
 */
export async function startCapture({ root, id, eye, kind, identity, visit }) {
  const model = await openModel(id, eye, kind, identity, visit);
  const acts = captureActs(model, () => page.redraw());
  const page = openPage(root, () => captureView(model, acts));
  const refresh = () =>
    void foldEye(model).then(() => {
      judgeVisit(model);
      page.redraw();
    });
  refresh();
  const stopKeys = listenToKeys({
    onKey: acts.press,
    onKeep: () => acts.enter(),
    onBack: acts.back,
  });
  const stopStore = onChange(({ persons }) => {
    if (persons.includes(id)) void lookAgain(model).then(refresh);
  });
  return together([page.stop, stopKeys, stopStore]);
}
