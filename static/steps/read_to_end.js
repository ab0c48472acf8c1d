/** Whether somebody saw the end of a page that a decision is made on. */

/** What stands behind the dock has not been on the screen. */
const BEHIND_DOCK = "0px 0px -56px 0px";

/**
 * @typedef {{ isRead: boolean }} Read
 * @typedef {(element: Element | undefined) => void} Watch
 */

/** @type {WeakMap<Read, Watch>} */
const watches = new WeakMap();

/**
 * Return what watches a page's last lines, for a reference to them: the same for each drawing of one
 * model, so that the lines are looked at once, and no longer when they have left the page.
 *
 * @param {Read} model its page counts as read once the lines were on the screen
 * @param {() => void} redraw
 * @returns {Watch}
 */
export function watchOfEnd(model, redraw) {
  const known = watches.get(model);
  if (known) return known;
  const watch = newWatch(model, redraw);
  watches.set(model, watch);
  return watch;
}

/**
 * @param {Read} model
 * @param {() => void} redraw
 * @returns {Watch}
 */
function newWatch(model, redraw) {
  const note = (/** @type {IntersectionObserverEntry[]} */ entries) => {
    if (model.isRead || !entries.some(({ isIntersecting }) => isIntersecting)) return;
    model.isRead = true;
    redraw();
  };
  /** @type {IntersectionObserver | null} */
  let observer = null;
  return (element) => {
    observer?.disconnect();
    observer = element ? new IntersectionObserver(note, { rootMargin: BEHIND_DOCK }) : null;
    if (element) observer?.observe(element);
  };
}
