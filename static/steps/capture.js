/**
 * Taking one reading: one quantity and one eye a screen, one question at a time.
 *
 * Repeats are blind: what was read before is hidden until the new value is kept. Everything typed
 * is kept as a draft at each key, so a killed app loses nothing.
 *
 * @import { Place } from "../main.js"
 */
import { onChange } from "../store/journal.js";
import { eyeFrom } from "../ui/eyes.js";
import { listenToKeys } from "../ui/keypad.js";
import { kindOfSlug } from "../ui/quantities.js";
import { captureActs } from "./capture_acts.js";
import { foldEye, lookAgain, openModel } from "./capture_model.js";
import { captureView } from "./capture_view.js";
import { go, openPage, together } from "./frame.js";

/**
 * @param {Place} place
 * @returns {Promise<() => void>}
 */
export async function start({ root, params, identity }) {
  const [id = "", eyeParam, slug] = params;
  const eye = eyeFrom(eyeParam);
  const kind = kindOfSlug(slug);
  if (!eye || !kind) {
    go(`#/person/${id}`);
    return () => undefined;
  }
  const model = await openModel(id, eye, kind, identity);
  const acts = captureActs(model, () => page.redraw());
  const page = openPage(root, () => captureView(model, acts));
  const refresh = () => void foldEye(model).then(() => page.redraw());
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
